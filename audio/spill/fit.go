package spill

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

// A fit looks for the response h of loudspeaker, room and microphone: y is x through h and
// something else. See doc.go for the idea.
type fit struct {
	y, x  []float64
	early int // frames by which h begins before 0
	taps  int
	rate  float64

	long   *fourier.FFT // of the convolutions
	n      int          // its length
	step   int          // frames of y in one block
	blocks [][]complex128
	buf    []float64
	spec   []complex128
	sum    []complex128

	short  *fourier.FFT // of the weights
	window []float64
	frames int
	frame  []float64
	bins   []complex128
	weight [][]float64 // per frame and bin: 1 / variance of what is not spill
	power  [][]float64 // of x

	wide    *fourier.FFT // of the preconditioner
	shape   []float64    // its factors
	wideBuf []float64
	wideSpe []complex128

	h        []float64
	prior    []float64 // standard deviation of each tap
	evidence float64
}

// Sizes at 14 to 16 kHz.
const (
	longSize = 32768 // convolution blocks of two seconds
	// shortSize is 64 to 70 ms: the length of the shortest notes that are asked for, and
	// fine enough to look between the harmonics of a reed.
	shortSize = 1024
	hop       = shortSize / 2
)

// How the fit goes on: tried on the takes of FIGURES.md.
const (
	rounds = 2  // of fitting and weighing anew
	inner  = 12 // steps of the solver in each
	last   = 30 // and in the last
	// quiet is the least level that counts as something else in the input, in dB under
	// the whole: what a linear model can not explain of a small loudspeaker.
	quiet = -60.0
	// envelope is half of what a prior is smoothed over, in seconds; open is the share of
	// it that is kept for taps not found yet.
	envelope = 0.004
	open     = 0.1
)

func newFit(y, x []float64, early, taps int, rate float64) *fit {
	f := &fit{y: y, x: x, early: early, taps: taps, rate: rate, n: longSize}
	f.long = fourier.NewFFT(f.n)
	f.step = f.n - taps + 1
	f.buf = make([]float64, f.n)
	f.spec, f.sum = make([]complex128, f.n/2+1), make([]complex128, f.n/2+1)
	f.cut(x)

	f.short = fourier.NewFFT(shortSize)
	f.window = make([]float64, shortSize)
	for i := range f.window {
		f.window[i] = math.Sin(math.Pi * (float64(i) + 0.5) / shortSize)
	}
	f.frame, f.bins = make([]float64, shortSize), make([]complex128, shortSize/2+1)
	f.frames = (len(y)+hop-1)/hop + 1
	f.weight, f.power = table(f.frames), table(f.frames)
	f.analyse(x, f.power)

	size := 1
	for size < taps {
		size *= 2
	}
	f.wide = fourier.NewFFT(size)
	f.shape = make([]float64, size/2+1)
	f.wideBuf, f.wideSpe = make([]float64, size), make([]complex128, size/2+1)
	f.h, f.prior = make([]float64, taps), make([]float64, taps)
	return f
}

// cut makes the blocks of x.
func (f *fit) cut(x []float64) {
	f.blocks = f.blocks[:0]
	for from := 0; from < len(f.y); from += f.step {
		for i := range f.buf {
			f.buf[i] = 0
			if k := from + f.early - (f.taps - 1) + i; k >= 0 && k < len(x) {
				f.buf[i] = x[k]
			}
		}
		f.blocks = append(f.blocks, f.long.Coefficients(nil, f.buf))
	}
}

// spill is x, as it was played, through what was found.
func (f *fit) spill(x []float64) []float64 {
	f.cut(x)
	out := make([]float64, len(f.y))
	f.apply(out, f.h)
	return out
}

func table(frames int) [][]float64 {
	t := make([][]float64, frames)
	all := make([]float64, frames*(shortSize/2+1))
	for i := range t {
		t[i] = all[i*(shortSize/2+1):][:shortSize/2+1]
	}
	return t
}

// solve finds h.
func (f *fit) solve() {
	e := append([]float64(nil), f.y...)
	got := make([]float64, len(f.y))
	for round := -1; round < rounds; round++ {
		switch round {
		case -1:
			f.level()
			f.aim()
		case 0:
			f.weigh(e)
			f.expect()
		default:
			f.weigh(e)
			f.learn()
		}
		f.precondition()
		if round == rounds-1 {
			f.descend(got, last)
		} else {
			f.descend(got, inner)
		}
		for i, v := range got {
			e[i] = f.y[i] - v
		}
	}
}

// apply writes x through h to dst.
func (f *fit) apply(dst, h []float64) {
	clear(f.buf)
	copy(f.buf, h)
	response := f.long.Coefficients(f.sum, f.buf)
	for b, x := range f.blocks {
		for k, v := range x {
			f.spec[k] = v * response[k]
		}
		f.long.Sequence(f.buf, f.spec)
		from := b * f.step
		to := min(from+f.step, len(dst))
		for i := from; i < to; i++ {
			dst[i] = f.buf[f.taps-1+i-from] / float64(f.n)
		}
	}
}

