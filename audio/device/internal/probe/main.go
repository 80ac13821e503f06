//go:build js

// Probe is the page the browser tests of audio/device open: it keeps a stream and answers
// the test's questions through the global object probe.
package main

import (
	"encoding/json"
	"syscall/js"
	"time"

	"reedwell/audio/calibrate"
	"reedwell/audio/device"
)

// status is what probe.status() answers, as JSON.
type status struct {
	State, Err     string
	Fault          int
	Info           device.Info
	First, Now     int64
	Frames, Late   int64
	Slip           int64
	Gaps           []int64
	Hidden         bool
	Blocks, Inputs int
}

type probe struct {
	stream *device.Stream
	inputs *device.Inputs
	heard  []float32 // from frame first on, gaps as zeros
	first  int64
	gaps   []int64
	blocks int
	from   int64 // where the calibration was scheduled
}

func (p *probe) tick(seconds float64) {
	if p.stream == nil {
		return
	}
	p.stream.Poll(seconds)
	p.read()
}

func (p *probe) read() {
	p.stream.Read(func(b device.Block) {
		if p.blocks == 0 {
			p.first = b.First
		}
		p.blocks++
		if b.Gap != 0 {
			p.gaps = append(p.gaps, b.Gap)
			p.heard = append(p.heard, make([]float32, b.Gap)...)
		}
		p.heard = append(p.heard, b.In...)
	})
}

func (p *probe) status() status {
	s := p.stream
	if s == nil {
		return status{}
	}
	p.read()
	r := status{State: s.State().String(), Info: s.Info(), First: p.first, Now: s.Now(), Frames: int64(len(p.heard)),
		Late: s.Late(), Slip: s.Slip(), Gaps: p.gaps, Hidden: s.Hidden(), Blocks: p.blocks, Inputs: len(p.inputs.All())}
	if err := s.Err(); err != nil {
		r.Err, r.Fault = err.Error(), int(device.FaultOf(err))
	}
	return r
}

// clicks are the frames of samples louder than a quarter, at most one in 0.1 s.
func (p *probe) clicks() []int64 {
	frames := []int64{}
	last := -1 << 30
	for i, x := range p.heard {
		if (x > 0.25 || x < -0.25) && i-last > p.stream.Info().Rate/10 {
			frames = append(frames, p.first+int64(i))
			last = i
		}
	}
	return frames
}

func answer(v any) any {
	b, err := json.Marshal(v)
	if err != nil {
		panic(err)
	}
	return string(b)
}

func main() {
	p := &probe{inputs: device.NewInputs()}
	start := time.Now()
	page := js.Global().Get("Object").New()
	give := func(name string, f func(args []js.Value) any) {
		page.Set(name, js.FuncOf(func(_ js.Value, args []js.Value) any { return f(args) }))
	}
	give("open", func(args []js.Value) any {
		if p.stream != nil {
			p.stream.Close()
		}
		*p = probe{inputs: p.inputs, stream: device.Open(device.Options{DeviceID: args[0].String(), Spare: args[1].Float()})}
		return nil
	})
	give("close", func([]js.Value) any { p.stream.Close(); return nil })
	give("resume", func([]js.Value) any { p.stream.Resume(); return nil })
	give("status", func([]js.Value) any { return answer(p.status()) })
	give("clicks", func([]js.Value) any { return answer(p.clicks()) })
	give("play", func(args []js.Value) any { // one click, frames from now on
		p.stream.Play(p.stream.Now()+int64(args[0].Int()), []float32{0.9})
		return nil
	})
	give("quiet", func([]js.Value) any { p.stream.Quiet(); return nil })
	give("calibrate", func([]js.Value) any {
		p.from = p.stream.Now() + p.stream.Lead()
		p.stream.Play(p.from, calibrate.Signal(p.stream.Info().Rate))
		return nil
	})
	give("measure", func([]js.Value) any {
		rate := p.stream.Info().Rate
		n := calibrate.Frames(calibrate.Signal(rate), rate)
		k := p.from - p.first
		if int64(len(p.heard)) < k+int64(n) {
			return answer(map[string]any{})
		}
		r, err := calibrate.Find(p.heard[k:k+int64(n)], rate)
		words := ""
		if err != nil {
			words = err.Error()
		}
		return answer(map[string]any{"Done": true, "Frames": r.Frames, "Spread": r.Spread, "Bursts": r.Bursts, "Err": words})
	})
	js.Global().Set("probe", page)
	for range time.Tick(10 * time.Millisecond) {
		p.tick(time.Since(start).Seconds())
	}
}
