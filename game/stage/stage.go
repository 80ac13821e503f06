// Package stage joins the sound device, the ear, the store and the session: the window
// and the page call [Stage.Poll] once a frame and draw the screen it returns.
//
// Everything outside comes in through the small interfaces of [Options], so the whole
// program runs headless with a fake device. Time in a take is counted in frames of the
// device and never in ticks; the clock only gives the day, and the seconds of a [Tick]
// only serve to notice a device that has stalled.
//
// A sound scheduled on output frame n is heard in the input at n plus the round trip. So
// sample 0 of a take, drill time 0, is the frame of the first click plus the round trip
// that was measured. Frames the device lost are filled with zeros and reported.
//
// The round trip can be another one each time a stream is opened. Over a loudspeaker two
// chirps check it before the first take of a stream, and wherever the microphone hears the
// count-in, the clicks check it in every take: a take is shifted by what they have moved.
//
// A Stage belongs to one goroutine and never blocks. Listening is cut into pieces, [budget]
// seconds of sound a Poll or twice what came in since the one before; making the backing, the
// search of a calibration and grading are one piece each, done while nothing is recorded. What a teacher asks for and
// takes long, as all clips of a lesson, is a work: a step of it a Poll while nothing sounds.
package stage

import (
	"io"
	"math"
	"strings"

	"reedwell/audio/device"
	"reedwell/audio/listen"
	"reedwell/audio/spill"
	"reedwell/game/screen"
	"reedwell/game/session"
	"reedwell/levels/drill"
	"reedwell/levels/grade"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/path"
	"reedwell/levels/reeds"
	"reedwell/levels/week"
)

// A Device is an open sound device; *device.Stream and *device.Fake are.
type Device interface {
	State() device.State
	Err() error
	Info() device.Info
	Read(func(device.Block))
	Now() int64
	Lead() int64
	Play(at int64, samples []float32)
	Quiet()
	Late() int64
	Slip() int64
	Resume()
	Close()
	Poll(seconds float64)
}

// An Opener starts to open the device and returns at once.
type Opener func(device.Options) Device

// A Store keeps bytes under names of small letters, digits and hyphens. Load returns no
// bytes and no error, or an error that is fs.ErrNotExist, for a name that was never
// saved. Save replaces the bytes as a whole or fails and leaves the old ones.
type Store interface {
	Load(name string) ([]byte, error)
	Save(name string, data []byte) error
}

// Outside is the page or the desktop around the program. Its methods return at once.
type Outside interface {
	// Download offers a file to the player.
	Download(name string, data []byte)
	// CopyLink puts a link with this fragment (without the #) on the clipboard.
	CopyLink(fragment string)
	// CopyText puts a text on the clipboard.
	CopyText(text string)
	// Address is that of the page, without a fragment; empty where there is no page.
	Address() string
	// Fetch asks for a file beside the page by its relative path; it comes with a later Tick.
	Fetch(file string)
	// Print prints the pages of paper that are on the screen.
	Print()
	// Today is the local date as "2006-01-02". It only decides on which day a drill was played.
	Today() string
}

// Inputs lists the microphones; *device.Inputs is one.
type Inputs interface {
	All() []device.DeviceInfo
	Refresh()
}

// Options say what a Stage works with.
type Options struct {
	Open    Opener
	Store   Store
	Outside Outside
	Inputs  Inputs // nil: the player can not choose the microphone here
	Vault   Vault  // nil: a take does not outlive the program
	// Outputs are the loudspeakers and headphones to choose from; nil: none can be chosen.
	Outputs func() []device.DeviceInfo
	Link    string            // fragment the page was opened with, without the #; empty for none
	Edit    func(text string) // opens a lesson in the player's own editor; nil where there is a field for it
	Page    bool              // a page is around: it has fields for text, shows SVG and prints

	Random io.Reader      // makes the name under which this installation keeps its journal; nil: the system's
	Sent   []session.Sent // files with students' weeks to open at once
}

// A Tick is what the window or the page knows at one frame.
type Tick struct {
	Seconds       float64     // any monotonic time
	Width, Height float64     // of the window in CSS pixels
	System        screen.Look // what the system asks for: dark, reduced motion
	Hidden        bool        // the page can not be seen
	Link          string      // fragment of a link opened since the last Poll
	Fetched       *Fetched    // a file that was asked for
	Notices       []session.Notice
	Edited        *string         // as session.Input's
	Drawing       session.Drawing // as session.Input's
	Actions       []screen.Action
}

