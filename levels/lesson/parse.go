package lesson

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/tab"
)

// Bounds of a lesson's text; our choice, with room over what a lesson page holds.
const (
	MaxBytes    = 64 << 10
	MaxLine     = 400 // characters
	MaxLicks    = 48
	MaxNotes    = 512 // in a lick
	MaxBars     = 96  // of the form, counted through its choruses
	MaxFormBars = 48
	MaxTitle    = 80  // characters
	MaxText     = 360 // characters of a line of words
	MaxWords    = 24  // lines of words for the whole lesson
	MaxProblems = 40  // more are not told at once
)

// defaultUnit is what a token without a length lasts where the lesson does not say.
const defaultUnit = "1/8"

// Parse reads a lesson. FORMAT.md in this directory describes the text. The problems
// come in the order of the text, several at once; with an Error among them the lesson is
// the zero Lesson. Remarks may come with a good one.
func Parse(text string) (Lesson, []Problem) {
	p := &parser{}
	p.read(text)
	if p.failed() {
		return Lesson{}, p.sorted()
	}
	return p.lesson, p.sorted()
}

// A parser gathers a lesson and what is wrong with it.
type parser struct {
	lesson   Lesson
	problems []Problem
	dialect  tab.Dialect
	asked    bool // the meaning of bare numbers has been asked for
}

func (p *parser) failed() bool { return Failed(p.problems) }

func (p *parser) refuse(at Place, got, want string) {
	p.problems = append(p.problems, Problem{at, Error, got, want})
}

// sorted is the problems in the order of the text, as many as a teacher can use.
func (p *parser) sorted() []Problem {
	place := func(a, b Problem) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	}
	slices.SortStableFunc(p.problems, place)
	if len(p.problems) > MaxProblems {
		// An error must not fall away behind remarks.
		slices.SortStableFunc(p.problems, func(a, b Problem) int { return cmp.Compare(a.Severity, b.Severity) })
		p.problems = p.problems[:MaxProblems]
		slices.SortStableFunc(p.problems, place)
	}
	return p.problems
}

// An entry is a line with a key, as in "harp: A".
type entry struct {
	key   string
	at    Place // of the key
	value string
	from  Place // of the value
}

// A section is the text of a lick.
type section struct {
	entries []entry // the first is "lick"
	lines   []line
}

// A line of tab.
type line struct {
	number int
	words  []word
}

// A word is what stands between blanks or bar lines, a bar line, or a mark in brackets.
type word struct {
	text string
	at   Place
}

