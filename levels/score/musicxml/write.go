package musicxml

import (
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/score"
)

const (
	headField = score.Prefix + "-lesson" // name of the miscellaneous field with the head
	markType  = score.Prefix + "-note"   // type of the playback element with a note's mark
	header    = xml.Header + `<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" "http://www.musicxml.org/dtds/partwise.dtd">` + "\n"
	harmonica = 23 // General MIDI program, from 1
)

// Write writes lick number lick of a lesson, from 0, or the whole chorus
// ([score.Chorus]), as score-partwise.
func Write(w io.Writer, l lesson.Lesson, lick int) error {
	line, err := score.Lay(l, lick)
	if err != nil {
		return err
	}
	r := writer{line: line, twelve: l.Feel.Kind == lesson.Triplet, key: score.NewKey(l.Tonic(), line.Minor())}
	title := l.Title
	if lick != score.Chorus {
		title += ": " + l.Licks[lick].Title
	}
	const instrument = "P1-I1"
	s := scoreXML{Version: "4.0", WorkTitle: title,
		Identification: &identification{Software: "Reedwell", Misc: []field{{headField, line.Head().String()}}},
		PartList: partList{[]scorePart{{ID: "P1", Name: "Harmonica in " + l.Key.String(),
			Instrument: &scoreInstrument{instrument, "Harmonica", "wind.reed.harmonica"},
			MIDI:       &midiInstrument{instrument, 1, harmonica}}}},
		Parts: []part{{ID: "P1", Measures: r.measures()}}}
	if _, err := io.WriteString(w, header); err != nil {
		return fmt.Errorf("writing MusicXML: %w", err)
	}
	e := xml.NewEncoder(w)
	e.Indent("", " ")
	if err := e.Encode(s); err != nil {
		return fmt.Errorf("writing MusicXML: %w", err)
	}
	if _, err := io.WriteString(w, "\n"); err != nil {
		return fmt.Errorf("writing MusicXML: %w", err)
	}
	return nil
}

type writer struct {
	line   score.Line
	twelve bool
	key    score.KeySignature
}

// A chunk is one sign on the page: a part of a note, or of a rest.
type chunk struct {
	score.Value
	note        int // of the line; -1 for a rest
	first, last bool
	bracket     int // of its triplet; 0: none
}

// chunks are all signs from the pickup to the end.
func (r *writer) chunks() []chunk {
	var all []chunk
	add := func(from, to lesson.Ticks, note int) {
		values := score.Values(from, to, r.twelve)
		for i, v := range values {
			all = append(all, chunk{Value: v, note: note, first: i == 0, last: i == len(values)-1})
		}
	}
	at := -r.line.Pickup
	for i, n := range r.line.Notes {
		add(at, n.Start, -1)
		add(n.Start, n.End(), i)
		at = n.End()
	}
	add(at, r.line.End(), -1)
	values := make([]score.Value, len(all))
	for i, c := range all {
		values[i] = c.Value
	}
	for i, g := range score.Group(values) {
		all[i].bracket = g
	}
	return all
}

func (r *writer) measures() []measure {
	chunks := r.chunks()
	beams := r.beams(chunks)
	var all []measure
	current := lesson.Ticks(-1 << 40)
	altered := map[string]int{}
	var m *measure
	for i, c := range chunks {
		if bar := floor(c.Start, lesson.Bar); bar != current {
			current = bar
			altered = map[string]int{}
			number := measure{Number: strconv.Itoa(int(bar/lesson.Bar) + 1)}
			if bar < 0 {
				number = measure{Number: "0", Implicit: "yes"}
			}
			all = append(all, number)
			m = &all[len(all)-1]
			if len(all) == 1 {
				r.opening(m)
			}
			r.signs(m, max(bar, 0), bar+lesson.Bar)
		}
		m.Items = append(m.Items, r.notes(chunks, i, beams[i], altered)...)
	}
	m.Items = append(m.Items, &barline{Location: "right", Style: "light-heavy"})
	return all
}

func floor(t, unit lesson.Ticks) lesson.Ticks { return t - (t%unit+unit)%unit }

