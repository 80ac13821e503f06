package pitch

import (
	"math"

	"reedwell/audio/internal/dsp"
)

const (
	seeds    = 8    // strongest peaks that candidates are made from; our choice
	divisors = 10   // highest harmonic a strong peak is tried as; our choice
	lowest   = 60.0 // Hz: candidates under the range searched are rated too, so that a
	// man's voice or hum is not read as one of its harmonics
	goesOn = 0.05 // score given to the candidate that continues the window before; our choice
	// emptyWeight is how much an empty tooth counts against a full one. With 1 the common
	// subharmonic of two holes (3:4, 4:5, 5:6 ...) scores at most 0.36 and the louder hole
	// at least 0.5 at equal levels.
	emptyWeight = 1.0
	filled      = 0.25 // weight g from which a tooth counts as wholly there; our choice
	maxTeeth    = 20
)

// A reading is a candidate for the pitch.
type reading struct {
	hz, score float64
}

// readings is how many are kept. Our choice: see doubtful.
const readings = 2

// choose lists the best readings of the peaks in d.best, the best one first, none within
// half a semitone of another, and returns how many there are.
func (d *Detector) choose(recent float64) int {
	count := 0
	if len(d.peaks) == 0 {
		return 0
	}
	sumG, sumP := 0.0, 0.0
	for i := range d.peaks {
		d.peaks[i].used = 0
		sumG += d.peaks[i].g
		sumP += d.peaks[i].pow
	}
	d.turn++ // marks tried pitches; a new value empties the marks
	mark := uint32(0)
	try := func(nu, octaves float64) {
		f := nu * d.binHz
		if f < lowest || f > d.high*1.02 {
			return
		}
		// 30-cent cells: two candidates in one cell lead to the same teeth.
		cell := int(octaves * 40)
		if cell >= len(d.tried) || d.tried[cell] == d.turn {
			return
		}
		d.tried[cell] = d.turn
		mark++
		least := math.Inf(-1)
		if count == readings {
			least = d.best[count-1].score - goesOn
		}
		s, fit := d.comb(nu, mark, sumG, sumP, least)
		f = fit * d.binHz
		if recent > 0 && math.Abs(f/recent-1) < 0.03 {
			s += goesOn
		}
		// Its place, or that of the one it is the same as, in the list.
		at := count
		for i := range count {
			if math.Abs(f/d.best[i].hz-1) < 0.03 {
				if s <= d.best[i].score {
					return
				}
				at = i
				break
			}
		}
		switch {
		case at == count && count < readings:
			count++
		case at == count && s <= d.best[count-1].score:
			return
		case at == count:
			at--
		}
		for at > 0 && d.best[at-1].score < s {
			d.best[at] = d.best[at-1]
			at--
		}
		d.best[at] = reading{f, s}
	}
	limit := math.Inf(1)
	for range seeds {
		// The next strongest peak.
		at := -1
		for i := range d.peaks {
			if p := d.peaks[i].pow; p < limit && (at < 0 || p > d.peaks[at].pow) {
				at = i
			}
		}
		if at < 0 {
			break
		}
		limit = d.peaks[at].pow
		nu := d.peaks[at].nu
		octaves := dsp.Log2(nu * d.binHz / lowest)
		for div := 1; div <= divisors; div++ {
			try(nu/float64(div), octaves-d.octaves[div])
		}
	}
	return count
}

// comb lays teeth on the multiples of nu. It rates them by the summed weight and power of the peaks on them, as parts
// of sumG and sumP, less the share of empty teeth, low teeth counting most (1/k),
// among those up to the highest full one, and fits nu to the peaks. It gives up, with a score of -Inf, once
// it cannot come to least.
func (d *Detector) comb(nu float64, mark uint32, sumG, sumP, least float64) (score, fit float64) {
	var num, den, g, p float64
	var gap, gaps, all, alls float64 // sums since and up to the highest full tooth
	n := min(maxTeeth, int(float64(d.top)/nu))
	perG, perP, perGap := 0.5/sumG, 0.5/sumP, emptyWeight/d.weights[n]
	end := d.peaks[len(d.peaks)-1].nu
	restG, restP := sumG, sumP // of the peaks from passed on, which none of the teeth has reached
	passed := 0
	fit = nu
	for k := 1; k <= n; k++ {
		at := float64(k) * fit
		// Half a bin is what a neighbouring line pulls a peak by; half a per cent
		// is 9 cents; a tenth of f0 keeps teeth apart for the lowest.
		tol := min(0.1*fit, 0.55+0.005*at)
		if at-tol > end {
			break // no more peaks
		}
		w := d.weight[k]
		alls += w
		full := 0.0
		i := int(d.near[int(at+0.5)])
		pk := &d.peaks[i]
		if off := pk.nu - at; off < tol && off > -tol && pk.used != mark {
			pk.used = mark
			g += pk.g
			p += pk.pow
			full = min(1, pk.g/filled)
			num += pk.g * float64(k) * pk.nu
			den += pk.g * float64(k*k)
			if den > 0 {
				fit = num / den
			}
		}
		gaps += w * (1 - full)
		if full == 0 {
			continue
		}
		// Teeth passed so far count as far as this tooth is there.
		gap += full * (gaps - gap)
		all += full * (alls - all)
		for ; passed <= i; passed++ {
			restG -= d.peaks[passed].g
			restP -= d.peaks[passed].pow
		}
		// Gaps don't become fewer, and no more teeth than all count.
		if perG*(g+restG)+perP*(p+restP)-perGap*gap < least-1e-9 {
			return math.Inf(-1), fit
		}
	}
	empty := 0.0
	if all > 0 {
		empty = gap / all
	}
	return perG*g + perP*p - emptyWeight*empty, fit
}
