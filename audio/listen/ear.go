package listen

import (
	"fmt"
	"math"

	"reedwell/audio/internal/dsp"
	"reedwell/audio/onset"
	"reedwell/audio/pitch"
)

const (
	ahead = onset.Ahead // frames looked at beyond the one given: 20 ms
	kept  = 64          // measured frames kept
	// The resampler's edges in Hz. 70 dB keep what folds back under any noise floor of
	// a microphone; the room between the edges keeps the filter's delay at 1.4 ms.
	passHz, stopHz, stopDB = 5200, 6800, 70
)

// An Ear hears one mono stream. Not safe for concurrent use.
type Ear struct {
	spans []Span
	rate  int
	hop   int
	total int64 // samples taken

	gauge           gauge
	resampler       *dsp.Resampler
	out             []float64
	dc, last        float64
	leak            float64 // of the DC filter
	ring            *dsp.Ring
	detector        *pitch.Detector
	trace           *pitch.Trace // nil when chords are asked for, or nothing
	beside          func(hz float64) []float64
	chords          *chords // nil unless asked for
	measured        [kept]pitch.Estimate
	none            pitch.Estimate
	count           int     // frames measured
	given           int     // frames given
	broken          int     // frames without a tone
	settled         bool    // the pitch stood still once since the sound began
	left            float64 // pitch before the last change
	leftBefore      float64 // and before the one before
	jumped          int     // the frame of the last jump
	changed         int     // and of the first of those that were one change, see changeFrames
	returned        int     // jumps back in a row
	standing        int     // frames in a row that stood still
	gliding         int     // frames that did not, see glidesPer
	lowest, highest float64 // pitch since it last left vibratoRange, see swing
	extreme         float64 // the furthest it came since it turned round
	rising          bool    // it goes up since then
	turns, since    int     // how often it has turned, frames since it last did
	attack          attack
	heard           [6]remembered
	flushing        bool
	segmenter       *onset.Segmenter
	scratch         []onset.Note

	frames []Frame
	notes  []Note
}

// New returns an Ear for one stream.
func New(c Config) (*Ear, error) {
	if c.Rate < MinRate || c.Rate > MaxRate {
		return nil, fmt.Errorf("listen: sample rate %d Hz is outside %d to %d Hz", c.Rate, MinRate, MaxRate)
	}
	if c.Low == 0 {
		c.Low = DefaultLow
	}
	if c.High == 0 {
		c.High = DefaultHigh
	}
	if !(c.Low >= 100) || !(c.High > c.Low) || !(c.High <= 4000) {
		return nil, fmt.Errorf("listen: search range %g to %g Hz: want 100 to 4000 Hz, low before high", c.Low, c.High)
	}
	for i, s := range c.Spans {
		if !(s.Low > 0) || !(s.High >= s.Low) {
			return nil, fmt.Errorf("listen: span %d: %g to %g Hz is no range", i, s.Low, s.High)
		}
		for _, b := range s.Beside {
			if !(b > 0) || math.IsInf(b, 0) {
				return nil, fmt.Errorf("listen: span %d: %g Hz beside it is no pitch", i, b)
			}
		}
	}
	e := &Ear{rate: c.Rate, hop: (c.Rate + 100) / 200}
	for _, s := range c.Spans {
		s.Beside = append([]float64(nil), s.Beside...)
		e.spans = append(e.spans, s)
	}
	g := gcd(onset.FrameHop, e.hop)
	up, down := onset.FrameHop/g, e.hop/g
	rate := float64(c.Rate) * onset.FrameHop / float64(e.hop)
	e.gauge = newGauge(c.Rate, e.hop)
	e.resampler = dsp.NewResampler(float64(c.Rate), up, down, passHz, stopHz, stopDB)
	e.out = make([]float64, up/down+2)
	e.leak = 1 - 2*math.Pi*dcHz/rate
	e.ring = dsp.NewRing(8192) // 0.68 s: how far back the segmenter and the longest window look, 0.4 s, and what is known ahead
	e.detector = pitch.New(rate, c.Low, c.High)
	if asksChords(c.Spans) {
		e.chords = newChords(rate, c.Low, c.High)
	} else if len(c.Spans) > 0 {
		e.trace = e.detector.NewTrace()
	}
	e.segmenter = onset.NewSegmenter(rate, e.ring)
	near := make([]float64, 0, 64)
	e.beside = func(hz float64) []float64 {
		near = near[:0]
		for i := range e.spans {
			if s := &e.spans[i]; hz >= s.Low && hz <= s.High {
				for _, b := range s.Beside {
					if len(near) < cap(near) {
						near = append(near, b)
					}
				}
			}
		}
		return near
	}
	e.frames = make([]Frame, 0, 256)
	e.notes = make([]Note, 0, 64)
	e.scratch = make([]onset.Note, 0, 64)
	return e, nil
}