func (p *parser) read(text string) {
	if len(text) > MaxBytes {
		p.refuse(Place{1, 1}, fmt.Sprintf("%d bytes of text", len(text)), fmt.Sprintf("at most %d", MaxBytes))
		return
	}
	text = strings.TrimPrefix(text, "\ufeff")
	head, sections, ok := p.split(strings.Split(strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n"), "\n"))
	if !ok {
		return
	}
	bare := p.head(head)
	headed := !p.failed()
	p.dialect = tab.Detect(tokens(sections), bare)
	if len(sections) == 0 {
		p.refuse(Place{1, 1}, "no lick", "a line lick: with a title, then bars: and a line of tab")
	}
	if len(sections) > MaxLicks {
		p.refuse(sections[MaxLicks].entries[0].at, fmt.Sprintf("%d licks", len(sections)), fmt.Sprintf("at most %d in a lesson", MaxLicks))
		return
	}
	for _, s := range sections {
		before := len(p.problems)
		k, ok := p.lick(s)
		// A lick with a mistake is left out, so that the others can be checked all the same.
		if ok && !Failed(p.problems[before:]) {
			p.lesson.Licks = append(p.lesson.Licks, k)
		}
	}
	if headed && len(p.lesson.Licks) > 0 {
		p.problems = append(p.problems, Check(p.lesson)...)
	}
}

// split sorts the lines: the head, and the sections of the licks.
func (p *parser) split(lines []string) (head []entry, sections []section, ok bool) {
	for i, text := range lines {
		number := i + 1
		if !utf8.ValidString(text) {
			good := strings.IndexFunc(strings.ToValidUTF8(text, "\ufffd"), func(r rune) bool { return r == '\ufffd' })
			p.refuse(Place{number, utf8.RuneCountInString(text[:max(good, 0)]) + 1}, "bytes that are no UTF-8", "the file saved as UTF-8 text")
			return nil, nil, false
		}
		if n := utf8.RuneCountInString(text); n > MaxLine {
			p.refuse(Place{number, MaxLine + 1}, fmt.Sprintf("a line of %d characters", n), fmt.Sprintf("at most %d; tab may go on in the next line", MaxLine))
			continue
		}
		blank := strings.TrimLeftFunc(text, unicode.IsSpace)
		if blank == "" || blank[0] == '%' {
			continue
		}
		if e, is := keyed(text, number); is {
			switch {
			case e.key == "lick":
				sections = append(sections, section{entries: []entry{e}})
			case len(sections) == 0:
				head = append(head, e)
			default:
				s := &sections[len(sections)-1]
				s.entries = append(s.entries, e)
			}
			continue
		}
		if len(sections) == 0 {
			at := Place{number, utf8.RuneCountInString(text) - utf8.RuneCountInString(blank) + 1}
			p.refuse(at, short(blank), "a line of the head, as harp: A, or lick: and a title before the first tab")
			continue
		}
		s := &sections[len(sections)-1]
		s.lines = append(s.lines, line{number, words(text, number)})
	}
	return head, sections, true
}

// keyed reads a line such as "harp: A". A line of tab is none: "z:2" has one letter only.
func keyed(text string, number int) (entry, bool) {
	name, value, found := strings.Cut(text, ":")
	key := strings.ToLower(strings.TrimSpace(name))
	if !found || len(key) < 2 {
		return entry{}, false
	}
	for _, r := range key {
		if r < 'a' || r > 'z' {
			return entry{}, false
		}
	}
	column := func(upTo string) int { return utf8.RuneCountInString(upTo) + 1 }
	trimmed := strings.TrimLeftFunc(value, unicode.IsSpace)
	return entry{key: key, value: strings.TrimSpace(strings.ReplaceAll(value, "\t", " ")),
		at:   Place{number, column(name[:len(name)-len(strings.TrimLeftFunc(name, unicode.IsSpace))])},
		from: Place{number, column(text[:len(text)-len(trimmed)])}}, true
}

// short is the start of a long text, for a message.
func short(s string) string {
	const most = 40
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + " ..."
	}
	return s
}

// spellings of keys that a teacher may write instead of ours.
func meant(key string) string {
	switch key {
	case "key":
		return "harp: for the key of the harp; the key of the song follows from it and the position"
	case "bpm", "speed":
		return "tempo:"
	case "pos":
		return "position:"
	case "name":
		return "title:"
	}
	return ""
}

// unknown refuses a key.
func (p *parser) unknown(e entry, all string) {
	if want := meant(e.key); want != "" {
		p.refuse(e.at, "the line "+e.key, want)
		return
	}
	p.refuse(e.at, "the line "+short(e.key), all)
}

// head reads the head into the lesson and returns what bare numbers mean.
func (p *parser) head(head []entry) (bare tab.Bare) {
	l := &p.lesson
	l.Position, l.Form = 2, Forms()[0]
	seen := map[string]entry{}
	var words []string
	var form []entry
	for _, e := range head {
		if _, twice := seen[e.key]; twice && e.key != "words" && e.key != "form" {
			p.refuse(e.at, "the line "+e.key+" again", "each line of the head once; only words and the rows of a form may go on")
			continue
		}
		seen[e.key] = e
		switch e.key {
		case "title":
			l.Title = p.title(e)
		case "words":
			words = append(words, p.words(e))
		case "harp":
			k, err := harp.ParseKey(e.value)
			if err != nil {
				p.refuse(e.from, value(e), harp.ErrKey.Error())
			}
			l.Key = k
		case "position":
			pos, err := harp.ParsePosition(strings.ToLower(e.value))
			if err != nil {
				p.refuse(e.from, value(e), harp.ErrPosition.Error())
			}
			l.Position = pos
		case "tempo":
			l.Tempo = p.number(e, drill.MinTempo, drill.MaxTempo, "beats a minute")
		case "pitch":
			l.A4 = p.number(e, harp.MinA4, harp.MaxA4, "Hz")
		case "tuning":
			tuning, err := harp.ParseTuning(e.value)
			if err != nil {
				p.refuse(e.from, value(e), harp.ErrTuning.Error())
			}
			l.Tuning = tuning
		case "feel":
			l.Feel = p.feel(e)
		case "bare":
			bare = p.bare(e)
		case "form":
			form = append(form, e)
		case "unit":
			// It needs the feel and the form needs the key, wherever those stand.
		default:
			p.unknown(e, "title, harp, position, tempo, feel, form, pitch, tuning, unit, words or bare; then lick:")
		}
	}
	if len(words) > MaxWords {
		p.refuse(seen["words"].at, fmt.Sprintf("%d lines of words", len(words)), fmt.Sprintf("at most %d", MaxWords))
	}
	l.Words = strings.Join(words, "\n")
	for _, must := range []struct{ key, example string }{{"title", "title: Wet shoes shuffle"}, {"harp", "harp: A"}, {"tempo", "tempo: 72"}} {
		if _, ok := seen[must.key]; !ok {
			p.refuse(Place{1, 1}, "no "+must.key, "a line such as "+must.example+" at the top")
		}
	}
	unit := entry{value: defaultUnit}
	if e, ok := seen["unit"]; ok {
		unit = e
	}
	l.Unit = p.unit(unit)
	if form != nil {
		l.Form = p.form(form)
	}
	return bare
}

// value is what stands behind a key, for a message.
func value(e entry) string {
	if e.value == "" {
		return e.key + " without a value"
	}
	return short(e.value)
}

// title reads a title.
func (p *parser) title(e entry) string {
	if n := utf8.RuneCountInString(e.value); n == 0 || n > MaxTitle {
		p.refuse(e.from, value(e), fmt.Sprintf("a title of 1 to %d characters", MaxTitle))
		return ""
	}
	p.printed(e)
	return e.value
}

// words reads a line of the teacher's words.
func (p *parser) words(e entry) string {
	if n := utf8.RuneCountInString(e.value); n > MaxText {
		p.refuse(e.from, fmt.Sprintf("%d characters of words", n), fmt.Sprintf("at most %d in a line", MaxText))
		return ""
	}
	p.printed(e)
	return e.value
}

// printed refuses a value that cannot be printed as it is.
func (p *parser) printed(e entry) {
	if at, ok := printable(e.value); !ok {
		r := []rune(e.value)[at]
		p.refuse(Place{e.from.Line, e.from.Column + at}, fmt.Sprintf("the character %U, which does not print", r), "printed characters only")
	}
}

// printable finds the first character that does not print, such as one that turns the
// direction of writing round. Joiners are let pass: emoji and several scripts need them.
func printable(s string) (at int, ok bool) {
	for i, r := range []rune(s) {
		if !unicode.IsGraphic(r) && r != '\u200c' && r != '\u200d' || r == utf8.RuneError {
			return i, false
		}
	}
	return 0, true
}

// plain reads digits with at most one point between them.
func plain(s string) (float64, bool) {
	if len(s) > 20 || strings.Trim(s, "0123456789.") != "" {
		return 0, false
	}
	x, err := strconv.ParseFloat(s, 64)
	return x, err == nil
}

func (p *parser) number(e entry, low, high float64, unit string) float64 {
	x, ok := plain(e.value)
	if !ok || !(x >= low && x <= high) {
		p.refuse(e.from, value(e), fmt.Sprintf("a number from %g to %g, in %s", low, high, unit))
		return 0
	}
	return x
}

func (p *parser) bare(e entry) tab.Bare {
	switch strings.ToLower(e.value) {
	case "blow":
		return tab.BareBlow
	case "draw":
		return tab.BareDraw
	}
	p.refuse(e.from, value(e), "bare: blow where 4 is blown, bare: draw where 4 is drawn")
	return tab.Unsaid
}

func (p *parser) feel(e entry) Feel {
	kind, rest, _ := strings.Cut(strings.ToLower(e.value), " ")
	switch rest = strings.ReplaceAll(rest, " ", ""); {
	case kind == "straight" && rest == "":
		return Feel{}
	case kind == "12/8" && rest == "":
		return Feel{Kind: Triplet}
	case kind == "shuffle" && rest == "":
		return Feel{Shuffle, DefaultRatio}
	case kind == "shuffle":
		long, one := strings.CutSuffix(rest, ":1")
		if x, ok := plain(long); one && ok && x >= MinRatio && x <= MaxRatio {
			return Feel{Shuffle, x}
		}
		p.refuse(e.from, value(e), fmt.Sprintf("shuffle and long to short, as shuffle 2:1, from %g:1 to %g:1", MinRatio, MaxRatio))
		return Feel{}
	}
	p.refuse(e.from, value(e), "straight, shuffle, shuffle 2:1 or 12/8")
	return Feel{}
}

// whole is the ticks of a whole note: four beats, but 12/8 counts dotted quarters.
func (f Feel) whole() Ticks {
	if f.Kind == Triplet {
		return 8 * Beat / 3
	}
	return 4 * Beat
}

// units are the note values that a token without a length may have.
func units() []string { return []string{"1/4", "1/8", "1/16"} }

func (p *parser) unit(e entry) Ticks {
	for i, u := range units() {
		if e.value == u {
			return p.lesson.Feel.whole() / Ticks(4<<i)
		}
	}
	p.refuse(e.from, value(e), "1/4, 1/8 or 1/16")
	return p.lesson.Feel.whole() / 8
}

// form reads a form by its name, or the chords of one between bar lines, in rows.
func (p *parser) form(rows []entry) Form {
	if len(rows) == 1 {
		for _, f := range Forms() {
			if strings.EqualFold(f.Name, strings.Join(strings.Fields(rows[0].value), " ")) {
				return f
			}
		}
	}
	f := Form{Name: OwnForm}
	for _, e := range rows {
		if !strings.Contains(e.value, "|") {
			p.refuse(e.from, value(e), "slow change, quick change, eight-bar, minor, or chords with bar lines, as I7 | IV7 | I7 | V7 |")
			continue
		}
		inner := strings.TrimSuffix(strings.TrimPrefix(e.value, "|"), "|")
		column := e.from.Column + utf8.RuneCountInString(e.value[:strings.Index(e.value, inner)])
		for _, text := range strings.Split(inner, "|") {
			f.Bars = append(f.Bars, p.chords(text, Place{e.from.Line, column}))
			column += utf8.RuneCountInString(text) + 1
		}
	}
	if len(f.Bars) > MaxFormBars {
		p.refuse(rows[0].from, fmt.Sprintf("a form of %d bars", len(f.Bars)), fmt.Sprintf("at most %d", MaxFormBars))
	}
	return f
}

// chords reads the chords of a bar that begins at a place.
func (p *parser) chords(text string, at Place) []Chord {
	names := strings.Fields(text)
	trimmed := strings.TrimLeftFunc(text, unicode.IsSpace)
	at.Column += utf8.RuneCountInString(text) - utf8.RuneCountInString(trimmed)
	if n := len(names); n != 1 && n != 2 && n != 4 {
		p.refuse(at, fmt.Sprintf("a bar with %s", plural(n, "chord")), "one, two or four chords in a bar")
		return nil
	}
	var bar []Chord
	for _, name := range names {
		c, ok := p.chord(name)
		if !ok {
			at.Column += utf8.RuneCountInString(trimmed[:strings.Index(trimmed, name)])
			p.refuse(at, short(name), "a chord such as I7, IV, bVI7, i, ii7, or by its name, as E7, A, C#m, Bm7")
			return nil
		}
		c.Length = Bar / Ticks(len(names))
		if last := len(bar) - 1; last >= 0 && bar[last].Degree == c.Degree && bar[last].Quality == c.Quality {
			bar[last].Length += c.Length
			continue
		}
		bar = append(bar, c)
	}
	return bar
}

// OwnForm is the name of a form whose chords the teacher wrote.
const OwnForm = "own"

// numerals by degree, as they are written: the major scale, and flats for the others.
func numerals() [12]string {
	return [12]string{"I", "bII", "II", "bIII", "III", "IV", "bV", "V", "bVI", "VI", "bVII", "VII"}
}

// chord reads "bVI7", "iv" or "E7".
func (p *parser) chord(name string) (Chord, bool) {
	name = strings.NewReplacer("♭", "b", "♯", "#").Replace(name)
	root := strings.TrimRight(name, "m7")
	suffix := name[len(root):]
	quality := slices.Index([]string{"7", "", "m", "m7"}, suffix)
	if quality < 0 || root == "" {
		return Chord{}, false
	}
	flat, numeral := strings.CutPrefix(root, "b")
	if !numeral || flat == "" {
		flat = root
	}
	if flat == strings.ToLower(flat) && strings.Trim(flat, "iv") == "" {
		// Small numerals are minor chords, and say so without an m.
		if suffix != "" && suffix != "7" {
			return Chord{}, false
		}
		quality = int(map[string]Quality{"": Minor, "7": MinorSeventh}[suffix])
		root = root[:len(root)-len(flat)] + strings.ToUpper(flat)
	}
	all := numerals()
	if degree := slices.Index(all[:], root); degree >= 0 {
		return Chord{Degree: degree, Quality: Quality(quality)}, true
	}
	if root == "#IV" {
		return Chord{Degree: 6, Quality: Quality(quality)}, true
	}
	class, ok := pitchClass(root)
	if !ok {
		return Chord{}, false
	}
	return Chord{Degree: (class - p.lesson.Tonic() + 24) % 12, Quality: Quality(quality)}, true
}

// pitchClass reads the name of a note.
func pitchClass(name string) (int, bool) {
	class, ok := map[byte]int{'C': 0, 'D': 2, 'E': 4, 'F': 5, 'G': 7, 'A': 9, 'B': 11}[name[0]]
	switch name[1:] {
	case "":
	case "b":
		class += 11
	case "#":
		class++
	default:
		ok = false
	}
	return class % 12, ok
}

// lick reads a section, and reports whether all of its tab was read.
func (p *parser) lick(s section) (Lick, bool) {
	k := Lick{}
	seen := map[string]bool{}
	for _, e := range s.entries {
		if seen[e.key] {
			p.refuse(e.at, "the line "+e.key+" again", "each line once in a lick")
			continue
		}
		seen[e.key] = true
		switch e.key {
		case "lick":
			k.Title = p.title(e)
		case "words":
			k.Words = p.words(e)
		case "bars":
			k.Bar, k.Bars = p.bars(e)
		case "level":
			k.Level = p.level(e)
		default:
			p.unknown(e, "lick, bars, words or level in a lick; the head stands before the first lick")
		}
	}
	if !seen["bars"] {
		p.refuse(s.entries[0].at, "no bars", "a line such as bars: 1-2 under the title, with the bars of the form that the lick fills")
	}
	ok := p.tune(&k, s)
	return k, ok
}

func (p *parser) level(e entry) Level {
	for v := Beginner; v <= Strong; v++ {
		if strings.EqualFold(e.value, v.String()) {
			return v
		}
	}
	p.refuse(e.from, value(e), "beginner, steady or strong")
	return Beginner
}

// String is the level as it is written in a lesson.
func (v Level) String() string { return drill.Grade(v).String() }

// bars reads "3" or "1-2".
func (p *parser) bars(e entry) (first, count int) {
	from, to, span := strings.Cut(strings.NewReplacer(" ", "", "–", "-", "−", "-").Replace(e.value), "-")
	if !span {
		to = from
	}
	a, ok := plain(from)
	b, also := plain(to)
	if !ok || !also || a != math.Trunc(a) || b != math.Trunc(b) || a < 1 || b < a || b > MaxBars {
		p.refuse(e.from, value(e), fmt.Sprintf("bars of the form, as 3 or 1-2, up to %d", MaxBars))
		return 0, 0
	}
	return int(a), int(b-a) + 1
}
