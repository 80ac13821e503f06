//go:build browser || sound

package device_test

import (
	"math"
	"os"
	"os/exec"
	"runtime"
	"strings"
	"testing"

	"reedwell/audio/audiotest"
)

// inRoom reports true inside a sound server whose input hears its output. Outside it starts
// one and runs the same test in it.
func inRoom(t *testing.T, programs ...string) bool {
	t.Helper()
	const inside = "REEDWELL_ROOM"
	if os.Getenv(inside) != "" {
		return true
	}
	if runtime.GOOS != "linux" {
		t.Skip("the looped sound server is PulseAudio's")
	}
	audiotest.Need(t, append(programs, "pulseaudio", "pactl")...)
	again := exec.Command("testdata/looped-sound", os.Args[0], "-test.run=^"+t.Name()+"$", "-test.v", "-test.timeout=2m")
	again.Env = append(os.Environ(), inside+"=1")
	// The room moves HOME; the Go tool keeps its caches where they were.
	for _, name := range []string{"GOCACHE", "GOMODCACHE", "GOPATH"} {
		value, err := exec.Command("go", "env", name).Output()
		if err != nil {
			t.Fatalf("go env %s: %v", name, err)
		}
		again.Env = append(again.Env, name+"="+strings.TrimSpace(string(value)))
	}
	out, err := again.CombinedOutput()
	t.Logf("%s", out)
	if err != nil {
		t.Errorf("%v: %v", again, err)
	}
	return false
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
