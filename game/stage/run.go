package stage

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"slices"

	"reedwell/audio/calibrate"
	"reedwell/audio/device"
	"reedwell/audio/listen"
	"reedwell/audio/synth"
	"reedwell/audio/voice"
	"reedwell/audio/wav"
	"reedwell/game/session"
	"reedwell/game/shelf"
	"reedwell/levels/drill"
	"reedwell/levels/grade"
	"reedwell/levels/path"
	"reedwell/levels/player"
	free "reedwell/levels/room"
	"reedwell/levels/write"
)

// A run is a take, a demonstration or a calibration that is going on.
type run struct {
	kind  session.RunKind
	shown bool // the screen that says what is being prepared has been seen
	begun bool // start, zero and length are set
	demo  bool
	taps  bool

	made    []float32 // what is sounded
	settled int       // Polls since it was made

	check     bool // the delay is to be checked first
	speaker   bool // the band sounds from a loudspeaker
	clickOnly bool // the band is left out

	drill            drill.Drill
	touches          []player.Touch // of a demonstration
	spans            []session.Span // not nil: what is heard again
	part             bool           // of a take: only a part of a drill, which does not count
	lick             string         // of a take: the name under which it is kept; empty: a drill of the path
	write            *write.Options // of a take that is not graded but written down
	room             *free.Setting  // of free playing, and of that heard again
	trip             float64        // round trip in seconds
	display, atTempo bool

	start  int64 // output frame of time 0
	zero   int64 // input frame of time 0
	length int64 // input frames from zero on that are listened to
	before int64 // frames taken before zero and after the end, in case the round trip has moved
	wanted int64 // input frames in all
	got    int64 // of them that were taken

	sound    []float32   // of a take, from frame zero-before on
	ear      *listen.Ear // of a take, or of a calibration by clicks
	heard    []listen.Frame
	given    int // of heard, to the session
	notes    []listen.Note
	voice    *voice.Hold // of a note that is sung
	looked   int64       // how often it was looked at
	captured []float32   // of a calibration by test sounds
	clicks   []int64     // output frames
	again    *again      // of a take that is over
	kept     int         // of sound, in the vault

	late  int64   // the device's count of late frames before
	tried int     // how often it was scheduled anew
	slip  int64   // the device's slip before
	base  int64   // and at the end of the count-in
	ended float64 // when all of a take was captured, in seconds of the Tick
	lost  int64   // frames lost within the run
}

// recording reports a run that is a take.
func (r *run) recording() bool {
	return !r.demo && (r.kind == session.Preparing || r.kind == session.Checking || r.kind == session.Recording || r.kind == session.Grading)
}

// ahead is how long before the first click a run is scheduled, in seconds, if the
// device does not ask for more: time to put the mouse down and take the harp up to the lips
// is what the count-in is for, so only the computer's own slowness counts.
const ahead = 0.35

// lose notes frames [from, to) that the device lost.
func (r *run) lose(from, to int64) {
	if !r.begun || r.kind != session.Recording && r.kind != session.Measuring {
		return
	}
	r.lost += max(0, min(to, r.zero+r.length)-max(from, r.zero))
}

// take takes captured samples, the first on frame from.
func (r *run) take(samples []float32, from int64) {
	if !r.begun {
		return
	}
	if skip := r.zero - r.before + r.got - from; skip > 0 {
		samples = samples[min(skip, int64(len(samples))):]
	}
	if left := r.wanted - r.got; int64(len(samples)) > left {
		samples = samples[:left]
	}
	switch {
	case r.voice != nil:
		r.voice.Process(samples)
	case r.captured != nil:
		copy(r.captured[r.got:], samples)
	default:
		if r.kind == session.Recording {
			r.sound = append(r.sound, samples...)
		}
		// The ear begins at time 0 and ends with the drill.
		n := int64(len(samples))
		a, b := min(max(0, r.before-r.got), n), min(max(0, r.before+r.length-r.got), n)
		r.ear.Process(samples[a:b])
	}
	was := r.got
	r.got += int64(len(samples))
	if r.ear != nil {
		if end := r.before + r.length; was < end && r.got >= end {
			r.ear.Flush()
		}
		r.heard = r.ear.Frames(r.heard)
		r.notes = r.ear.Notes(r.notes)
	}
}

// frames appends what was heard since the last call.
func (r *run) frames(dst []listen.Frame) []listen.Frame {
	dst = append(dst, r.heard[r.given:]...)
	r.given = len(r.heard)
	return dst
}

