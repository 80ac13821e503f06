package session

import (
	"math"
	"strings"

	"reedwell/game/screen"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
)

// act does what the player asked for. An action on an item that is not on the screen any
// more does nothing.
func (s *stepper) act(a screen.Action) {
	if id, ok := strings.CutPrefix(a.ID, "put-away-"); ok {
		s.forget(id)
		return
	}
	if a.ID == "save-spared" && s.spared {
		s.do(Effect{Kind: SaveTake})
		return
	}
	if s.faulty() {
		s.actFault(a)
		return
	}
	if s.actLeft(a) || s.actOffer(a) {
		return
	}
	switch s.view {
	case welcome:
		s.actWelcome(a)
	case setup:
		s.actSetup(a)
	case check:
		s.actCheck(a)
	case measure:
		s.actMeasure(a)
	case path:
		s.actHome(a)
	case families:
		s.actFamilies(a)
	case practice:
		s.actLesson(a)
	case singing:
		s.actSinging(a)
	case playing:
		if a.ID == "stop" {
			s.do(Effect{Kind: StopSound})
			s.view = practice
		}
	case stepping:
		s.actSteps(a)
	case result:
		s.actResult(a)
	case preferred:
		s.actPreferred(a)
	case lessons:
		if !s.actSave(a, "", lesson.Lesson{}) {
			s.actLessons(a)
		}
	case reading:
		s.actReading(a)
	case paper:
		s.actPaper(a)
	case writing:
		s.actWriting(a)
	case recording:
		s.actRecording(a)
	case choosing:
		s.actChoosing(a)
	case jamming:
		s.actJamming(a)
	case pictured:
		s.actPictured(a)
	case harps:
		s.actHarps(a)
	case adding:
		s.actAdding(a)
	case passing:
		s.actPassing(a)
	case telling:
		s.actTelling(a)
	case overview:
		s.actMap(a)
	case diary:
		s.actDiary(a)
	case class:
		s.actClass(a)
	case pupil:
		s.actPupil(a)
	}
}

// faulty reports that the sound needs the player before anything else.
func (s *stepper) faulty() bool {
	wanted := s.view.sounds() || s.opening
	switch s.in.Sound.State {
	case SoundFailed:
		return wanted && !s.looking
	case SoundHeld:
		return wanted
	}
	return false
}

func (s *stepper) actFault(a screen.Action) {
	if s.useOther(a.ID) {
		return
	}
	switch a.ID {
	case "retry":
		s.openMic()
	case "system-mic":
		s.settings.Mic, s.settings.Out = "", ""
		s.save()
		s.openMic()
	case "resume":
		s.do(Effect{Kind: ResumeSound})
	case "look":
		s.looking = true
		if s.in.Sound.State == SoundHeld {
			s.do(Effect{Kind: CloseMic})
		}
		if s.link != nil {
			s.follow()
			return
		}
		s.waiting = false
		switch s.view {
		case welcome, setup, check, measure, playing, jamming:
			s.view = path
		case singing:
			s.view = practice
		}
	}
}

func (s *stepper) actWelcome(a screen.Action) {
	switch a.ID {
	case "start":
		if !s.settings.Ready && s.link == nil {
			s.view = setup
			return
		}
		s.openMic()
		if s.link != nil {
			if !s.settings.Ready {
				s.holdKey(s.link.harpKey()) // the lesson's harp, until the player says otherwise
			}
			s.follow()
			return
		}
		s.view = path
	case "look":
		s.looking = true
		if s.link != nil {
			s.follow()
			return
		}
		s.view = path
	case "settings":
		s.goTo(preferred)
	}
}

// goTo visits a view that returns to this one.
func (s *stepper) goTo(v view) {
	s.back = s.view
	s.view = v
	s.measured = nil
}

func (s *stepper) leave() {
	v := s.back
	s.back = ""
	if v == "" {
		v = path
	}
	s.view = v
}

// chooseHarp handles the items by which a harp is described, on two screens.
func (s *stepper) chooseHarp(a screen.Action) bool {
	if _, kept := s.inHand(); kept && (a.ID == "tuning" || a.ID == "a4") {
		return true // it is what it is
	}
	switch a.ID {
	case "key":
		k, err := harp.ParseKey(a.Value)
		if err != nil {
			return true
		}
		if k != s.settings.Key {
			s.holdKey(k)
		}
		return true
	case "tuning":
		for i, name := range tuningNames() {
			if name == a.Value {
				s.settings.Tuning = harp.Tunings()[i]
			}
		}
	case "a4":
		s.settings.A4 = math.Round(math.Min(harp.MaxA4, math.Max(harp.MinA4, a.Now)))
		if math.IsNaN(a.Now) {
			s.settings.A4 = 440
		}
	case "out-phones":
		s.settings.Phones = true
	case "out-speaker":
		if s.settings.Phones {
			s.checked = 0 // what was measured was another way out
		}
		s.settings.Phones = false
	default:
		return false
	}
	s.save()
	return true
}

