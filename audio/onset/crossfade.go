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
	// Where a start lies more than fadeFar, 10 ms, before the change, both tones are taken again around a place fadeNear, 6 ms, after it:
	// in a room a tone that rings on puts the change off. Chosen on the tuning half.
	fadeFar, fadeNear = 120, 72
	// grownMost is how many times louder than at first a tone may turn out to be, and grownWithin, 0.25 s, how long a note may
	// last for that to be how its reed came up, and not how it is played. Our choice.
	grownMost, grownWithin = 2.0, 0.25
	// sameLine is how near, in Hz, a line of one tone may lie to one of the other for them to be taken as one. Our choice.
	sameLine = 15.0
	// fadeRidge keeps two tones of one look apart. Our choice.
	fadeRidge = 0.02
)

// risen are the shares of its amplitude that a start is told from: the mean of where it last rose through each, since two tones' beating makes
// steps in a rise; one share alone scatters by 5 to 10 in a hundred more. -12 dB, as starts are told everywhere here, is 0.25; a little
// less makes up for what the window and the mean do to a rise, and has the least bias between up and down. Chosen on the tuning half.
var risen = [...]float64{0.32, 0.27, 0.22, 0.17, 0.12}

// A crossfade tells how much of each of two tones there is, where one gives way to the other: both are known line by line, the old one with
// what a room leaves of the new one's last turn, from the sound before and after.
type crossfade struct {
	rate         float64
	short        []float64 // window of fadeWindow
	degrees      float64   // of freedom in it
	section      []float64 // window of a section
	rest         []float64
	old, new     [2][]float64 // each as it is and a quarter of a period on
	first, known int          // the places in x that those are of
	came         rise         // of the tone that came up last
	went         float64      // the power of the one before it
}

// A rise is how a tone came up.
type rise struct {
	shares [fadeSteps]float64 // how much of it there was every fadeStep samples, backwards
	errs   [fadeSteps]float64 // standard errors of those
	count  int
	last   float64 // when that of shares[0] was, in samples
	power  float64 // of the tone, of which the shares are
	start  moment
}

const fadeSteps = (fadeBefore+fadeAfter)/fadeStep + 2

// A moment is a time in samples and its standard error, 0 where that is not known.
type moment struct{ at, err float64 }

// at says when the tone starts if its amplitude has grown so many times since. ok is false when it is there all the time
// or has not come yet.
func (r *rise) at(grown float64) (m moment, ok bool) {
	i := 0
	var first, last float64
	for k, level := range risen {
		for level *= grown; i < r.count && r.shares[i] > level; i++ {
		}
		if i == 0 || i == r.count {
			return moment{}, false
		}
		last = r.last + fadeStep*((level-r.shares[i])/(r.shares[i-1]-r.shares[i])-float64(i))
		if k == 0 {
			first = last
		}
		m.at += last / float64(len(risen))
		m.err += r.errs[i] / float64(len(risen))
	}
	// What one share is off by, over how steeply they rise.
	m.err *= (first - last) / ((risen[0] - risen[len(risen)-1]) * grown)
	return m, true
}

// grown is when the tone started, as its power at the end of the note tells: a slow reed still gets louder after what showed
// what it is like at first.
func (r *rise) grown(power float64) moment {
	if m, ok := r.at(max(1, min(grownMost, math.Sqrt(power/r.power)))); ok {
		return m
	}
	return r.start
}

// A series is a tone of f cycles a sample: line k is the real part of its amplitude times exp(i 2 pi f k n).
type series struct {
	f      float64
	re, im [changeLines]float64
}

func newCrossfade(rate float64) *crossfade {
	const span = fadeBefore + fadeAfter + fadeWindow
	c := &crossfade{rate: rate, short: window(fadeWindow), section: make([]float64, fadeSide), rest: make([]float64, fadeSide)}
	sum, squares := 0.0, 0.0
	for _, w := range c.short {
		sum, squares = sum+w, squares+w*w
	}
	c.degrees = sum * sum / squares
	for i := range 2 {
		c.old[i], c.new[i] = make([]float64, span), make([]float64, span)
	}
	return c
}

// change takes the change of pitch near mid in x, which begins at sample from, and reports whether it is known how the new tone came up
// (came, in samples). Pitches in cycles a sample.
func (c *crossfade) change(x []float64, before, after, left, mid, from float64) bool {
	r, old, ok := c.rise(x, before, after, left, mid)
	switch {
	case !ok && r.shares[0] > risen[0]: // it was there before
		r, old, ok = c.rise(x, before, after, left, mid-fadeBefore)
	case ok && mid-r.start.at > fadeFar:
		if nearer, o, ok := c.rise(x, before, after, left, r.start.at+fadeNear); ok {
			r, old = nearer, o
		}
	}
	if ok {
		r.last += from
		r.start.at += from
		c.came, c.went = r, old
	}
	return ok
}

// rise finds in x how the tone of pitch after comes up, when mid is about where it takes over from before, with what power before
// sounds until then. left is the pitch of what the room still has of the new one. Times count from x[0]. ok is false when too little is known
// or no start is found. Pitches in cycles a sample.
func (c *crossfade) rise(x []float64, before, after, left, mid float64) (r rise, old float64, ok bool) {
	m := int(mid)
	head, tail := max(0, m-fadeSkip-fadeSide), m+fadeSkip
	c.first = max(0, m-fadeBefore-fadeWindow/2)
	c.known = min(len(x), m+fadeAfter+fadeWindow/2) - c.first
	if m-fadeSkip-head < fadeLeast || len(x)-tail < fadeLeast {
		return r, 0, false
	}
	old = c.learn(&c.old, x[head:m-fadeSkip], before, left, c.first-head)
	r.power = c.learn(&c.new, x[tail:min(len(x), tail+fadeSide)], after, 0, c.first-tail)
	i := c.known - fadeWindow
	r.last = float64(c.first + i + fadeWindow/2)
	for ; i >= 0; i -= fadeStep {
		share, err := c.share(x[c.first:], i)
		r.shares[r.count], r.errs[r.count] = share, err
		r.count++
		if share <= risen[len(risen)-1] {
			break
		}
	}
	r.start, ok = r.at(1)
	return r, old, ok
}

