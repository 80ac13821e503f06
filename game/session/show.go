package session

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"reedwell/audio/listen"
	"reedwell/game/screen"
	"reedwell/levels/drill"
	"reedwell/levels/grade"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
)

// page collects a screen.
type page struct{ screen.Screen }

func (p *page) add(i screen.Item) { p.Items = append(p.Items, i) }

func (p *page) title(text string) {
	p.add(screen.Item{ID: "title", Role: screen.Heading, Style: screen.Title, Label: text})
}

func (p *page) heading(id, text string) {
	p.add(screen.Item{ID: id, Role: screen.Heading, Label: text})
}

func (p *page) text(id, text string) {
	p.add(screen.Item{ID: id, Role: screen.Text, Label: text})
}

func (p *page) styled(id string, style screen.Style, text string) {
	p.add(screen.Item{ID: id, Role: screen.Text, Style: style, Label: text})
}

func (p *page) button(id, label string) {
	p.add(screen.Item{ID: id, Role: screen.Button, Label: label})
}

// primary is the one thing to do next; it has the keyboard when the screen comes up.
func (p *page) primary(id, label string) {
	p.add(screen.Item{ID: id, Role: screen.Button, Style: screen.Primary, Label: label})
	p.Focus = id
}

func (p *page) quiet(id, label string) {
	p.add(screen.Item{ID: id, Role: screen.Button, Style: screen.Quiet, Label: label})
}

func (p *page) tile(id, label, detail string) {
	p.add(screen.Item{ID: id, Role: screen.Button, Label: label, Detail: detail, Tile: true})
}

func (p *page) comb(c *screen.Comb, label string) {
	p.Comb = c
	p.add(screen.Item{ID: "comb", Role: screen.CombView, Label: label})
}

func (p *page) chart(c *screen.Chart, label string) {
	p.Chart = c
	p.add(screen.Item{ID: "chart", Role: screen.ChartView, Label: label})
}

// row sets the items from the given one on side by side.
func (p *page) row(row, from int) {
	for i := from; i < len(p.Items); i++ {
		p.Items[i].Row = row
	}
}

func (s *stepper) show() screen.Screen {
	p := &page{}
	p.Look = s.look()
	if s.faulty() {
		s.showFault(p)
		return p.Screen
	}
	p.Name = string(s.view)
	switch s.view {
	case welcome:
		s.showWelcome(p)
	case setup:
		s.showSetup(p)
	case check:
		s.showCheck(p)
	case measure:
		s.showMeasure(p)
	case path:
		s.showHome(p)
	case families:
		s.showFamilies(p)
	case practice:
		s.showLesson(p)
	case singing:
		s.showSinging(p)
	case playing:
		s.showPlaying(p)
	case stepping:
		s.showSteps(p)
	case result:
		s.showResult(p)
	case preferred:
		s.showPreferred(p)
	case lessons:
		s.showLessons(p)
	case reading:
		s.showReading(p)
	case paper:
		s.showPaper(p)
	case writing:
		s.showWriting(p)
	case recording:
		s.showRecording(p)
	case choosing:
		s.showChoosing(p)
	case jamming:
		s.showJamming(p)
	case pictured:
		s.showPictured(p)
	case harps:
		s.showHarps(p)
	case adding:
		s.showAdding(p)
	case passing:
		s.showPassing(p)
	case telling:
		s.showTelling(p)
	case overview:
		s.showMap(p)
	case diary:
		s.showDiary(p)
	case class:
		s.showClass(p)
	case pupil:
		s.showPupil(p)
	}
	s.showOffer(p)
	return p.Screen
}

func (s *stepper) look() screen.Look {
	l := screen.Look{Dark: s.in.System.Dark, Large: s.settings.Large, Still: s.settings.Still || s.in.System.Still}
	if s.settings.Paper != "" {
		l.Dark = s.settings.Paper == "dark"
	}
	return l
}

// notes shows what has to be told; the newest is also said at once.
func (s *stepper) notes(p *page) {
	s.showLeft(p)
	for _, n := range s.notices {
		from := len(p.Items)
		p.styled("notice-"+n.ID, tone(n), n.Text)
		p.add(screen.Item{ID: "put-away-" + n.ID, Role: screen.Button, Style: screen.Quiet, Label: "OK", Narrow: true})
		p.row(90+from, from)
		p.Alert = n.Text
		if n.ID == "cut" {
			s.showSpared(p)
		}
	}
}

func (s *stepper) showFault(p *page) {
	snd := s.in.Sound
	p.Name = "fault-" + snd.Fault
	p.Title = "Sound trouble - Reedwell"
	head := map[string]string{
		"refused": "The microphone is not allowed", "missing": "No microphone found", "busy": "The microphone is busy",
		"unplugged": "The microphone went away", "insecure": "This address can not use the microphone",
		"interrupted": "The sound is paused", "stalled": "The sound has stopped", "nocapture": "This program has no sound",
	}[snd.Fault]
	if head == "" {
		head = "The microphone can not be used"
	}
	p.title(head)
	p.styled("what", screen.Warning, snd.Sentence)
	p.Alert = head + ". " + snd.Sentence
	for _, n := range s.notices {
		if n.ID == "cut" {
			p.text("take", n.Text)
			s.showSpared(p)
		}
	}
	if snd.State == SoundHeld {
		p.primary("resume", "Go on")
	} else {
		p.primary("retry", "Try again")
		s.showOthers(p)
		if s.settings.Mic != "" {
			p.button("system-mic", "Use the system's microphone")
		}
	}
	p.button("look", "Go on without the microphone")
	p.styled("without", screen.Quiet, "Without it you can read the drills, but not hear or play them.")
}

