package session

import (
	"fmt"
	"math"
	"slices"

	"reedwell/audio/listen"
	"reedwell/game/screen"
	"reedwell/game/shelf"
	"reedwell/levels/drill"
	"reedwell/levels/grade"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/sheet"
)

// A view is what the player is doing.
type view string

const (
	welcome   view = "welcome"
	setup     view = "harp"
	check     view = "sound"
	measure   view = "calibrate"
	path      view = "path" // home
	families  view = "families"
	practice  view = "drill"
	singing   view = "sing"
	playing   view = "take"
	stepping  view = "steps"
	result    view = "result"
	preferred view = "settings"
	lessons   view = "lessons"
	reading   view = "lesson"
	paper     view = "sheet"
	writing   view = "write"
	recording view = "record"
	choosing  view = "room"
	jamming   view = "room-take"
	pictured  view = "room-picture"
	harps     view = "harps"
	adding    view = "harp-new"
	passing   view = "pass"
	telling   view = "reeds"
	overview  view = "map"
	diary     view = "week"
	class     view = "class"
	pupil     view = "student"
)

// sounds reports that the player plays or listens there. Elsewhere trouble with the sound can wait until it is wanted: nobody
// is torn from what they write or read for it.
func (v view) sounds() bool {
	switch v {
	case preferred, lessons, reading, paper, writing, harps, adding, telling, overview, diary, class, pupil:
		return false
	}
	return true
}

// A State is where the player is. [Start] makes the first.
type State struct {
	view     view
	back     view // where the settings, the check and the calibration return to
	settings Settings
	path     []Entry
	notices  []Notice
	sound    Sound

	looking bool // goes on without a microphone
	opening bool // the microphone was asked for and is not open yet
	delay   Delay
	delayOf int // the stream delay was measured on or taken for; 0 none
	guessed bool
	slipAt  float64
	sure    int   // the stream on which the delay was measured or heard; 0 none
	checked int   // the stream on which it need not be checked with test sounds any more
	earlier int   // the stream for which it was told that the delay is an earlier one
	awake   int64 // frame of the last take, demonstration, calibration or note
	asleep  bool  // the microphone was closed because nobody played

	// The microphone check.
	heard    harp.Sound
	anything bool  // a note was heard
	loudAt   int64 // when a note last came close to full scale, -1 never
	silent   int64 // frame since which nothing at all has arrived
	measured *Calibration

	harps rack
	offer offer

	// The drill.
	link    *Link
	spec    drill.Spec
	title   string  // of a link; may be empty
	target  float64 // tempo that counts as 100 %
	share   float64 // of target
	drill   drill.Drill
	part    part // of the drill
	walker  walker
	display bool
	hole    string // of the ladder shown on the path
	sung    *Sung  // the note that was sung last for a drill by ear
	copied  string // what was copied, in words

	// Lessons.
	books     []book
	licks     map[string]shelf.Record
	brought   *book // by a link
	book      book  // the open one
	lick      int   // the open part of it, or noLick
	bookKey   *harp.Key
	bookTempo float64 // that a link asks for; 0: the lesson's
	lender    view    // where the open lick was come from, if not from its lesson
	dropping  bool    // it was asked to delete the open lesson
	format    Format
	sheetOf   lesson.Lesson
	sheetFrom view
	pages     *Sheet // of sheetOf, when they are there
	paper     sheet.Paper

	// What a teacher writes.
	draft   draft
	wish    wish
	waiting bool // for what is played to be written down

	jam jam // the twelve-bar room
	// The way so far, and the weeks of a teacher's students.
	practised Practice
	weekly    weekly
	students  students
	from      view // where the open drill was chosen, if not on the path

	// The take.
	demo   bool
	trace  []screen.TracePoint
	take   *Take
	spared bool     // what was recorded of a take that was cut off can be saved
	opened []string // titles that the take opened
	try    try
	shown  []int // notes of the result that have marks
	chosen int   // which of them is shown in detail
	rested int64 // frame since which the microphone was on without a rest

	frame listen.Frame // the newest
	fresh int64        // device frame when it came
	soon  listen.Frame // what sounded then as far as was known, see soonest
}

// Start returns the first state: the welcome.
func Start(s Settings) State {
	return State{view: welcome, settings: s, display: true, share: 1, silent: -1, loudAt: -1, lick: noLick, draft: draft{part: chorus}}
}

// Settings are the player's choices, to be kept after a [SaveSettings].
func (s State) Settings() Settings { return s.settings }

