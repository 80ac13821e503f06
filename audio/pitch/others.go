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
	// overRest is how many times what is left around it a line must have: 9 dB. Our choice.
	overRest = 7.943282347242815
	// faintRest, 3 dB, is enough in a long window where faintLines agree and are strong together (short ones have the Trace for that): noise does so in one window now and then, and seldom in the next ones. Chosen on
	// the tuning half: with 2 a second voice is claimed three times as often on single notes in pink noise.
	faintRest, faintLines = 1.9952623149688795, 3
	// faintOver is how many times the floor they must have together; without that
	// noise takes a quarter more work and a second voice is claimed ten times as often.
	faintOver    = 18.0
	maxOtherLine = 8
)

// residual writes h without the lines of the main series and of the first n others, and its
// power, and the floor of what is left.
func (d *Detector) residual(n int) {
	copy(d.res, d.h)
	d.take(&d.main)
	for i := range n {
		d.take(&d.second[i])
	}
	respow := d.respow[d.bottom : d.top+1]
	for k, r := range d.res[d.bottom:][:len(respow)] {
		respow[k] = abs2(r)
	}
	count := uint16(0)
	for b := 0; b+1 < len(bands) && d.edge(b) < d.top; b++ {
		lo, hi := d.edge(b), min(d.edge(b+1), d.top)
		d.floor[b] = quartile(d.respow[lo:hi], d.scratch) * quartileToMean
		limit := d.floor[b] * overRest
		clearly := d.clearly[lo:hi]
		for k, p := range d.respow[lo:][:len(clearly)] {
			clearly[k] = count
			if p >= limit {
				count++
			}
		}
	}
	d.clearly[d.top] = count
}

// taken is how many bins to either side a line is taken out of: the kernel is
// under -60 dB beyond.
const taken = 9

func (d *Detector) take(s *series) {
	for i := range s.n {
		l := &s.line[i]
		c := int(l.nu + 0.5)
		first := max(d.bottom, c-taken)
		sin := l.sin // as in line.at
		if first&1 == 0 {
			sin = -sin
		}
		if c-taken > d.top {
			break // beyond what is used, as are those that follow
		}
		res, off := d.res[first:min(d.top, c+taken)+1], float64(first)-l.nu
		for k, r := range res {
			w := dsp.HannKernelSin(off, sin)
			res[k] = complex(real(r)-w*real(l.c), imag(r)-w*imag(l.c))
			off++
			sin = -sin
		}
		for b := d.bottom; b < taken-c; b++ {
			h, _ := l.mirror(b, 0, 0)
			d.res[b] -= h
		}
	}
}

// others looks for voices near the pitches in beside, in Hz, in what the main
// voice leaves, one after the other: what the strongest one explains cannot speak for another.
// It returns how many stand in d.second, loudest first.
func (d *Detector) others(beside []float64) int {
	n := 0
	for n < len(d.second) {
		best, most := -1, 0.0
		for i, p := range beside {
			if !(p >= lowest) || p > d.high*1.03 || d.known(p/d.binHz, n) {
				continue
			}
			s := &d.trial
			if !d.seek(p/d.binHz, n, s) {
				continue
			}
			rank := s.level
			if d.halves != nil {
				rank = s.its
			}
			if best < 0 || rank > most {
				d.second[n] = *s
				best, most = i, rank
			}
		}
		if best < 0 {
			break
		}
		n++
		d.together(n)
		if d.halves != nil && d.raise(n) {
			d.together(n)
		}
		d.weigh(&d.second[n-1], n-1)
		d.residual(n)
		if d.second[n-1].level < leastDB {
			n--
			break
		}
	}
	if n > 0 {
		d.contest(&d.second[0])
		if n == 2 && d.second[1].level > d.second[0].level {
			d.second[0], d.second[1] = d.second[1], d.second[0]
		}
		if d.second[n-1].level < leastDB {
			n--
		}
	}
	for _, p := range beside {
		if d.halves == nil && n < len(d.second) && math.Abs(p/d.binHz/d.main.nu/2-1) < 0.01 && !d.known(p/d.binHz, n) && d.octave(&d.second[n]) {
			n++
		}
	}
	return n
}