// promise is kept: nothing here sends sound anywhere.
const promise = "Your sound stays on this device. It is sent nowhere."

func (s *stepper) showWelcome(p *page) {
	p.Title = "Reedwell"
	p.title("Reedwell")
	s.notes(p)
	p.text("what", "Reedwell hears your harmonica, tells you note by note what was right and what to change, and opens the next drill when your playing is ready for it.")
	switch {
	case s.link != nil && s.link.Lesson != nil:
		s.showLessonLink(p, *s.link.Lesson)
		if !s.settings.Ready {
			cautions(p)
		}
	case s.link != nil:
		e := s.entry(s.link.Spec.ID)
		name := s.link.Title
		if name == "" {
			name = e.Title
		}
		key := s.link.Spec.Key.String()
		p.heading("link", name)
		p.text("link-what", fmt.Sprintf("Your link leads to this drill: %s, for %s %s harp.", strings.ToLower(leveled(e.Family, e.Level)), article(key), key))
		if !s.settings.Ready {
			cautions(p)
		}
	}
	label := "Start"
	if s.settings.Ready || s.link != nil {
		label = "Turn the microphone on and start"
	}
	p.primary("start", label)
	p.styled("privacy", screen.Quiet, promise)
	p.quiet("look", "Look around without a microphone")
	if s.link == nil {
		p.comb(comb(s.Harp()), "The ten holes of the harp as you hold it: in each, its blow and draw reed and the bends between them")
	}
	if s.settings.Ready {
		p.quiet("settings", "Settings")
	}
}

// showKey asks for the key.
func (s *stepper) showKey(p *page) {
	p.add(screen.Item{ID: "key", Role: screen.Select, Label: "Key of your harp", Detail: "It is stamped on the cover plate.", Options: keyNames(), Value: s.settings.Key.String()})
}

func (s *stepper) showOut(p *page) {
	from := len(p.Items)
	const group = "How do you hear the band?"
	p.add(screen.Item{ID: "out-phones", Role: screen.Choice, Group: group, Label: "Headphones", Detail: "Best: only your harp reaches the microphone. With a cable.", On: s.settings.Phones})
	p.add(screen.Item{ID: "out-speaker", Role: screen.Choice, Group: group, Label: "Speaker", Detail: "Keep it lower than your playing.", On: !s.settings.Phones})
	p.row(20, from)
}

// cautions are told before the first note (common practice of teachers, no source).
func cautions(p *page) {
	p.heading("care", "Before you play")
	p.text("care-breath", "Deep, quick breathing can make you dizzy. If your head feels light, stop and breathe normally.")
	p.text("care-mouth", "Rest every ten minutes or so, and stop when lips or jaw hurt. Never force a bend.")
	p.text("care-ears", "Start with the volume low. Let nobody else play your harp.")
	p.text("care-health", "If you have trouble with lungs or heart, or were operated on lately, ask a doctor first.")
}

func (s *stepper) showSetup(p *page) {
	p.Title = "Your harp - Reedwell"
	p.title("Your harp")
	s.notes(p)
	s.showKey(p)
	s.showOut(p)
	cautions(p)
	p.text("why", "Next, the microphone. You will be asked to allow it. "+promise)
	p.primary("mic", "Turn the microphone on")
	p.quiet("back", "Back")
}

func (s *stepper) showCheck(p *page) {
	p.Title = "Microphone check - Reedwell"
	p.title("Microphone check")
	s.notes(p)
	if s.showAsleep(p) {
		p.primary("mic", "Turn the microphone on")
		p.quiet("back", "Back")
		return
	}
	switch s.in.Sound.State {
	case SoundOpening, SoundOff:
		p.waiting()
		p.quiet("back", "Back")
		p.Focus = "back"
		return
	}
	p.text("ask", "Play any note.")
	s.showLevel(p)
	c := comb(s.Harp())
	c.Beads = s.beads(nil)
	p.comb(c, "What you play, on the holes of "+article(s.settings.Key.String())+" "+s.settings.Key.String()+" harp")
	switch {
	case s.anything:
		p.styled("heard", screen.Good, "I hear "+s.heard.Note.Words()+".")
		p.text("wrong-hole", "Not the hole you play? Then go back and choose the key of your harp.")
		p.Live = "The microphone works. I hear " + s.heard.Note.Words() + "."
	case s.deaf():
		p.styled("deaf", screen.Warning, "Nothing arrives from "+s.micName()+". Is it muted, or is another one meant?"+s.elsewhere())
		p.Alert = "Nothing arrives from the microphone."
	default:
		p.text("heard", "Nothing heard yet.")
	}
	if s.loud() {
		p.styled("loud", screen.Note, "That was too loud. Move the harp a hand's width away, or turn the microphone down.")
	}
	s.showMics(p, 2)
	s.doubts(p)
	p.primary("go-on", "Go on")
	p.quiet("back", "Back")
}

