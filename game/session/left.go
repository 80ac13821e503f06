package session

import (
	"fmt"
	"math"

	"reedwell/game/screen"
)

// A Left is a take that an earlier program left, because it was ended in the middle of it.
type Left struct {
	Title       string  // of the drill
	Seconds, Of float64 // how much of it there is, and how long it was to be
	Going       bool    // it is being listened to
	Done        float64 // share of that, 0 to 1
}

// LostTake is the notice of a take of which nothing is left.
const LostTake = "lost-take"

// leaves reports a screen on which a take that was left can be asked about.
func (s *stepper) leaves() bool {
	return s.in.Left != nil && (s.view == welcome || s.view == path || s.view == practice) && !s.demo
}

// showLeft asks what is to become of a take that was left.
func (s *stepper) showLeft(p *page) {
	if !s.leaves() {
		return
	}
	l := s.in.Left
	if l.Going {
		p.styled("left", screen.Warning, listening(Run{Done: l.Done}))
		return
	}
	p.styled("left", screen.Warning, fmt.Sprintf("You have a take of %q that was not heard to its end: the program was closed in the middle of it. %s of %s are there.",
		l.Title, seconds(l.Seconds), seconds(l.Of)))
	from := len(p.Items)
	p.button("left-hear", "Hear it and grade it")
	p.quiet("left-drop", "Throw it away")
	p.row(95, from)
	p.Live = "You have a take that was not heard to its end."
}

// seconds is a length in words.
func seconds(s float64) string {
	if s < 1 {
		return ms(s)
	}
	return plural(int(math.Round(s)), "second")
}

// actLeft handles what is to become of it; it reports whether the action was one of its own.
func (s *stepper) actLeft(a screen.Action) bool {
	kind := HearLeft
	switch a.ID {
	case "left-hear":
	case "left-drop":
		kind = DropLeft
	default:
		return false
	}
	if s.leaves() && !s.in.Left.Going {
		s.do(Effect{Kind: kind})
	}
	return true
}

// finishLeft shows how a take that was left went. Where the player has gone elsewhere meanwhile
// it is told and nothing more.
func (s *stepper) finishLeft(t *Take, before []Entry) {
	if s.view != welcome && s.view != path && s.view != practice {
		s.tell(Notice{LostTake, fmt.Sprintf("Your take of %q that was left is graded: %s.", t.Drill.Title, percent(t.Result.Share))})
		return
	}
	if t.Spec == nil || !s.open(*t.Spec, "") {
		s.lick, s.lender, s.title, s.part = noLick, "", "", part{}
		t.Spec = nil
	}
	s.drill = t.Drill
	s.finish(t, before)
}
