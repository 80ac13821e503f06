package harp

import (
	"math"
	"slices"
)

// A Folded is a bend that has the name of a pitch, in whatever octave.
type Folded struct {
	Note    Note
	Hz      float64 // of the bend on this harp
	Octaves int     // the bend lies so many octaves over the pitch
	Cents   float64 // the pitch, moved by them, lies so far over the bend; at most a quarter tone
}

// Fold returns the bends to which a pitch leads that somebody sang: those within a quarter tone of it after a move by whole octaves,
// the least move first and the lower hole first where moves are as large. There is none where the pitch is nearer to notes that
// the harp has without bending, or where hz is not positive.
func (h Harp) Fold(hz float64) []Folded {
	if !(hz > 0) || math.IsInf(hz, 1) {
		return nil
	}
	var all []Folded
	for _, n := range Bent() {
		f := Folded{Note: n, Hz: h.hz(n)}
		off := Cents(hz, f.Hz)
		f.Octaves = -int(math.Round(off / 1200))
		f.Cents = off + 1200*float64(f.Octaves)
		if math.Abs(f.Cents) <= quarter {
			all = append(all, f)
		}
	}
	slices.SortStableFunc(all, func(a, b Folded) int {
		return int(math.Abs(float64(a.Octaves)) - math.Abs(float64(b.Octaves)))
	})
	return all
}
