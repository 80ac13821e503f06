package session

import (
	"math"

	"reedwell/game/screen"
	"reedwell/levels/drill"
)

// A Span is a stretch of a take to be heard again: as the player played it, or as the model
// plays it. From and To are drill time in seconds.
type Span struct {
	From, To float64
	Own      bool
}

// Around a note so many seconds are heard too, and what was played early or late by no more
// than strayed. Our choice: enough to hear how it starts and ends, too little for a
// whole other note at the tempos of the drills.
const (
	margin  = 0.15
	strayed = 0.5
)

// whole is the stretch of a drill in which notes are asked: the count-in is left out but for
// its last beat, in which a player may be early.
func whole(d drill.Drill) (from, to float64) {
	if len(d.Targets) == 0 {
		return 0, d.Seconds
	}
	return math.Max(0, d.Targets[0].Start-60/d.Tempo), d.Seconds
}

// chosenSpan is the stretch around the chosen note, or part, of the result: the same stretch for player and model, so
// that early and late can be heard.
func (s *stepper) chosenSpan() (from, to float64, ok bool) {
	d, r := s.take.Drill, s.take.Result
	if s.chosen >= len(s.shown) || s.shown[s.chosen] >= len(r.Notes) {
		return 0, 0, false
	}
	n := r.Notes[s.shown[s.chosen]]
	if n.Target < 0 || n.Target >= len(d.Targets) {
		return 0, 0, false
	}
	last := n.Target
	if s.inParts() {
		last = len(d.Targets) - 1
		if s.chosen+1 < len(s.shown) {
			last = min(last, max(n.Target, r.Notes[s.shown[s.chosen+1]].Target-1))
		}
	}
	for last+1 < len(d.Targets) && goesOn(d, last+1) {
		last++
	}
	start, end := d.Targets[n.Target].Start, d.Targets[last].End
	from, to = start-margin, end+margin
	if n.Heard != "" {
		from = math.Min(from, math.Max(n.Start-margin, start-strayed))
		if last == n.Target {
			to = math.Max(to, math.Min(n.End+margin, end+strayed))
		}
	}
	return math.Max(0, from), math.Min(to, d.Seconds), true
}

// actReplay plays back; it reports whether the action was one of its own.
func (s *stepper) actReplay(a screen.Action) bool {
	from, to := whole(s.take.Drill)
	var spans []Span
	switch a.ID {
	case "hear-own":
		spans = []Span{{from, to, true}}
	case "hear-model":
		spans = []Span{{from, to, false}}
	case "hear-note":
		var ok bool
		if from, to, ok = s.chosenSpan(); !ok {
			return true
		}
		spans = []Span{{from, to, true}, {from, to, false}}
	case "hear-stop":
		s.hush()
		return true
	default:
		return false
	}
	if s.in.Sound.State == SoundOn {
		s.hush()
		s.do(Effect{Kind: PlayBack, Drill: s.take.Drill, Touches: s.touches(), RoundTrip: s.delay.Seconds, Spans: spans})
	}
	return true
}

// hush stops what is being played back.
func (s *stepper) hush() {
	if s.in.Run.Kind != Idle {
		s.do(Effect{Kind: StopSound})
	}
}

// showReplay offers to hear the take again beside the model.
func (s *stepper) showReplay(p *page) {
	run := s.in.Run
	words := "Hear your take beside the model. Only the harp sounds."
	switch {
	case s.in.Sound.State != SoundOn:
		words = "To hear your take again you need the microphone: sound in and out run together."
	case run.Kind == Preparing:
		words = "One moment."
	case run.Kind == Replaying && run.Own:
		words = "Listen: this is you."
	case run.Kind == Replaying:
		words = "Listen: this is the model."
	}
	p.heading("replay", "Hear it again")
	p.text("replay-what", words)
	if s.in.Sound.State != SoundOn { // nothing can sound
		return
	}
	from := len(p.Items)
	p.button("hear-own", "Hear yourself")
	p.button("hear-model", "Hear the model")
	p.row(42, from)
	from = len(p.Items)
	if _, _, ok := s.chosenSpan(); ok && s.take.Result.Problem == "" {
		what := "This note"
		if s.inParts() {
			what = "This part"
		}
		p.button("hear-note", what+": you, then the model")
	}
	p.add(screen.Item{ID: "hear-stop", Role: screen.Button, Label: "Stop", Disabled: run.Kind != Preparing && run.Kind != Replaying})
	p.row(43, from)
}