// latest is what the newest window holds, nothing where nobody listens.
func (r *run) latest() listen.Frame {
	if r.ear == nil {
		return listen.Frame{}
	}
	return r.ear.Latest()
}

// begin prepares a take. What would tell of it, should the page die, is stored first.
func (s *Stage) begin(e session.Effect) {
	if s.keeper.Unsaved() {
		if err := s.keeper.Save(); err != nil {
			s.report(err)
		}
	}
	if s.journal.Unsaved() {
		if err := s.journal.Save(); err != nil {
			s.reportJournal(err)
		}
	}
	s.run = run{kind: session.Preparing, drill: e.Drill, trip: e.RoundTrip, display: e.Display, atTempo: e.AtTempo, speaker: e.Speaker, check: e.Check,
		lick: e.Lick, write: e.Write, part: e.Part, room: e.Room}
	if s.run.graded() {
		s.remember(e.Drill)
	}
}

// graded reports a take that is marked when it is over, in place of one that is written down or looked at.
func (r *run) graded() bool { return r.write == nil && r.room == nil }

// ears is how a run is listened to.
func (r *run) ears(rate int) listen.Config {
	if r.room != nil {
		return r.room.Listen(rate)
	}
	if r.write != nil {
		return write.Listen(r.write.Harp, rate)
	}
	return grade.Ear(r.drill, rate)
}

// move takes the run through its stages.
func (s *Stage) move(rate int) {
	r := &s.run
	if r.kind == session.Idle {
		return
	}
	if !r.shown { // first the screen, then the work
		r.shown = true
		return
	}
	if s.anew(rate) {
		return
	}
	switch r.kind {
	case session.Preparing:
		switch {
		case r.check:
			r.kind, r.shown = session.Checking, false
		case r.made == nil:
			s.prepare(rate)
		case r.settled < settle:
			r.settled++
		default:
			s.start(rate)
		}
	case session.Checking:
		switch {
		case !r.begun:
			signal := calibrate.Check(rate)
			n := calibrate.Frames(signal, rate)
			r.captured = make([]float32, n)
			s.schedule(signal, 0, int64(n), 0, rate)
		case s.dev.Late() > r.late:
			s.cut("The computer was too slow to play the test sounds in time, so the take was stopped. Close other programs and try again.")
		case r.got == r.wanted:
			s.look(rate)
		}
	case session.Demo, session.Replaying:
		if s.dev.Now() >= r.zero+r.length {
			s.run = run{}
		}
	case session.Recording:
		if s.dev.Late() > r.late {
			s.cut("The computer was too slow to start the band in time, so the take was stopped. Close other programs and try again.")
			return
		}
		if math.Abs(float64(s.dev.Slip()-r.slip)) > mostMoved*float64(rate) {
			s.cut("The sound stood still for more than a second in all, as the computer was too busy, so the take was stopped. It is not counted; everything before it is kept. Close other programs and play it again.")
			return
		}
		if r.got <= r.before+int64(r.drill.Time(0)*float64(rate)) {
			r.base = s.dev.Slip()
		}
		if r.got == r.wanted {
			r.kind, r.shown, r.ended = session.Grading, false, s.tick.Seconds
			if !r.graded() {
				r.kind = session.Writing
			}
		}
	case session.Grading:
		s.grade(rate)
	case session.Writing:
		if r.room != nil {
			s.lookAt(rate)
			return
		}
		s.note(rate)
	case session.Singing:
		s.awaitSong(rate)
	case session.Measuring:
		switch {
		case !r.begun:
			s.measure(rate)
		case s.dev.Late() > r.late:
			s.measured(session.Calibration{Problem: "The computer was too slow to play the test sounds in time. Close other programs and try again."})
		case r.got == r.wanted:
			s.judge(rate)
		}
	}
}

// settle is how many Polls are let pass between making a sound and scheduling it. In the
// browser a backing takes up to a second to make, during which nothing arrives from the
// device: its frame count is stale until the messages that waited have been handled.
const settle = 5

// A backing is the band for a drill, kept for the next take of the same.
type backing struct {
	drill drill.Drill
	rate  int
	click bool // without the band
	sound []float32
}

