package main

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"html/template"
	"io"
	"os"
	"path/filepath"
	"strings"

	"reedwell/levels/lesson"
	"reedwell/levels/sheet"
	"reedwell/levels/sheet/pdf"
)

// publishedRate is the rate of the clips on a lesson's page in Hz. Our choice: a third less to
// download than at 48 kHz, and what it leaves out lies above 15 kHz, where a reed has nothing.
const publishedRate = 32000

// lessonFile is the lesson's text, beside the page and beside the program.
const lessonFile = "lesson.txt"

// publish writes a lesson as a folder for any static web host.
func publish(args []string, out, errs io.Writer) (int, error) {
	flags := flag.NewFlagSet("publish", flag.ContinueOnError)
	flags.SetOutput(errs)
	asked := lessonFlags(flags)
	dir := flags.String("o", "", "`folder` to write to; it is made where it is missing")
	page := flags.String("page", "", "`address` at which the folder will be found; with it the sheets have QR codes")
	made := clipFlags(flags, publishedRate)
	rest, err := parse(flags, args, "lesson.txt")
	if err != nil {
		return unusable, err
	}
	if *dir == "" {
		return unusable, errors.New("name the folder to write to with -o")
	}
	if err := made.check(); err != nil {
		return unusable, err
	}
	l, err := asked.read(rest[0], errs)
	if err != nil {
		return unusable, err
	}
	root, program, err := builtHere(true, errs)
	if err != nil {
		return unusable, err
	}
	s, err := lessonSite(l, filepath.Join(root, "web", "kit"), program, *page, *made, errs)
	if err != nil {
		return unusable, err
	}
	if err := s.write(*dir); err != nil {
		return unusable, err
	}
	fmt.Fprintf(out, "The lesson is in %s: put the folder on any web host.\n", *dir)
	return done, nil
}

// lessonSite is the site of a lesson: its page from the kit, and all that is made of it, with
// the program in app. page is where it will be found, or empty.
func lessonSite(l lesson.Lesson, kit string, program site, page string, made sounding, errs io.Writer) (site, error) {
	s := site{}
	text := compressed([]byte(lesson.Format(l)))
	s[lessonFile] = text
	for name, c := range program {
		s["app/"+name] = c
	}
	s["app/"+lessonFile] = text
	v, err := newLessonPage(l)
	if err != nil {
		return nil, err
	}
	for _, paper := range []struct {
		size sheet.Paper
		name string
	}{{sheet.A4, "a4"}, {sheet.Letter, "letter"}} {
		so := sheet.Options{Paper: paper.size}
		if page != "" {
			for i := range l.Licks {
				so.Links = append(so.Links, strings.TrimSuffix(page, "/")+"/"+v.Licks[i].Drill)
			}
		}
		laid, err := sheet.Lay(l, so)
		if err != nil {
			return nil, err
		}
		var b bytes.Buffer
		if err := pdf.Write(&b, laid); err != nil {
			return nil, err
		}
		s["sheet-"+paper.name+".pdf"] = content{plain: b.Bytes()}
		if paper.size != sheet.A4 {
			continue
		}
		for i := range laid.Pages {
			data, err := laid.SVG(i)
			if err != nil {
				return nil, err
			}
			name := fmt.Sprintf("sheet-%d.svg", i+1)
			s[name] = compressed(data)
			v.Pages = append(v.Pages, name)
		}
	}
	for _, ending := range notations() {
		var b bytes.Buffer
		if err := writeScore(&b, "lesson"+ending, l); err != nil {
			return nil, err
		}
		s["lesson"+ending] = compressed(b.Bytes())
	}
	fmt.Fprint(errs, "reedwell: sounding the clips ")
	for _, r := range recipes(l, made) {
		fmt.Fprint(errs, ".")
		sound, err := r.make()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", r.name, err)
		}
		data, err := flacBytes(made.rate, sound)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", r.name, err)
		}
		s["clips/"+r.name+".flac"] = content{plain: data}
	}
	fmt.Fprintln(errs)
	for _, name := range []string{"lesson.css", "lesson.js"} {
		data, err := os.ReadFile(filepath.Join(kit, name))
		if err != nil {
			return nil, err
		}
		s[name] = compressed(data)
	}
	t, err := template.ParseFiles(filepath.Join(kit, "index.html"))
	if err != nil {
		return nil, err
	}
	var html bytes.Buffer
	if err := t.Execute(&html, v); err != nil {
		return nil, err
	}
	s["index.html"] = compressed(html.Bytes())
	data, err := os.ReadFile(filepath.Join(kit, "..", worker))
	if err != nil {
		return nil, err
	}
	s[worker] = content{plain: data}
	return s, s.seal()
}

