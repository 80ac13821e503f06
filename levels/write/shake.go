package write

import (
	"math"

	"reedwell/audio/listen"
	"reedwell/levels/harp"
)

const (
	// leastShake is the least length in seconds of a note whose vibrato or wah is named:
	// two periods of the slowest and the attack.
	leastShake = 0.45
	// Vibrato of the throat is 4 to 7 Hz (common practice) and moves pitch and level; a hand
	// moves level and brightness and leaves the pitch. Amplitudes to either side. Sampled
	// harmonicas held without doing anything move by 0.16 dB and 0.1 cents at most at one
	// rate, and by 2 % in brightness.
	slowShake, quickShake = 3.5, 8.5
	slowHand              = 1.0
	vibratoCents          = 4.0
	handDB, handBright    = 0.5, 0.06 // dB; share of the mean brightness
	handTurns             = 1.25      // openings that must be heard
	plain                 = 0.55      // share of the movement that must be at one rate
)

// expression looks for vibrato and wah.
func (e *ear) expression(p *piece) {
	a, b := held(p.start, p.end)
	if p.warbles() || b-a < leastShake {
		return
	}
	a += 0.06 // a scoop, a glide
	var cents, level, bright []float64
	hop := 0.005
	for _, f := range e.frames(a, b) {
		if f.F0 <= 0 || f.Level <= listen.Floor {
			continue
		}
		cents = append(cents, harp.Cents(f.F0, concert))
		level = append(level, f.Level)
		bright = append(bright, f.Brightness)
	}
	if float64(len(level))*hop < leastShake-0.15 {
		return
	}
	mean := 0.0
	for _, v := range bright {
		mean += v / float64(len(bright))
	}
	// A hand first: its filter moves the measured pitch a little too, but vibrato moves the
	// brightness by 2 % only.
	rate, deep, pure := shake(level, hop, slowHand, quickShake)
	other, wide, _ := shake(bright, hop, slowHand, quickShake)
	if deep >= handDB && pure >= plain && wide >= handBright*mean && math.Abs(other-rate) <= 0.5 && rate*float64(len(level))*hop >= handTurns {
		p.wah = rate
		return
	}
	if _, wide, pure = shake(cents, hop, slowShake, quickShake); wide >= vibratoCents && pure >= plain {
		p.vibrato = true
	}
}

// shake finds the rate in Hz, from slow to quick, at which x moves most, the amplitude
// there, and which share of all movement about its straight line that is.
func shake(x []float64, hop, slow, quick float64) (rate, amplitude, share float64) {
	n := float64(len(x))
	if n < 8 {
		return 0, 0, 0
	}
	// The straight line of least squares is taken out.
	var sx, sxt float64
	for i, v := range x {
		sx += v
		sxt += v * (float64(i) - (n-1)/2)
	}
	slope := sxt / (n * (n*n - 1) / 12)
	y := make([]float64, len(x))
	total := 0.0
	for i, v := range x {
		y[i] = v - sx/n - slope*(float64(i)-(n-1)/2)
		total += y[i] * y[i]
	}
	if total == 0 {
		return 0, 0, 0
	}
	for f := math.Max(slow, 1/(n*hop)); f <= quick; f += 0.1 {
		var c, s float64
		for i, v := range y {
			w := 2 * math.Pi * f * hop * float64(i)
			c += v * math.Cos(w)
			s += v * math.Sin(w)
		}
		a := 2 * math.Sqrt(c*c+s*s) / n
		if a > amplitude {
			rate, amplitude = f, a
		}
	}
	return rate, amplitude, math.Min(1, amplitude*amplitude/2*n/total)
}
