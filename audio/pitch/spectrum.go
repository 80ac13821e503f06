package pitch

import (
	"math"

	"reedwell/audio/internal/dsp"
)

// spectrum fills h and pow.
//
// h is the Hann-windowed spectrum with phases counted from the window's centre
// and scaled so that a sine of amplitude A has the peak A. e, which twin gives, is the spectrum under the
// window's derivative, scaled so that a steady sine at nu bins gives in every bin k
//
//	h[k] = c W(k-nu)    e[k] = c (k-nu) W(k-nu)
//
// with the window's kernel W. So nu = k - Re(e[k]/h[k]) for the sine that rules bin
// k: the reassigned frequency (Auger & Flandrin 1995, from memory). Its variance in white noise is
// 1.64 times the Cramer-Rao bound of the whole window: with s = sum of h^2 and of its
// derivative's squares, 4 pi^2 against 24 in sigma^2/(A^2 N^3).
//
// Both come from one unwindowed transform, since a Hann window is three bins wide.
func (d *Detector) spectrum(x []float64) {
	if d.halves != nil {
		d.halves.transform(d.raw, x)
	} else {
		d.fft.Transform(d.raw, x)
	}
	scale := 4 / float64(d.size)
	sign := -scale // (-1)^k moves the origin of time to the centre; k = 1 first
	last := d.size/2 - 1
	h, pow, right := d.h[1:][:last], d.pow[1:][:last], d.raw[2:][:last]
	l, m := d.raw[0], d.raw[1]
	for k, r := range right {
		hr := sign * (0.5*real(m) - 0.25*(real(l)+real(r)))
		hi := sign * (0.5*imag(m) - 0.25*(imag(l)+imag(r)))
		h[k] = complex(hr, hi)
		pow[k] = hr*hr + hi*hi
		sign = -sign
		l, m = m, r
	}
}

// twin is e in bin k, see spectrum.
func (d *Detector) twin(k int) complex128 {
	quarter := 1 / float64(d.size)
	if k&1 == 0 {
		quarter = -quarter
	}
	l, r := d.raw[k-1], d.raw[k+1]
	return complex(quarter*(real(l)-real(r)), quarter*(imag(l)-imag(r)))
}

// A peak is a local maximum of the spectrum.
type peak struct {
	nu   float64 // place in bins
	pow  float64 // amplitude squared
	g    float64 // weight 0..1: its height in dB over what is negligible, see findPeaks
	used uint32  // the turn in which a candidate took it
}

const (
	maxPeaks = 64
	// rangeDown is how far under the strongest peak a peak still counts, 45 dB. The Hann
	// window's own side lobes lie 31 dB down beside a peak but are no maxima of
	// their own until further out, where they are under -45 dB. Our choice.
	rangeDown = 3.1622776601683775e-05
	// overFloor is how many times the mean noise around it a peak must have, 6 dB: in white
	// noise one bin in fifty does. Our choice.
	overFloor = 3.9810717055349722
	// quartileToMean: power in a bin of white noise is exponential, with a lower quartile
	// of ln(4/3) of its mean.
	quartileToMean = 1 / 0.28768
)

// bands are the edges, in bins of a window of Size, within which the floor is taken as level.
var bands = [...]int{3, 14, 30, 52, 80, 120, 170, 230, 257}

// edge is the bin at which band b begins.
func (d *Detector) edge(b int) int { return bands[b] * d.wide }

// findPeaks lists the maxima that matter and, for each bin, the nearest of them.
func (d *Detector) findPeaks() {
	d.peaks = d.peaks[:0]
	best := 0.0
	for k := d.bottom; k <= d.top; k++ {
		best = max(best, d.pow[k])
	}
	least := best * rangeDown
	bestDB := dsp.DB(best)
	for b := 0; b+1 < len(bands) && d.edge(b) < d.top; b++ {
		lo, hi := d.edge(b), min(d.edge(b+1), d.top)
		d.floor[b] = quartile(d.pow[lo:hi], d.scratch) * quartileToMean
		threshold := max(least, d.floor[b]*overFloor)
		thresholdDB := dsp.DB(threshold)
		for k := lo; k < hi; k++ {
			p := d.pow[k]
			if p <= threshold || p < d.pow[k-1] || p <= d.pow[k+1] || len(d.peaks) == maxPeaks {
				continue
			}
			off := -reRatio(d.twin(k), d.h[k])
			off = max(-0.7, min(0.7, off))
			w := dsp.HannKernel(off)
			p /= w * w
			g := (dsp.DB(p) - thresholdDB) / (bestDB - thresholdDB + 1e-9)
			d.peaks = append(d.peaks, peak{nu: float64(k) + off, pow: p, g: max(0, min(1, g))})
		}
	}
	// Bins up to half way to the next peak belong to a peak.
	k := 0
	for i := range d.peaks {
		until := len(d.near)
		if i+1 < len(d.peaks) {
			until = int((d.peaks[i].nu+d.peaks[i+1].nu)/2) + 1
		}
		for ; k < until; k++ {
			d.near[k] = int16(i)
		}
	}
	if len(d.peaks) == 0 {
		for k := range d.near {
			d.near[k] = -1
		}
	}
}

// reRatio is the real part of a/b.
func reRatio(a, b complex128) float64 {
	return (real(a)*real(b) + imag(a)*imag(b)) / (real(b)*real(b) + imag(b)*imag(b))
}

// quartile is the value a quarter of the powers x lies under; of a long x every second value is asked, as bins beside
// each other share most of their noise under a Hann window. scratch must hold 2 len(x). Powers are compared by their bits,
// which are in the same order, and moved without a branch: noise leaves nothing to predict.
func quartile(x []float64, scratch []uint64) float64 {
	step := 1
	if len(x) > 20 {
		step = 2
	}
	n := len(x) / step
	s, more := scratch[:n], scratch[n:2*n]
	for i := range s {
		s[i] = math.Float64bits(x[step*i])
	}
	want := n / 4
	for { // quickselect (Hoare 1961): what is less stays in s, the rest goes to more
		last := len(s) - 1
		middle := len(s) / 2
		pivot := s[middle]
		s[middle] = s[last]
		less := 0
		for i, v := range s[:last] {
			s[less], more[i-less] = v, v
			less += int((v - pivot) >> 63) // 1 if v is less
		}
		switch {
		case want < less:
			s = s[:less]
		case want > less:
			s, more = more[:last-less], s
			want -= less + 1
		default:
			return math.Float64frombits(pivot)
		}
	}
}
