package dsp

import (
	"fmt"
	"math"
)

// An FFT transforms N complex samples in place, N = 4^k, by radix 4 (Cooley & Tukey 1965).
type FFT struct {
	swap    []int        // digit reversal
	twiddle []complex128 // exp(-2 pi i k / N)
}

// NewFFT makes a transform of n samples: 4, 16, 64, 256, 1024 ...
func NewFFT(n int) *FFT {
	digits := 0
	for s := n; s > 1; s /= 4 {
		if s%4 != 0 {
			panic(fmt.Sprintf("dsp: FFT of %d samples: want 4^k", n))
		}
		digits++
	}
	if n < 4 {
		panic(fmt.Sprintf("dsp: FFT of %d samples: want 4^k, at least 4", n))
	}
	f := &FFT{swap: make([]int, n), twiddle: make([]complex128, n)}
	for i := range f.swap {
		r, v := 0, i
		for range digits {
			r, v = r*4+v%4, v/4
		}
		f.swap[i] = r
	}
	for i := range f.twiddle {
		s, c := math.Sincos(-2 * math.Pi * float64(i) / float64(n))
		f.twiddle[i] = complex(c, s)
	}
	return f
}

// Transform replaces z by its N bins, sum of z[n] exp(-2 pi i k n / N).
func (f *FFT) Transform(z []complex128) {
	f.check(z)
	for i, j := range f.swap {
		if i < j {
			z[i], z[j] = z[j], z[i]
		}
	}
	f.passes(z)
}

// Inverse replaces N bins by N times the samples that they come from.
func (f *FFT) Inverse(z []complex128) {
	f.check(z)
	for i, j := range f.swap { // with real and imaginary parts swapped it is the same transform
		if i < j {
			a, b := z[i], z[j]
			z[i], z[j] = complex(imag(b), real(b)), complex(imag(a), real(a))
		} else if i == j {
			z[i] = complex(imag(z[i]), real(z[i]))
		}
	}
	f.passes(z)
	for i, v := range z {
		z[i] = complex(imag(v), real(v))
	}
}

func (f *FFT) check(z []complex128) {
	if len(z) != len(f.swap) {
		panic(fmt.Sprintf("dsp: FFT of %d samples: got %d", len(f.swap), len(z)))
	}
}

// passes transforms samples in digit-reversed order.
func (f *FFT) passes(z []complex128) {
	m := len(z)
	for start := 0; start+3 < m; start += 4 { // the first pass turns nothing
		q := z[start : start+4 : start+4]
		s02, d02 := q[0]+q[2], q[0]-q[2]
		s13, d13 := q[1]+q[3], q[1]-q[3]
		d13 = complex(imag(d13), -real(d13)) // times -i
		q[0], q[1], q[2], q[3] = s02+s13, d02+d13, s02-s13, d02-d13
	}
	for size := 16; size <= m; size *= 4 {
		q, step := size/4, m/size
		for start := 0; start < m; start += size {
			a, b, c, d := z[start:][:q], z[start+q:][:q], z[start+2*q:][:q], z[start+3*q:][:q]
			for k := range a {
				t1, t2, t3 := mul(b[k], f.twiddle[k*step]), mul(c[k], f.twiddle[2*k*step]), mul(d[k], f.twiddle[3*k*step])
				s02, d02 := a[k]+t2, a[k]-t2
				s13, d13 := t1+t3, t1-t3
				d13 = complex(imag(d13), -real(d13))
				a[k] = s02 + s13
				b[k] = d02 + d13
				c[k] = s02 - s13
				d[k] = d02 - d13
			}
		}
	}
}
