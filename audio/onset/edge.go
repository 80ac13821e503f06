package onset

import (
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
)

// rise is where, in blocks from..to, the level last rose through riseDB under top, in samples. What
// lies under the rise may be the tone itself.
func (e *Envelope) rise(from, to int, top float64, w int) float64 {
	high := from // first block near the top
	for high < to && e.db(high, w) < top-1 {
		high++
	}
	at, bottom := e.trough(from, high, w)
	floor := dsp.Power(bottom)
	limit := dsp.DB(floor + (dsp.Power(top)-floor)*dsp.Power(-riseDB))
	for i := high; i > from; i-- {
		u, v := e.db(i-1, w), e.db(i, w)
		if u >= limit {
			continue
		}
		begin := float64(i)
		if v > u {
			begin = float64(i-1) + min(1, (limit-u)/(v-u))
		}
		return begin*Block + Block/2
	}
	return float64(at)*Block + Block/2
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