// A Stage is the running program.
type Stage struct {
	o      Options
	state  session.State
	keeper *path.Keeper
	way    path.Path
	list   []drill.Summary
	day    string  // of the entries
	tick   Tick    // the last
	since  float64 // seconds from the one before to it
	last   screen.Screen

	journal  *week.Keeper
	practice *session.Practice // for the next step
	sent     []session.Sent    // for the next step

	dev      Device
	opened   int
	listed   int     // the stream since which the microphones were listed
	failed   int     // the stream that failed last
	lookedAt float64 // when the devices were listed last
	spare    float64 // output buffering to ask for at the next opening
	level    balance
	response spill.Response // of this stream, as the last take told it

	heard     []float32 // captured and not yet listened to
	heardFrom int64     // frame of heard[0]
	started   bool      // heardFrom is known
	dropped   int64     // frames lost, in all

	live     *listen.Ear
	liveHarp harp.Harp
	frames   []listen.Frame // for the session
	latest   listen.Frame   // for the session, see listen.Ear.Latest

	library  library
	harps    *reeds.Keeper
	reeding  reeding
	fetching *lesson.Address // a lesson in a file that was asked for
	work     work

	run     run
	backing backing   // of the last drill that was played
	kept    recording // of the last take that was graded
	model   backing   // its harp alone, as the model plays it
	left    *leftover
	asked   bool // the vault has told whether it has a take

	// For the next step.
	notices     []session.Notice
	entries     []session.Entry
	link        *session.Link
	take        *session.Take
	calibration *session.Calibration
	sung        *session.Sung
	checked     *session.Checked
	lessons     *session.Shelf
	keptID      string
	loaded      *session.Loaded
	pages       *session.Sheet
	written     *session.Written
	roomed      *session.Roomed
	cased       *reeds.Case
	pitches     []float64
	editedText  *string
}

// budget is how much sound is listened to in one Poll, in seconds. At fifty times
// real time, the least the ear is built for, 0.1 s takes 2 ms.
const budget = 0.1

// share is how much sound is listened to in this Poll, in seconds: the budget or, where Polls come so seldom that it would fall
// behind, twice what has come in since the one before. A bound above that would have takes end late, or never, on a machine that draws
// one picture in some seconds; a piece takes a small part of the time that passed before it.
func (s *Stage) share() float64 { return max(budget, 2*s.since) }

// longest is the longest hole in the stream that is filled with zeros, in seconds; after
// a longer one the ear starts anew.
const longest = 2.0

// New returns a Stage on its first screen, with what the store holds.
func New(o Options) *Stage {
	s := &Stage{o: o, list: drill.List(), sent: o.Sent}
	s.way = path.For(s.list)
	settings := s.loadSettings()
	var reports []error
	s.keeper, reports = path.Keep(o.Store)
	for _, err := range reports {
		s.report(err)
	}
	s.keepJournal()
	s.state = session.Start(settings)
	s.mention()
	s.renew()
	s.loadShelf()
	s.loadHarps()
	if o.Link != "" {
		s.openLink(o.Link)
	}
	return s
}

// Poll moves the program on and returns what to show.
func (s *Stage) Poll(t Tick) screen.Screen {
	s.listInputs(s.tick.Hidden && !t.Hidden)
	s.since = t.Seconds - s.tick.Seconds
	s.tick = t
	if s.dev != nil {
		s.dev.Poll(t.Seconds)
		s.capture()
		s.advance()
	}
	if t.Link != "" {
		s.openLink(t.Link)
	}
	if t.Fetched != nil {
		s.fetched(*t.Fetched)
	}
	s.notices = append(s.notices, t.Notices...)
	s.editedText = t.Edited
	s.toil()
	s.findLeft()
	s.hearLeft()
	return s.step(t.Actions)
}

// Act does what an action asks for at once. The page calls it from the handler of the
// click or key, so that the browser takes a request for the microphone as the player's;
// other actions may as well be handed to Poll.
func (s *Stage) Act(a screen.Action) screen.Screen { return s.step([]screen.Action{a}) }

// Close stops the sound and lets the device go.
func (s *Stage) Close() {
	if s.dev != nil {
		s.dev.Quiet()
		s.dev.Close()
		s.dev = nil
	}
	s.run = run{}
}

