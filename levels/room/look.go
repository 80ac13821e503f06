package room

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"reedwell/audio/listen"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/write"
)

// ErrNothing is returned where nobody played.
var ErrNothing = errors.New("could not hear any playing")

// A Note is one note that was played.
type Note struct {
	Start, End float64 // seconds from the first click of the count-in
	Note       harp.Note
	Also       []harp.Note // other holes that sound with it
	Warble     harp.Note   // alternates with Note; the zero Note: no warble
	Hz         float64
	Cents      float64 // over Note, the sharpness of the whole harp taken out
	Glide      bool    // the pitch of the same reed moved here: a bend, or its release
	Scoop      bool

	Beat   float64      // of the form on which it starts; bar 1 beat 1 is 0
	Beats  float64      // how long it lasts
	Place  lesson.Ticks // the nearest place of the feel, as it is written
	Sounds float64      // the beat on which that place sounds
	Late   float64      // seconds from there, + late, the bias in it; of a glide it tells nothing

	Chord    int // of the drill's chords
	Relation Relation
	Blue     float64 // of a blue note: cents over the flat third, fifth or seventh; 100 is the natural one
}

// Warbles reports whether the note is a warble.
func (n Note) Warbles() bool { return n.Warble != harp.Note{} }

// A Change is a moment at which the chord changes, and what sounded there.
type Change struct {
	Beat     float64
	Chord    int      // of the drill's chords: the new one
	Note     int      // of the notes; -1: nothing sounded within a beat
	Held     bool     // the note was held over from the chord before
	Relation Relation // of the note to the new chord
}

// A Phrase is what lies between two rests of a beat or more.
type Phrase struct {
	First, Last int // notes, [First, Last)
	Repeats     int // an earlier phrase with the same notes in the same places; -1: none
}

// A Report is how the notes sat.
type Report struct {
	Notes    []Note
	Until    float64 // beats of the form that were listened to
	Sharp    float64 // cents by which all reeds lie over the harp as given
	Timed    int     // notes whose start tells of the time
	Bias     float64 // seconds: the median lateness of their starts
	Scatter  float64 // seconds: the standard deviation about that
	Stressed int     // notes that start on beat one or three
	OnChord  int     // of these: on a tone of the chord
	OnBlue   int     // of these: on a blue note
	Sounding float64 // share of the time in which something sounded
	Rest     float64 // beats of the longest rest, from bar 1 on
	Holes    [harp.Holes + 1]int
	Changes  []Change
	Phrases  []Phrase
}

// passed is how long a passing note is at most, and onward within how many beats the next one comes; stepwise is
// how far away that lies at most, in cents.
const (
	passed, onward = 1.0, 0.5
	stepwise       = 250.0 // a whole step, and room for a bend
	pause          = 1.0   // beats of rest that part two phrases
	hangs          = 0.06  // seconds a note lasts beyond a change to be held over it: a release is over by then
	strong         = 2     // of the four beats of a bar the first and the third bear its weight (common practice)
)

// Look says how what was heard sat with the setting. Sample 0 of the take is the first click of the
// count-in; it may end before the form does. It returns ErrNothing, with the reason, where
// nobody played, and an error for a setting that can not be.
func Look(take listen.Take, s Setting) (Report, error) {
	if err := s.Validate(); err != nil {
		return Report{}, err
	}
	d := s.Drill()
	heard, sharp, err := write.Soundings(take, s.Harp)
	if errors.Is(err, write.ErrNothing) {
		return Report{}, fmt.Errorf("%w: %s", ErrNothing, strings.TrimPrefix(err.Error(), write.ErrNothing.Error()+": "))
	}
	if err != nil {
		return Report{}, err
	}
	r := Report{Sharp: sharp}
	if n := len(take.Frames); n > 0 {
		r.Until = math.Max(0, math.Min(float64(d.Bars*d.BeatsPerBar), d.BeatAt(float64(take.Frames[n-1].At)/float64(take.Rate))))
	}
	r.place(heard, s, d)
	if len(r.Notes) == 0 {
		return Report{}, fmt.Errorf("%w: all that was heard lies in the count-in", ErrNothing)
	}
	r.relate(s, d)
	r.measure(d)
	r.changes(s, d)
	r.phrases()
	return r, nil
}

