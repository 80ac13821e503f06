package grade

import (
	"math"
	"sort"
)

// A plateau is the stretch in which one rung was held: the pitch began to move towards
// it at move, and the stretch runs from from to to. All in seconds.
type plateau struct{ move, from, to float64 }

// Movement between rungs is read over this many seconds to either side: long enough to
// see a glide in the frames of 5 ms, short beside a glide of 100 ms. Our choice.
const reach = 0.04

// The fall over 2*reach, in cents, that is a move to the next rung, and the one under
// which the move has ended. Half a rung in a quarter of a second is a slow glide: 16
// cents in 80 ms.
const (
	moving  = 16.0
	resting = 5.0
)

// plateaus cuts the heard note of a head into one stretch for each target. Between two
// rungs the cut is where the pitch moves most in the asked direction, within the
// neighbourhood of the asked change; where it does not move, the asked change itself.
// Cutting by nearness to the rungs instead would hide the usual fault: a first rung
// that is too deep would be taken for the second.
func (g *grader) plateaus(h head, n sounded) []plateau {
	targets := g.d.Targets[h.first:h.last]
	points, _ := g.e.contour(n.start, n.end, targets[0].Hz)
	at := func(t float64) float64 { // pitch of the nearest confident frame
		i := sort.Search(len(points), func(i int) bool { return points[i].at >= t })
		switch {
		case len(points) == 0:
			return math.NaN()
		case i == len(points) || i > 0 && t-points[i-1].at < points[i].at-t:
			i--
		}
		return points[i].cents
	}
	shift := n.start - targets[0].Start
	all := []plateau{{move: n.start, from: n.start}}
	for k := 1; k < len(targets); k++ {
		direction := 1.0
		if targets[k].Hz < targets[k-1].Hz {
			direction = -1
		}
		asked := targets[k].Start + shift
		before := math.Min(0.45*(targets[k-1].End-targets[k-1].Start), asked-all[k-1].from)
		after := 0.45 * (targets[k].End - targets[k].Start)
		cut, most := asked, moving
		for t := asked - before; t <= asked+after; t += 0.005 {
			if v := direction * (at(t+reach) - at(t-reach)); v > most {
				cut, most = t, v
			}
		}
		from, to := cut, cut
		if most > moving {
			for from > asked-before && direction*(at(from+reach)-at(from-reach)) > resting {
				from -= 0.005
			}
			for to < asked+after && direction*(at(to+reach)-at(to-reach)) > resting {
				to += 0.005
			}
			from, to = math.Max(from+reach/2, all[k-1].from), to-reach/2
		}
		all[k-1].to = from
		all = append(all, plateau{move: from, from: to})
	}
	all[len(all)-1].to = math.Max(n.end, all[len(all)-1].from)
	return all
}

// settleBand is how near in cents the pitch must stay to where it ends up to have
// settled: the border of what is heard as a change of pitch by untrained listeners (10 to
// 20 cents, from memory).
const settleBand = 15.0

// leastHeld is the shortest stretch in seconds that is a held rung. Our choice.
const leastHeld = 0.15

// rung grades one held pitch of a ladder; glided tells that it was reached in the same breath.
func (g *grader) rung(i int, p plateau, glided bool) {
	t, w := g.d.Targets[i], g.d.Windows
	points, sure := g.e.contour(p.from, p.to-0.04, t.Hz) // without the release or the next move
	if p.to-p.from < leastHeld {
		g.outcome(i, p.from, p.to, 0, false, true)
		g.r.Missing++
		g.verdict(i, Played, Missing)
		return
	}
	if sure < leastSure || len(points) < 5 {
		g.outcome(i, p.from, p.to, 0, false, false)
		g.verdict(i, Played, Unheard)
		return
	}
	// Where it ends up: the median of the later part.
	cents := centsOf(points)
	rest := median(cents[len(cents)/3:])
	first := len(points) // first point from which it stays settled for 100 ms
	for k := range points {
		stays := true
		for m := k; m < len(points) && points[m].at < points[k].at+0.1; m++ {
			stays = stays && math.Abs(points[m].cents-rest) <= settleBand
		}
		if stays {
			first = k
			break
		}
	}
	settle := p.to - p.move
	still := cents[len(cents)/3:]
	if first < len(points) {
		settle = points[first].at - p.move
		still = cents[first:]
	}
	pitch := median(still)
	g.outcome(i, p.from, p.to, t.Hz*math.Exp2(pitch/1200), false, true)
	window := w.Natural
	if t.Note.Bend > 0 {
		window = w.Pitch
	}
	good := g.mark(i, Pitch, 0, pitch, window, "cents", math.Abs(pitch) <= window)
	_, spread := meanDeviation(still)
	good = g.mark(i, Spread, 0, spread, w.Spread, "cents", spread <= w.Spread) && good
	good = g.mark(i, Settle, 0, settle, w.Settle, "s", settle <= w.Settle) && good
	if t.Note.Bend > 0 {
		over := g.overshoot(i, p, glided, pitch)
		good = g.mark(i, Overshoot, 0, over, w.Overshoot, "cents", over <= w.Overshoot) && good
	}
	share := (p.to - p.from) / (t.End - t.Start)
	good = g.mark(i, Length, 1, share, w.LengthMin, "of the length", share >= w.LengthMin) && good
	level := g.e.leak(held(p.from, p.to))
	good = g.mark(i, Leak, LeakFloor, level, w.Leak, "dB", level <= w.Leak) && good
	g.r.Notes[i].Good = good
}

// overshoot returns how far the pitch went past the rung, and past where it came to
// rest, within the first part of the stretch: a pitch that rests too deep is the
// business of the pitch mark.
func (g *grader) overshoot(i int, p plateau, glided bool, rest float64) float64 {
	t := g.d.Targets[i]
	direction := -1.0 // bends are reached from above
	if glided && g.d.Targets[i-1].Hz < t.Hz {
		direction = 1
	}
	points, _ := g.e.contour(p.move, math.Min(p.to, p.move+g.d.Windows.Settle+0.3), t.Hz)
	past := 0.0
	for _, x := range points {
		if x.at < p.move+0.03 && !glided {
			continue // the attack
		}
		past = math.Max(past, direction*x.cents-math.Max(0, direction*rest))
	}
	return past
}
