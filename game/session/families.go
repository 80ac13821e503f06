package session

import (
	"slices"
	"strings"

	"reedwell/game/screen"
	"reedwell/levels/drill"
)

// A group is drill families that train the same part of playing.
type group struct {
	name     string
	families []drill.Family
}

// groups are all drill families, in the order in which a player meets them. Our choice.
func groups() []group {
	return []group{
		{"Clean notes", []drill.Family{drill.Single, drill.Long}},
		{"Tongue and leaps", []drill.Family{drill.Repeats, drill.Octaves}},
		{"Bends", []drill.Family{drill.Ladder, drill.Scoop, drill.Blue}},
		{"Tones that move", []drill.Family{drill.Vibrato, drill.Wah, drill.Warble}},
		{"By ear", []drill.Family{drill.Aim, drill.Answer}},
		{"Over the band", []drill.Family{drill.Turnaround}},
	}
}

// about is what a family trains, in as few words as stand on a tile.
func about(f drill.Family) string {
	switch f {
	case drill.Single:
		return "One hole at a time."
	case drill.Long:
		return "One level breath to the end."
	case drill.Repeats:
		return "Ta ta ta on one note."
	case drill.Ladder:
		return "Land on each rung and stay."
	case drill.Scoop:
		return "Start under the note, let go."
	case drill.Blue:
		return "Land between two piano notes."
	case drill.Octaves:
		return "The same note, high and low."
	case drill.Vibrato:
		return "The throat swings the pitch."
	case drill.Wah:
		return "The hands open and close."
	case drill.Warble:
		return "Two holes by turns, evenly."
	case drill.Aim:
		return "Bend to a tone you hear."
	case drill.Answer:
		return "Play back what you hear."
	case drill.Turnaround:
		return "The last two bars, in time."
	}
	return ""
}

func (s *stepper) actFamilies(a screen.Action) {
	if name, ok := strings.CutPrefix(a.ID, "family-"); ok {
		if f := drill.Family(name); slices.Contains(drill.Families(), f) {
			s.settings.Family, s.hole = f, ""
			s.save()
			s.view = path
		}
		return
	}
	if a.ID == "back" {
		s.view = path
	}
}

func (s *stepper) showFamilies(p *page) {
	p.Title = "What to work on - Reedwell"
	p.title("What to work on")
	s.notes(p)
	for i, g := range groups() {
		p.heading("group-"+string(g.families[0]), g.name)
		from := len(p.Items)
		for _, f := range g.families {
			it := screen.Item{ID: "family-" + string(f), Role: screen.Button, Tile: true, Label: f.Name(), Detail: about(f)}
			if s.passed(f) {
				it.Style = screen.Good
			}
			p.add(it)
		}
		p.row(1+i, from)
	}
	p.quiet("back", home)
	p.Focus = "family-" + string(s.settings.Family)
}

// passed reports a family of which every drill is passed.
func (s *stepper) passed(f drill.Family) bool {
	any := false
	for _, e := range s.path {
		if e.Family == f {
			if e.Standing < Passed {
				return false
			}
			any = true
		}
	}
	return any
}
