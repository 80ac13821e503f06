package grade

import (
	"math"
	"testing"

	"reedwell/levels/player"
)

// What is done to tongued repeats is what is reported of them.
func TestRepeatsClosedLoops(t *testing.T) {
	t.Parallel()
	closed(t, []loop{
		{"in time", "repeats-3", player.Faults{}, Start, nil, 0, 0.010},
		{"50 ms late", "repeats-3", player.Faults{Late: 0.050}, Start, nil, 0.050, 0.010},
		{"80 ms early", "repeats-2", player.Faults{Late: -0.080}, Start, nil, -0.080, 0.010},
		{"30 ms late, four to the beat", "repeats-6", player.Faults{Late: 0.030}, Start, nil, 0.030, 0.010},
		{"even", "repeats-3", player.Faults{}, Evenness, nil, 0, 0.02},
		{"even, four to the beat", "repeats-6", player.Faults{}, Evenness, nil, 0, 0.03},
		{"dips of 7 dB", "repeats-1", player.Faults{Soft: 7}, Dip, nil, 7, 1.5},
		{"dips of 7 dB in triplets", "repeats-3", player.Faults{Soft: 7}, Dip, nil, 7, 1.5},
		{"dips of 8 dB", "repeats-1", player.Faults{Soft: 8}, Dip, nil, 8, 1.5},
		{"dips of 14 dB", "repeats-2", player.Faults{Soft: 14}, Dip, nil, 14, 1.5},
		{"half length", "repeats-1", player.Faults{Short: 0.5}, Length, nil, 0.5, 0.04},
		{"20 cents flat", "repeats-3", player.Faults{Cents: -20}, Pitch, nil, -20, 2},
		{"20 cents sharp", "repeats-6", player.Faults{Cents: 20}, Pitch, nil, 20, 2},
	})
}

// A fall of 4 dB is no start to the ear, and under the least that is asked: each repeat is said
// to be held through, and none to be anything else.
func TestShallowRepeatsAreHeldThrough(t *testing.T) {
	d := build(t, "repeats-1", "C", 0)
	r := gradePlayed(t, d, player.Faults{Soft: 4})
	for _, m := range r.Marks {
		if m.Quantity == Dip && m.Verdict != Missing {
			t.Errorf("target %d: a dip of %.1f dB is heard, %s", m.Target, m.Heard, m.Verdict)
		}
	}
	if r.Passed || r.Missing != 12 { // all but the first of seven, twice
		t.Errorf("passed %v, %d of 12 repeats missing", r.Passed, r.Missing)
	}
}

// Starts that scatter by s seconds make gaps that vary by s times the root of two. On the mean
// of several takes, a take's dozen gaps scatter their own spread.
func TestRepeatsEvenness(t *testing.T) {
	t.Parallel()
	d := build(t, "repeats-2", "C", 0) // half a second a gap
	for _, scatter := range []float64{0.015, 0.030, 0.060} {
		power, n := 0.0, 0.0
		for seed := range uint64(12) {
			for _, v := range values(d, gradePlayed(t, d, player.Faults{Scatter: scatter, Seed: seed + 1}), Evenness, nil) {
				power, n = power+v*v, n+1
			}
		}
		want := scatter * math.Sqrt2 / 0.5
		if got := math.Sqrt(power / n); math.Abs(got-want) > 0.15*want+0.005 {
			t.Errorf("scatter of %.0f ms: evenness %.3f, want %.3f", 1000*scatter, got, want)
		}
	}
}
