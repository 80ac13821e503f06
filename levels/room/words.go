package room

import (
	"fmt"
	"math"
	"strings"

	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
)

// LeastTime is the least distance in seconds from its place that is called early or late: nothing under 20 to
// 25 ms means anything on a free reed (see drill.WindowsFor).
const LeastTime = 0.020

const (
	// fewNotes is how many notes tell nothing yet of a habit; fewStressed and fewBlue the same of beats one and
	// three and of blue notes. Our choice.
	fewNotes, fewStressed, fewBlue = 6, 4, 3
	// Of the time that sounds, over nearlyAll is playing through, and under half leaves room. Our choice.
	nearlyAll, half = 0.85, 0.5
	// narrowRange is how many neighbouring holes are little of the harp: a hand's width of the lips. Our choice.
	narrowRange = 3
	mostWords   = 3
)

// Words are up to three sentences on what was heard: chords, time, and what stands out of the rest.
// They say what was, not how good it was.
func (r Report) Words() []string {
	if len(r.Notes) < fewNotes {
		return []string{fmt.Sprintf("%s heard. A few more show how they sit.", count(len(r.Notes), "note was", "notes were"))}
	}
	var all []string
	for _, say := range []func() string{r.chordWords, r.timeWords, r.restWords} {
		if words := say(); words != "" && len(all) < mostWords {
			all = append(all, words)
		}
	}
	return all
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// chordWords tell how the notes met the chords.
func (r Report) chordWords() string {
	if r.Stressed < fewStressed {
		on := 0
		for _, n := range r.Notes {
			if n.Relation.OfChord() {
				on++
			}
		}
		return fmt.Sprintf("%d of your %d notes are tones of the chord under them; few of them fall on beats one and three.", on, len(r.Notes))
	}
	words := fmt.Sprintf("On beats one and three you struck a tone of the chord %d times out of %d", r.OnChord, r.Stressed)
	switch {
	case r.OnBlue == 1:
		words += ", and a blue note once"
	case r.OnBlue > 1:
		words += fmt.Sprintf(", and a blue note %d times", r.OnBlue)
	}
	if met, of := r.met(); of >= fewStressed {
		words += fmt.Sprintf("; as the chord changed, what you played was of the new chord %d times out of %d", met, of)
	}
	return words + "."
}

// met is how many changes had a tone of the new chord, of those at which something sounded.
func (r Report) met() (met, of int) {
	for _, c := range r.Changes {
		if c.Note >= 0 {
			of++
			if c.Relation.OfChord() {
				met++
			}
		}
	}
	return met, of
}

// timeWords tell where the playing leans.
func (r Report) timeWords() string {
	if r.Timed < fewNotes {
		return ""
	}
	scatter := fmt.Sprintf("most of them within %.0f ms of that", math.Max(5, 5*math.Round(200*r.Scatter))) // in fives: finer is not known
	switch {
	case r.Bias >= LeastTime:
		return fmt.Sprintf("You lean behind the beat: in the middle your notes start %.0f ms after their places, %s.", 1000*r.Bias, scatter)
	case r.Bias <= -LeastTime:
		return fmt.Sprintf("You lean ahead of the beat: in the middle your notes start %.0f ms before their places, %s.", -1000*r.Bias, scatter)
	}
	return fmt.Sprintf("Your notes sit on the beat, most of them within %.0f ms of it.", math.Max(5, 5*math.Round(200*r.Scatter)))
}

// restWords tell what stands out beside chords and time.
func (r Report) restWords() string {
	for _, p := range r.Phrases {
		if p.Repeats >= 0 {
			first, again := r.Notes[r.Phrases[p.Repeats].First], r.Notes[p.First]
			return fmt.Sprintf("The phrase that begins in bar %d comes again in bar %d.", barOf(first.Sounds), barOf(again.Sounds))
		}
	}
	if blue, over := r.blues(); len(blue) >= fewBlue {
		return fmt.Sprintf("Your blue thirds lie some %.0f cents over the flat third, from %.0f to %.0f.", median(blue), over[0], over[1])
	}
	if r.Sounding > nearlyAll {
		return fmt.Sprintf("You played nearly all the time; the longest rest is %s.", beats(r.Rest))
	}
	if r.Sounding < half {
		return fmt.Sprintf("You left room: %.0f %% of the time is yours, and the longest rest is %s.", 100*r.Sounding, beats(r.Rest))
	}
	low, high := r.Range()
	if high-low < narrowRange {
		return fmt.Sprintf("You stayed on holes %d to %d.", low, high)
	}
	return fmt.Sprintf("You went over holes %d to %d, and %.0f %% of the time is yours.", low, high, 100*r.Sounding)
}

// blues are the cents of the blue thirds over the flat third, and their least and most.
func (r Report) blues() (all []float64, over [2]float64) {
	over = [2]float64{math.Inf(1), math.Inf(-1)}
	for _, n := range r.Notes {
		if n.Relation == BlueThird {
			all = append(all, n.Blue)
			over[0], over[1] = math.Min(over[0], n.Blue), math.Max(over[1], n.Blue)
		}
	}
	return all, over
}

func beats(b float64) string {
	n := int(math.Round(b))
	if n < 1 {
		return "under a beat"
	}
	return count(n, "beat", "beats")
}

// barOf is the bar of the form, counted on through the choruses, in which a beat lies. What leads into the
// form belongs to bar 1.
func barOf(beat float64) int {
	return 1 + max(0, int(math.Floor((beat+1e-6)/lesson.BeatsPerBar)))
}

// A Bar is what was played in one bar, in words.
type Bar struct {
	Number int // in the chorus, from 1
	Chords string
	Notes  []int // of the report
	Words  string
}

// Bars tell bar by bar what was played in chorus k, from 0. What leads into the form stands in its first bar, and what
// comes early before a bar that was not reached in the last that was; further bars are left out.
func (r Report) Bars(s Setting, k int) []Bar {
	d := s.Drill()
	last := max(1, int(math.Ceil(r.Until/lesson.BeatsPerBar-1e-6)))
	var all []Bar
	for b := range len(s.Form.Bars) {
		number := k*len(s.Form.Bars) + b + 1
		from := float64((number - 1) * lesson.BeatsPerBar)
		if number > last {
			break
		}
		bar := Bar{Number: b + 1, Chords: chordNames(d, from)}
		var words []string
		for i, n := range r.Notes {
			if min(barOf(n.Sounds), last) == number {
				bar.Notes = append(bar.Notes, i)
				words = append(words, n.Words())
			}
		}
		bar.Words = strings.Join(words, "; ")
		if bar.Words == "" {
			bar.Words = "rest"
			if r.through(from) {
				bar.Words = "held on"
			}
		}
		all = append(all, bar)
	}
	return all
}

// through reports whether a note sounds on a beat.
func (r Report) through(beat float64) bool {
	for _, n := range r.Notes {
		if n.Beat < beat && n.Beat+n.Beats > beat+0.5 {
			return true
		}
	}
	return false
}

func chordNames(d drill.Drill, from float64) string {
	var names []string
	for _, c := range d.Chords {
		if c.Beat >= from-1e-6 && c.Beat < from+lesson.BeatsPerBar-1e-6 {
			names = append(names, c.Name)
		}
	}
	return strings.Join(names, " ")
}

// Words say a note in a line: place, hole, what it is to the chord, how early or late.
func (n Note) Words() string {
	words := counted(n.Place) + " " + n.Tab() + " " + n.Relation.String()
	if cents := math.Round(n.Blue); n.Relation.Blue() && cents != 0 {
		side := "over"
		if cents < 0 {
			side = "under"
		}
		words += fmt.Sprintf(" (%.0f cents %s the flat one)", math.Abs(cents), side)
	}
	switch late := math.Round(1000 * n.Late); {
	case n.Glide:
	case late >= 1000*LeastTime:
		words += fmt.Sprintf(", %.0f ms late", late)
	case late <= -1000*LeastTime:
		words += fmt.Sprintf(", %.0f ms early", -late)
	}
	return words
}

// Tab is the note's tab, with the other holes of a chord or a warble.
func (n Note) Tab() string {
	if n.Warbles() {
		return n.Note.Tab() + "~" + n.Warble.Tab()
	}
	holes := []harp.Note{n.Note}
	holes = append(holes, n.Also...)
	var tabs []string
	for _, h := range holes {
		tabs = append(tabs, h.Tab())
	}
	return strings.Join(tabs, "")
}

// counted says a place of a bar as it is counted aloud: "1", "2 and", "3 e" (common practice); thirds of a beat
// as "2 1/3".
func counted(place lesson.Ticks) string {
	in := (place%lesson.Bar + lesson.Bar) % lesson.Bar
	beat := fmt.Sprint(1 + int(in/lesson.Beat))
	if place < 0 {
		beat = "pickup " + beat
	}
	switch in % lesson.Beat {
	case 0:
		return beat
	case eighth:
		return beat + " and"
	case sixteenth:
		return beat + " e"
	case 3 * sixteenth:
		return beat + " a"
	}
	part := int(6 * (in % lesson.Beat) / lesson.Beat)
	return beat + [...]string{"", " 1/6", " 1/3", "", " 2/3", " 5/6"}[part]
}