// learn finds what x consists of, a tone of one pitch and what is there of the other's, if that is not 0, writes how that goes on from
// place on, x[0] being place 0, to tone, as it is and a quarter of a period on, and says what power the first has.
func (c *crossfade) learn(tone *[2][]float64, x []float64, pitch, other float64, place int) (power float64) {
	w, rest := c.section[:len(x)], c.rest[:len(x)]
	turn := 2 * math.Pi / float64(len(x))
	for i := range w {
		w[i] = 0.5 - 0.5*math.Cos(turn*(float64(i)+0.5))
	}
	as, on := tone[0][:c.known], tone[1][:c.known]
	clear(as)
	clear(on)
	first := series{f: pitch}
	first.fit(x, w)
	first.add(as, on, place, 1)
	for k := range first.re {
		power += first.re[k]*first.re[k] + first.im[k]*first.im[k]
	}
	if other == 0 {
		return power
	}
	copy(rest, x)
	first.add(rest, nil, 0, -1)
	second := series{f: other}
	second.fit(rest, w)
	for k := range second.re {
		f := other * float64(k+1)
		if m := math.Round(f / pitch); m <= changeLines && math.Abs(f-pitch*m)*c.rate < sameLine {
			second.re[k], second.im[k] = 0, 0 // it has been taken already
		}
	}
	second.add(as, on, place, 1)
	return power
}

// fit sets the amplitudes from x under the window w.
func (v *series) fit(x, w []float64) {
	s, c := math.Sincos(2 * math.Pi * v.f)
	ar, ai := 1.0, 0.0
	for j, y := range x {
		y *= w[j]
		zr, zi := ar, ai
		for k := range changeLines {
			v.re[k] += y * zr
			v.im[k] -= y * zi
			zr, zi = zr*ar-zi*ai, zr*ai+zi*ar
		}
		ar, ai = ar*c-ai*s, ar*s+ai*c
	}
	scale := 4 / float64(len(x)) // twice over the sum of the window
	for k := range changeLines {
		if v.f*float64(k+1) > 0.44 {
			scale = 0
		}
		v.re[k] *= scale
		v.im[k] *= scale
	}
}

// add adds the series from place on, times gain, to as, and a quarter of a period on to on, if that is asked for.
func (v *series) add(as, on []float64, place int, gain float64) {
	s, c := math.Sincos(2 * math.Pi * v.f)
	ai, ar := math.Sincos(2 * math.Pi * v.f * float64(place))
	for j := range as {
		zr, zi := ar, ai
		var re, im float64
		for k := range changeLines {
			re += v.re[k]*zr - v.im[k]*zi
			im += v.re[k]*zi + v.im[k]*zr
			zr, zi = zr*ar-zi*ai, zr*ai+zi*ar
		}
		as[j] += gain * re
		if on != nil {
			on[j] -= gain * im
		}
		ar, ai = ar*c-ai*s, ar*s+ai*c
	}
}

// share is how much of the new tone there is in the window at place i of what is known, 1 for what it comes to: by least squares in both tones,
// each free to be early or late in its period, since a reed speaks flat and finds its pitch later. err is its standard error, as told from what
// neither explains, taken as white.
func (c *crossfade) share(x []float64, i int) (share, err float64) {
	const n = 4
	x = x[i : i+fadeWindow]
	a, b := c.new[0][i:i+fadeWindow], c.new[1][i:i+fadeWindow]
	d, e := c.old[0][i:i+fadeWindow], c.old[1][i:i+fadeWindow]
	var dd, de, da, db, dx, ee, ea, eb, ex, aa, ab, ax, bb, bx, xx float64
	for j, w := range c.short {
		x, d, e, a, b := x[j], d[j], e[j], a[j], b[j]
		wd, we, wa, wb := w*d, w*e, w*a, w*b
		dd, de, da, db, dx = dd+wd*d, de+wd*e, da+wd*a, db+wd*b, dx+wd*x
		ee, ea, eb, ex = ee+we*e, ea+we*a, eb+we*b, ex+we*x
		aa, ab, ax = aa+wa*a, ab+wa*b, ax+wa*x
		bb, bx = bb+wb*b, bx+wb*x
		xx += w * x * x
	}
	m := [n][n + 1]float64{{dd, de, da, db, dx}, {de, ee, ea, eb, ex}, {da, ea, aa, ab, ax}, {db, eb, ab, bb, bx}}
	for k := range n {
		m[k][k] *= 1 + fadeRidge
	}
	rest := xx
	for k := range n { // Gauss, the matrix is positive definite
		if m[k][k] <= 0 {
			return 0, 0 // silence
		}
		for l := k + 1; l < n; l++ {
			q := m[l][k] / m[k][k]
			for o := k; o <= n; o++ {
				m[l][o] -= q * m[k][o]
			}
		}
		rest -= m[k][n] * m[k][n] / m[k][k]
	}
	late := m[3][4] / m[3][3]
	return math.Hypot((m[2][4]-m[2][3]*late)/m[2][2], late), math.Sqrt(max(0, rest) / c.degrees / m[3][3])
}
