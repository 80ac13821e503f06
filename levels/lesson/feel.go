package lesson

import "fmt"

// A Feel says when written notes sound.
type Feel struct {
	Kind  Kind
	Ratio float64 // of a shuffle: long to short eighth, 1.2 to 3.5; 0 for the others
}

// Kind is a sort of feel.
type Kind int

// The feels.
const (
	Straight Kind = iota // as written
	Shuffle              // pairs of eighths are long and short
	Triplet              // 12/8: three eighths to the beat, as written
)

// Shuffle ratios. 2 is how a blues shuffle is taught (common practice, no source); a ride
// cymbal goes up to 3.5 (Friberg & Sundström 2002).
const (
	DefaultRatio = 2.0
	MinRatio     = 1.2
	MaxRatio     = 3.5
)

// String is the feel as it is written in a lesson.
func (f Feel) String() string {
	switch f.Kind {
	case Shuffle:
		if f.Ratio == DefaultRatio {
			return "shuffle"
		}
		return fmt.Sprintf("shuffle %g:1", f.Ratio)
	case Triplet:
		return "12/8"
	}
	return "straight"
}

// Swing is the long to short eighth of the backing, as drill.Drill has it.
func (f Feel) Swing() float64 {
	switch f.Kind {
	case Shuffle:
		return f.Ratio
	case Triplet:
		return 2
	}
	return 1
}

// Beat is the sounding place, in beats, of written place t. A shuffle moves what lies
// on the grid of eighths and sixteenths; triplets stay where they are.
func (f Feel) Beat(t Ticks) float64 {
	in := (t%Beat + Beat) % Beat
	whole := (t - in).Beats()
	if f.Kind != Shuffle || in%(Beat/8) != 0 {
		return whole + in.Beats()
	}
	long := f.Ratio / (1 + f.Ratio)
	if in < Beat/2 {
		return whole + 2*long*in.Beats()
	}
	return whole + long + 2*(1-long)*(in-Beat/2).Beats()
}
