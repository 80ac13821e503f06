package player

import (
	"math"
	"testing"

	"reedwell/audio/synth"
	"reedwell/levels/drill"
)

func build(t *testing.T, id string) drill.Drill {
	t.Helper()
	d, err := drill.Build(drill.Spec{ID: id})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// Without faults each target is sounded at its time and pitch.
func TestPlaysWhatIsAsked(t *testing.T) {
	for _, s := range drill.List() {
		d := build(t, s.ID)
		notes := Notes(d, Faults{})
		if len(notes) != len(d.Targets) {
			t.Fatalf("%s: %d notes for %d targets", s.ID, len(notes), len(d.Targets))
		}
		for i, n := range notes {
			target := d.Targets[i]
			if math.Abs(n.Start-target.Start) > 1e-9 || n.End > target.End+1e-9 || n.End < target.End-gap-1e-9 {
				t.Errorf("%s: note %d from %.3f to %.3f s, asked %.3f to %.3f", s.ID, i, n.Start, n.End, target.Start, target.End)
			}
			if last := n.Hz[len(n.Hz)-1].Value; math.Abs(1200*math.Log2(last/target.Hz)) > 1e-9 {
				t.Errorf("%s: note %d ends at %.2f Hz, asked %.2f", s.ID, i, last, target.Hz)
			}
		}
	}
}

// The same seed plays the same, another does not.
func TestSeed(t *testing.T) {
	d := build(t, "turnaround-3")
	start := func(seed uint64) float64 { return Notes(d, Faults{Scatter: 0.03, Seed: seed})[4].Start }
	if start(1) != start(1) || start(1) == start(2) {
		t.Error("scatter does not follow the seed")
	}
}

// Whatever the faults, notes stay in order and long enough to be rendered.
func TestFaultsCanBeRendered(t *testing.T) {
	for _, id := range []string{"single-6", "long-2", "ladder-3d-4", "warble-6", "turnaround-6", "blue-4", "octaves-6", "vibrato-5", "wah-4", "aim-4", "answer-5"} {
		d := build(t, id)
		for _, f := range []Faults{{Hunt: 1, Graze: 1}, {Pace: 4, Extent: 4, Jitter: 1, Seed: 3}, {Search: 4, Swap: true, Extent: 4}, {Scatter: 0.3, Seed: 1}, {Jitter: 1, Seed: 2}, {Duty: 0.95}, {Short: 0.9}, {Late: -1},
			{Drop: 2, Add: 1}, {Held: true, Leak: 6}, {Break: 5, Slow: 0.5}, {Waver: 100, Swell: 10, Fade: -20}, {Glide: 2, Overshoot: 300}} {
			if err := f.Validate(); err != nil {
				t.Fatal(err)
			}
			last := 0.0
			for i, n := range Notes(d, f) {
				if n.Start < last-1e-9 || n.End <= n.Start {
					t.Errorf("%s, %+v: note %d from %.3f to %.3f s after %.3f", id, f, i, n.Start, n.End, last)
				}
				last = n.Start
			}
			for _, v := range synth.Render(16000, d.Seconds, Notes(d, f), f.Seed) {
				if math.IsNaN(float64(v)) || math.Abs(float64(v)) > 1 {
					t.Fatalf("%s, %+v: sample %g", id, f, v)
				}
			}
		}
	}
}

func TestValidate(t *testing.T) {
	for _, f := range []Faults{{Cents: 300}, {Late: math.NaN()}, {Short: 1}, {Drop: -1}, {Duty: 1}, {Scatter: -1}} {
		if f.Validate() == nil {
			t.Errorf("%+v is accepted", f)
		}
	}
}
