package spill

import (
	"math"

	"reedwell/audio/internal/dsp"
)

// A fit looks for the response h of loudspeaker, room and microphone: y is x through h and
// something else. See doc.go for the idea, and [plan] for how it is cut into pieces.
//
// Transforms take two stretches of sound at a time, one as the real and one as the imaginary
// part.
type fit struct {
	plan
	y, x  []float64
	loud  float64 // power of y over that of x
	early int     // frames by which h begins before 0
	taps  int
	rate  float64

	long   *dsp.FFT // of the convolutions
	step   int      // frames of y in half a block
	blocks [][]complex128
	buf    []complex128
	sum    []complex128

	short  *dsp.FFT // of the weights
	window []float64
	frames int // an even number
	bins   []complex128
	weight [][]float64 // per frame and bin: 1 / variance of what is not spill
	power  [][]float64 // of x

	shape []float64 // factors of the preconditioner

	known    []float64 // not nil: what h was before
	h        []float64
	prior    []float64 // standard deviation of each tap
	evidence float64
}

// Sizes at 14 to 16 kHz.
const (
	longSize = 16384 // with a response of half a second half of it is left for sound
	// shortSize is 64 to 70 ms: the length of the shortest notes that are asked for, and
	// fine enough to look between the harmonics of a reed.
	shortSize = 1024
	hop       = shortSize / 2
	// piece is how many frames of the weights are worked on in one piece of the plan: about as
	// much work as a transform of longSize.
	piece = 32
)

// How the fit goes on: tried on the takes of FIGURES.md.
const (
	again  = 10 // steps of the solver from a response that is known: more of them move no mark
	rounds = 2  // of fitting and weighing anew
	inner  = 12 // steps of the solver in each
	last   = 60 // and in the last
	// quiet is the least level that counts as something else in the input, in dB under
	// the whole: what a linear model can not explain of a small loudspeaker.
	quiet = -60.0
	// envelope is half of what a prior is smoothed over, in seconds; open is the share of
	// it that is kept for taps not found yet.
	envelope = 0.004
	open     = 0.03
)

func newFit(y, x []float64, early, taps int, rate float64) *fit {
	f := &fit{y: y, x: x, early: early, taps: taps, rate: rate}
	f.long = dsp.NewFFT(longSize)
	f.step = longSize - taps + 1
	f.buf, f.sum = make([]complex128, longSize), make([]complex128, longSize)

	f.short = dsp.NewFFT(shortSize)
	f.window = make([]float64, shortSize)
	for i := range f.window {
		f.window[i] = math.Sin(math.Pi * (float64(i) + 0.5) / shortSize)
	}
	f.bins = make([]complex128, shortSize)
	f.frames = (len(y)+hop-1)/hop + 1
	f.frames += f.frames % 2
	f.loud = energy(y) / energy(x)
	f.weight, f.power = f.table(), f.table()
	f.shape = make([]float64, longSize/2+1)
	f.h, f.prior = make([]float64, taps), make([]float64, taps)
	return f
}

// table plans a spectrum for each frame; the store of a long take is made in pieces, as clearing it takes its time.
func (f *fit) table() [][]float64 {
	t := make([][]float64, f.frames)
	for first := 0; first < f.frames; first += 4 * piece {
		f.then(func() {
			rows := t[first:min(first+4*piece, f.frames)]
			all := make([]float64, len(rows)*(shortSize/2+1))
			for i := range rows {
				rows[i] = all[i*(shortSize/2+1):][:shortSize/2+1]
			}
		})
	}
	return t
}

// cut makes the blocks of x.
func (f *fit) cut(x []float64) {
	f.blocks = f.blocks[:0]
	for from := 0; from < len(f.y); from += 2 * f.step {
		f.then(func() {
			at := func(k int) float64 {
				if k < 0 || k >= len(x) {
					return 0
				}
				return x[k]
			}
			z := make([]complex128, longSize)
			for i := range z {
				k := from + f.early - (f.taps - 1) + i
				z[i] = complex(at(k), at(k+f.step))
			}
			f.long.Transform(z)
			f.blocks = append(f.blocks, z)
		})
	}
}

// spill writes x, as it was played, through what was found to dst.
func (f *fit) spill(dst, x []float64) {
	f.cut(x)
	f.then(func() { f.apply(dst, f.h) })
}

// solve finds h.
func (f *fit) solve() {
	f.cut(f.x)
	f.analyse(f.x, f.power)
	if f.known == nil {
		f.search()
		return
	}
	f.follow()
}

