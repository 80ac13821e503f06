package reeds

import (
	"math"
	"slices"

	"reedwell/audio/listen"
)

// A try is one held note.
type try struct {
	cents   float64 // over 440 Hz: median of the held part
	spread  float64 // cents from the 10th to the 90th percentile
	level   float64 // dBFS
	speak   float64 // seconds from a fifth to seven tenths of the amplitude; negative when noise or another note hides it
	flutter float64 // octaves by which the spectrum's centroid flutters
	bright  float64 // Hz, median centroid
	along   float64 // dB of the hole that sounds along; 0 for none
	end     int64   // sample
}

// flutterLag in frames: 20 ms, half the ear's window. Noise is mostly another by then, while a pitch that
// wanders through a room's resonances has moved little: over 40 ms a reed in a room passed for one that hisses.
const flutterLag = 4

// The amplitudes between which a reed's rise is timed, in dB under the held level: 0.2 and 0.7.
const riseLow, riseHigh = -14.0, -3.0

// measure takes the held part of a sound. back ends where the sound does, and goes back to
// before it began.
func measure(run, back []listen.Frame, rate float64, ended bool) try {
	hop := 1.0
	if len(run) > 1 {
		hop = float64(run[1].At - run[0].At)
	}
	skip := int(settleSeconds * rate / hop)
	held := run[min(skip, len(run)-1):]
	if cut := skip / 2; ended && len(held) > 2*cut {
		held = held[:len(held)-cut]
	}
	c := cents(held)
	level := make([]float64, len(held))
	bright := make([]float64, len(held))
	var flutter, along []float64
	for i, f := range held {
		level[i], bright[i] = f.Level, f.Brightness
		if i >= 2*flutterLag {
			a, b, d := held[i-2*flutterLag].Brightness, held[i-flutterLag].Brightness, f.Brightness
			if a > 0 && b > 0 && d > 0 {
				flutter = append(flutter, math.Abs(math.Log2(a*d/(b*b))))
			}
		}
		if f.Others[0].F0 > 0 {
			along = append(along, f.Others[0].Level)
		}
	}
	t := try{cents: median(c), spread: quantile(c, 0.9) - quantile(c, 0.1), level: median(level),
		flutter: median(flutter), bright: median(bright), end: run[len(run)-1].At}
	if float64(len(along)) >= AlongShare*float64(len(held)) {
		if l := median(along); l >= AlongDB {
			t.along = min(l, -0.1)
		}
	}
	t.speak = rise(back, run[0].At, t.level, rate)
	return t
}

// rise times how a sound that is heard as a tone from sample first on reaches its level.
func rise(back []listen.Frame, first int64, level, rate float64) float64 {
	full := -1
	for i, f := range back {
		if f.At >= first && f.Level >= level+riseHigh {
			full = i
			break
		}
	}
	if full < 0 {
		return -1
	}
	// The ear may find the pitch before or after the level is there.
	for full > 0 && back[full-1].Level >= level+riseHigh {
		full--
	}
	low := full
	for low >= 0 && back[low].Level > level+riseLow {
		low--
	}
	if low < 0 {
		return -1
	}
	return float64(back[full].At-back[low].At) / rate
}

// best is the try to believe. Playing hard and bending only flatten a reed, so of the tries that are
// about as steady as the steadiest it is the highest, and of those that agree with it
// the steadiest. r must have a try.
func (r *reed) best() try {
	steadiest := math.Inf(1)
	for _, t := range r.tries {
		steadiest = min(steadiest, t.spread)
	}
	high := math.Inf(-1)
	for _, t := range r.tries {
		if t.spread <= steadiest+AgreeCents {
			high = max(high, t.cents)
		}
	}
	best := try{spread: math.Inf(1)}
	for _, t := range r.tries {
		if math.Abs(t.cents-high) <= AgreeCents && t.spread < best.spread {
			best = t
		}
	}
	return best
}

func cents(frames []listen.Frame) []float64 {
	c := make([]float64, len(frames))
	for i, f := range frames {
		c[i] = 1200 * math.Log2(f.F0/440)
	}
	return c
}

// quantile of xs, which it leaves as it is; 0 for none.
func quantile(xs []float64, q float64) float64 {
	if len(xs) == 0 {
		return 0
	}
	s := slices.Clone(xs)
	slices.Sort(s)
	return s[int(q*float64(len(s)-1)+0.5)]
}

func median(xs []float64) float64 { return quantile(xs, 0.5) }
