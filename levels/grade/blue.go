package grade

import (
	"fmt"
	"math"

	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// landed is for how many seconds a pitch must stay in the zone to have landed there: to pass
// through on the way to the half step is no landing. Our choice, as for settling on a rung.
const landed = 0.1

// someInside is the share of its time that a blue third which is out of its zone on the whole must have
// been in it for anything else to be said of that. Our choice.
const someInside = 0.25

// zone grades a blue third: where it lies, how soon it is there, and whether it stays. Where in the
// zone it is, and whether it moves about in it, is the player's own business.
func (g *grader) zone(i int, p plateau, glided bool) {
	t, w := g.d.Targets[i], g.d.Windows
	points, sure := g.e.contour(p.move, p.to-0.04, t.Hz) // from the move on, without the release or the next one
	switch {
	case p.to-p.from < leastHeld:
		g.outcome(i, p.from, p.to, 0, false, true)
		g.r.Missing++
		g.verdict(i, Played, Missing)
		return
	case sure < leastSure || len(points) < 5:
		g.outcome(i, p.from, p.to, 0, false, false)
		g.verdict(i, Played, Unheard)
		return
	}
	in := func(x point) bool { return math.Abs(x.cents) <= t.Zone }
	first := len(points)
	for k := range points {
		stays := true
		for m := k; m < len(points) && points[m].at < points[k].at+landed; m++ {
			stays = stays && in(points[m])
		}
		if stays {
			first = k
			break
		}
	}
	settle, rest, inside := p.to-p.move, points[len(points)/3:], 0.0
	if first < len(points) {
		settle, rest = points[first].at-p.move, points[first:]
		for _, x := range rest {
			if in(x) {
				inside++
			}
		}
		inside /= float64(len(rest))
	}
	pitch := median(centsOf(rest))
	g.outcome(i, p.from, p.to, t.Hz*math.Exp2(pitch/1200), false, true)
	if math.Abs(pitch) <= t.Zone {
		g.r.Notes[i].Heard = t.Tab()
	}
	good := g.mark(i, Third, overRoot(g.d, i)-t.Zone, overRoot(g.d, i)+pitch, 2*t.Zone, "cents over the root", math.Abs(pitch) <= t.Zone)
	if good || inside >= someInside { // else it is said already
		good = g.mark(i, Settle, 0, settle, w.Settle, "s", settle <= w.Settle) && good
		good = g.mark(i, Inside, 1, inside, w.Inside, "of the time", inside >= w.Inside) && good
	}
	share := (p.to - p.from) / (t.End - t.Start)
	good = g.mark(i, Length, 1, share, w.LengthMin, "of the length", share >= w.LengthMin) && good
	level := g.e.leak(held(p.from, p.to))
	good = g.mark(i, Leak, LeakFloor, level, w.Leak, "dB", level <= w.Leak) && good
	g.r.Notes[i].Good = good
	if !glided {
		g.found(i, p.move)
	}
}

// found marks how long it took to find the hole of target i, which has its other marks.
func (g *grader) found(i int, start float64) {
	late, w := start-g.d.Targets[i].Start, g.d.Windows
	good := g.mark(i, Find, 0, late, w.Find, "s", math.Abs(late) <= w.Find)
	g.r.Notes[i].Good = g.r.Notes[i].Good && good
}

// overRoot is how many cents the middle of target i's zone lies over the root, 2 draw.
func overRoot(d drill.Drill, i int) float64 {
	root, err := d.Harp.Hz(harp.Note{Hole: 2, Breath: harp.Draw})
	if err != nil {
		panic("grade: " + err.Error()) // every harp has it
	}
	return harp.Cents(d.Targets[i].Hz, root)
}

// sayThird says what to change about a blue third.
func sayThird(d drill.Drill, m Mark, name string) string {
	good := m.Verdict == Good
	if m.Quantity == Inside {
		return pick(good, "The blue third stays in its zone.", fmt.Sprintf("The blue third is in its zone for only %.0f %% of the time: once it is there, keep tongue and breath as they are.", 100*m.Heard))
	}
	if good {
		return "The blue third lies in its zone."
	}
	off := m
	off.Heard = m.Heard - m.Asked - m.Window/2
	if other, ok := elsewhere(d, off); ok {
		return fmt.Sprintf("That was %s; %s was asked.", other.Words(), name)
	}
	zone := fmt.Sprintf("%.0f cents over the root, where its zone runs from %.0f to %.0f", m.Heard, m.Asked, m.Asked+m.Window)
	if m.Heard < m.Asked {
		return fmt.Sprintf("The blue third sinks to %s: that is nearly the half step, lean on it less.", zone)
	}
	return fmt.Sprintf("The blue third is only down to %s: lean on it a little more.", zone)
}
