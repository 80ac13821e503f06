package session

import (
	"fmt"
	"math"

	"reedwell/game/screen"
	"reedwell/levels/harp"
	"reedwell/levels/reeds"
)

// passHarp is the harp that is being measured, of which nothing but the key is known: tuned as most are.
func (p *Pass) passHarp() harp.Harp {
	return harp.Harp{Key: p.Key, Tuning: harp.Compromise, A4: 442}
}

// measuring takes in how far the pass has got.
func (s *stepper) measuring() {
	c := &s.harps
	was := c.pass
	c.pass = s.in.Pass
	p := c.pass
	if p == nil {
		return
	}
	if p.On && s.view != passing { // a link was opened, or the sound failed
		s.do(Effect{Kind: PausePass})
	}
	if k, ok := s.inHand(); ok && k.Name == p.Name && s.view == passing && was != nil && was.On && p.State.Done && p.Report != nil {
		s.takeOver(p)
	}
}

// takeOver keeps what the pass found and tells of it.
func (s *stepper) takeOver(p *Pass) {
	s.harps.kept = true
	s.do(Effect{Kind: KeepPass, ID: p.Name})
	s.tellReeds(p.Name)
}

func (s *stepper) actPassing(a screen.Action) {
	k, held := s.inHand()
	p := s.harps.pass
	on := s.in.Sound.State == SoundOn
	if p != nil && p.On {
		switch a.ID {
		case "skip":
			s.do(Effect{Kind: SkipReed})
		case "stop":
			s.do(Effect{Kind: PausePass})
			s.view = harps
		case "mic":
			s.openMic()
		}
		return
	}
	switch a.ID {
	case "begin":
		if on && held {
			s.harps.kept = false
			if s.half(k.Name) {
				s.do(Effect{Kind: GoOnPass})
			} else {
				s.do(Effect{Kind: BeginPass, ID: k.Name, Key: k.Harp.Key})
			}
		}
	case "anew":
		if on && held {
			s.harps.kept = false
			s.do(Effect{Kind: BeginPass, ID: k.Name, Key: k.Harp.Key})
		}
	case "use":
		if held && s.half(k.Name) && p.Report != nil && p.Report.Fit.Found {
			s.takeOver(p)
		}
	case "mic":
		s.openMic()
	case "back":
		s.view = harps
	}
}

func (s *stepper) showPassing(p *page) {
	k, held := s.inHand()
	pass := s.harps.pass
	p.Title = "Measure the reeds - Reedwell"
	if pass == nil || !pass.On || !held {
		s.showPassIntro(p, k.Name, held)
		return
	}
	st := pass.State
	p.Name = "pass-on" // another screen: the keyboard goes to what can be done in it
	p.title("The reeds of " + k.Name)
	s.notes(p)
	ask := st.Asks()
	p.heading("ask", ask)
	p.Live = ask
	hint := ""
	switch says := st.Says(); {
	case says != "" && st.Rest && !st.Release && st.Problem == reeds.None:
		hint = "Take a breath and rest a moment. "
		p.Live = hint + "Then: " + ask
	case says != "":
		hint = says + " "
	case st.Took.Hole == 0:
		hint = "An even breath, no bend: as it comes."
	}
	if st.Took.Hole > 0 {
		hint += fmt.Sprintf("%s lies %s.", st.Took.Words(), besideReed(st.Cents, pass.passHarp(), st.Took))
	}
	if s.in.Sound.State != SoundOn {
		hint = "The microphone is off. What was measured is kept."
	}
	p.text("hint", hint)
	h := pass.passHarp()
	c := comb(h)
	for i, done := range st.Have {
		if done {
			c.Slots[i/2].Marks[i%2] = screen.Measured
		}
		c.Slots[i/2].Rungs = nil
	}
	c.Asked = spot(h, st.Ask)
	c.Beads = s.natural(h, st.Ask)
	from := len(p.Items)
	p.add(screen.Item{ID: "held", Role: screen.Meter, Label: "Held", Min: 0, Max: 100, Now: math.Round(10*st.Held) * 10, Step: 1, Unit: "%"})
	p.add(screen.Item{ID: "progress", Role: screen.Meter, Label: "Reeds", Min: 0, Max: 20, Now: float64(st.Heard), Step: 1, Unit: "of 20"})
	p.row(74, from)
	p.comb(c, "Where the asked reed lies, what you play, and a tick on each reed that is done")
	if s.in.Sound.State != SoundOn && s.in.Sound.State != SoundOpening {
		p.button("mic", "Turn the microphone on")
	}
	from = len(p.Items)
	p.button("skip", "Leave it out")
	p.button("stop", "Stop for now")
	p.row(72, from)
	p.Focus = "skip"
}

// besideReed says where a reed lies against equal temperament at A = 440 Hz.
func besideReed(cents float64, h harp.Harp, n harp.Note) string {
	name := h.Key.Spell(h.MIDI(n))
	switch c := int(math.Round(cents)); {
	case c > 0:
		return fmt.Sprintf("%d cents over %s at A = 440", c, name)
	case c < 0:
		return fmt.Sprintf("%d cents under %s at A = 440", -c, name)
	}
	return "on " + name + " at A = 440"
}

// natural are the beads of what sounds, without how far it is off: a reed is measured as it comes, and nobody should
// correct it with the mouth.
func (s *stepper) natural(h harp.Harp, asked harp.Note) []screen.Bead {
	if !s.sounding() {
		return nil
	}
	all := beads(h, s.soon, &asked)
	for i := range all {
		all[i].OffCents = math.NaN()
	}
	return all
}

// showPassIntro tells what comes, before it begins and when it was stopped.
func (s *stepper) showPassIntro(p *page, name string, held bool) {
	if !held {
		p.title("Measure the reeds")
		s.notes(p)
		p.text("none", "The harp that was to be measured is not kept any more.")
		p.primary("back", "My harps")
		return
	}
	pass := s.harps.pass
	half := s.half(name)
	p.title("Measure " + name)
	s.notes(p)
	p.text("what", "You are asked for each of the twenty reeds, twice: hold each note straight and easy for two seconds, as it comes. It takes about two minutes, and you can stop at any time and go on later.")
	if half {
		p.styled("half", screen.Good, fmt.Sprintf("%d of 20 reeds are done.", pass.State.Heard))
	}
	s.needMic(p, "To measure the reeds you need the microphone.")
	from := len(p.Items)
	if s.in.Sound.State == SoundOn {
		label := "Begin"
		if half {
			label = "Go on"
		}
		p.primary("begin", label)
		if half {
			p.button("anew", "From the first reed")
		}
	}
	p.quiet("back", "My harps")
	p.row(73, from)
	if half && pass.Report != nil && pass.Report.Fit.Found {
		p.button("use", fmt.Sprintf("Use the %d reeds that were heard", pass.Report.Heard))
	}
	cautions(p)
	if p.Focus == "" {
		p.Focus = "back"
	}
}