// look ends the check of the delay before a take. A check that was not heard changes
// nothing; the session tells of it.
func (s *Stage) look(rate int) {
	r := s.run
	c := session.Checked{}
	if got, err := calibrate.FindCheck(r.captured, rate); err == nil {
		c = session.Checked{Heard: true, Seconds: got.Frames / float64(rate), SpreadMS: got.Spread}
		s.level.gain = likeness(r.captured, calibrate.Check(rate), int(math.Round(got.Frames)))
		r.trip = c.Seconds
	} else {
		s.level.gain = 0
	}
	s.checked = &c
	s.run = run{
		kind: session.Preparing, shown: true, drill: r.drill, trip: r.trip,
		display: r.display, atTempo: r.atTempo, speaker: r.speaker, lick: r.lick, write: r.write, part: r.part, room: r.room,
	}
}

// perform makes the sound of a take or a demonstration.
func (s *Stage) perform(rate int) {
	r := &s.run
	d := r.drill
	r.clickOnly = r.speaker && len(d.Chords) > 0 && s.level.disturbs(s.volume())
	r.made = s.band(r, rate, r.clickOnly)
	if r.demo {
		r.made = slices.Clone(r.made)
		synth.Mix(r.made, synth.Render(rate, d.Seconds, player.Perform(d, r.touches, player.Faults{}), demoSeed), 0, 0)
	}
}

// start schedules what perform has made.
func (s *Stage) start(rate int) {
	r := &s.run
	r.kind = session.Demo
	if r.spans != nil {
		r.kind = session.Replaying
	}
	if !r.demo {
		ear, err := listen.New(r.ears(rate))
		if err != nil {
			s.cut("This device's sample rate can not be listened to. Choose another microphone.")
			return
		}
		r.ear, r.kind = ear, session.Recording
		r.before = int64((clickReach + clickLength) * float64(rate))
		r.sound = make([]float32, 0, len(r.made)+2*int(r.before))
	}
	s.schedule(r.made, r.trip, int64(len(r.made)), r.before, rate)
	if !r.demo {
		s.keepBegin(rate)
	}
}

// demoSeed makes the demonstration's breath noise always the same. Our choice.
const demoSeed = 1

// schedule plays samples soon. They are expected in the input after the round trip of trip
// seconds, for length frames; so many before and after these are taken as well.
func (s *Stage) schedule(samples []float32, trip float64, length, around int64, rate int) {
	r := &s.run
	lead := max(s.dev.Lead(), int64(ahead*float64(rate))) << r.tried
	r.start = s.dev.Now() + lead
	r.zero = r.start + int64(math.Round(trip*float64(rate)))
	r.length, r.before, r.wanted, r.begun = length, around, length+2*around, true
	r.late, r.slip = s.dev.Late(), s.dev.Slip()
	s.dev.Play(r.start, samples)
}

// tries is how often a sound that comes too late is scheduled anew, each time twice as far ahead: 0.7, 1.4 and 2.8 seconds. Our choice.
const tries = 3

// anew schedules a sound once more, further ahead, where the computer was too slow to hand it over in time, and reports whether it
// did. All of a sound is handed over at once, so that is known as it begins, before anybody has played.
func (s *Stage) anew(rate int) bool {
	r := &s.run
	if !r.begun || r.tried == tries || s.dev.Late() == r.late {
		return false
	}
	switch r.kind {
	case session.Recording:
		if s.dev.Now() >= r.zero+int64(r.drill.Time(0)*float64(rate)) {
			return false
		}
	case session.Checking, session.Measuring, session.Demo, session.Replaying:
	default:
		return false
	}
	s.dev.Quiet()
	r.tried++
	r.begun, r.got, r.lost, r.given, r.kept = false, 0, 0, 0, 0
	r.heard, r.notes, r.clicks = nil, nil, nil
	if r.kind != session.Checking && r.kind != session.Measuring { // those move schedules when they have not begun
		s.start(rate)
	}
	return true
}

// slipLag is how long after a slip the device tells of it, in seconds: it looks back over one. A take waits for that, so that what
// moved towards its end is told too.
const slipLag = 1.0

// moved is by how many seconds the round trip has moved since the clicks told of it or, where they were not heard, since the take began.
func (s *Stage) moved(r *run, rate int) float64 {
	from := r.slip
	if r.again.take.Clicks {
		from = r.base
	}
	return math.Abs(float64(s.dev.Slip()-from)) / float64(rate)
}

// unfitMoved is by how many seconds the round trip must have moved for a take not to be graded: the 10 ms that marks are good to,
// which two devices' clocks creep apart in a minute and a half at 110 parts in a million. Our choice.
const unfitMoved = 0.010

// mostMoved is the same from which a take is not even played to its end: at that nobody can play, and where sound keeps standing still a
// take may last for minutes. Our choice.
const mostMoved = 1.0

