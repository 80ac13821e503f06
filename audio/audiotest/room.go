//go:build !js

package audiotest

import (
	"os"
	"os/exec"
	"runtime"
	"strings"
	"testing"
	"time"
)

// InRoom reports true inside a sound server whose input hears its output. Outside it runs the same test
// again in one, by script (audio/device/testdata/looped-sound, as a path from the test's folder) and for at most limit,
// and reports false. It needs the programs named beside those of the server.
func InRoom(t testing.TB, script string, limit time.Duration, programs ...string) bool {
	t.Helper()
	const inside = "REEDWELL_ROOM"
	if os.Getenv(inside) != "" {
		return true
	}
	if runtime.GOOS != "linux" {
		t.Skip("the looped sound server is PulseAudio's")
	}
	Need(t, append(programs, "pulseaudio", "pactl")...)
	again := exec.Command(script, os.Args[0], "-test.run=^"+t.Name()+"$", "-test.v", "-test.timeout="+limit.String())
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
