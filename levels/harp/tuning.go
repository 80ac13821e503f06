package harp

import (
	"errors"
	"fmt"
	"strings"
)

// A Tuning is how the maker sets the reeds against equal temperament.
type Tuning int

// The tunings. The just ones differ only in 5, 6, 9 and 10 draw.
const (
	Equal           Tuning = iota // twelve equal semitones
	Just                          // just intonation for first position: 5 draw 4/3, 6 draw 5/3
	JustSecondThird               // a compromise for second and third position: 5 draw 4/3, 6 draw 27/16
	Just19                        // 19-limit: 5 draw 171/128, 6 draw 27/16
	Just7                         // 7-limit: 5 draw 21/16, 6 draw 27/16; the draw chord is a dominant seventh without beats
	Just5                         // 5-limit: 5 draw 27/20, 6 draw 27/16; draw 4-5-6 is a minor chord without beats
	Compromise                    // half way from JustSecondThird to Equal: our choice, see Deviation
)

// ErrTuning is returned for an unknown tuning.
var ErrTuning = errors.New("tunings are equal, just, just second-third, just 19-limit, just 7-limit, just 5-limit, compromise")

// Tunings returns all tunings.
func Tunings() []Tuning {
	return []Tuning{Equal, Just, JustSecondThird, Just19, Just7, Just5, Compromise}
}

// Valid reports whether the tuning is one of Tunings.
func (t Tuning) Valid() bool { return t >= Equal && t <= Compromise }

// String returns the tuning's name.
func (t Tuning) String() string {
	if !t.Valid() {
		return fmt.Sprintf("tuning %d", int(t))
	}
	return [...]string{"equal", "just", "just second-third", "just 19-limit", "just 7-limit", "just 5-limit", "compromise"}[t]
}

// ParseTuning reads what String writes, in upper or lower case, with - for a blank
// where a command line or an address wants none: "just-7-limit".
func ParseTuning(s string) (Tuning, error) {
	plain := func(s string) string { return strings.ReplaceAll(strings.ToLower(s), " ", "-") }
	for _, t := range Tunings() {
		if plain(s) == plain(t.String()) {
			return t, nil
		}
	}
	return 0, fmt.Errorf("tuning %.40q: %w", s, ErrTuning)
}

// MarshalText writes the tuning's name.
func (t Tuning) MarshalText() ([]byte, error) {
	if !t.Valid() {
		return nil, fmt.Errorf("harp: %s: %w", t, ErrTuning)
	}
	return []byte(t.String()), nil
}

// UnmarshalText reads a tuning's name in any form ParseTuning takes.
func (t *Tuning) UnmarshalText(text []byte) error {
	got, err := ParseTuning(string(text))
	if err == nil {
		*t = got
	}
	return err
}

// Cents over the equal-tempered degree of the just ratios over 1 blow, to 0.0001
// cents: 1200 * log2(ratio) - 100 * semitones.
const (
	second9o8    = 3.9100
	third5o4     = -13.6863
	fourth4o3    = -1.9550
	fourth171128 = 1.4230
	fourth21o16  = -29.2191
	fourth27o20  = 19.5513
	fifth3o2     = 1.9550
	sixth5o3     = -15.6413
	sixth27o16   = 5.8650
	seventh15o8  = -11.7313
)

// Deviation returns how many cents the natural reed lies over equal temperament;
// 1 blow never deviates. The just ratios are those of the ji_hca scale files (Hansson
// 2004), without octave stretch.
//
// No recipe is published for the compromise that most chordal harps are sold with,
// only that it lies between just and equal, thirds flat by less than 14 cents. Half
// way makes them 6 and 7 cents flat: our choice; a measured [Profile] replaces it.
func (t Tuning) Deviation(hole int, b Breath) float64 {
	mustHave(hole, b)
	switch t {
	case Equal:
		return 0
	case Compromise:
		return JustSecondThird.Deviation(hole, b) / 2
	}
	if b == Blow {
		return [Holes]float64{0, third5o4, fifth3o2, 0, third5o4, fifth3o2, 0, third5o4, fifth3o2, 0}[hole-1]
	}
	fourth, sixth := fourth4o3, sixth27o16
	switch t {
	case Just:
		sixth = sixth5o3
	case Just19:
		fourth = fourth171128
	case Just7:
		fourth = fourth21o16
	case Just5:
		fourth = fourth27o20
	}
	return [Holes]float64{second9o8, fifth3o2, seventh15o8, second9o8, fourth,
		sixth, seventh15o8, second9o8, fourth, sixth}[hole-1]
}
