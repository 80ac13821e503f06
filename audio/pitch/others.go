package pitch

import (
	"math"

	"reedwell/audio/internal/dsp"
)

const (
	// nearShare is how far from its pitch another voice is looked for: 60 cents, more
	// than any tuning and any shading by the breath, less than the semitone to the next
	// candidate. Our choice.
	nearShare = 0.035
	// clearOf is how far in bins a line must lie from the main voice's lines to
	// count: what vibrato and a growing tone leave beside a line ends there.
	clearOf = 1.45
	// leastDB is how far under the main voice another one is still named. The goal
	// is 24 dB; beyond, one reed's own side bands and the room are in the way.
	leastDB = -29.0
	// overRestDB is how far a line must lie over what is left around it. Our choice.
	overRestDB   = 9.0
	maxOtherLine = 8
)

// residual writes h without the lines of the given series, and its power, and the
// floor of what is left.
func (d *Detector) residual(s, t *series) {
	copy(d.res, d.h)
	d.take(s)
	if t != nil {
		d.take(t)
	}
	for k := bottomBin; k <= d.top; k++ {
		r := d.res[k]
		d.respow[k] = real(r)*real(r) + imag(r)*imag(r)
	}
	for b := 0; b+1 < len(bands) && bands[b] < d.top; b++ {
		d.floor[b] = quartile(d.respow[bands[b]:min(bands[b+1], d.top)], d.scratch) * quartileToMean
	}
}

// taken is how many bins to either side a line is taken out of: the kernel is
// under -60 dB beyond.
const taken = 9

func (d *Detector) take(s *series) {
	for i := range s.n {
		l := &s.line[i]
		c := int(l.nu + 0.5)
		for b := max(bottomBin, c-taken); b <= min(d.top, c+taken); b++ {
			h, _ := l.at(b, 0, 0)
			d.res[b] -= h
		}
		for b := bottomBin; b < taken-c; b++ {
			h, _ := l.mirror(b, 0, 0)
			d.res[b] -= h
		}
	}
}

// others looks for voices near the pitches in beside, in Hz, in what the main
// voice leaves. It returns how many stand in d.second, loudest first.
func (d *Detector) others(beside []float64) int {
	n := 0
	for _, p := range beside {
		if !(p >= lowest) || p > d.high*1.03 || math.Abs(p/d.main.nu/d.binHz-1) < 0.04 {
			continue
		}
		var s series
		if !d.seek(p/d.binHz, &s) {
			continue
		}
		switch {
		case n == 0:
			d.second[0] = s
			n = 1
		case s.level > d.second[0].level:
			d.second[1], d.second[0] = d.second[0], s
			n = 2
		case n == 1 || s.level > d.second[1].level:
			d.second[1] = s
			n = 2
		}
	}
	if n == 0 {
		return 0
	}
	// Both once more, each without the other. The first other voice only: a third
	// changes little.
	for range 2 {
		d.fit(&d.second[0], &d.main)
		d.fit(&d.main, &d.second[0])
	}
	d.weigh(&d.second[0])
	d.contest(&d.second[0])
	if n == 2 {
		d.weigh(&d.second[1])
	}
	d.residual(&d.main, &d.second[0])
	return n
}

// seek looks for a series near nu bins. It needs two lines clear of the main
// voice's that agree on the pitch, or the only one that can be clear.
func (d *Detector) seek(nu float64, s *series) bool {
	var at, pow [maxOtherLine]float64
	possible := 0
	n := min(maxOtherLine, int(float64(d.top)/nu/(1+nearShare)))
	for m := 1; m <= n; m++ {
		mid := nu * float64(m)
		if d.clear(mid) {
			possible++
		}
		half := math.Max(0.6, math.Min(nearShare*mid, 4))
		lo, hi := max(bottomBin, int(mid-half+0.5)), min(d.top-1, int(mid+half+0.5))
		best, bestPow := 0, 0.0
		for b := lo; b <= hi; b++ {
			p := d.respow[b]
			if p > bestPow && p >= d.respow[b-1] && p >= d.respow[b+1] && d.clear(float64(b)) {
				best, bestPow = b, p
			}
		}
		if best == 0 || bestPow < d.floorAt(best)*dsp.Power(overRestDB) {
			continue
		}
		h, e := d.h[best], d.e[best]
		oh, oe := d.main.at(best, -1, 0, 0)
		off := -reRatio(e-oe, h-oh)
		if off > 0.9 || off < -0.9 || !d.clear(float64(best)+off) {
			continue
		}
		w := dsp.HannKernel(off)
		at[m-1], pow[m-1] = float64(best)+off, bestPow/(w*w)
	}
	// The reading of the lines that gathers most.
	bestSum, bestNu, bestCount := 0.0, 0.0, 0
	for i := range n {
		if pow[i] == 0 {
			continue
		}
		f := at[i] / float64(i+1)
		if math.Abs(f/nu-1) > nearShare {
			continue
		}
		var sum, num, den float64
		count := 0
		for j := range n {
			if pow[j] == 0 || math.Abs(at[j]-f*float64(j+1)) > 0.35*math.Max(1, float64(j+1)/float64(i+1)) {
				continue
			}
			sum += math.Sqrt(pow[j])
			num += pow[j] * float64(j+1) * at[j]
			den += pow[j] * float64((j+1)*(j+1))
			count++
		}
		if sum > bestSum {
			bestSum, bestNu, bestCount = sum, num/den, count
		}
	}
	if bestCount == 0 || bestCount == 1 && possible > 1 {
		return false
	}
	s.reset(bestNu, d.top+beyond)
	d.fit(s, &d.main)
	d.weigh(s)
	return s.level >= leastDB
}

