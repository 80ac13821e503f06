package onset

import "math"

const (
	// fadeSide is how many samples to either side of a change, 32 ms, show what each tone is like, and fadeSkip how many next to it,
	// 7.5 ms, are left out, in which it may go on. fadeLeast, 12.5 ms, is the least that shows it. On the tuning half's warbles 25 ms
	// gives 1 to 2 fewer of 55 within 2 points.
	fadeSide, fadeSkip, fadeLeast = 380, 90, 150
	// fadeWindow, 10 ms, is how long a stretch tells how much of each tone there is; 7.5 and 13 ms do about the same.
	fadeWindow = 120
	fadeStep   = 20 // samples, 1.7 ms
	// The new tone is looked for from fadeAfter to fadeBefore samples, 12.5 ms and 25 ms, to either side of the change.
	fadeAfter, fadeBefore = 150, 300
	// fadeShare is the share of its amplitude at which a tone starts: -12 dB, as starts are told everywhere here.
	fadeShare = 0.25
	// fadeSweeps is how often the lines are fitted in turn to what the others leave. Our choice: more do the same.
	fadeSweeps = 2
	// sameLine is how near, in Hz, a line of one tone may lie to one of the other for them to be taken as one. Our choice.
	sameLine = 15.0
	// fadeRidge keeps two tones of one look apart. Our choice.
	fadeRidge = 0.02
)

// A crossfade tells how much of each of two tones there is, where one gives way to the other: both are known, line by line and with
// what a room leaves of the other, from the sound before and after.
type crossfade struct {
	rate         float64
	short        []float64 // window of fadeWindow
	section      []float64 // window of a section
	rest         []float64
	lines        [2 * changeLines]line
	count        int
	old, new     [2][]float64 // each as it is and a quarter of a period on
	first, known int          // the places in x that those are of
}

// A line is a sine of f cycles a sample, the real part of amplitude times exp(i 2 pi f n).
type line struct{ f, re, im float64 }

func newCrossfade(rate float64) *crossfade {
	const span = fadeBefore + fadeAfter + fadeWindow
	c := &crossfade{rate: rate, short: window(fadeWindow), section: make([]float64, fadeSide), rest: make([]float64, fadeSide)}
	for i := range 2 {
		c.old[i], c.new[i] = make([]float64, span), make([]float64, span)
	}
	return c
}

// starts says after how many samples of x the tone of pitch after starts, when mid is about where it takes over from before: where
// it last rose through fadeShare of what it comes to. ok is false when too little is known or no such place is found. Pitches in cycles
// a sample.
func (c *crossfade) starts(x []float64, before, after, mid float64) (at float64, ok bool) {
	m := int(mid)
	head, tail := max(0, m-fadeSkip-fadeSide), m+fadeSkip
	c.first = max(0, m-fadeBefore-fadeWindow/2)
	c.known = min(len(x), m+fadeAfter+fadeWindow/2) - c.first
	if m-fadeSkip-head < fadeLeast || len(x)-tail < fadeLeast {
		return 0, false
	}
	c.fit(x[head:m-fadeSkip], before, after)
	c.render(&c.old, c.first-head)
	c.fit(x[tail:min(len(x), tail+fadeSide)], after, before)
	c.render(&c.new, c.first-tail)
	later := 0.0
	for i := c.known - fadeWindow; i >= 0; i -= fadeStep {
		share := c.share(x[c.first:], i)
		if share <= fadeShare {
			if later == 0 {
				return 0, false
			}
			part := (fadeShare - share) / (later - share)
			return float64(c.first+i+fadeWindow/2) + part*fadeStep, true
		}
		later = share
	}
	return 0, false
}

// fit sets the lines of x, a tone of one pitch and what is there of the other's, with place 0 at x[0].
func (c *crossfade) fit(x []float64, pitch, other float64) {
	c.count = 0
	for _, f := range [2]float64{pitch, other} {
		for k := 1; k <= changeLines && f*float64(k) < 0.44; k++ {
			c.add(f * float64(k))
		}
	}
	w, rest := c.section[:len(x)], c.rest[:len(x)]
	turn := 2 * math.Pi / float64(len(x))
	for i := range w {
		w[i] = 0.5 - 0.5*math.Cos(turn*(float64(i)+0.5))
	}
	copy(rest, x)
	scale := 4 / float64(len(x)) // twice over the sum of the window
	for range fadeSweeps {
		for i := range c.lines[:c.count] {
			l := &c.lines[i]
			s, co := math.Sincos(2 * math.Pi * l.f)
			zr, zi := 1.0, 0.0
			var re, im float64
			for j, v := range rest {
				v *= w[j]
				re += v * zr
				im -= v * zi
				zr, zi = zr*co-zi*s, zr*s+zi*co
			}
			re, im = re*scale, im*scale
			l.re += re
			l.im += im
			// What is left, with one rotation of the amplitude itself.
			for j := range rest {
				rest[j] -= re
				re, im = re*co-im*s, re*s+im*co
			}
		}
	}
}

// add takes a line at f unless one is there.
func (c *crossfade) add(f float64) {
	for _, l := range c.lines[:c.count] {
		if math.Abs(l.f-f)*c.rate < sameLine {
			return
		}
	}
	c.lines[c.count] = line{f: f}
	c.count++
}

// render writes the lines from place on to tone, as they are and a quarter of a period on.
func (c *crossfade) render(tone *[2][]float64, place int) {
	as, on := tone[0][:c.known], tone[1][:c.known]
	clear(as)
	clear(on)
	for _, l := range c.lines[:c.count] {
		s, co := math.Sincos(2 * math.Pi * l.f)
		zi, zr := math.Sincos(2 * math.Pi * l.f * float64(place))
		re, im := l.re*zr-l.im*zi, l.re*zi+l.im*zr
		for j := range as {
			as[j] += re
			on[j] -= im
			re, im = re*co-im*s, re*s+im*co
		}
	}
}

// share is how much of the new tone there is in the window at place i of what is known, 1 for what it comes to: by least squares in both tones,
// each free to be early or late in its period, since a reed speaks flat and finds its pitch later.
func (c *crossfade) share(x []float64, i int) float64 {
	const n = 4
	x = x[i : i+fadeWindow]
	a, b := c.new[0][i:i+fadeWindow], c.new[1][i:i+fadeWindow]
	d, e := c.old[0][i:i+fadeWindow], c.old[1][i:i+fadeWindow]
	var m [n][n + 1]float64
	for j, w := range c.short {
		v := [n + 1]float64{d[j], e[j], a[j], b[j], x[j]}
		for k := range n {
			t := w * v[k]
			for l := k; l <= n; l++ {
				m[k][l] += t * v[l]
			}
		}
	}
	for k := range n {
		m[k][k] *= 1 + fadeRidge
		for l := range k {
			m[k][l] = m[l][k]
		}
	}
	for k := range n { // Gauss, the matrix is positive definite
		if m[k][k] <= 0 {
			return 0 // silence
		}
		for l := k + 1; l < n; l++ {
			q := m[l][k] / m[k][k]
			for o := k; o <= n; o++ {
				m[l][o] -= q * m[k][o]
			}
		}
	}
	late := m[3][4] / m[3][3]
	return math.Hypot((m[2][4]-m[2][3]*late)/m[2][2], late)
}
