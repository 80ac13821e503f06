//go:build window && !js

package main

import (
	"os"
	"path/filepath"
	"testing"

	"reedwell/audio/wav"
	"reedwell/game/paint"
	"reedwell/game/screen"
	"reedwell/levels/path"
	"reedwell/levels/week"
)

// Two students' files on the command line come up as a table, and a student can be looked at.
func TestWeeksInTheWindow(t *testing.T) {
	start := program(t)
	dir := t.TempDir()
	monday := path.Date(2026, 11, 23)
	var files []string
	for _, from := range []string{"00000000000000a1", "00000000000000b2"} {
		j := week.New(from)
		for range 20 {
			j = j.Add(monday, week.Take{Drill: "ladder-4d-1", Seconds: 30, Share: 0.5})
		}
		data, err := week.Summarise(j, path.New(), monday+2).Encode()
		if err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(dir, from+".json")
		if err := os.WriteFile(file, data, 0o600); err != nil {
			t.Fatal(err)
		}
		files = append(files, file)
	}
	silence := filepath.Join(dir, "silence.wav")
	if err := os.WriteFile(silence, wav.Bytes(48000, make([]float32, 48000)), 0o600); err != nil {
		t.Fatal(err)
	}
	class, student := filepath.Join(dir, "class.png"), filepath.Join(dir, "student.png")
	wait, out := start(append([]string{"-data", t.TempDir(), "-size", "390x844", "-fake", silence,
		"-script", "screen:class,shot:" + class + ",student-00000000000000b2,screen:student,shot:" + student + ",class,screen:class,back,screen:welcome,quit"}, files...)...)
	if err := wait(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	p := paint.PaletteOf(screen.Look{})
	if colours := shares(picture(t, class)); colours[p.Red] < 1e-4 { // two who are stuck
		t.Errorf("red is %.5f of the table, want a cross beside each student", colours[p.Red])
	}
	if colours := shares(picture(t, student)); colours[p.Brass] < 1e-3 {
		t.Errorf("brass is %.5f of the student's week, want a bar", colours[p.Brass])
	}
}
