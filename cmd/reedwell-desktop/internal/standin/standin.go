// Package standin is a sound device for tests on which a recording plays whenever a drill's
// backing sounds, from the first click on. Test sounds come back through the air.
package standin

import (
	"fmt"
	"os"

	"reedwell/audio/calibrate"
	"reedwell/audio/device"
	"reedwell/audio/wav"
)

// A Device is such a device. Its time is that of Poll.
type Device struct {
	*device.Fake
	rate, speed float64
	last        float64 // seconds of the last Poll
	running     bool
}

// Ours: the round trip of a usual laptop, and how loud a loudspeaker is at the microphone.
const (
	RoundTrip = 0.065 // seconds
	air       = 0.3
)

// New returns a device whose time runs speed times as fast as Poll's.
func New(played wav.Sound, speed float64) *Device {
	rate := played.Rate
	o := device.FakeOptions{Rate: rate, First: 12345, RoundTrip: int(RoundTrip * float64(rate))}
	test, check := len(calibrate.Signal(rate)), len(calibrate.Check(rate))
	o.Player = func(_ int64, out []float32) []float32 {
		if len(out) == test || len(out) == check {
			back := make([]float32, len(out))
			for i, x := range out {
				back[i] = air * x
			}
			return back
		}
		return played.Samples
	}
	return &Device{Fake: device.NewFake(o), rate: float64(rate), speed: speed}
}

// Poll lets the device run for as long as has gone by. After a pause of more than half a
// second it goes on from where it was: the machine was busy, not the player.
func (f *Device) Poll(seconds float64) {
	if f.running {
		f.Advance(int(min(seconds-f.last, 0.5) * f.speed * f.rate))
	}
	f.last, f.running = seconds, true
	f.Fake.Poll(seconds)
}

// Read reads the recording.
func Read(path string) (wav.Sound, error) {
	f, err := os.Open(path)
	if err != nil {
		return wav.Sound{}, err
	}
	defer f.Close()
	s, err := wav.Read(f)
	if err != nil {
		return s, fmt.Errorf("%s: %w", path, err)
	}
	return s, nil
}
