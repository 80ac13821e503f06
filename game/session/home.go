package session

import (
	"fmt"
	"slices"
	"strings"

	"reedwell/game/screen"
	"reedwell/levels/drill"
)

// Home shows one thing to do next, the levels of one family, and the ways to everything else.

func (s *stepper) actHome(a screen.Action) {
	if id, ok := strings.CutPrefix(a.ID, "level-"); ok {
		s.open(s.mine(id), "")
		return
	}
	switch a.ID {
	case "next":
		if e, ok := s.suggestion(); ok {
			s.open(s.mine(e.ID), "")
		}
	case "hole":
		if slices.Contains(holes(s.path), a.Value) {
			s.hole = a.Value
		}
	case "mic":
		s.openMic()
	case "families":
		s.view = families
	case "lessons":
		s.view = lessons
	case "room":
		s.enter()
	case "harps":
		s.goHarps()
	case "map":
		s.view = overview
	case "week":
		s.openDiary()
	case "settings":
		s.goTo(preferred)
	}
}

// suggestion is the drill to play next: the one of the family that is shown. Where nothing is left to do in that, it is one
// of another family: what is due for review, or else the first after it that goes on.
func (s *stepper) suggestion() (Entry, bool) {
	var others []Entry
	all := drill.Families()
	at := max(0, slices.Index(all, s.settings.Family))
	for _, f := range slices.Concat(all[at:], all[:at]) {
		for _, e := range s.path {
			switch {
			case e.Family != f || !e.Next:
			case f == s.settings.Family:
				return e, true
			default:
				others = append(others, e)
			}
		}
	}
	if len(others) == 0 {
		return Entry{}, false
	}
	return others[max(0, slices.IndexFunc(others, func(e Entry) bool { return e.Due }))], true
}

// why says in a line why a drill is the next.
func (s *stepper) why(e Entry) string {
	switch {
	case e.Family != s.settings.Family:
		return fmt.Sprintf("%s: nothing left to do today. On with %s.", s.settings.Family.Name(), strings.ToLower(e.Family.Name()))
	case e.Rusty:
		return "It has gone rusty. One good take brings it back."
	case e.Due && e.Standing == Confirmed:
		return "It is due for review today."
	case e.Due:
		return "Play it well once more to confirm it."
	case e.Lately != "":
		return "You have begun it. It is not passed yet."
	case e.Level == 1:
		return "The first level. Start here."
	}
	return "It opened when you passed the level before."
}

func (s *stepper) showHome(p *page) {
	p.Title = "Your practice - Reedwell"
	p.title("Your practice")
	s.notes(p)
	s.needMic(p, "The microphone is off.")
	e, ok := s.suggestion()
	if ok {
		label := "Next: "
		if e.Due {
			label = "Play again: "
		}
		p.text("why", s.why(e))
		p.primary("next", label+drill.Short(e.Title))
	} else {
		p.text("why", "Nothing is due today. Play as you like.")
		p.primary("room", roomName)
	}
	s.showDoors(p, e)
	p.button("families", "Choose another")
	p.heading("h-more", "More")
	from := len(p.Items)
	p.tile("lessons", "Lessons", "Licks over the whole form.")
	if ok {
		p.tile("room", roomName, "Play freely over the band.")
	}
	due := "Nothing is due today."
	if n := len(s.dues()); n > 0 {
		due = fmt.Sprintf("%d to play again today.", n)
	}
	p.tile("map", "Map of drills", due)
	p.tile("week", "Your week", s.weekly.brief)
	p.row(2, from)
	from = len(p.Items)
	p.quiet("harps", "My harps")
	p.quiet("settings", "Settings")
	p.row(3, from)
}

const (
	home     = "Home" // what the way back to it is called
	roomName = "Twelve-bar room"
)

// showDoors shows the levels of the family that is open, of the ladder those on one hole.
func (s *stepper) showDoors(p *page, next Entry) {
	family := s.settings.Family
	p.heading("levels", family.Name())
	p.text("about", about(family))
	hole := ""
	if options := holes(s.path); family == drill.Ladder && len(options) > 0 {
		hole = s.hole
		if hole == "" {
			hole = options[0]
			if h, ok := holeOf(next); ok {
				hole = h
			}
		}
		p.add(screen.Item{ID: "hole", Role: screen.Select, Label: "Hole", Options: options, Value: hole})
	}
	from, shut := len(p.Items), false
	for _, e := range s.path {
		if e.Family != family {
			continue
		}
		title := e.Title
		if h, ok := holeOf(e); ok {
			if h != hole {
				continue
			}
			title = strings.TrimPrefix(title, h+": ")
			title = strings.ToUpper(title[:1]) + title[1:]
		}
		kind := e.stop()
		shut = shut || kind == screen.ShutStop
		p.add(screen.Item{ID: "level-" + e.ID, Role: screen.Button, Stop: kind, Tile: true, Label: title, Detail: fmt.Sprintf("Level %d, %s", e.Level, stopWord(kind))})
	}
	p.row(1, from)
	if shut {
		p.styled("shut", screen.Quiet, "A level opens when you pass the one before. You may try any.")
	}
}