// waiting tells that the microphone is being opened.
func (p *page) waiting() {
	const text = "Waiting for the microphone. If you are asked, choose Allow."
	p.text("wait", text)
	p.Live = text
}

// showLevel shows how loud it is at the microphone.
func (s *stepper) showLevel(p *page) {
	level := math.Max(-60, math.Min(0, s.level()))
	p.add(screen.Item{ID: "level", Role: screen.Meter, Label: "Level", Min: -60, Max: 0, Now: math.Round(level), Unit: "dB"})
}

// sleeping tells why the microphone is off and how to open it again.
const sleeping = "The microphone was closed: no note for five minutes."

// showAsleep tells of a microphone that was closed because nobody played.
func (s *stepper) showAsleep(p *page) bool {
	if !s.asleep || s.in.Sound.State != SoundOff {
		return false
	}
	p.styled("asleep", screen.Note, sleeping)
	p.Live = sleeping
	return true
}

// micNames are the microphones to choose from, each name once.
func (s *stepper) micNames() []string { return named(s.in.Sound.Inputs, "Microphone") }

// showMics lets the player choose the microphone, if there are at least so many.
func (s *stepper) showMics(p *page, least int) {
	names := s.micNames()
	if s.in.Sound.State != SoundOn || len(names) < least {
		return
	}
	now := slices.IndexFunc(s.in.Sound.Inputs, func(m Mic) bool { return m.ID == s.in.Sound.Input })
	if now < 0 { // the one in use is not in the list, or not by that name
		now = slices.IndexFunc(s.in.Sound.Inputs, func(m Mic) bool { return m.Label == s.in.Sound.Label })
	}
	value := s.micName()
	if now >= 0 {
		value = names[now]
	} else {
		names = append([]string{value}, names...)
	}
	p.add(screen.Item{ID: "microphone", Role: screen.Select, Label: "Microphone", Options: names, Value: value})
}

// elsewhere says where another microphone can be chosen.
func (s *stepper) elsewhere() string {
	if len(s.in.Sound.Inputs) > 1 {
		return " Choose it below."
	}
	return " Choose it in the browser's or the system's sound settings."
}

func (s *stepper) micName() string {
	if s.in.Sound.Label == "" {
		return "the microphone"
	}
	return s.in.Sound.Label
}

// doubts warns of what makes the ear's work worse but does not stop it.
func (s *stepper) doubts(p *page) {
	snd := s.in.Sound
	if snd.State != SoundOn {
		return
	}
	if snd.Bluetooth {
		p.styled("bluetooth", screen.Note, "This looks like Bluetooth: its delay wanders, so timing can not be judged well. A cable is better; you may go on.")
	}
	if narrow := snd.Rate <= 16000 || snd.InputRate > 0 && snd.InputRate <= 16000; narrow {
		p.styled("narrow", screen.Note, "The microphone delivers telephone sound (16 kHz): the brightness of your tone is lost.")
	}
	if snd.Processing != "" {
		p.styled("processing", screen.Note, "The system still changes the sound: "+snd.Processing+". Notes may be cut short. Switch it off if you can.")
	}
}

// stale is after how many seconds without a new frame nothing is shown as sounding.
const stale = 0.25

func (s *stepper) sounding() bool {
	return s.fresh > 0 && s.in.Sound.State == SoundOn && float64(s.in.Now-s.fresh) < stale*float64(s.in.Sound.Rate)
}

func (s *stepper) level() float64 {
	if !s.sounding() {
		return -120
	}
	return s.frame.Level
}

// beads are what sounds. What is not sure yet is shown only to somebody who is to play: elsewhere it may be somebody who speaks.
func (s *stepper) beads(asked *harp.Note) []screen.Bead {
	plays := asked != nil || s.in.Run.Kind == Recording
	if !s.sounding() || !plays && s.soon.Confidence < listen.MinConfidence {
		return nil
	}
	return beads(s.Harp(), s.soon, asked)
}

func (s *stepper) showMeasure(p *page) {
	p.Title = "Sound delay - Reedwell"
	p.title("Sound delay")
	s.notes(p)
	if s.in.Run.Kind == Measuring {
		if s.in.Run.Length > 0 {
			p.add(screen.Item{ID: "progress", Role: screen.Meter, Label: "Listening", Min: 0, Max: math.Ceil(s.in.Run.Length), Now: math.Floor(s.in.Run.Seconds), Unit: "seconds"})
		}
		p.text("hush", "Listening. Keep everything else quiet.")
		p.add(screen.Item{ID: "stop", Role: screen.Button, Label: "Stop"})
		p.Focus = "stop"
		return
	}
	if m := s.measured; m != nil && m.Problem == "" {
		how := fmt.Sprintf("Your sound takes %s to go out and come back. Reedwell takes that off before it judges your timing.", ms(m.Seconds))
		p.styled("delay", screen.Good, how)
		if m.Clicks {
			p.text("coarse", "Measured with your own playing, it is good to about 20 ms. Test sounds would be closer.")
		}
		p.Live = fmt.Sprintf("Done. The delay is %s.", ms(m.Seconds))
		p.primary("go-on", "Go on")
		p.quiet("measure", "Measure again")
		return
	}
	s.needMic(p, "To measure you need the microphone.")
	p.text("why", "Sound takes a moment to leave the computer and to come back. Once this is measured, late means late. It takes about five seconds.")
	s.showOut(p)
	if m := s.measured; m != nil {
		p.styled("problem", screen.Warning, m.Problem)
		p.Alert = m.Problem
	}
	if s.settings.Phones {
		p.text("how", "Hold one ear piece against the microphone and press Measure. You will hear five short chirps.")
	} else {
		p.text("how", "Turn the speaker up to a speaking voice, keep quiet and press Measure. You will hear five short chirps.")
	}
	if s.in.Sound.State == SoundOn {
		p.primary("measure", "Measure")
		p.button("clicks", "Play on clicks instead")
		p.styled("clicks-how", screen.Quiet, "Eight clicks: play one short note on each. Less exact, and it needs no speaker near the microphone.")
	}
	if p.Focus == "" {
		p.Focus = "out-phones"
	}
	if s.back != "" {
		p.quiet("go-on", "Back")
	} else {
		p.quiet("skip", "Skip for now")
		p.styled("skip-what", screen.Quiet, "Without it the delay is guessed, and results are marked \"not calibrated\".")
	}
}

