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
	holds(t, func() roundTrip { return desktopTrips(t) })
}

// desktopTrips measures five times over while a stream stays open.
func desktopTrips(t *testing.T) (r roundTrip) {
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
	wait("settled", func() bool { listen(); return s.Now() > 3*int64(rate) }) // the slip is told from the third second on
	before := s.Slip()
	signal := calibrate.Signal(rate)
	n := int64(calibrate.Frames(signal, rate))
	defer func() {
		at := s.Now() + int64(rate)*3/2 // what moved the trip is told a second and a quarter later
		wait("told", func() bool { listen(); return s.Now() > at })
		r.slip, r.lost, r.late = s.Slip()-before, gaps, s.Late()
	}()
	for range 5 {
		from := s.Now() + s.Lead()
		s.Play(from, signal)
		wait("captured", func() bool { listen(); return first+int64(len(heard)) >= from+n })
		got, err := calibrate.Find(heard[from-first:from-first+n], rate)
		if err != nil {
			t.Logf("round trip %d: %v", len(r.trips), err)
			r.trips = nil
			return r
		}
		r.trips = append(r.trips, got.Frames)
	}
	return r
}
