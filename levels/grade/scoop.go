package grade

import (
	"math"
)

// scoop grades a note that starts under its pitch and rises to it: how deep it starts, how soon it
// is let go, and where it settles. Bends and releases within a breath are rungs (see rung).
func (g *grader) scoop(i int, n sounded) {
	t, w := g.d.Targets[i], g.d.Windows
	a, b := held(n.start, n.end)
	points, sure := g.e.contour(math.Max(a, n.start+math.Min(w.Release, (b-n.start)/2)), b, t.Hz)
	if sure < leastSure || len(points) == 0 {
		g.outcome(i, n.start, n.end, 0, false, false)
		g.verdict(i, Played, Unheard)
		return
	}
	cents := centsOf(points)
	pitch := median(cents)
	hz := t.Hz * math.Exp2(pitch/1200)
	g.outcome(i, n.start, n.end, hz, false, true)
	good := g.kept(i, n, pitch, a, b)
	depth := g.e.take.Scoop(n.as)
	good = g.mark(i, Depth, t.Scoop, depth, w.Depth, "cents", math.Abs(depth-t.Scoop) <= w.Depth) && good
	release := g.e.take.Settle(n.as, hz, settleBand)
	good = g.mark(i, Release, 0, release, w.Release, "s", release <= w.Release) && good
	_, spread := meanDeviation(cents)
	good = g.mark(i, Spread, 0, spread, w.Spread, "cents", spread <= w.Spread) && good
	g.r.Notes[i].Good = good
}

// kept marks what is asked of a note without a beat besides what is special to it: its pitch in cents off,
// alone from second a to b, soon and long enough.
func (g *grader) kept(i int, n sounded, pitch, a, b float64) bool {
	w := g.d.Windows
	good := g.mark(i, Pitch, 0, pitch, w.Natural, "cents", math.Abs(pitch) <= w.Natural)
	leak := g.e.leak(a, b)
	good = g.mark(i, Leak, LeakFloor, leak, w.Leak, "dB", leak <= w.Leak) && good
	late := n.start - g.d.Targets[i].Start
	good = g.mark(i, Find, 0, late, w.Find, "s", math.Abs(late) <= w.Find) && good
	good = g.length(i, n, w.LengthMin, math.Inf(1)) && good
	return good
}
