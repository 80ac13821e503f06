//go:build sound && cgo

package device_test

import (
	"math"
	"testing"
	"time"

	"reedwell/audio/calibrate"
	"reedwell/audio/device"
)

// TestDesktopRoundTrip plays the calibration's bursts in a room where the microphone hears
// the loudspeaker and wants the same round trip every time while the stream is open.
func TestDesktopRoundTrip(t *testing.T) {
	if !inRoom(t) {
		return
	}
	s := device.Open(device.Options{})
	defer s.Close()
	start := time.Now()
	wait := func(what string, ok func() bool) {
		t.Helper()
		for range 2000 {
			s.Poll(time.Since(start).Seconds())
			if ok() {
				return
			}
			time.Sleep(5 * time.Millisecond)
		}
		t.Fatalf("not %s after 10 s: state %v, error %v", what, s.State(), s.Err())
	}
	wait("running", func() bool { return s.State() == device.Running && s.Now() > 0 })
	rate := s.Info().Rate
	var heard []float32
	var gaps int64
	first := int64(-1)
	listen := func() {
		s.Read(func(b device.Block) {
			if first < 0 {
				first = b.First
			}
			gaps += b.Gap
			heard = append(heard, make([]float32, b.Gap)...)
			heard = append(heard, b.In...)
		})
	}
	wait("settled", func() bool { listen(); return s.Now() > int64(rate) })
	signal := calibrate.Signal(rate)
	n := int64(calibrate.Frames(signal, rate))
	var trips []float64
	for range 5 {
		from := s.Now() + s.Lead()
		s.Play(from, signal)
		wait("captured", func() bool { listen(); return first+int64(len(heard)) >= from+n })
		r, err := calibrate.Find(heard[from-first:from-first+n], rate)
		if err != nil {
			t.Fatalf("round trip %d: %v", len(trips), err)
		}
		if r.Bursts < 5 || r.Spread > 0.1 {
			t.Errorf("round trip = %+v, want 5 bursts within 0.1 ms", r)
		}
		trips = append(trips, r.Frames)
	}
	t.Logf("round trips %.2f frames at %d Hz, %+v, late %d, slip %d", trips, rate, s.Info(), s.Late(), s.Slip())
	if slip := s.Slip(); slip < -240 || slip > 240 {
		t.Errorf("slip = %d frames, want less than 5 ms", slip)
	}
	if gaps != 0 || s.Late() != 0 {
		t.Errorf("%d frames lost, %d late, want none", gaps, s.Late())
	}
	for _, x := range trips {
		if math.Abs(x-trips[0]) > 0.1 {
			t.Errorf("round trips %v frames, want all equal: the room is digital", trips)
			break
		}
	}
}
