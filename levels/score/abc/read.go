package abc

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"reedwell/levels/lesson"
	"reedwell/levels/score"
)

// What a file may have at most.
const (
	maxBytes = 1 << 20 // a tune has a few kilobytes
	maxBars  = 1024    // on the page
)

// A SyntaxError is something in the text that is not ABC, and where.
type SyntaxError struct {
	Line, Column int // from 1; columns count characters
	Text         string
}

// Error names the place first.
func (e *SyntaxError) Error() string {
	return fmt.Sprintf("line %d, column %d: %s", e.Line, e.Column, e.Text)
}

// Read reads the first tune of an ABC file. The error says what is wrong, where, and what
// to do.
func Read(r io.Reader) (score.Piece, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxBytes+1))
	if err != nil {
		return score.Piece{}, fmt.Errorf("reading ABC: %w", err)
	}
	if len(data) > maxBytes {
		return score.Piece{}, fmt.Errorf("reading ABC: the text is larger than %d MB; save the tune alone", maxBytes>>20)
	}
	in := reader{piece: score.Piece{Tonic: -1}, meter: score.Meter{Bar: lesson.Bar}}
	in.bars = make([]bar, 1)
	if err := in.lines(strings.ToValidUTF8(strings.TrimPrefix(string(data), "\ufeff"), "")); err != nil {
		return score.Piece{}, fmt.Errorf("reading ABC: %w", err)
	}
	if err := in.assemble(); err != nil {
		return score.Piece{}, fmt.Errorf("reading ABC: %w", err)
	}
	return in.piece, nil
}

type reader struct {
	piece   score.Piece
	meter   score.Meter
	unit    float64 // of a whole note; 0: as the meter has it
	twoFour bool    // the meter is under three quarters, which halves the unit
	tempo   float64 // as Q: has it, in notes of tempoOf a minute
	tempoOf float64 // of a whole note; 0: in units
	sharps  [7]int  // what the key does to C D E F G A B
	body    bool
	voice   string // the current one
	main    string // the one that is read
	known   bool   // which voice is read
	bars    []bar
	// The head of a file of ours, as far as it was read.
	headText string
	state
}

// A bar is what stands between two bar lines, at places counted in score.FineBeat.
type bar struct {
	repeat   score.Bar
	length   int64
	notes    []score.Sign
	chords   []score.Chord
	sections []string
}

// state is where the reader of music stands.
type state struct {
	altered  map[[2]int]int // accidentals of this bar by step and octave
	tied     map[[2]int]int // the note that is tied on, likewise
	ties     bool
	slurs    int     // that begin at the next note
	broken   float64 // what a broken rhythm leaves the next note; 0: none
	tuplet   float64 // how much each of its notes lasts
	left     int     // of a tuplet's notes
	endings  []int
	lastNote [2]int   // bar and note that was read last, for broken rhythm; -1: a rest, or none
	lastRest int64    // its length
	row      [][3]int // of the last line of music: bar, note (-1: a bar line), and whether it is tied on
}

func (in *reader) bar() *bar { return &in.bars[len(in.bars)-1] }

// lines goes through the text line by line.
func (in *reader) lines(text string) error {
	in.altered, in.lastNote = map[[2]int]int{}, [2]int{-1, -1}
	tune := false
	for i, row := range strings.Split(text, "\n") {
		row = strings.TrimRight(row, "\r")
		if rest, ok := strings.CutPrefix(row, directive); ok {
			in.ours(rest)
			continue
		}
		if strings.HasPrefix(row, "%") {
			continue
		}
		row = strings.TrimRight(comment(row), " \t")
		switch {
		case strings.TrimSpace(row) == "":
			if in.body && in.music() {
				return nil // an empty line ends a tune
			}
			continue
		case len(row) >= 2 && row[1] == ':' && (row[0] >= 'A' && row[0] <= 'Z' || row[0] >= 'a' && row[0] <= 'z'):
			if row[0] == 'X' {
				if tune && in.music() {
					in.piece.Remark(0, "the file holds more than one tune; the first is read")
					return nil
				}
				tune = true
			}
			if err := in.field(row[0], strings.TrimSpace(row[2:])); err != nil {
				return &SyntaxError{i + 1, 1, err.Error()}
			}
			continue
		case !in.body:
			continue // text before the tune
		}
		if !in.listens() {
			continue
		}
		in.row = in.row[:0]
		m := music{in: in, row: []rune(row), line: i + 1}
		if err := m.read(); err != nil {
			return err
		}
	}
	return nil
}

