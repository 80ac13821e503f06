package harp

import (
	"errors"
	"fmt"
)

// A Tuning is how the maker sets the reeds against equal temperament.
type Tuning int

// The tunings.
const (
	Equal           Tuning = iota // twelve equal semitones
	Just                          // just intonation for first position
	JustSecondThird               // just, with 6 and 10 draw for second and third position
	Just19                        // just, 5 and 9 draw as 171/128
	Just7                         // just, 5 and 9 draw as 21/16
	Just5                         // just, 5 and 9 draw as 27/20
	Compromise                    // between just and equal
)

// Tunings returns all tunings.
func Tunings() []Tuning {
	return []Tuning{Equal, Just, JustSecondThird, Just19, Just7, Just5, Compromise}
}

// String returns the tuning's name.
func (t Tuning) String() string {
	if t < 0 || int(t) >= len(Tunings()) {
		return fmt.Sprintf("tuning %d", int(t))
	}
	return [...]string{"equal", "just", "just second-third", "just 19-limit", "just 7-limit", "just 5-limit", "compromise"}[t]
}

// ErrTuning is returned for an unknown tuning.
var ErrTuning = errors.New("tunings are equal, just, just second-third, just 19-limit, just 7-limit, just 5-limit, compromise")

// ParseTuning reads what String writes.
func ParseTuning(s string) (Tuning, error) {
	for _, t := range Tunings() {
		if t.String() == s {
			return t, nil
		}
	}
	return 0, fmt.Errorf("tuning %q: %w", s, ErrTuning)
}

// MarshalText writes the tuning's name.
func (t Tuning) MarshalText() ([]byte, error) { return []byte(t.String()), nil }

// UnmarshalText reads a tuning's name.
func (t *Tuning) UnmarshalText(text []byte) (err error) {
	*t, err = ParseTuning(string(text))
	return err
}

// Deviation returns how many cents the natural reed lies over equal temperament.
// Just values: Hansson's ji_hca scale files, rounded there to whole cents.
func (t Tuning) Deviation(hole int, b Breath) float64 {
	if t == Equal {
		return 0
	}
	if b == Blow {
		third := -14.0
		if t == Compromise {
			third = -8 // our choice in the makers' range: thirds flat by 6 to 10 cents
		}
		return [...]float64{0, third, 2}[[Holes]int{0, 1, 2, 0, 1, 2, 0, 1, 2, 0}[hole-1]]
	}
	second, third, fourth, sixth := 4.0, -12.0, -2.0, 6.0
	switch t {
	case Just:
		sixth = -16
	case Just19:
		fourth = 1
	case Just7:
		fourth = -29
	case Just5:
		fourth = 20
	case Compromise:
		second, third, fourth, sixth = 2, -7, 0, 3 // our choice: half way from just to equal
	}
	return [Holes]float64{second, 2, third, second, fourth, sixth, third, second, fourth, sixth}[hole-1]
}

// A Profile is the player's measured reeds: cents over the chosen tuning, by hole
// from 1. The zero value is a harp exactly as its tuning says.
type Profile struct {
	Blow, Draw [Holes]float64
}

// Cents returns the deviation of one reed.
func (p Profile) Cents(hole int, b Breath) float64 {
	if b == Draw {
		return p.Draw[hole-1]
	}
	return p.Blow[hole-1]
}
