package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"reedwell/audio/synth"
	"reedwell/audio/wav"
	"reedwell/levels/harp"
	"reedwell/levels/reeds"
)

// A harp whose 5 draw is 25 cents flat: that reed is named and no other.
func TestReeds(t *testing.T) {
	key, err := harp.ParseKey("A")
	if err != nil {
		t.Fatal(err)
	}
	h := harp.New(key)
	var notes []synth.Note
	at := 0.5
	for _, n := range reeds.Plan() {
		hz, err := h.Hz(n)
		if err != nil {
			t.Fatal(err)
		}
		if n == (harp.Note{Hole: 5, Breath: harp.Draw}) {
			hz *= 0.98566 // 2^(-25/1200)
		}
		for range reeds.Times {
			notes = append(notes, synth.Note{Start: at, End: at + 1.8, Hz: synth.Steady(hz)})
			at += 2.4
		}
	}
	file := filepath.Join(t.TempDir(), "reeds.wav")
	const rate = 22050
	if err := os.WriteFile(file, wav.Bytes(rate, synth.Render(rate, at+1, notes, 2)), 0o666); err != nil {
		t.Fatal(err)
	}
	status, out, errs := command("reeds", file, "-harp", "A")
	if status != done || strings.Count(out, "is fine") != 19 || !strings.Contains(out, "-5     ") || !strings.Contains(out, "5 draw is 25 cents flat") {
		t.Errorf("status %d, %s%s", status, out, errs)
	}
	if status, _, errs := command("reeds", file); status != unusable || !strings.Contains(errs, "-harp") {
		t.Errorf("without a key: status %d, %q", status, errs)
	}
}