// opening is what stands at the very beginning: signatures, tempo and feel.
func (r *writer) opening(m *measure) {
	l := r.line.Lesson
	mode := "major"
	if r.key.Minor {
		mode = "minor"
	}
	a := &attributes{Divisions: strconv.Itoa(int(score.Whole(r.twelve) / 4)), Key: &key{&r.key.Fifths, mode},
		Time: &timing{"4", "4"}, Clef: &clef{"G", 2}}
	beat := &metronome{Unit: "quarter", PerMinute: number(l.Tempo)}
	quarters := l.Tempo
	if r.twelve {
		a.Time = &timing{"12", "8"}
		beat.Dots = make([]struct{}, 1)
		quarters *= 1.5
	}
	s := &sound{Tempo: number(quarters)}
	d := &direction{Placement: "above", Types: []directionType{{Metronome: beat}}, Sound: s}
	switch l.Feel.Kind {
	case lesson.Straight:
		s.Swing = &swing{Straight: &struct{}{}}
	case lesson.Shuffle:
		// The standard counts in whole numbers.
		first, second := int(math.Round(l.Feel.Ratio*100)), 100
		for _, f := range []int{2, 2, 5, 5} {
			if first%f == 0 && second%f == 0 {
				first, second = first/f, second/f
			}
		}
		s.Swing = &swing{First: first, Second: second, Type: "eighth"}
		d.Types = append([]directionType{{Words: []string{"Shuffle"}}}, d.Types...)
	}
	m.Items = append(m.Items, a, d)
}

// number is a decimal as XML Schema has it, without an exponent.
func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// signs are chord symbols and the titles of licks of a bar, from the beginning of the bar.
func (r *writer) signs(m *measure, from, to lesson.Ticks) {
	for i, k := range r.line.Lesson.Licks {
		at := lesson.Ticks(k.Bar-1) * lesson.Bar
		if r.line.Lick == i {
			at = 0
		} else if r.line.Lick != score.Chorus {
			continue
		}
		if at != from || to <= 0 {
			continue
		}
		// Two directions: programs keep only one kind of a mixed one.
		if k.Title != "" {
			m.Items = append(m.Items, &direction{Placement: "above", Types: []directionType{{Rehearsal: []string{k.Title}}}})
		}
		if k.Words != "" {
			m.Items = append(m.Items, &direction{Placement: "above", Types: []directionType{{Words: []string{k.Words}}}})
		}
	}
	for _, c := range r.line.Chords {
		if c.Start < from || c.Start >= to {
			continue
		}
		s := r.key.Class(c.Root)
		text := c.Quality.Suffix()
		h := &harmony{Root: &root{string(s.Step), float64(s.Alter)}, Kind: kind{&text, kindName(c.Quality)}}
		if c.Start > from {
			h.Offset = strconv.Itoa(int(c.Start - from))
		}
		m.Items = append(m.Items, h)
	}
}

func kindName(q lesson.Quality) string {
	return [...]string{"dominant", "major", "minor", "minor-seventh"}[q]
}

// typeName is the standard's name of a note value.
func typeName(base int) string {
	return map[int]string{1: "whole", 2: "half", 4: "quarter", 8: "eighth", 16: "16th", 32: "32nd", 64: "64th"}[base]
}

// notes are the elements of one sign: a rest, or a note for each hole.
func (r *writer) notes(chunks []chunk, i int, beams []beam, altered map[string]int) []any {
	c := chunks[i]
	base := note{Duration: strconv.Itoa(int(c.Length)), Voice: "1", Type: typeName(c.Base)}
	if c.Dotted {
		base.Dots = make([]struct{}, 1)
	}
	if c.Actual > 0 {
		base.Modified = &timeModification{c.Actual, c.Normal}
	}
	var around notations // of the sign as a whole
	if c.bracket > 0 {
		if i == 0 || chunks[i-1].bracket != c.bracket {
			around.Tuplets = append(around.Tuplets, numbered{"start", 1})
		}
		if i+1 == len(chunks) || chunks[i+1].bracket != c.bracket {
			around.Tuplets = append(around.Tuplets, numbered{"stop", 1})
		}
	}
	if c.note < 0 {
		base.Rest = &struct{}{}
		if len(around.Tuplets) > 0 {
			base.Notations = []notations{around}
		}
		return []any{&base}
	}
	n := r.line.Notes[c.note]
	joined := r.joined(c.note)
	next := lesson.Tongued
	if c.note+1 < len(r.line.Notes) {
		next = r.joined(c.note + 1)
	}
	if c.first && joined == lesson.Slurred && next != lesson.Slurred {
		around.Slurs = append(around.Slurs, numbered{"stop", 1})
	}
	if c.last && next == lesson.Slurred && joined != lesson.Slurred {
		around.Slurs = append(around.Slurs, numbered{"start", 1})
	}
	if c.first && joined == lesson.Glide {
		around.Slides = append(around.Slides, numbered{"stop", 1})
	}
	if c.last && next == lesson.Glide {
		around.Slides = append(around.Slides, numbered{"start", 1})
	}
	if c.first && n.Scoop {
		around.Articulations = &articulations{&struct{}{}}
	}
	var all []any
	for j, hole := range n.Holes {
		one := base
		in := notations{}
		if j == 0 {
			in = around
			one.Beams = beams
			if c.first {
				tab := score.Tab(n.Holes)
				if n.Warbles() {
					tab += "/" + n.Warble.Tab()
				}
				one.Lyrics = []lyric{{"1", []string{tab}}}
				one.Play = &play{[]otherPlay{{markType, r.line.Mark(n, true).String()}}}
			}
		} else {
			one.Chord = &struct{}{}
		}
		s := r.key.Spell(r.line.Lesson.Harp().MIDI(hole))
		one.Pitch = &pitch{string(s.Step), float64(s.Alter), s.Octave}
		place := s.Name()[:1] + strconv.Itoa(s.Octave)
		now, seen := altered[place]
		if !seen {
			now = r.key.Alter(s.Step)
		}
		if s.Alter != now && c.first {
			one.Accidental = map[int]string{-1: "flat", 0: "natural", 1: "sharp"}[s.Alter]
			altered[place] = s.Alter
		}
		if !c.first {
			one.Ties = append(one.Ties, startStop{"stop"})
			in.Tied = append(in.Tied, startStop{"stop"})
		}
		if !c.last {
			one.Ties = append(one.Ties, startStop{"start"})
			in.Tied = append(in.Tied, startStop{"start"})
		}
		if c.first {
			in.Technical = append(in.Technical, tab(hole, joined == lesson.Glide))
		}
		if !c.first && j > 0 && len(in.Tied) == 0 {
			one.Notations = nil
		} else if !in.empty() {
			one.Notations = []notations{in}
		}
		all = append(all, &one)
	}
	return all
}