// place puts the notes into the form.
func (r *Report) place(heard []write.Sounding, s Setting, d drill.Drill) {
	perBeat := 60 / d.Tempo
	var starts []float64
	for _, h := range heard {
		beat := d.BeatAt(h.Start)
		if beat < -float64(d.BeatsPerBar)/2 || beat > r.Until {
			continue // a note to tune up by in the count-in, or one that comes after the end
		}
		hz, err := s.Harp.Hz(h.Note)
		if err != nil {
			continue
		}
		r.Notes = append(r.Notes, Note{Start: h.Start, End: h.End, Note: h.Note, Also: h.Also, Warble: h.Warble, Glide: h.Glide, Scoop: h.Scoop,
			Cents: h.Cents, Hz: hz * math.Exp2((h.Cents+r.Sharp)/1200), Beat: beat, Beats: (h.End - h.Start) / perBeat})
		if !h.Glide {
			starts = append(starts, beat)
		}
	}
	r.Timed, r.Bias = len(starts), bias(s.Feel, starts, perBeat)
	var late []float64
	for i := range r.Notes {
		n := &r.Notes[i]
		n.Place, n.Sounds, _ = nearest(s.Feel, n.Beat-r.Bias/perBeat, perBeat)
		n.Late = (n.Beat - n.Sounds) * perBeat
		if !n.Glide {
			late = append(late, n.Late)
		}
	}
	r.Scatter = deviation(late, r.Bias)
}

// pitch is a note's pitch in cents over C, as the harp's keys are named.
func (n Note) pitch(h harp.Harp) float64 { return 100*float64(h.MIDI(n.Note)) + n.Cents }

// tonic is the pitch class of the key of the song.
func (s Setting) tonic() int { return (s.Harp.Key.MIDI() + s.Position.Root()) % 12 }

// natural are the third and seventh that are a minor key's own; in a major one the flat ones are blue.
func (s Setting) natural() []int {
	for _, bar := range s.Form.Bars {
		for _, c := range bar {
			if c.Degree == 0 && slices.Contains(c.Quality.Tones(), flatThird) {
				return []int{flatThird, flatSeventh}
			}
		}
	}
	return nil
}

// chordAt is the chord that sounds on a beat of the form; before it begins the first.
func chordAt(d drill.Drill, beat float64) int {
	const eps = 1e-6
	for i, c := range d.Chords {
		if beat < c.Beat+c.Beats-eps {
			return i
		}
	}
	return len(d.Chords) - 1
}

// relate says of each note what it is to its chord.
func (r *Report) relate(s Setting, d drill.Drill) {
	for i := range r.Notes {
		n := &r.Notes[i]
		n.Chord = chordAt(d, n.Sounds)
		n.Relation, n.Blue = relate(n.pitch(s.Harp), d.Chords[n.Chord], s.tonic(), s.natural())
	}
	for i := range r.Notes {
		n := &r.Notes[i]
		if n.Relation != Outside || n.Beats > passed || i+1 == len(r.Notes) {
			continue
		}
		next := r.Notes[i+1]
		gap := next.Beat - n.Beat - n.Beats
		if away := math.Abs(next.pitch(s.Harp) - n.pitch(s.Harp)); gap <= onward && away <= stepwise && away > 50 {
			n.Relation = Passing
		}
	}
}