// clear says that no line of the main voice is near nu bins.
func (d *Detector) clear(nu float64) bool {
	k := math.Floor(nu/d.main.nu + 0.5)
	return k < 1 || math.Abs(nu-k*d.main.nu) >= clearOf
}

// weigh sets the level of s. Its lines clear of the main voice's are taken as they are; for
// those that are not, its share of them is taken to be what the clear ones have of the
// main voice's lines of the same number, as the reeds beside each other sound alike.
func (d *Detector) weigh(s *series) {
	var its, same, all, hidden float64
	for k := range d.main.n {
		p := abs2(d.main.line[k].c)
		all += p
		if k < s.n && !d.clear(s.line[k].nu) {
			hidden += p
		}
	}
	for k := range min(s.n, d.main.n) {
		if d.clear(s.line[k].nu) {
			its += abs2(s.line[k].c)
			same += abs2(d.main.line[k].c)
		}
	}
	if same == 0 || all == 0 {
		s.level = -99
		return
	}
	s.level = math.Max(-99, dsp.DB((its+hidden*its/same)/all))
}

const (
	contestDB = 12.0 // levels nearer than this are contested
	// ridge keeps the parts of a shared line from growing against each other where the
	// two pitches give it the same frequency: they then get what their other lines
	// suggest. 40 dB under the line is what a steady tone leaves unexplained.
	ridge = 1e-4
)

// contest looks again which of two voices is the louder one when much of the sound lies in
// lines they share, as in a fourth, where the third harmonic of one meets the fourth of
// the other. Two steady sines in one bin are told apart by the pair of h and e, as long
// as their frequencies differ at all: tempered fourths differ by 2 cents.
func (d *Detector) contest(s *series) {
	if math.Abs(s.level) > contestDB {
		return
	}
	var mine, its float64 // power of the main voice, of the other
	for k := range d.main.n {
		mine += abs2(d.main.line[k].c)
	}
	for k := range s.n {
		its += abs2(s.line[k].c)
	}
	ratio := math.Sqrt(dsp.Power(s.level)) // of amplitudes, as the clear lines have it
	for j := range s.n {
		o := &s.line[j]
		k := int(o.nu/d.main.nu+0.5) - 1
		if k < 0 || k >= d.main.n || math.Abs(d.main.line[k].nu-o.nu) > 0.6 {
			continue
		}
		m := &d.main.line[k]
		b := int(m.nu + 0.5)
		oh, oe := d.main.at(b, k, 0, 0)
		oh, oe = s.at(b, j, oh, oe)
		h, e := d.h[b]-oh, d.e[b]-oe
		// Least squares of (h, e) = p (w1, d1 w1) + q (w2, d2 w2), with a ridge.
		d1, d2 := float64(b)-m.nu, float64(b)-o.nu
		w1, w2 := dsp.HannKernel(d1), dsp.HannKernel(d2)
		a11, a22 := w1*w1*(1+d1*d1)+ridge, w2*w2*(1+d2*d2)+ridge
		a12 := w1 * w2 * (1 + d1*d2)
		det := a11*a22 - a12*a12
		p0, q0 := scale(1/w1/(1+ratio), h), scale(ratio/w2/(1+ratio), h)
		h -= scale(w1, p0) + scale(w2, q0)
		e -= scale(d1*w1, p0) + scale(d2*w2, q0)
		r1, r2 := scale(w1, h+scale(d1, e)), scale(w2, h+scale(d2, e))
		p := p0 + scale(1/det, scale(a22, r1)-scale(a12, r2))
		q := q0 + scale(1/det, scale(a11, r2)-scale(a12, r1))
		mine += abs2(p) - abs2(m.c)
		its += abs2(q) - abs2(o.c)
	}
	if mine > 0 && its > 0 {
		s.level = dsp.DB(its) - dsp.DB(mine)
	}
}

func abs2(c complex128) float64                { return real(c)*real(c) + imag(c)*imag(c) }
func scale(x float64, c complex128) complex128 { return complex(x*real(c), x*imag(c)) }

// share is the part of the power that the lines found account for, less what they
// would catch of white noise.
//
// A pitch that moves leaves a rest close beside its lines, so what lies within besideBins of
// a line counts as besidePart only.
func (d *Detector) share(others int) float64 {
	var total, rest float64
	for k := bottomBin; k <= d.top; k++ {
		total += d.pow[k]
		rest += d.respow[k]
	}
	lines := d.main.n
	rest -= d.besideLines(&d.main)
	if others > 0 {
		lines += d.second[0].n
		rest -= d.besideLines(&d.second[0])
	}
	// A line catches two bins of noise of itself and part of the others beside it.
	bins := float64(lines) * (2 + (1-besidePart)*(2*besideBins-1))
	chance := math.Min(0.85, bins/float64(d.top-bottomBin+1))
	return math.Max(0, 1-math.Max(0, rest)/total/(1-chance))
}

const (
	besideBins = 2
	besidePart = 0.3 // our choice: glides of a whole step in 50 ms keep a share of 0.7
)

func (d *Detector) besideLines(s *series) float64 {
	sum := 0.0
	for i := range s.n {
		b := int(s.line[i].nu + 0.5)
		for k := max(bottomBin, b-besideBins); k <= min(d.top, b+besideBins); k++ {
			sum += d.respow[k]
		}
	}
	return (1 - besidePart) * sum
}
