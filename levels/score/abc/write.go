package abc

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"strings"

	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/score"
)

const (
	directive   = "%%" + score.Prefix + " " // begins a line of ours
	barsPerLine = 2                         // so that tab stands under its notes on paper
	headWidth   = 160
	program     = 22 // General MIDI "Harmonica", from 0
)

// Write writes lick number lick of a lesson, from 0, or the whole chorus
// ([score.Chorus]), as one tune.
func Write(w io.Writer, l lesson.Lesson, lick int) error {
	line, err := score.Lay(l, lick)
	if err != nil {
		return err
	}
	r := writer{line: line, harp: l.Harp(), twelve: l.Feel.Kind == lesson.Triplet, key: score.NewKey(l.Tonic(), line.Minor())}
	r.head()
	r.body()
	if _, err := w.Write(r.out.Bytes()); err != nil {
		return fmt.Errorf("writing ABC: %w", err)
	}
	return nil
}

type writer struct {
	line   score.Line
	harp   harp.Harp
	twelve bool
	key    score.KeySignature
	out    bytes.Buffer
}

// text is a text on one line, with what would mean something else escaped.
func text(s string) string {
	return strings.NewReplacer(`\`, `\\`, "%", `\%`, "&", `\&`).Replace(score.Plain(s, 500))
}

func (r *writer) head() {
	l := r.line.Lesson
	title := l.Title
	if r.line.Lick != score.Chorus {
		title += ": " + l.Licks[r.line.Lick].Title
	}
	put := func(format string, args ...any) { fmt.Fprintf(&r.out, format+"\n", args...) }
	put("%%abc-2.1")
	put("X:1")
	put("T:%s", text(title))
	// Some programs keep only a few hundred characters of a line that they pass over.
	for head := r.line.Head().String(); head != ""; {
		n := min(len(head), headWidth)
		put("%slesson %s", directive, head[:n])
		head = head[n:]
	}
	put("%%%%MIDI program %d", program)
	if l.Words != "" {
		for _, row := range strings.Split(l.Words, "\n") {
			put("N:%s", text(row))
		}
	}
	put("N:%s", text(fmt.Sprintf("Harp in %s, %s. Tab: + blow, - draw, ' a half step of bend, o overbend.", l.Key, l.Position.Name())))
	feel := ""
	if l.Feel.Kind == lesson.Shuffle {
		feel = `"Shuffle" `
	}
	tempo := int(math.Round(l.Tempo))
	if r.twelve {
		put("M:12/8\nL:1/8\nQ:3/8=%d", tempo)
	} else {
		put("M:4/4\nL:1/8\nQ:%s1/4=%d", feel, tempo)
	}
	mode := ""
	if r.key.Minor {
		mode = "m"
	}
	put("K:%s%s", r.key.Tonic.Name(), mode)
}

// A chunk is one sign: a part of a note, or of a rest.
type chunk struct {
	score.Value
	note        int // of the line; -1 for a rest
	first, last bool
	group       int // of its triplet; 0: none
}

// chunks are all signs, cut also where the chord changes, since a chord symbol stands
// before a sign.
func (r *writer) chunks() []chunk {
	var all []chunk
	add := func(from, to lesson.Ticks, note int) {
		var values []score.Value
		for _, c := range r.line.Chords {
			if c.Start > from && c.Start < to {
				values = append(values, score.Values(from, c.Start, r.twelve)...)
				from = c.Start
			}
		}
		values = append(values, score.Values(from, to, r.twelve)...)
		for i, v := range values {
			all = append(all, chunk{Value: v, note: note, first: i == 0, last: i == len(values)-1})
		}
	}
	at := -r.line.Pickup
	for i, n := range r.line.Notes {
		if at < n.Start {
			add(at, n.Start, -1)
		}
		add(n.Start, n.End(), i)
		at = n.End()
	}
	if at < r.line.End() {
		add(at, r.line.End(), -1)
	}
	values := make([]score.Value, len(all))
	for i, c := range all {
		values[i] = c.Value
	}
	for i, g := range score.Group(values) {
		all[i].group = g
	}
	return all
}

func floor(t, unit lesson.Ticks) lesson.Ticks { return t - (t%unit+unit)%unit }

func (r *writer) body() {
	chunks := r.chunks()
	var music, tabs, marks strings.Builder
	flush := func() {
		fmt.Fprintf(&r.out, "%s\n", music.String())
		if tabs.Len() > 0 {
			fmt.Fprintf(&r.out, "w:%s\n", tabs.String())
		}
		if marks.Len() > 0 {
			fmt.Fprintf(&r.out, "%snotes %s\n", directive, marks.String())
		}
		music.Reset()
		tabs.Reset()
		marks.Reset()
	}
	altered := map[string]int{}
	groups := map[int]int{}
	for _, c := range chunks {
		groups[c.group]++
	}
	for i, c := range chunks {
		switch bar := floor(c.Start, lesson.Bar); {
		case i > 0 && bar == c.Start:
			altered = map[string]int{}
			music.WriteString(" |")
			if n := int(bar / lesson.Bar); n > 0 && n%barsPerLine == 0 {
				flush()
			} else {
				music.WriteString(" ")
			}
		case floor(c.Start, lesson.Beat) == c.Start && music.Len() > 0:
			music.WriteString(" ")
		}
		for _, s := range r.above(c.Start) {
			fmt.Fprintf(&music, "%q", s)
		}
		if c.group > 0 && (i == 0 || chunks[i-1].group != c.group) {
			if groups[c.group] == 3 && c.Actual == 3 {
				music.WriteString("(3")
			} else {
				fmt.Fprintf(&music, "(%d:%d:%d", c.Actual, c.Normal, groups[c.group])
			}
		}
		length := r.length(c.Value)
		if c.note < 0 {
			music.WriteString("z" + length)
			continue
		}
		n := r.line.Notes[c.note]
		here := r.breath(c.note)
		on := c.note+1 < len(r.line.Notes) && r.breath(c.note+1)
		if c.first && on && !here {
			music.WriteString("(")
		}
		music.WriteString(r.pitches(n, altered) + length)
		if !c.last {
			music.WriteString("-")
		}
		if c.last && here && !on {
			music.WriteString(")")
		}
		if !c.first {
			tabs.WriteString(" *")
			continue
		}
		tab := score.Tab(n.Holes)
		if n.Warbles() {
			tab += "/" + n.Warble.Tab()
		}
		tabs.WriteString(" " + strings.ReplaceAll(tab, "-", `\-`))
		if marks.Len() > 0 {
			marks.WriteString("; ")
		}
		marks.WriteString(r.line.Mark(n, true).String())
	}
	music.WriteString(" |]")
	flush()
}

// breath reports whether a note goes on in the breath of the one before.
func (r *writer) breath(i int) bool {
	n := r.line.Notes[i]
	return i > 0 && r.line.Notes[i-1].End() == n.Start && n.Join != lesson.Tongued
}

// above is what stands above a place: titles of licks and chord symbols.
func (r *writer) above(t lesson.Ticks) []string {
	var all []string
	for i, k := range r.line.Lesson.Licks {
		if r.line.Lick == score.Chorus && t == lesson.Ticks(k.Bar-1)*lesson.Bar || r.line.Lick == i && t == 0 {
			if title := strings.NewReplacer(`"`, "'", `\`, "/", "%", " ", "&", "+", ";", ",").Replace(score.Plain(k.Title, 200)); title != "" {
				all = append(all, "^"+title)
			}
		}
	}
	for _, c := range r.line.Chords {
		if c.Start == t {
			all = append(all, r.key.Class(c.Root).Name()+c.Quality.Suffix())
		}
	}
	return all
}