func (n notations) empty() bool {
	return len(n.Tied)+len(n.Slurs)+len(n.Tuplets)+len(n.Slides)+len(n.Technical) == 0 && n.Articulations == nil
}

// joined is how a note begins on the page: a slur or slide needs a note that it touches.
func (r *writer) joined(i int) lesson.Join {
	n := r.line.Notes[i]
	if i == 0 || r.line.Notes[i-1].End() != n.Start {
		return lesson.Tongued
	}
	return n.Join
}

// tab is a hole in the signs that the standard has: fingering, arrow, bend.
func tab(n harp.Note, glides bool) technical {
	t := technical{Fingering: []string{strconv.Itoa(n.Hole)}, Arrow: &arrow{"up"}}
	if n.Breath == harp.Draw {
		t.Arrow.Direction = "down"
	}
	if n.Bend > 0 {
		b := bend{Alter: -float64(n.Bend)}
		if !glides { // bent before it sounds
			b.Pre = &struct{}{}
		}
		t.Bends = []bend{b}
	}
	return t
}

// beams joins eighths and shorter notes of a beat under beams.
func (r *writer) beams(chunks []chunk) [][]beam {
	all := make([][]beam, len(chunks))
	flags := func(i int) int {
		if i < 0 || i >= len(chunks) || chunks[i].note < 0 {
			return 0
		}
		return map[int]int{8: 1, 16: 2, 32: 3, 64: 4}[chunks[i].Base]
	}
	same := func(i, j int) bool {
		return i >= 0 && j < len(chunks) && floor(chunks[i].Start, lesson.Beat) == floor(chunks[j].Start, lesson.Beat)
	}
	for i := range chunks {
		before, after := 0, 0
		if same(i-1, i) {
			before = flags(i - 1)
		}
		if same(i, i+1) {
			after = flags(i + 1)
		}
		if before == 0 && after == 0 {
			continue
		}
		for level := 1; level <= flags(i); level++ {
			text := "continue"
			switch {
			case before < level && after < level && before > 0:
				text = "backward hook"
			case before < level && after < level:
				text = "forward hook"
			case before < level:
				text = "begin"
			case after < level:
				text = "end"
			}
			all[i] = append(all[i], beam{level, text})
		}
	}
	return all
}

// kindOf reads a chord's kind; text is what the page shows.
func kindOf(k string, text *string) (lesson.Quality, bool) {
	k = strings.TrimSpace(k)
	switch {
	case strings.HasPrefix(k, "dominant"), strings.HasPrefix(k, "augmented"), strings.HasPrefix(k, "suspended") && text != nil && strings.HasPrefix(*text, "7"):
		return lesson.Seventh, true
	case k == "minor", k == "minor-sixth", k == "diminished":
		return lesson.Minor, true
	case strings.HasPrefix(k, "minor"), k == "half-diminished", k == "diminished-seventh":
		return lesson.MinorSeventh, true
	case strings.HasPrefix(k, "major"), k == "power", strings.HasPrefix(k, "suspended"):
		return lesson.Major, true
	}
	return 0, false
}