// showLessonLink tells what lesson a link leads to.
func (s *stepper) showLessonLink(p *page, a lesson.Address) {
	p.heading("link", a.Lesson.Title)
	key := s.link.harpKey().String()
	what := fmt.Sprintf("Your link leads to this lesson, for %s %s harp.", article(key), key)
	if a.Lick > 0 {
		what = fmt.Sprintf("Your link leads to a lick of this lesson, %q, for %s %s harp.", a.Lesson.Licks[a.Lick-1].Title, article(key), key)
	}
	if a.Lick == lesson.AllLicks {
		what = fmt.Sprintf("Your link leads to all licks of this lesson in their places, for %s %s harp.", article(key), key)
	}
	p.text("link-what", what)
}

// name is what the open drill is called.
func (s *stepper) name() string {
	name := s.drill.Title
	switch {
	case s.title != "":
		name = s.title
	case s.lick == chorus && !s.part.only():
		return name + ": the whole chorus"
	}
	if s.part.only() {
		name += ", " + s.part.words()
	}
	return name
}

func (s *stepper) showLesson(p *page) {
	d := s.drill
	p.Title = s.name() + " - Reedwell"
	p.title(s.name())
	s.notes(p)
	key := d.Harp.Key.String()
	which := fmt.Sprintf("%s. %s harp, %s: key of %s.", s.kind(), strings.ToUpper(key[:1])+key[1:], d.Position.Name(), d.Harp.Key.Song(d.Position))
	if name := s.reedsOf(d.Harp.Key); name != "" {
		which += " Judged by the reeds of " + name + "."
	} else if d.Harp.A4 != 440 {
		which += fmt.Sprintf(" A = %g Hz.", d.Harp.A4)
	}
	p.styled("which", screen.Quiet, which)
	if s.lick == noLick {
		p.text("words", d.Words)
	}
	for i, line := range strings.Split(d.Words, "\n") {
		if s.lick != noLick && line != "" {
			p.text(fmt.Sprintf("words-%d", i+1), line)
		}
	}
	if d.Harp.Key != s.settings.Key {
		mine := s.settings.Key.String()
		p.styled("other-harp", screen.Note, fmt.Sprintf("Take %s %s harp. Yours is set to %s.", article(key), key, mine))
		p.button("my-harp", "Play it on my "+mine+" harp")
	}
	c := s.asked()
	run := s.in.Run
	if s.demo {
		s.showDemo(p, c, run)
		return
	}
	h := comb(d.Harp)
	find := "Find the first note: " + s.firstWords()
	switch {
	case d.ByEar:
		h.Beads, find = s.beads(nil), "What you play"
	case len(d.Targets) > 0:
		h.Asked, h.Beads = place(d.Harp, d.Targets[0]), s.beadsOn(d.Targets[0])
	}
	p.chart(c, s.chartWords())
	p.comb(h, find)
	e := s.entry(d.ID)
	if s.free() {
		// Nothing of what is told of takes that count.
	} else if s.lick != noLick {
		if words, _ := s.mark(s.book, s.lick); words != "" {
			p.text("lately", words)
		}
	} else if e.Standing == Locked && len(s.path) > 0 {
		p.text("locked", "This level is still locked. You may play it all the same, and good takes count.")
	} else if e.Lately != "" {
		p.text("lately", e.Lately)
	}
	tempo := fmt.Sprintf("%.0f beats a minute", d.Tempo)
	if s.lick == noLick && !s.atTempo() && !s.free() {
		tempo += fmt.Sprintf(". Takes count from %.0f.", e.Tempo)
	}
	p.add(screen.Item{ID: "tempo", Role: screen.Slider, Label: "Tempo", Detail: tempo, Min: slowest * 100, Max: quickest * 100, Step: tempoStep * 100, Now: math.Round(s.share * 100), Unit: "%"})
	s.showPart(p)
	s.showToggle(p)
	s.doubts(p)
	s.showDelay(p)
	switch s.in.Sound.State {
	case SoundOn:
		from := len(p.Items)
		p.primary("play", "Play")
		p.button("hear", "Hear it")
		p.row(30, from)
		if steppable(d) {
			p.button("step", "One note at a time")
		}
		if s.singable() {
			p.button("sing", "Sing the tone yourself")
		}
	case SoundOpening:
		p.waiting()
	default:
		if !s.showAsleep(p) {
			p.styled("no-mic", screen.Note, "To play or hear this drill you need the microphone.")
		}
		p.primary("mic", "Turn the microphone on")
	}
	from := len(p.Items)
	what := "drill"
	switch {
	case s.lick == chorus:
		what = "lesson"
	case s.lick != noLick:
		what = "lick"
	}
	p.quiet("link", "Copy a link to this "+what)
	s.showCopied(p)
	p.quiet("settings", "Settings")
	p.quiet("back", s.returns())
	p.row(31, from)
	if p.Focus == "" {
		p.Focus = "back"
	}
}

