package main

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"reedwell/audio/audiotest"
	"reedwell/audio/wav"
)

func command(args ...string) (status int, out, errs string) {
	var o, e bytes.Buffer
	status = run(args, &o, &e)
	return status, o.String(), e.String()
}

// The list, the targets, the sound and the marks of a drill agree; flags may follow the ID.
func TestDrillsRenderGrade(t *testing.T) {
	if status, out, _ := command("drills"); status != done || !strings.Contains(out, "ladder-4d-1") {
		t.Errorf("drills: status %d, %q", status, out)
	}
	status, out, errs := command("drills", "-json", "turnaround-1", "-harp", "A", "-tempo", "60")
	if status != done {
		t.Fatal(errs)
	}
	var d struct {
		Targets []struct {
			Start  float64 `json:"start_s"`
			End    float64 `json:"end_s"`
			Hz     float64 `json:"hz"`
			Hole   int     `json:"hole"`
			Breath string  `json:"breath"`
			Bend   int     `json:"bend"`
		} `json:"targets"`
	}
	if err := json.Unmarshal([]byte(out), &d); err != nil {
		t.Fatal(err)
	}
	// 3 draw on an A harp is G#4, 415.30 Hz (equal-temperament table), on the beat after four clicks at 60.
	if first := d.Targets[0]; first.Hole != 3 || first.Breath != "draw" || first.Bend != 0 || first.Start != 4 || first.End != 5 || math.Abs(first.Hz-415.30) > 0.01 {
		t.Errorf("first target %+v", first)
	}
	take := filepath.Join(t.TempDir(), "take.wav")
	for _, c := range []struct {
		faults []string
		status int
		says   string
	}{
		{nil, done, "passed"},
		{[]string{"-backing"}, done, "passed"},
		{[]string{"-ms", "150"}, notYet, "late throughout"},
		{[]string{"-leak", "5"}, notYet, "second hole"},
		{[]string{"-drop", "2"}, notYet, "was not played"},
	} {
		args := append([]string{"render", "turnaround-1", "-o", take, "-harp", "A", "-tempo", "60"}, c.faults...)
		if status, _, errs := command(args...); status != done {
			t.Fatalf("%v: status %d, %s", args, status, errs)
		}
		status, out, errs := command("grade", "turnaround-1", take, "-harp", "A", "-tempo", "60")
		if status != c.status || !strings.Contains(out, c.says) {
			t.Errorf("%v: status %d, want %d and %q: %s%s", c.faults, status, c.status, c.says, out, errs)
		}
	}
}

// A take that was too loud for the microphone is graded as far as it goes, and the player is told.
func TestGradeOverdriven(t *testing.T) {
	take := filepath.Join(t.TempDir(), "take.wav")
	for _, c := range []struct {
		leak   string
		over   float32
		status int
		says   string
	}{
		{"0", 1, done, "passed"}, {"0", 1.2, done, "too loud"}, {"0", 4, notYet, "The microphone was overdriven"}, {"5", 4, notYet, "second hole"},
	} {
		if status, _, errs := command("render", "turnaround-1", "-o", take, "-leak", c.leak); status != done {
			t.Fatalf("render: status %d, %s", status, errs)
		}
		sound, err := readWAV(take)
		if err != nil {
			t.Fatal(err)
		}
		loud := audiotest.CutOff(sound.Samples, audiotest.Peak(sound.Samples)/c.over)
		var file bytes.Buffer
		if err := wav.Write(&file, sound.Rate, loud); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(take, file.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
		status, out, errs := command("grade", "turnaround-1", take)
		if status != c.status || !strings.Contains(out, c.says) {
			t.Errorf("leak %s, %g times too loud: status %d, want %d and %q: %s%s", c.leak, c.over, status, c.status, c.says, out, errs)
		}
	}
}

func TestUnusableInput(t *testing.T) {
	dir := t.TempDir()
	damaged := filepath.Join(dir, "damaged.wav")
	if err := os.WriteFile(damaged, []byte("not a sound"), 0o666); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{
		{"grade", "single-1"}, {"grade", "single-1", damaged}, {"grade", "single-1", filepath.Join(dir, "none.wav")},
		{"grade", "single-99", damaged}, {"render", "single-1"}, {"render", "single-1", "-o", damaged, "-harp", "H"},
		{"render", "single-1", "-o", damaged, "-rate", "8000"}, {"render", "single-1", "-o", damaged, "-short", "2"},
		{"drills", "-json", "single-1", "-tempo", "1000"}, {"drills", "-json", "turnaround-1", "-position", "3"}, {"drills", "more"},
	} {
		if status, out, errs := command(args...); status != unusable || errs == "" || out != "" {
			t.Errorf("%v: status %d, out %q, errs %q; want %d and a message", args, status, out, errs, unusable)
		}
	}
}
