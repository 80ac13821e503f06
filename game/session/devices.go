package session

import (
	"fmt"
	"slices"

	"reedwell/game/screen"
)

// named are devices by the names the player chooses from, each name once; a device without
// one is called by its number.
func named(devices []Mic, otherwise string) []string {
	var all []string
	for i, d := range devices {
		name := d.Label
		if name == "" {
			name = fmt.Sprintf("%s %d", otherwise, i+1)
		}
		for n, first := 2, name; slices.Contains(all, name); n++ {
			name = fmt.Sprintf("%s (%d)", first, n)
		}
		all = append(all, name)
	}
	return all
}

// systemSpeaker is the choice that follows the system's.
const systemSpeaker = "As the system says"

// showSpeakers lets the player choose where the band sounds, where the program can.
func (s *stepper) showSpeakers(p *page) {
	speakers := s.in.Sound.Speakers
	if len(speakers) == 0 {
		return
	}
	names := append([]string{systemSpeaker}, named(speakers, "Loudspeaker")...)
	now := 1 + slices.IndexFunc(speakers, func(m Mic) bool { return m.ID != "" && m.ID == s.in.Sound.Speaker })
	p.add(screen.Item{ID: "loudspeaker", Role: screen.Select, Label: "Loudspeaker or headphones", Options: names, Value: names[now]})
}

// chooseSpeaker has the band sound from the output with a name of showSpeakers.
func (s *stepper) chooseSpeaker(name string) {
	id := ""
	if i := slices.Index(named(s.in.Sound.Speakers, "Loudspeaker"), name); i >= 0 {
		id = s.in.Sound.Speakers[i].ID
	} else if name != systemSpeaker {
		return
	}
	if id == s.settings.Out && id == s.in.Sound.Speaker {
		return
	}
	s.settings.Out = id
	s.save()
	s.openMic()
}

// mostOthers bounds the microphones offered when one has failed: more do not fit on a phone.
const mostOthers = 4

// others are the microphones besides the one that has failed.
func (s *stepper) others() (ids, names []string) {
	for i, name := range named(s.in.Sound.Inputs, "Microphone") {
		if m := s.in.Sound.Inputs[i]; m.ID != "" && m.ID != s.in.Sound.Input && m.ID != s.settings.Mic && len(ids) < mostOthers {
			ids, names = append(ids, m.ID), append(names, name)
		}
	}
	return ids, names
}

// showOthers offers another microphone in place of one that has failed.
func (s *stepper) showOthers(p *page) {
	_, names := s.others()
	for i, name := range names {
		p.button(fmt.Sprintf("use-%d", i+1), "Use "+printed(name))
	}
}

// useOther opens a microphone of showOthers.
func (s *stepper) useOther(id string) bool {
	ids, _ := s.others()
	for i, mic := range ids {
		if id == fmt.Sprintf("use-%d", i+1) {
			s.settings.Mic = mic
			s.save()
			s.openMic()
			return true
		}
	}
	return false
}

// showSpared offers what was recorded of a take that was cut off.
func (s *stepper) showSpared(p *page) {
	if s.spared {
		p.quiet("save-spared", "Save what was recorded of it")
	}
}

// showDrawing tells how well this device keeps up, once a take has run.
func (s *stepper) showDrawing(p *page) {
	d := s.in.Drawing
	if d.Pictures == 0 {
		return
	}
	p.heading("h-device", "About this device")
	words := fmt.Sprintf("In your last take it drew %d pictures, one every %s as a rule and at the slowest every %s, of which it worked %s.",
		d.Pictures, ms(d.Usual), ms(d.Slow), ms(d.Work))
	if d.Slower > 0 {
		words += fmt.Sprintf(" A sound was seen %s after the device handed it over, at the slowest %s.", ms(d.Sound), ms(d.Slower))
	}
	if d.Press > 0 {
		words += fmt.Sprintf(" Your last press was seen after %s.", ms(d.Press))
	}
	p.styled("drawing", screen.Quiet, words)
}

// SavedNotice is the ID of notices that something is done: they are no warnings.
const SavedNotice = "saved"

// tone is how a notice is shown.
func tone(n Notice) screen.Style {
	if n.ID == SavedNotice {
		return screen.Good
	}
	return screen.Warning
}
