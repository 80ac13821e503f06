package harp

import "math"

// A Sound is where on the harp a pitch lies.
type Sound struct {
	Note  Note    // the nearest note
	Cents float64 // distance from it, + is sharp
	Depth float64 // cents under the natural reed of the note, + is bent down, also between two rungs; 0 for an overbend
}

// threeBlowNearer is how many cents nearer than 2 draw a pitch must be to 3 blow to
// be named so where neither is expected. They are one note in every tuning; a measured
// profile may set them apart, but breath pressure moves 2 draw by as much. Our choice.
const threeBlowNearer = 20

// Locate finds the note nearest to a pitch. It reports false for a pitch outside the
// harp, under Low or over High.
//
// 2 draw and 3 blow are the same note: one that is in expect and within a quarter tone
// is taken, the nearer if both are, the first listed if both are as near. With neither expected it is 2 draw,
// on which second position stands, unless 3 blow is nearer by 20 cents. The same holds
// for the overbends that [Notes] leaves out: they are found only when expected. Other
// notes in expect change nothing, nor do notes that the harmonica does not have.
//
// A pitch between two rungs belongs to the nearer; Depth then says how far down it is.
func (h Harp) Locate(hz float64, expect []Note) (Sound, bool) {
	if !(hz >= h.Low() && hz <= h.High()) { // NaN fails too
		return Sound{}, false
	}
	played := Cents(hz, h.a4())
	distance := func(n Note) float64 { return math.Abs(played - h.cents(n)) }

	var best Note
	least := math.Inf(1)
	each(func(n Note) {
		d := distance(n)
		if n == (Note{Hole: 3, Breath: Blow}) {
			d += threeBlowNearer
		}
		if d < least {
			best, least = n, d
		}
	})

	least = distance(best)
	nearest := best
	expected := math.Inf(1)
	for _, n := range expect {
		if n.Valid() != nil {
			continue
		}
		d := distance(n)
		same := n.Semitones() == nearest.Semitones() && d <= quarter
		if (same || d <= least) && d < expected {
			best, expected = n, d
		}
	}

	s := Sound{Note: best, Cents: played - h.cents(best)}
	if !best.Over {
		s.Depth = h.cents(Note{Hole: best.Hole, Breath: best.Breath}) - played
	}
	return s, true
}