// Harp is the harp that is listened for: the drill's while one is open, else the player's.
func (s State) Harp() harp.Harp {
	switch s.view {
	case practice, singing, playing, stepping, result:
		return s.drill.Harp
	case recording:
		if s.waiting {
			return s.drill.Harp
		}
	case passing:
		if p := s.harps.pass; p != nil && p.On {
			return p.passHarp()
		}
	}
	return s.settings.Harp()
}

// Step moves the state on.
func Step(s State, in Input) (State, Output) {
	st := stepper{State: s, in: in}
	st.absorb()
	for _, a := range in.Actions {
		st.act(a)
	}
	if st.view != s.view {
		st.moveOn(s.notices)
	}
	return st.State, Output{Screen: st.show(), Effects: st.effects}
}

type stepper struct {
	State
	in      Input
	effects []Effect
}

func (s *stepper) do(e Effect) { s.effects = append(s.effects, e) }

func (s *stepper) save() { s.do(Effect{Kind: SaveSettings}) }

// absorb takes in what has happened outside.
func (s *stepper) absorb() {
	in := s.in
	for _, n := range in.Notices {
		s.tell(n)
	}
	before := s.path
	if in.Path != nil {
		s.path = in.Path
	}
	s.listen()
	if in.Sound.State == SoundOn {
		s.stream()
	}
	s.sound = in.Sound
	if c := in.Calibration; c != nil && s.view == measure {
		s.measured = c
		if c.Problem == "" {
			s.know(Delay{Seconds: c.Seconds, SpreadMS: c.SpreadMS, Clicks: c.Clicks})
			if c.Clicks {
				s.checked = 0 // good to 20 ms: where test sounds can be heard they are closer
			}
		}
	}
	if c := in.Checked; c != nil {
		s.check(*c)
	}
	s.drowse()
	if in.Harps != nil {
		s.pack(*in.Harps)
	}
	s.measuring()
	s.compare()
	if in.Shelf != nil {
		s.stock(*in.Shelf)
	}
	if in.Kept != "" {
		s.noteKept(in.Kept)
	}
	if in.Loaded != nil {
		s.load(*in.Loaded)
	}
	if in.Sheet != nil && s.view == paper {
		s.pages = in.Sheet
	}
	if in.Link != nil {
		s.openLink(*in.Link)
	}
	if in.Left != nil {
		s.forget(LostTake)
	}
	if t := in.Take; t != nil && t.Left {
		s.finishLeft(t, before)
	} else if t != nil {
		s.hint(t)
		if s.view == playing {
			s.finish(t, before)
		}
	}
	if in.Sung != nil {
		s.sung = in.Sung
	}
	if in.Written != nil {
		s.writeDown(*in.Written)
	}
	if in.Roomed != nil {
		s.playedOut(*in.Roomed)
	}
	if in.Practice != nil {
		s.practise(*in.Practice)
	}
	for _, f := range in.Sent {
		s.openSent(f)
	}
	if in.Edited != nil {
		s.edited(*in.Edited)
	}
	if in.Run.Kind == Replaying && s.view != result && s.view != pictured {
		s.do(Effect{Kind: StopSound})
	}
	if s.demo && in.Run.Kind == Idle {
		s.demo = false
	}
	s.goRound()
	if s.waiting && in.Hidden && in.Run.Kind != Writing {
		s.do(Effect{Kind: StopSound})
		s.waiting = false
		s.tell(Notice{"hidden", "The page was hidden, so the recording was stopped. Keep it in view while you play."})
	}
	if in.Run.Kind == Singing && (s.view != singing || in.Hidden) {
		s.do(Effect{Kind: StopSound})
	}
	if s.view == jamming && in.Hidden {
		s.walkOut()
		s.tell(Notice{"hidden", "The page was hidden, so the band was stopped. Keep it in view while you play."})
	}
	if s.view == playing && in.Hidden && in.Run.Kind != Grading {
		s.do(Effect{Kind: StopSound})
		s.view = practice
		s.tell(Notice{"hidden", "The page was hidden, so the take was stopped and not counted. Keep it in view while you play."})
	}
}

// stream takes note of a stream that has just begun to run: which round trip holds for it.
func (s *stepper) stream() {
	in := s.in.Sound
	if s.delayOf == in.Opened {
		return
	}
	s.looking, s.opening = false, false
	s.rested, s.awake, s.asleep = s.in.Now, s.in.Now, false
	s.delayOf, s.slipAt = in.Opened, in.Slip
	if d, ok := s.settings.Delays[in.Key]; ok && !in.Bluetooth {
		s.delay, s.guessed = d, false
		return
	}
	// The output's own figure and 10 ms for the way in; 60 ms where it states none, the
	// middle of what laptops measure (38 to 105 ms, weblatencytest's published runs).
	s.delay, s.guessed = Delay{Seconds: 0.060}, true
	if in.Output > 0 {
		s.delay.Seconds = in.Output + 0.010
	}
}