func (s *stepper) actSetup(a screen.Action) {
	switch {
	case s.chooseHarp(a):
	case a.ID == "mic":
		s.view = check
		if s.in.Sound.State != SoundOn && s.in.Sound.State != SoundOpening {
			s.openMic()
		}
	case a.ID == "back":
		s.view = welcome
	}
}

// chooseMic opens the microphone with a name of [stepper.micNames].
func (s *stepper) chooseMic(name string) {
	for i, n := range s.micNames() {
		if m := s.in.Sound.Inputs[i]; n == name && m.ID != s.in.Sound.Input {
			s.settings.Mic = m.ID
			s.save()
			s.openMic()
			return
		}
	}
}

func (s *stepper) actCheck(a screen.Action) {
	switch a.ID {
	case "microphone":
		s.chooseMic(a.Value)
	case "mic":
		s.openMic()
	case "go-on":
		if s.back != "" {
			s.leave()
			return
		}
		s.view, s.measured = measure, nil
	case "back":
		if s.back != "" {
			s.leave()
			return
		}
		s.view = setup
	}
}

func (s *stepper) actMeasure(a screen.Action) {
	if s.in.Run.Kind == Measuring {
		if a.ID == "stop" {
			s.do(Effect{Kind: StopSound})
		}
		return
	}
	on := s.in.Sound.State == SoundOn
	switch a.ID {
	case "measure":
		if on {
			s.measured = nil
			s.do(Effect{Kind: Calibrate})
		}
	case "clicks":
		if on {
			s.measured = nil
			s.do(Effect{Kind: CalibrateTap})
		}
	case "go-on", "skip":
		if s.back != "" {
			s.leave()
			return
		}
		s.settings.Ready = true
		s.save()
		if s.link != nil {
			s.follow()
			return
		}
		s.view = path
	case "mic":
		s.openMic()
	case "out-phones", "out-speaker":
		s.chooseHarp(a)
	}
}

// harpKey is the key of the harp that the link is for.
func (l Link) harpKey() harp.Key {
	switch {
	case l.Lesson == nil:
		return l.Spec.Key
	case l.Lesson.Key != nil:
		return *l.Lesson.Key
	}
	return l.Lesson.Lesson.Key
}

// Tempo choice as shares of the drill's tempo.
const (
	slowest   = 0.5
	quickest  = 1.1
	tempoStep = 0.05
)

func (s *stepper) actLesson(a screen.Action) {
	running := s.in.Run.Kind != Idle
	switch a.ID {
	case "stop":
		s.do(Effect{Kind: StopSound})
		s.demo = false
		return
	case "mic":
		s.openMic()
		return
	}
	if running {
		return
	}
	if s.actPart(a) {
		return
	}
	on := s.in.Sound.State == SoundOn
	switch a.ID {
	case "tempo":
		if math.IsNaN(a.Now) {
			return
		}
		before := s.share
		s.share = math.Round(math.Min(quickest*100, math.Max(slowest*100, a.Now))/(tempoStep*100)) * tempoStep
		if s.build() != nil { // a lick too long for a take at this tempo: the one before stays
			s.share = before
		}
		s.copied = ""
	case "live":
		s.display = a.On
	case "hear":
		s.hear()
	case "step":
		if on && steppable(s.drill) {
			s.walkThrough()
		}
	case "play":
		if on {
			s.play()
		}
	case "sing":
		if on && s.singable() {
			s.sing()
		}
	case "my-harp":
		if s.lick != noLick {
			k := s.settings.Key
			s.bookKey = &k
			_ = s.build() // another key has the same tab
			return
		}
		s.onMine()
	case "link":
		s.copied = "Link copied."
		if s.lick != noLick {
			a := s.address(s.lick)
			if s.drill.Tempo != a.Lesson.Tempo {
				a.Tempo = s.drill.Tempo
			}
			s.do(Effect{Kind: CopyLesson, Address: a})
			return
		}
		spec := s.spec
		spec.Tempo = s.drill.Tempo
		if _, measured := s.HarpOf(spec.Key); measured { // what these reeds are like is nobody else's
			spec.Tuning, spec.A4, spec.Profile = harp.Equal, 0, harp.Profile{}
		}
		s.do(Effect{Kind: CopyLink, Spec: spec, Title: s.title})
	case "calibrate":
		s.goTo(measure)
	case "settings":
		s.goTo(preferred)
	case "back":
		s.leaveDrill()
	}
}

