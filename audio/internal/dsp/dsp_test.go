package dsp

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"testing"
)

// The slow twin: the definition.
func dft(x []float64) []complex128 {
	out := make([]complex128, len(x)/2+1)
	for k := range out {
		for n, v := range x {
			out[k] += complex(v, 0) * cmplx.Rect(1, -2*math.Pi*float64(k*n%len(x))/float64(len(x)))
		}
	}
	return out
}

func TestRealFFTIsTheDefinition(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, n := range []int{8, 32, 128, 512, 2048} {
		x := make([]float64, n)
		for i := range x {
			x[i] = rng.Float64()*2 - 1
		}
		got := make([]complex128, n/2+1)
		NewRealFFT(n).Transform(got, x)
		for k, want := range dft(x) {
			// 1e-11: rounding of n additions of doubles near 1.
			if cmplx.Abs(got[k]-want) > 1e-11*float64(n) {
				t.Fatalf("n=%d bin %d = %v, want %v", n, k, got[k], want)
			}
		}
	}
}

func TestRealFFTRefusesOtherSizes(t *testing.T) {
	for _, n := range []int{0, 2, 16, 64, 500} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("NewRealFFT(%d) did not panic", n)
				}
			}()
			NewRealFFT(n)
		}()
	}
}

// A sine through the resampler must come out as the same sine at the same time:
// the output's place and the pass band; or be gone: the stop band.
func TestResamplerKeepsTimeAndLevel(t *testing.T) {
	for _, c := range []struct {
		rate, up, down int
		hz, want       float64
	}{
		{48000, 1, 4, 440, 1}, {48000, 1, 4, 5000, 1}, {48000, 1, 4, 7000, 0}, {48000, 1, 4, 20000, 0},
		{44100, 3, 11, 1000, 1}, {44100, 3, 11, 9000, 0}, {16000, 3, 4, 3300, 1}, {16000, 3, 4, 7500, 0},
		{96000, 1, 8, 3300, 1}, {96000, 1, 8, 40000, 0},
	} {
		r := NewResampler(float64(c.rate), c.up, c.down, 5200, 6800, 70)
		var got [4]float64
		worst, m := 0.0, 0
		for i := range c.rate / 4 {
			n := r.Push(math.Sin(2*math.Pi*c.hz*float64(i)/float64(c.rate)), got[:])
			for _, y := range got[:n] {
				at := float64(m) * float64(c.down) / float64(c.up) / float64(c.rate)
				if at > 0.01 { // after the start of the sine has passed the filter
					worst = max(worst, math.Abs(y-c.want*math.Sin(2*math.Pi*c.hz*at)))
				}
				if late := i - r.Delay() - int(at*float64(c.rate)); late > 1 || late < -1 {
					t.Fatalf("%d Hz: output %d came %d inputs late", c.rate, m, late)
				}
				m++
			}
		}
		// 70 dB is what was asked of the filter: 3.2e-4.
		if worst > 6e-4 {
			t.Errorf("%d Hz, %g Hz sine: error %.2g of full scale, want under 6e-4", c.rate, c.hz, worst)
		}
	}
}

func TestHannKernelIsTheWindowsSpectrum(t *testing.T) {
	const n = 512
	for _, d := range []float64{-7.3, -2, -1.5, -1, -0.5, 0, 0.25, 0.999999999, 1.7, 3, 20.4} {
		sum := 0.0
		for i := -n / 2; i < n/2; i++ {
			sum += (0.5 + 0.5*math.Cos(2*math.Pi*float64(i)/n)) * math.Cos(2*math.Pi*d*float64(i)/n)
		}
		if got, want := HannKernel(d), sum/(n/2); math.Abs(got-want) > 1e-5 {
			t.Errorf("HannKernel(%g) = %g, want %g", d, got, want)
		}
	}
	for d := 0.0; d < 1; d += 0.01 {
		if got, want := HannKernel(d), HannKernelSin(d, math.Sin(math.Pi*d)); math.Abs(got-want) > 2e-10 {
			t.Errorf("HannKernel(%g) = %.12f by its series, %.12f by the sine", d, got, want)
		}
	}
}

