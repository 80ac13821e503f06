package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"reedwell/audio/synth"
	"reedwell/audio/wav"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/player"
	free "reedwell/levels/room"
)

// strolled is four bars over a quick change on an A harp, 40 ms late, as sound.
func strolled(t *testing.T) []float32 {
	t.Helper()
	form, err := free.FormNamed("quick")
	if err != nil {
		t.Fatal(err)
	}
	feel, err := free.FeelNamed("straight")
	if err != nil {
		t.Fatal(err)
	}
	s := free.Setting{Harp: harp.New(mustKey(t, "A")), Position: 2, Form: form, Feel: feel, Tempo: 72, Choruses: 1}
	d := s.Drill()
	for i, tab := range []string{"-2", "-3'", "-3", "-4", "+4", "-3'", "-2", "+4", "-4", "-5", "-4", "-3", "-2", "-3", "-4", "-2"} {
		n, err := harp.ParseNote(tab)
		if err != nil {
			t.Fatal(err)
		}
		hz, err := d.Harp.Hz(n)
		if err != nil {
			t.Fatal(err)
		}
		beat := float64(i)
		d.Targets = append(d.Targets, drill.Target{Beat: beat, Beats: 0.7, Start: d.Time(beat), End: d.Time(beat + 0.7), Note: n, Hz: hz})
	}
	return synth.Render(48000, d.Time(17), player.Notes(d, player.Faults{Late: 0.04}), 2)
}

func mustKey(t *testing.T, name string) harp.Key {
	t.Helper()
	k, err := harp.ParseKey(name)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// What was played comes out as bars with chords, and as late as it was; with a take that begins later or
// earlier too, when it is said by how much.
func TestRoomPrintsThePicture(t *testing.T) {
	sound := strolled(t)
	for name, c := range map[string]struct {
		samples []float32
		offset  string
	}{
		"from the first click": {sound, "0"},
		"with a lead":          {append(make([]float32, 36000), sound...), "0.75"},
		"begun in the count":   {sound[24000:], "-0.5"},
	} {
		file := filepath.Join(t.TempDir(), "take.wav")
		if err := os.WriteFile(file, wav.Bytes(48000, c.samples), 0o666); err != nil {
			t.Fatal(err)
		}
		var out, errs bytes.Buffer
		if status := run([]string{"room", file, "-harp", "A", "-form", "quick", "-feel", "straight", "-tempo", "72", "-offset", c.offset}, &out, &errs); status != done {
			t.Fatalf("%s: status %d: %s", name, status, errs.String())
		}
		text := out.String()
		for _, want := range []string{
			"A harp, 2nd position, key of E, quick change, straight, 72 beats a minute, 1 chorus",
			" 1  E7 ", " 2  A7 ", "1 -2 root", "2 -3' blue third", "1 +4 root", "2 -3' seventh", "16 notes on holes 2 to 5",
		} {
			if !strings.Contains(text, want) {
				t.Errorf("%s: no %q in\n%s", name, want, text)
			}
		}
		m := regexp.MustCompile(`in the middle ([+-]\d+), scatter (\d+)`).FindStringSubmatch(text)
		if m == nil {
			t.Fatalf("%s: no bias in\n%s", name, text)
		}
		if bias, _ := strconv.Atoi(m[1]); bias < 30 || bias > 50 {
			t.Errorf("%s: bias %d ms, played 40 late", name, bias)
		}
	}
}

func TestRoomSaysWhatIsWrong(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "quiet.wav")
	if err := os.WriteFile(file, wav.Bytes(48000, make([]float32, 480000)), 0o666); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args []string
		says string
	}{
		{[]string{file}, "could not hear any playing"}, {[]string{}, "take.wav"}, {[]string{file, "-form", "ballad"}, "slow change, quick change"},
		{[]string{file, "-feel", "waltz"}, "straight, shuffle and 12/8"}, {[]string{file, "-choruses", "9"}, "once to 4 times"},
		{[]string{file, "-tempo", "5"}, "tempo"}, {[]string{file, "-position", "7"}, "positions are"}, {[]string{file, "-offset", "NaN"}, "offset"},
		{[]string{filepath.Join(dir, "none.wav")}, "none.wav"},
	} {
		var out, errs bytes.Buffer
		if status := run(append([]string{"room"}, c.args...), &out, &errs); status != unusable || !strings.Contains(errs.String(), c.says) || out.Len() > 0 {
			t.Errorf("%v: status %d, out %q, errs %q; want %q", c.args, status, fmt.Sprint(out.Len()), errs.String(), c.says)
		}
	}
}