// mostMoved is how far what comes through h may lie from what came through the one that was known, in parts of its power, for h to be
// found from there: that of a loudspeaker turned up by 0.8 dB, which the steps follow. On the takes of FIGURES.md it is 0.001 at most where
// nothing has changed, 0.08 to 0.12 where all comes a frame of 48 kHz earlier, 0.36 and more in another part of the room.
const mostMoved = 0.01

// follow finds h from the one that is known, and searches where it has become another: somebody moved the computer, turned the volume or put
// headphones on.
func (f *fit) follow() {
	before, got, e := make([]float64, len(f.y)), make([]float64, len(f.y)), make([]float64, len(f.y))
	copy(f.h, f.known)
	f.apply(before, f.h)
	f.then(func() { subtract(e, f.y, before) })
	f.weigh(e)
	f.then(f.learn)
	f.then(f.precondition)
	f.then(func() { f.descend(got, again) })
	f.then(func() {
		subtract(e, got, before)
		if d := energy(e) / energy(before); !(d <= mostMoved) {
			clear(f.h)
			f.search()
		}
	})
}

// search finds h from nothing.
func (f *fit) search() {
	e := append([]float64(nil), f.y...)
	got := make([]float64, len(f.y))
	for round := -1; round < rounds; round++ {
		switch round {
		case -1:
			f.level()
			f.then(f.aim)
		case 0:
			f.weigh(e)
			f.then(f.expect)
		default:
			f.weigh(e)
			f.then(f.learn)
		}
		f.then(f.precondition)
		f.then(func() {
			if round == rounds-1 {
				f.descend(got, last)
			} else {
				f.descend(got, inner)
			}
		})
		f.then(func() { subtract(e, f.y, got) })
	}
}

// apply writes x through h to dst.
func (f *fit) apply(dst, h []float64) {
	response := f.sum
	f.then(func() {
		clear(response)
		for i, v := range h {
			response[i] = complex(v, 0)
		}
		f.long.Transform(response)
	})
	for b := range (len(f.y) + 2*f.step - 1) / (2 * f.step) {
		f.then(func() {
			for k, v := range f.blocks[b] {
				f.buf[k] = v * response[k]
			}
			f.long.Inverse(f.buf)
			from := 2 * b * f.step
			sound := f.buf[f.taps-1:]
			for i := range min(f.step, len(dst)-from) {
				dst[from+i] = real(sound[i]) / longSize
			}
			from += f.step
			for i := range min(f.step, len(dst)-from) {
				dst[from+i] = imag(sound[i]) / longSize
			}
		})
	}
}

// correlate is the adjoint of apply.
func (f *fit) correlate(dst, r []float64) {
	f.then(func() { clear(f.sum) })
	for b := range (len(f.y) + 2*f.step - 1) / (2 * f.step) {
		f.then(func() {
			clear(f.buf)
			from, sound := 2*b*f.step, f.buf[f.taps-1:]
			one := r[from:min(from+f.step, len(r))]
			for i, v := range one {
				sound[i] = complex(v, 0)
			}
			if from += f.step; from < len(r) {
				for i, v := range r[from:min(from+f.step, len(r))] {
					sound[i] = complex(real(sound[i]), v)
				}
			}
			f.long.Transform(f.buf)
			// Of x1+ix2 correlated with r1+ir2 the real part is that of both with their own.
			for k, v := range f.blocks[b] {
				f.sum[k] += complex(real(v), -imag(v)) * f.buf[k]
			}
		})
	}
	f.then(func() {
		f.long.Inverse(f.sum)
		for i := range dst {
			dst[i] = real(f.sum[i]) / longSize
		}
	})
}

// each calls g with the two half spectra of every two frames of x; frame b begins on (b-1)*hop.
// What g writes to them is what back gets.
func (f *fit) each(x []float64, g func(b int, one, two []complex128), back func(b int)) {
	one, two := make([]complex128, shortSize/2+1), make([]complex128, shortSize/2+1)
	for first := 0; first < f.frames; first += piece {
		f.then(func() {
			for b := first; b < min(first+piece, f.frames); b += 2 {
				f.frame(x, b, one, two)
				g(b, one, two)
				if back != nil {
					f.unframe(one, two)
					back(b)
				}
			}
		})
	}
}

