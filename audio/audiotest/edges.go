package audiotest

import "math"

// EdgeDB is how far under its level a tone is said to start and to end: 12 dB. Vos &
// Rasch 1981 place the perceived onset of a tone 6 to 15 dB under its maximum (from memory).
const EdgeDB = 12.0

// Edges measures when an isolated note is heard to start and end, in seconds: where its
// level last rises through EdgeDB under the highest of its first 0.2 s, and where it first falls
// through EdgeDB under what it was at off. on and off are note-on and note-off in
// seconds. The level is the mean square under a Hann window of 10 ms or, for low notes, two
// periods of hz. It is what a sample's own speaking time is told apart from an ear's delay with.
func Edges(x []float32, rate int, on, off, hz float64) (start, end float64) {
	half := int(math.Max(0.005, 1/hz) * float64(rate))
	w := make([]float64, 2*half+1)
	for i := range w {
		w[i] = 0.5 + 0.5*math.Cos(math.Pi*float64(i-half)/float64(half+1))
	}
	step := rate / 2000 // 0.5 ms
	level := func(i int) float64 {
		s := 1e-12
		for j, g := range w {
			if k := i + j - half; k >= 0 && k < len(x) {
				s += g * float64(x[k]) * float64(x[k])
			}
		}
		return 10 * math.Log10(s)
	}
	at := func(s float64) int { return int(s * float64(rate)) }
	top, first := math.Inf(-1), 0
	for i := at(on); i < min(at(on+0.2), at(off)); i += step {
		if v := level(i); v > top {
			top, first = v, i
		}
	}
	for first > 0 && level(first) > top-EdgeDB {
		first -= step
	}
	top = math.Inf(-1)
	for i := at(off - 0.03); i < at(off); i += step {
		top = math.Max(top, level(i))
	}
	last := at(off)
	for last < len(x) && level(last) > top-EdgeDB {
		last += step
	}
	return float64(first) / float64(rate), float64(last) / float64(rate)
}