// correlate is the adjoint of apply.
func (f *fit) correlate(dst, r []float64) {
	clear(f.sum)
	for b, x := range f.blocks {
		clear(f.buf)
		from := b * f.step
		copy(f.buf[f.taps-1:], r[from:min(from+f.step, len(r))])
		f.long.Coefficients(f.spec, f.buf)
		for k, v := range x {
			f.sum[k] += complex(real(v), -imag(v)) * f.spec[k]
		}
	}
	f.long.Sequence(f.buf, f.sum)
	for i := range dst {
		dst[i] = f.buf[i] / float64(f.n)
	}
}

// each calls g with the spectrum of every frame of x; frame b begins on (b-1)*hop.
func (f *fit) each(x []float64, g func(b int, bins []complex128)) {
	for b := range f.frames {
		from := (b - 1) * hop
		for i, w := range f.window {
			f.frame[i] = 0
			if k := from + i; k >= 0 && k < len(x) {
				f.frame[i] = w * x[k]
			}
		}
		g(b, f.short.Coefficients(f.bins, f.frame))
	}
}

// analyse writes the power of each frame and bin, such that white noise has its variance.
func (f *fit) analyse(x []float64, dst [][]float64) {
	f.each(x, func(b int, bins []complex128) {
		for k, v := range bins {
			dst[b][k] = (real(v)*real(v) + imag(v)*imag(v)) / hop
		}
	})
}

// weighted writes x with each frame and bin times its weight.
func (f *fit) weighted(dst, x []float64) {
	clear(dst)
	f.each(x, func(b int, bins []complex128) {
		for k := range bins {
			bins[k] *= complex(f.weight[b][k]/shortSize, 0)
		}
		f.short.Sequence(f.frame, bins)
		from := (b - 1) * hop
		for i, w := range f.window {
			if k := from + i; k >= 0 && k < len(dst) {
				dst[k] += w * f.frame[i]
			}
		}
	})
}

// level sets the first weights: the same at all times.
func (f *fit) level() {
	f.analyse(f.y, f.weight)
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
}

// aim sets the first prior: the direct sound and what comes right after it. Weights from
// y's own power would let a loud dry spill explain itself away; with the direct sound out
// they do not.
func (f *fit) aim() {
	all := math.Sqrt(energy(f.y) / energy(f.x))
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
	for b, w := range f.weight {
		copy(now, w)
		for k := range w {
			s, n := 0.0, 0.0
			for j := max(0, k-1); j <= min(len(w)-1, k+1); j++ {
				s, n = s+2*now[j]+last[j], n+3
				if b+1 < f.frames {
					s, n = s+f.weight[b+1][j], n+1
				}
			}
			w[k] = s/n + least
		}
		last, now = now, last
	}
	for _, w := range f.weight {
		for k := range w {
			w[k] = 1 / w[k]
		}
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
	all := energy(f.y) / energy(f.x)
	for i, v := range f.prior {
		f.prior[i] = all * v / sum
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
	clear(f.wideBuf)
	copy(f.wideBuf, r)
	f.wide.Coefficients(f.wideSpe, f.wideBuf)
	for k, v := range f.shape {
		f.wideSpe[k] *= complex(v/float64(len(f.wideBuf)), 0)
	}
	f.wide.Sequence(f.wideBuf, f.wideSpe)
	copy(dst, f.wideBuf)
}

// descend improves h by preconditioned conjugate gradients on the weighted problem
// (Hestenes & Stiefel 1952) and writes x through h to got.
func (f *fit) descend(got []float64, steps int) {
	n := f.taps
	u, b, r, z, p, q := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	through, heavy := make([]float64, len(f.y)), make([]float64, len(f.y))
	adjoint := func(dst, e []float64) {
		f.weighted(heavy, e)
		f.correlate(dst, heavy)
		for i, s := range f.prior {
			dst[i] *= s
		}
	}
	for i, s := range f.prior {
		u[i] = f.h[i] / s
	}
	adjoint(b, f.y)
	normal := func(dst, u []float64) {
		for i, s := range f.prior {
			q[i] = s * u[i]
		}
		f.apply(through, q)
		adjoint(dst, through)
		for i := range dst {
			dst[i] += u[i]
		}
	}
	a := make([]float64, n)
	normal(a, u)
	for i := range r {
		r[i] = b[i] - a[i]
	}
	f.round(z, r)
	copy(p, z)
	rz := dot(r, z)
	first := rz
	for range steps {
		if !(rz > 1e-8*first) || rz == 0 {
			break
		}
		normal(a, p)
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
	}
	for i, s := range f.prior {
		f.h[i] = s * u[i]
	}
	free := 0.0
	for _, s := range f.shape {
		free += 2 * (1 - s)
	}
	free *= float64(n) / float64(len(f.wideBuf))
	f.evidence = dot(b, u) / math.Max(free, 1)
	f.apply(got, f.h)
}

func dot(a, b []float64) float64 {
	s := 0.0
	for i, v := range a {
		s += v * b[i]
	}
	return s
}