// A lessonPage is what the kit's page shows.
type lessonPage struct {
	Lesson                          lesson.Lesson
	Key, Position, Song, Feel, Form string
	Words                           []string
	Licks                           []lickPart
	Chorus                          lickPart
	Backing                         []clipPart
	Pages                           []string
	Files                           []clipPart
}

type lickPart struct {
	Number                         int
	Title, Words, Tab, Bars, Level string
	Drill                          string // address of its drill
	Clips                          []clipPart
}

type clipPart struct{ Name, Label, File string }

func newLessonPage(l lesson.Lesson) (lessonPage, error) {
	v := lessonPage{Lesson: l, Key: l.Key.String(), Position: l.Position.Name(), Song: l.Key.Song(l.Position),
		Feel: l.Feel.String(), Form: l.Form.Name}
	if l.Words != "" {
		v.Words = strings.Split(l.Words, "\n")
	}
	if v.Form == lesson.OwnForm {
		v.Form = "own changes"
	}
	drillOf := func(lick int) (string, error) {
		fragment, err := lesson.Link(lesson.Address{File: lessonFile, Lick: lick})
		return "app/#" + fragment, err
	}
	for i, k := range l.Licks {
		p := lickPart{Number: i + 1, Title: k.Title, Words: k.Words, Tab: tabLines(l, i), Level: k.Level.String(), Bars: bars(k),
			Clips: clipParts(fmt.Sprintf("lick-%d", i+1), k.Title)}
		var err error
		if p.Drill, err = drillOf(i + 1); err != nil {
			return v, err
		}
		v.Licks = append(v.Licks, p)
	}
	var err error
	if v.Chorus.Drill, err = drillOf(lesson.AllLicks); err != nil {
		return v, err
	}
	v.Chorus.Clips = clipParts("chorus", "all of it")
	v.Backing = []clipPart{
		{"At tempo", "Backing at tempo", "clips/backing.flac"},
		{"Slowly", "Backing, slowly", "clips/backing-slow.flac"},
	}
	v.Files = []clipPart{
		{Name: "The lesson as text", File: lessonFile},
		{Name: "Standard MIDI File", File: "lesson.mid"},
		{Name: "MusicXML", File: "lesson.musicxml"},
		{Name: "ABC", File: "lesson.abc"},
	}
	return v, nil
}

// clipParts are the four clips of one lick, as recipes names them.
func clipParts(file, title string) []clipPart {
	var all []clipPart
	for _, c := range []struct{ name, ending string }{
		{"As it goes", ""}, {"Slowly", "-slow"}, {"With count-in and band", "-band"}, {"Slowly, with count-in and band", "-slow-band"},
	} {
		all = append(all, clipPart{c.name, title + ": " + strings.ToLower(c.name), "clips/" + file + c.ending + ".flac"})
	}
	return all
}

// bars says where a lick lies: "bars 3 to 4".
func bars(k lesson.Lick) string {
	if k.Bars == 1 {
		return fmt.Sprintf("bar %d", k.Bar)
	}
	return fmt.Sprintf("bars %d to %d", k.Bar, k.Bar+k.Bars-1)
}

// tabLines is the tab of lick i as it stands in the lesson's text.
func tabLines(l lesson.Lesson, i int) string {
	one := l
	one.Licks = l.Licks[i : i+1]
	_, lick, _ := strings.Cut(lesson.Format(one), "\nlick: ")
	var tab []string
	for _, line := range strings.Split(lick, "\n")[1:] {
		key, _, keyed := strings.Cut(line, ":")
		if line == "" || keyed && strings.Trim(key, "abcdefghijklmnopqrstuvwxyz") == "" {
			continue
		}
		tab = append(tab, line)
	}
	return strings.Join(tab, "\n")
}