// leastWhole is the loss in seconds from which a take is not counted: enough to lose a
// short note. Our choice.
const leastWhole = 0.1

// grade works out a take that is over and enters it in the player's progress.
func (s *Stage) grade(rate int) {
	if !s.heardAgain(rate) || s.tick.Seconds < s.run.ended+slipLag {
		return
	}
	r := s.run
	s.run = run{}
	moved := s.moved(&r, rate)
	t := s.enter(&r, rate, unfit(moved, float64(r.lost)/float64(rate)))
	s.level.grade(t.Result, t.Frames, rate)
	t.Moved = moved > clickMoved
	if r.lost > 0 {
		s.spare = min(0.1, s.spare+0.05) // more room at the next opening
	}
	s.forget()
	s.take = t
}

// unfit says why a take can not be judged in which the round trip moved by so many seconds and so many seconds of sound were lost, or "".
func unfit(moved, lost float64) string {
	switch {
	case moved > unfitMoved:
		return "The sound delay changed in the middle of it, so nobody can tell what was early and what was late. That was the computer and not you. Close other programs and play it again."
	case lost > leastWhole:
		return fmt.Sprintf("%.1f seconds of sound were lost on the way from the microphone, so notes may be missing that you played. That was the computer and not you. Close other programs and play it again.", lost)
	}
	return ""
}

// enter grades a take that was heard again and enters it in the player's progress. Why is why it may be unfit for that, or "": an unfit
// take is not judged unless it is good all the same, as nothing that the device does makes a note right.
func (s *Stage) enter(r *run, rate int, why string) *session.Take {
	heard, t := r.again.heard, r.again.take
	t.Drill, t.Rate, t.Lost = r.drill, rate, float64(r.lost)/float64(rate)
	res := grade.Take(r.drill, heard)
	if why != "" && !res.Passed && res.Problem == "" {
		res.Problem = why
	}
	t.Frames, t.Result = heard.Frames, res
	target := s.target(r.drill.ID)
	if r.lick != "" {
		target = r.drill.Tempo
	}
	entry := path.FromResult(res, r.drill.Tempo, target, r.display)
	if t.Lost > leastWhole || r.part {
		entry.Graded = false
	}
	t.Counted = entry.Graded
	day, err := path.ParseDay(s.o.Outside.Today())
	switch {
	case r.lick != "": // it is kept with the lessons and unlocks nothing
		if entry.Graded {
			s.played(r.lick, shelf.Mark{Share: res.Share, Tempo: r.drill.Tempo, Passed: res.Passed})
		}
	case err != nil:
		t.Counted = false
		s.notices = append(s.notices, session.Notice{ID: "day", Text: "The date of this device can not be read, so the take was not counted."})
	case entry.Graded:
		if err := s.keeper.Record(day, r.drill.ID, entry); err != nil {
			s.report(err)
		}
	}
	s.enterJournal(r.drill, r.lick, res, entry)
	s.renew()
	s.kept = recording{r.drill.ID, rate, r.again.sound}
	return &t
}

// heardAgain does some of what comes before grading and reports whether all of it is done.
func (s *Stage) heardAgain(rate int) bool {
	r := &s.run
	if r.again == nil {
		r.again = s.align(r, rate)
		return r.again.spill == nil && r.again.ear == nil
	}
	over := !r.again.step(r)
	s.response = r.again.response
	return over
}

// note ends a take that is written down.
func (s *Stage) note(rate int) {
	if !s.heardAgain(rate) {
		return
	}
	r := s.run
	s.run = run{}
	t := r.again.take
	s.writeDown(r.again.heard, *r.write)
	if t.Clicks { // what the clicks tell of the round trip holds for the next take too
		s.take = &session.Take{Drill: r.drill, Clicks: t.Clicks, Trip: t.Trip, Shift: t.Shift}
	}
}

// A recording is the sound that the last marks came from.
type recording struct {
	drill   string
	rate    int
	samples []float32
}

// saveTake offers the recording as a file, sample for sample: graded again it gets the
// same marks, but for an overdriven one out of which a band was taken, where the tops that were cut off are not to be seen any more.
func (s *Stage) saveTake() {
	var file bytes.Buffer
	if err := wav.WriteAs(&file, s.kept.rate, s.kept.samples, wav.Float32); err != nil {
		s.notices = append(s.notices, session.Notice{ID: "save-take", Text: "The sound of this take can not be written as a file: " + err.Error() + "."})
		return
	}
	s.o.Outside.Download("reedwell-"+s.kept.drill+".wav", file.Bytes())
}