// know takes over a round trip that was measured on the stream that is open.
func (s *stepper) know(d Delay) {
	in := s.in.Sound
	s.delay = d
	s.delayOf, s.guessed = in.Opened, false
	s.confirm()
	if !in.Bluetooth {
		s.settings = s.settings.remember(in.Key, d)
		s.save()
	}
}

// confirm notes that the delay holds on the stream that is open.
func (s *stepper) confirm() {
	in := s.in.Sound
	s.sure, s.checked, s.slipAt = in.Opened, in.Opened, in.Slip
	s.forget(unheardCheck)
}

// unheardCheck is the notice of a check that was not heard.
const unheardCheck = "check"

// check takes in what the check before a take came to. One that was not heard is told and
// not made again on this stream.
func (s *stepper) check(c Checked) {
	if c.Heard {
		s.know(Delay{Seconds: c.Seconds, SpreadMS: c.SpreadMS})
		return
	}
	s.checked, s.slipAt = s.in.Sound.Opened, s.in.Sound.Slip
	s.tell(Notice{unheardCheck, "The two chirps did not reach the microphone, so early and late may be off. Turn the speaker up and measure the sound delay in the settings."})
}

// hint draws from a take what it tells of the round trip.
func (s *stepper) hint(t *Take) {
	switch {
	case t.Moved: // after the clicks, which tell of nothing then
		s.checked = 0
	case t.Clicks && (t.Shift != 0 || s.guessed):
		s.know(Delay{Seconds: t.Trip})
	case t.Clicks:
		s.confirm()
	case t.Lost > 0:
		s.checked = 0
	}
}

// slipped reports hints that the round trip has moved too far since it was measured.
func (s *stepper) slipped() bool {
	return s.in.Sound.State == SoundOn && math.Abs(s.in.Sound.Slip-s.slipAt) > 0.005
}

// unchecked reports a delay to be checked with test sounds before the next take: each time
// a stream is opened the round trip can be another by some 30 ms, in browsers above all.
func (s *stepper) unchecked() bool {
	return !s.settings.Phones && (s.checked != s.in.Sound.Opened || s.slipped())
}

// idleAfter is how many seconds without a take and without a note close the microphone.
// Our choice: longer than a rest, and nobody wants a microphone open that is not used.
const idleAfter = 5 * 60

// drowse closes a microphone on which nobody plays.
func (s *stepper) drowse() {
	in := s.in
	if in.Sound.State != SoundOn {
		return
	}
	if in.Run.Kind != Idle {
		s.awake = in.Now
	}
	if in.Now-s.awake > int64(idleAfter*in.Sound.Rate) {
		s.awake, s.asleep = in.Now, true
		s.do(Effect{Kind: CloseMic})
	}
}

// openMic opens the microphone that was chosen.
func (s *stepper) openMic() {
	s.looking, s.asleep, s.opening = false, false, true
	s.anything, s.loudAt, s.silent = false, -1, -1
	s.do(Effect{Kind: OpenMic, Input: s.settings.Mic, Output: s.settings.Out})
}

func (s *stepper) tell(n Notice) {
	s.forget(n.ID)
	s.notices = append(s.notices, n)
}

// forget puts a notice away.
func (s *stepper) forget(id string) {
	s.notices = slices.DeleteFunc(slices.Clone(s.notices), func(o Notice) bool { return o.ID == id })
}

// moveOn puts away those of the notices told on the last screen that going on answers. Of what is lost, or is still to come,
// the player is told until the notice is put away.
func (s *stepper) moveOn(told []Notice) {
	for _, n := range told {
		switch n.ID {
		case SavedNotice, "drill", "editor", "feel", "few-reeds", "file", "give", "harps-read", "import", "import-journal", "link", "record", "save-take", emptyBars:
			if slices.Contains(s.notices, n) {
				s.forget(n.ID)
			}
		}
	}
}

// Limits of the microphone check. Ours: a peak over -3 dBFS, tooLoud of full scale, is about to clip, and no
// room is quieter than nothing, in dBFS.
const (
	tooLoud = 0.708
	nothing = -100.0
)

