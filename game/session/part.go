package session

import (
	"errors"
	"fmt"
	"strconv"

	"reedwell/game/screen"
	"reedwell/levels/drill"
)

// A part is which bars of the open drill are played alone.
type part struct {
	first, last int   // bars from 1; 0: the whole drill
	of          int   // bars of the whole drill
	round       bool  // the next round begins by itself
	over        int64 // frame on which the result came
	stay        bool  // somebody has touched the result, so no round begins by itself
}

// partsFrom is how many bars a drill must have for parts of it to be chosen.
const partsFrom = 3

// lull is how long a result stands before the next round, in seconds: time to breathe and to
// hear or read the score. Our choice.
const lull = 6.0

// only reports that a part of the drill is open and not the whole of it.
func (p part) only() bool { return p.first != 0 }

// free reports that what is open opens nothing and costs nothing: a part of a drill, or one that is on no path.
func (s *stepper) free() bool { return s.part.only() || s.lick == noLick && s.drill.Free() }

// words are which bars they are.
func (p part) words() string {
	if p.first == p.last {
		return fmt.Sprintf("bar %d of %d", p.first, p.of)
	}
	return fmt.Sprintf("bars %d to %d of %d", p.first, p.last, p.of)
}

// cut is the drill, or the part of it that was chosen. Another tempo or key has the same bars.
func (s *stepper) cut(d drill.Drill) (drill.Drill, error) {
	s.part.of = d.Bars
	if !s.part.only() {
		return d, nil
	}
	return drill.Part(d, s.part.first, s.part.last)
}

// all goes back to the whole drill.
func (s *stepper) all() {
	s.part.first, s.part.last, s.part.round = 0, 0, false
}

// actPart handles the choice of bars; it reports whether the action was one of its own.
func (s *stepper) actPart(a screen.Action) bool {
	if s.drill.ByEar {
		return false
	}
	before := s.part
	first, last := before.first, before.last
	if !before.only() {
		first, last = 1, before.of
	}
	bar, err := strconv.Atoi(a.Value)
	switch a.ID {
	case "from-bar":
		if first = bar; last < first {
			last = first
		}
	case "to-bar":
		if last = bar; last < first {
			first = last
		}
	case "all-bars":
		s.all()
		_ = s.build() // the whole drill was built before
		return true
	case "round":
		s.part.round = a.On && before.only()
		return true
	default:
		return false
	}
	if err != nil || first < 1 || last > before.of || before.of < partsFrom {
		return true
	}
	s.part.first, s.part.last = first, last
	if first == 1 && last == before.of {
		s.all()
	}
	s.forget(emptyBars)
	if err := s.build(); err != nil {
		s.part = before
		_ = s.build() // as it was
		text := "These bars can not be played alone: " + err.Error() + "."
		if errors.Is(err, drill.ErrEmpty) {
			text = "Nothing is asked in these bars. Choose others."
		}
		s.tell(Notice{emptyBars, text})
	}
	return true
}

// emptyBars is the notice of bars in which nothing is asked.
const emptyBars = "bars"

// showPart lets the player choose bars of the open drill.
func (s *stepper) showPart(p *page) {
	if s.part.of < partsFrom || s.drill.ByEar { // an answer without its call is none
		return
	}
	var names []string
	for k := range s.part.of {
		names = append(names, strconv.Itoa(k+1))
	}
	first, last := 1, s.part.of
	if s.part.only() {
		first, last = s.part.first, s.part.last
	}
	from := len(p.Items)
	p.add(screen.Item{ID: "from-bar", Role: screen.Select, Label: "From bar", Options: names, Value: strconv.Itoa(first)})
	p.add(screen.Item{ID: "to-bar", Role: screen.Select, Label: "To bar", Options: names, Value: strconv.Itoa(last)})
	p.row(32, from)
	if s.part.only() {
		p.text("part", partFree)
		p.add(screen.Item{ID: "round", Role: screen.Toggle, Label: "Keep going round", Detail: "After each result the next round begins by itself.", On: s.part.round})
		p.button("all-bars", fmt.Sprintf("All %d bars again", s.part.of))
	}
}

// partFree tells that a part does not count.
const partFree = "Part of a drill is free practice: it opens nothing and costs nothing."

// showRound tells of the next round, on the result.
func (s *stepper) showRound(p *page) {
	if s.part.only() && s.part.round && s.take.Result.Problem == "" {
		p.Live += " The next round begins in a moment."
	}
	if s.goesRound() {
		p.text("round-next", "The next round begins in a moment.")
		p.button("stay", "Stay here")
	}
}

// goesRound reports a result after which the next round begins by itself. After a take in
// which nothing was heard none does: the harp is down.
func (s *stepper) goesRound() bool {
	return s.view == result && s.part.only() && s.part.round && !s.part.stay && s.take.Result.Problem == "" &&
		s.in.Sound.State == SoundOn && s.in.Run.Kind == Idle
}

// goRound begins the next round when it is time.
func (s *stepper) goRound() {
	if s.view != result || !s.part.round {
		return
	}
	if len(s.in.Actions) > 0 || s.in.Hidden {
		s.part.stay = true
	}
	if s.goesRound() && float64(s.in.Now-s.part.over) >= lull*float64(s.in.Sound.Rate) {
		s.play()
	}
}
