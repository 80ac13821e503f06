package pitch

import (
	"math"

	"reedwell/audio/internal/dsp"
)

// halves transforms a long window as two of its half length, of the even and of the odd samples: the
// transform of package dsp takes lengths of 2*4^k only.
type halves struct {
	fft       *dsp.RealFFT
	even, odd []float64
	e, o      []complex128
	turn      []complex128 // exp(-2 pi i k / LongSize)
}

func newHalves() *halves {
	const n = LongSize / 2
	h := &halves{fft: dsp.NewRealFFT(n), even: make([]float64, n), odd: make([]float64, n),
		e: make([]complex128, n/2+1), o: make([]complex128, n/2+1), turn: make([]complex128, n+1)}
	for k := range h.turn {
		sin, cos := math.Sincos(-2 * math.Pi * float64(k) / LongSize)
		h.turn[k] = complex(cos, sin)
	}
	return h
}

func (h *halves) transform(dst []complex128, x []float64) {
	const n = LongSize / 2
	for i := range n {
		h.even[i], h.odd[i] = x[2*i], x[2*i+1]
	}
	h.fft.Transform(h.e, h.even)
	h.fft.Transform(h.o, h.odd)
	for k := 0; k <= n/2; k++ {
		// What the halves hold over their own half rate is the mirror image of what they hold under it.
		e, o := h.e[k], h.o[k]
		dst[k] = e + h.turn[k]*o
		dst[n-k] = complex(real(e), -imag(e)) + h.turn[n-k]*complex(real(o), -imag(o))
	}
}
