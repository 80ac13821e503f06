//go:build wine

package main

import (
	"bytes"
	"image/png"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"reedwell/audio/audiotest"
)

// The window for Windows is built from here and goes through a drill in Wine, with the fake
// device; then it opens Wine's real one, in a room whose microphone hears the loudspeaker.
// It needs a display: xvfb-run -a go test -tags wine.
func TestWindowForWindows(t *testing.T) {
	audiotest.Need(t, "wine", "wineserver", "x86_64-w64-mingw32-gcc", "x86_64-w64-mingw32-windres", "pulseaudio", "pactl")
	dir := t.TempDir()
	exe := filepath.Join(dir, "Reedwell.exe")
	var errs bytes.Buffer
	if got := run([]string{"desktop", "-os", "windows", "-o", exe}, io.Discard, &errs); got != done {
		t.Fatalf("status %d: %s", got, errs.String())
	}
	if got := run([]string{"render", "single-1", "-harp", "C", "-o", filepath.Join(dir, "take.wav")}, io.Discard, &errs); got != done {
		t.Fatalf("status %d: %s", got, errs.String())
	}
	wine, err := filepath.Abs("testdata/under-wine")
	if err != nil {
		t.Fatal(err)
	}
	room, err := filepath.Abs("../../audio/device/testdata/looped-sound")
	if err != nil {
		t.Fatal(err)
	}
	in := func(before []string, args ...string) string {
		t.Helper()
		all := append(append(before, wine, filepath.Join(dir, "wine"), exe), args...)
		c := exec.Command(all[0], all[1:]...)
		c.Dir = dir
		out, err := c.CombinedOutput()
		if err != nil {
			t.Fatalf("%v: %v\n%s", args, err, out)
		}
		return string(out)
	}
	in(nil, "-data", "data", "-size", "390x844", "-speed", "4", "-fake", "take.wav", "-script",
		"start,screen:harp,mic,screen:sound,wait:0.5,go-on,screen:calibrate,measure,wait:2.5,go-on,screen:path,next,screen:drill,play,screen:take,screen:result,shot:result.png,quit")
	f, err := os.Open(filepath.Join(dir, "result.png"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if pic, err := png.Decode(f); err != nil || pic.Bounds().Dx() < 390 {
		t.Errorf("the picture of the result: %v", err)
	}
	saved, err := os.ReadFile(filepath.Join(dir, "data", "progress-a.json"))
	if err != nil || !strings.Contains(string(saved), "single-1") {
		t.Errorf("the saved progress is %q, %v; want single-1 in it", saved, err)
	}
	if said := in([]string{room}, "-check"); !strings.Contains(said, "48000 Hz") || !strings.Contains(said, "captured") {
		t.Errorf("the sound device says %q", said)
	}
}
