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
	// missedTurns is how long a hole behind a warble may be, in turns, that the ear left.
	missedTurns = 2.2
	// inBreath is the gap in seconds up to which two notes may be one breath, and slurDip the
	// dip in dB up to which they are: where two reeds cross over the level dips by 5 to 10 on
	// sampled harmonicas, a tongue takes 20 and more.
	inBreath, slurDip = 0.025, 12.0
	// turnDip is slurDip where two reeds cross over and over: at eleven turns a second the level
	// dips by up to 15.5 on FluidR3, whose reeds speak slowly, and by 18.4 or more where a tongue stops it.
	turnDip = 17.0
)

// warbles puts quick alternations together, and takes out the turns that were put back in
// vain. open says whether turns may be missing between two pieces.
func warbles(pieces []piece, open func(a, b piece) bool) []piece {
	var all []piece
	for i := 0; i < len(pieces); {
		c := chained(pieces[i:], open)
		first, last := i, i+len(c.turns)+1
		if last-first >= leastTurns && pieces[first].lingers(c.gap) {
			first++
		}
		if last-first >= leastTurns && pieces[last-1].lingers(c.gap) {
			last--
		}
		w := joined(pieces[first:last], c.turns[first-i:max(first-i, last-i-1)])
		if last-first < leastTurns || w.gap > slowTurn || 2*w.lostTurns > w.turns+1 {
			if !pieces[i].lost {
				all = append(all, pieces[i])
			}
			i++
			continue
		}
		for _, p := range pieces[i:first] {
			if !p.lost {
				all = append(all, p)
			}
		}
		all = append(all, w)
		i = last
		for end := &all[len(all)-1]; i < len(pieces) && end.trails(pieces[i]); i++ {
			end.end, end.final = pieces[i].end, pieces[i].note
		}
	}
	return all
}

// trails says that x is more of warble p behind turns that were not heard: one of its
// holes, as short as a turn in the same breath, or not clear. Where the last turn's own hole comes again without
// room for another turn between, it is repeated.
func (p piece) trails(x piece) bool {
	again := x.note == p.final && x.start-p.end < p.gap/2
	turn := x.sure < leastSure || !again && x.dip < turnDip && x.length() <= lingers*p.gap
	return turn && (x.note == p.note || x.note == p.warble) && x.start-p.end <= missedTurns*p.gap
}

// lingers says that the first or last note of a warble is one for itself. One that is long
// and not clear is turns that were not heard.
func (p piece) lingers(gap float64) bool { return p.length() > lingers*gap && p.sure >= leastSure }

func (p piece) length() float64 { return p.end - p.start }

// joined is the warble that the pieces are, with how many turns it is from each to the next.
func joined(pieces []piece, turns []int) piece {
	p := pieces[0]
	if len(pieces) < 2 {
		return p
	}
	p.along, p.scoop, p.lost = nil, false, false
	for _, x := range pieces {
		if x.note != p.note {
			p.warble = x.note
		}
		if x.lost {
			p.lostTurns++
		}
	}
	p.turns = 1
	for _, n := range turns {
		p.turns += n
		p.lostTurns += n - 1
		p.guessed += n - 1
	}
	last := pieces[len(pieces)-1]
	p.gap = (last.start - p.start) / float64(p.turns-1)
	p.end, p.final = last.end, last.note
	return p
}

const (
	// unbroken is the dip in dB, under what a tongued repeat takes, up to which a note that was cut is one. The holes of a
	// chord beat against each other: on the sampled harmonicas, in a room and noise, its level wavers by up to 6, where
	// the least tongued repeat there dips by 9.6.
	unbroken, wavers = 3.0, 8.0
	// leftOut is the gap in seconds that a note leaves which is too short for the page.
	leftOut = shortest + 0.005
	// brief is the time in seconds in which another hole is not yet sure, and for which a chord may be told
	// as notes that are too short for the page.
	brief = 0.12
)

