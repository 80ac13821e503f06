package grade

import (
	"math"

	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// absent marks the targets of a head that nothing was matched to.
func (g *grader) absent(h head) {
	for i := h.first; i < h.last; i++ {
		g.r.Missing++
		if i == h.first && g.heldThrough(i) {
			g.verdict(i, Dip, Missing)
			if g.d.Family == drill.Lick {
				g.r.Missing += h.last - h.first - 1
				return // its glides may well have sounded; the repeat is what to work on
			}
			continue
		}
		g.verdict(i, Played, Missing)
	}
}

// heldThrough reports whether a repeat is missing because the note before was held.
func (g *grader) heldThrough(i int) bool {
	if i == 0 || g.d.Targets[i-1].Note != g.d.Targets[i].Note {
		return false
	}
	t := g.d.Targets[i]
	for _, n := range g.notes {
		if n.start < t.Start && n.end > (t.Start+t.End)/2 && math.Abs(harp.Cents(n.hz, t.Hz)) < 50 {
			return true
		}
	}
	return false
}

// phrase grades a head and its glides against the heard note matched to it.
func (g *grader) phrase(h head, note int, used []bool) {
	n := g.notes[note]
	if g.d.Family == drill.Long {
		g.long(h.first, note, used)
		return
	}
	if g.d.Targets[h.first].Wave.By != drill.Nothing {
		g.wave(h.first, note, used)
		return
	}
	if g.d.Targets[h.first].Scoop > 0 {
		g.scoop(h.first, n)
		return
	}
	if h.last-h.first == 1 {
		g.single(h.first, n)
		return
	}
	for k, p := range g.plateaus(h, g.joined(h, note, used)) {
		if g.d.Targets[h.first+k].Zone > 0 {
			g.zone(h.first+k, p, k > 0)
			continue
		}
		g.rung(h.first+k, p, k > 0)
		if k == 0 && g.d.Family == drill.Blue {
			g.found(h.first, p.move)
		}
	}
}

// joined is the note with what follows it of the one breath that is asked: where it was
// broken, its other pieces belong to it too.
func (g *grader) joined(h head, note int, used []bool) sounded {
	n := g.notes[note]
	end := g.d.Targets[h.last-1].End
	for i := note + 1; i < len(g.notes); i++ {
		if used[i] || g.notes[i].start > end {
			break
		}
		if math.Abs(harp.Cents(g.notes[i].hz, g.d.Targets[h.first].Hz)) < 450 {
			n.end, used[i] = g.notes[i].end, true
		}
	}
	return n
}

// outcome fills in what became of target i.
func (g *grader) outcome(i int, start, end, hz float64, good, sure bool) {
	o := &g.r.Notes[i]
	o.Start, o.End, o.Good, o.Sure = start, end, good, sure
	if s, ok := g.d.Harp.Locate(hz, []harp.Note{g.d.Targets[i].Note}); ok {
		o.Heard = s.Note.Tab()
	}
}

// leastSure is the share of a note's frames that must be heard with confidence for it to
// be judged. Our choice.
const leastSure = 0.5

// single grades a target that is a sound of its own.
func (g *grader) single(i int, n sounded) {
	t, w := g.d.Targets[i], g.d.Windows
	alone := plateau{move: n.start, from: n.start, to: n.end}
	if t.Zone > 0 {
		g.zone(i, alone, false)
		return
	}
	if g.d.Family == drill.Aim {
		g.aim(i, n)
		return
	}
	if t.Note.Bend > 0 && (g.d.Family == drill.Ladder || g.d.Family == drill.Blue) {
		g.rung(i, alone, false)
		return
	}
	a, b := held(n.start, n.end)
	points, sure := g.e.contour(a, b, t.Hz)
	if sure < leastSure || len(points) == 0 {
		g.outcome(i, n.start, n.end, 0, false, false)
		g.verdict(i, Played, Unheard)
		return
	}
	cents := centsOf(points)
	pitch := median(cents)
	g.outcome(i, n.start, n.end, t.Hz*math.Exp2(pitch/1200), false, true)
	window := w.Natural
	if t.Note.Bend > 0 {
		window = w.Pitch
	}
	good := g.mark(i, Pitch, 0, pitch, window, "cents", math.Abs(pitch) <= window)
	level := g.e.leak(a, b)
	if g.d.Family == drill.Octaves {
		level = math.Max(level, g.e.leak(landing(n)))
	}
	good = g.mark(i, Leak, LeakFloor, level, w.Leak, "dB", level <= w.Leak) && good
	switch g.d.Family {
	case drill.Single, drill.Ladder, drill.Blue:
		late := n.start - t.Start
		good = g.mark(i, Find, 0, late, w.Find, "s", math.Abs(late) <= w.Find) && good
		good = g.length(i, n, w.LengthMin, math.Inf(1)) && good
		_, spread := meanDeviation(cents)
		good = g.mark(i, Spread, 0, spread, w.Spread, "cents", spread <= w.Spread) && good
		var levels []float64
		for _, f := range g.e.frames(a, b) {
			levels = append(levels, f.Level)
		}
		_, wander := meanDeviation(levels)
		good = g.mark(i, Steady, 0, wander, w.Level, "dB", wander <= w.Level) && good
	case drill.Turnaround, drill.Repeats, drill.Octaves, drill.Answer:
		good = g.onTime(i, n.start) && good
		good = g.length(i, n, w.LengthMin, w.LengthMax) && good
		if g.repeats(i) {
			good = g.mark(i, Dip, w.Dip, n.dip, w.Dip, "dB", n.dip >= w.Dip) && good
		}
	}
	g.r.Notes[i].Good = good
}

func (g *grader) length(i int, n sounded, least, most float64) bool {
	t := g.d.Targets[i]
	return g.lasts(i, (n.end-n.start)/(t.End-t.Start), least, most)
}

// lasts marks the share of the asked length that target i sounds.
func (g *grader) lasts(i int, share, least, most float64) bool {
	window := least
	if share > 1 && !math.IsInf(most, 1) {
		window = most
	}
	return g.mark(i, Length, 1, share, window, "of the length", share >= least && share <= most)
}