// together fits the main voice and the first n others once more, each without the rest.
func (d *Detector) together(n int) {
	for range 2 {
		if n == 1 {
			d.fit(&d.second[0], &d.main)
			d.fit(&d.main, &d.second[0])
		} else {
			d.fit(&d.second[1], &d.main, &d.second[0])
			d.fit(&d.second[0], &d.main, &d.second[1])
			d.fit(&d.main, &d.second[0], &d.second[1])
		}
	}
}

// octaveDB is by how much, in dB, the even lines of the main voice must stand over the middle of their
// odd neighbours, on the mean of the first four of them, for the octave over it to be named. Of sampled
// harmonicas alone none comes over 3, of octaves about 1 dB apart half do over 4; so
// half of them are missed, the more so the more uneven the spectrum.
const octaveDB = 4.0

// octave makes the series an octave over the main voice, when what its even lines hold asks for one. No
// line is clear then.
func (d *Detector) octave(s *series) bool {
	stands, over, ok := d.standing()
	if !ok || stands < octaveDB {
		return false
	}
	all := 0.0
	for _, l := range d.main.line[:d.main.n] {
		all += abs2(l.c)
	}
	s.reset(2*d.main.nu, d.top+beyond)
	s.level = min(0, dsp.DB(over)-dsp.DB(max(all-over, over)))
	return s.level >= leastDB
}

// standing is by how much, in dB, the even lines of the main voice stand over the middle of their odd neighbours,
// on the mean of the first four, and the power that they have over it; false if there are fewer than two.
func (d *Detector) standing() (db, over float64, ok bool) {
	count := 0
	level := func(k int) float64 { // of line k, counted from 1
		l := &d.main.line[k-1]
		return dsp.DB(abs2(l.c) + d.floorAt(min(int(l.nu+0.5), d.size/2)))
	}
	for k := 2; k <= 8 && k < d.main.n && d.main.line[k].nu < float64(d.top); k += 2 {
		expected := (level(k-1) + level(k+1)) / 2
		db += level(k) - expected
		over += max(0, abs2(d.main.line[k-1].c)-dsp.Power(expected))
		count++
	}
	return db / max(1, float64(count)), over, count >= 2
}

// known says that a voice near nu bins is found already: the main one or one of the first n others.
func (d *Detector) known(nu float64, n int) bool {
	known := math.Abs(nu/d.main.nu-1) < 0.04
	for i := range n {
		known = known || math.Abs(nu/d.second[i].nu-1) < 0.04
	}
	return known
}