// frame writes the half spectra of frames b and b+1.
func (f *fit) frame(x []float64, b int, one, two []complex128) {
	from := (b - 1) * hop
	at := func(k int) float64 {
		if k < 0 || k >= len(x) {
			return 0
		}
		return x[k]
	}
	for i, w := range f.window {
		f.bins[i] = complex(w*at(from+i), w*at(from+hop+i))
	}
	f.short.Transform(f.bins)
	for k := range one {
		p, q := f.bins[k], f.bins[(shortSize-k)%shortSize]
		one[k] = complex((real(p)+real(q))/2, (imag(p)-imag(q))/2)
		two[k] = complex((imag(p)+imag(q))/2, (real(q)-real(p))/2)
	}
}

// unframe brings two half spectra back to sound, shortSize times as loud, in bins.
func (f *fit) unframe(one, two []complex128) {
	for k := range one {
		a, c := one[k], two[k]
		f.bins[k] = complex(real(a)-imag(c), imag(a)+real(c))
		if k > 0 && k < shortSize/2 {
			f.bins[shortSize-k] = complex(real(a)+imag(c), real(c)-imag(a))
		}
	}
	f.short.Inverse(f.bins)
}

// analyse writes the power of each frame and bin, such that white noise has its variance.
func (f *fit) analyse(x []float64, dst [][]float64) {
	f.each(x, func(b int, one, two []complex128) {
		for k, v := range one {
			dst[b][k] = (real(v)*real(v) + imag(v)*imag(v)) / hop
		}
		for k, v := range two {
			dst[b+1][k] = (real(v)*real(v) + imag(v)*imag(v)) / hop
		}
	}, nil)
}

// weighted writes x with each frame and bin times its weight.
func (f *fit) weighted(dst, x []float64) {
	f.then(func() { clear(dst) })
	add := func(from int, part func(complex128) float64) {
		for i, w := range f.window {
			if k := from + i; k >= 0 && k < len(dst) {
				dst[k] += w * part(f.bins[i]) / shortSize
			}
		}
	}
	f.each(x, func(b int, one, two []complex128) {
		for k, w := range f.weight[b] {
			one[k] = complex(real(one[k])*w, imag(one[k])*w)
		}
		for k, w := range f.weight[b+1] {
			two[k] = complex(real(two[k])*w, imag(two[k])*w)
		}
	}, func(b int) {
		add((b-1)*hop, func(z complex128) float64 { return real(z) })
		add(b*hop, func(z complex128) float64 { return imag(z) })
	})
}

// level sets the first weights: the same at all times.
func (f *fit) level() {
	f.analyse(f.y, f.weight)
	f.then(func() {
		mean := make([]float64, shortSize/2+1)
		for _, w := range f.weight {
			for k, v := range w {
				mean[k] += v / float64(f.frames)
			}
		}
		for _, w := range f.weight {
			for k := range w {
				w[k] = 1 / (mean[k] + 1e-12)
			}
		}
	})
}

// aim sets the first prior: the direct sound and what comes right after it. Weights from
// y's own power would let a loud dry spill explain itself away; with the direct sound out
// they do not.
func (f *fit) aim() {
	all := math.Sqrt(f.loud)
	for i := range f.prior {
		f.prior[i] = 1e-9 * all
		if i < 3*f.early {
			f.prior[i] = all
		}
	}
}

// weigh sets the weights from what is left: the inverse of its power, smoothed over
// neighbouring bins and frames.
func (f *fit) weigh(e []float64) {
	f.analyse(e, f.weight)
	least := math.Pow(10, quiet/10)*energy(f.y)/float64(len(f.y)) + 1e-12
	last := make([]float64, shortSize/2+1)
	now := make([]float64, shortSize/2+1)
	for first := 0; first < f.frames; first += 4 * piece {
		f.then(func() {
			for b := first; b < min(first+4*piece, f.frames); b++ {
				w := f.weight[b]
				copy(now, w)
				for k := range w {
					s, n := 0.0, 0.0
					for j := max(0, k-1); j <= min(len(w)-1, k+1); j++ {
						s, n = s+2*now[j]+last[j], n+3
						if b+1 < f.frames {
							s, n = s+f.weight[b+1][j], n+1
						}
					}
					w[k] = 1 / (s/n + least)
				}
				last, now = now, last
			}
		})
	}
}

// expect sets the prior before anything is known: a room that falls by 60 dB in 0.4 s, as
// loud as all of y at most.
func (f *fit) expect() {
	sum := 0.0
	for i := range f.prior {
		t := math.Max(0, float64(i-2*f.early)/f.rate)
		f.prior[i] = math.Pow(10, -6*t/0.4)
		sum += f.prior[i]
	}
	for i, v := range f.prior {
		f.prior[i] = f.loud * v / sum
		f.prior[i] = math.Sqrt(f.prior[i])
	}
}

