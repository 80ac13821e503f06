package audiotest

import "math"

// Period measures the frequency of a long steady tone, given within 80 cents: the lag at
// which the sound is most like itself, first about one period, then the multiples of it
// up to a quarter of the sound, each found near the place the one before foretells.
// Plain autocorrelation of the whole, nothing the product uses.
func Period(x []float32, rate int, about float64) float64 {
	n := len(x) / 2
	cor := func(lag int) float64 {
		var c, a, b float64
		for i := range n {
			u, v := float64(x[i]), float64(x[i+lag])
			c += u * v
			a += u * u
			b += v * v
		}
		return c / math.Sqrt(a*b+1e-30)
	}
	best := func(mid, half float64) float64 {
		lo, hi := int(mid-half), int(mid+half+1)
		at, top := lo, math.Inf(-1)
		for lag := lo; lag <= hi; lag++ {
			if c := cor(lag); c > top {
				at, top = lag, c
			}
		}
		l, m, r := cor(at-1), top, cor(at+1)
		q := l - 2*m + r
		if q >= 0 {
			return float64(at)
		}
		return float64(at) + 0.5*(l-r)/q
	}
	period := float64(rate) / about
	period = best(period, period*0.048)
	for m := 2.0; m*period < float64(len(x))/4; m *= 2 {
		period = best(m*period, math.Min(3, 0.3*period)) / m
	}
	return float64(rate) / period
}
