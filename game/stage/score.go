package stage

import (
	"bytes"
	"fmt"
	"path"
	"strings"

	"reedwell/game/session"
	"reedwell/levels/lesson"
	"reedwell/levels/score"
	"reedwell/levels/score/abc"
	"reedwell/levels/score/midi"
	"reedwell/levels/score/musicxml"
)

// scores puts in the notes of a lesson, in every notation.
func (p *pack) scores(l lesson.Lesson) {
	for _, f := range []session.Format{session.AsMIDI, session.AsMusicXML, session.AsABC} {
		p.score(l, f)
	}
}

// score puts in the notes of a lesson in one notation.
func (p *pack) score(l lesson.Lesson, f session.Format) {
	name, write := "notes.mid", func(b *bytes.Buffer) error { return midi.Write(b, l, score.Chorus, midi.Options{}) }
	switch f {
	case session.AsMusicXML:
		name, write = "notes.musicxml", func(b *bytes.Buffer) error { return musicxml.Write(b, l, score.Chorus) }
	case session.AsABC:
		name, write = "notes.abc", func(b *bytes.Buffer) error { return abc.Write(b, l, score.Chorus) }
	}
	p.put(name, func() ([]byte, error) {
		var b bytes.Buffer
		err := write(&b)
		return b.Bytes(), err
	})
}

// mostRemarks are told of a score that was read.
const mostRemarks = 3

// readScore makes a lesson of a notation file, on the harp it lies best on.
func (s *Stage) readScore(e session.Effect, name string) {
	s.begins("Reading "+name, func() error {
		var p score.Piece
		var err error
		from := bytes.NewReader(e.Bytes)
		switch strings.ToLower(path.Ext(e.Name)) {
		case ".mid", ".midi":
			p, err = midi.Read(from)
		case ".abc":
			p, err = abc.Read(from)
		default:
			p, err = musicxml.Read(from)
		}
		var l lesson.Lesson
		var remarks []score.Remark
		if err == nil {
			l, remarks, err = p.Lesson(score.Choice{})
		}
		if err != nil {
			s.loaded = &session.Loaded{Problem: fmt.Sprintf("%s was not read: %.300v.", name, err)}
			return nil
		}
		s.loaded = &session.Loaded{Text: lesson.Format(l), From: name}
		for i, r := range remarks {
			if i == mostRemarks {
				s.loaded.Remarks = append(s.loaded.Remarks, fmt.Sprintf("And %d more.", len(remarks)-i))
				break
			}
			s.loaded.Remarks = append(s.loaded.Remarks, fmt.Sprintf("%.200s.", r))
		}
		return nil
	})
}