// length is a sign's length in eighths.
func (r *writer) length(v score.Value) string {
	num, den := int(v.Length), int(score.Whole(r.twelve)/8)
	if v.Actual > 0 {
		num, den = num*v.Actual, den*v.Normal
	}
	a, b := num, den
	for b > 0 {
		a, b = b, a%b
	}
	num, den = num/a, den/a
	switch {
	case den == 1 && num == 1:
		return ""
	case den == 1:
		return fmt.Sprint(num)
	}
	return fmt.Sprintf("%d/%d", num, den)
}

// pitches are the notes of a sign, with the accidentals they need in this bar.
func (r *writer) pitches(n score.Placed, altered map[string]int) string {
	var all []string
	for _, hole := range n.Holes {
		s := r.key.Spell(r.harp.MIDI(hole))
		place := fmt.Sprintf("%c%d", s.Step, s.Octave)
		now, seen := altered[place]
		if !seen {
			now = r.key.Alter(s.Step)
		}
		sign := ""
		if s.Alter != now {
			sign = map[int]string{-1: "_", 0: "=", 1: "^"}[s.Alter]
			altered[place] = s.Alter
		}
		name := string(s.Step)
		if s.Octave >= 5 {
			name = strings.ToLower(name) + strings.Repeat("'", s.Octave-5)
		} else {
			name += strings.Repeat(",", 4-s.Octave)
		}
		all = append(all, sign+name)
	}
	if len(all) == 1 {
		return all[0]
	}
	return "[" + strings.Join(all, "") + "]"
}
