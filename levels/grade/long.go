package grade

import (
	"math"

	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// An attack runs from where a tone is from dB under its held level, where tones are heard to
// start (6 to 15 dB: Vos & Rasch 1981, from memory), to where it is upTo dB under: half the power.
// Where the ear has the start does not matter: of a slow attack it hears the first breath.
const (
	upFrom = 12.0
	upTo   = 3.0
)

// long grades a tone that lasts as long as the breath: when and how it starts, how long it goes
// on unbroken, and how level and still it is meanwhile.
func (g *grader) long(i, note int, used []bool) {
	t, w := g.d.Targets[i], g.d.Windows
	first, n, breaks := g.unbroken(t, note, used)
	a, b := held(n.start, n.end)
	points, sure := g.e.contour(a, b, t.Hz)
	frames := g.e.frames(n.start, b)
	if sure < leastSure || len(points) == 0 || len(frames) < 2 {
		g.outcome(i, n.start, n.end, 0, false, false)
		g.verdict(i, Played, Unheard)
		return
	}
	var levels []float64
	for _, f := range frames {
		levels = append(levels, f.Level)
	}
	// The line that the level follows after the first quarter, led back to the start: a tone that
	// grows all along starts well all the same.
	quarter := len(levels) / 4
	rise, _, mean := trend(levels[quarter:])
	line := func(k int) float64 {
		return mean + rise*((float64(k-quarter))/float64(len(levels)-quarter)-0.5)
	}
	up := 0
	reach := func(under float64) float64 {
		for up < len(levels)-1 && levels[up] < line(up)-under {
			up++
		}
		return float64(frames[up].At) / g.e.rate
	}
	attack := -reach(upFrom)
	attack += reach(upTo)
	cents := centsOf(points)
	pitch := median(cents)
	g.outcome(i, n.start, n.end, t.Hz*math.Exp2(pitch/1200), false, true)

	good := g.mark(i, Pitch, 0, pitch, w.Natural, "cents", math.Abs(pitch) <= w.Natural)
	leak := g.e.leak(a, b)
	good = g.mark(i, Leak, LeakFloor, leak, w.Leak, "dB", leak <= w.Leak) && good
	late := first - t.Start
	good = g.mark(i, Find, 0, late, w.Find, "s", math.Abs(late) <= w.Find) && good
	good = g.mark(i, Attack, 0, attack, w.Attack, "s", attack <= w.Attack) && good
	good = g.mark(i, Breaks, 0, float64(breaks), 0, "times", breaks == 0) && good
	good = g.length(i, n, w.Breath, math.Inf(1)) && good
	_, spread := meanDeviation(cents)
	good = g.mark(i, Spread, 0, spread, w.Spread, "cents", spread <= w.Spread) && good

	// How loud it stays, once the attack is over.
	for up < len(levels)-1 && float64(frames[up].At)/g.e.rate < a+2*attack {
		up++
	}
	fade, wander, _ := trend(levels[up:])
	good = g.mark(i, Fade, 0, fade, w.Fade, "dB", math.Abs(fade) <= w.Fade) && good
	good = g.mark(i, Steady, 0, wander, w.Level, "dB", wander <= w.Level) && good
	g.r.Notes[i].Good = good
}

// brokenOff is by how many dB a tone falls where it breaks off, at least: to a tenth of its
// pressure. What falls less comes and goes, and is marked as that. Our choice.
const brokenOff = 20.0

// unbroken is the longest piece of what sounded for the target from the matched note on, when the
// first piece started, and how often it broke off within its time. The pieces are no extra notes: they are the same fault.
func (g *grader) unbroken(t drill.Target, note int, used []bool) (first float64, longest sounded, breaks int) {
	piece := g.notes[note]
	first, longest = piece.start, piece
	for k := note + 1; k < len(g.notes); k++ {
		next := g.notes[k]
		if used[k] || next.start > t.End || math.Abs(harp.Cents(next.hz, piece.hz)) > 50 {
			break
		}
		used[k] = true
		if next.dip < brokenOff {
			piece.end = next.end // it swells, and the ear hears a start in that
		} else {
			piece = next
			breaks++
		}
		if piece.end-piece.start > longest.end-longest.start {
			longest = piece
		}
	}
	return first, longest, breaks
}

// trend fits a line to x and returns by how much it rises from first to last, the standard
// deviation about it, and the mean.
func trend(x []float64) (rise, deviation, mean float64) {
	mean, _ = meanDeviation(x)
	var up, over, power float64
	for i, v := range x {
		u := 2*float64(i)/math.Max(1, float64(len(x)-1)) - 1
		up += u * (v - mean)
		over += u * u
	}
	if over > 0 {
		rise = 2 * up / over
	}
	for i, v := range x {
		u := 2*float64(i)/math.Max(1, float64(len(x)-1)) - 1
		power += math.Pow(v-mean-rise/2*u, 2)
	}
	return rise, math.Sqrt(power / float64(len(x))), mean
}
