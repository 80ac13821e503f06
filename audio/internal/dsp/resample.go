package dsp

import (
	"fmt"
	"math"
)

// A Resampler changes a rate by the exact ratio Up/Down through one low-pass, a
// Kaiser-windowed sinc kept as Up polyphase rows (Crochiere & Rabiner, Multirate
// Digital Signal Processing, 1983, from memory). It is linear-phase: output m
// speaks of input time m*Down/Up exactly.
type Resampler struct {
	up, down int
	taps     int         // of one row
	rows     [][]float64 // rows[p]: the taps for outputs that lie p/Up after an input sample
	in       []float64   // the last inputs, written twice so that a row reads straight
	pos      int         // where the next input goes in in
	next     int         // place of the next output in 1/Up inputs after the newest input
}

// NewResampler passes what lies under pass and stops what lies over stop, both in
// Hz of an input at rate Hz, by attenuation dB.
func NewResampler(rate float64, up, down int, pass, stop, attenuation float64) *Resampler {
	if up < 1 || down < 1 || !(stop > pass) || !(pass > 0) || stop > rate/2*1.0001 {
		panic(fmt.Sprintf("dsp: resampler %d/%d from %g Hz with edges %g, %g Hz", up, down, rate, pass, stop))
	}
	// Kaiser's formulas for length and beta.
	width := 2 * math.Pi * (stop - pass) / rate
	half := int(math.Ceil((attenuation - 7.95) / (2.285 * width) / 2))
	beta := 0.1102 * (attenuation - 8.7)
	r := &Resampler{up: up, down: down, taps: 2 * half, in: make([]float64, 4*half)}
	cut := (pass + stop) / rate // of the input's Nyquist frequency
	for p := range up {
		row := make([]float64, r.taps)
		sum := 0.0
		for i := range row {
			// Row p reads inputs newest-taps+1 .. newest; the output lies p/up after
			// the input that has half newer ones beyond it.
			t := float64(i-half+1) - float64(p)/float64(up)
			u := t / float64(half)
			if u > -1 && u < 1 {
				row[i] = sinc(cut*t) * bessel(beta*math.Sqrt(1-u*u))
			}
			sum += row[i]
		}
		for i := range row {
			row[i] /= sum
		}
		r.rows = append(r.rows, row)
	}
	// Output 0 speaks of input 0 and needs half inputs more.
	r.next = (half + 1) * up
	return r
}

// Delay is how many inputs after the one an output speaks of must have arrived.
func (r *Resampler) Delay() int { return r.taps / 2 }

// Push takes one input and calls for each output that it completes. It returns
// the number of outputs, written to dst, which must hold Up/Down + 1.
func (r *Resampler) Push(x float64, dst []float64) int {
	r.in[r.pos], r.in[r.pos+r.taps] = x, x
	if r.pos++; r.pos == r.taps {
		r.pos = 0
	}
	r.next -= r.up
	n := 0
	for r.next < r.up {
		row := r.rows[r.next]
		in := r.in[r.pos:][:len(row)]
		var a, b, c, d float64
		for i := 0; i < len(row)-3; i += 4 { // written so that the compiler needs no check in it
			a += row[i] * in[i]
			b += row[i+1] * in[i+1]
			c += row[i+2] * in[i+2]
			d += row[i+3] * in[i+3]
		}
		for i := len(row) &^ 3; i < len(row); i++ {
			a += row[i] * in[i]
		}
		dst[n] = (a + b) + (c + d)
		n++
		r.next += r.down
	}
	return n
}

func sinc(x float64) float64 {
	if x == 0 {
		return 1
	}
	return math.Sin(math.Pi*x) / (math.Pi * x)
}

// bessel is the modified Bessel function of the first kind, order 0, by its series.
func bessel(x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1; term > 1e-17*sum; k++ {
		term *= (x / 2 / float64(k)) * (x / 2 / float64(k))
		sum += term
	}
	return sum
}
