//go:build browser || sound

package device_test

import (
	"math"
	"slices"
	"testing"
	"time"

	"reedwell/audio/audiotest"
)

// inRoom reports true inside a sound server whose input hears its output, and else runs the test there.
func inRoom(t *testing.T, programs ...string) bool {
	t.Helper()
	return audiotest.InRoom(t, "testdata/looped-sound", 5*time.Minute, programs...)
}

// A roundTrip is what one stream measured, in frames: five round trips, nil where one was not heard, and what the stream tells of
// itself a second and a half later; of the slip, how far it moved from just before the first of them on.
type roundTrip struct {
	trips            []float64
	slip, lost, late int64
}

// told is the least that the round trip must move for a stream to be sure to tell of it, in frames: 4 ms at 48 kHz.
const told = 192

// holds wants the round trip of a stream to be the same every time for as long as the stream itself tells of nothing that moved it.
// A busy computer lets sound run dry in the program or in the server, and the trip is another from then on: that run is done again,
// ten times at the most.
func holds(t *testing.T, measure func() roundTrip) {
	t.Helper()
	for range 10 {
		r := measure()
		t.Logf("round trips %.2f frames, slip %d, lost %d, late %d", r.trips, r.slip, r.lost, r.late)
		if moved(r.trips) <= 0.1 { // the room is digital: only the interpolation differs, by less than a tenth of a frame
			return
		}
		if len(r.trips) == 5 && moved(r.trips) > told && max(r.slip, -r.slip) < told && r.lost == 0 && r.late == 0 {
			t.Error("the round trip moved, and the stream tells of nothing")
			return
		}
	}
	t.Error("in none of ten runs were five round trips equal")
}

// moved is by how many frames five round trips differ, infinitely many where one was not heard.
func moved(trips []float64) float64 {
	if len(trips) < 5 {
		return math.Inf(1)
	}
	return slices.Max(trips) - slices.Min(trips)
}
