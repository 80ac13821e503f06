package onset

import (
	"math"
	"slices"

	"reedwell/audio/internal/dsp"
)

const changeLines = 6 // harmonics of each pitch that take part; our choice

// change says after how many samples of x one pitch gives way to another: the place t that
// maximises the power which lines of before explain in x[:t] and lines of after in
// x[t:], the likelihood of a single change in white noise with the lines taken as
// orthogonal. Places are tried step samples apart within [from, to] and the best
// one is refined by a parabola. Pitches in cycles a sample.
func change(x []float64, before, after float64, from, to, step int) float64 {
	n := len(x)
	var score [64]float64
	count := min(len(score), (to-from)/step+1)
	line := func(f float64, head bool) {
		// Running sums of x exp(-i 2 pi f n).
		s, c := math.Sincos(-2 * math.Pi * f)
		zr, zi := 1.0, 0.0
		var sr, si float64
		var atR, atI [64]float64
		next, k := from, 0
		for i, v := range x {
			if i == next && k < count {
				atR[k], atI[k] = sr, si
				k++
				next += step
			}
			sr += v * zr
			si += v * zi
			zr, zi = zr*c-zi*s, zr*s+zi*c
		}
		for k := range count {
			t := from + k*step
			if head {
				score[k] += (atR[k]*atR[k] + atI[k]*atI[k]) / float64(max(t, 1))
			} else {
				r, i := sr-atR[k], si-atI[k]
				score[k] += (r*r + i*i) / float64(max(n-t, 1))
			}
		}
	}
	for k := 1; k <= changeLines; k++ {
		if f := before * float64(k); f < 0.44 {
			line(f, true)
		}
		if f := after * float64(k); f < 0.44 {
			line(f, false)
		}
	}
	best := 0
	for k := range count {
		if score[k] > score[best] {
			best = k
		}
	}
	at := float64(from + best*step)
	if best > 0 && best < count-1 {
		at += float64(step) * dsp.Vertex(score[best-1], score[best], score[best+1])
	}
	return at
}

const (
	shortWindow = 150 // samples, 12.5 ms: tells lines apart that lie 120 Hz or more from each other
	shortStep   = 30  // 2.5 ms
	shortClear  = 110.0
	// growDB is how far under what it reaches, in dB, over what was there before, a tone is first seen to grow: the least
	// bias against the -12 dB points of sampled warbles.
	growDB = 14.0
)

// emerge says after how many samples of x the tone at after began to grow, when mid is
// where it took over from before: where the power of its lines clear of before's last
// rose through growDB under what it reaches, over what was there before. x must hold a window's half more than mid to
// either side. ok is false when no line is clear or none grows. Pitches in Hz.
func emerge(x []float64, rate, before, after, mid float64, hann []float64) (at float64, ok bool) {
	var grown [64]float64
	count := min(len(grown), (len(x)-shortWindow)/shortStep+1)
	var clearly, power [3]float64
	clear := 0
	for k := 1; k <= 8 && clear < len(clearly); k++ {
		f := after * float64(k)
		if f > 0.44*rate {
			break
		}
		off := math.Mod(f, before)
		if off = min(off, before-off); off < shortClear {
			continue
		}
		clearly[clear] = f / rate
		clear++
	}
	for i := range count {
		powers(power[:clear], clearly[:clear], x[i*shortStep:i*shortStep+shortWindow], hann)
		for _, p := range power[:clear] {
			grown[i] += p
		}
	}
	if clear == 0 || count < 3 {
		return 0, false
	}
	middle := func(i int) float64 { return float64(i*shortStep) + shortWindow/2 }
	top := 0.0
	for i := range count {
		top = max(top, grown[i])
	}
	i := 0
	for i < count-1 && middle(i) < mid {
		i++
	}
	// What is there before is a room's or the other tone's.
	floor := slices.Min(grown[:i+1])
	limit := floor + (top-floor)*dsp.Power(-growDB)
	for ; i > 0 && grown[i] > limit; i-- {
	}
	if grown[i] > limit || grown[i+1] <= grown[i] {
		return 0, false
	}
	u, v := dsp.DB(grown[i]), dsp.DB(grown[i+1])
	return middle(i) + shortStep*(dsp.DB(limit)-u)/(v-u), true
}

const (
	lead     = 0.006 // s by which a new tone starts before it takes over where that can't be seen; measured on sampled harmonicas
	mostLead = 0.025 // s
)

// takeover is the moment at which the pitch before gives way to after, near
// frame n, and not before sample begin. left is the pitch of what the room has of the new one.
func takeover(ring *dsp.Ring, rate float64, n int, before, after, left, begin float64, hann []float64, fade *crossfade) moment {
	const side, search, step = 420, 240, 20 // 35 ms of sound, 20 ms of search, 1.7 ms
	mid := n*FrameHop - FrameHop/2
	from := max(mid-side, ring.Oldest(), int(begin))
	to := min(mid+side, ring.Count())
	lo, hi := max(mid-search-from, step), min(mid+search-from, to-from-step)
	if hi <= lo {
		return moment{at: float64(mid)}
	}
	x := ring.Window(from, to-from)
	at := change(x, before/rate, after/rate, lo, hi, step)
	// The new tone starts before it takes over. An octave's lines are all the other tone's too: no shares can be told.
	if !multiple(after, before) && fade.change(x, before/rate, after/rate, left/rate, at, float64(from)) {
		return fade.came.start
	}
	if grown, ok := emerge(x, rate, before, after, at, hann); ok && grown < at {
		at = max(grown, at-mostLead*rate)
	} else {
		at -= lead * rate
	}
	return moment{at: float64(from) + at}
}
