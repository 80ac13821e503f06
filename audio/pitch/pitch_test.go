package pitch

import (
	"math"
	"testing"
)

// tone adds harmonics with the given amplitudes of hz to x, phase 0.3 k^2 apart.
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
}

func TestTones(t *testing.T) {
	const rate = 12000
	d := New(rate, 125, 3400)
	x := make([]float64, Size)
	for name, amps := range timbres {
		worst, at := 0.0, 0.0
		for hz := 130.0; hz < 3300; hz *= 1.0137 {
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
				t.Errorf("%s at %.2f Hz: share %.3f", name, hz, est.Share)
			}
		}
		t.Logf("%s: worst %.3f cents at %.1f Hz", name, worst, at)
	}
}

func BenchmarkAnalyse(b *testing.B) {
	const rate = 12000
	d := New(rate, 125, 3400)
	x := make([]float64, Size)
	tone(x, rate, 261.6, 0.1, timbres["reed"])
	beside := []float64{330, 220}
	b.ReportAllocs()
	for b.Loop() {
		d.Analyse(x, 0, func(float64) []float64 { return beside })
	}
}