// step hands the session what has come in and does what it asks for.
func (s *Stage) step(actions []screen.Action) screen.Screen {
	if len(actions) > 0 && s.o.Outside.Today() != s.day {
		s.renew() // another day: something may be due
	}
	in := session.Input{
		Actions: actions,
		Width:   s.tick.Width, Height: s.tick.Height, System: s.tick.System, Hidden: s.tick.Hidden,
		Sound: s.sound(), Run: s.running(), Frames: s.frames, Latest: s.latest,
		Link: s.link, Calibration: s.calibration, Sung: s.sung, Checked: s.checked, Take: s.take, Path: s.entries, Notices: s.notices,
		Page: s.o.Page, Shelf: s.lessons, Kept: s.keptID, Loaded: s.loaded, Sheet: s.pages, Written: s.written, Roomed: s.roomed, Work: s.working(),
		Harps: s.cased, Pass: s.reeding.view(), Pitches: s.pitches, Practice: s.practice, Sent: s.sent,
		Edited: s.editedText, Drawing: s.tick.Drawing, Left: s.leaving(),
	}
	s.editedText = nil
	if s.dev != nil {
		in.Now = s.dev.Now()
	}
	s.link, s.calibration, s.sung, s.checked, s.take, s.entries, s.notices = nil, nil, nil, nil, nil, nil, nil
	s.lessons, s.keptID, s.loaded, s.pages, s.written, s.roomed = nil, "", nil, nil, nil, nil
	s.cased, s.pitches = nil, nil
	s.practice, s.sent = nil, nil
	var out session.Output
	s.state, out = session.Step(s.state, in)
	s.frames = s.frames[:0]
	for _, e := range out.Effects {
		s.do(e)
	}
	// What has been done shows at once: a microphone that opens, a run that begins. It may be followed by something else to do, as
	// a harp that was measured is kept.
	for again, most := len(out.Effects) > 0 || len(actions) > 0, 3; again && most > 0; most-- {
		in = session.Input{
			Width: s.tick.Width, Height: s.tick.Height, System: s.tick.System, Now: in.Now,
			Sound: s.sound(), Run: s.running(), Path: s.entries, Notices: s.notices,
			Page: s.o.Page, Shelf: s.lessons, Kept: s.keptID, Loaded: s.loaded, Sheet: s.pages, Work: s.working(),
			Harps: s.cased, Pass: s.reeding.view(), Practice: s.practice, Drawing: s.tick.Drawing, Left: s.leaving(),
		}
		s.entries, s.notices, s.practice = nil, nil, nil
		s.lessons, s.keptID, s.loaded, s.pages, s.cased = nil, "", nil, nil, nil
		s.state, out = session.Step(s.state, in)
		for _, e := range out.Effects {
			s.do(e)
		}
		again = len(out.Effects) > 0
	}
	s.last = out.Screen
	return s.last
}

// sound describes the device to the session.
func (s *Stage) sound() session.Sound {
	d := session.Sound{Opened: s.opened}
	if s.dev == nil {
		return d
	}
	switch s.dev.State() {
	case device.Opening:
		d.State = session.SoundOpening
	case device.Running:
		d.State = session.SoundOn
	case device.Suspended:
		d.State = session.SoundHeld
	case device.Failed:
		d.State = session.SoundFailed
	default:
		return d
	}
	i := s.dev.Info()
	d.Rate, d.InputRate, d.Label, d.Key = i.Rate, i.InputRate, i.InputLabel, i.Key
	d.Bluetooth, d.Output = i.Bluetooth, i.OutputLatency
	d.Processing = processing(i)
	if i.Rate > 0 {
		d.Slip = float64(s.dev.Slip()) / float64(i.Rate)
	}
	d.Loud = s.level.disturbs(s.volume())
	d.Input = i.InputID
	if s.o.Inputs != nil {
		for _, m := range s.o.Inputs.All() {
			d.Inputs = append(d.Inputs, session.Mic{ID: m.ID, Label: m.Label})
		}
	}
	d.Speaker = i.OutputID
	if s.o.Outputs != nil {
		for _, m := range s.o.Outputs() {
			d.Speakers = append(d.Speakers, session.Mic{ID: m.ID, Label: m.Label})
		}
	}
	if err := s.dev.Err(); err != nil {
		f := device.FaultOf(err)
		d.Fault, d.Sentence = faultName(f), f.Error()
	}
	return d
}

func faultName(f device.Fault) string {
	switch f {
	case device.Refused:
		return "refused"
	case device.Missing:
		return "missing"
	case device.Busy:
		return "busy"
	case device.Unplugged:
		return "unplugged"
	case device.Insecure:
		return "insecure"
	case device.Interrupted:
		return "interrupted"
	case device.Stalled:
		return "stalled"
	case device.NoCapture:
		return "nocapture"
	}
	return "other"
}

func processing(i device.Info) string {
	words := ""
	for _, p := range []struct {
		on   bool
		name string
	}{{i.EchoCancellation, "echo cancellation"}, {i.NoiseSuppression, "noise suppression"}, {i.AutoGain, "automatic gain"}} {
		if p.on {
			if words != "" {
				words += ", "
			}
			words += p.name
		}
	}
	return words
}

