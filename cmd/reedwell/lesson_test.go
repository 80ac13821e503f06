package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"reedwell/audio/wav"
)

func TestCheck(t *testing.T) {
	status, out, errs := command("check", demoLesson)
	if status != done || !strings.Contains(out, "A harp") || errs != "" {
		t.Errorf("a good lesson: status %d, %q, %q", status, out, errs)
	}
	bad := filepath.Join(t.TempDir(), "bad.txt")
	text := "title: Bad\nharp: A\nposition: 2\ntempo: 60\nfeel: straight\nform: slow change\n\nlick: One\nbars: 1\n-5':8 |\n\nlick: Two\nbars: 2\n-2:7 |\n"
	if err := os.WriteFile(bad, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	status, _, errs = command("check", bad)
	for _, want := range []string{bad + ":10:1: error: ", bad + ":14:"} {
		if status != unusable || !strings.Contains(errs, want) {
			t.Errorf("status %d, printed %q, want %q in it", status, errs, want)
		}
	}
	if status, _, errs := command("check", filepath.Join(t.TempDir(), "none.txt")); status != unusable || !strings.Contains(errs, "none.txt") {
		t.Errorf("no file: status %d, %q", status, errs)
	}
}

// A lick sounded by render passes when it is graded as that lick, and not as another.
func TestLickOnTheCommandLine(t *testing.T) {
	take := filepath.Join(t.TempDir(), "take.wav")
	if status, _, errs := command("render", demoLesson+":2", "-harp", "D", "-o", take); status != done {
		t.Fatal(errs)
	}
	if status, out, errs := command("grade", demoLesson+":2", take, "-harp", "D"); status != done {
		t.Errorf("the lick itself: status %d, %s%s", status, out, errs)
	}
	if status, _, _ := command("grade", demoLesson+":3", take, "-harp", "D"); status != notYet {
		t.Errorf("another lick: status %d", status)
	}
	for _, id := range []string{demoLesson + ":9", demoLesson + ":two", demoLesson + ":0"} {
		if status, _, errs := command("grade", id, take); status != unusable || errs == "" {
			t.Errorf("%s: status %d, %q", id, status, errs)
		}
	}
}

// What was sounded is written down: the same notes in the same places.
func TestWriteOnTheCommandLine(t *testing.T) {
	take := filepath.Join(t.TempDir(), "take.wav")
	if status, _, errs := command("render", demoLesson+":2", "-o", take); status != done {
		t.Fatal(errs)
	}
	status, out, errs := command("write", take, "-harp", "A", "-tempo", "60", "-feel", "12/8")
	// Whether another hole was slurred or tongued lightly is not always to be heard.
	if status != done || !strings.Contains(strings.ReplaceAll(out, "/", ""), "-2:3 z -2 -3 -4:2 -3 -2:3 |\n-1:3 -2:6 z:3 |") {
		t.Errorf("status %d, %s%s", status, out, errs)
	}
	silent := filepath.Join(t.TempDir(), "silent.wav")
	if err := os.WriteFile(silent, wav.Bytes(16000, make([]float32, 32000)), 0o666); err != nil {
		t.Fatal(err)
	}
	if status, _, errs := command("write", silent); status != unusable || !strings.Contains(errs, "could not hear") {
		t.Errorf("silence: status %d, %q", status, errs)
	}
}

// A lesson goes through each notation and comes back as it was.
func TestConvert(t *testing.T) {
	dir := t.TempDir()
	for _, demo := range []string{"kettle", "shoes", "landing"} {
		text := "../../testdata/lessons/" + demo + ".txt"
		_, want, _ := command("check", "-format", text)
		for _, ending := range notations() {
			file := filepath.Join(dir, demo+ending)
			if status, _, errs := command("convert", text, "-o", file); status != done {
				t.Fatal(errs)
			}
			if status, got, errs := command("convert", file); status != done || got != want {
				t.Errorf("%s: status %d, %s\n%s", file, status, errs, got)
			}
		}
	}
	if status, _, errs := command("convert", demoLesson, "-o", filepath.Join(dir, "x.doc")); status != unusable || !strings.Contains(errs, ".abc") {
		t.Errorf("status %d, %q", status, errs)
	}
}

func TestSheetAndClips(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "sheet.pdf")
	if status, _, errs := command("sheet", demoLesson, "-o", file, "-paper", "letter"); status != done {
		t.Fatal(errs)
	}
	if data, err := os.ReadFile(file); err != nil || !bytes.HasPrefix(data, []byte("%PDF-")) {
		t.Errorf("%.20q, %v", data, err)
	}
	if status, _, errs := command("clips", demoLesson, "-o", dir, "-rate", "16000", "-tempo", "120"); status != done {
		t.Fatal(errs)
	}
	full, err := readWAV(filepath.Join(dir, "lick-1.wav"))
	if err != nil {
		t.Fatal(err)
	}
	slow, err := readWAV(filepath.Join(dir, "lick-1-slow.wav"))
	if err != nil {
		t.Fatal(err)
	}
	// At 0.6 of the tempo the music takes 1/0.6 of the time; what surrounds it does not.
	if r := float64(len(slow.Samples)) / float64(len(full.Samples)); r < 1.4 || r > 1/0.6 {
		t.Errorf("the slow clip is %.2f times as long", r)
	}
}

func TestLinks(t *testing.T) {
	status, out, errs := command("link", demoLesson, "-page", "https://example.org/")
	lines := strings.Split(strings.TrimSpace(out), "\n")
	if status != done || len(lines) != 8 || !strings.Contains(lines[3], "\tThe answer\thttps://example.org/#v=1&lick=2&") {
		t.Errorf("status %d, %s%s", status, out, errs)
	}
	if _, out, _ := command("link", demoLesson, "-frame"); !strings.Contains(out, `allow="microphone`) {
		t.Errorf("%.200s", out)
	}
}
