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
	// Known is what an earlier Removal found with the same loudspeaker and microphone, or the zero value. While it still holds
	// the work takes a fifth of the time. One of another rate or reach is left alone.
	Known Response
}

// A Response is what a Removal found of loudspeaker, room and microphone.
type Response struct {
	taps []float64
	rate float64 // of the fit, in Hz
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
	r := New(captured, played, rate, o)
	for r.Step() {
	}
	return r.Rest()
}

// A Removal is a Remove that is done in pieces.
type Removal struct {
	plan
	captured, played []float32
	rate, down       int
	low              float64 // Hz of the fit
	o                Options

	y, x   []float64
	fit    *fit
	spill  []float64
	rest   []float32
	report Report
	done   int
	all    int
}

// New returns a Removal that has yet to be done; its arguments are those of Remove and are not
// to be changed until it is.
func New(captured, played []float32, rate int, o Options) *Removal {
	r := &Removal{captured: captured, played: played, rate: rate, o: o.defaults(), down: decimation(rate)}
	r.low = float64(rate) / float64(r.down)
	r.rest = append([]float32(nil), captured...)
	r.slower(&r.y, captured)
	r.slower(&r.x, played)
	r.then(r.begin)
	r.all = r.pieces()
	return r
}

// Step does a piece of the work, some milliseconds of it, and reports whether there is more.
func (r *Removal) Step() bool {
	r.done++
	if r.fit != nil && r.fit.do() {
		return true
	}
	return r.do()
}

// Done is the share of the work that is done, 0 to 1, as near as can be told beforehand.
func (r *Removal) Done() float64 { return math.Min(1, float64(r.done)/float64(r.all)) }

// pieces is about how many there are.
func (r *Removal) pieces() int {
	n := int(float64(len(r.captured)) / float64(r.down))
	step := longSize - int(math.Round((r.o.Early+r.o.Room)*r.low)) + 1
	once := 2*(n/(2*step)+1) + n/(hop*piece) + 6 // of the solver
	return (rounds*inner + last + 2*(rounds+1)) * once
}

// Response is what was found, when the work is done; the zero value where nothing was that is to be trusted.
func (r *Removal) Response() Response {
	if !r.report.Confident {
		return Response{}
	}
	return Response{r.fit.h, r.low}
}

// Rest is captured without what was played, when the work is done, and what was found.
func (r *Removal) Rest() ([]float32, Report) { return r.rest, r.report }

// begin fits what was found of both sounds at the slower rate.
func (r *Removal) begin() {
	if energy(r.y) == 0 || energy(r.x) == 0 || float64(len(r.y)) < r.low {
		return
	}
	var y, x []float64
	r.then(func() { y = brighter(r.y) })
	r.then(func() { x = brighter(r.x) })
	r.then(func() {
		r.fit = newFit(y, x, int(math.Round(r.o.Early*r.low)), int(math.Round((r.o.Early+r.o.Room)*r.low)), r.low)
		if k := r.o.Known; k.rate == r.low && len(k.taps) == r.fit.taps {
			r.fit.known = k.taps
		}
	})
	r.then(func() { r.fit.solve() })
	r.then(func() {
		r.spill = make([]float64, len(r.y))
		r.fit.spill(r.spill, r.x)
	})
	r.then(r.subtract)
}

// subtract takes the spill that was found out of what was captured.
func (r *Removal) subtract() {
	e := energy(r.spill)
	r.report = Report{Evidence: r.fit.evidence}
	r.report.Gain = 10 * math.Log10(e/energy(r.x)+1e-30)
	r.report.Removed = 10 * math.Log10(e/float64(len(r.spill))+1e-30)
	if !(r.report.Evidence >= needEvidence) || math.IsNaN(e) {
		return
	}
	r.report.Confident = true
	r.faster()
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

// second is how many frames, at the higher rate, are brought to another rate in one piece of the
// work: about as much of it as in the fit's.
const second = 24000

// slower brings a sound down to the fit's rate.
func (r *Removal) slower(dst *[]float64, x []float32) {
	if r.down == 1 {
		for _, v := range x {
			*dst = append(*dst, float64(v))
		}
		return
	}
	f := dsp.NewResampler(float64(r.rate), 1, r.down, passEdge*r.low, stopEdge*r.low, stopDB)
	want := (len(x) + r.down - 1) / r.down
	*dst = make([]float64, 0, want)
	out := make([]float64, 16)
	i := 0
	for range (len(x)+second-1)/second + 1 { // the last brings up what the filter holds back
		r.then(func() {
			for end := i + second; i < end && len(*dst) < want; i++ {
				v := 0.0
				if i < len(x) {
					v = float64(x[i])
				}
				*dst = append(*dst, out[:f.Push(v, out)]...)
			}
		})
	}
}

// faster takes the spill, brought back to the rate of what was captured, out of that.
func (r *Removal) faster() {
	if r.down == 1 {
		for i, v := range r.spill {
			r.rest[i] -= float32(v)
		}
		return
	}
	f := dsp.NewResampler(r.low, r.down, 1, passEdge*r.low, stopEdge*r.low, stopDB)
	out := make([]float64, 16)
	i, at := 0, 0
	for range (len(r.rest)+second-1)/second + 1 {
		r.then(func() {
			for end := at + second; at < min(end, len(r.rest)); i++ {
				v := 0.0
				if i < len(r.spill) {
					v = r.spill[i]
				}
				for _, s := range out[:f.Push(v, out)] {
					if at < len(r.rest) {
						r.rest[at] -= float32(s)
						at++
					}
				}
			}
		})
	}
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
