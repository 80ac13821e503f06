package lesson

// A Form is the chords of one chorus.
type Form struct {
	Name string // as it is written in a lesson: "slow change"; "own" for the teacher's chords
	Bars [][]Chord
}

// A Chord is a chord of the form. The chords of a bar fill it.
type Chord struct {
	Degree  int // semitones of its root above the key of the song, 0..11
	Quality Quality
	Length  Ticks
}

// Quality is what is built on the root.
type Quality int

// The qualities.
const (
	Seventh      Quality = iota // dominant seventh: "7"
	Major                       // ""
	Minor                       // "m"
	MinorSeventh                // "m7"
)

// Suffix is how a musician writes the quality behind the root.
func (q Quality) Suffix() string { return [...]string{"7", "", "m", "m7"}[q] }

// Tones are the semitones above the root.
func (q Quality) Tones() []int {
	switch q {
	case Major:
		return []int{0, 4, 7}
	case Minor:
		return []int{0, 3, 7}
	case MinorSeventh:
		return []int{0, 3, 7, 10}
	}
	return []int{0, 4, 7, 10}
}

// Chord is the chord that sounds at written place t of the form, which goes round.
func (f Form) Chord(t Ticks) Chord {
	whole := Ticks(len(f.Bars)) * Bar
	t = (t%whole + whole) % whole
	in := t % Bar
	bar := f.Bars[t/Bar]
	for _, c := range bar {
		if in < c.Length {
			return c
		}
		in -= c.Length
	}
	return bar[len(bar)-1]
}

// ChordName is a chord's name in the key of the song: "E7".
func (l Lesson) ChordName(c Chord) string {
	return l.Key.Spell((l.Tonic()+c.Degree)%12) + c.Quality.Suffix()
}

const (
	tonic       = 0
	subdominant = 5
	flatSixth   = 8
	dominant    = 7
)

// Forms are the forms that have a name. The twelve-bar changes are common practice as
// found in several chord-chart pages; of the eight-bar and minor forms there are many, and
// these are the plain ones.
func Forms() []Form {
	bars := func(quality map[int]Quality, degrees ...[]int) [][]Chord {
		var all [][]Chord
		for _, d := range degrees {
			var bar []Chord
			for _, root := range d {
				bar = append(bar, Chord{root, quality[root], Bar / Ticks(len(d))})
			}
			all = append(all, bar)
		}
		return all
	}
	one, four, five, six := []int{tonic}, []int{subdominant}, []int{dominant}, []int{flatSixth}
	back, out := []int{tonic, subdominant}, []int{tonic, dominant}
	minor := map[int]Quality{tonic: Minor, subdominant: Minor, dominant: Seventh, flatSixth: Seventh}
	return []Form{
		{"slow change", bars(nil, one, one, one, one, four, four, one, one, five, four, back, out)},
		{"quick change", bars(nil, one, four, one, one, four, four, one, one, five, four, back, out)},
		{"eight-bar", bars(nil, one, five, four, four, one, five, back, out)},
		{"minor", bars(minor, one, one, one, one, four, four, one, one, six, five, one, out)},
	}
}
