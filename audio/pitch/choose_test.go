package pitch

import (
	"math"
	"math/rand/v2"
	"testing"
)

// A comb that gives up would not have come to what was asked of it, and one that does not rates as a comb that is asked nothing.
func TestCombGivesUp(t *testing.T) {
	d := New(12000, 120, 3400)
	r := rand.New(rand.NewPCG(1, 2))
	x := make([]float64, Size)
	gaveUp, whole := 0, 0
	for range 100 {
		hz := 130 * math.Exp2(3*r.Float64())
		for i := range x {
			x[i] = 0.01 * r.NormFloat64()
			for k := 1.0; k < 6; k++ {
				x[i] += 0.05 / k * math.Sin(2*math.Pi*k*hz/12000*float64(i))
			}
		}
		d.spectrum(x)
		d.findPeaks()
		sumG, sumP := 0.0, 0.0
		for i := range d.peaks {
			d.peaks[i].used = 0
			sumG += d.peaks[i].g
			sumP += d.peaks[i].pow
		}
		mark := uint32(0)
		comb := func(nu, least float64) (score, fit float64) {
			mark++
			return d.comb(nu, mark, sumG, sumP, least)
		}
		for _, p := range d.peaks {
			for div := 1.0; div <= divisors && p.nu/div*d.binHz >= lowest; div++ {
				score, fit := comb(p.nu/div, math.Inf(-1))
				for _, least := range []float64{-0.5, 0, 0.3, 0.8} {
					switch s, f := comb(p.nu/div, least); {
					case math.IsInf(s, -1):
						gaveUp++
						if score >= least {
							t.Fatalf("%g Hz in bin %g: gives up under %g, would come to %g", hz, p.nu/div, least, score)
						}
					case s != score || f != fit:
						t.Fatalf("%g Hz in bin %g: score %g, fit %g when %g is asked, else %g, %g", hz, p.nu/div, s, f, least, score, fit)
					default:
						whole++
					}
				}
			}
		}
	}
	if gaveUp == 0 || whole == 0 {
		t.Errorf("%d combs gave up, %d did not: want some of both", gaveUp, whole)
	}
}
