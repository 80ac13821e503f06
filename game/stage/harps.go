package stage

import (
	"encoding/json"
	"errors"
	"fmt"

	"reedwell/audio/listen"
	"reedwell/game/session"
	"reedwell/levels/path"
	"reedwell/levels/reeds"
)

// passName is where a pass over the reeds that was begun is kept.
const passName = "pass"

// nominalRate is the rate in Hz with which a pass waits that is read before a device is open; see hearReeds.
const nominalRate = 48000

// A reeding is the measuring of a harp's reeds.
type reeding struct {
	name   string      // of the harp
	pass   *reeds.Pass // nil: none was begun
	on     bool
	stream int   // on which it goes on; see Stage.opened
	rate   int   // of that
	base   int64 // device frame of the ear's first sample
	next   int64 // and of the sample it waits for
	ear    *listen.Ear
	done   int           // reeds that are stored
	report *reeds.Report // while it is not on
}

// view describes the pass to the session.
func (r *reeding) view() *session.Pass {
	if r.pass == nil {
		return nil
	}
	if !r.on && r.report == nil {
		made := r.pass.Report()
		r.report = &made
	}
	return &session.Pass{Name: r.name, Key: r.pass.Key(), On: r.on, State: r.pass.State(), Report: r.report}
}

// loadHarps reads the player's harps, and a pass that was begun.
func (s *Stage) loadHarps() {
	k, reports := reeds.Keep(s.o.Store)
	s.harps = k
	for _, err := range reports {
		s.reportHarps(err)
	}
	s.showHarps()
	data := s.load(passName)
	if len(data) == 0 {
		return
	}
	var f passFile
	err := json.Unmarshal(data, &f)
	if err == nil {
		s.reeding.name = f.Harp
		s.reeding.pass, err = reeds.Resume(f.Pass, nominalRate)
	}
	if err != nil {
		s.reeding = reeding{}
		s.dropPass()
		s.notices = append(s.notices, session.Notice{ID: "pass", Text: "The measuring of a harp that was begun can not be read. Begin it again; your harps are as they were."})
	}
}

// A passFile is a pass with the harp it is of.
type passFile struct {
	Harp string          `json:"harp"`
	Pass json.RawMessage `json:"pass"`
}

// storePass stores what a pass has heard by now.
func (s *Stage) storePass() {
	data, err := json.Marshal(passFile{s.reeding.name, s.reeding.pass.Encode()})
	if err != nil {
		panic("stage: " + err.Error()) // it is JSON already
	}
	s.saveHarpFile(passName, data)
}

func (s *Stage) dropPass() { s.saveHarpFile(passName, nil) }

func (s *Stage) saveHarpFile(name string, data []byte) {
	if err := s.o.Store.Save(name, data); err != nil {
		s.reportHarps(&path.StoreError{Name: name, Err: err})
	}
}

// showHarps hands the harps to the session.
func (s *Stage) showHarps() {
	c := s.harps.Case()
	s.cased = &c
}

// reportHarps turns what went wrong with the harps into words.
func (s *Stage) reportHarps(err error) {
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		for _, e := range joined.Unwrap() {
			s.reportHarps(e)
		}
		return
	}
	var aside *path.AsideError
	var store *path.StoreError
	n := session.Notice{ID: "harps", Text: "That could not be done with your harps: " + err.Error() + "."}
	switch {
	case errors.As(err, &aside) && errors.Is(err, reeds.ErrNewer):
		n = session.Notice{ID: "harps-newer", Text: "Your kept harps are from a newer version of Reedwell and were put aside untouched. Load the newest version to have them."}
	case errors.As(err, &aside):
		n = session.Notice{ID: "harps-damaged", Text: "Your kept harps were damaged and were put aside. Read a copy under My harps if you have one, or measure them again."}
	case errors.As(err, &store):
		n = session.Notice{ID: "harps-store", Text: "Your harps can not be kept on this device: its storage is full or closed. They hold until you leave; save a copy under My harps before that."}
	}
	s.notices = append(s.notices, n)
}

// changeHarps makes a change to the harps and stores it.
func (s *Stage) changeHarps(change func(*reeds.Case) error) {
	if err := s.harps.Change(change); err != nil {
		s.reportHarps(err)
	}
	s.showHarps()
}

