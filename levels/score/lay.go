package score

import (
	"fmt"
	"slices"

	"reedwell/levels/lesson"
)

// Chorus, in place of a lick's number, asks for the whole chorus.
const Chorus = -1

// A Line is a lick or a chorus set out in time. Place 0 is the first full bar.
type Line struct {
	Lesson lesson.Lesson
	Lick   int          // from 0, or Chorus
	Pickup lesson.Ticks // what lies before place 0
	Bars   int          // full bars
	Notes  []Placed     // by Start, not overlapping
	Chords []Chord      // of the full bars, by Start, without a gap
}

// A Placed is a note at its place in a Line.
type Placed struct {
	lesson.Note
	Lick int // the lick it is from, from 0
}

// A Chord is a chord of the form at its place.
type Chord struct {
	Start, Length lesson.Ticks
	Root          int // pitch class, 0 = C
	Quality       lesson.Quality
}

// Lay sets lick number lick, from 0, or the Chorus out in time. It returns an error when
// the lesson has no such lick, or when two licks of a chorus sound at once.
func Lay(l lesson.Lesson, lick int) (Line, error) {
	if lick != Chorus && (lick < 0 || lick >= len(l.Licks)) {
		return Line{}, fmt.Errorf("lesson %q: there is no lick %d; it has %d", l.Title, lick+1, len(l.Licks))
	}
	if len(l.Form.Bars) == 0 {
		return Line{}, fmt.Errorf("lesson %q: its form has no bars; name a form, as \"slow change\"", l.Title)
	}
	line := Line{Lesson: l, Lick: lick}
	bar := 0 // of the form, at place 0
	for i, k := range l.Licks {
		at := lesson.Ticks(k.Bar-1) * lesson.Bar
		switch lick {
		case Chorus:
			line.Bars = max(line.Bars, k.Bar-1+k.Bars)
		case i:
			at, bar, line.Bars = 0, k.Bar-1, k.Bars
		default:
			continue
		}
		line.Pickup = max(line.Pickup, k.Pickup-at)
		for _, n := range k.Notes {
			n.Start += at
			line.Pickup = max(line.Pickup, -n.Start)
			line.Bars = max(line.Bars, int((n.End()+lesson.Bar-1)/lesson.Bar))
			line.Notes = append(line.Notes, Placed{n, i})
		}
	}
	if form := len(l.Form.Bars); lick == Chorus {
		line.Bars = (line.Bars + form - 1) / form * form
	}
	slices.SortStableFunc(line.Notes, func(a, b Placed) int { return int(a.Start - b.Start) })
	for i, n := range line.Notes {
		if i > 0 && n.Start < line.Notes[i-1].End() {
			return Line{}, fmt.Errorf("lesson %q: licks %d and %d sound at once in %s; write them one by one",
				l.Title, line.Notes[i-1].Lick+1, n.Lick+1, placeName(n.Start))
		}
	}
	from := lesson.Ticks(bar) * lesson.Bar
	for t := lesson.Ticks(0); t < lesson.Ticks(line.Bars)*lesson.Bar; {
		c := l.Form.Chord(from + t)
		line.Chords = append(line.Chords, Chord{t, c.Length, (l.Tonic() + c.Degree) % 12, c.Quality})
		t += c.Length
	}
	return line, nil
}

// End is the end of the last full bar.
func (l Line) End() lesson.Ticks { return lesson.Ticks(l.Bars) * lesson.Bar }

// Minor reports whether the form stands in minor.
func (l Line) Minor() bool { return minor(l.Lesson.Form) }

func minor(f lesson.Form) bool {
	q := f.Chord(0).Quality
	return q == lesson.Minor || q == lesson.MinorSeventh
}

// placeName names a written place as a musician counts: "bar 3, beat 2", with the part of
// the beat behind it in hundredths.
func placeName(t lesson.Ticks) string {
	if t < 0 {
		return fmt.Sprintf("the pickup, %.4g beats before bar 1", -t.Beats())
	}
	return fmt.Sprintf("bar %d, beat %.4g", t/lesson.Bar+1, (t%lesson.Bar).Beats()+1)
}
