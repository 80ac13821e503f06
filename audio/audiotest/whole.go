package audiotest

import "math"

// HeardWhole is how much of a quarter of a second may be left unexplained by one delay, in dB, for
// Unexplained to prove that no sound was lost. Half a frame, which whole frames can not tell, makes
// about -23 dB of a reed at 44.1 kHz; a slip of a tenth of a millisecond makes -11 dB of one at
// 440 Hz.
const HeardWhole = -15.0

// farthest is the longest delay that Unexplained looks for, in seconds.
const farthest = 0.6

// Unexplained tells whether heard is played and nothing else, later and as loud: by how many frames
// it is later, how much of the quarter of a second that this explains least is left, in dB of what
// was played then, and where the first begins of which more than HeardWhole is, in seconds. What is
// under -50 dBFS is not asked. A looped
// sound server on a busy computer loses sound, and what was measured through it then proves nothing.
func Unexplained(heard, played []float32, rate int) (late int, left, at float64) {
	like := func(d, step int) float64 {
		s := 0.0
		for i := 0; i < len(played) && i+d < len(heard); i += step {
			s += float64(played[i]) * float64(heard[i+d])
		}
		return s
	}
	best := math.Inf(-1)
	for d := range int(farthest * float64(rate)) { // a part of the sound does to find it
		if l := like(d, 16); l > best {
			late, best = d, l
		}
	}
	middle := late
	best = math.Inf(-1)
	for d := max(0, middle-2); d <= middle+2; d++ {
		if l := like(d, 1); l > best {
			late, best = d, l
		}
	}
	left = math.Inf(-1)
	n := rate / 4
	for from := 0; from+n <= len(played) && from+n+late <= len(heard); from += n {
		e, off := 0.0, 0.0
		for i := from; i < from+n; i++ {
			d := float64(heard[i+late]) - float64(played[i])
			e, off = e+float64(played[i])*float64(played[i]), off+d*d
		}
		if e < float64(n)*1e-5 {
			continue
		}
		db := 10 * math.Log10(off/e+1e-12)
		if db > HeardWhole && left <= HeardWhole {
			at = float64(from) / float64(rate)
		}
		left = math.Max(left, db)
	}
	return late, left, at
}