func TestLog2(t *testing.T) {
	for x := 1e-19; x < 1e19; x *= 1.37 {
		if got, want := Log2(x), math.Log2(x); math.Abs(got-want) > 5e-8 {
			t.Errorf("Log2(%g) = %v, want %v", x, got, want)
		}
		if got, want := DB(x), 10*math.Log10(x); math.Abs(got-want) > 1e-6 {
			t.Errorf("DB(%g) = %v, want %v", x, got, want)
		}
	}
	for _, x := range []float64{0, -1, math.NaN(), 1e-30} {
		if got := DB(x); got != -200 {
			t.Errorf("DB(%g) = %v, want -200", x, got)
		}
	}
}

func BenchmarkRealFFT(b *testing.B) {
	f, x, z := NewRealFFT(512), make([]float64, 512), make([]complex128, 257)
	for i := range x {
		x[i] = math.Sin(float64(i))
	}
	b.ReportAllocs()
	for b.Loop() {
		f.Transform(z, x)
	}
}

func BenchmarkResampler(b *testing.B) {
	r := NewResampler(48000, 1, 4, 5200, 6800, 70)
	var out [4]float64
	b.ReportAllocs()
	for b.Loop() { // one hop of 5 ms
		for i := range 240 {
			r.Push(float64(i), out[:])
		}
	}
}

func TestRing(t *testing.T) {
	r := NewRing(8)
	if got := r.Window(-8, 8); got[0] != 0 || r.Oldest() != -8 {
		t.Errorf("an empty ring reads %v from %d, want zeros from -8", got, r.Oldest())
	}
	for i := range 21 {
		r.Push(float64(i))
		n := min(i+1, 8)
		for j, v := range r.Window(i+1-n, n) {
			if want := float64(i + 1 - n + j); v != want {
				t.Fatalf("after %d samples: %g at %d, want %g", i+1, v, i+1-n+j, want)
			}
		}
	}
	if r.At(3) != 13 || r.At(20) != 20 {
		t.Errorf("At(3) = %g, At(20) = %g, want 13, the oldest kept, and 20", r.At(3), r.At(20))
	}
	for _, c := range [][2]int{{12, 3}, {19, 3}, {15, -1}} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("Window(%d, %d) of samples 13 to 21 did not panic", c[0], c[1])
				}
			}()
			r.Window(c[0], c[1])
		}()
	}
}

// The complex transform is its definition, and the inverse leads back.
func TestFFTIsTheDefinition(t *testing.T) {
	for _, n := range []int{4, 16, 256} {
		z := make([]complex128, n)
		for i := range z {
			z[i] = complex(math.Sin(float64(i*i)), math.Cos(float64(3*i)))
		}
		got := slices.Clone(z)
		f := NewFFT(n)
		f.Transform(got)
		for k := range got {
			want := complex128(0)
			for i, v := range z {
				want += v * cmplx.Rect(1, -2*math.Pi*float64(i*k%n)/float64(n))
			}
			if cmplx.Abs(got[k]-want) > 1e-11*float64(n) {
				t.Errorf("%d samples: bin %d = %v, want %v", n, k, got[k], want)
			}
		}
		f.Inverse(got)
		for i, v := range got {
			if cmplx.Abs(v/complex(float64(n), 0)-z[i]) > 1e-12*float64(n) {
				t.Errorf("%d samples: back at %d is %v, want %v", n, i, v/complex(float64(n), 0), z[i])
			}
		}
	}
}

func TestFFTRefusesOtherSizes(t *testing.T) {
	for _, n := range []int{0, 1, 2, 8, 12, 32} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("an FFT of %d samples was made", n)
				}
			}()
			NewFFT(n)
		}()
	}
}
