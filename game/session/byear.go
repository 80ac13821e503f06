package session

import (
	"fmt"
	"math"

	"reedwell/game/screen"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// What is drawn and said of drills that are played by ear, and of what their targets ask for besides a
// note and a time.

// asked draws what the open drill asks; what is to be found by ear only once the take is over.
func (s *stepper) asked() *screen.Chart {
	c := chart(s.drill, s.in.Width)
	if s.drill.ByEar && s.view != result {
		empty := s.drill
		empty.Targets = nil
		c.Notes, c.LowCents, c.HighCents = nil, 0, 0
		hidden := chart(empty, s.in.Width)
		c.LowCents, c.HighCents = hidden.LowCents, hidden.HighCents // where the notes lie is not told either
	}
	return c
}

// labels stand over the bars of a chart: whose turn it is, and how a note is to swing.
func labels(d drill.Drill) []screen.ChartChord {
	var all []screen.ChartChord
	called := d.Called()
	for k, c := range called {
		all = append(all, screen.ChartChord{Beat: c.From, Name: "Listen"})
		for _, t := range d.Targets {
			if t.Beat > c.From && (k+1 == len(called) || t.Beat < called[k+1].From) {
				name := "You"
				if d.Unseen {
					natural := t.Note
					natural.Bend = 0
					name = natural.Words()
				}
				all = append(all, screen.ChartChord{Beat: t.Beat, Name: name})
				break
			}
		}
	}
	for _, t := range d.Targets {
		if words := t.Wave.Words(); words != "" {
			all = append(all, screen.ChartChord{Beat: t.Beat, Name: words})
		}
	}
	return all
}

// byEar reads out the chart of a drill that is played by ear.
func byEar(d drill.Drill) string {
	return fmt.Sprintf("%s, in turn: listen, then play what you heard. The notes are shown when the take is over.", plural(d.Bars, "bar"))
}

// turn says, in a take with calls, whose turn it is; nothing elsewhere.
func (s *stepper) turn(run Run) string {
	if run.Kind != Recording || len(s.drill.Calls) == 0 {
		return ""
	}
	beat := s.drill.BeatAt(run.Seconds)
	if beat < 0 {
		return ""
	}
	next := math.Inf(1) // the first note that is asked after the call that was begun last
	for _, c := range s.drill.Called() {
		if c.From > beat {
			break
		}
		next = math.Inf(1)
		for _, t := range s.drill.Targets {
			if t.Beat > c.From {
				next = t.Beat
				break
			}
		}
	}
	if beat < next {
		return "Listen."
	}
	return "Your turn."
}

// place is where a target lies on the comb: a blue third between two rungs.
func place(h harp.Harp, t drill.Target) screen.Spot {
	if t.Zone == 0 {
		return spot(h, t.Note)
	}
	p := at(h, t.Note, t.Hz)
	p.Tab = t.Tab()
	return p
}

// beside names a target that lies beside the note of its tab; others keep the name they have.
func beside(d drill.Drill, t drill.Target, name string) string {
	off := math.Round(harp.Cents(t.Hz, pitch(d.Harp, t.Note)))
	switch {
	case t.Zone > 0:
		return t.Words()
	case !d.ByEar || off == 0:
		return name
	case off < 0:
		return fmt.Sprintf("%s, and %.0f cents under it", name, -off)
	}
	return fmt.Sprintf("%s, and %.0f cents over it", name, off)
}

// beadsOn are the beads for a target: in its zone nothing is sharp or flat.
func (s *stepper) beadsOn(t drill.Target) []screen.Bead {
	all := s.beads(&t.Note)
	if t.Zone == 0 {
		return all
	}
	for i := range all {
		b := &all[i]
		if b.Leak || math.IsNaN(b.OffCents) {
			continue
		}
		off := b.OffCents + harp.Cents(pitch(s.drill.Harp, t.Note), t.Hz)
		b.OffCents = math.Copysign(math.Max(0, math.Abs(off)-t.Zone), off)
		if b.OffCents == 0 {
			b.OffCents, b.Tab = 0, t.Tab()
		}
	}
	return all
}