// seek looks for a series near nu bins beside the main voice and the first n others. It needs
// two lines clear of theirs that agree on the pitch, or in a long window faintLines faint ones, or the only one that can be clear, and none
// missing that its others say must be there.
func (d *Detector) seek(nu float64, n int, s *series) bool {
	var from, to [maxOtherLine]int // the bins a line is looked for in
	possible, promising := 0, 0
	lines := min(maxOtherLine, int(float64(d.top)/nu/(1+nearShare)))
	for m := range lines {
		mid := nu * float64(m+1)
		if d.clear(mid, n) {
			possible++
		}
		half := max(0.6, min(nearShare*mid, float64(4*d.wide)))
		from[m], to[m] = max(d.bottom, int(mid-half+0.5)), min(d.top-1, int(mid+half+0.5))
		if from[m] <= to[m] && d.clearly[to[m]+1] > d.clearly[from[m]] {
			promising++
		}
	}
	if d.halves == nil && (promising == 0 || promising == 1 && possible != 1) {
		return false // as most candidates in noise
	}
	var at, pow [maxOtherLine]float64
	var over [maxOtherLine]float64 // the floor
	for m := 1; m <= lines; m++ {
		best, bestPow := 0, 0.0
		for b := from[m-1]; b <= to[m-1]; b++ {
			p := d.respow[b]
			if p > bestPow && p >= d.respow[b-1] && p >= d.respow[b+1] && d.clear(float64(b), n) {
				best, bestPow = b, p
			}
		}
		if best == 0 || bestPow < d.floorAt(best)*faintRest {
			continue
		}
		h, e := d.h[best], d.twin(best)
		oh, oe := d.main.at(best, -1, 0, 0)
		for i := range n {
			oh, oe = d.second[i].at(best, -1, oh, oe)
		}
		off := -reRatio(e-oe, h-oh)
		if off > 0.9 || off < -0.9 || !d.clear(float64(best)+off, n) {
			continue
		}
		w := dsp.HannKernel(off)
		at[m-1], pow[m-1] = float64(best)+off, bestPow/(w*w)
		over[m-1] = bestPow / d.floorAt(best)
	}
	// The reading of the lines that gathers most.
	bestSum, bestNu, enough := 0.0, 0.0, false
	var bestHas [maxOtherLine]bool
	for i := range lines {
		if pow[i] == 0 {
			continue
		}
		f := at[i] / float64(i+1)
		if math.Abs(f/nu-1) > nearShare {
			continue
		}
		var sum, num, den float64
		var has [maxOtherLine]bool
		count, sure, all := 0, 0, 0.0
		for j := range lines {
			if pow[j] == 0 || math.Abs(at[j]-f*float64(j+1)) > 0.35*max(1, float64(j+1)/float64(i+1)) {
				continue
			}
			sum += math.Sqrt(pow[j])
			num += pow[j] * float64(j+1) * at[j]
			den += pow[j] * float64((j+1)*(j+1))
			has[j] = true
			count++
			all += over[j]
			if over[j] >= overRest {
				sure++
			}
		}
		if sum > bestSum {
			bestSum, bestNu, bestHas = sum, num/den, has
			enough = sure >= 2 || sure == 1 && possible == 1 || d.halves != nil && count >= faintLines && all >= faintOver
		}
	}
	if !enough || d.gappy(bestNu, n, lines, &bestHas, &pow) || d.halves != nil && d.sparse(bestNu, n, lines, &bestHas, &pow) {
		return false
	}
	s.reset(bestNu, d.top+beyond)
	if n == 0 {
		d.fit(s, &d.main)
	} else {
		d.fit(s, &d.main, &d.second[0])
	}
	d.weigh(s, n)
	s.its = 0
	for m := range lines {
		if bestHas[m] {
			s.its += pow[m]
		}
	}
	return s.level >= leastDB
}

// sparse says that of the lines of the series at nu bins little is there but every second or every third one,
// though others could be seen: then it is the one an octave or a twelfth over it.
func (d *Detector) sparse(nu float64, n, lines int, has *[maxOtherLine]bool, pow *[maxOtherLine]float64) bool {
	for _, every := range [...]int{2, 3} {
		on, off := 0.0, 0.0
		there, missing := 0, 0
		for m := 1; m <= lines; m++ {
			switch {
			case has[m-1] && m%every == 0:
				on += pow[m-1]
			case has[m-1]:
				off += pow[m-1]
				there++
			case m%every != 0 && d.clear(nu*float64(m), n):
				missing++
			}
		}
		if missing > 0 && missing >= there && off < sparsePart*on {
			return true
		}
	}
	return false
}

// sparsePart is the part of its power that a reed has at least in its odd lines, and in those that are no third.
// Our choice.
const sparsePart = 0.03

