package pitch

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// tone adds harmonics with the given amplitudes of hz to x, their phases apart.
func tone(x []float64, rate, hz, scale float64, amps []float64) {
	for k, a := range amps {
		f := hz * float64(k+1)
		if f > 5600 {
			break
		}
		for n := range x {
			x[n] += scale * a * math.Sin(2*math.Pi*f*float64(n)/rate+0.3*float64(k*k+1))
		}
	}
}

var timbres = map[string][]float64{
	"sine":         {1},
	"reed":         {1, 0.8, 0.6, 0.45, 0.3, 0.25, 0.2, 0.15, 0.1, 0.08, 0.05},
	"weak first":   {0.22, 0.3, 0.5, 0.6, 1, 0.5, 0.4, 0.3, 0.2, 0.2, 0.1, 0.1},
	"second rules": {0.3, 1, 0.25, 0.5, 0.15, 0.3, 0.1, 0.1},
	"odd ones":     {1, 0.05, 0.5, 0.05, 0.3, 0.05, 0.2},
	"no first":     {0, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3},
}

func TestTones(t *testing.T) {
	for _, rate := range []float64{MinRate, 12000, MaxRate} {
		d := New(rate, 125, 3400)
		x := make([]float64, Size)
		for name, amps := range timbres {
			worst, at := 0.0, 0.0
			for hz := 130.0; hz < 3300; hz *= 1.0137 {
				if name == "no first" && hz > 1200 {
					break // three lines at least
				}
				clear(x)
				tone(x, rate, hz, 0.1, amps)
				est := d.Analyse(x, 0, nil)
				cents := 1200 * math.Log2(est.F0/hz)
				if !(math.Abs(cents) < 50) {
					t.Errorf("%s at %.2f Hz: heard %.2f Hz (score %.2f)", name, hz, est.F0, est.Score)
					continue
				}
				if math.Abs(cents) > worst {
					worst, at = math.Abs(cents), hz
				}
				if est.Share < 0.95 {
					t.Errorf("%s at %.2f Hz: share %.3f, want 0.95 of a clean tone", name, hz, est.Share)
				}
			}
			t.Logf("%g Hz, %s: worst %.3f cents at %.1f Hz", rate, name, worst, at)
			// A tenth of what a player is told.
			if worst > 0.2 {
				t.Errorf("%g Hz, %s: %.3f cents off at %.1f Hz, want 0.2", rate, name, worst, at)
			}
		}
	}
}

// slowPitch is the twin of Analyse that is slow and plain: the f0 near about Hz at which a sum
// of harmonics, fitted by weighted least squares in the time domain, leaves least.
func slowPitch(x []float64, rate, about float64) float64 {
	left := func(hz float64) float64 {
		var cols [][]float64
		for k := 1; float64(k)*hz < 5300 && k <= 12; k++ {
			c, s := make([]float64, len(x)), make([]float64, len(x))
			for n := range x {
				p := 2 * math.Pi * hz * float64(k) * float64(n) / rate
				c[n], s[n] = math.Cos(p), math.Sin(p)
			}
			cols = append(cols, c, s)
		}
		w := func(n int) float64 {
			h := 0.5 - 0.5*math.Cos(2*math.Pi*float64(n)/float64(len(x)))
			return h * h
		}
		// Normal equations, solved by Cholesky's method (Golub & Van Loan).
		m := len(cols)
		g, r := make([][]float64, m), make([]float64, m)
		total := 0.0
		for i := range cols {
			g[i] = make([]float64, m)
			for j := 0; j <= i; j++ {
				for n := range x {
					g[i][j] += w(n) * cols[i][n] * cols[j][n]
				}
			}
			for n := range x {
				r[i] += w(n) * cols[i][n] * x[n]
			}
		}
		for n := range x {
			total += w(n) * x[n] * x[n]
		}
		for i := range m {
			for j := 0; j <= i; j++ {
				for k := range j {
					g[i][j] -= g[i][k] * g[j][k]
				}
				if i == j {
					g[i][i] = math.Sqrt(g[i][i])
				} else {
					g[i][j] /= g[j][j]
				}
			}
			for k := range i {
				r[i] -= g[i][k] * r[k]
			}
			r[i] /= g[i][i]
			total -= r[i] * r[i]
		}
		return total
	}
	lo, hi := about*0.99, about*1.01
	for range 28 { // golden section (Kiefer 1953)
		a, b := hi-(hi-lo)*0.618034, lo+(hi-lo)*0.618034
		if left(a) < left(b) {
			hi = b
		} else {
			lo = a
		}
	}
	return (lo + hi) / 2
}

func TestAgreesWithLeastSquares(t *testing.T) {
	const rate = 12000
	rng := rand.New(rand.NewPCG(3, 4))
	d := New(rate, 125, 3400)
	for _, hz := range []float64{147, 233, 440, 1175} {
		x := make([]float64, Size)
		tone(x, rate, hz, 0.1, timbres["reed"])
		for i := range x {
			x[i] += 0.001 * rng.NormFloat64() // 40 dB under
		}
		got, want := d.Analyse(x, 0, nil).F0, slowPitch(x, rate, hz)
		// The twin weighs the lines as they are, Analyse by the noise around each: half of
		// what this noise moves the pitch by.
		if c := 1200 * math.Log2(got/want); math.Abs(c) > 0.15 {
			t.Errorf("at %g Hz: %.4f Hz, least squares %.4f Hz: %.3f cents apart", hz, got, want, c)
		}
	}
}

