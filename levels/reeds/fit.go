package reeds

import (
	"math"

	"reedwell/levels/harp"
)

// A Fit is the tuning that explains a harp best.
type Fit struct {
	Found  bool // false: fewer than EnoughReeds heard
	Tuning harp.Tuning
	A4     float64 // Hz, to a hundredth; at the middle of the harp, 4 blow
	// Stretch is by how many cents an octave the reeds widen towards both ends.
	Stretch float64
	RMS     float64     // cents: what is left of the reeds that fit
	Next    harp.Tuning // the one that comes next
	Sure    bool        // whether the first explains clearly more than the next
}

const (
	// outlier is the cents from which on a reed is no worse a witness: it's off, not the tuning. Our choice,
	// under the 15 to 30 that set tunings apart and over what reeds scatter.
	outlier = 10.0
	// stretchCost makes stretch, in squared cents per cent an octave, worth assuming only where it explains something.
	stretchCost = 4.0
	// surely: the next tuning must leave this much more, in squared cents, for the first to be sure: more than
	// five reeds that scatter by 3 cents do. Our choice.
	surely = 60.0
)

// fit finds tuning, A4 and stretch for the reeds listed and their cents over 440 Hz: least
// squares in which no reed counts for more than outlier. Every reed's own offset is tried as the start, so
// the result is the best of all, whichever reeds are off.
func fit(k harp.Key, reeds []int, cents []float64) Fit {
	var f Fit
	best, next := math.Inf(1), math.Inf(1)
	rest := make([]float64, len(reeds))
	for _, t := range harp.Tunings() {
		mine := Fit{Found: true, Tuning: t}
		least := math.Inf(1)
		for stretch := 0.0; stretch <= 3; stretch++ {
			for j, i := range reeds {
				rest[j] = cents[j] - ideal(k, i, t, stretch)
			}
			for _, start := range rest {
				offset, cost, n := settleAt(start, rest)
				if c := cost + stretchCost*stretch; c < least {
					least = c
					a4 := math.Round(44000*math.Exp2(offset/1200)) / 100
					mine.A4 = min(harp.MaxA4, max(harp.MinA4, a4))
					mine.Stretch = stretch
					mine.RMS = math.Sqrt(max(0, cost-outlier*outlier*float64(len(rest)-n)) / float64(n))
				}
			}
		}
		if least < best-1e-9 { // the first listed of two that fit alike
			f.Next, next = f.Tuning, best
			mine.Next, f, best = f.Next, mine, least
		} else if least < next {
			f.Next, next = t, least
		}
	}
	f.Sure = next-best > surely
	return f
}

// settleAt refines an offset by the mean of the reeds near it and returns it, its cost and how
// many are near.
func settleAt(offset float64, rest []float64) (_, cost float64, n int) {
	for range 5 {
		sum := 0.0
		n = 0
		for _, r := range rest {
			if math.Abs(r-offset) < outlier {
				sum += r
				n++
			}
		}
		if n == 0 {
			break
		}
		offset = sum / float64(n)
	}
	n = 0
	for _, r := range rest {
		d := math.Abs(r - offset)
		if d < outlier {
			n++
		}
		cost += min(d, outlier) * min(d, outlier)
	}
	return offset, cost, max(1, n)
}

// ideal is reed i in cents over A4 in a tuning with a stretch.
func ideal(k harp.Key, i int, t harp.Tuning, stretch float64) float64 {
	c := nominal(k, i)
	middle := 100 * float64(k.MIDI()+12-69)
	return c + t.Deviation(i/2+1, harp.Breath(i%2)) + stretch*(c-middle)/1200
}

// expect is where the fit has reed i, in cents over 440 Hz.
func (f Fit) expect(k harp.Key, i int) float64 {
	return ideal(k, i, f.Tuning, f.Stretch) + harp.Cents(f.A4, 440)
}