// thin returns 2 or 3 when s, fitted beside the others, has little but every second or third of its lines: it
// is the series an octave or a twelfth over it, as a voice found before the others were known may turn out to be. 0 if not.
func (d *Detector) thin(s *series, others ...*series) int {
	for every := 2; every <= 3; every++ {
		on, off := 0.0, 0.0
		seen := false // its fundamental is clear
		for k := range min(s.n, maxOtherLine) {
			l := &s.line[k]
			clear := l.nu < float64(d.top)
			for _, o := range others {
				clear = clear && o.clearOf(l.nu)
			}
			switch {
			case !clear:
			case (k+1)%every == 0:
				on += abs2(l.c)
			default:
				off += abs2(l.c)
				seen = seen || k == 0
			}
		}
		if seen && off < sparsePart*on {
			return every
		}
	}
	return 0
}

// raise puts right main voice and others that are thin and says whether there were any.
func (d *Detector) raise(n int) bool {
	raised := false
	for i := range n {
		s := &d.second[i]
		var every int
		if n == 1 {
			every = d.thin(s, &d.main)
		} else {
			every = d.thin(s, &d.main, &d.second[1-i])
		}
		if f := float64(every) * s.nu; every > 0 && f*d.binHz <= d.high*1.03 && !d.known(f, n) {
			level, its := s.level, s.its
			s.reset(f, d.top+beyond)
			s.level, s.its = level, its
			raised = true
		}
	}
	return raised
}

// missed is how many times the least that is seen a line must be expected to have for its absence to
// count, 10 dB: voices beside each other sound alike to about that. Our choice.
const missed = 10.0

// gappy says that lines are missing from the series at nu bins that should be seen: those it has
// tell how loud it is next to the main voice, and that what the others should be. Then its lines are
// some of another voice's, as every third of one is every fifth of another.
func (d *Detector) gappy(nu float64, n, lines int, has *[maxOtherLine]bool, pow *[maxOtherLine]float64) bool {
	var its, same float64
	for m := range min(lines, d.main.n) {
		if has[m] {
			its += pow[m]
			same += abs2(d.main.line[m].c)
		}
	}
	if same == 0 {
		return false
	}
	there, gone := 0, 0
	for m := range min(lines, d.main.n) {
		mid := nu * float64(m+1)
		switch {
		case has[m]:
			there++
		case d.clear(mid, n) && abs2(d.main.line[m].c)*its/same > d.floorAt(int(mid+0.5))*overRest*missed:
			gone++
		}
	}
	return gone >= there
}

// clear says that no line of the main voice or of the first n others is near nu bins.
func (d *Detector) clear(nu float64, n int) bool {
	if !d.main.clearOf(nu) {
		return false
	}
	for i := range n {
		if !d.second[i].clearOf(nu) {
			return false
		}
	}
	return true
}

func (s *series) clearOf(nu float64) bool {
	k := math.Floor(nu/s.nu + 0.5)
	return k < 1 || math.Abs(nu-k*s.nu) >= clearOf
}

// weigh sets the level of s beside the main voice and the first n others. Its lines clear of theirs are taken as they are; for
// those that are not, its share of them is taken to be what the clear ones have of the
// main voice's lines of the same number, as the reeds beside each other sound alike.
func (d *Detector) weigh(s *series, n int) {
	var its, same, all, hidden float64
	for k := range d.main.n {
		p := abs2(d.main.line[k].c)
		all += p
		if k < s.n && !d.clear(s.line[k].nu, n) {
			hidden += p
		}
	}
	for k := range min(s.n, d.main.n) {
		if d.clear(s.line[k].nu, n) {
			its += abs2(s.line[k].c)
			same += abs2(d.main.line[k].c)
		}
	}
	if same == 0 || all == 0 {
		s.level = -99
		return
	}
	s.level = max(-99, dsp.DB((its+hidden*its/same)/all))
}