// kind is what sort of thing is open.
func (s *stepper) kind() string {
	switch {
	case s.lick == noLick:
		return leveled(s.drill.Family, s.drill.Level)
	case s.lick == chorus:
		return fmt.Sprintf("All licks of %s, %s", s.book.lesson.Title, plural(s.drill.Bars, "bar"))
	}
	return fmt.Sprintf("Lick %d of %d of %s, %s", s.lick+1, len(s.book.lesson.Licks), s.book.lesson.Title, strings.ToLower(bars(s.book.lesson.Licks[s.lick])))
}

// leveled names a family and the level in it, where there is one.
func leveled(f drill.Family, level int) string {
	if level == 0 {
		return f.Name()
	}
	return fmt.Sprintf("%s, level %d", f.Name(), level)
}

// returns is what the way back is called.
func (s *stepper) returns() string {
	switch {
	case s.lick == noLick && s.from == overview:
		return "Back to the map"
	case s.lick == noLick:
		return home
	case s.lender != "":
		return "Back to writing"
	}
	return "Back to the lesson"
}

// showDelay tells what is known of the delay, and that the band is left out.
func (s *stepper) showDelay(p *page) {
	snd := s.in.Sound
	if snd.State != SoundOn {
		return
	}
	switch {
	case s.unchecked():
		p.styled("check-first", screen.Quiet, "Two chirps before the count-in check the sound delay. Wait for the count-in.")
	case s.guessed:
		p.styled("uncalibrated", screen.Note, uncalibrated)
		p.button("calibrate", "Measure the sound delay")
	case s.slipped():
		p.styled("slipped", screen.Note, "The sound delay has changed since it was measured.")
		p.button("calibrate", "Measure the sound delay again")
	case s.settings.Phones && s.sure != snd.Opened && s.earlier != snd.Opened:
		p.styled("earlier", screen.Note, "The sound delay was measured at an earlier opening. By now it may be off by up to 30 ms.")
		p.button("calibrate", "Measure the sound delay again")
	}
	if !s.settings.Phones && snd.Loud && len(s.drill.Chords) > 0 {
		p.styled("click-only", screen.Note, clickOnly)
	}
}

// clickOnly tells why no band sounds.
const clickOnly = "Your speaker is loud, so only the click sounds while you play. For the band, turn it down or use headphones."

// showToggle asks whether the next take shows what is played.
func (s *stepper) showToggle(p *page) {
	if s.drill.Unseen {
		p.text("unseen", "While you play, neither the tone nor your pitch is shown.")
		return
	}
	detail := "At least one good take has to be played without it."
	if s.lick != noLick || s.part.only() {
		detail = ""
	}
	p.add(screen.Item{ID: "live", Role: screen.Toggle, Label: "Show what I play while I play", Detail: detail, On: s.display})
}

func (s *stepper) firstWords() string {
	if len(s.drill.Targets) == 0 {
		return "none"
	}
	return s.drill.Targets[0].Words()
}

// maxRead is how many notes a chart reads out; a warble has a hundred.
const maxRead = 24

// chartWords reads the chart out.
func (s *stepper) chartWords() string {
	if s.drill.ByEar && s.view != result {
		return byEar(s.drill)
	}
	var tabs []string
	for i := range s.drill.Targets {
		if len(tabs) == maxRead {
			tabs = append(tabs, fmt.Sprintf("and %d more", len(s.drill.Targets)-i))
			break
		}
		if !goesOn(s.drill, i) {
			tabs = append(tabs, spoken(s.drill, i))
		}
	}
	return plural(s.drill.Bars, "bar") + ": " + strings.Join(tabs, "; ")
}

// showDemo is the drill while its demonstration sounds.
func (s *stepper) showDemo(p *page, c *screen.Chart, run Run) {
	h := comb(s.drill.Harp)
	s.cursor(c, h, run)
	p.text("count", countWords(c, run))
	p.chart(near(c, s.in.Width), s.chartWords())
	if !s.drill.ByEar {
		p.comb(h, "What the demonstration plays")
	}
	p.add(screen.Item{ID: "stop", Role: screen.Button, Style: screen.Primary, Label: "Stop"})
	p.Focus = "stop"
}

// cursor sets the place in chart and comb from the drill time.
func (s *stepper) cursor(c *screen.Chart, h *screen.Comb, run Run) {
	if run.Kind != Recording && run.Kind != Demo {
		return
	}
	beat := s.drill.BeatAt(run.Seconds)
	if run.Seconds >= 0 {
		c.Cursor = beat
		c.CountIn = countIn(s.drill, beat)
	}
	if s.drill.ByEar {
		return
	}
	now, next := around(s.drill, run.Seconds)
	if now >= 0 {
		h.Asked = place(s.drill.Harp, s.drill.Targets[now])
	}
	if next >= 0 {
		h.Next = place(s.drill.Harp, s.drill.Targets[next])
	}
}