// do carries out what the session asks for.
func (s *Stage) do(e session.Effect) {
	switch e.Kind {
	case session.OpenMic:
		s.open(e.Input, e.Output)
	case session.ResumeSound:
		if s.dev != nil {
			s.dev.Resume()
		}
	case session.CloseMic:
		s.Close()
	case session.Calibrate, session.CalibrateTap:
		s.run = run{kind: session.Measuring, taps: e.Kind == session.CalibrateTap}
	case session.Sing:
		s.sing()
	case session.StopSound:
		s.stop()
	case session.StartTake:
		s.begin(e)
	case session.EndTake:
		s.endTake()
	case session.PlayDemo:
		s.run = run{kind: session.Preparing, demo: true, drill: e.Drill, touches: e.Touches, trip: e.RoundTrip}
	case session.PlayBack:
		s.run = run{kind: session.Preparing, demo: true, drill: e.Drill, touches: e.Touches, trip: e.RoundTrip, spans: e.Spans, room: e.Room}
	case session.SaveSettings:
		if err := s.o.Store.Save(settingsName, s.state.Settings().Encode()); err != nil {
			s.report(&path.StoreError{Name: settingsName, Err: err})
		}
	case session.Export:
		s.o.Outside.Download("reedwell-progress.json", s.keeper.Export())
	case session.Import:
		s.importProgress(e.Bytes)
	case session.SaveTake:
		s.saveTake()
	case session.CopyLink:
		s.copyLink(e)
	case session.KeepLesson:
		s.keepLesson(e)
	case session.DropLesson:
		s.dropLesson(e.ID)
	case session.SaveDraft:
		s.save(draftName, []byte(e.Text))
	case session.CopyLesson, session.CopyFrame:
		s.copyLesson(e.Address, e.Kind == session.CopyFrame)
	case session.MakeSheet:
		s.makeSheet(e.Address.Lesson, e.Paper)
	case session.PrintSheet:
		s.o.Outside.Print()
	case session.SaveLesson:
		s.saveLesson(e)
	case session.ReadFile:
		s.readFile(e)
	case session.EditDraft:
		if s.o.Edit != nil {
			s.o.Edit(e.Text)
		}
	case session.HearLeft:
		if s.left != nil {
			s.left.going = true
		}
	case session.DropLeft:
		s.dropLeft()
	case session.StopWork:
		s.work = work{}
	case session.CopyWeek:
		s.o.Outside.CopyLink(e.Text)
	case session.SaveFile:
		s.o.Outside.Download(e.Name, e.Bytes)
	case session.ExportJournal:
		s.o.Outside.Download("reedwell-journal.json", s.journal.Export())
	case session.ImportJournal:
		s.importJournal(e.Bytes)
	default:
		s.doHarps(e)
	}
}

// Lag is how old the newest sound is that was listened to, in seconds since the device handed
// it over; negative where nothing is listened to.
func (s *Stage) Lag() float64 {
	if s.dev == nil || !s.started || s.dev.State() != device.Running {
		return -1
	}
	return max(0, float64(s.dev.Now()-s.heardFrom)/float64(s.dev.Info().Rate))
}

// working describes the work to the session.
func (s *Stage) working() session.Work {
	return session.Work{What: s.work.what, Done: s.work.done, Of: len(s.work.steps)}
}

// listInputs has the microphones listed again when their names can be had, which browsers give
// out only with a microphone open, and when asked to.
func (s *Stage) listInputs(now bool) {
	if s.o.Inputs == nil {
		return
	}
	if s.dev != nil && s.dev.State() == device.Running && s.listed != s.opened {
		s.listed, now = s.opened, true
	}
	if s.dev != nil && s.dev.State() == device.Failed && s.failed != s.opened {
		s.failed, now = s.opened, true
	}
	switch {
	case !s.choosing():
		s.lookedAt = s.tick.Seconds
	case s.tick.Seconds-s.lookedAt >= lookEvery:
		now = true
	}
	if now {
		s.lookedAt = s.tick.Seconds
		s.o.Inputs.Refresh()
	}
}

// lookEvery is how often in seconds the devices are listed anew where one is chosen: not
// every system says that one was put in.
const lookEvery = 2.0

// choosing reports a screen on which the player chooses a device.
func (s *Stage) choosing() bool {
	return s.last.Name == "sound" || s.last.Name == "settings" || strings.HasPrefix(s.last.Name, "fault-")
}