// doHarps carries out what the session asks for with the harps.
func (s *Stage) doHarps(e session.Effect) {
	r := &s.reeding
	switch e.Kind {
	case session.AddHarp:
		s.changeHarps(func(c *reeds.Case) error { return c.Add(e.Harp) })
	case session.RenameHarp:
		if r.name == e.ID && r.pass != nil {
			r.name = e.Name
			s.storePass()
		}
		s.changeHarps(func(c *reeds.Case) error { return c.Rename(e.ID, e.Name) })
	case session.ForgetHarp:
		if r.name == e.ID {
			*r = reeding{}
			s.dropPass()
		}
		s.changeHarps(func(c *reeds.Case) error { return c.Delete(e.ID) })
	case session.HoldHarp:
		s.changeHarps(func(c *reeds.Case) error { return c.SetDefault(e.ID) })
	case session.SaveHarps:
		c := s.harps.Case()
		s.o.Outside.Download("reedwell-harps.json", c.Encode())
	case session.ReadHarps:
		s.readHarps(e)
	case session.BeginPass:
		if rate := s.rate(); rate > 0 {
			if pass, err := reeds.NewPass(e.Key, rate); err == nil { // the device's rates are all within
				*r = reeding{name: e.ID, pass: pass, on: true, rate: rate, stream: s.opened}
				s.dropPass()
			}
		}
	case session.GoOnPass:
		if r.pass != nil {
			r.on, r.ear, r.report = true, nil, nil
		}
	case session.PausePass:
		s.pausePass()
	case session.SkipReed:
		if r.on {
			r.pass.Skip()
			s.storePass()
			s.endPass()
		}
	case session.RepeatReed:
		if r.pass != nil {
			r.pass.Repeat(e.Note)
			r.on, r.ear, r.report, r.done = true, nil, nil, r.pass.State().Heard
		}
	case session.KeepPass:
		s.keepPass(e.ID)
	}
}

// rate is that of the open device in Hz; 0 when there is none.
func (s *Stage) rate() int {
	if s.dev == nil {
		return 0
	}
	return s.dev.Info().Rate
}

// pausePass leaves off measuring; what was heard is kept.
func (s *Stage) pausePass() {
	if r := &s.reeding; r.on {
		r.pass.End()
		r.on, r.ear, r.report, s.live = false, nil, nil, nil
		s.storePass()
	}
}

// endPass leaves off when no reed is asked for any more.
func (s *Stage) endPass() {
	if s.reeding.pass.State().Done {
		s.pausePass()
	}
}

// keepPass makes what the pass found the harp of that name.
func (s *Stage) keepPass(name string) {
	r := &s.reeding
	if r.pass == nil || r.name != name {
		return
	}
	report := r.pass.Report()
	h, ok := report.Harp()
	day, err := path.ParseDay(s.o.Outside.Today())
	switch {
	case !ok:
		s.notices = append(s.notices, session.Notice{ID: "few-reeds", Text: fmt.Sprintf("Only %d reeds were heard. With %d or more your harp can be judged by them.", report.Heard, reeds.EnoughReeds)})
		return
	case err != nil:
		s.notices = append(s.notices, session.Notice{ID: "day", Text: "The date of this device can not be read, so what was measured was not kept."})
		return
	}
	s.changeHarps(func(c *reeds.Case) error { return c.Measure(name, h, report.Faults(), day) })
	s.dropPass()
}

// hearReeds listens to the reeds that are measured. Frames are counted by the device, so that a hole in the stream, or an ear that
// begins anew, is no shorter to the pass than it was.
func (s *Stage) hearReeds(piece []float32, rate int) {
	r := &s.reeding
	if r.rate != rate || r.stream != s.opened {
		// Another stream counts its frames anew, and may have another rate: the pass goes on with what it has.
		pass, err := reeds.Resume(r.pass.Encode(), rate)
		if err != nil {
			s.pausePass()
			return
		}
		r.pass, r.rate, r.stream, r.ear = pass, rate, s.opened, nil
	}
	if r.ear == nil || r.next != s.heardFrom { // the latter: sound was left out
		ear, err := listen.New(r.pass.Config())
		if err != nil {
			s.pausePass()
			return
		}
		r.pass.End()
		r.ear, r.base, r.next = ear, s.heardFrom, s.heardFrom
	}
	r.ear.Process(piece)
	r.next += int64(len(piece))
	given := len(s.frames)
	s.frames, s.latest = r.ear.Frames(s.frames), r.ear.Latest()
	for i := given; i < len(s.frames); i++ {
		s.frames[i].At += r.base
	}
	r.pass.Hear(s.frames[given:])
	s.held(r.ear, rate)
	if n := r.pass.State().Heard; n != r.done {
		r.done = n
		s.storePass()
	}
	s.endPass()
}

// held hands on the pitches of the notes that an ear has heard to their end.
func (s *Stage) held(ear *listen.Ear, rate int) {
	var some [8]listen.Note
	if notes := ear.Notes(some[:0]); s.run.kind == session.Idle {
		s.pitches = append(s.pitches, reeds.Pitches(notes, rate)...)
	}
}

// readHarps adds the harps of a file to those that are kept.
func (s *Stage) readHarps(e session.Effect) {
	n := session.Notice{ID: "harps-read"}
	other, err := reeds.Decode(e.Bytes)
	switch {
	case err == nil:
		n.Text = "The copy was read: " + count(len(other.Harps())) + " in it."
		s.changeHarps(func(c *reeds.Case) error { return c.Join(other) })
	case errors.Is(err, reeds.ErrNewer):
		n.Text = printable(e.Name) + " is from a newer version of Reedwell. Load the newest version and read it again. Nothing was changed."
	case errors.Is(err, reeds.ErrTooLarge):
		n.Text = printable(e.Name) + " is larger than a copy of harps can be. Choose another. Nothing was changed."
	default:
		n.Text = printable(e.Name) + " is not a whole copy of harps. Choose another. Nothing was changed."
	}
	s.notices = append(s.notices, n)
}

func count(n int) string {
	if n == 1 {
		return "1 harp"
	}
	return fmt.Sprintf("%d harps", n)
}
