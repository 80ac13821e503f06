//go:build sound && cgo

package device_test

import (
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
	// One run of three, as in the browser's test.
	for range 3 {
		trips, slip := desktopTrips(t)
		t.Logf("round trips %.2f frames, slip %d", trips, slip)
		if equal(trips) {
			return
		}
	}
	t.Error("in none of three runs were five round trips equal")
}

// desktopTrips measures five times over while a stream stays open.
func desktopTrips(t *testing.T) (trips []float64, slip int64) {
	t.Helper()
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
	for range 5 {
		from := s.Now() + s.Lead()
		s.Play(from, signal)
		wait("captured", func() bool { listen(); return first+int64(len(heard)) >= from+n })
		r, err := calibrate.Find(heard[from-first:from-first+n], rate)
		if err != nil {
			t.Logf("round trip %d: %v", len(trips), err)
			return nil, s.Slip()
		}
		trips = append(trips, r.Frames)
	}
	if gaps != 0 || s.Late() != 0 {
		t.Errorf("%d frames lost, %d late, want none", gaps, s.Late())
	}
	return trips, s.Slip()
}
