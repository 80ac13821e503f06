package write

import (
	"math"

	"reedwell/levels/harp"
)

// The ear loses turns of a quick warble: a reed that speaks slowly is not steady before the other
// one takes over, and what is never steady is told as no note. There are two ways over such a hole:
//
//   - The frames in it name the other hole, plainly though not surely, as loud as a turn (mend).
//   - They name nothing, but the sound goes on and the hole is as long as the turns that are
//     missing: one where the same hole is on both sides of it, two where it is not (chain).
//
// Neither makes a warble by itself, and both are told as a doubt when they are more than a few.
const (
	// mostLost is how long a hole in a warble, or a turn of it that lasts, may be, in turns.
	mostLost = 3.5
	// offTurns is how far, in turns, a hole may be from the turns that are missing: where starts scatter by an eighth
	// of a turn, which is 10 ms at twelve a second, the distance of two scatters by 0.18, and this is two and a half of that.
	offTurns = 0.45
	// leastShort is how many turns that follow one another tell how long one is.
	leastShort = 3
	// namedFrames is how many frames in a row, 25 ms, name a turn that was not told: as long as
	// the shortest note the ear tells. namedCents is how near to the reed they must lie, namedUnder how many dB under the
	// turns beside it the loudest of them may be: sampled neighbours differ by 4. Our choice.
	namedFrames = 5
	namedCents  = 50.0
	namedUnder  = 9.0
	// speaks is how many dB under its peak a turn begins, as the ear's notes do.
	speaks = 16.0
)

// quick says that a piece may be a turn of a warble.
func (p piece) quick() bool {
	return p.length() <= slowTurn && p.note.Bend == 0 && !p.note.Over && !p.glide && !p.thick
}

// beside says that two notes are on neighbouring holes in one breath.
func beside(a, b harp.Note) bool { return a.Breath == b.Breath && apart(a.Hole, b.Hole) == 1 }

// mend puts back the turns that the frames name between, before and behind quick notes.
// What does not become part of a warble is taken out again by warbles.
func (e *ear) mend(pieces []piece) []piece {
	const reach = 2 * slowTurn
	var all []piece
	for i := 0; i <= len(pieces); i++ {
		var a, b *piece
		from, to := math.Inf(-1), math.Inf(1)
		if i > 0 {
			a = &pieces[i-1]
			from = a.end
		}
		if i < len(pieces) {
			b = &pieces[i]
			to = b.start
		}
		if a != nil && !a.quick() {
			a = nil
		}
		if b != nil && !b.quick() {
			b = nil
		}
		switch {
		case a != nil && b != nil && to-from <= mostLost*slowTurn:
			all = append(all, e.lost(a, b, from, to)...)
		default:
			if a != nil {
				all = append(all, e.lost(a, nil, from, math.Min(to, from+reach))...)
			}
			if b != nil {
				all = append(all, e.lost(nil, b, math.Max(from, to-reach), to)...)
			}
		}
		if i < len(pieces) {
			all = append(all, pieces[i])
		}
	}
	return all
}

// lost are the turns that the frames from one moment to another name, behind quick note a and
// before quick note b, one of which may be nil. There are none where they name anything else.
func (e *ear) lost(a, b *piece, from, to float64) []piece {
	level := math.Inf(1)
	for _, p := range []*piece{a, b} {
		if p != nil {
			level = math.Min(level, p.level)
		}
	}
	var turns []piece
	for _, r := range e.named(from, to) {
		if r.level < level-namedUnder {
			continue
		}
		before := a
		if n := len(turns); n > 0 {
			before = &turns[n-1]
		}
		switch {
		case before != nil && r.note == before.note: // its end
			continue
		case before != nil && !beside(r.note, before.note), len(turns) > 1 && r.note != turns[len(turns)-2].note:
			return nil
		}
		turns = append(turns, r)
	}
	if n := len(turns); b != nil && n > 0 && turns[n-1].note == b.note { // its beginning
		turns = turns[:n-1]
	}
	n := len(turns)
	if n == 0 || b != nil && !beside(turns[n-1].note, b.note) {
		return nil
	}
	// A warble has no gaps.
	for i := range turns {
		if i > 0 {
			turns[i].start = turns[i-1].end
		} else if a != nil {
			turns[i].start = a.end
		}
		switch {
		case i+1 < n:
			turns[i].end = math.Max(turns[i].end, turns[i+1].start)
		case b != nil:
			turns[i].end = b.start
		}
		turns[i].dip = e.dip(turns[i].start)
		e.measure(&turns[i])
	}
	return turns
}