// measure sums up.
func (r *Report) measure(d drill.Drill) {
	sounding, quiet := 0.0, 0.0 // beats; quiet: where it has been quiet since
	for _, n := range r.Notes {
		from, to := math.Max(0, n.Beat), math.Min(r.Until, n.Beat+n.Beats)
		sounding += math.Max(0, to-from)
		if n.Beat > quiet {
			r.Rest = math.Max(r.Rest, n.Beat-quiet)
		}
		quiet = math.Max(quiet, n.Beat+n.Beats)
		r.Holes[n.Note.Hole]++
		if n.Glide || n.Place%(strong*lesson.Beat) != 0 {
			continue
		}
		r.Stressed++
		if n.Relation.OfChord() {
			r.OnChord++
		}
		if n.Relation.Blue() {
			r.OnBlue++
		}
	}
	r.Rest = math.Max(r.Rest, r.Until-quiet)
	if r.Until > 0 {
		r.Sounding = math.Min(1, sounding/r.Until)
	}
}

// changes looks at what sounded as each chord changed.
func (r *Report) changes(s Setting, d drill.Drill) {
	perBeat := 60 / d.Tempo
	for i := 1; i < len(d.Chords); i++ {
		c := d.Chords[i]
		if c.Name == d.Chords[i-1].Name || c.Beat > r.Until {
			continue
		}
		ch := Change{Beat: c.Beat, Chord: i, Note: -1}
		for k, n := range r.Notes {
			switch since := n.Sounds - c.Beat; {
			case since < -1e-6 && n.Beat+n.Beats > c.Beat+(hangs+math.Max(0, r.Bias))/perBeat:
				ch.Note, ch.Held = k, true
			case since >= -1e-6 && since < 1e-6, since > 0 && since < 1 && ch.Note < 0:
				ch.Note, ch.Held = k, false
			}
		}
		if ch.Note >= 0 {
			ch.Relation, _ = relate(r.Notes[ch.Note].pitch(s.Harp), c, s.tonic(), s.natural())
		}
		r.Changes = append(r.Changes, ch)
	}
}

// phrases parts the notes at the rests and finds those that come again.
func (r *Report) phrases() {
	for i, n := range r.Notes {
		if i == 0 || n.Beat-r.Notes[i-1].Beat-r.Notes[i-1].Beats >= pause {
			r.Phrases = append(r.Phrases, Phrase{First: i, Repeats: -1})
		}
		r.Phrases[len(r.Phrases)-1].Last = i + 1
	}
	for i := range r.Phrases {
		for k := range i {
			if r.same(r.Phrases[i], r.Phrases[k]) {
				r.Phrases[i].Repeats = k
				break
			}
		}
	}
}

// leastSaid is how many notes make a phrase that can be said again.
const leastSaid = 3

// same reports whether two phrases have the same notes in the same places of the bar.
func (r *Report) same(a, b Phrase) bool {
	if a.Last-a.First != b.Last-b.First || a.Last-a.First < leastSaid {
		return false
	}
	for i := range a.Last - a.First {
		x, y := r.Notes[a.First+i], r.Notes[b.First+i]
		if x.Note != y.Note || (x.Place-y.Place)%lesson.Bar != 0 || x.Place-y.Place != r.Notes[a.First].Place-r.Notes[b.First].Place {
			return false
		}
	}
	return true
}

// Range is the lowest and the highest hole that were played.
func (r Report) Range() (low, high int) {
	for hole, n := range r.Holes {
		if n > 0 {
			if low == 0 {
				low = hole
			}
			high = hole
		}
	}
	return low, high
}

// A Histogram counts how the starts lay about their places.
type Histogram struct {
	Width  float64 // seconds of a column
	Middle int     // the column that lies about the place
	Counts []int   // early to late; the outermost hold all beyond
}

// Columns of a histogram: 20 ms wide, as fine as starts are known (see LeastTime), up to 110 ms either side.
const (
	columnWidth = 0.020
	columns     = 11
)

// Histogram is that of the starts.
func (r Report) Histogram() Histogram {
	h := Histogram{Width: columnWidth, Middle: columns / 2, Counts: make([]int, columns)}
	for _, n := range r.Notes {
		if !n.Glide {
			k := h.Middle + int(math.Round(n.Late/h.Width))
			h.Counts[min(max(k, 0), columns-1)]++
		}
	}
	return h
}
