package calibrate

import "math"

// The bursts. A linear chirp keeps its shape through a small loudspeaker and compresses to
// a fifth of a millisecond when correlated; 500-6000 Hz is what telephones and laptops both
// play and hear. The length and level are our choice: long enough for 26 dB of gain over
// noise, short enough not to annoy, and far from clipping.
const (
	burstSeconds = 0.08
	rampSeconds  = 0.005
	lowHz        = 500.0
	highHz       = 6000.0
	burstPeak    = 0.25 // -12 dBFS
)

// The window the delay is looked for in, seconds. Browsers and telephones are known from
// 20 to 260 ms, wireless earphones near 300; below 0 only by a rounding of the device's.
const (
	windowBefore = 0.005
	windowAfter  = 0.600
)

// places are where the bursts start, in seconds. They stand farther apart than the window is
// long, so that no burst is found in another's place, and unevenly, so that something
// regular in the room does not fall on all of them.
var places = [...]float64{0.05, 0.700, 1.391, 2.021, 2.731}

// checkPlaces are those of the short check.
var checkPlaces = places[:2]

// Signal is five bursts, to be played on the output from a frame of the caller's choosing.
func Signal(rate int) []float32 { return signal(rate, places[:]) }

// Check is two bursts, for a quick look whether a known round trip still holds.
func Check(rate int) []float32 { return signal(rate, checkPlaces) }

// Frames is how many captured frames Find wants for the given signal, counted from the
// frame at which it was scheduled.
func Frames(signal []float32, rate int) int {
	return len(signal) + int(math.Ceil(windowAfter*float64(rate)))
}

func signal(rate int, places []float64) []float32 {
	if rate < 16000 || rate > 96000 {
		panic("calibrate: rate outside 16000..96000 Hz")
	}
	b := burst(rate)
	x := make([]float32, start(places[len(places)-1], rate)+len(b))
	for _, p := range places {
		copy(x[start(p, rate):], b)
	}
	return x
}

// start is the frame a burst begins at; whole, so that all bursts are the same samples.
func start(place float64, rate int) int { return int(math.Round(place * float64(rate))) }

func burst(rate int) []float32 {
	x := make([]float32, int(math.Round(burstSeconds*float64(rate))))
	for i := range x {
		t := float64(i) / float64(rate)
		phase := 2 * math.Pi * (lowHz*t + (highHz-lowHz)/burstSeconds*t*t/2)
		edge := min(t, burstSeconds-t) / rampSeconds
		ramp := 1.0
		if edge < 1 {
			ramp = 0.5 - 0.5*math.Cos(math.Pi*edge)
		}
		x[i] = float32(burstPeak * ramp * math.Sin(phase))
	}
	return x
}
