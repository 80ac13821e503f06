package write

import (
	"math"

	"reedwell/levels/harp"
)

const (
	// A warble is leastTurns notes or more that alternate between two neighbours in one
	// breath, each at most slowTurn seconds: six a second, under the four full cycles a
	// second from which one speaks of a warble (common practice), with room for a learner.
	leastTurns = 6
	slowTurn   = 0.19
	// A first or last note longer than this share of the mean gap stands for itself.
	lingers = 1.9
	// missedTurns is how long a hole in a warble may be, in turns, that the ear left.
	missedTurns = 2.2
	// inBreath is the gap in seconds up to which two notes may be one breath, and slurDip the
	// dip in dB up to which they are: where two reeds cross over the level dips by 5 to 10 on
	// sampled harmonicas, a tongue takes 20 and more.
	inBreath, slurDip = 0.025, 12.0
	// turnDip is slurDip where two reeds cross over and over: at eleven turns a second the level
	// dips by up to 15.5 on FluidR3, whose reeds speak slowly, and by 18.4 or more where a tongue stops it.
	turnDip = 17.0
)

// turns says that b may follow a in a warble.
func turns(a, b piece) bool {
	d := a.note.Hole - b.note.Hole
	oneBreath := b.start-a.end <= inBreath && a.note.Breath == b.note.Breath && (b.dip < turnDip || b.split)
	return oneBreath && (d == 1 || d == -1) && !b.glide
}

// warbles puts quick alternations together.
func warbles(pieces []piece) []piece {
	var all []piece
	for i := 0; i < len(pieces); {
		j := i + 1
		for j < len(pieces) && turns(pieces[j-1], pieces[j]) && (j < i+2 || pieces[j].note == pieces[j-2].note) {
			j++
		}
		first, last := i, j
		gap := middleGap(pieces[first:last])
		if last-first >= leastTurns && pieces[first].lingers(gap) {
			first++
		}
		if last-first >= leastTurns && pieces[last-1].lingers(gap) {
			last--
		}
		if last-first < leastTurns || gap > slowTurn {
			all = append(all, pieces[i])
			i++
			continue
		}
		all = append(all, pieces[i:first]...)
		w := joined(pieces[first:last])
		if n := len(all); n > 0 && all[n-1].goesOn(w) {
			// A turn between them was not heard.
			w.end, w.gap = pieces[last-1].end, (all[n-1].gap+w.gap)/2
			w.start, w.note, w.warble, w.dip = all[n-1].start, all[n-1].note, all[n-1].warble, all[n-1].dip
			all[n-1] = w
		} else {
			all = append(all, w)
		}
		i = last
		for end := &all[len(all)-1]; i < len(pieces) && end.trails(pieces[i]); i++ {
			end.end = pieces[i].end
		}
	}
	return all
}

// trails says that x is more of warble p behind turns that were not heard: one of its
// holes, as short as a turn in the same breath, or not clear.
func (p piece) trails(x piece) bool {
	turn := x.sure < leastSure || x.dip < turnDip && x.length() <= lingers*p.gap
	return turn && (x.note == p.note || x.note == p.warble) && x.start-p.end <= missedTurns*p.gap
}

// lingers says that the first or last note of a warble is one for itself. One that is long
// and not clear is turns that were not heard.
func (p piece) lingers(gap float64) bool { return p.length() > lingers*gap && p.sure >= leastSure }

// goesOn says that warble w goes on with warble p.
func (p piece) goesOn(w piece) bool {
	same := p.note == w.note && p.warble == w.warble || p.note == w.warble && p.warble == w.note
	return p.warbles() && same && w.start-p.end <= missedTurns*p.gap
}

func (p piece) length() float64 { return p.end - p.start }

// middleGap is the median distance of the starts.
func middleGap(pieces []piece) float64 {
	if len(pieces) < 3 {
		return math.Inf(1)
	}
	var gaps []float64
	for i := 1; i < len(pieces); i++ {
		gaps = append(gaps, pieces[i].start-pieces[i-1].start)
	}
	return median(gaps)
}

