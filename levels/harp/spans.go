package harp

// A Span is a stretch of pitch that one hole covers with one breath, and the reeds
// that sound beside it when the mouth covers more than the hole.
type Span struct {
	Low, High float64   // Hz
	Beside    []float64 // Hz: the natural reeds of the holes beside it with the same breath; one or two
}

// Spans returns the stretches of all holes, in new slices: for each hole blow and draw,
// from a quarter tone under the deepest bend (or the natural reed where none bends) to
// a quarter tone over the natural reed; then the overbend, a quarter tone either side.
// The hole's own other reed is never a leak and is not listed.
//
// 2 draw and 3 blow share a pitch, so there two spans hold it; elsewhere spans meet,
// and overlap by no more than the reeds' deviations. Whoever finds a pitch in several
// looks for the reeds beside any of them.
func (h Harp) Spans() []Span {
	var spans []Span
	add := func(low, high Note) {
		s := Span{Low: up(h.hz(low), -quarter), High: up(h.hz(high), quarter)}
		for _, hole := range [...]int{low.Hole - 1, low.Hole + 1} {
			if hole >= 1 && hole <= Holes {
				s.Beside = append(s.Beside, h.hz(Note{Hole: hole, Breath: low.Breath}))
			}
		}
		spans = append(spans, s)
	}
	for hole := 1; hole <= Holes; hole++ {
		bending, rungs := Bends(hole)
		for b := Blow; b <= Draw; b++ {
			natural := Note{Hole: hole, Breath: b}
			deepest := natural
			if b == bending {
				deepest.Bend = rungs
			}
			add(deepest, natural)
		}
		if fills(hole) {
			over := Note{Hole: hole, Breath: bending.Other(), Over: true}
			add(over, over)
		}
	}
	return spans
}