// music reports whether any music was read.
func (in *reader) music() bool { return len(in.bars) > 1 || in.bar().length > 0 }

// listens reports whether the current voice is the one that is read: the first with music.
func (in *reader) listens() bool {
	if !in.known {
		in.known, in.main = true, in.voice
	}
	return in.voice == in.main
}

// comment cuts off what stands behind a %.
func comment(row string) string {
	for i := range len(row) {
		if row[i] == '%' && (i == 0 || row[i-1] != '\\') {
			return row[:i]
		}
	}
	return row
}

// plain undoes the escapes of text.
func plain(s string) string {
	return strings.NewReplacer(`\\`, `\`, `\%`, "%", `\&`, "&", `\"`, `"`).Replace(s)
}

// ours takes a line of ours.
func (in *reader) ours(rest string) {
	kind, rest, _ := strings.Cut(rest, " ")
	switch kind {
	case "lesson":
		in.headText += rest
	case "notes":
		if !in.listens() {
			return
		}
		marks := strings.Split(rest, ";")
		var notes [][3]int
		for _, at := range in.row {
			if at[1] >= 0 && at[2] == 0 {
				notes = append(notes, at)
			}
		}
		if len(marks) != len(notes) {
			return // notes were added or taken away; holes are found anew
		}
		for i, at := range notes {
			in.bars[at[0]].notes[at[1]].Mark = strings.TrimSpace(marks[i])
		}
	}
}

// field reads one information field, of the header or between lines of music.
func (in *reader) field(name byte, value string) error {
	switch name {
	case 'T':
		if in.piece.Title == "" {
			in.piece.Title = plain(value)
		}
	case 'W':
		in.piece.Words = strings.TrimSpace(in.piece.Words + " " + plain(value))
	case 'L':
		v, err := fraction(value)
		if err != nil || v <= 0 || v > 1 {
			return fmt.Errorf("L:%.20s: the unit length is a fraction, as 1/8", value)
		}
		in.unit = v
	case 'M':
		return in.time(value)
	case 'Q':
		return in.speed(value)
	case 'R':
		in.shuffle(value)
	case 'P':
		if in.body && in.listens() {
			in.bar().sections = append(in.bar().sections, plain(value))
		}
	case 'K':
		if err := in.key(value); err != nil {
			return err
		}
		if in.headText != "" && !in.body {
			h, err := score.ParseHead(in.headText)
			if err != nil {
				in.piece.Remark(0, "%v; it is read as any other file", err)
			} else {
				in.piece.Head = &h
			}
		}
		in.body = true
	case 'V':
		in.voice, _, _ = strings.Cut(value, " ")
	case 'w':
		if in.body && in.listens() {
			in.lyrics(value)
		}
	}
	return nil
}

// shuffle looks for a feel in words.
func (in *reader) shuffle(words string) {
	low := strings.ToLower(words)
	if strings.Contains(low, "shuffle") || strings.Contains(low, "swing") {
		in.piece.Feel = lesson.Feel{Kind: lesson.Shuffle, Ratio: lesson.DefaultRatio}
	}
}

// fraction reads "1/8" or "1".
func fraction(s string) (float64, error) {
	num, den, over := strings.Cut(strings.TrimSpace(s), "/")
	a, err := strconv.Atoi(strings.TrimSpace(num))
	b := 1
	if err == nil && over {
		b, err = strconv.Atoi(strings.TrimSpace(den))
	}
	if err != nil || a < 0 || b < 1 || a > 1024 || b > 1024 {
		return 0, fmt.Errorf("%.20q is no fraction", s)
	}
	return float64(a) / float64(b), nil
}

func (in *reader) time(value string) error {
	beats, unit := 4, 4
	switch value {
	case "C", "none", "":
	case "C|":
		beats, unit = 2, 2
	default:
		a, b, ok := strings.Cut(value, "/")
		var err1, err2 error
		beats, err1 = strconv.Atoi(strings.TrimSpace(a))
		unit, err2 = strconv.Atoi(strings.TrimSpace(b))
		if !ok || err1 != nil || err2 != nil {
			return fmt.Errorf("M:%.20s: the meter is a fraction, as 4/4 or 12/8", value)
		}
	}
	m, err := score.NewMeter(beats, unit)
	if err != nil {
		return err
	}
	if in.music() && m.Twelve != in.meter.Twelve {
		return fmt.Errorf("the meter changes to %d/%d; save the parts as tunes of their own", beats, unit)
	}
	in.meter = m
	in.twoFour = 4*beats < 3*unit
	return nil
}

// speed reads Q: in its forms: "1/4=90", "\"Slow\" 3/8=60", "90".
func (in *reader) speed(value string) error {
	for {
		a := strings.IndexByte(value, '"')
		if a < 0 {
			break
		}
		b := strings.IndexByte(value[a+1:], '"')
		if b < 0 {
			return fmt.Errorf("Q:%.40s: a text begins and does not end", value)
		}
		in.shuffle(value[a+1 : a+1+b])
		value = value[:a] + value[a+1+b+1:]
	}
	value = strings.TrimSpace(value)
	if value == "" || in.tempo != 0 {
		return nil
	}
	notes, speed, ok := strings.Cut(value, "=")
	in.tempoOf = 0
	if ok {
		for _, f := range strings.Fields(notes) {
			if v, err := fraction(f); err == nil {
				in.tempoOf += v
			}
		}
	} else {
		speed = value
	}
	v, err := strconv.ParseFloat(strings.TrimSpace(speed), 64)
	if err != nil || !(v > 0 && v < 1e4) {
		return fmt.Errorf("Q:%.40s: the tempo is as 1/4=90", value)
	}
	in.tempo = v
	return nil
}

// fifths are the sharps of the major key on a name; flats are negative.
func fifths(name string) (int, bool) {
	n, ok := map[string]int{"Cb": -7, "Gb": -6, "Db": -5, "Ab": -4, "Eb": -3, "Bb": -2, "F": -1, "C": 0,
		"G": 1, "D": 2, "A": 3, "E": 4, "B": 5, "F#": 6, "C#": 7, "G#": 8, "D#": 9, "A#": 10, "Fb": -8}[name]
	return n, ok
}

func (in *reader) key(value string) error {
	words := strings.Fields(value)
	if len(words) == 0 || words[0] == "none" || words[0] == "HP" || words[0] == "Hp" || strings.Contains(words[0], "=") {
		if len(words) > 0 && (words[0] == "HP" || words[0] == "Hp") {
			return fmt.Errorf("K:%s is for the bagpipes; name the key, as K:G", words[0])
		}
		return nil
	}
	name := words[0]
	mode := ""
	end := 1
	if len(name) > 1 && (name[1] == '#' || name[1] == 'b') {
		end = 2
	}
	if name[0] < 'A' || name[0] > 'G' {
		if strings.HasPrefix(name, "clef") {
			return nil
		}
		return fmt.Errorf("K:%.20s: the key is a note and a mode, as G, Em or D mix", value)
	}
	name, mode = name[:end], name[end:]
	rest := words[1:]
	if mode == "" && len(rest) > 0 && !strings.ContainsAny(rest[0], "=^_") {
		mode, rest = rest[0], rest[1:]
	}
	if len(mode) > 3 {
		mode = mode[:3]
	}
	n, _ := fifths(name)
	change, ok := map[string]int{"": 0, "maj": 0, "ion": 0, "m": -3, "min": -3, "aeo": -3, "mix": -1, "dor": -2, "phr": -4, "lyd": 1, "loc": -5}[strings.ToLower(mode)]
	if !ok {
		if mode != "exp" && mode != "tre" && mode != "bas" { // a clef
			return fmt.Errorf("K:%.20s: modes are maj, min, mix, dor, phr, lyd, loc", value)
		}
		change = 0
	}
	if in.piece.Tonic < 0 {
		s := score.Spelling{Step: name[0]}
		if end == 2 {
			s.Alter = map[byte]int{'#': 1, 'b': -1}[name[1]]
		}
		in.piece.Tonic = (s.MIDI() + 24) % 12
	}
	n += change
	in.sharps = [7]int{}
	if mode == "exp" {
		n = 0
	}
	const order = "FCGDAEB"
	for i := 0; i < n && i < 7; i++ {
		in.sharps[step(order[i])]++
	}
	for i := 0; i < -n && i < 7; i++ {
		in.sharps[step(order[6-i])]--
	}
	for _, w := range rest {
		if len(w) == 2 && strings.ContainsRune("abcdefg", rune(w[1]|32)) {
			if a, ok := map[byte]int{'^': 1, '_': -1, '=': 0}[w[0]]; ok {
				in.sharps[step(w[1]&^32)] = a
			}
		}
	}
	return nil
}

// step is a name's place in C D E F G A B.
func step(name byte) int { return strings.IndexByte("CDEFGAB", name) }

// lyrics gives the notes of the last line of music their words; those that are tab stay.
func (in *reader) lyrics(value string) {
	i := 0
	next := func() (note *score.Sign, ok bool) {
		for i < len(in.row) {
			at := in.row[i]
			i++
			if at[1] >= 0 {
				return &in.bars[at[0]].notes[at[1]], true
			}
		}
		return nil, false
	}
	// "\-" is a hyphen, a plain one parts syllables.
	value = strings.ReplaceAll(value, `\-`, "\x00")
	for _, word := range strings.Fields(value) {
		if word == "|" {
			for i < len(in.row) && in.row[i][1] >= 0 {
				i++
			}
			continue
		}
		for _, syllable := range strings.Split(word, "-") {
			skip := strings.Trim(syllable, "*_") == ""
			if skip {
				for range max(1, len(syllable)) {
					next()
				}
				continue
			}
			note, ok := next()
			if !ok {
				return
			}
			tab := strings.ReplaceAll(syllable, "\x00", "-")
			if _, err := score.ParseTab(tab); err == nil {
				note.Tab = tab
			}
		}
	}
}

// unitLength is the unit as a part of a whole note.
func (in *reader) unitLength() float64 {
	switch {
	case in.unit > 0:
		return in.unit
	case in.twoFour:
		return 1.0 / 16
	}
	return 1.0 / 8
}

// fine is a part of a whole note, counted in score.FineBeat.
func (in *reader) fine(whole float64) int64 {
	return int64(math.Round(whole * float64(score.Whole(in.meter.Twelve)) / float64(lesson.Beat) * float64(score.FineBeat)))
}

// assemble lays the bars out in the order in which they are played.
func (in *reader) assemble() error {
	p := &in.piece
	if in.meter.Twelve {
		p.Feel = lesson.Feel{Kind: lesson.Triplet}
	}
	if last := in.bar(); last.length == 0 && len(in.bars) > 1 {
		last.repeat.Times = 0
		in.bars = in.bars[:len(in.bars)-1]
	}
	if in.tempo > 0 {
		of := in.tempoOf
		if of == 0 {
			of = in.unitLength()
		}
		p.Tempo = in.tempo * of * float64(score.Whole(in.meter.Twelve)) / float64(lesson.Beat)
	}
	var repeats []score.Bar
	for _, b := range in.bars {
		repeats = append(repeats, b.repeat)
	}
	order, err := score.Unfold(repeats)
	if err != nil {
		return err
	}
	const part = score.FineBeat / int64(lesson.Beat)
	full := int64(in.meter.Bar) * part
	if first := in.bars[0]; first.length < full && len(in.bars) > 1 {
		p.Pickup, _ = score.Snap(first.length)
	}
	at := -int64(p.Pickup) * part
	a := score.Assembler{Piece: p}
	for _, i := range order {
		b := in.bars[i]
		t, _ := score.Snap(at)
		for _, s := range b.sections {
			p.Sections = append(p.Sections, score.Section{At: t, Title: s})
		}
		for _, c := range b.chords {
			c.Start += t
			p.Chords = append(p.Chords, c)
		}
		for _, n := range b.notes {
			n.At += at
			a.Add(n)
			if len(p.Notes) > score.MaxNotes {
				return score.ErrNotes
			}
		}
		if at += b.length; at > int64(maxBars)*int64(lesson.Bar)*part {
			return score.ErrBars
		}
	}
	t, _ := score.Snap(at)
	p.Bars = int((t + lesson.Bar - 1) / lesson.Bar)
	if h := p.Head; h != nil {
		l := &h.Lesson
		switch {
		case (l.Feel.Kind == lesson.Triplet) != in.meter.Twelve:
			p.Remark(0, "the meter was changed in the file; it is read as any other file")
			p.Head = nil
		case p.Tempo > 0 && math.Round(l.Tempo) != math.Round(p.Tempo):
			p.Remark(0, "the tempo was changed in the file to %.4g", p.Tempo)
			l.Tempo = p.Tempo
		}
	}
	return p.Check()
}