// joined is the warble that the pieces are.
func joined(pieces []piece) piece {
	p := pieces[0]
	p.warble = pieces[1].note
	p.along, p.scoop = nil, false
	last := pieces[len(pieces)-1]
	p.gap = (last.start - p.start) / float64(len(pieces)-1)
	p.end = last.end
	return p
}

// chords puts together what the ear cut where two holes sound with equal strength and it
// heard now the one, now the other; and one note cut where nothing was tongued.
func (e *ear) chords(pieces []piece) []piece {
	const unbroken, brief = 3.0, 0.12 // dB, under what a tongued repeat takes; seconds in which another hole is not yet sure
	var all []piece
	for i, p := range pieces {
		n := len(all)
		if n == 0 || p.start-all[n-1].end > inBreath || p.dip >= slurDip {
			all = append(all, p)
			continue
		}
		q := all[n-1]
		chord := q.sounds(p.note) && (p.sounds(q.note) || p.length() < brief) || p.sounds(q.note) && q.length() < brief
		again := p.note == q.note && p.chord() == q.chord() && math.Max(p.dip, e.dip(p.start)) < unbroken
		// Three holes start unevenly: for a moment one of them stands out.
		third := p.note.Breath == q.note.Breath && p.note.Bend == 0 && q.note.Bend == 0 && apart(p.note.Hole, q.note.Hole) <= 2 &&
			(q.length() < brief && p.chord() || p.length() < brief && q.chord())
		// Where two holes take turns, the one still rings while the other sounds.
		turn := p.note != q.note && p.length() < slowTurn && q.length() < slowTurn &&
			(n >= 2 && all[n-2].note == p.note && all[n-2].length() < slowTurn || i+1 < len(pieces) && pieces[i+1].note == q.note && pieces[i+1].length() < slowTurn)
		if turn || !chord && !again && !third {
			all = append(all, p)
			continue
		}
		short := p.note
		if p.length() > q.length() {
			short = q.note
			q.note, q.cents, q.thick = p.note, p.cents, p.thick
			q.along = p.along
		}
		q.end = p.end
		if !q.thick {
			e.measure(&q)
		}
		if third && !q.has(short.Hole) {
			q.along = append(q.along, along{short.Hole, 1, chordLevel})
		}
		all[n-1] = q
	}
	return all
}

// dip is how many dB the level of the frames around a moment falls under both sides. Frames
// last 43 ms and fill a short gap in part.
func (e *ear) dip(at float64) float64 {
	top := func(a, b float64) float64 {
		m := math.Inf(-1)
		for _, f := range e.frames(a, b) {
			m = math.Max(m, f.Level)
		}
		return m
	}
	low := math.Inf(1)
	for _, f := range e.frames(at-0.05, at+0.03) {
		low = math.Min(low, f.Level)
	}
	return math.Max(0, math.Min(top(at-0.12, at-0.02), top(at, at+0.1))-low)
}

const (
	// Another hole is meant when it is there most of the time and at near equal level; a
	// second hole 12 dB under is plain to hear (windows.go of package drill), so under
	// that it is a leak, and between the two nobody can say.
	chordShare, chordLevel = 0.5, -7.0
	leakLevel              = -14.0
)

// sounds says that n sounds along with the piece, at near equal level.
func (p piece) sounds(n harp.Note) bool {
	for _, a := range p.along {
		if a.hole == n.Hole && p.note.Breath == n.Breath && a.share >= chordShare && a.level >= chordLevel-3 {
			return true
		}
	}
	return false
}

// chord says that another hole sounds along at near equal level.
func (p piece) chord() bool {
	for _, a := range p.along {
		if a.share >= chordShare && a.level >= chordLevel {
			return true
		}
	}
	return false
}

// has says that a hole is among those that sound along.
func (p piece) has(hole int) bool {
	for _, a := range p.along {
		if a.hole == hole {
			return true
		}
	}
	return false
}

func apart(a, b int) int { return max(a-b, b-a) }
