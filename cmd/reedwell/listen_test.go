package main

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"reedwell/audio/synth"
	"reedwell/audio/wav"
)

// Two notes of known pitch and start come out as lines with these.
func TestListenPrintsWhatSounds(t *testing.T) {
	const rate = 48000
	sound := synth.Render(rate, 2, []synth.Note{
		{Start: 0.3, End: 0.9, Hz: []synth.Point{{Value: 440}}},
		{Start: 1.1, End: 1.7, Hz: []synth.Point{{Value: 587.33}}},
	}, 0)
	path := filepath.Join(t.TempDir(), "take.wav")
	if err := os.WriteFile(path, wav.Bytes(rate, sound), 0o666); err != nil {
		t.Fatal(err)
	}
	var out, errs bytes.Buffer
	if status := run([]string{"listen", "-harp", "C", path}, &out, &errs); status != done {
		t.Fatalf("status %d: %s", status, errs.String())
	}
	var onsets []float64
	for _, line := range strings.Split(strings.TrimSpace(out.String()), "\n") {
		part := strings.Split(line, ",")
		if part[0] == "onset" {
			at, _ := strconv.ParseFloat(part[1], 64)
			onsets = append(onsets, at)
			continue
		}
		if len(part) != 4 {
			t.Fatalf("line %q has %d fields, want 4", line, len(part))
		}
		at, _ := strconv.ParseFloat(part[0], 64)
		hz, _ := strconv.ParseFloat(part[1], 64)
		want := map[bool]float64{at > 0.45 && at < 0.8: 440, at > 1.25 && at < 1.6: 587.33}[true]
		if want > 0 && math.Abs(1200*math.Log2(hz/want)) > 2 {
			t.Errorf("at %.3f s: %.2f Hz, want %.2f", at, hz, want)
		}
		if at < 0.2 && hz != 0 {
			t.Errorf("at %.3f s: %.2f Hz in silence", at, hz)
		}
	}
	if len(onsets) != 2 || math.Abs(onsets[0]-0.3) > 0.02 || math.Abs(onsets[1]-1.1) > 0.02 {
		t.Errorf("onsets %v s, want 0.3 and 1.1 within 20 ms", onsets)
	}
}

func TestListenSaysWhatIsWrong(t *testing.T) {
	damaged := filepath.Join(t.TempDir(), "damaged.wav")
	if err := os.WriteFile(damaged, []byte("RIFF....WAVEjunk"), 0o666); err != nil {
		t.Fatal(err)
	}
	for name, args := range map[string][]string{
		"other command": {"sing"}, "no file": {"listen"}, "missing file": {"listen", "nowhere.wav"},
		"damaged": {"listen", damaged}, "no such key": {"listen", "-harp", "H", damaged},
	} {
		var out, errs bytes.Buffer
		if status := run(args, &out, &errs); status != unusable || errs.Len() == 0 || out.Len() != 0 {
			t.Errorf("%s: status %d, out %q, errs %q; want %d and a message", name, status, out.String(), errs.String(), unusable)
		}
	}
}