// White noise: the scatter stays within three times the Cramer-Rao bound of the window,
// var(omega) >= 24 sigma^2 / (N (N^2-1) sum k^2 A_k^2) for harmonics (Rife & Boorstyn
// 1974 for one sine, from memory).
func TestNearTheCramerRaoBound(t *testing.T) {
	const rate = 12000.0
	rng := rand.New(rand.NewPCG(5, 6))
	d := New(rate, 125, 3400)
	for _, name := range []string{"sine", "reed"} {
		for _, hz := range []float64{196, 392, 1046} {
			amps := timbres[name]
			clean := make([]float64, Size)
			tone(clean, rate, hz, 0.1, amps)
			power, slope := 0.0, 0.0
			for k, a := range amps {
				if hz*float64(k+1) < 5300 {
					power += a * a * 0.01 / 2
					slope += float64((k+1)*(k+1)) * a * a * 0.01
				}
			}
			sigma := math.Sqrt(power / 100) // 20 dB
			const n = Size
			bound := math.Sqrt(24*sigma*sigma/(n*(n*n-1)*slope)) * rate / (2 * math.Pi)
			sum, trials := 0.0, 300
			x := make([]float64, Size)
			for range trials {
				for i := range x {
					x[i] = clean[i] + sigma*rng.NormFloat64()
				}
				e := d.Analyse(x, 0, nil).F0 - hz
				sum += e * e
			}
			ratio := math.Sqrt(sum/float64(trials)) / bound
			t.Logf("%s at %g Hz, 20 dB: %.2f times the bound of %.4f Hz", name, hz, ratio, bound)
			if !(ratio < 3) {
				t.Errorf("%s at %g Hz: scatter %.2f times the bound, want 3", name, hz, ratio)
			}
		}
	}
}

func TestNoAllocation(t *testing.T) {
	d := New(12000, 125, 3400)
	x := make([]float64, Size)
	tone(x, 12000, 261.6, 0.1, timbres["reed"])
	tone(x, 12000, 330, 0.03, timbres["reed"])
	near := []float64{330, 220}
	beside := func(float64) []float64 { return near }
	if n := testing.AllocsPerRun(50, func() { d.Analyse(x, 0, beside) }); n != 0 {
		t.Errorf("Analyse allocates %v times, want 0", n)
	}
}

func TestNewPanics(t *testing.T) {
	for _, c := range [][3]float64{{8000, 125, 3400}, {12000, 50, 3400}, {12000, 500, 400}, {12000, 125, 6000}, {math.NaN(), 125, 3400}} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("New(%v) did not panic", c)
				}
			}()
			New(c[0], c[1], c[2])
		}()
	}
}

func BenchmarkAnalyse(b *testing.B) {
	const rate = 12000
	for _, voices := range []int{1, 2} {
		b.Run(fmt.Sprintf("voices=%d", voices), func(b *testing.B) {
			d := New(rate, 125, 3400)
			x := make([]float64, Size)
			tone(x, rate, 261.6, 0.1, timbres["reed"])
			if voices == 2 {
				tone(x, rate, 329.6, 0.03, timbres["reed"])
			}
			near := []float64{330, 220}
			beside := func(float64) []float64 { return near }
			b.ReportAllocs()
			for b.Loop() {
				d.Analyse(x, 0, beside)
			}
		})
	}
}

// The quartile is what lies a quarter up in order, of every second value where there are many: equal values and zeros among them.
func TestQuartileIsTheOrdered(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	scratch := make([]uint64, 400)
	for range 2000 {
		x := make([]float64, 1+rng.IntN(200))
		for i := range x {
			x[i] = rng.ExpFloat64()
			if i > 0 && rng.IntN(5) == 0 {
				x[i] = x[i-1] * float64(rng.IntN(2))
			}
		}
		ordered := slices.Clone(x)
		if len(x) > 20 {
			ordered = nil
			for i := 0; i+1 < len(x); i += 2 {
				ordered = append(ordered, x[i])
			}
		}
		slices.Sort(ordered)
		if got, want := quartile(x, scratch), ordered[len(ordered)/4]; got != want {
			t.Fatalf("of %d values %g, want %g", len(x), got, want)
		}
	}
}

func BenchmarkQuartile(b *testing.B) {
	rng := rand.New(rand.NewPCG(3, 2))
	x := make([]float64, 257*1000) // more than a processor remembers the branches of
	for i := range x {
		x[i] = rng.ExpFloat64()
	}
	scratch := make([]uint64, 257)
	for at := 0; b.Loop(); at = (at + 257) % len(x) {
		for k := range len(bands) - 1 {
			quartile(x[at+bands[k]:at+bands[k+1]], scratch)
		}
	}
}
