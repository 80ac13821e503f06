package lesson

import (
	"fmt"
	"math"

	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// Play says how a lesson's drill is to be played where that differs from the lesson.
type Play struct {
	Tempo   float64      // beats a minute; 0: the lesson's
	Profile harp.Profile // the player's own reeds
	A4      float64      // Hz; 0: the lesson's
}

const (
	countIn = float64(BeatsPerBar) // beats: one bar
	tail    = 0.8                  // seconds after the last bar, so that its end is heard
)

// Drill is the graded drill of lick i, from 0, with the chords of its place in the form.
func (l Lesson) Drill(i int, p Play) (drill.Drill, error) {
	if i < 0 || i >= len(l.Licks) {
		return drill.Drill{}, fmt.Errorf("lesson %q: there is no lick %d", l.Title, i+1)
	}
	k := l.Licks[i]
	d, err := l.empty(p)
	if err != nil {
		return drill.Drill{}, err
	}
	d.ID = fmt.Sprintf("lick-%d", i+1)
	d.Level, d.Title, d.Words = i+1, k.Title, k.Words
	d.Bars, d.Windows = k.Bars, drill.WindowsFor(drill.Grade(k.Level))
	if err := l.add(&d, k, 0); err != nil {
		return drill.Drill{}, err
	}
	return l.finish(d, k.Bar-1), nil
}

// Chorus is the graded drill of all licks in their places, over the whole form as often
// as they need.
func (l Lesson) Chorus(p Play) (drill.Drill, error) {
	d, err := l.empty(p)
	if err != nil {
		return drill.Drill{}, err
	}
	d.ID, d.Level, d.Title, d.Words = "chorus", len(l.Licks)+1, l.Title, l.Words
	level := Beginner
	for _, k := range l.Licks {
		if err := l.add(&d, k, Ticks(k.Bar-1)*Bar); err != nil {
			return drill.Drill{}, err
		}
		d.Bars = max(d.Bars, k.Bar-1+k.Bars)
		level = max(level, k.Level)
	}
	form := len(l.Form.Bars)
	d.Bars = (d.Bars + form - 1) / form * form
	d.Windows = drill.WindowsFor(drill.Grade(level))
	return l.finish(d, 0), nil
}

// empty is a drill of the lesson without notes.
func (l Lesson) empty(p Play) (drill.Drill, error) {
	d := drill.Drill{Family: drill.Lick, Harp: l.Harp(), Position: l.Position, Tempo: l.Tempo,
		BeatsPerBar: BeatsPerBar, Swing: l.Feel.Swing(), Triplets: l.Feel.Kind == Triplet, CountIn: countIn}
	d.Harp.Profile = p.Profile
	if p.A4 != 0 {
		d.Harp.A4 = p.A4
	}
	if p.Tempo != 0 {
		d.Tempo = p.Tempo
	}
	if !(d.Tempo >= drill.MinTempo && d.Tempo <= drill.MaxTempo) {
		return d, fmt.Errorf("lesson %q: tempo %g: %w", l.Title, d.Tempo, drill.ErrTempo)
	}
	return d, d.Harp.Validate()
}

// add appends the targets of a lick whose first full bar lies at the given place.
func (l Lesson) add(d *drill.Drill, k Lick, at Ticks) error {
	for _, n := range k.Notes {
		from, to := l.Feel.Beat(at+n.Start), l.Feel.Beat(at+n.End())
		// A warble is a row of even notes, whatever the feel.
		parts := n.parts()
		for i, part := range parts {
			hz, err := d.Harp.Hz(part.holes[0])
			if err != nil {
				return fmt.Errorf("lesson %q, line %d: %w", l.Title, n.At.Line, err)
			}
			length := (to - from) / float64(len(parts))
			start := from + float64(i)*length
			d.Targets = append(d.Targets, drill.Target{Beat: start, Beats: length, Start: d.Time(start), End: d.Time(start + length),
				Note: part.holes[0], Hz: hz, Join: drill.Join(part.join), Also: part.holes[1:], Warble: n.Warbles()})
		}
	}
	return nil
}

// A part is one of the notes that a written note sounds as.
type part struct {
	holes []harp.Note
	join  Join
}

// parts takes a warble apart; any other note is its only part.
func (n Note) parts() []part {
	all := []part{{n.Holes, n.Join}}
	if !n.Warbles() {
		return all
	}
	all[0].holes = n.Holes[:1]
	for i := 1; i < int(math.Round(n.Length.Beats()*float64(n.Rate))); i++ {
		hole := n.Holes[0]
		if i%2 == 1 {
			hole = n.Warble
		}
		all = append(all, part{[]harp.Note{hole}, Slurred})
	}
	return all
}

// finish adds the chords from a bar of the form on, and the length.
func (l Lesson) finish(d drill.Drill, bar int) drill.Drill {
	start := Ticks(bar) * Bar
	for t := Ticks(0); t < Ticks(d.Bars)*Bar; {
		c := l.Form.Chord(start + t)
		d.Chords = append(d.Chords, drill.Chord{Beat: t.Beats(), Beats: c.Length.Beats(),
			Name: l.ChordName(c), Root: (l.Tonic() + c.Degree) % 12, Tones: c.Quality.Tones()})
		t += c.Length
	}
	d.Seconds = d.Time(float64(d.Bars*d.BeatsPerBar)) + tail
	return d
}
