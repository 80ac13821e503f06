package spill

import (
	"fmt"
	"math"

	"reedwell/audio/internal/dsp"
)

// Options say how far the spill may reach. The zero value suits a phone or laptop in a
// living room.
type Options struct {
	Early float64 // seconds that it may come before its frame; 0 means DefaultEarly
	Room  float64 // seconds that it may ring on after its frame; 0 means DefaultRoom
}

// Defaults of Options, in seconds.
const (
	// DefaultEarly is more than a round trip may be off (5 ms, device.Stream.Slip) before
	// a calibration is asked for again.
	DefaultEarly = 0.008
	// DefaultRoom: a room of 0.5 s has fallen by 42 dB by then (Schroeder 1965: 60 dB in
	// the reverberation time, in a straight line of dB).
	DefaultRoom = 0.350
	// longest keeps the fit inside one transform.
	longest = 0.5
)

// A Report tells what was found.
type Report struct {
	// Confident tells that played was heard in captured and that taking it out is to be
	// trusted. Without it the rest is captured itself, sample for sample.
	Confident bool
	Gain      float64 // dB: level of the spill in the microphone relative to played
	Removed   float64 // dBFS: RMS level of what was taken out
	// Evidence is how much better captured is explained with the spill than without, in
	// parts of what chance alone would explain; about 1 where nothing spills.
	Evidence float64
}

// needEvidence is what Evidence must come to, see FIGURES.md: headphones stay under it by far,
// a spill that matters passes it by far.
const needEvidence = 3.0

// Remove takes what was played out of what was captured, both at rate Hz, frame 0 of played
// expected on frame 0 of captured. The rest is new and as long as captured; neither argument
// is changed or kept.
func Remove(captured, played []float32, rate int, o Options) ([]float32, Report) {
	o = o.defaults()
	rest := append([]float32(nil), captured...)
	down := decimation(rate)
	low := float64(rate) / float64(down)
	y, x := slower(captured, rate, down), slower(played, rate, down)
	if energy(y) == 0 || energy(x) == 0 || float64(len(y)) < low {
		return rest, Report{}
	}
	f := newFit(brighter(y), brighter(x), int(math.Round(o.Early*low)), int(math.Round((o.Early+o.Room)*low)), low)
	f.solve()
	spill := f.spill(x)
	r := Report{Evidence: f.evidence}
	e := energy(spill)
	r.Gain = 10 * math.Log10(e/energy(x)+1e-30)
	r.Removed = 10 * math.Log10(e/float64(len(spill))+1e-30)
	if !(r.Evidence >= needEvidence) || math.IsNaN(e) {
		return rest, r
	}
	r.Confident = true
	for i, v := range faster(spill, len(rest), rate, down) {
		rest[i] -= float32(v)
	}
	return rest, r
}

// emphasis makes the band's bass no louder to the fit than its clicks. Our choice.
const emphasis = 0.95

func (o Options) defaults() Options {
	if o.Early == 0 {
		o.Early = DefaultEarly
	}
	if o.Room == 0 {
		o.Room = DefaultRoom
	}
	if !(o.Early >= 0) || !(o.Room > 0) || !(o.Early+o.Room <= longest) {
		panic(fmt.Sprintf("spill: %g s early and %g s of room: want positive and %g s together at most", o.Early, o.Room, longest))
	}
	return o
}

// slowest is the least rate the fit works at, in Hz: the ear listens up to 5 kHz, and what
// lies over its hearing need not be taken out.
const slowest = 14000

// decimation is how many frames make one of the fit's.
func decimation(rate int) int {
	if rate < 8000 || rate > 192000 {
		panic(fmt.Sprintf("spill: rate of %d Hz: want 8000 to 192000", rate))
	}
	return max(1, rate/slowest)
}

// Edges of the filters between the rates, in parts of the lower rate, and their stop band.
const (
	passEdge = 0.42
	stopEdge = 0.5
	stopDB   = 70
)

// slower brings a sound down to the fit's rate.
func slower(x []float32, rate, down int) []float64 {
	out := make([]float64, 0, len(x)/down+1)
	if down == 1 {
		for _, v := range x {
			out = append(out, float64(v))
		}
		return out
	}
	low := float64(rate) / float64(down)
	r := dsp.NewResampler(float64(rate), 1, down, passEdge*low, stopEdge*low, stopDB)
	return resample(out, r, len(x), (len(x)+down-1)/down, func(i int) float64 { return float64(x[i]) })
}

// faster brings it back up to n frames.
func faster(x []float64, n, rate, down int) []float64 {
	if down == 1 {
		return x[:n]
	}
	low := float64(rate) / float64(down)
	r := dsp.NewResampler(low, down, 1, passEdge*low, stopEdge*low, stopDB)
	return resample(make([]float64, 0, n+down), r, len(x), n, func(i int) float64 { return x[i] })
}

// resample pushes n inputs and then silence until there are want outputs.
func resample(out []float64, r *dsp.Resampler, n, want int, at func(int) float64) []float64 {
	dst := make([]float64, 16)
	for i := 0; len(out) < want; i++ {
		v := 0.0
		if i < n {
			v = at(i)
		}
		out = append(out, dst[:r.Push(v, dst)]...)
	}
	return out[:want]
}

// brighter evens out the spectrum, as loud at 1 kHz as at 100 Hz.
func brighter(x []float64) []float64 {
	out, last := make([]float64, len(x)), 0.0
	for i, v := range x {
		out[i] = v - emphasis*last
		last = v
	}
	return out
}

func energy(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v * v
	}
	return s
}
