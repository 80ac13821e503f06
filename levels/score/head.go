package score

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
)

// A Head is what a file of ours says of its lesson besides the notes.
type Head struct {
	Lesson lesson.Lesson // its licks without notes; of a single lick only that one
	Lick   bool          // the file holds a single lick; place 0 is its first full bar
}

// headJSON is a Head as one line of JSON. Names are short: a file should stay readable.
type headJSON struct {
	Version  int           `json:"v"`
	Title    string        `json:"title"`
	Words    string        `json:"words,omitempty"`
	Harp     harp.Key      `json:"harp"`
	Position harp.Position `json:"position"`
	Tempo    float64       `json:"tempo"`
	Feel     string        `json:"feel"`
	Ratio    float64       `json:"ratio,omitempty"`
	Form     string        `json:"form"`
	Bars     [][]chordJSON `json:"bars"`
	A4       float64       `json:"a4,omitempty"`
	Tuning   harp.Tuning   `json:"tuning"`
	Unit     lesson.Ticks  `json:"unit"`
	Single   bool          `json:"single,omitempty"`
	Licks    []lickJSON    `json:"licks"`
}

type chordJSON struct {
	Degree  int            `json:"d"`
	Quality lesson.Quality `json:"q"`
	Length  lesson.Ticks   `json:"n"`
}

type lickJSON struct {
	Title  string       `json:"title"`
	Words  string       `json:"words,omitempty"`
	Bar    int          `json:"bar"`
	Bars   int          `json:"bars"`
	Pickup lesson.Ticks `json:"pickup,omitempty"`
	Level  lesson.Level `json:"level,omitempty"`
}

// Head is the head of a file with the line.
func (l Line) Head() Head {
	h := Head{l.Lesson, l.Lick != Chorus}
	h.Lesson.Licks = nil
	for i, k := range l.Lesson.Licks {
		if l.Lick == Chorus || l.Lick == i {
			k.Notes = nil
			h.Lesson.Licks = append(h.Lesson.Licks, k)
		}
	}
	return h
}

// Mark is the mark of a note of the line: without place when bare.
func (l Line) Mark(n Placed, bare bool) Mark {
	m := Mark{Note: n.Note, Lick: n.Lick, Placed: !bare}
	if l.Lick != Chorus {
		m.Lick = 0
	}
	return m
}

func feelName(k lesson.Kind) string { return [...]string{"straight", "shuffle", "12/8"}[k] }

