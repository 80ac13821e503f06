package write

import (
	"math"

	"reedwell/audio/listen"
	"reedwell/levels/harp"
)

// A point is a pitch at a time: seconds, and cents over 440 Hz with the harp's own
// sharpness taken out.
type point struct{ at, cents float64 }

// A run is a stretch of points on one rung: points [first, last).
type run struct{ rung, first, last int }

// Costs of following the pitch, in the units of a Gaussian's exponent. Our choice: a
// rung is worth naming from about 40 ms on, and another reed within what the ear heard as one
// note only where the pitch leaves no choice.
const (
	spread    = 22.0 // cents about a rung: breath and mouth move a reed by 10, a bend by more
	mostFar   = 5.0  // a frame costs no more than this, however far off
	newRung   = 8.0
	otherReed = 40.0
	// In the first attack seconds a reed is still finding its pitch, up to 80 cents under it on
	// sampled ones, and tells little: attackWeight of what it tells later. That it is no rung further away than
	// attackFar cents, over the deepest bend, it tells as well as later.
	attack, attackWeight = 0.045, 0.25
	attackFar            = 350.0
)

// breath takes a heard note apart into the rungs on which it stayed.
func (e *ear) breath(n listen.Note) []piece {
	whole := piece{start: float64(n.Start) / e.rate, end: float64(n.End) / e.rate, dip: n.Dip}
	points := e.contour(whole.start, whole.end)
	if whole.end-whole.start < shortest || len(points) < 4 {
		return nil
	}
	runs := e.rest(points, e.follow(points))
	if len(runs) == 0 {
		return nil
	}
	var all []piece
	for i, r := range runs {
		p := whole
		p.note = e.rungs[r.rung].note
		if i > 0 {
			before := runs[i-1]
			p.split = true
			p.dip = 0
			p.start = points[r.first].at
			if same(e.rungs[before.rung].note, p.note) {
				p.glide = true
				p.start = leaves(points, before, r, e.rungs)
			}
			p.start = math.Max(p.start, all[len(all)-1].start+shortest)
			all[len(all)-1].end = p.start
		}
		p.under = e.under(points, r)
		p.cents = e.stays(points[r.first:r.last]) - e.rungs[r.rung].cents
		all = append(all, p)
	}
	kept := all[:0]
	for _, p := range all {
		if p.end-p.start < shortest {
			continue
		}
		e.measure(&p)
		kept = append(kept, p)
	}
	return kept
}

// same says that two notes are rungs of one reed, reached from each other by bending.
func same(a, b harp.Note) bool { return a.Hole == b.Hole && a.Breath == b.Breath && !a.Over && !b.Over }

// contour is the pitch from a to b seconds, of all frames that have one: those that
// are not sure within a note are vouched for by the note.
func (e *ear) contour(a, b float64) []point {
	low, high := e.harp.Low(), e.harp.High()
	var points []point
	for _, f := range e.frames(a, b) {
		if f.F0 >= low && f.F0 <= high {
			points = append(points, point{float64(f.At) / e.rate, harp.Cents(f.F0, concert) - e.sharp})
		}
	}
	return points
}

// follow finds the cheapest way over the rungs (Viterbi 1967).
func (e *ear) follow(points []point) []run {
	states := len(e.rungs)
	cost := make([]float64, states)
	from := make([][]int16, len(points))
	for t, x := range points {
		from[t] = make([]int16, states)
		best := 0
		for s := range cost {
			if cost[s] < cost[best] {
				best = s
			}
		}
		weight := 1.0
		if x.at-points[0].at < attack {
			weight = attackWeight
		}
		next := make([]float64, states)
		for s, r := range e.rungs {
			before, least := s, cost[s]
			if t > 0 {
				if c := cost[best] + otherReed; c < least {
					before, least = best, c
				}
				for q := max(0, s-3); q <= min(states-1, s+3); q++ { // rungs of a reed stand together
					if c := cost[q] + newRung; c < least && same(e.rungs[q].note, r.note) {
						before, least = q, c
					}
				}
			}
			from[t][s] = int16(before)
			d := x.cents - r.cents
			if math.Abs(d) > attackFar {
				next[s] = least + mostFar
				continue
			}
			next[s] = least + weight*math.Min(d*d/(2*spread*spread), mostFar)
		}
		cost = next
	}
	s := 0
	for i := range cost {
		if cost[i] < cost[s] {
			s = i
		}
	}
	var runs []run
	for t := len(points) - 1; t >= 0; t-- {
		if len(runs) == 0 || runs[len(runs)-1].rung != s {
			runs = append(runs, run{s, t, t + 1})
		}
		runs[len(runs)-1].first = t
		s = int(from[t][s])
	}
	for i, j := 0, len(runs)-1; i < j; i, j = i+1, j-1 {
		runs[i], runs[j] = runs[j], runs[i]
	}
	return runs
}

const (
	// A rung counts when the pitch rested there: moved by no more than restCents within
	// restTime. The slowest glide of a bend that is no rest, a half step in 0.25 s, moves by
	// 20 cents in that time; a rung under vibrato of 10 cents either side stays.
	restTime, restCents = 0.05, 18.0
	// scoopTime is how long a scoop may take in seconds, and passTime how long a rung that
	// is only passed may seem to last.
	scoopTime, passTime = 0.18, 0.15
)

