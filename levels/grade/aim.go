package grade

import (
	"fmt"
	"math"

	"reedwell/levels/drill"
)

// come is the share of a note, at its end, in which it has come to where it stays: before that the
// player may look for the tone. Our choice: the last third of three beats is a beat.
const come = 1.0 / 3

// aim grades a bend to a tone that was sounded: how near it comes, when it is there, and whether it
// stands still then.
func (g *grader) aim(i int, n sounded) {
	t, w := g.d.Targets[i], g.d.Windows
	to := n.end - math.Min(0.04, (n.end-n.start)/4)
	points, sure := g.e.contour(n.start, to, t.Hz)
	if sure < leastSure || len(points) < 10 {
		g.outcome(i, n.start, n.end, 0, false, false)
		g.verdict(i, Played, Unheard)
		return
	}
	cents := centsOf(points)
	first := int(float64(len(cents)) * (1 - come))
	rest := median(cents[first:])
	away := func(k int) bool { return math.Abs(cents[k]-rest) > settleBand }
	// Going back from there to where it was away for the last time, for two frames: one may err.
	for first > 0 && !(away(first-1) && (first == 1 || away(first-2))) {
		first--
	}
	pitch := median(cents[first:])
	g.outcome(i, n.start, n.end, t.Hz*math.Exp2(pitch/1200), false, true)
	if math.Abs(pitch) <= w.Pitch { // the note next to it may be another one
		g.r.Notes[i].Heard = t.Tab()
	}
	good := g.mark(i, Pitch, 0, pitch, w.Pitch, "cents", math.Abs(pitch) <= w.Pitch)
	_, spread := meanDeviation(cents[first:])
	good = g.mark(i, Spread, 0, spread, w.Spread, "cents", spread <= w.Spread) && good
	if spread <= w.Spread { // what never stands still has no place to come to
		settle := points[first].at - n.start
		good = g.mark(i, Settle, 0, settle, w.Seek, "s", settle <= w.Seek) && good
	}
	late := n.start - t.Start
	good = g.mark(i, Find, 0, late, w.Find, "s", math.Abs(late) <= w.Find) && good
	good = g.length(i, n, w.LengthMin, math.Inf(1)) && good
	leak := g.e.leak(held(n.start, n.end))
	good = g.mark(i, Leak, LeakFloor, leak, w.Leak, "dB", leak <= w.Leak) && good
	g.r.Notes[i].Good = good
}

// sayAim says how far a tone was missed: the player has seen nothing of it and looks for it by ear.
func sayAim(d drill.Drill, m Mark, name string) string {
	size := math.Abs(m.Heard)
	switch {
	case m.Verdict == Good:
		return fmt.Sprintf("The tone on %s is met.", name)
	case m.Heard < 0:
		return fmt.Sprintf("The tone on %s is passed by %.0f cents, too deep: hum it first, and stop where the hum is.", name, size)
	}
	return fmt.Sprintf("The tone on %s is missed by %.0f cents, too high: hum it first, and go down until breath and hum are one.", name, size)
}