func countWords(c *screen.Chart, run Run) string {
	switch {
	case run.Kind == Checking:
		return "Checking the sound delay: two chirps. Do not play yet."
	case run.Kind == Preparing || run.Kind == Idle || run.Seconds < 0:
		return "Get ready."
	case run.Kind == Grading:
		return listening(run)
	case c.CountIn > 0:
		return fmt.Sprintf("Count-in: %d", c.CountIn)
	case run.Kind == Demo:
		return "Listen."
	}
	return "Play."
}

// listening tells how far the listening to a take has come, in steps that can be read.
func listening(run Run) string {
	const step = 0.05
	if run.Done < step {
		return "Listening to your take ..."
	}
	return fmt.Sprintf("Listening to your take ... %.0f %%", 100*step*math.Floor(run.Done/step+1e-9))
}

func (s *stepper) showPlaying(p *page) {
	p.Title = "Playing - Reedwell"
	p.title(s.name())
	run := s.in.Run
	c, h := s.asked(), comb(s.drill.Harp)
	s.cursor(c, h, run)
	if s.display && !s.drill.Unseen {
		c.Trace = s.trace
		if now, _ := around(s.drill, run.Seconds); now >= 0 && run.Kind == Recording {
			h.Beads = s.beadsOn(s.drill.Targets[now])
			if s.drill.ByEar {
				h.Beads = s.beads(nil)
			}
		}
	}
	count := countWords(c, run)
	if words := s.turn(run); words != "" {
		count = words
	}
	p.text("count", count)
	p.chart(near(c, s.in.Width), s.chartWords())
	switch {
	case s.drill.Unseen, s.drill.ByEar && !s.display: // neither what is asked nor what is played
	case s.drill.ByEar:
		p.comb(h, "What you play")
	default:
		p.comb(h, "What to play now and next")
	}
	if run.ClickOnly {
		p.styled("click-only", screen.Note, clickOnly)
	}
	p.add(screen.Item{ID: "stop", Role: screen.Button, Style: screen.Primary, Label: "Stop", Disabled: run.Kind == Grading})
	p.Focus = "stop"
}

// restAfter is how many seconds of playing bring up a rest: dizziness and sore lips come from
// playing on (common practice, no source).
const restAfter = 12 * 60

func (s *stepper) showResult(p *page) {
	t := s.take
	r := t.Result
	p.Title = "Result - Reedwell"
	s.showAdvice(p, r)
	s.notes(p)
	for i, o := range s.opened {
		p.styled(fmt.Sprintf("opened-%d", i+1), screen.Good, "Open now: "+o+".")
		p.Live += " Open now: " + o + "."
	}
	s.showCaveats(p, t)
	s.showOn(p, t)
	s.showOutcome(p, r)
	if !t.Left || t.Spec != nil {
		s.showToggle(p)
	}
}

// showAdvice says first what to do, the weightiest in large letters, and then how the take went.
func (s *stepper) showAdvice(p *page, r grade.Result) {
	if r.Problem != "" {
		p.title("This take could not be judged")
		p.text("problem", r.Problem)
		p.text("not-counted", "It is not counted, and nothing you have earned is lost.")
		p.Live = "This take could not be judged. " + r.Problem
		return
	}
	p.title(s.name())
	advice := r.Summary[:min(len(r.Summary), mostAdvice)]
	if len(advice) == 0 {
		advice = []string{"Just so. Play it like that again."}
	}
	for i, line := range advice {
		style := screen.Plain
		if i == 0 {
			style = screen.Title
		}
		p.styled(fmt.Sprintf("work-%d", i+1), style, line)
	}
	style, words := screen.Off, s.score(r)
	if r.Passed {
		style = screen.Good
	}
	p.styled("score", style, words)
	p.Live = advice[0] + " " + words
	switch e := s.entry(s.drill.ID); {
	case s.part.only():
		p.styled("towards", screen.Quiet, partFree)
	case s.free():
		p.styled("towards", screen.Quiet, sungFree)
	case s.lick != noLick:
		if r := s.licks[s.lickKey()]; r.Takes > 1 { // after one it is said already
			p.styled("towards", screen.Quiet, recordWords(r))
		}
	case !s.atTempo():
		p.styled("towards", screen.Quiet, fmt.Sprintf("Played at %.0f beats a minute. Takes count from %.0f.", s.drill.Tempo, e.Tempo))
	case e.Lately != "":
		p.styled("towards", screen.Quiet, e.Lately)
	}
}

// mostAdvice is how many things to work on are told: nobody minds more at once. Our choice.
const mostAdvice = 3

// score is the verdict on a take in a sentence.
func (s *stepper) score(r grade.Result) string {
	good := 0
	for _, n := range r.Notes {
		if n.Good {
			good++
		}
	}
	share := fmt.Sprintf("%.0f %%", math.Floor(r.Share*100+1e-9)) // 79.9 is not 80
	words := share + " of what is measured is right"
	if s.counted() && len(r.Notes) > 0 {
		words = fmt.Sprintf("%d of %s right (%s)", good, plural(len(r.Notes), "note"), share)
	}
	if r.Passed {
		return "A good take: " + words + "."
	}
	return fmt.Sprintf("Not yet: %s. %s make a good take.", words, percent(grade.PassShare))
}