// loudShown is how long, in seconds, the player is told of a note that was too loud. Our choice.
const loudShown = 5

// loud reports that a note came close to full scale a moment ago.
func (s *stepper) loud() bool {
	return s.loudAt >= 0 && s.in.Now-s.loudAt < int64(loudShown*s.in.Sound.Rate)
}

// listen takes in the newest frames.
func (s *stepper) listen() {
	for _, f := range s.in.Frames {
		s.frame, s.fresh, s.soon = f, s.in.Now, soonest(f, s.in.Latest)
		if f.Level > nothing {
			s.silent = -1
		} else if s.silent < 0 {
			s.silent = s.in.Now
		}
		if f.F0 > 0 && f.Confidence >= listen.MinConfidence {
			if f.Peak > tooLoud {
				s.loudAt = s.in.Now
			}
			if h, ok := s.Harp().Locate(f.F0, nil); ok && f.Level > -60 {
				s.heard = h
				s.anything = true
				s.awake = s.in.Now
			}
		}
		if s.view == stepping && s.in.Run.Kind == Idle {
			s.walker.hear(s.drill, s.in.Sound.Rate, f)
		}
		if (s.view == playing && s.display || s.waiting || s.view == jamming) && s.in.Run.Kind == Recording {
			s.trace = appendTrace(s.trace, s.drill, s.in.Sound.Rate, f)
		}
	}
}

// deaf reports that the microphone has delivered nothing but zeros for two seconds.
func (s *stepper) deaf() bool {
	return s.silent >= 0 && s.in.Sound.Rate > 0 && s.in.Now-s.silent > int64(2*s.in.Sound.Rate)
}

// Fetching is the notice of a lesson that is on its way.
const Fetching = "fetching"

func (s *stepper) openLink(l Link) {
	s.forget(Fetching)
	if s.view == playing {
		s.do(Effect{Kind: StopSound})
		s.view = practice
	}
	if s.waiting {
		s.do(Effect{Kind: StopSound})
		s.waiting = false
	}
	if s.view == jamming {
		s.walkOut()
	}
	if l.Week != nil {
		s.openWeek(*l.Week)
		return
	}
	if l.Reason == "" && l.Lesson == nil {
		if _, err := drill.Build(l.Spec); err != nil {
			l.Reason = err.Error()
		}
	}
	if l.Reason != "" {
		s.tell(Notice{"link", "The link can not be opened: " + l.Reason + "."})
		return
	}
	s.link = &l
	if s.in.Sound.State == SoundOn {
		s.follow()
		return
	}
	s.view = welcome
}

// follow goes to the drill of the opened link.
func (s *stepper) follow() {
	l := *s.link
	s.link = nil
	if l.Lesson != nil {
		s.followLesson(*l.Lesson)
		return
	}
	s.open(l.Spec, l.Title)
}

// followLesson goes to the lesson that a link brought, or straight to the lick it asks for.
func (s *stepper) followLesson(a lesson.Address) {
	b := read("", lesson.Format(a.Lesson), false)
	if !b.whole() { // no link is let through that is not
		s.tell(Notice{"link", "The link can not be opened: its lesson has a mistake."})
		s.view = lessons
		return
	}
	s.brought = &b
	for _, k := range s.books {
		if k.text == b.text {
			b.id, b.demo = k.id, k.demo
		}
	}
	s.openBook(b)
	s.bookKey, s.bookTempo = a.Key, a.Tempo
	switch {
	case a.Lick > 0:
		s.openLick(a.Lick - 1)
	case a.Lick == lesson.AllLicks:
		s.openLick(chorus)
	}
}

const kept = "Kept among your lessons."

// noteKept takes note of the ID under which a lesson is kept now.
func (s *stepper) noteKept(id string) {
	for _, b := range s.books {
		if b.id != id {
			continue
		}
		if b.text == s.draft.text {
			s.draft.id, s.draft.saved = id, b.text
			s.copied = kept
		}
		if b.text == s.book.text {
			s.book.id, s.book.demo = id, false
			s.copied = kept
		}
	}
}

// open shows a drill.
func (s *stepper) open(spec drill.Spec, title string) bool {
	s.spec, s.title, s.share, s.copied = s.ownReeds(spec), title, 1, ""
	s.lick, s.lender, s.from = noLick, "", ""
	s.part = part{}
	s.target = spec.Tempo
	if s.target == 0 {
		s.target = s.entry(spec.ID).Tempo
	}
	if err := s.build(); err != nil {
		s.tell(Notice{"drill", "This drill can not be opened: " + err.Error() + "."})
		return false
	}
	s.view, s.take, s.trace = practice, nil, nil
	s.display = s.entry(spec.ID).Display
	return true
}