// named are the stretches from one moment to another whose frames name one natural note, with
// the level of their loudest frame.
func (e *ear) named(from, to float64) []piece {
	frames := e.frames(from, to)
	name := func(i int) (harp.Note, bool) {
		f := frames[i]
		if f.F0 <= 0 {
			return harp.Note{}, false
		}
		x := harp.Cents(f.F0, concert) - e.sharp
		r := e.rungs[e.nearest(x)]
		return r.note, r.note.Bend == 0 && !r.note.Over && math.Abs(x-r.cents) <= namedCents
	}
	var all []piece
	for i := 0; i < len(frames); {
		note, ok := name(i)
		j := i + 1
		for ; j < len(frames); j++ {
			if n, is := name(j); is != ok || n != note {
				break
			}
		}
		if ok && j-i >= namedFrames {
			p := piece{note: note, level: frames[i].Level, lost: true}
			for _, f := range frames[i:j] {
				p.level = math.Max(p.level, f.Level)
			}
			first := i
			for first > 0 && frames[first-1].F0 > 0 && frames[first-1].Level >= p.level-speaks && (len(all) == 0 || float64(frames[first-1].At)/e.rate > all[len(all)-1].end) {
				first--
			}
			p.start, p.end = float64(frames[first].At)/e.rate, float64(frames[j-1].At)/e.rate
			all = append(all, p)
		}
		i = j
	}
	return all
}

// open says that turns may be missing between a and b: the sound goes on, as no frame lies turnDip under the
// softer side, and the frames name no other note, which would be what sounds there.
func (e *ear) open(a, b piece) bool {
	level := math.Min(a.level, b.level)
	for _, f := range e.frames(a.end, b.start) {
		if f.Level < level-turnDip {
			return false
		}
	}
	for _, r := range e.named(a.end, b.start) {
		if r.note != a.note && r.note != b.note && r.level >= level-namedUnder {
			return false
		}
	}
	return true
}

// A chain is notes that may be turns of one warble, with how many turns it is from each to
// the next.
type chain struct {
	turns []int
	gap   float64 // seconds, of one turn
}

// chained is the longest chain that begins with the first of the pieces. open says whether turns
// may be missing between two of them.
func chained(pieces []piece, open func(a, b piece) bool) chain {
	n := 1
	leaps := []bool{} // not next to the one before
	var other harp.Note
	for ; n < len(pieces); n++ {
		a, b := pieces[n-1], pieces[n]
		gap := b.start - a.end
		leap := gap > inBreath
		switch {
		case b.glide, !b.split && b.dip >= turnDip, b.note.Breath != a.note.Breath:
		case !leap && b.note == a.note, leap && (gap > mostLost*slowTurn || !open(a, b)):
		case b.note != pieces[0].note && b.note != other && (other != harp.Note{} || !beside(b.note, pieces[0].note)):
		default:
			if b.note != pieces[0].note {
				other = b.note
			}
			leaps = append(leaps, leap)
			continue
		}
		break
	}
	// How long a turn is, is told by those that follow one another and are quick.
	var short []float64
	for i, leap := range leaps {
		if gap := pieces[i+1].start - pieces[i].start; !leap && gap <= slowTurn {
			short = append(short, gap)
		}
	}
	if len(short) < leastShort {
		return chain{}
	}
	period := even(short)
	c := chain{}
	total, sum := 0.0, 0
	for i, leap := range leaps {
		gap := pieces[i+1].start - pieces[i].start
		turns := 1
		if leap || gap > lingers*period {
			turns = max(1, int(math.Round(gap/period)))
			held := !leap && pieces[i].sure >= leastSure
			if leap {
				turns = missing(gap/period, pieces[i].note != pieces[i+1].note)
			}
			switch {
			case leap && math.Abs(gap/period-float64(turns)) > offTurns, (leap || held) && gap > mostLost*period:
				turns = 0 // no turn is missing, or one is held
			case held && i > 0 && c.turns[i-1] > 1:
				// Two in a row are no warble, nor is the first of them.
				turns = 0
				sum, total = sum-c.turns[i-1], total-(pieces[i].start-pieces[i-1].start)
				c.turns = c.turns[:i-1]
			}
		}
		if turns == 0 {
			break
		}
		c.turns = append(c.turns, turns)
		sum, total = sum+turns, total+gap
	}
	if sum > 0 {
		c.gap = total / float64(sum)
	}
	return c
}

// even is how long a turn is that is told by gaps of which some may be longer than one: the mean
// of those that are not.
func even(gaps []float64) float64 {
	most := lingers * median(gaps)
	sum, n := 0.0, 0
	for _, g := range gaps {
		if g <= most {
			sum += g
			n++
		}
	}
	return sum / float64(n)
}

// missing is how many turns it may be from one note to another with a hole between that is turns
// long: an even number to the same note, an odd one to the other.
func missing(turns float64, other bool) int {
	if other {
		return max(3, 2*int(math.Round((turns-1)/2))+1)
	}
	return max(2, 2*int(math.Round(turns/2)))
}
