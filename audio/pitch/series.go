package pitch

import (
	"math"

	"reedwell/audio/internal/dsp"
)

const maxLines = 20

// A series is the harmonics of one voice: lines at k nu bins with complex
// amplitudes.
type series struct {
	nu    float64 // f0 in bins
	n     int     // lines
	line  [maxLines]line
	level float64 // dB relative to the main voice
	its   float64 // power of the lines it was found by
}

type line struct {
	nu  float64    // place in bins
	sin float64    // sin(pi nu)
	c   complex128 // amplitude and phase at the window's centre
	on  bool       // takes part in the estimate of f0
}

// beyond is how many bins over the last one used lines are still modelled: what
// stands there reaches down into it.
const beyond = 5

func (s *series) reset(nu float64, top int) {
	s.nu, s.level = nu, 0
	s.n = min(maxLines, int(float64(top)/nu))
	for k := range s.n {
		s.line[k] = line{}
	}
	s.spread()
}

// spread places the lines on the multiples of nu.
func (s *series) spread() {
	sin, cos := math.Sincos(math.Pi * s.nu)
	sk, ck := sin, cos // of k pi nu, by addition of angles
	for k := range s.n {
		s.line[k].nu, s.line[k].sin = s.nu*float64(k+1), sk
		sk, ck = sk*cos+ck*sin, ck*cos-sk*sin
	}
}

// power is the mean square of the series.
func (s *series) power() float64 {
	p := 0.0
	for _, l := range s.line[:s.n] {
		p += real(l.c)*real(l.c) + imag(l.c)*imag(l.c)
	}
	return p / 2
}

// reach is the distance in bins beyond which a line's contribution is left out:
// the kernel is under -80 dB there.
const reach = 24.0

// at adds to h and e what l gives in bin b.
func (l *line) at(b int, h, e complex128) (complex128, complex128) {
	d := float64(b) - l.nu
	if d > reach || d < -reach {
		return h, e
	}
	s := l.sin // sin(pi (b - nu)) = -(-1)^b sin(pi nu)
	if b&1 == 0 {
		s = -s
	}
	w := dsp.HannKernelSin(d, s)
	re, im := w*real(l.c), w*imag(l.c)
	return complex(real(h)+re, imag(h)+im), complex(real(e)+d*re, imag(e)+d*im)
}

// mirror adds to h and e what the image of l at negative frequency gives in bin b.
func (l *line) mirror(b int, h, e complex128) (complex128, complex128) {
	d := float64(b) + l.nu
	if d > reach {
		return h, e
	}
	s := l.sin
	if b&1 != 0 {
		s = -s
	}
	w := dsp.HannKernelSin(d, s)
	re, im := w*real(l.c), -w*imag(l.c)
	return complex(real(h)+re, imag(h)+im), complex(real(e)+d*re, imag(e)+d*im)
}

// at adds to h and e what the lines of s give in bin b, without line skip (-1 for all; its
// mirror image counts).
func (s *series) at(b, skip int, h, e complex128) (complex128, complex128) {
	first := max(0, int((float64(b)-reach)/s.nu)-1)
	last := min(s.n-1, int((float64(b)+reach)/s.nu))
	for j := first; j <= last; j++ {
		if j != skip {
			h, e = s.line[j].at(b, h, e)
		}
	}
	if b < reach {
		last = min(s.n-1, int((reach-float64(b))/s.nu))
		for j := 0; j <= last; j++ {
			h, e = s.line[j].mirror(b, h, e)
		}
	}
	return h, e
}

// fit improves f0 and amplitudes of s: each line is measured in the bin next to it, with
// what the other lines of s and of the others give there taken out.
func (d *Detector) fit(s *series, others ...*series) {
	var nus, weights [maxLines]float64
	strongest := 0.0
	for k := range s.n {
		l := &s.line[k]
		b := int(l.nu + 0.5)
		oh, oe := s.at(b, k, 0, 0)
		l.on = true
		for _, other := range others {
			oh, oe = other.at(b, -1, oh, oe)
			// Beyond its last line that is followed too: what stands there is its.
			if j := int(l.nu/other.nu + 0.5); math.Abs(float64(j)*other.nu-l.nu) < apart && j > 0 {
				l.on = false
			}
		}
		h, e := d.h[b]-oh, d.twin(b)-oe
		if h == 0 {
			l.on = false
			continue
		}
		nu := float64(b) - reRatio(e, h)
		if math.Abs(nu-l.nu) > min(0.15*s.nu, 0.6+0.006*l.nu) || math.Abs(nu-float64(b)) > 0.8 {
			l.on = false // something else rules this bin
		}
		at := l.nu
		if l.on {
			at = nu
		}
		w := dsp.HannKernel(float64(b) - at)
		l.c = complex(real(h)/w, imag(h)/w)
		nus[k] = nu
		weights[k] = real(l.c)*real(l.c) + imag(l.c)*imag(l.c)
		strongest = max(strongest, weights[k])
	}
	// A line that may be noise only takes no part: with its number squared it would count
	// most. Least squares of nu_k = k f0 with the weights of the Cramer-Rao bound, A_k^2 over
	// noise; noise taken as level plus a model error 50 dB under the strongest line.
	var num, den float64
	for k := range s.n {
		if l := &s.line[k]; l.on {
			b := int(l.nu + 0.5)
			floor := d.floorAt(b)
			w := max(0, weights[k]-lineOver*floor) / (floor + 1e-5*strongest)
			num += w * float64(k+1) * nus[k]
			den += w * float64((k+1)*(k+1))
		}
	}
	if den > 0 {
		s.nu = num / den
		s.spread()
	}
}

// lineOver is how far over the mean noise power a line must lie: six in a million
// bins of noise do.
const lineOver = 12.0

// apart is the least distance in bins of two lines that can be told apart.
const apart = 1.3

// floorAt is the mean noise power in bin b.
func (d *Detector) floorAt(b int) float64 { return d.floor[d.band[b]] }
