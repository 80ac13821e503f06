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
		r.Notes[i] = Note{Target: i, Tab: t.Tab()}
	}
	e := evidence{take: heard, rate: float64(heard.Rate)}
	notes := e.notes(d)
	if r.Problem = e.problem(notes); r.Problem != "" {
		r.Missing = len(d.Targets)
		r.Summary = []string{r.Problem}
		return r
	}
	if d.Family == drill.Lick {
		notes = mended(notes, d.Windows.Dip)
	}
	if d.Family == drill.Octaves {
		notes = e.parted(notes)
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
	case drill.Lick:
		items, good := g.lick(heads, pairs, used)
		g.total(items, good, used)
		r.Passed = r.Passed && !g.unevenLick
	default:
		for i, h := range heads {
			if pairs[i] < 0 {
				g.absent(h)
				continue
			}
			g.phrase(h, pairs[i], used)
		}
		if d.Family == drill.Octaves {
			g.landings(heads, pairs, used)
		}
		good := 0
		for _, n := range r.Notes {
			if n.Good {
				good++
			}
		}
		g.total(len(r.Notes), good, used)
		if d.Family == drill.Repeats {
			r.Passed = g.evenRuns(heads, pairs) && r.Passed
		}
	}
	g.doubt()
	if r.Passed && g.unsure() {
		r.Passed = false
		r.Problem = "Too much of this take could not be heard well enough to judge. Come closer to the microphone or find a quieter place."
		if r.Overdriven {
			r.Problem = tooLoud
		}
	}
	r.Summary = summary(d, r)
	return r
}

// total counts the notes that were not asked for and decides whether a take of so many
// items, of which so many are good, passes.
func (g *grader) total(items, good int, used []bool) {
	r := g.r
	first := math.Inf(1)
	for i, n := range g.notes {
		if !used[i] && n.counts() {
			r.Extra++
			first = math.Min(first, n.start)
		}
	}
	g.cutShort(used)
	allowed := allowedExtra(items)
	if r.Extra > 0 {
		g.mark(-1, Extra, 0, float64(r.Extra), float64(allowed), "notes", r.Extra <= allowed)
		if m := &r.Marks[len(r.Marks)-1]; g.d.Family == drill.Lick {
			m.Advice = where(g.d, g.d.BeatAt(first-r.Bias)) + ": " + m.Advice
		}
	}
	r.Share = float64(good) / float64(items)
	r.Passed = r.Share >= PassShare && r.Extra <= allowed && g.bendsHold()
}

// cutShort marks the notes that are too short because one that was not asked for begins in their
// time: the extra note is the fault then, and the summary names that.
func (g *grader) cutShort(used []bool) {
	for k := range g.r.Marks {
		m := &g.r.Marks[k]
		if m.Quantity != Length || m.Verdict == Good || m.Heard > 1 {
			continue
		}
		t := g.d.Targets[m.Target]
		for i, n := range g.notes {
			if !used[i] && n.counts() && n.start > t.Start+g.r.Bias && n.start < t.End+g.r.Bias {
				m.cut = true
				m.Advice = place(g.d, m.Target) + called(g.d, m.Target) + " is cut short by a note that is not written."
				break
			}
		}
	}
}

// allowedExtra is how many unasked notes a good take of so many may have: one in five, as
// with notes out of window.
func allowedExtra(items int) int { return int(float64(items) * (1 - PassShare)) }

// timing sets bias and scatter: mean and standard deviation of how late the matched
// starts are. A start that lies further than outlier from the middle one is a wrong
// note, not timing.
func (r *Result) timing(d drill.Drill, heads []head, pairs []int, notes []sounded) {
	const outlier = 0.4 // seconds: past that, half a beat at 75, it is another beat's note
	var all, late []float64
	for i, h := range heads {
		if first := d.Targets[h.first]; first.Warble && first.Join == drill.Legato || len(first.Also) > 1 {
			continue // a warble is in time as a whole, and a chord of three may be heard in pieces
		}
		if pairs[i] >= 0 {
			late := notes[pairs[i]].start - d.Targets[h.first].Start
			if i > 0 && pairs[i-1] >= 0 && d.Family == drill.Octaves && touches(d, h.first) {
				late = unhunted(late, notes[pairs[i]].start-notes[pairs[i-1]].end)
			}
			all = append(all, late)
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

	unevenLick bool // more than half of the warbles of a lick are not good
}

// mark adds a mark and reports whether it is good.
func (g *grader) mark(target int, q Quantity, asked, heard, window float64, unit string, good bool) bool {
	m := Mark{Target: target, Quantity: q, Asked: asked, Heard: heard, Window: window, Unit: unit, Verdict: Good}
	if !good {
		m.Verdict = Off
	}
	if target >= 0 {
		m.Tab = g.d.Targets[target].Tab()
	}
	m.Advice = advice(g.d, m)
	g.r.Marks = append(g.r.Marks, m)
	return good
}

// verdict adds a mark without a measurement.
func (g *grader) verdict(target int, q Quantity, v Verdict) {
	m := Mark{Target: target, Tab: g.d.Targets[target].Tab(), Quantity: q, Asked: 1, Unit: "note", Verdict: v}
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
