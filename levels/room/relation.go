package room

import (
	"math"
	"slices"

	"reedwell/levels/drill"
)

// A Relation is what a note is to the chord of its moment.
type Relation int

// The relations.
const (
	Outside Relation = iota
	Root
	Third
	Fifth
	Seventh
	BlueThird
	BlueFifth
	BlueSeventh
	Passing
)

// String is the relation in a musician's words.
func (r Relation) String() string {
	return [...]string{"outside the chord", "root", "third", "fifth", "seventh", "blue third", "blue fifth", "blue seventh", "passing"}[r]
}

// OfChord reports a tone of the chord.
func (r Relation) OfChord() bool { return r >= Root && r <= Seventh }

// Blue reports a blue note.
func (r Relation) Blue() bool { return r >= BlueThird && r <= BlueSeventh }

// blueLeast is how many cents under the natural third or fifth a note lies at least to be blue: a just third is flat
// by 14, breath moves a reed by some 10 (see package harp). Our choice.
const blueLeast = 30.0

// Semitones over a root.
const (
	flatThird   = 3
	majorThird  = 4
	flatFifth   = 6
	fifth       = 7
	flatSeventh = 10
)

// relate says what a pitch is to a chord in a key. Pitch is in cents over C in any octave, roots are pitch
// classes; natural are flat degrees that are the key's own. of is, of a blue note, its cents over the flat degree: 0 on it, 100 on the natural one.
func relate(pitch float64, c drill.Chord, tonic int, natural []int) (r Relation, of float64) {
	if r, of := blue(over(pitch, c.Root), c.Tones); r != Outside {
		return r, of
	}
	n, _ := step(over(pitch, c.Root))
	if slices.Contains(c.Tones, n) || n == flatSeventh {
		switch n {
		case 0:
			return Root, 0
		case flatThird, majorThird:
			return Third, 0
		case fifth:
			return Fifth, 0
		default:
			return Seventh, 0
		}
	}
	// The key's own: what of it is natural in the chord was found above.
	return blue(over(pitch, tonic), natural)
}

// over is a pitch in cents over a root, -50 to 1150.
func over(pitch float64, root int) float64 {
	x := math.Mod(pitch-100*float64(root), 1200)
	if x < -50 {
		x += 1200
	}
	if x >= 1150 {
		x -= 1200
	}
	return x
}

// step is the semitone nearest to so many cents, and the cents over it.
func step(cents float64) (n int, off float64) {
	n = int(math.Floor(cents/100 + 0.5))
	return n, cents - 100*float64(n)
}

// blue says which blue note lies x cents over a root whose chord has the given tones, if any.
func blue(x float64, tones []int) (Relation, float64) {
	n, off := step(x)
	has := func(n int) bool { return slices.Contains(tones, n) }
	switch {
	case n == flatThird && !has(flatThird), n == majorThird && off < -blueLeast && !has(flatThird):
		return BlueThird, x - 100*flatThird
	case n == flatFifth && !has(flatFifth), n == fifth && off < -blueLeast:
		return BlueFifth, x - 100*flatFifth
	case n == flatSeventh && !has(flatSeventh) && !has(flatThird): // of a minor chord it is the seventh
		return BlueSeventh, x - 100*flatSeventh
	}
	return Outside, 0
}
