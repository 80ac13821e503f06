package synth

import "math"

// random is SplitMix64 (Steele, Lea & Flood 2014, constants from memory): one
// 64-bit state, the same numbers on every platform.
type random uint64

func (r *random) next() uint64 {
	*r += 0x9e3779b97f4a7c15
	z := uint64(*r)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// unit is evenly spread over [-1, 1).
func (r *random) unit() float64 { return float64(int64(r.next())>>11) / (1 << 52) }

func newRandom(seed, stream uint64) random {
	r := random(seed*0xd1342543de82ef95 + stream)
	r.next()
	return r
}

// drift is the slow wandering of a player's pitch and level: a few sines with
// drawn rates and phases, so that it can be asked at any time.
type drift struct {
	size   float64
	rate   [4]float64 // radians a second
	pitch  [4]float64 // phases
	strong [4]float64
}

// newDrift draws the wandering of one voice. Rates from 0.4 to 5 Hz, our choice:
// slower is a matter of the drill, faster is roughness of the tone.
func newDrift(seed, stream uint64, size float64) drift {
	d := drift{size: size}
	r := newRandom(seed, 2*stream+1)
	for i := range d.rate {
		d.rate[i] = 2 * math.Pi * 0.4 * math.Exp2(float64(i)+0.7*(1+r.unit())/2)
		d.pitch[i] = math.Pi * r.unit()
		d.strong[i] = math.Pi * r.unit()
	}
	return d
}

// at gives cents and dB at t seconds.
func (d *drift) at(t float64) (cents, db float64) {
	if d.size == 0 {
		return 0, 0
	}
	for i, w := range d.rate {
		cents += math.Sin(w*t + d.pitch[i])
		db += math.Sin(w*t + d.strong[i])
	}
	// Four sines have a standard deviation of sqrt(2).
	return cents * d.size / math.Sqrt2, db * d.size * 0.2 / math.Sqrt2
}

// hiss is breath noise of RMS 1: white noise between about 900 and 5000 Hz.
type hiss struct {
	r         random
	low, high float64 // one-pole states
	kl, kh    float64
	scale     float64
}

func newHiss(seed, stream uint64, rate float64) *hiss {
	h := &hiss{r: newRandom(seed, 2*stream+2)}
	h.kl = 1 - math.Exp2(-2*math.Pi*math.Min(5000, 0.3*rate)/rate*math.Log2E)
	h.kh = 1 - math.Exp2(-2*math.Pi*900/rate*math.Log2E)
	// Power of the cascade for white noise of variance 1/3: the low-pass has poles
	// at a = 1-kl, the difference from its own low-pass removes what lies under b.
	// Summed over the impulse response, which is exact and cheap.
	var l, hp, sum float64
	for i := range int(rate / 50) {
		x := 0.0
		if i == 0 {
			x = 1
		}
		l += h.kl * (x - l)
		hp += h.kh * (l - hp)
		sum += (l - hp) * (l - hp)
	}
	h.scale = math.Sqrt(3 / sum)
	return h
}

func (h *hiss) next() float64 {
	h.low += h.kl * (h.r.unit() - h.low)
	h.high += h.kh * (h.low - h.high)
	return h.scale * (h.low - h.high)
}