// showCaveats tells what the verdict on a take may be wrong about.
func (s *stepper) showCaveats(p *page, t *Take) {
	switch { // where it is the problem it stands above already
	case t.Result.Problem != "":
	case t.Lost > 0 && t.Left:
		p.styled("lost", screen.Note, fmt.Sprintf("Of this take %s are missing, so it is not counted. A note missing there is not your fault.", seconds(t.Lost)))
	case t.Lost > 0:
		lost := fmt.Sprintf("The device lost %s of sound in this take. A note missing there may not be your fault.", ms(t.Lost))
		if !t.Counted {
			lost += " The take is not counted."
		}
		p.styled("lost", screen.Note, lost)
	}
	if t.Moved && t.Result.Problem == "" {
		p.styled("moved", screen.Note, "The sound delay changed in the middle of this take, so early and late may be off.")
	}
	if t.Result.Overdriven && t.Result.Problem == "" {
		p.styled("overdriven", screen.Note, "Some of this take was too loud for the microphone, and two holes or a hand may be heard wrongly then. Move the harp a hand's width away, or turn the microphone down.")
	}
	if t.Shift != 0 {
		way := "later"
		if t.Shift < 0 {
			way = "earlier"
		}
		p.styled("shifted", screen.Note, fmt.Sprintf("The clicks came back %s %s than measured before. That is taken out of this take and of those to come.", ms(t.Shift), way))
	}
	if s.guessed {
		p.styled("uncalibrated", screen.Note, uncalibrated)
	}
}

// uncalibrated tells of a delay that was never measured.
const uncalibrated = "Not calibrated: early and late may be off."

// showOn leads on from a result.
func (s *stepper) showOn(p *page, t *Take) {
	r := t.Result
	s.needMic(p, "To play again you need the microphone.")
	if t.Left && t.Spec == nil {
		p.primary("back", "Go on")
		return
	}
	next, open := s.next()
	open = open && !s.free()
	onward := open && r.Passed && r.Problem == ""
	if onward {
		p.primary("next", next)
	} else {
		p.primary("again", "Again")
	}
	from := len(p.Items)
	switch {
	case onward:
		p.button("again", "Again")
	case open:
		p.button("next", next)
	}
	if s.part.only() {
		p.button("whole-drill", fmt.Sprintf("All %d bars", s.part.of))
	} else if tempo, change := s.advised(); r.Problem == "" && tempo > 0 && change != 0 {
		how := "slower"
		if change > 0 {
			how = "quicker"
		}
		p.button("advised", fmt.Sprintf("Try it %s, at %.0f", how, tempo))
	}
	p.button("change", "Change tempo or listen")
	p.quiet("back", s.returns())
	p.row(40, from)
	s.showRound(p)
	s.showRest(p)
}

// showRest says when it is time to put the harp down.
func (s *stepper) showRest(p *page) {
	if s.in.Sound.Rate > 0 && s.in.Now-s.rested > int64(restAfter*s.in.Sound.Rate) {
		p.styled("rest", screen.Note, "You have been at it for a while. Put the harp down for two minutes.")
		p.quiet("rested", "Rested")
	}
}

// showOutcome shows the marks, note by note and of the whole, and then what was played; where the chart has a column of its
// own, what belongs to it stands under it.
func (s *stepper) showOutcome(p *page, r grade.Result) {
	if r.Problem == "" {
		s.showNote(p, r)
		s.showWhole(p, r)
		c := chart(s.drill, s.in.Width)
		outcomes(c, r, s.shown, s.chosen, s.inParts())
		c.Trace = s.trace
		if s.in.Run.Kind == Replaying {
			c.Cursor = s.drill.BeatAt(s.in.Run.Seconds)
		}
		p.chart(c, s.outcomeWords(r))
	}
	from := len(p.Items)
	s.showReplay(p) // with the chart, on which the cursor runs
	p.quiet("save-take", "Save the sound of this take")
	for i := from; i < len(p.Items); i++ {
		p.Items[i].Under = true
	}
}

// next is what follows the open drill, in words, if anything does.
func (s *stepper) next() (words string, ok bool) {
	if s.lick != noLick {
		k, ok := s.lickAfter()
		if !ok {
			return "", false
		}
		if k == chorus {
			return "Next: the whole chorus", true
		}
		return "Next lick: " + s.book.lesson.Licks[k].Title, true
	}
	e, ok := s.following()
	return "Next: " + drill.Short(e.Title), ok
}

// inParts reports a take that is judged in parts and not note by note.
func (s *stepper) inParts() bool {
	return s.drill.Family == drill.Warble && len(s.shown) < len(s.take.Result.Notes)
}

// counted reports a take whose notes are counted one by one. In a lick a warble counts as
// one, however many notes it has.
func (s *stepper) counted() bool {
	return s.drill.Family != drill.Warble && !slices.ContainsFunc(s.drill.Targets, func(t drill.Target) bool { return t.Warble })
}

func (s *stepper) outcomeWords(r grade.Result) string {
	var off []string
	if s.inParts() {
		return "What was asked, and what you played."
	}
	for i, n := range r.Notes {
		if !n.Good && len(off) < maxRead {
			off = append(off, fmt.Sprintf("%d, %s", i+1, n.Tab))
		}
	}
	if len(off) == 0 {
		return "Every note was right."
	}
	return "Notes that were not right: " + strings.Join(off, "; ")
}

