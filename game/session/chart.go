package session

import (
	"math"
	"slices"

	"reedwell/audio/listen"
	"reedwell/game/screen"
	"reedwell/levels/drill"
	"reedwell/levels/grade"
	"reedwell/levels/harp"
)

// narrow is the window width in CSS pixels under which two bars stand in a row in place
// of four: a phone held upright.
const narrow = 600

// chart draws what a drill asks.
func chart(d drill.Drill, width float64) *screen.Chart {
	c := &screen.Chart{Bars: d.Bars, BeatsPerBar: d.BeatsPerBar, PerRow: 4, Cursor: math.Inf(-1)}
	if width > 0 && width < narrow {
		c.PerRow = 2
	}
	c.PerRow = max(1, min(c.PerRow, d.Bars))
	for _, ch := range d.Chords {
		c.Chords = append(c.Chords, screen.ChartChord{Beat: ch.Beat, Name: ch.Name})
	}
	c.Chords = append(c.Chords, labels(d)...)
	one := pitch(d.Harp, harp.Note{Hole: 1})
	c.LowCents, c.HighCents = math.Inf(1), math.Inf(-1)
	for i, t := range d.Targets {
		cents := harp.Cents(t.Hz, one)
		c.Pickup = max(c.Pickup, -t.Beat)
		c.LowCents, c.HighCents = min(c.LowCents, cents), max(c.HighCents, cents)
		c.Notes = append(c.Notes, screen.ChartNote{Beat: t.Beat, Beats: t.Beats, Cents: cents, Tab: tab(d, i), Join: int(t.Join), Zone: t.Zone})
	}
	if len(d.Targets) == 0 { // all that the harp has
		c.LowCents, c.HighCents = 0, harp.Cents(pitch(d.Harp, harp.Note{Hole: harp.Holes}), one)
	}
	// A whole step of room for what is played beside the asked notes.
	c.LowCents -= 200
	c.HighCents += 200
	return c
}

// On a phone held upright a form longer than mostRows rows is shown in parts of nearRows rows
// while it is played: nobody scrolls with a harp in the hands. The row after the one that is
// played is always in sight, to read ahead.
const (
	mostRows = 4
	nearRows = 2
)

// near is the part of a chart around its cursor, in a window of a width.
func near(c *screen.Chart, width float64) *screen.Chart {
	if width == 0 || width >= narrow || c.Bars <= mostRows*c.PerRow {
		return c
	}
	perRow := float64(c.PerRow * c.BeatsPerBar)
	row := int(math.Max(0, math.Floor(c.Cursor/perRow))) // before the form begins: the first
	bars := nearRows * c.PerRow
	return excerpt(c, min(row*c.PerRow, c.Bars-bars), bars)
}

// excerpt is so many bars of a chart from bar first on, from 0.
func excerpt(c *screen.Chart, first, bars int) *screen.Chart {
	from, to := float64(first*c.BeatsPerBar), float64((first+bars)*c.BeatsPerBar)
	part := *c
	part.Bars, part.Cursor = bars, c.Cursor-from
	part.Chords, part.Notes, part.Trace = nil, nil, nil
	low := from
	if first == 0 {
		low = -c.Pickup
	} else {
		part.Pickup = 0
	}
	in := func(beat float64) bool { return beat >= low-1e-9 && beat < to-1e-9 }
	for _, ch := range c.Chords {
		if in(ch.Beat) {
			ch.Beat -= from
			part.Chords = append(part.Chords, ch)
		}
	}
	for _, n := range c.Notes {
		if in(n.Beat) {
			n.Beat -= from
			part.Notes = append(part.Notes, n)
		}
	}
	for _, t := range c.Trace {
		if in(t.Beat) {
			t.Beat -= from
			part.Trace = append(part.Trace, t)
		}
	}
	return &part
}

// tab is what is written under target i: of a warble in a lick both holes under its first
// note, and nothing under the others. A chord has all of its holes.
func tab(d drill.Drill, i int) string {
	t := d.Targets[i]
	switch {
	case goesOn(d, i):
		return ""
	case t.Warble && i+1 < len(d.Targets) && goesOn(d, i+1):
		return t.Note.Tab() + "~" + d.Targets[i+1].Note.Tab()
	}
	text := t.Tab()
	for _, n := range t.Also {
		text += n.Tab()
	}
	return text
}

// spoken is tab in words.
func spoken(d drill.Drill, i int) string {
	t := d.Targets[i]
	if t.Warble && i+1 < len(d.Targets) && goesOn(d, i+1) {
		return "a warble of " + t.Note.Words() + " and " + d.Targets[i+1].Note.Words()
	}
	words := t.Words()
	for _, n := range t.Also {
		words += " and " + n.Words()
	}
	if wave := t.Wave.Words(); wave != "" {
		words += ", " + wave
	}
	return words
}

// goesOn reports a target that goes on with the warble of the one before.
func goesOn(d drill.Drill, i int) bool {
	t := d.Targets[i]
	return t.Warble && t.Join == drill.Legato && i > 0 && d.Targets[i-1].Warble
}

// outcomes enters what became of each note; parts tells that only parts are judged, each at
// its first note, as in a warble.
func outcomes(c *screen.Chart, r grade.Result, shown []int, chosen int, parts bool) {
	if chosen < len(shown) {
		if k := r.Notes[shown[chosen]].Target; k >= 0 && k < len(c.Notes) {
			c.Notes[k].Chosen = true
		}
	}
	for i, n := range r.Notes {
		if n.Target < 0 || n.Target >= len(c.Notes) {
			continue
		}
		note := &c.Notes[n.Target]
		switch {
		case parts:
			if slices.Contains(shown, i) {
				note.Outcome = screen.OutOfWindow
				if wellPlayed(r, i) {
					note.Outcome = screen.InWindow
				}
			}
		case n.Good:
			note.Outcome = screen.InWindow
		case n.Heard == "":
			note.Outcome = screen.Missed
		case !n.Sure:
			note.Outcome = screen.Open
		default:
			note.Outcome = screen.OutOfWindow
		}
	}
}

// Points of the played line stand at least traceStep seconds apart, finer than any screen
// shows; over traceGap seconds without a pitch the line is broken.
const (
	traceStep = 0.009
	traceGap  = 0.030
)

// appendTrace adds a frame to the played line, if it has a pitch and lies in the drill.
func appendTrace(trace []screen.TracePoint, d drill.Drill, rate int, f listen.Frame) []screen.TracePoint {
	if rate == 0 || f.F0 <= 0 || f.Confidence < listen.MinConfidence {
		return trace
	}
	s := float64(f.At) / float64(rate)
	if s < 0 || s > d.Seconds {
		return trace
	}
	p := screen.TracePoint{Beat: d.BeatAt(s), Cents: harp.Cents(f.F0, pitch(d.Harp, harp.Note{Hole: 1})), Level: strength(f.Level)}
	if n := len(trace); n == 0 {
		p.Gap = true
	} else {
		since := s - d.Time(trace[n-1].Beat)
		if since < traceStep {
			return trace
		}
		p.Gap = since > traceGap
	}
	return append(trace, p)
}

// countIn is how many beats of the count-in are left at a beat, 0 when it is over.
func countIn(d drill.Drill, beat float64) int {
	if beat >= 0 || d.CountIn == 0 {
		return 0
	}
	return int(math.Min(math.Ceil(d.CountIn), math.Ceil(-beat)))
}
