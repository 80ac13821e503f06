package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"

	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/link"
)

// readLesson reads a lesson's file. Its problems go to errs, a line each, as compilers
// write them: file:line:column.
func readLesson(name string, errs io.Writer) (lesson.Lesson, error) {
	file, err := os.Open(name)
	if err != nil {
		return lesson.Lesson{}, err
	}
	defer file.Close()
	// One byte over the most, so that Parse sees that it is too much.
	text, err := io.ReadAll(io.LimitReader(file, lesson.MaxBytes+1))
	if err != nil {
		return lesson.Lesson{}, err
	}
	l, problems := lesson.Parse(string(text))
	for _, p := range problems {
		fmt.Fprintf(errs, "%s:%d:%d: %s: %s: %s\n", name, p.Line, p.Column, p.Severity, p.Got, p.Want)
	}
	if lesson.Failed(problems) {
		return lesson.Lesson{}, fmt.Errorf("%s has mistakes", name)
	}
	return l, nil
}

// asked is what the flags of a lesson's command ask for.
type asked struct {
	key   harp.Key
	set   bool
	tempo float64
}

// lessonFlags adds the flags that move a lesson to another harp or tempo.
func lessonFlags(flags *flag.FlagSet) *asked {
	a := &asked{}
	flags.Func("harp", "`key` of the harp; the lesson's own without it", func(text string) (err error) {
		a.key, err = harp.ParseKey(text)
		a.set = err == nil
		return err
	})
	flags.Float64Var(&a.tempo, "tempo", 0, "beats a minute; 0 is the lesson's own")
	return a
}

// read is the lesson in a file, moved as asked.
func (a *asked) read(name string, errs io.Writer) (lesson.Lesson, error) {
	l, err := readLesson(name, errs)
	if err != nil {
		return l, err
	}
	if a.set {
		l = lesson.Transpose(l, a.key)
	}
	if a.tempo != 0 {
		if l, err = lesson.WithTempo(l, a.tempo); err != nil {
			return l, err
		}
	}
	return l, nil
}

// parse reads the flags and then the one lesson that the arguments name.
func (a *asked) parse(flags *flag.FlagSet, args []string, errs io.Writer) (lesson.Lesson, error) {
	rest, err := parse(flags, args, "lesson.txt")
	if err != nil {
		return lesson.Lesson{}, err
	}
	return a.read(rest[0], errs)
}

// lessonDrill is the drill named "lesson.txt:2", the lick of that number, or
// "lesson.txt:chorus"; ok tells whether id is such a name.
func lessonDrill(id string, spec drill.Spec, keySet bool, errs io.Writer) (d drill.Drill, ok bool, err error) {
	at := strings.LastIndexByte(id, ':')
	if at < 0 || !strings.HasSuffix(id[:at], ".txt") {
		return d, false, nil
	}
	l, err := readLesson(id[:at], errs)
	if err != nil {
		return d, true, err
	}
	if spec.Position != 0 && spec.Position != l.Position {
		return d, true, errors.New("a lesson says itself in which position it is played")
	}
	if keySet {
		l = lesson.Transpose(l, spec.Key)
	}
	if spec.Tuning != harp.Equal {
		l.Tuning = spec.Tuning
	}
	play := lesson.Play{Tempo: spec.Tempo}
	if spec.A4 != 440 {
		play.A4 = spec.A4
	}
	if id[at+1:] == "chorus" {
		d, err = l.Chorus(play)
		return d, true, err
	}
	n, err := strconv.Atoi(id[at+1:])
	if err != nil {
		return d, true, fmt.Errorf("%s: after the colon stands the number of a lick, or chorus", id)
	}
	d, err = l.Drill(n-1, play)
	return d, true, err
}

// checkLesson tells what is wrong with a lesson and what is worth a look.
func checkLesson(args []string, out, errs io.Writer) (int, error) {
	flags := flag.NewFlagSet("check", flag.ContinueOnError)
	flags.SetOutput(errs)
	asked := lessonFlags(flags)
	format := flags.Bool("format", false, "print the lesson as it is written neatly")
	l, err := asked.parse(flags, args, errs)
	if err != nil {
		return unusable, err
	}
	if *format {
		_, err := io.WriteString(out, lesson.Format(l))
		return done, err
	}
	licks := "1 lick"
	if n := len(l.Licks); n != 1 {
		licks = fmt.Sprint(n, " licks")
	}
	fmt.Fprintf(out, "%s: %s harp, %s, song in %s, %g beats a minute, %s, %s, %s\n",
		l.Title, l.Key, l.Position.Name(), l.Key.Song(l.Position), l.Tempo, l.Feel, l.Form.Name, licks)
	return done, nil
}

// linkTo prints the links of a lesson's licks.
func linkTo(args []string, out, errs io.Writer) (int, error) {
	flags := flag.NewFlagSet("link", flag.ContinueOnError)
	flags.SetOutput(errs)
	asked := lessonFlags(flags)
	base := flags.String("page", "", "`address` of the page, put before the #")
	frame := flags.Bool("frame", false, "print the code that puts the drill in a frame of another page")
	l, err := asked.parse(flags, args, errs)
	if err != nil {
		return unusable, err
	}
	parts := []struct {
		lick       int
		name, what string
	}{{0, "lesson", l.Title}, {lesson.AllLicks, "chorus", "The chorus"}}
	for i, k := range l.Licks {
		parts = append(parts, struct {
			lick       int
			name, what string
		}{i + 1, strconv.Itoa(i + 1), k.Title})
	}
	for _, p := range parts {
		fragment, err := lesson.Link(lesson.Address{Lesson: l, Lick: p.lick})
		if err != nil {
			return unusable, err
		}
		if *frame {
			fmt.Fprintln(out, link.Frame(*base, fragment, p.what))
			continue
		}
		fmt.Fprintf(out, "%s\t%s\t%s\n", p.name, p.what, *base+"#"+fragment)
	}
	return done, nil
}