// build makes the drill at the chosen tempo.
func (s *stepper) build() error {
	spec := s.spec
	if s.target > 0 {
		spec.Tempo = math.Min(drill.MaxTempo, math.Max(drill.MinTempo, s.target*s.share))
	}
	if s.lick != noLick {
		d, err := s.lickDrill(spec.Tempo)
		if err == nil {
			d, err = s.cut(d)
		}
		if err == nil {
			s.drill = d
		}
		return err
	}
	d, err := drill.Build(spec)
	if err != nil {
		return err
	}
	if s.target == 0 {
		s.target = d.Tempo
	}
	if d, err = s.cut(d); err != nil {
		return err
	}
	s.drill = d
	return nil
}

func (s *stepper) entry(id string) Entry {
	for _, e := range s.path {
		if e.ID == id {
			return e
		}
	}
	if d, ok := drill.About(id); ok {
		return Entry{ID: d.ID, Family: d.Family, Level: d.Level, Title: d.Title, Words: d.Words, Tempo: d.Tempo, Display: true}
	}
	return Entry{}
}

// atTempo reports whether the drill is set at least as quick as it is meant: a link may
// ask for less, which is practice and does not count.
func (s *stepper) atTempo() bool { return s.drill.Tempo >= s.entry(s.drill.ID).Tempo-0.01 }

// finish shows how a take went.
func (s *stepper) finish(t *Take, before []Entry) {
	if t.Cut != "" {
		s.view, s.spared = practice, t.Kept
		s.tell(Notice{"cut", t.Cut})
		return
	}
	s.take, s.view = t, result
	s.tried(t)
	s.part.over, s.part.stay = s.in.Now, false
	if s.lick == noLick {
		s.display = s.display && s.entry(t.Drill.ID).Display // it goes away when the playing is good
	}
	s.trace = nil
	for _, f := range t.Frames {
		s.trace = appendTrace(s.trace, t.Drill, t.Rate, f)
	}
	s.chosen = 0
	s.shown = marked(t.Result)
	for i, k := range s.shown {
		if !wellPlayed(t.Result, k) {
			s.chosen = i
			break
		}
	}
	s.opened = nil
	was := map[string]Standing{}
	for _, e := range before {
		was[e.ID] = e.Standing
	}
	for _, e := range s.path {
		if old, ok := was[e.ID]; ok && old == Locked && e.Standing != Locked {
			s.opened = append(s.opened, e.Family.Name()+" "+fmt.Sprint(e.Level)+", "+e.Title)
		}
	}
}

// following is the drill after this one in its family, if it is not locked.
func (s *stepper) following() (Entry, bool) {
	for i, e := range s.path {
		if e.ID == s.drill.ID {
			if i+1 < len(s.path) && s.path[i+1].Family == e.Family && s.path[i+1].Standing != Locked {
				return s.path[i+1], true
			}
			break
		}
	}
	return Entry{}, false
}

// mine is the spec of a drill on the player's own harp.
func (s *stepper) mine(id string) drill.Spec {
	return drill.Spec{ID: id, Key: s.settings.Key, Tuning: s.settings.Tuning, A4: s.settings.A4, Profile: s.settings.Profile}
}

// ownReeds is the spec on the player's own harp of its key, where that is measured: whatever tuning a link asks for, a player is
// judged by the reeds at hand.
func (s *stepper) ownReeds(spec drill.Spec) drill.Spec {
	if h, measured := s.HarpOf(spec.Key); measured {
		spec.Tuning, spec.A4, spec.Profile = h.Tuning, h.A4, h.Profile
	}
	return spec
}

// marked are the notes of a result that have marks of their own; all when none has.
func marked(r grade.Result) []int {
	var some, all []int
	for i, n := range r.Notes {
		all = append(all, i)
		if slices.ContainsFunc(r.Marks, func(m grade.Mark) bool { return m.Target == n.Target }) {
			some = append(some, i)
		}
	}
	if some == nil {
		return all
	}
	return some
}

// wellPlayed reports whether every mark of a note is good: in a warble the notes have no
// verdict of their own, and the marks of a part stand at its first note.
func wellPlayed(r grade.Result, note int) bool {
	n, any := r.Notes[note], false
	for _, m := range r.Marks {
		if m.Target == n.Target {
			any = true
			if m.Verdict != grade.Good {
				return false
			}
		}
	}
	return any || n.Good
}
