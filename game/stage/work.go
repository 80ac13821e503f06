package stage

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"math"
	"path"
	"strings"
	"time"

	"reedwell/audio/listen"
	"reedwell/audio/wav"
	"reedwell/game/screen"
	"reedwell/game/session"
	"reedwell/levels/clip"
	"reedwell/levels/drill"
	"reedwell/levels/lesson"
	"reedwell/levels/sheet"
	"reedwell/levels/sheet/pdf"
	"reedwell/levels/write"
)

// A work is something that takes longer than a frame may: it is cut into steps, of which a
// Poll does one, and none while something sounds or is recorded.
type work struct {
	what  string
	steps []func() error
	done  int
	shown bool // the screen that tells of it has been seen
}

// toil does a step of the work.
func (s *Stage) toil() {
	w := &s.work
	if w.what == "" || s.run.kind != session.Idle {
		return
	}
	if !w.shown {
		w.shown = true
		return
	}
	err := w.steps[w.done]()
	w.done++
	if err != nil {
		s.notices = append(s.notices, session.Notice{ID: "work", Text: w.what + " did not work: " + err.Error() + "."})
	}
	if err != nil || w.done == len(w.steps) {
		s.work = work{}
	}
}

// begins begins a work in place of the one before.
func (s *Stage) begins(what string, steps ...func() error) { s.work = work{what: what, steps: steps} }

// ---- The sheet ----

// laid is the sheet of a lesson. On pages that others can reach it carries codes that lead to
// the lesson and to each lick, where they fit.
func (s *Stage) laid(l lesson.Lesson, paper sheet.Paper) (sheet.Sheet, error) {
	o := sheet.Options{Paper: paper}
	if address := s.o.Outside.Address(); strings.HasPrefix(address, "https://") {
		if to, err := lesson.Link(lesson.Address{Lesson: l}); err == nil {
			o.Link = address + "#" + to
		}
		for i := range l.Licks {
			only, err := lesson.Only(l, i)
			if err != nil {
				continue
			}
			if to, err := lesson.Link(lesson.Address{Lesson: only, Lick: 1}); err == nil {
				o.Links = append(o.Links, address+"#"+to)
			}
		}
		if made, err := sheet.Lay(l, o); err == nil {
			return made, nil
		}
	}
	return sheet.Lay(l, sheet.Options{Paper: paper})
}

// makeSheet has the pages of a sheet drawn, one a step.
func (s *Stage) makeSheet(l lesson.Lesson, paper sheet.Paper) {
	made, err := s.laid(l, paper)
	if err != nil {
		s.pages = &session.Sheet{Problem: "The sheet can not be made: " + err.Error() + "."}
		return
	}
	out := &session.Sheet{}
	var steps []func() error
	for i := range made.Pages {
		steps = append(steps, func() error {
			p, err := s.picture(made, i)
			if err != nil {
				return err
			}
			out.Pages = append(out.Pages, p)
			if len(out.Pages) == len(made.Pages) {
				s.pages = out
			}
			return nil
		})
	}
	s.begins("Drawing the sheet", steps...)
}

// picture is a page of a sheet to be shown.
func (s *Stage) picture(made sheet.Sheet, i int) (*screen.Picture, error) {
	w, h := made.Paper.Size()
	p := &screen.Picture{Width: w, Height: h}
	if s.o.Page {
		svg, err := made.SVG(i)
		p.SVG = svg
		return p, err
	}
	page := made.Pages[i]
	for _, t := range page.Texts {
		if !t.Hidden {
			p.Letters = append(p.Letters, screen.Line{Text: t.String, X: t.X, Y: t.Y, Size: t.Size, Bold: t.Bold})
		}
	}
	for _, line := range page.Paths {
		p.Shapes = append(p.Shapes, shape(line))
	}
	return p, nil
}

// curveSteps is how many straight lines make a curve of a sheet: those are small.
const curveSteps = 8

