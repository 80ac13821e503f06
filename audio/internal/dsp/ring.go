package dsp

import "fmt"

// A Ring keeps the last samples of a stream, addressed by their place in it.
// Places before the stream's start read as 0.
type Ring struct {
	buf   []float64 // each sample twice, size apart, so that any stretch reads straight
	size  int
	count int
}

// NewRing keeps size samples.
func NewRing(size int) *Ring {
	if size < 1 {
		panic(fmt.Sprintf("dsp: ring of %d samples", size))
	}
	return &Ring{buf: make([]float64, 2*size), size: size}
}

// Push adds a sample.
func (r *Ring) Push(x float64) {
	i := r.count % r.size
	r.buf[i], r.buf[i+r.size] = x, x
	r.count++
}

// Count is the number of samples pushed so far.
func (r *Ring) Count() int { return r.count }

// Oldest is the place of the oldest sample kept; it is negative while the ring
// fills: the silence before the start.
func (r *Ring) Oldest() int { return r.count - r.size }

// Window is the n samples from place start on. It is valid until the next Push.
func (r *Ring) Window(start, n int) []float64 {
	if n < 0 || start < r.Oldest() || start+n > r.count {
		panic(fmt.Sprintf("dsp: samples %d to %d of a ring that holds %d to %d", start, start+n, r.Oldest(), r.count))
	}
	i := start % r.size
	if i < 0 {
		i += r.size
	}
	return r.buf[i : i+n]
}

// At is the sample at place i; the oldest one kept for an earlier place.
func (r *Ring) At(i int) float64 {
	return r.Window(max(i, r.Oldest()), 1)[0]
}