// leaveDrill goes back to where the open drill was chosen.
func (s *stepper) leaveDrill() {
	if s.lick == noLick {
		s.view = path
		s.settings.Family = s.drill.Family
		if s.from != "" {
			s.view = s.from
		}
		return
	}
	s.view, s.copied = reading, ""
	if s.lender != "" {
		s.view = s.lender
	}
}

// play starts a take.
func (s *stepper) play() {
	s.view, s.take, s.trace, s.spared = playing, nil, nil, false
	s.demo = false
	s.earlier = s.in.Sound.Opened
	s.do(Effect{
		Kind: StartTake, Drill: s.drill, RoundTrip: s.delay.Seconds, Display: s.display && !s.drill.Unseen, AtTempo: s.atTempo(),
		Speaker: !s.settings.Phones, Check: s.unchecked(), Lick: s.lickKey(), Part: s.free(),
	})
}

func (s *stepper) actResult(a screen.Action) {
	if s.actReplay(a) {
		return
	}
	n := len(s.shown)
	switch a.ID {
	case "again", "next", "advised", "change", "mic", "back", "whole-drill":
		s.hush()
	}
	switch a.ID {
	case "again":
		if s.in.Sound.State == SoundOn {
			s.play()
		} else {
			s.view = practice
		}
	case "next":
		if s.lick != noLick {
			if k, ok := s.lickAfter(); ok {
				s.openLick(k)
			}
			return
		}
		if e, ok := s.following(); ok {
			spec := s.spec
			spec.ID, spec.Tempo = e.ID, 0
			s.open(spec, "")
		}
	case "advised":
		if tempo, change := s.advised(); change != 0 && tempo > 0 && s.target > 0 {
			s.view, s.trace = practice, nil
			s.share = math.Min(quickest, math.Max(slowest, tempo/s.target))
			_ = s.build() // a tempo from the path's own range can be built; else the one before stays
		}
	case "change":
		s.view, s.trace = practice, nil
	case "whole-drill":
		s.all()
		_ = s.build() // the whole drill was built before
		s.view, s.trace = practice, nil
	case "note-before":
		if n > 0 {
			s.chosen = (s.chosen + n - 1) % n
		}
	case "note-after":
		if n > 0 {
			s.chosen = (s.chosen + 1) % n
		}
	case "mic":
		s.openMic()
	case "save-take":
		s.do(Effect{Kind: SaveTake})
	case "live":
		s.display = a.On
	case "rested":
		s.rested = s.in.Now
	case "back":
		if s.take.Left && s.take.Spec == nil {
			s.view = path
			return
		}
		s.leaveDrill()
	}
}

func (s *stepper) actPreferred(a screen.Action) {
	if s.chooseHarp(a) {
		return
	}
	switch a.ID {
	case "volume-quiet":
		s.settings.Volume = QuietVolume
	case "volume-normal":
		s.settings.Volume = NormalVolume
	case "volume-loud":
		s.settings.Volume = LoudVolume
	case "large":
		s.settings.Large = a.On
	case "still":
		s.settings.Still = a.On
	case "paper-system":
		s.settings.Paper = ""
	case "paper-light":
		s.settings.Paper = "light"
	case "paper-dark":
		s.settings.Paper = "dark"
	case "calibrate":
		if s.in.Sound.State == SoundOn {
			s.view, s.measured = measure, nil
			s.back = preferredReturn(s.back)
		}
		return
	case "check":
		if s.in.Sound.State == SoundOn {
			s.view = check
			s.back = preferredReturn(s.back)
		}
		return
	case "mic":
		s.openMic()
		return
	case "microphone":
		s.chooseMic(a.Value)
		return
	case "loudspeaker":
		s.chooseSpeaker(a.Value)
		return
	case "harps":
		s.goHarps()
		return
	case "export":
		s.do(Effect{Kind: Export})
		return
	case "import":
		s.do(Effect{Kind: Import, Bytes: a.Bytes})
		return
	case "back":
		s.leave()
		switch {
		case s.view != practice:
		case s.lick != noLick:
			_ = s.build() // the tuning may be another now
		case s.title == "" && s.drill.Harp != s.settings.Harp():
			s.open(s.mine(s.spec.ID), "")
		case s.title != "" && s.ownReeds(s.spec) != s.spec: // its harp was measured meanwhile
			s.open(s.spec, s.title)
		}
		return
	default:
		return
	}
	s.save()
}

// preferredReturn is where a visit from the settings ends: where the settings came from.
func preferredReturn(back view) view {
	if back == welcome || back == "" {
		return path
	}
	return back
}