func shape(from sheet.Path) screen.Shape {
	out := screen.Shape{Width: from.Width}
	var run []screen.Dot
	end := func() {
		if len(run) > 1 {
			out.Pieces = append(out.Pieces, run)
		}
		run = nil
	}
	for _, s := range from.Segments {
		switch s.Op {
		case sheet.Move:
			end()
			run = []screen.Dot{screen.Dot(s.Points[0])}
		case sheet.Line:
			run = append(run, screen.Dot(s.Points[0]))
		case sheet.Curve:
			a, b, c, d := run[len(run)-1], s.Points[0], s.Points[1], s.Points[2]
			for k := 1; k <= curveSteps; k++ {
				t := float64(k) / curveSteps
				u := 1 - t
				run = append(run, screen.Dot{
					X: u*u*u*a.X + 3*u*u*t*b.X + 3*u*t*t*c.X + t*t*t*d.X,
					Y: u*u*u*a.Y + 3*u*u*t*b.Y + 3*u*t*t*c.Y + t*t*t*d.Y,
				})
			}
		case sheet.Close:
			if len(run) > 0 {
				run = append(run, run[0])
			}
			end()
		}
	}
	end()
	return out
}

// ---- Saving ----

// saveLesson offers a lesson as a file in a format.
func (s *Stage) saveLesson(e session.Effect) {
	l, name := e.Address.Lesson, slug(e.Address.Lesson.Title)
	if e.Format == session.AsText {
		s.o.Outside.Download(name+".txt", []byte(e.Text))
		return
	}
	var p pack
	switch e.Format {
	case session.AsSheet:
		p.document(s, l, e.Paper)
	case session.AsClips:
		p.clips(l)
	case session.Everything:
		p.put("lesson.txt", func() ([]byte, error) { return []byte(e.Text), nil })
		p.document(s, l, e.Paper)
		p.pictures(s, l, e.Paper)
		p.scores(l)
		p.clips(l)
	default:
		p.score(l, e.Format)
	}
	if len(p.parts) == 1 {
		part := p.parts[0]
		s.begins("Making the file", func() error {
			data, err := part.make()
			if err == nil {
				s.o.Outside.Download(name+path.Ext(part.name), data)
			}
			return err
		})
		return
	}
	var file bytes.Buffer
	z := zip.NewWriter(&file)
	var steps []func() error
	for _, part := range p.parts {
		steps = append(steps, func() error {
			data, err := part.make()
			if err != nil {
				return fmt.Errorf("%s: %w", part.name, err)
			}
			// A fixed time: what is saved says nothing about when. Sound hardly gets smaller.
			h := &zip.FileHeader{Name: name + "/" + part.name, Method: zip.Deflate, Modified: time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)}
			if path.Ext(part.name) == ".wav" {
				h.Method = zip.Store
			}
			w, err := z.CreateHeader(h)
			if err == nil {
				_, err = w.Write(data)
			}
			return err
		})
	}
	steps = append(steps, func() error {
		if err := z.Close(); err != nil {
			return err
		}
		s.o.Outside.Download(name+".zip", file.Bytes())
		return nil
	})
	s.begins("Making the files", steps...)
}

// A pack is the parts of a file that is to be saved.
type pack struct{ parts []part }

type part struct {
	name string
	make func() ([]byte, error)
}

func (p *pack) put(name string, make func() ([]byte, error)) {
	p.parts = append(p.parts, part{name, make})
}

func (p *pack) document(s *Stage, l lesson.Lesson, paper sheet.Paper) {
	p.put("sheet.pdf", func() ([]byte, error) {
		made, err := s.laid(l, paper)
		if err != nil {
			return nil, err
		}
		var b bytes.Buffer
		err = pdf.Write(&b, made)
		return b.Bytes(), err
	})
}

func (p *pack) pictures(s *Stage, l lesson.Lesson, paper sheet.Paper) {
	made, err := s.laid(l, paper)
	if err != nil {
		return // the document says why
	}
	for i := range made.Pages {
		p.put(fmt.Sprintf("sheet-%d.svg", i+1), func() ([]byte, error) { return made.SVG(i) })
	}
}

func (p *pack) clips(l lesson.Lesson) {
	sound := func(name string, make func() ([]float32, error)) {
		p.put("clips/"+name+".wav", func() ([]byte, error) {
			samples, err := make()
			if err != nil {
				return nil, err
			}
			return wav.Bytes(clip.Rate, samples), nil
		})
	}
	for i, k := range l.Licks {
		if d, err := l.Drill(i, lesson.Play{Tempo: math.Max(drill.MinTempo, l.Tempo*clip.SlowShare)}); err != nil || d.Seconds > session.MaxTake {
			continue
		}
		name := fmt.Sprintf("%d-%s", i+1, slug(k.Title))
		for _, speed := range []struct {
			name  string
			share float64
		}{{"", 1}, {"-slow", clip.SlowShare}} {
			sound(name+speed.name, func() ([]float32, error) { return clip.Lick(l, i, clip.Options{Share: speed.share}) })
			sound(name+speed.name+"-with-count-in", func() ([]float32, error) {
				return clip.Lick(l, i, clip.Options{Share: speed.share, CountIn: true})
			})
		}
	}
	if d, err := l.Chorus(lesson.Play{}); err != nil || d.Seconds > session.MaxTake {
		return // longer than anybody plays in one go, and than a page should work
	}
	sound("chorus-with-band", func() ([]float32, error) { return clip.Chorus(l, clip.Options{CountIn: true, Backing: true}) })
	sound("band-loop", func() ([]float32, error) { return clip.Backing(l, clip.Options{}) })
}

