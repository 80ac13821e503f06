package onset

import (
	"math"

	"reedwell/audio/internal/dsp"
)

const (
	// A note starts where its level rises to riseDB under what it reaches, and ends
	// where it falls to fallDB under what it was. Vos & Rasch 1981 place the perceived
	// onset 6 to 15 dB under the maximum (from memory); the smoothing of the envelope
	// spreads an edge, so the figures are set for the least bias against the -12 dB points of
	// sampled harmonicas and of our own voice.
	riseDB = 16.0
	fallDB = 9.0
	// mostHidden is how far, in blocks, a rise that noise hides is followed back: 5 ms. Further back starts
	// lie 6 to 8 ms early in noise.
	mostHidden = 2.0
	// noiseRise is how far over the lower quartile of a noise's smoothed power it seldom comes:
	// 5 dB.
	noiseRise = 3.2
)

// rise is where, in blocks from..to, the level last rose through riseDB under top, in samples. What
// lies under the rise may be the tone itself or, where noise says so, noise; then it is where
// it rose through the same share of what the tone adds, and clear of the noise's own ups and downs.
func (e *Envelope) rise(from, to int, top float64, w int, noise bool) float64 {
	high := from // first block near the top
	for high < to && e.db(high, w) < top-1 {
		high++
	}
	at, bottom := e.trough(from, high, w)
	floor := dsp.Power(bottom)
	threshold := floor + (dsp.Power(top)-floor)*dsp.Power(-riseDB)
	if noise && at-from >= 4 {
		threshold = math.Max(threshold, math.Min(e.quiet(from, at, w)*noiseRise, dsp.Power(top)/4))
	}
	limit := dsp.DB(threshold)
	for i := high; i > from; i-- {
		u, v := e.db(i-1, w), e.db(i, w)
		if u >= limit {
			continue
		}
		begin := float64(i)
		if v > u {
			begin = float64(i-1) + math.Min(1, (limit-u)/(v-u))
		}
		if noise {
			// Where noise hides the beginning, go back along the rise as it is seen above, but
			// not past half the way to the trough, behind which the rise can't have begun.
			hidden := (limit - (top - riseDB)) / math.Max(e.slope(i, high, limit, w), 0.1)
			begin -= math.Max(0, min(hidden, mostHidden, (begin-float64(at))/2))
		}
		return begin*Block + Block/2
	}
	return float64(at)*Block + Block/2
}

// slope is how many dB a block the level rises by from block i, just over limit, to 6 dB more.
func (e *Envelope) slope(i, high int, limit float64, w int) float64 {
	for j := i; j <= high; j++ {
		if v := e.db(j, w); v >= limit+6 {
			return (v - limit) / (float64(j-i) + 1)
		}
	}
	return math.Inf(1)
}

// quiet is the lower quartile of the power in blocks from..to, of which the last 32 count:
// the noise, also where a note is still dying away in the first of them.
func (e *Envelope) quiet(from, to, w int) float64 {
	var v [32]float64
	n := 0
	for i := max(from, to-len(v)+1); i <= to; i++ {
		x := e.db(i, w)
		j := n
		for ; j > 0 && v[j-1] > x; j-- {
			v[j] = v[j-1]
		}
		v[j] = x
		n++
	}
	return dsp.Power(v[n/4])
}

// fall is where, at or before block now, the level fell under limit, in samples.
func (e *Envelope) fall(now int, limit float64, w int) float64 {
	for i := now; i > now-recent; i-- {
		if v := e.db(i-1, w); v >= limit {
			u := e.db(i, w)
			frac := 0.0
			if v > u {
				frac = (v - limit) / (v - u)
			}
			return (float64(i-1)+frac)*Block + Block/2
		}
	}
	return float64(now) * Block
}