const (
	// ridge keeps the parts of a shared line from growing against each other where the
	// two pitches give it nearly the same frequency: they then get what their other lines
	// suggest. 43 dB under the line is what a steady tone leaves unexplained, and as much more is asked for as
	// less is expected of a voice. Chosen on the tuning half.
	ridge = 5e-5
	// noiseRidge is the same for noise, as a part of its power over that of what a voice is expected to have in the line: the
	// less that is, the more is needed to believe otherwise. Chosen on the tuning half: from 0.03 to 0.1 little changes.
	noiseRidge = 0.05
	// tellApart is how many bins, 0.35 Hz, two lines must differ by: nearer ones turn against each other by too little within
	// a window. Chosen on the tuning half; from 0.025 on fourths that can be told apart are lost.
	tellApart = 0.015
)

// contest sets the level of s, and so which of two voices is the louder one, anew where part of the sound lies in
// lines they share, as in a fourth, where the third harmonic of one meets the fourth of
// the other. Two steady sines in one bin are told apart by the pair of h and e, as long
// as their frequencies differ at all: tempered fourths differ by 2 cents.
func (d *Detector) contest(s *series) {
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
		off := math.Abs(float64(k+1)*d.main.nu - o.nu)
		if k < 0 || off > 0.6 {
			continue
		}
		if k >= d.main.n {
			its -= abs2(o.c) // the main voice's, which is not followed so far up
			continue
		}
		m := &d.main.line[k]
		b := int(m.nu + 0.5)
		oh, oe := d.main.at(b, k, 0, 0)
		oh, oe = s.at(b, j, oh, oe)
		h, e := d.h[b]-oh, d.twin(b)-oe
		d1, d2 := float64(b)-m.nu, float64(b)-o.nu
		w1, w2 := dsp.HannKernel(d1), dsp.HannKernel(d2)
		part1, part2 := 1/(1+ratio), ratio/(1+ratio)
		p, q := scale(part1/w1, h), scale(part2/w2, h) // what is expected
		if off > tellApart && h != 0 {
			// Least squares of (h, e) = p (w1, d1 w1) + q (w2, d2 w2), with a ridge towards that.
			noise := noiseRidge * d.floorAt(b) / abs2(h)
			a11 := w1*w1*(1+d1*d1) + (ridge+noise/part1)/part1
			a22 := w2*w2*(1+d2*d2) + (ridge+noise/part2)/part2
			a12 := w1 * w2 * (1 + d1*d2)
			det := a11*a22 - a12*a12
			h -= scale(w1, p) + scale(w2, q)
			e -= scale(d1*w1, p) + scale(d2*w2, q)
			r1, r2 := scale(w1, h+scale(d1, e)), scale(w2, h+scale(d2, e))
			p += scale(1/det, scale(a22, r1)-scale(a12, r2))
			q += scale(1/det, scale(a11, r2)-scale(a12, r1))
		}
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
	for k := d.bottom; k <= d.top; k++ {
		total += d.pow[k]
		rest += d.respow[k]
	}
	lines := d.main.n
	rest -= d.besideLines(&d.main)
	if others > 0 && d.second[0].power() > 0 { // an octave has no lines of its own
		lines += d.second[0].n
		rest -= d.besideLines(&d.second[0])
	}
	// A line catches two bins of noise of itself and part of the others beside it.
	bins := float64(lines) * (2 + (1-besidePart)*(2*besideBins-1))
	chance := min(0.85, bins/float64(d.top-d.bottom+1))
	return max(0, 1-max(0, rest)/total/(1-chance))
}

const (
	besideBins = 2
	besidePart = 0.3 // our choice: glides of a whole step in 50 ms keep a share of 0.7
)

func (d *Detector) besideLines(s *series) float64 {
	sum := 0.0
	for i := range s.n {
		b := int(s.line[i].nu + 0.5)
		for k := max(d.bottom, b-besideBins); k <= min(d.top, b+besideBins); k++ {
			sum += d.respow[k]
		}
	}
	return (1 - besidePart) * sum
}
