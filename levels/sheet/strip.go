package sheet

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"reedwell/levels/harp"
	"reedwell/levels/lesson"
)

// A strip is a row of bars before it is broken into lines: a lick, or a chorus of the form.
type strip struct {
	from, to lesson.Ticks // its place; 0 is the first bar line
	number   int          // of the bar at 0, as it is printed
	events   []event      // by place, not overlapping
	chords   []chordAt
	tuplets  []tuplet
	period   lesson.Ticks // a double bar stands after each: a chorus, or the whole lick
	covers   []stretch    // where its licks lie, rests included
}

// A stretch of time.
type stretch struct{ from, to lesson.Ticks }

func (s stretch) has(t lesson.Ticks) bool { return t >= s.from && t < s.to }

// An event is what stands at one place of a strip.
type event struct {
	at, end lesson.Ticks
	kind    kind
	note    lesson.Note
	before  *lesson.Note // the note that this one is joined to
	label   string       // over a note: what begins here
}

type kind int

const (
	sounding kind = iota
	resting
	slash // a beat of the chart in which no lick lies
)

type chordAt struct {
	at   lesson.Ticks
	name string
}

// token writes a note as [harp.Note.Tab] does, with the signs of print: a real minus,
// primes, and a ring for an overbend, whose letter o could be taken for a nought.
func token(n harp.Note) string {
	sign, over := "+", ""
	if n.Breath == harp.Draw {
		sign = "−"
	}
	if n.Over {
		over = "°"
	}
	return sign + strconv.Itoa(n.Hole) + strings.Repeat("′", n.Bend) + over
}

// tokens are the tab of a note from top to bottom.
func (e event) tokens() []string {
	var all []string
	for _, h := range slices.Backward(e.note.Holes) {
		all = append(all, token(h))
	}
	return all
}

// add adds the notes of a lick, with its first bar at the given place.
func (s *strip) add(k lesson.Lick, at lesson.Ticks, label string) {
	for i, n := range k.Notes {
		e := event{at: at + n.Start, end: at + n.End(), note: n, label: label}
		if n.Join != lesson.Tongued && i > 0 {
			e.before = &k.Notes[i-1]
		}
		label = ""
		s.events = append(s.events, e)
	}
	s.covers = append(s.covers, stretch{at - k.Pickup, at + lesson.Ticks(k.Bars)*lesson.Bar})
}

// silence fills what is empty, beat by beat: with rests where a lick lies, elsewhere with a
// slash for each whole beat.
func (s *strip) silence(from, to lesson.Ticks) {
	for from < to {
		end := min(to, floor(from, lesson.Beat)+lesson.Beat)
		covered := slices.ContainsFunc(s.covers, func(c stretch) bool { return c.has(from) })
		if covered {
			s.events = append(s.events, event{at: from, end: end, kind: resting})
		} else if end-from == lesson.Beat && from >= 0 {
			s.events = append(s.events, event{at: from, end: end, kind: slash})
		}
		from = end
	}
}

// finish orders the events, fills the silence, and finds chords and tuplets. The strip's
// place 0 lies at start in the form.
func (s *strip) finish(l lesson.Lesson, start lesson.Ticks) {
	order := func(a, b event) int { return cmp.Compare(a.at, b.at) }
	slices.SortStableFunc(s.events, order)
	now := s.from
	for _, e := range s.events { // those that were there before the loop
		s.silence(now, e.at)
		now = e.end
	}
	s.silence(now, s.to)
	slices.SortStableFunc(s.events, order)
	for bar := max(0, floor(s.from, lesson.Bar)); bar < s.to; bar += lesson.Bar {
		for t := bar; t < min(bar+lesson.Bar, s.to); {
			c := l.Form.Chord(start + t)
			s.chords = append(s.chords, chordAt{t, musical(l.ChordName(c))})
			t += c.Length
		}
	}
	var cuts []lesson.Ticks
	for _, e := range s.events {
		cuts = append(cuts, e.at, e.end)
	}
	slices.Sort(cuts)
	s.tuplets = tuplets(slices.Compact(cuts), l.Feel.Kind)
}

// musical writes the accidentals of a key or chord as signs: "Bb7" as "B♭7".
func musical(name string) string {
	var out []rune
	for i, r := range name {
		if i > 0 && name[i-1] >= 'A' && name[i-1] <= 'G' {
			switch r {
			case 'b':
				r = '♭'
			case '#':
				r = '♯'
			}
		}
		out = append(out, r)
	}
	return string(out)
}

// barName is the number of the bar that begins at t.
func (s *strip) barName(t lesson.Ticks) string {
	return strconv.Itoa(s.number + int(t/lesson.Bar))
}