// dcHz is the corner of the filter that takes out a microphone's DC offset: far
// under the lowest reed. Our choice.
const dcHz = 20.0

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// Process takes the next samples, any number of them, full scale 1. It keeps none
// of block. Values that are not finite are taken as 0 and beyond +-8 as +-8.
func (e *Ear) Process(block []float32) {
	for _, v := range block {
		x := float64(v)
		switch {
		case x != x:
			x = 0
		case x > 8:
			x = 8
		case x < -8:
			x = -8
		}
		e.push(x)
	}
	e.total += int64(len(block))
}

func (e *Ear) push(x float64) {
	e.gauge.push(x)
	n := e.resampler.Push(x, e.out)
	for _, y := range e.out[:n] {
		e.dc = y - e.last + e.leak*e.dc
		e.last = y
		e.ring.Push(e.dc)
		e.segmenter.Push(e.dc)
		if c := e.ring.Count(); c == e.count*onset.FrameHop+pitch.Size/2 {
			e.measure()
		}
	}
}

// measure analyses the window around frame e.count.
func (e *Ear) measure() {
	recent := 0.0
	if e.count > 0 {
		recent = e.measured[(e.count-1)%kept].F0
	}
	x := e.ring.Window(e.ring.Count()-pitch.Size, pitch.Size)
	e.measured[e.count%kept] = e.detector.Analyse(x, recent, e.beside)
	f0 := e.measured[e.count%kept].F0
	if e.trace != nil {
		e.trace.Add(&e.measured[e.count%kept])
	}
	if c := e.chords; c != nil {
		e.detector.Powers(c.short[e.count%len(c.short)])
	}
	e.count++
	n := e.count - 1 - ahead
	e.segmenter.Hop(f0)
	if c := e.chords; c != nil && n >= 0 && n%longEvery == 0 {
		x := e.ring.Window(e.ring.Count()-pitch.LongSize, pitch.LongSize)
		w := n / longEvery
		c.window[w%kept] = c.detector.Analyse(x, c.window[(w+kept-1)%kept].F0, e.beside)
	}
	if n >= 0 {
		f := e.judge(n)
		if !e.flushing || f.At < e.total {
			e.frames = append(e.frames, f)
			e.given++
		}
	}
	e.collect()
}

func (e *Ear) collect() {
	e.scratch = e.segmenter.Notes(e.scratch[:0])
	scale := float64(e.hop) / onset.FrameHop
	for _, n := range e.scratch {
		m := Note{Start: int64(n.Start*scale + 0.5), End: int64(n.End*scale + 0.5), F0: n.F0, Dip: n.Dip, Error: n.Error * scale}
		if e.flushing {
			m.End = min(m.End, e.total)
		}
		m.First = int((m.Start + int64(e.hop) - 1) / int64(e.hop))
		m.Last = int((m.End + int64(e.hop) - 1) / int64(e.hop))
		m.Own = max(m.First, n.Own)
		e.notes = append(e.notes, m)
	}
}

// Frames appends the frames heard since the last call to dst.
func (e *Ear) Frames(dst []Frame) []Frame {
	dst = append(dst, e.frames...)
	e.frames = e.frames[:0]
	return dst
}

// Notes appends the notes that ended since the last call to dst.
func (e *Ear) Notes(dst []Note) []Note {
	dst = append(dst, e.notes...)
	e.notes = e.notes[:0]
	return dst
}

// Flush ends the stream: the frames up to its end are given and the open note is
// closed. Nothing may be processed after it.
func (e *Ear) Flush() {
	e.flushing = true
	end := int((e.total + int64(e.hop) - 1) / int64(e.hop)) // frames in all
	for e.given < end {
		e.push(0)
	}
	e.segmenter.Flush(float64(e.total) * onset.FrameHop / float64(e.hop))
	e.collect()
}

// Hop is the distance between frames in samples: frame n speaks of sample n*Hop().
func (e *Ear) Hop() int { return e.hop }

// Delay is how many samples after Frame.At must have arrived for a frame to be given:
// half a window, the frames looked ahead and the resampler, 42 ms.
func (e *Ear) Delay() int {
	return ((ahead*onset.FrameHop+pitch.Size/2)*e.hop+onset.FrameHop-1)/onset.FrameHop + e.resampler.Delay() + 1
}

// Hear listens to a whole sound at once. The results are those of an Ear that was
// fed the same samples in any blocks.
func Hear(c Config, samples []float32) (Take, error) {
	e, err := New(c)
	if err != nil {
		return Take{}, err
	}
	e.Process(samples)
	e.Flush()
	return Take{Rate: c.Rate, Frames: e.Frames(nil), Notes: e.Notes(nil)}, nil
}
