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
	one := pitch(d.Harp, harp.Note{Hole: 1})
	c.LowCents, c.HighCents = math.Inf(1), math.Inf(-1)
	for _, t := range d.Targets {
		cents := harp.Cents(t.Hz, one)
		c.Pickup = max(c.Pickup, -t.Beat)
		c.LowCents, c.HighCents = min(c.LowCents, cents), max(c.HighCents, cents)
		c.Notes = append(c.Notes, screen.ChartNote{Beat: t.Beat, Beats: t.Beats, Cents: cents, Tab: t.Note.Tab(), Join: int(t.Join)})
	}
	if len(d.Targets) == 0 {
		c.LowCents, c.HighCents = 0, 0
	}
	// A whole step of room for what is played beside the asked notes.
	c.LowCents -= 200
	c.HighCents += 200
	return c
}

// outcomes enters what became of each note.
func outcomes(c *screen.Chart, r grade.Result, shown []int, chosen int) {
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
		case len(shown) < len(r.Notes): // a warble: only what is judged as a part
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