// rest leaves out the rungs that are only passed: a scoop's start, the middle of a glide.
// What is left out goes to the rung that follows.
func (e *ear) rest(points []point, runs []run) []run {
	kept := make([]run, 0, len(runs))
	for i, r := range runs {
		lasts := points[r.last-1].at - points[r.first].at
		passed := lasts < passTime && !rests(points[r.first:r.last])
		if len(kept) == 0 && i+1 < len(runs) && lasts < shortest {
			passed = true // the attack
		}
		if passed && i+1 < len(runs) {
			runs[i+1].first = r.first
			continue
		}
		if passed && len(kept) > 0 && !e.arrives(points[r.first:r.last], r.rung) { // the release
			kept[len(kept)-1].last = r.last
			continue
		}
		if n := len(kept); n > 0 && kept[n-1].rung == r.rung {
			kept[n-1].last = r.last
			continue
		}
		kept = append(kept, r)
	}
	return kept
}

// arrives says that the last rung of a breath was reached, if only just: a quick bend at
// the end of a note takes most of its time to get there.
func (e *ear) arrives(points []point, rung int) bool {
	const near, least = 25.0, 5 // cents; frames
	n := 0
	for _, p := range points {
		if math.Abs(p.cents-e.rungs[rung].cents) < near {
			n++
		}
	}
	return n >= least
}

// rests says that the pitch stood still somewhere among the points.
func rests(points []point) bool {
	for i := range points {
		low, high := points[i].cents, points[i].cents
		for j := i; j < len(points); j++ {
			low, high = math.Min(low, points[j].cents), math.Max(high, points[j].cents)
			if high-low > restCents {
				break
			}
			if points[j].at-points[i].at >= restTime-1e-9 {
				return true
			}
		}
	}
	return false
}

// stays is the pitch at which a run stays: the median without the attack and the release.
func (e *ear) stays(points []point) float64 {
	from, to := 3*len(points)/8, len(points)-len(points)/8
	var c []float64
	for _, p := range points[from:max(from+1, to)] {
		c = append(c, p.cents)
	}
	return median(c)
}

// leaves is when the pitch left rung a for b: a glide is taken as straight, through the
// points where a quarter and three quarters of it are done.
func leaves(points []point, a, b run, rungs []rung) float64 {
	from, to := rungs[a.rung].cents, rungs[b.rung].cents
	part := func(i int) float64 { return (points[i].cents - from) / (to - from) }
	mid := b.first
	for mid > a.first+1 && part(mid-1) > 0.5 {
		mid--
	}
	for mid < b.last-1 && part(mid) < 0.5 {
		mid++
	}
	quarter, three := mid, mid
	for quarter > a.first && part(quarter) > 0.25 {
		quarter--
	}
	for three < b.last-1 && part(three) < 0.75 {
		three++
	}
	length := points[three].at - points[quarter].at
	return math.Max(points[a.first].at, points[quarter].at-length/2)
}

// A scoop starts 50 to 150 cents under its note and takes up to 0.2 s (common practice). Reeds
// begin under their pitch by themselves: the mean over the first 75 ms is 20 to 45 cents on
// sampled ones, 60 at 200 Hz. So a scoop is one whose mean is deeper than that and than
// what the reeds of the take do by themselves.
const (
	scoopFrom, scoopTo = 0.010, 0.075 // seconds after the start
	scoopMean          = 40.0         // cents
	scoopLow           = 45.0         // cents more for each octave under scoopHz
	scoopHz            = 300.0
	scoopOver          = 20.0  // cents over the median of the take
	scoopMost          = 200.0 // cents: more is another note, still ringing
	scoopDone          = 0.25  // seconds: by then the pitch has arrived
)

// under is by how many cents a note lies under its pitch while it starts, in the mean; 0
// where it does not arrive in time.
func (e *ear) under(points []point, r run) float64 {
	all := points[r.first:r.last]
	settled := e.stays(all)
	sum, n := 0.0, 0
	arrived := false
	for _, p := range all {
		since, d := p.at-all[0].at, settled-p.cents
		switch {
		case since > scoopTo:
			arrived = arrived || d < 12 && since <= scoopDone
		case since >= scoopFrom && math.Abs(d) < scoopMost:
			sum += d
			n++
		}
	}
	if n < 6 || !arrived {
		return 0
	}
	return sum / float64(n)
}

// scoops marks the pieces that are scooped.
func (e *ear) scoops(pieces []piece) {
	var all []float64
	for _, p := range pieces {
		if !p.glide {
			all = append(all, p.under)
		}
	}
	if len(all) == 0 {
		return
	}
	usual := median(all)
	for i := range pieces {
		p := &pieces[i]
		hz, err := e.harp.Hz(p.note)
		if err != nil || p.glide || p.warbles() || len(p.along) > 0 && p.along[0].share > chordShare {
			continue
		}
		least := scoopMean + scoopLow*math.Max(0, math.Log2(scoopHz/hz))
		p.scoop = p.under >= math.Max(least, usual+scoopOver)
	}
}
