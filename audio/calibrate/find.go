package calibrate

import (
	"errors"
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

// A Result is a measured round trip.
type Result struct {
	Frames float64 // the round trip
	Spread float64 // median distance of the bursts (or taps) from Frames, ms
	Bursts int     // how many bursts (or taps) agree
}

var (
	// ErrQuiet means that the microphone did not hear the bursts.
	ErrQuiet = errors.New("calibrate: the microphone does not hear the loudspeaker; turn it up, or with headphones hold one ear piece to the microphone")
	// ErrScattered means that the bursts were heard but do not agree.
	ErrScattered = errors.New("calibrate: the test sounds came back at different delays; close other programs that use sound, avoid Bluetooth, and try again")
)

const (
	// A peak must stand this much over the RMS of the rest of its window. The highest of
	// some 6600 independent values of noise stands about 12 dB over it; 18 dB leaves one chance
	// in 10^9 and is also what published browser latency tests use.
	clearDB = 18
	// What lies this near the peak, seconds, is the burst itself and its first reflections.
	peakSeconds = 0.002
	// Bursts agree when they lie this near their median, seconds.
	agreeSeconds = 0.002
)

// Find looks for Signal in what was captured from the frame on at which Signal was
// scheduled; Frames says how long. Lost frames must be filled with zeros. At least three
// bursts must agree within 2 ms. It returns ErrQuiet or ErrScattered.
func Find(captured []float32, rate int) (Result, error) { return find(captured, rate, places[:], 3) }

// FindCheck does the same for Check; both bursts must agree.
func FindCheck(captured []float32, rate int) (Result, error) {
	return find(captured, rate, checkPlaces, 2)
}

func find(captured []float32, rate int, places []float64, need int) (Result, error) {
	if rate < 16000 || rate > 96000 {
		panic("calibrate: rate outside 16000..96000 Hz")
	}
	c := newCorrelator(rate)
	var delays []float64
	for _, p := range places {
		if d, ok := c.delay(captured, start(p, rate)); ok {
			delays = append(delays, d)
		}
	}
	if len(delays) < need {
		return Result{}, ErrQuiet
	}
	agreed := near(delays, median(delays), agreeSeconds*float64(rate))
	if len(agreed) < need {
		return Result{}, ErrScattered
	}
	return summary(agreed, rate), nil
}

// near keeps the values at most far from centre.
func near(values []float64, centre, far float64) []float64 {
	var kept []float64
	for _, v := range values {
		if math.Abs(v-centre) <= far {
			kept = append(kept, v)
		}
	}
	return kept
}

func summary(delays []float64, rate int) Result {
	m := median(delays)
	off := make([]float64, len(delays))
	for i, d := range delays {
		off[i] = math.Abs(d - m)
	}
	return Result{Frames: m, Spread: median(off) / float64(rate) * 1000, Bursts: len(delays)}
}

func median(x []float64) float64 {
	s := slices.Clone(x)
	slices.Sort(s)
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}

// A correlator finds one burst. Its correlation is the generalised one with phase
// transform (Knapp and Carter 1976): every frequency counts alike, so a loud tone in
// the room, which fills few of them, hardly disturbs it.
type correlator struct {
	rate          float64
	before, after int // window, frames
	length        int // of a burst
	fft           *fourier.FFT
	burst         []complex128 // spectrum, conjugate, of magnitude 1 in the band, tapered at its edges
	low, high     int          // bins [low, high) hold the band
	segment       []float64
	cross         []complex128
	correlation   []float64
}

func newCorrelator(rate int) *correlator {
	c := &correlator{rate: float64(rate)}
	c.before = int(math.Ceil(windowBefore * c.rate))
	c.after = int(math.Ceil(windowAfter * c.rate))
	b := burst(rate)
	c.length = len(b)
	// Room for the window, the burst behind it, and no wrapping round.
	n := 1
	for n < c.before+c.after+2*c.length {
		n *= 2
	}
	c.fft = fourier.NewFFT(n)
	c.segment, c.correlation = make([]float64, n), make([]float64, n)
	for i, x := range b {
		c.segment[i] = float64(x)
	}
	c.burst = c.fft.Coefficients(nil, c.segment)
	c.cross = make([]complex128, len(c.burst))
	c.low, c.high = int(math.Ceil(lowHz/c.rate*float64(n))), int(highHz/c.rate*float64(n))
	for k, z := range c.burst {
		c.burst[k] = 0
		if k >= c.low && k < c.high {
			// The edges fade over a tenth of the band to keep the peak's flanks low.
			x := float64(k-c.low) / float64(c.high-c.low)
			edge := min(1, min(x, 1-x)*10)
			c.burst[k] = cmplx.Conj(z) / complex(cmplx.Abs(z), 0) * complex(0.5-0.5*math.Cos(math.Pi*edge), 0)
		}
	}
	return c
}

// delay finds in captured the burst that was played at frame at.
func (c *correlator) delay(captured []float32, at int) (frames float64, ok bool) {
	first := at - c.before
	energy := 0.0
	clear(c.segment)
	for i := range c.before + c.after + c.length {
		if k := first + i; k >= 0 && k < len(captured) {
			c.segment[i] = float64(captured[k])
			energy += c.segment[i] * c.segment[i]
		}
	}
	if energy == 0 || math.IsNaN(energy) || math.IsInf(energy, 0) {
		return 0, false
	}
	c.fft.Coefficients(c.cross, c.segment)
	for k, z := range c.cross {
		if m := cmplx.Abs(z); m > 0 {
			c.cross[k] = z / complex(m, 0) * c.burst[k]
		}
	}
	c.fft.Sequence(c.correlation, c.cross)

	lags := c.correlation[:c.before+c.after+1]
	peak := 0
	for i, x := range lags {
		if math.Abs(x) > math.Abs(lags[peak]) {
			peak = i
		}
	}
	// A microphone or a loudspeaker may turn the sound upside down: the peak counts either way.
	near, rest, n := int(peakSeconds*c.rate), 0.0, 0
	for i, x := range lags {
		if i < peak-near || i > peak+near {
			rest += x * x
			n++
		}
	}
	if math.Abs(lags[peak]) < math.Pow(10, clearDB/20.0)*math.Sqrt(rest/float64(n)) {
		return 0, false
	}
	return c.between(float64(peak)) - float64(c.before), true
}

// between finds the place of the peak between the samples: parabolas through three values
// of the correlation, which its spectrum gives at any lag, first a frame and then a
// quarter of a frame apart, since at low rates a single parabola is a poor likeness.
func (c *correlator) between(lag float64) float64 {
	for _, step := range []float64{1, 0.25, 0.25} {
		a, b, d := c.at(lag-step), c.at(lag), c.at(lag+step)
		if curve := a - 2*b + d; curve != 0 {
			lag += step * min(max((a-d)/(2*curve), -1), 1)
		}
	}
	return lag
}

// at is the correlation at any lag, in frames.
func (c *correlator) at(lag float64) float64 {
	w := 2 * math.Pi * lag / float64(len(c.segment))
	turn := cmplx.Rect(1, w)
	z := cmplx.Rect(1, w*float64(c.low))
	sum := 0.0
	for k := c.low; k < c.high; k++ {
		sum += real(c.cross[k])*real(z) - imag(c.cross[k])*imag(z)
		z *= turn
	}
	return sum
}