// ---- Reading ----

// largestSound is the longest sound that is written down here, in seconds; a page must not
// work for minutes. Our choice, well over a chorus.
const largestSound = 120.0

// readFile reads a file that the player chose: a lesson, a score or a recording.
func (s *Stage) readFile(e session.Effect) {
	name := printable(e.Name)
	switch strings.ToLower(path.Ext(e.Name)) {
	case ".wav":
		s.readSound(e)
	case ".mid", ".midi", ".xml", ".musicxml", ".mxl", ".abc":
		s.readScore(e, name)
	default:
		switch {
		case len(e.Bytes) > lesson.MaxBytes:
			s.loaded = &session.Loaded{Problem: name + " was not read: " + lesson.ErrTextLong.Error() + "."}
		case bytes.IndexByte(e.Bytes, 0) >= 0:
			s.loaded = &session.Loaded{Problem: name + " was not read: it is no text. A lesson is plain text; scores are read as MIDI, MusicXML or ABC, recordings as WAV."}
		default:
			s.loaded = &session.Loaded{Text: strings.ToValidUTF8(string(e.Bytes), "\ufffd"), From: name}
		}
	}
}

// printable is a file's name as it can be shown.
func printable(name string) string {
	name = strings.ToValidUTF8(name, "?")
	if r := []rune(name); len(r) > 60 {
		name = string(r[:60]) + " ..."
	}
	if name == "" {
		return "The file"
	}
	return name
}

// readSound writes down the lick of a recording, a piece of it a step.
func (s *Stage) readSound(e session.Effect) {
	name := printable(e.Name)
	problem := func(err error) {
		s.loaded = &session.Loaded{Problem: name + " was not read: " + err.Error() + "."}
	}
	sound, err := wav.Read(bytes.NewReader(e.Bytes))
	if err == nil && sound.Seconds() > largestSound {
		err = fmt.Errorf("it lasts %.0f seconds; cut it to %g at most", sound.Seconds(), largestSound)
	}
	if err != nil {
		problem(err)
		return
	}
	h := s.state.Settings().Harp()
	o := write.Options{Harp: h, Bar: e.Bar}
	if e.Address.Lesson.Tempo != 0 {
		o.Harp, _ = s.state.HarpOf(e.Address.Lesson.Key)
		o.Position = e.Address.Lesson.Position
		feel := e.Address.Lesson.Feel
		o.Feel = &feel
	}
	ear, err := listen.New(write.Listen(o.Harp, sound.Rate))
	if err != nil {
		problem(err)
		return
	}
	take := listen.Take{Rate: sound.Rate}
	var steps []func() error
	n := int(pieceSeconds * float64(sound.Rate))
	for from := 0; from < len(sound.Samples); from += n {
		steps = append(steps, func() error {
			ear.Process(sound.Samples[from:min(from+n, len(sound.Samples))])
			take.Frames, take.Notes = ear.Frames(take.Frames), ear.Notes(take.Notes)
			return nil
		})
	}
	steps = append(steps, func() error {
		ear.Flush()
		take.Frames, take.Notes = ear.Frames(take.Frames), ear.Notes(take.Notes)
		s.writeDown(take, o)
		return nil
	})
	s.begins("Listening to "+name, steps...)
}

// pieceSeconds is how much of a recording is listened to in one step, in seconds; see budget.
const pieceSeconds = 0.5

// writeDown hands the session the lick that was heard.
func (s *Stage) writeDown(take listen.Take, o write.Options) {
	k, doubts, report, err := write.Lick(take, o)
	w := &session.Written{Lick: k, Doubts: doubts, Report: report}
	switch {
	case errors.Is(err, write.ErrNothing):
		w.Problem = "No lick was heard. Play a little louder and nearer to the microphone, on the harp that the lesson names, and record it again."
	case err != nil:
		w.Problem = "What was played could not be written down: " + err.Error() + "."
	}
	s.written = w
}
