package dsp

import (
	"fmt"
	"math"
)

// A RealFFT transforms N real samples, N = 2*4^k, by a radix-4 complex transform
// of half the size (Cooley & Tukey 1965; the split of a real transform as in
// Press et al., Numerical Recipes, 12.3, from memory).
type RealFFT struct {
	n     int
	half  *FFT         // of N/2
	split []complex128 // exp(-2 pi i k / N)
	z     []complex128
}

// NewRealFFT makes a transform of n samples: 8, 32, 128, 512, 2048 ...
func NewRealFFT(n int) *RealFFT {
	m := n / 2
	for s := m; s > 1; s /= 4 {
		if s%4 != 0 {
			panic(fmt.Sprintf("dsp: real FFT of %d samples: want 2*4^k", n))
		}
	}
	if n < 8 || n%2 != 0 {
		panic(fmt.Sprintf("dsp: real FFT of %d samples: want 2*4^k, at least 8", n))
	}
	f := &RealFFT{n: n, half: NewFFT(m), split: make([]complex128, m/2+1), z: make([]complex128, m)}
	for i := range f.split {
		s, c := math.Sincos(-2 * math.Pi * float64(i) / float64(n))
		f.split[i] = complex(c, s)
	}
	return f
}

// Transform writes the N/2+1 bins of x, sum of x[n] exp(-2 pi i k n / N), to dst.
// x is kept as it is.
func (f *RealFFT) Transform(dst []complex128, x []float64) {
	if len(x) != f.n || len(dst) != f.n/2+1 {
		panic(fmt.Sprintf("dsp: real FFT of %d samples: got %d samples, %d bins", f.n, len(x), len(dst)))
	}
	m := f.n / 2
	z := f.z[:m]
	for i, j := range f.half.swap {
		z[i] = complex(x[2*j], x[2*j+1])
	}
	f.half.passes(z)
	dst[0] = complex(real(z[0])+imag(z[0]), 0)
	dst[m] = complex(real(z[0])-imag(z[0]), 0)
	for k := 1; k <= m/2; k++ {
		p, q := z[k], z[m-k]
		q = complex(real(q), -imag(q))
		even, odd := (p+q)*0.5, (p-q)*0.5
		odd = mul(complex(imag(odd), -real(odd)), f.split[k])
		dst[k] = even + odd
		r := even - odd
		dst[m-k] = complex(real(r), -imag(r))
	}
}

// mul is a*b without the checks for infinities that Go's own operator may make.
func mul(a, b complex128) complex128 {
	return complex(real(a)*real(b)-imag(a)*imag(b), real(a)*imag(b)+imag(a)*real(b))
}
