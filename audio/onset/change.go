package onset

import (
	"math"

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
		l, m, r := score[best-1], score[best], score[best+1]
		if q := l - 2*m + r; q < 0 {
			at += float64(step) * 0.5 * (l - r) / q
		}
	}
	return at
}

const (
	shortWindow = 150 // samples, 12.5 ms: tells lines apart that lie 120 Hz or more from each other
	shortStep   = 30  // 2.5 ms
	shortClear  = 110.0
)

// emerge says after how many samples of x the tone at after began to grow, when mid is
// where it took over from before: where the power of its lines clear of before's last
// rose through riseDB under what it reaches. x must hold a window's half more than mid to
// either side. ok is false when no line is clear or none grows. Pitches in Hz.
func emerge(x []float64, rate, before, after, mid float64, hann []float64) (at float64, ok bool) {
	var power [64]float64
	count := min(len(power), (len(x)-shortWindow)/shortStep+1)
	lines := 0
	for k := 1; k <= 8 && lines < 3; k++ {
		f := after * float64(k)
		if f > 0.44*rate {
			break
		}
		off := math.Mod(f, before)
		if off = math.Min(off, before-off); off < shortClear {
			continue
		}
		lines++
		s, c := math.Sincos(-2 * math.Pi * f / rate)
		for i := range count {
			w := x[i*shortStep : i*shortStep+shortWindow]
			zr, zi := 1.0, 0.0
			var sr, si float64
			for j, v := range w {
				v *= hann[j]
				sr += v * zr
				si += v * zi
				zr, zi = zr*c-zi*s, zr*s+zi*c
			}
			power[i] += sr*sr + si*si
		}
	}
	if lines == 0 || count < 3 {
		return 0, false
	}
	middle := func(i int) float64 { return float64(i*shortStep) + shortWindow/2 }
	top := 0.0
	for i := range count {
		top = math.Max(top, power[i])
	}
	limit := top * dsp.Power(-riseDB)
	i := 0
	for i < count-1 && middle(i) < mid {
		i++
	}
	for ; i > 0 && power[i] > limit; i-- {
	}
	if power[i] > limit || power[i+1] <= power[i] {
		return 0, false
	}
	u, v := dsp.DB(power[i]), dsp.DB(power[i+1])
	return middle(i) + shortStep*(dsp.DB(limit)-u)/(v-u), true
}
