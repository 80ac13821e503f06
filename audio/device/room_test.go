//go:build browser || sound

package device_test

import (
	"math"
	"testing"
	"time"

	"reedwell/audio/audiotest"
)

// inRoom reports true inside a sound server whose input hears its output, and else runs the test there.
func inRoom(t *testing.T, programs ...string) bool {
	t.Helper()
	return audiotest.InRoom(t, "testdata/looped-sound", 2*time.Minute, programs...)
}

// equal reports that five round trips are the same. The room is digital: only the
// interpolation differs, by less than a tenth of a frame.
func equal(trips []float64) bool {
	for _, x := range trips {
		if math.Abs(x-trips[0]) > 0.1 {
			return false
		}
	}
	return len(trips) == 5
}
