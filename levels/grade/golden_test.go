package grade

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"reedwell/levels/player"
)

var update = flag.Bool("update", false, "rewrite the .golden files")

// The same takes give the same marks, in the same words, natively and as WebAssembly: this
// test runs as both against one file. Numbers are compared to three digits, since the two
// compute sines and logarithms by different code, last bits apart.
func TestMarksAreTheSameEverywhere(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	for _, c := range []struct {
		id, key string
		faults  player.Faults
	}{
		{"single-1", "A", player.Faults{Leak: 9, Seed: 1}},
		{"single-2", "C", player.Faults{Drop: 4, Cents: -55}},
		{"ladder-4d-1", "A", player.Faults{Deep: 47, Overshoot: 30}},
		{"ladder-3d-3", "G", player.Faults{Deep: -20, Glide: 0.5}},
		{"warble-1", "A", player.Faults{Jitter: 0.3, Seed: 3}},
		{"warble-3", "low D", player.Faults{Duty: 0.7}},
		{"turnaround-2", "A", player.Faults{Late: 0.14}},
		{"turnaround-2", "C", player.Faults{Held: true, Short: 0.2}},
		{"turnaround-5", "A", player.Faults{Scatter: 0.07, Deep: 35, Seed: 2}},
		{"long-1", "A", player.Faults{Waver: 25, Slow: 0.3}},
		{"repeats-3", "A", player.Faults{Scatter: 0.05, Seed: 5}},
		{"repeats-4", "G", player.Faults{Soft: 5, Late: 0.07}},
		{"scoop-3", "A", player.Faults{Depth: -70, Release: 0.25}},
		{"scoop-4", "C", player.Faults{Deep: 45, Glide: 0.4}},
		{"long-4", "C", player.Faults{Fade: -7, Break: 1}},
		{"blue-1", "A", player.Faults{Deep: 38, Glide: 0.5}},
		{"blue-5", "C", player.Faults{Deep: -34}},
		{"octaves-3", "A", player.Faults{Hunt: 0.3, Graze: 0.1}},
		{"octaves-6", "C", player.Faults{Graze: 0.08, Late: 0.04}},
		{"vibrato-2", "A", player.Faults{Pace: 1.3, Extent: 0.2}},
		{"vibrato-5", "C", player.Faults{Jitter: 0.2, Seed: 1}},
		{"wah-2", "A", player.Faults{Pace: 1.4}},
		{"wah-4", "C", player.Faults{Swap: true, Extent: 2}},
		{"aim-2", "A", player.Faults{Deep: 44, Search: 1.8}},
		{"answer-2", "A", player.Faults{Drop: 4, Late: 0.13}},
	} {
		d := build(t, c.id, c.key, 0)
		r := gradePlayed(t, d, c.faults)
		fmt.Fprintf(&b, "%s on %s, %+v\npassed %v, share %.3g, missing %d, extra %d, bias %.3f, scatter %.3f\n",
			c.id, c.key, c.faults, r.Passed, r.Share, r.Missing, r.Extra, r.Bias, r.Scatter)
		for _, m := range r.Marks {
			if m.Verdict != Good {
				fmt.Fprintf(&b, "  %d %s %s %.3g %s %s: %s\n", m.Target, m.Tab, m.Quantity, m.Heard, m.Unit, m.Verdict, m.Advice)
			}
		}
		for _, line := range r.Summary {
			fmt.Fprintf(&b, "  > %s\n", line)
		}
	}
	const golden = "testdata/marks.golden"
	if *update {
		if err := os.WriteFile(golden, []byte(b.String()), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	got, wanted := strings.Split(b.String(), "\n"), strings.Split(string(want), "\n")
	for i := range max(len(got), len(wanted)) {
		g, w := "", ""
		if i < len(got) {
			g = got[i]
		}
		if i < len(wanted) {
			w = wanted[i]
		}
		if g != w {
			t.Errorf("line %d:\n got %s\nwant %s", i+1, g, w)
		}
	}
}
