package dsp

// Vertex is where, in steps from the middle one of three values a step apart, the parabola through them has its top; 0 where it has none.
func Vertex(before, middle, after float64) float64 {
	if q := before - 2*middle + after; q < 0 {
		return 0.5 * (before - after) / q
	}
	return 0
}