// learn sets the prior from the response found: its own smoothed envelope, and a share of
// what was expected, together as loud as all of y at most. Its own loudness would let a
// response that is found too small in one round shrink further in the next.
func (f *fit) learn() {
	half := int(envelope * f.rate)
	sum := make([]float64, f.taps+1)
	for i, v := range f.h {
		sum[i+1] = sum[i] + v*v
	}
	if sum[f.taps] == 0 {
		return
	}
	own := make([]float64, f.taps)
	for i := range own {
		a, b := max(0, i-half), min(f.taps, i+half+1)
		own[i] = (sum[b] - sum[a]) / float64(b-a)
	}
	f.expect()
	all, total := dot(f.prior, f.prior), 0.0
	for _, v := range own {
		total += v
	}
	for i, v := range f.prior {
		f.prior[i] = math.Sqrt((1-open)*own[i]*all/total + open*v*v)
	}
}

// precondition works out the factors that make the problem round: by the weighted spectrum
// of x (T. Chan 1988, SIAM J. Sci. Stat. Comput. 9:766, for the circulant idea, from memory).
func (f *fit) precondition() {
	d := make([]float64, shortSize/2+1)
	for b, w := range f.weight {
		for k, v := range w {
			d[k] += v * f.power[b][k] * hop
		}
	}
	two, four := 0.0, 0.0
	for _, v := range f.prior {
		two, four = two+v*v, four+v*v*v*v
	}
	v := four / two
	for k := range f.shape {
		at := float64(k) * float64(shortSize/2) / float64(len(f.shape)-1)
		i := min(int(at), len(d)-2)
		p := at - float64(i)
		f.shape[k] = 1 / (1 + v*(d[i]*(1-p)+d[i+1]*p))
	}
}

func (f *fit) round(dst, r []float64) {
	clear(f.buf)
	for i, v := range r {
		f.buf[i] = complex(v, 0)
	}
	f.long.Transform(f.buf)
	for k := range f.buf {
		s := f.shape[min(k, longSize-k)] / longSize
		f.buf[k] = complex(real(f.buf[k])*s, imag(f.buf[k])*s)
	}
	f.long.Inverse(f.buf)
	for i := range dst {
		dst[i] = real(f.buf[i])
	}
}

// descend improves h by preconditioned conjugate gradients on the weighted problem
// (Hestenes & Stiefel 1952) and writes x through h to got.
func (f *fit) descend(got []float64, steps int) {
	n := f.taps
	u, b, r, z, p, q, a := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	through, heavy := make([]float64, len(f.y)), make([]float64, len(f.y))
	adjoint := func(dst, e []float64) {
		f.weighted(heavy, e)
		f.correlate(dst, heavy)
		f.then(func() {
			for i, s := range f.prior {
				dst[i] *= s
			}
		})
	}
	normal := func(dst, u []float64) {
		f.then(func() {
			for i, s := range f.prior {
				q[i] = s * u[i]
			}
		})
		f.apply(through, q)
		adjoint(dst, through)
		f.then(func() {
			for i := range dst {
				dst[i] += u[i]
			}
		})
	}
	var rz, first float64
	var step func(left int)
	step = func(left int) {
		if left == 0 || !(rz > 1e-8*first) || rz == 0 {
			return
		}
		normal(a, p)
		f.then(func() {
			alpha := rz / dot(p, a)
			for i := range u {
				u[i] += alpha * p[i]
				r[i] -= alpha * a[i]
			}
			f.round(z, r)
			next := dot(r, z)
			beta := next / rz
			rz = next
			for i := range p {
				p[i] = z[i] + beta*p[i]
			}
			step(left - 1)
		})
	}
	for i, s := range f.prior {
		u[i] = f.h[i] / s
	}
	adjoint(b, f.y)
	normal(a, u)
	f.then(func() {
		for i := range r {
			r[i] = b[i] - a[i]
		}
		f.round(z, r)
		copy(p, z)
		rz = dot(r, z)
		first = rz
		step(steps)
	})
	f.then(func() {
		for i, s := range f.prior {
			f.h[i] = s * u[i]
		}
		free := 0.0
		for _, s := range f.shape {
			free += 2 * (1 - s)
		}
		free *= float64(n) / longSize
		f.evidence = dot(b, u) / math.Max(free, 1)
		f.apply(got, f.h)
	})
}

// subtract writes a less b to dst.
func subtract(dst, a, b []float64) {
	for i, v := range b {
		dst[i] = a[i] - v
	}
}

func dot(a, b []float64) float64 {
	s := 0.0
	for i, v := range a {
		s += v * b[i]
	}
	return s
}
