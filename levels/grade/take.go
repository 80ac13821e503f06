package grade

import (
	"math"

	"reedwell/audio/listen"
	"reedwell/levels/drill"
)

// Take grades a take whose sample 0 is drill time 0.
func Take(d drill.Drill, heard listen.Take) Result {
	r := Result{Drill: d.ID, Notes: make([]Note, len(d.Targets))}
	for i, t := range d.Targets {
		r.Notes[i] = Note{Target: i, Tab: t.Note.Tab()}
	}
	e := evidence{take: heard, rate: float64(heard.Rate)}
	notes := e.notes(d)
	if r.Problem = e.problem(notes); r.Problem != "" {
		r.Missing = len(d.Targets)
		r.Summary = []string{r.Problem}
		return r
	}
	heads := headsOf(d)
	pairs := match(d, heads, notes)
	used := make([]bool, len(notes))
	for _, p := range pairs {
		if p >= 0 {
			used[p] = true
		}
	}
	r.timing(d, heads, pairs, notes)
	g := grader{d: d, e: e, notes: notes, r: &r}
	switch d.Family {
	case drill.Warble:
		g.warble(heads, pairs)
	default:
		for i, h := range heads {
			if pairs[i] < 0 {
				g.absent(h)
				continue
			}
			g.phrase(h, pairs[i], used)
		}
		for i, n := range notes {
			if !used[i] && n.counts() {
				r.Extra++
			}
		}
		if r.Extra > 0 {
			g.mark(-1, Extra, 0, float64(r.Extra), float64(allowedExtra(d)), "notes", r.Extra <= allowedExtra(d))
		}
		good := 0
		for _, n := range r.Notes {
			if n.Good {
				good++
			}
		}
		r.Share = float64(good) / float64(len(r.Notes))
		r.Passed = r.Share >= PassShare && r.Extra <= allowedExtra(d) && g.bendsHold()
	}
	if r.Passed && g.unsure() {
		r.Passed = false
		r.Problem = "Too much of this take could not be heard well enough to judge. Come closer to the microphone or find a quieter place."
	}
	r.Summary = summary(d, r)
	return r
}

// allowedExtra is how many unasked notes a good take may have: one in five, as with
// notes out of window.
func allowedExtra(d drill.Drill) int { return int(float64(len(d.Targets)) * (1 - PassShare)) }

// timing sets bias and scatter: mean and standard deviation of how late the matched
// starts are. A start that lies further than outlier from the middle one is a wrong
// note, not timing.
func (r *Result) timing(d drill.Drill, heads []head, pairs []int, notes []sounded) {
	const outlier = 0.4 // seconds: past that, half a beat at 75, it is another beat's note
	var all, late []float64
	for i, h := range heads {
		if pairs[i] >= 0 {
			all = append(all, notes[pairs[i]].start-d.Targets[h.first].Start)
		}
	}
	if len(all) == 0 {
		return
	}
	middle := median(all)
	for _, x := range all {
		if math.Abs(x-middle) < outlier {
			late = append(late, x)
		}
	}
	r.Bias, r.Scatter = meanDeviation(late)
}

// offset is the constant lateness that is taken out before starts are judged.
func (g *grader) offset() float64 {
	return math.Max(-g.d.Windows.Offset, math.Min(g.d.Windows.Offset, g.r.Bias))
}

// A grader carries what grading one take needs.
type grader struct {
	d     drill.Drill
	e     evidence
	notes []sounded
	r     *Result
}

// mark adds a mark and reports whether it is good.
func (g *grader) mark(target int, q Quantity, asked, heard, window float64, unit string, good bool) bool {
	m := Mark{Target: target, Quantity: q, Asked: asked, Heard: heard, Window: window, Unit: unit, Verdict: Good}
	if !good {
		m.Verdict = Off
	}
	if target >= 0 {
		m.Tab = g.d.Targets[target].Note.Tab()
	}
	m.Advice = advice(g.d, m)
	g.r.Marks = append(g.r.Marks, m)
	return good
}

// verdict adds a mark without a measurement.
func (g *grader) verdict(target int, q Quantity, v Verdict) {
	m := Mark{Target: target, Tab: g.d.Targets[target].Note.Tab(), Quantity: q, Asked: 1, Unit: "note", Verdict: v}
	m.Advice = advice(g.d, m)
	g.r.Marks = append(g.r.Marks, m)
}

// bendsHold reports whether at least half of the asked bends are right: in a lick the
// few bends are the point of it, and naturals alone must not carry the take.
func (g *grader) bendsHold() bool {
	bends, good := 0, 0
	for i, t := range g.d.Targets {
		if t.Note.Bend > 0 {
			bends++
			if g.r.Notes[i].Good {
				good++
			}
		}
	}
	return 2*good >= bends
}

// unsure reports whether more than a fifth of the marks could not be judged.
func (g *grader) unsure() bool {
	n := 0
	for _, m := range g.r.Marks {
		if m.Verdict == Unheard {
			n++
		}
	}
	return float64(n) > (1-PassShare)*float64(len(g.r.Notes))
}
