package session

import (
	"fmt"
	"slices"
	"strings"

	"reedwell/game/screen"
	"reedwell/levels/drill"
	way "reedwell/levels/path"
	"reedwell/levels/week"
)

// A Practice is what was played and earned so far, and the day it is. It is not changed once
// handed over.
type Practice struct {
	Today    way.Day // 0: the day is not known
	Journal  week.Journal
	Progress way.Progress
	Plan     []way.Turn // a session that changes between the families
}

// practise takes in what was played.
func (s *stepper) practise(p Practice) {
	s.practised = p
	s.tally()
}

// stop is what kind of stop a drill is on the map.
func (e Entry) stop() screen.Stop {
	switch {
	case e.Rusty:
		return screen.RustyStop
	case e.Due:
		return screen.DueStop
	case e.Standing == Confirmed:
		return screen.ConfirmedStop
	case e.Standing == Passed:
		return screen.PassedStop
	case e.Standing == Open:
		return screen.OpenStop
	}
	return screen.ShutStop
}

// stopWord is the one word under a stop.
func stopWord(k screen.Stop) string {
	return map[screen.Stop]string{
		screen.ShutStop: "shut", screen.OpenStop: "open", screen.PassedStop: "passed",
		screen.ConfirmedStop: "confirmed", screen.DueStop: "due", screen.RustyStop: "rusty",
	}[k]
}

// called is a drill by its family, level and title.
func (e Entry) called() string { return drill.Name(e.Family, e.Level, e.Title) }

// dues are the drills to be played again today, the rusty ones first.
func (s *stepper) dues() []Entry {
	var rusty, due []Entry
	for _, e := range s.path {
		switch e.stop() {
		case screen.RustyStop:
			rusty = append(rusty, e)
		case screen.DueStop:
			due = append(due, e)
		}
	}
	return append(rusty, due...)
}

// mostDue is how many drills the list of today names; the map below shows all of them. Our
// choice: more than anybody plays in a day.
const mostDue = 8

func (s *stepper) actMap(a screen.Action) {
	for _, prefix := range []string{"due-", "turn-", "stop-"} {
		if id, ok := strings.CutPrefix(a.ID, prefix); ok {
			if slices.ContainsFunc(s.path, func(e Entry) bool { return e.ID == id }) && s.open(s.mine(id), "") {
				s.from = overview
			}
			return
		}
	}
	switch a.ID {
	case "week":
		s.openDiary()
	case "back":
		s.view = path
	}
}

func (s *stepper) showMap(p *page) {
	p.Title = "Map of drills - Reedwell"
	p.title("Map of drills")
	s.notes(p)
	p.Focus = "title"
	p.heading("h-due", "To play again today")
	dues := s.dues()
	if len(dues) == 0 {
		p.text("none-due", "Nothing. What you have passed comes back here after a day, then after longer and longer pauses.")
	}
	for i, e := range dues {
		if i == mostDue {
			p.text("more-due", fmt.Sprintf("And %d more, marked on the map.", len(dues)-mostDue))
			break
		}
		it := screen.Item{ID: "due-" + e.ID, Role: screen.Button, Label: e.called(), Detail: "Due for review."}
		if e.Rusty {
			it.Style, it.Detail = screen.Warning, "Gone rusty: one good take brings it back."
		}
		if e.Well != "" {
			it.Detail += " Last played well on " + e.Well + "."
		}
		p.add(it)
	}
	s.showTurns(p)
	p.heading("h-map", "All drills")
	p.text("legend", "Press a stop to open its drill. You may try one that is shut, too.")
	row := 200
	var family drill.Family
	chain := ""
	for _, e := range s.path {
		if e.Family != family {
			family = e.Family
			p.heading("map-"+string(family), family.Name())
		}
		label := fmt.Sprintf("Level %d", e.Level)
		if h, ok := holeOf(e); ok {
			label = fmt.Sprintf("%s, %d", h, e.Level)
		}
		if c := e.ID[:max(0, strings.LastIndexByte(e.ID, '-'))]; c != chain { // levels of one chain stand on one line
			chain = c
			row++
		}
		kind := e.stop()
		p.add(screen.Item{ID: "stop-" + e.ID, Role: screen.Button, Stop: kind, Label: label, Detail: stopWord(kind), Row: row})
	}
	from := len(p.Items)
	p.button("week", "Your week")
	p.quiet("back", home)
	p.row(3, from)
}

// showTurns suggests a session.
func (s *stepper) showTurns(p *page) {
	shown := map[string]bool{}
	for _, t := range s.practised.Plan {
		e := s.entry(t.ID)
		if e.ID == "" || shown[t.ID] {
			continue
		}
		if len(shown) == 0 {
			p.heading("h-turns", "A mixed session")
			p.text("turns", "A few takes of one thing, then another, and round again: that lasts longer than all of one on end.")
		}
		shown[t.ID] = true
		why := map[way.Freshness]string{way.Rusty: "Gone rusty.", way.Due: "Due for review."}[t.Why]
		if why == "" {
			why = "To learn."
		}
		p.add(screen.Item{ID: "turn-" + t.ID, Role: screen.Button, Label: e.called(), Detail: plural(t.Takes, "take") + ". " + why})
	}
}