// chords puts together what the ear cut where two holes sound with equal strength and it
// heard now the one, now the other; and one note cut where nothing was tongued.
func (e *ear) chords(pieces []piece) []piece {
	var all []piece
	for i, p := range pieces {
		n := len(all)
		if n == 0 || p.dip >= slurDip || p.start-all[n-1].end > brief {
			all = append(all, p)
			continue
		}
		q := all[n-1]
		far := p.start-q.end > inBreath
		wave := math.Max(p.dip, e.dip(p.start))
		if far {
			wave = math.Max(wave, e.dipBetween(q.end, p.start))
		}
		natural := p.note.Breath == q.note.Breath && p.note.Bend == 0 && q.note.Bend == 0
		muddy := math.Min(p.clear, q.clear) < mudClear
		chord := q.sounds(p.note) && (p.sounds(q.note) || p.length() < brief) || p.sounds(q.note) && q.length() < brief
		again := p.note == q.note && p.start-q.end <= leftOut && p.chord() == q.chord() && (wave < unbroken || muddy && wave < wavers)
		wavering := p.note == q.note && (p.hints() || q.hints())
		// Three holes start unevenly: for a moment one of them stands out.
		third := natural && apart(p.note.Hole, q.note.Hole) <= 2 && (q.length() < brief && p.chord() || p.length() < brief && q.chord())
		// No note is slurred to the next hole but one while the hole between goes on sounding.
		over := natural && apart(p.note.Hole, q.note.Hole) == 2 && wave < wavers && (p.between(q) || q.between(p))
		// Where two holes take turns, the one still rings while the other sounds.
		turn := p.note != q.note && !over && p.length() < slowTurn && q.length() < slowTurn &&
			(n >= 2 && all[n-2].note == p.note && all[n-2].length() < slowTurn || i+1 < len(pieces) && pieces[i+1].note == q.note && pieces[i+1].length() < slowTurn)
		join := chord || third || over || wavering
		if far || wavering {
			join = join && wave < wavers
		}
		if turn || !join && !again {
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
		q.taken = append(q.taken, p.taken...)
		if !q.thick {
			e.measure(&q)
		}
		if third || over {
			for hole := min(short.Hole, q.note.Hole); hole <= max(short.Hole, q.note.Hole); hole++ {
				q.taken = append(q.taken, hole)
			}
		}
		for _, hole := range q.taken {
			q.add(hole)
		}
		all[n-1] = q
	}
	return all
}

// dip is how many dB the level of the frames around a moment falls under both sides. Frames
// last 43 ms and fill a short gap in part.
func (e *ear) dip(at float64) float64 {
	low := math.Inf(1)
	for _, f := range e.frames(at-0.05, at+0.03) {
		low = math.Min(low, f.Level)
	}
	return math.Max(0, math.Min(e.top(at-0.12, at-0.02), e.top(at, at+0.1))-low)
}

// dipBetween is how many dB the level falls from a to b under both sides.
func (e *ear) dipBetween(a, b float64) float64 {
	low := math.Inf(1)
	for _, f := range e.frames(a, b) {
		low = math.Min(low, f.Level)
	}
	return math.Max(0, math.Min(e.top(a-0.12, a), e.top(b, b+0.1))-low)
}

// top is the level of the loudest frame from a to b seconds.
func (e *ear) top(a, b float64) float64 {
	m := math.Inf(-1)
	for _, f := range e.frames(a, b) {
		m = math.Max(m, f.Level)
	}
	return m
}

const (
	// Another hole is meant when it is there most of the time and at near equal level; a
	// second hole 12 dB under is plain to hear (windows.go of package drill), so under
	// that it is a leak, and between the two nobody can say.
	chordShare, chordLevel = 0.5, -7.0
	chordHint              = 0.2 // share of the time for which it may be
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

// hints says that another hole is heard at near equal level, or a little under, for some of the time.
func (p piece) hints() bool {
	for _, a := range p.along {
		if a.share >= chordHint && a.level >= chordLevel-3 {
			return true
		}
	}
	return false
}

// between says that in p the hole between it and x, the next but one, is heard at near equal level for
// some of the time; for less of it where one of the two is brief.
func (p piece) between(x piece) bool {
	least := chordHint
	if math.Min(p.length(), x.length()) < brief {
		least /= 2
	}
	for _, a := range p.along {
		if 2*a.hole == p.note.Hole+x.note.Hole && a.share >= least && a.level >= chordLevel {
			return true
		}
	}
	return false
}

// add takes a hole for one of the chord.
func (p *piece) add(hole int) {
	if hole == p.note.Hole {
		return
	}
	for i := range p.along {
		if a := &p.along[i]; a.hole == hole {
			if a.share < chordShare || a.level < chordLevel {
				*a = along{hole, 1, math.Max(a.level, chordLevel)}
			}
			return
		}
	}
	p.along = append(p.along, along{hole, 1, chordLevel})
}

func apart(a, b int) int { return max(a-b, b-a) }
