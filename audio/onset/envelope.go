package onset

import (
	"math"

	"reedwell/audio/internal/dsp"
)

// Block is the length in analysis samples over which energy is summed: 2.5 ms.
const Block = 30

// An Envelope is the level of a sound every Block samples, in dBFS, smoothed by Hann
// windows of three widths.
//
// The square of a tone ripples with its period, and a Hann window of T seconds keeps
// ripple under 2 dB from 2/T Hz up: so the width goes with the pitch.
type Envelope struct {
	sum    float64
	n      int
	energy *dsp.Ring // mean square of each block
	smooth [3]*dsp.Ring
	hann   [3][]float64 // 10, 15 and 20 ms
}

// hann is a Hann window of (n+1)*2.5 ms sampled each 2.5 ms, without its zeros.
func hann(n int) []float64 {
	w, sum := make([]float64, n), 0.0
	for i := range w {
		s := math.Sin(math.Pi * float64(i+1) / float64(n+1))
		w[i] = s * s
		sum += w[i]
	}
	for i := range w {
		w[i] /= sum
	}
	return w
}

// keep is how many blocks an Envelope remembers: 2 s.
const keep = 800

// NewEnvelope makes an empty Envelope.
func NewEnvelope() *Envelope {
	e := &Envelope{energy: dsp.NewRing(keep), hann: [3][]float64{hann(3), hann(5), hann(7)}}
	for i := range e.smooth {
		e.smooth[i] = dsp.NewRing(keep)
	}
	return e
}

// Push takes the next sample.
func (e *Envelope) Push(x float64) {
	e.sum += x * x
	if e.n++; e.n < Block {
		return
	}
	e.energy.Push(e.sum / Block)
	e.sum, e.n = 0, 0
	for i, w := range e.hann {
		s := 0.0
		for j, v := range e.energy.Window(e.energy.Count()-len(w), len(w)) {
			s += w[j] * v
		}
		e.smooth[i].Push(max(floorDB, dsp.DB(s)))
	}
}

const floorDB = -120.0

// smoothing picks the narrowest smoothing that suits a pitch in Hz.
func smoothing(hz float64) int {
	switch {
	case hz >= 250:
		return 0
	case hz >= 150:
		return 1
	}
	return 2
}

// last is the newest block that can be asked for at width w.
func (e *Envelope) last(w int) int { return e.energy.Count() - 1 - len(e.hann[w])/2 }

// db is the level around block i, whose middle is sample i*Block + Block/2; clamped to
// what is kept.
func (e *Envelope) db(i, w int) float64 {
	half := len(e.hann[w]) / 2
	i = min(i, e.last(w)) + half
	if i < 0 {
		return floorDB
	}
	if v := e.smooth[w].At(i); v != 0 {
		return v
	}
	return floorDB // before the start the ring holds 0
}

// peak is the highest level of blocks from..to.
func (e *Envelope) peak(from, to, w int) float64 {
	p := floorDB
	for i := from; i <= to; i++ {
		p = max(p, e.db(i, w))
	}
	return p
}

// trough is the lowest level of blocks from..to and its place, the last of equals.
func (e *Envelope) trough(from, to, w int) (at int, db float64) {
	at, db = from, e.db(from, w)
	for i := from + 1; i <= to; i++ {
		if v := e.db(i, w); v <= db {
			at, db = i, v
		}
	}
	return at, db
}

// dipAround is how far the level lies under both sides near block at.
func (e *Envelope) dipAround(at, w int) float64 {
	_, db := e.trough(at-6, at+4, w)
	return max(0, min(e.peak(at-24, at-6, w), e.peak(at+4, at+16, w))-db)
}