// open opens the device anew, on the microphone and the output with an ID or the system's
// choice.
func (s *Stage) open(input, output string) {
	s.Close()
	s.opened++
	s.level, s.response = balance{}, spill.Response{}
	s.started, s.live, s.heard, s.frames = false, nil, s.heard[:0], s.frames[:0]
	s.dev = s.o.Open(device.Options{DeviceID: input, OutputID: output, Spare: s.spare})
}

func (s *Stage) stop() {
	if s.dev != nil {
		s.dev.Quiet()
	}
	if s.run.kind != session.Idle && !s.run.demo && s.run.recording() {
		s.forget()
	}
	s.run = run{}
}

// capture takes what the device has captured since the last Poll.
func (s *Stage) capture() {
	rate := s.dev.Info().Rate
	s.dev.Read(func(b device.Block) {
		end := s.heardFrom + int64(len(s.heard))
		if !s.started {
			s.started, s.heardFrom, end = true, b.First, b.First
		}
		if gap := b.First - end; gap > 0 {
			s.dropped += gap
			s.run.lose(end, b.First)
			if gap > int64(longest*float64(rate)) && s.run.kind == session.Idle {
				s.heard, s.live = s.heard[:0], nil
				s.heardFrom = b.First
			} else {
				s.heard = append(s.heard, make([]float32, gap)...)
			}
		} else if gap < 0 { // the device counts frames once; what came twice is left out
			if -gap >= int64(len(b.In)) {
				return
			}
			b.In = b.In[-gap:]
		}
		s.heard = append(s.heard, b.In...)
	})
}

// advance listens to a piece of what was captured and moves the run on.
func (s *Stage) advance() {
	over := s.run.kind == session.Grading || s.run.kind == session.Writing // and needs no device any more
	if s.run.kind != session.Idle && !over && s.dev.State() != device.Running {
		s.cut("The sound stopped in the middle of it. This take is not counted; everything before it is kept.")
	}
	rate := s.dev.Info().Rate
	if rate == 0 { // not open yet
		return
	}
	if s.run.kind == session.Idle && len(s.heard) > rate/2 {
		// Nothing depends on what lies further back; the live bead must not lag.
		drop := len(s.heard) - rate/10
		s.heard = append(s.heard[:0], s.heard[drop:]...)
		s.heardFrom += int64(drop)
		s.live = nil
	}
	n := min(len(s.heard), int(s.share()*float64(rate)))
	piece := s.heard[:n]
	switch {
	case s.run.voice != nil: // the level is shown meanwhile
		s.run.take(piece, s.heardFrom)
		s.hear(piece, rate)
	case s.run.ear != nil || s.run.captured != nil:
		s.run.take(piece, s.heardFrom)
		s.frames, s.latest = s.run.frames(s.frames), s.run.latest()
		s.keepSound(rate)
	default:
		s.hear(piece, rate)
	}
	s.heard = append(s.heard[:0], s.heard[n:]...)
	s.heardFrom += int64(n)
	s.move(rate)
}

// hear listens for the live bead.
func (s *Stage) hear(piece []float32, rate int) {
	if s.reeding.on {
		s.hearReeds(piece, rate)
		return
	}
	if h := s.state.Harp(); s.live == nil || s.liveHarp != h {
		ear, err := listen.New(grade.Ear(drill.Drill{Harp: h}, rate))
		if err != nil {
			return // a rate the ear does not take: the device opens between 16 and 96 kHz
		}
		s.live, s.liveHarp = ear, h
	}
	s.live.Process(piece)
	given := len(s.frames)
	s.frames, s.latest = s.live.Frames(s.frames), s.live.Latest()
	if s.run.kind == session.Idle {
		s.level.hear(s.frames[given:])
	}
	s.held(s.live, rate)
}

// running describes the run to the session.
func (s *Stage) running() session.Run {
	r := session.Run{Kind: s.run.kind, Length: s.run.drill.Seconds, ClickOnly: s.run.clickOnly, Done: s.run.again.done()}
	if s.dev == nil {
		return r
	}
	rate := float64(s.dev.Info().Rate)
	switch {
	case rate == 0 || !s.run.begun:
		r.Seconds = math.Inf(-1)
	case r.Kind == session.Measuring, r.Kind == session.Singing:
		r.Seconds = float64(s.dev.Now()-s.run.start) / rate
		r.Length = float64(s.run.wanted) / rate
	case r.Kind == session.Replaying:
		r.Seconds, r.Own = s.run.place(s.dev.Now(), int(rate))
	default:
		r.Seconds = float64(s.dev.Now()-s.run.zero) / rate
	}
	return r
}