// showNote shows the marks of the chosen note and the way to the others.
func (s *stepper) showNote(p *page, r grade.Result) {
	if s.chosen >= len(s.shown) {
		return
	}
	n := r.Notes[s.shown[s.chosen]]
	name := n.Tab
	if note, err := harp.ParseNote(n.Tab); err == nil {
		name = note.Words()
	}
	if n.Target >= 0 && n.Target < len(s.drill.Targets) {
		name = beside(s.drill, s.drill.Targets[n.Target], name)
	}
	what := "Note"
	if s.inParts() {
		what, name = "Part", "from note "+fmt.Sprint(n.Target+1)+", "+name
	}
	p.heading("note", fmt.Sprintf("%s %d of %d: %s", what, s.chosen+1, len(s.shown), name))
	from := len(p.Items)
	p.button("note-before", what+" before")
	p.button("note-after", what+" after")
	p.row(41, from)
	if n.Heard != "" && n.Heard != n.Tab {
		if heard, err := harp.ParseNote(n.Heard); err == nil {
			p.text("note-heard", "Heard: "+heard.Words()+".")
		}
	}
	k := 0
	for _, m := range r.Marks {
		if m.Target == n.Target {
			k++
			mark(p, fmt.Sprintf("mark-%d", k), m)
		}
	}
	if k == 0 {
		words, style := "Right.", screen.Good
		if !n.Good {
			words, style = "Not right.", screen.Off
		}
		p.styled("mark-1", style, words)
	}
}

// showWhole shows the marks of the take as a whole.
func (s *stepper) showWhole(p *page, r grade.Result) {
	k := 0
	for _, m := range r.Marks {
		if m.Target >= 0 {
			continue
		}
		if k == 0 {
			p.heading("whole", "The take as a whole")
		}
		k++
		mark(p, fmt.Sprintf("whole-%d", k), m)
	}
}

func mark(p *page, id string, m grade.Mark) {
	style := screen.Off
	if m.Verdict == grade.Good {
		style = screen.Good
	}
	detail := m.Advice
	if m.Verdict == grade.Good {
		detail = ""
	}
	p.add(screen.Item{ID: id, Role: screen.Text, Style: style, Label: verdict(m.Verdict) + ". " + sentence(m), Detail: detail})
}

func (s *stepper) showPreferred(p *page) {
	p.Title = "Settings - Reedwell"
	p.title("Settings")
	s.notes(p)
	p.heading("h-harp", "Harp")
	s.showKey(p)
	if k, ok := s.inHand(); ok {
		p.text("own", fmt.Sprintf("In your hand: %s. %s", k.Name, keptWords(k)))
	} else {
		p.add(screen.Item{ID: "tuning", Role: screen.Select, Label: "Tuning", Detail: "If you do not know it, leave it at equal.", Options: tuningNames(), Value: tuningNames()[s.settings.Tuning]})
		p.add(screen.Item{ID: "a4", Role: screen.Slider, Label: "Pitch of A", Min: harp.MinA4, Max: harp.MaxA4, Step: 1, Now: s.settings.A4, Unit: "Hz"})
	}
	p.add(screen.Item{ID: "harps", Role: screen.Button, Label: "My harps", Detail: "Keep several, and measure their reeds."})
	p.heading("h-sound", "Sound")
	s.showOut(p)
	s.showVolume(p)
	if s.in.Sound.State == SoundOn {
		from := len(p.Items)
		p.button("calibrate", "Measure the sound delay")
		p.button("check", "Microphone check")
		p.row(50, from)
		s.showMics(p, 1)
		s.showSpeakers(p)
		state := "Not calibrated."
		if !s.guessed {
			state = fmt.Sprintf("Measured delay: %s.", ms(s.delay.Seconds))
			if s.sure != s.in.Sound.Opened {
				state = fmt.Sprintf("Delay: %s, measured at an earlier opening.", ms(s.delay.Seconds))
			}
		}
		p.styled("delay", screen.Quiet, fmt.Sprintf("%s Microphone: %s, %d Hz.", state, s.micName(), s.in.Sound.Rate))
	} else {
		s.needMic(p, "The microphone is off.")
	}
	p.heading("h-look", "Looks")
	p.add(screen.Item{ID: "large", Role: screen.Toggle, Label: "Large text", On: s.settings.Large})
	p.add(screen.Item{ID: "still", Role: screen.Toggle, Label: "Less movement", On: s.settings.Still})
	from := len(p.Items)
	for _, c := range []struct{ id, label, value string }{{"paper-system", "As the system", ""}, {"paper-light", "Light", "light"}, {"paper-dark", "Dark", "dark"}} {
		p.add(screen.Item{ID: c.id, Role: screen.Choice, Group: "Paper", Label: c.label, On: s.settings.Paper == c.value})
	}
	p.row(51, from)
	s.showDrawing(p)
	p.heading("h-progress", "Your progress")
	p.text("where", "It is kept on this device only. Browsers may clear it when you stay away for long: save a copy now and then.")
	p.button("export", "Save a copy")
	p.add(screen.Item{ID: "import", Role: screen.File, Label: "Read a copy"})
	p.primary("back", "Done")
}