// target is a drill's own tempo.
func (s *Stage) target(id string) float64 {
	for _, d := range s.list {
		if d.ID == id {
			return d.Tempo
		}
	}
	return 0
}

// cut ends a run that can not go on.
func (s *Stage) cut(why string) {
	r := s.run
	s.dev.Quiet()
	s.run = run{}
	switch {
	case r.kind == session.Measuring:
		s.calibration = &session.Calibration{Problem: "The sound stopped in the middle of it. Measure again."}
	case r.kind == session.Singing:
		s.sung = &session.Sung{Problem: "The sound stopped while you sang. Try again."}
	case r.room != nil && !r.demo:
		s.roomed = &session.Roomed{Setting: *r.room, Cut: why}
	case r.write != nil:
		s.written = &session.Written{Problem: why}
	case r.recording():
		s.forget()
		s.take = &session.Take{Drill: r.drill, Cut: why}
		if rate := s.dev.Info().Rate; rate > 0 && len(r.sound) > int(r.before)+rate {
			s.kept = recording{r.drill.ID, rate, r.sound[r.before:]}
			s.take.Kept = true
		}
	}
}

// The clicks of a calibration by playing along: eight, far enough apart for any round
// trip (calibrate.Tap asks for 0.7 s).
const (
	tapClicks = 8
	tapEvery  = 0.8 // seconds
	tapAfter  = 0.8 // seconds, for the last note
)

// measure starts a calibration.
func (s *Stage) measure(rate int) {
	r := &s.run
	if !r.taps {
		signal := calibrate.Signal(rate)
		n := calibrate.Frames(signal, rate)
		r.captured = make([]float32, n)
		s.schedule(signal, 0, int64(n), 0, rate)
		return
	}
	every := int(tapEvery * float64(rate))
	sound := make([]float32, tapClicks*every)
	for i := range tapClicks {
		synth.Mix(sound, synth.Click(rate, i == 0), i*every, 0)
	}
	ear, err := listen.New(listen.Config{Rate: rate})
	if err != nil {
		s.measured(session.Calibration{Problem: "This device's sample rate can not be listened to. Choose another microphone."})
		return
	}
	r.ear = ear
	s.schedule(sound, 0, int64(len(sound))+int64(tapAfter*float64(rate)), 0, rate)
	for i := range tapClicks {
		r.clicks = append(r.clicks, r.start+int64(i*every))
	}
}

// tapShortest is the shortest note in seconds that answers a click: a click heard from a
// loudspeaker is over in 30 ms.
const tapShortest = 0.06

// judge ends a calibration.
func (s *Stage) judge(rate int) {
	r := &s.run
	var got calibrate.Result
	var err error
	if r.taps {
		var starts []int64
		for _, n := range r.notes {
			if float64(n.End-n.Start) >= tapShortest*float64(rate) {
				starts = append(starts, r.zero+n.Start)
			}
		}
		got, err = calibrate.Tap(starts, r.clicks, rate)
	} else {
		got, err = calibrate.Find(r.captured, rate)
		if err == nil {
			s.level.gain = likeness(r.captured, calibrate.Signal(rate), int(math.Round(got.Frames)))
		}
	}
	c := session.Calibration{Seconds: got.Frames / float64(rate), SpreadMS: got.Spread, Clicks: r.taps}
	switch {
	case errors.Is(err, calibrate.ErrQuiet):
		c.Problem = "The microphone did not hear the chirps. Turn the sound up; with headphones hold one ear piece right against the microphone. Then measure again."
	case errors.Is(err, calibrate.ErrScattered):
		c.Problem = "The chirps came back at different times. Close other programs that use sound, leave Bluetooth off, and measure again."
	case errors.Is(err, calibrate.ErrFewTaps):
		c.Problem = "Too few notes were heard. Play one short note on every click."
	case errors.Is(err, calibrate.ErrUneven):
		c.Problem = "The notes did not fall evenly on the clicks. Listen to a few clicks first, then play short notes with them."
	case err != nil:
		c.Problem = "The delay could not be measured. Try again."
	}
	s.measured(c)
}

// measured hands the session the end of a calibration.
func (s *Stage) measured(c session.Calibration) {
	s.dev.Quiet()
	s.run = run{}
	s.calibration = &c
}

var (
	_ Device = (*device.Stream)(nil)
	_ Inputs = (*device.Inputs)(nil)
)
