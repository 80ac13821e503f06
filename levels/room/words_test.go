package room

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"reedwell/levels/harp"
	"reedwell/levels/lesson"
)

var update = flag.Bool("update", false, "write the golden files anew; read them before they are kept")

// written is a report as the stroll would give it, made by hand: each note so many ms late.
func written(t *testing.T, s Setting, notes []told, late float64, wobble []float64) Report {
	t.Helper()
	d := s.Drill()
	r := Report{Until: float64(d.Bars * lesson.BeatsPerBar), Bias: late, Timed: len(notes)}
	for i, n := range notes {
		note, err := harp.ParseNote(n.tab)
		if err != nil {
			t.Fatal(err)
		}
		off := late
		if len(wobble) > 0 {
			off += wobble[i%len(wobble)]
		}
		sounds, to := s.Feel.Beat(n.at), s.Feel.Beat(n.at+n.length)
		r.Notes = append(r.Notes, Note{Note: note, Place: n.at, Sounds: sounds, Late: off, Beat: sounds + off*d.Tempo/60, Beats: to - sounds, Cents: -n.flat})
	}
	var all []float64
	for _, n := range r.Notes {
		all = append(all, n.Late)
	}
	r.Scatter = deviation(all, late)
	r.relate(s, d)
	r.measure(d)
	r.changes(s, d)
	r.phrases()
	return r
}

// The words a player meets: of several takes the sentences, of one every bar.
func TestWords(t *testing.T) {
	s := setting(t, "A", "slow", "shuffle", 80, 1)
	var full, blue, low []told
	for beat := range lesson.Ticks(48) {
		full = append(full, told{beat * q, q, []string{"-2", "-4", "-6", "+6"}[beat%3], 0})
	}
	for bar := range lesson.Ticks(12) {
		blue = append(blue, told{bar * b, q, "-2", 0}, told{bar*b + q, q / 2, "-3", 45 + 5*float64(bar%4)}, told{bar*b + 2*q, 2*q - lesson.Ticks(bar)*40, "-4", 0})
	}
	for bar := range lesson.Ticks(5) {
		low = append(low, told{2 * bar * b, q, []string{"-1", "-2", "+2"}[bar%3], 0}, told{2*bar*b + q, e, "+1", 0})
	}
	minor := setting(t, "Bb", "minor", "straight", 66, 2)
	var out strings.Builder
	for _, c := range []struct {
		name string
		s    Setting
		r    Report
	}{
		{"on the beat, a phrase again", s, written(t, s, stroll(), 0.006, []float64{-0.02, 0.02, 0})},
		{"behind", s, written(t, s, stroll(), 0.038, []float64{-0.01, 0.01})},
		{"ahead, all the time", s, written(t, s, full, -0.042, nil)},
		{"blue thirds", s, written(t, s, blue, 0, nil)},
		{"low and sparse", s, written(t, s, low, 0.019, nil)},
		{"minor", minor, written(t, minor, stroll(), -0.025, []float64{0.03, -0.03})},
		{"three notes", s, written(t, s, stroll()[:3], 0, nil)},
		{"one", s, written(t, s, stroll()[:1], 0, nil)},
	} {
		words := c.r.Words()
		if len(words) == 0 || len(words) > 3 {
			t.Errorf("%s: %d sentences", c.name, len(words))
		}
		fmt.Fprintf(&out, "%s\n", c.name)
		for _, w := range words {
			fmt.Fprintf(&out, "    %s\n", w)
		}
	}
	r := written(t, s, append([]told{{-q + e, e, "-1", 0}}, stroll()...), 0.012, []float64{-0.03, 0.03, 0})
	fmt.Fprintf(&out, "\nbar by bar: %s\n", s.Words())
	for _, bar := range r.Bars(s, 0) {
		fmt.Fprintf(&out, "%2d %-7s %s\n", bar.Number, bar.Chords, bar.Words)
	}
	golden(t, "words", out.String())
	for _, judged := range []string{"good", "bad", "wrong", "mistake", "score", "should", "must", "well "} {
		if strings.Contains(out.String(), judged) {
			t.Errorf("the words judge: %q", judged)
		}
	}
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name+".golden")
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s differs; read it and run the test with -update if it is right. Got:\n%s", file, got)
	}
}

// Every place of a bar that a feel knows has a name of its own.
func TestCounted(t *testing.T) {
	for _, k := range []lesson.Kind{lesson.Straight, lesson.Shuffle, lesson.Triplet} {
		var names []string
		for beat := range lesson.Ticks(lesson.BeatsPerBar) {
			for _, x := range splits(k) {
				name := counted(beat*lesson.Beat + x.at)
				if slices.Contains(names, name) {
					t.Errorf("%q is two places", name)
				}
				names = append(names, name)
			}
		}
	}
	for at, want := range map[lesson.Ticks]string{0: "1", e: "1 and", -e: "pickup 4 and", 5 * q: "2", 3*q + q/4: "4 e", 2*q + q/3: "3 1/3", q * 2 / 3: "1 2/3"} {
		if got := counted(at); got != want {
			t.Errorf("%d is counted %q, want %q", at, got, want)
		}
	}
}

// A histogram counts every start once, the far ones in its outermost columns.
func TestHistogram(t *testing.T) {
	r := Report{Notes: []Note{{Late: 0}, {Late: 0.009}, {Late: -0.011}, {Late: 0.5}, {Late: -0.5}, {Late: 0.04, Glide: true}}}
	h := r.Histogram()
	if want := []int{1, 0, 0, 0, 1, 2, 0, 0, 0, 0, 1}; !slices.Equal(h.Counts, want) || h.Counts[h.Middle] != 2 {
		t.Errorf("%v about column %d, want %v", h.Counts, h.Middle, want)
	}
}
