package main

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"reedwell/audio/listen"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/score"
	"reedwell/levels/score/abc"
	"reedwell/levels/score/midi"
	"reedwell/levels/score/musicxml"
	"reedwell/levels/write"
)

// notations are the endings of the notation files that are written.
func notations() []string { return []string{".mid", ".musicxml", ".abc"} }

// writeScore writes the chorus of a lesson in the notation that the file's ending names.
func writeScore(w io.Writer, name string, l lesson.Lesson) error {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".mid", ".midi":
		return midi.Write(w, l, score.Chorus, midi.Options{})
	case ".musicxml", ".xml":
		return musicxml.Write(w, l, score.Chorus)
	case ".abc":
		return abc.Write(w, l, score.Chorus)
	}
	return fmt.Errorf("%s: written are .txt, .mid, .musicxml and .abc", name)
}

// readScore reads a notation file.
func readScore(name string) (score.Piece, error) {
	file, err := os.Open(name)
	if err != nil {
		return score.Piece{}, err
	}
	defer file.Close()
	var p score.Piece
	switch strings.ToLower(filepath.Ext(name)) {
	case ".mid", ".midi":
		p, err = midi.Read(file)
	case ".musicxml", ".xml", ".mxl":
		p, err = musicxml.Read(file)
	case ".abc":
		p, err = abc.Read(file)
	default:
		return p, fmt.Errorf("%s: read are .txt, .mid, .musicxml, .mxl and .abc", name)
	}
	if err != nil {
		return p, fmt.Errorf("%s: %w", name, err)
	}
	return p, nil
}

// convert makes a notation file of a lesson, or a lesson of a notation file.
func convert(args []string, out, errs io.Writer) (int, error) {
	flags := flag.NewFlagSet("convert", flag.ContinueOnError)
	flags.SetOutput(errs)
	asked := lessonFlags(flags)
	position := flags.Int("position", 0, "playing position of a lesson made of a notation file; 0: that of the tune's key")
	to := flags.String("o", "", "`file` to write: .txt, .mid, .musicxml or .abc; a lesson without it is printed")
	rest, err := parse(flags, args, "FILE")
	if err != nil {
		return unusable, err
	}
	var l lesson.Lesson
	if filepath.Ext(rest[0]) == ".txt" {
		l, err = asked.read(rest[0], errs)
	} else {
		l, err = asked.readTune(rest[0], harp.Position(*position), errs)
	}
	if err != nil {
		return unusable, err
	}
	var b bytes.Buffer
	if *to == "" || filepath.Ext(*to) == ".txt" {
		b.WriteString(lesson.Format(l))
	} else if err := writeScore(&b, *to, l); err != nil {
		return unusable, err
	}
	return done, deliver(*to, b.Bytes(), out)
}

// readTune makes a lesson of a notation file and tells errs what was left out.
func (a *asked) readTune(name string, position harp.Position, errs io.Writer) (lesson.Lesson, error) {
	p, err := readScore(name)
	if err != nil {
		return lesson.Lesson{}, err
	}
	choice := score.Choice{Position: position}
	if a.set {
		choice.Key = &a.key
	}
	l, remarks, err := p.Lesson(choice)
	if err != nil {
		return l, fmt.Errorf("%s: %w", name, err)
	}
	for _, r := range remarks {
		fmt.Fprintf(errs, "%s: %s\n", name, r)
	}
	if a.tempo != 0 {
		return lesson.WithTempo(l, a.tempo)
	}
	return l, nil
}

// deliver writes to a file, or to out where none is named.
func deliver(file string, data []byte, out io.Writer) error {
	if file == "" {
		_, err := out.Write(data)
		return err
	}
	return os.WriteFile(file, data, 0o666)
}

// writeDown makes a lesson of what was played.
func writeDown(args []string, out, errs io.Writer) (int, error) {
	flags := flag.NewFlagSet("write", flag.ContinueOnError)
	flags.SetOutput(errs)
	asked := lessonFlags(flags)
	position := flags.Int("position", 2, "playing position")
	feel := flags.String("feel", "", "`feel`: straight, shuffle or 12/8; it is estimated without it")
	lead := flags.Float64("count-in", 4, "beats of count-in before bar 1, with -tempo; the recording starts with its first click")
	to := flags.String("o", "", "`file` to write; without it the lesson is printed")
	rest, err := parse(flags, args, "take.wav")
	if err != nil {
		return unusable, err
	}
	sound, err := readWAV(rest[0])
	if err != nil {
		return unusable, err
	}
	h := harp.New(asked.key)
	o := write.Options{Harp: h, Position: harp.Position(*position), Tempo: asked.tempo}
	if o.Tempo != 0 {
		o.Beat0 = *lead * 60 / o.Tempo
	}
	switch *feel {
	case "":
	case "straight":
		o.Feel = &lesson.Feel{}
	case "shuffle":
		o.Feel = &lesson.Feel{Kind: lesson.Shuffle, Ratio: lesson.DefaultRatio}
	case "12/8":
		o.Feel = &lesson.Feel{Kind: lesson.Triplet}
	default:
		return unusable, errors.New("the feel is straight, shuffle or 12/8")
	}
	heard, err := listen.Hear(write.Listen(h, sound.Rate), sound.Samples)
	if err != nil {
		return unusable, fmt.Errorf("%s: %w", rest[0], err)
	}
	l, doubts, report, err := write.Lesson(heard, o, lesson.Forms()[0])
	if err != nil {
		return unusable, fmt.Errorf("%s: %w", rest[0], err)
	}
	fmt.Fprintf(errs, "%s: %.0f beats a minute, %s, starts within %.0f ms of their places\n", rest[0], report.Tempo, l.Feel, 1000*report.Scatter)
	for _, d := range doubts {
		fmt.Fprintf(errs, "%s: %s\n", rest[0], d)
	}
	return done, deliver(*to, []byte(lesson.Format(l)), out)
}