// String writes the head as one line of JSON in ASCII, without "%", "<", ">" and "&", which
// mean something in the formats that carry it.
func (h Head) String() string {
	l := h.Lesson
	j := headJSON{Version: 1, Title: l.Title, Words: l.Words, Harp: l.Key, Position: l.Position, Tempo: l.Tempo,
		Feel: feelName(l.Feel.Kind), Ratio: l.Feel.Ratio, Form: l.Form.Name, A4: l.A4, Tuning: l.Tuning, Unit: l.Unit, Single: h.Lick}
	for _, b := range l.Form.Bars {
		var bar []chordJSON
		for _, c := range b {
			bar = append(bar, chordJSON(c))
		}
		j.Bars = append(j.Bars, bar)
	}
	for _, k := range l.Licks {
		j.Licks = append(j.Licks, lickJSON{k.Title, k.Words, k.Bar, k.Bars, k.Pickup, k.Level})
	}
	text, err := json.Marshal(j)
	if err != nil {
		panic("score: " + err.Error()) // a tempo that is no number: no lesson has it
	}
	var b strings.Builder
	for _, r := range string(text) {
		switch {
		case r == '%':
			b.WriteString(`\u0025`)
		case r >= 0x10000:
			r -= 0x10000
			fmt.Fprintf(&b, `\u%04x\u%04x`, 0xd800+r>>10, 0xdc00+r&0x3ff)
		case r >= utf8.RuneSelf || r == 0x7f:
			fmt.Fprintf(&b, `\u%04x`, r)
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// maxHead is the longest head in bytes that is read: a long lesson has a few kilobytes.
const maxHead = 256 << 10

// ParseHead reads what String writes, and checks it.
func ParseHead(text string) (Head, error) {
	if len(text) > maxHead {
		return Head{}, fmt.Errorf("the lesson's head is longer than %d bytes", maxHead)
	}
	var j headJSON
	if err := json.Unmarshal([]byte(text), &j); err != nil {
		return Head{}, fmt.Errorf("the lesson's head: %w", err)
	}
	h := Head{Lick: j.Single, Lesson: lesson.Lesson{Title: j.Title, Words: j.Words, Key: j.Harp, Position: j.Position, Tempo: j.Tempo,
		Form: lesson.Form{Name: j.Form}, A4: j.A4, Tuning: j.Tuning, Unit: j.Unit, Feel: lesson.Feel{Kind: -1, Ratio: j.Ratio}}}
	l := &h.Lesson
	for _, k := range []lesson.Kind{lesson.Straight, lesson.Shuffle, lesson.Triplet} {
		if feelName(k) == j.Feel {
			l.Feel.Kind = k
		}
	}
	for _, b := range j.Bars {
		var bar []lesson.Chord
		for _, c := range b {
			bar = append(bar, lesson.Chord(c))
		}
		l.Form.Bars = append(l.Form.Bars, bar)
	}
	for _, k := range j.Licks {
		l.Licks = append(l.Licks, lesson.Lick{Title: k.Title, Words: k.Words, Bar: k.Bar, Bars: k.Bars, Pickup: k.Pickup, Level: k.Level})
	}
	if j.Version != 1 {
		return Head{}, fmt.Errorf("the lesson's head is of version %d; this program reads version 1", j.Version)
	}
	if err := h.check(); err != nil {
		return Head{}, fmt.Errorf("the lesson's head: %w", err)
	}
	return h, nil
}

// check reports what no lesson of ours says of itself.
func (h Head) check() error {
	l := h.Lesson
	switch {
	case !l.Position.Valid():
		return harp.ErrPosition
	case !(l.Tempo >= drill.MinTempo && l.Tempo <= drill.MaxTempo):
		return drill.ErrTempo
	case l.Feel.Kind < 0:
		return errors.New("feels are straight, shuffle and 12/8")
	case l.Feel.Kind == lesson.Shuffle && !(l.Feel.Ratio >= lesson.MinRatio && l.Feel.Ratio <= lesson.MaxRatio),
		l.Feel.Kind != lesson.Shuffle && l.Feel.Ratio != 0:
		return fmt.Errorf("a shuffle, and nothing else, has a ratio from %g to %g", lesson.MinRatio, lesson.MaxRatio)
	case len(l.Form.Bars) == 0 || len(l.Form.Bars) > maxBars:
		return fmt.Errorf("a form has 1 to %d bars", maxBars)
	case l.Unit < 0 || l.Unit > lesson.Bar:
		return errors.New("the unit is at most a bar")
	case len(l.Licks) > maxLicks || h.Lick && len(l.Licks) != 1:
		return fmt.Errorf("a lesson has at most %d licks, a file of a single lick one", maxLicks)
	}
	for i, b := range l.Form.Bars {
		whole := lesson.Ticks(0)
		for _, c := range b {
			if c.Degree < 0 || c.Degree > 11 || c.Quality < lesson.Seventh || c.Quality > lesson.MinorSeventh || c.Length <= 0 || c.Length > lesson.Bar {
				return fmt.Errorf("bar %d of the form has a chord that is none", i+1)
			}
			whole += c.Length
		}
		if whole != lesson.Bar {
			return fmt.Errorf("the chords of bar %d of the form do not fill it", i+1)
		}
	}
	for i, k := range l.Licks {
		if k.Bar < 1 || k.Bar > maxBars || k.Bars < 1 || k.Bars > maxBars || k.Pickup < 0 || k.Pickup > lesson.Bar ||
			k.Level < lesson.Beginner || k.Level > lesson.Strong {
			return fmt.Errorf("lick %d lies outside what a lesson can hold", i+1)
		}
	}
	return l.Harp().Validate()
}
