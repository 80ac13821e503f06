package grade

import (
	"math"
	"testing"

	"reedwell/audio/synth"
	"reedwell/levels/drill"
	"reedwell/levels/player"
)

func atRate(perBeat float64) func(drill.Target) bool {
	return func(t drill.Target) bool { return t.Wave.PerBeat == perBeat }
}

// What a throat or a hand does is what is reported of it. Tolerances are those to which the ear's own
// measures are proved: 3 % of a speed, 10 % of an extent; an even swing is a clock within 3 %.
func TestWaveClosedLoops(t *testing.T) {
	t.Parallel()
	closed(t, []loop{
		{"free, as it comes", "vibrato-1", player.Faults{}, Rate, nil, 5, 0.15},
		{"3 at 72", "vibrato-2", player.Faults{}, Rate, nil, 3.6, 0.11},
		{"4 at 60", "vibrato-3", player.Faults{}, Rate, nil, 4, 0.12},
		{"5 at 66", "vibrato-4", player.Faults{}, Rate, atRate(5), 5.5, 0.165},
		{"6 at 66", "vibrato-6", player.Faults{}, Rate, atRate(6), 6.6, 0.2},
		{"half as quick again", "vibrato-3", player.Faults{Pace: 1.5}, Rate, nil, 6, 0.18},
		{"half as quick", "vibrato-3", player.Faults{Pace: 0.5}, Rate, nil, 2, 0.06},
		{"15 cents", "vibrato-2", player.Faults{}, Swing, nil, 15, 1.5},
		{"15 cents, six a beat", "vibrato-6", player.Faults{}, Swing, nil, 15, 1.5},
		{"8 cents", "vibrato-3", player.Faults{Extent: 8.0 / 15}, Swing, nil, 8, 0.8},
		{"30 cents", "vibrato-5", player.Faults{Extent: 2}, Swing, nil, 30, 3},
		{"even", "vibrato-3", player.Faults{}, Evenness, nil, 0, 0.03},
		{"about its pitch", "vibrato-5", player.Faults{Extent: 2}, Pitch, nil, 0, 3},
		{"by the throat", "vibrato-4", player.Faults{}, Means, nil, 1, 0},
		{"20 flat", "vibrato-2", player.Faults{Cents: -20}, Pitch, nil, -20, 3},
		{"hand, free", "wah-1", player.Faults{}, Rate, nil, 3, 0.09},
		{"hand, 2 at 66", "wah-2", player.Faults{}, Rate, nil, 2.2, 0.066},
		{"hand, 3 at 60", "wah-3", player.Faults{}, Rate, nil, 3, 0.09},
		{"hand, 4 at 72", "wah-5", player.Faults{}, Rate, nil, 4.8, 0.15},
		{"hand, 5 at 72", "wah-6", player.Faults{}, Rate, atRate(5), 6, 0.18},
		{"hand, a third slower", "wah-5", player.Faults{Pace: 2.0 / 3}, Rate, nil, 3.2, 0.1},
		{"hand, even", "wah-3", player.Faults{}, Evenness, nil, 0, 0.03},
		{"by the hand", "wah-4", player.Faults{}, Means, nil, 1, 0},
		{"the throat in its place", "wah-4", player.Faults{Swap: true}, Cup, nil, 2.9, 0.4}, // 1.5 dB to either side
		{"hand in the throat's place", "vibrato-4", player.Faults{Swap: true}, Means, nil, 0, 0},
		{"the throat in the hand's", "wah-5", player.Faults{Swap: true, Extent: 2}, Means, nil, 0, 0},
	})
}

// taken is how many dB a hand of a depth takes off the tone of a target: measured on the sound itself,
// with a hand that stays closed against one that is open.
func taken(t *testing.T, target drill.Target, depth float64) float64 {
	t.Helper()
	level := func(depth float64) float64 {
		const seconds = 0.4 // the hand of so slow a wah is closed in the middle of it
		n := synth.Note{End: seconds, Hz: synth.Steady(target.Hz), Breath: synth.NoBreath, Wah: synth.Wah{Rate: 1 / seconds, Depth: depth}}
		x := synth.Render(rate, seconds, []synth.Note{n}, 0)
		power := 0.0
		for _, v := range x[int(0.19*rate):int(0.21*rate)] {
			power += float64(v) * float64(v)
		}
		return 10 * math.Log10(power)
	}
	return level(0) - level(depth)
}

// Hands of three depths on four reeds take off what they take off: within a tenth, and 0.6 dB, since
// the swing about its mean is measured and the hand's law is no sine.
func TestHandTakesOff(t *testing.T) {
	for _, extent := range []float64{0.6, 1, 1.6} {
		for _, id := range []string{"wah-3", "wah-5"} {
			d := build(t, id, "C", 0)
			r := gradePlayed(t, d, player.Faults{Extent: extent})
			for _, m := range r.Marks {
				if m.Quantity != Cup {
					continue
				}
				want := taken(t, d.Targets[m.Target], math.Min(1, 0.85*extent)) + 4*extent // what the hand takes off everything
				t.Logf("%s, depth %.2f, %s: %.1f dB, want %.1f", id, 0.85*extent, m.Tab, m.Heard, want)
				if math.Abs(m.Heard-want) > 0.1*want+0.6 {
					t.Errorf("%s, depth %.2f, %s: %.1f dB, want %.1f", id, 0.85*extent, m.Tab, m.Heard, want)
				}
			}
		}
	}
}

// Unevenness is reported at its size, on the mean of several takes. Of a throat the rises through the
// middle lie where the swings begin, and the falls half way, which have the mean of two swings; a
// hand is open where the swings begin, and the middle lies a quarter beside.
func TestWaveEvenness(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		id    string
		share float64 // of the jitter that gaps at both crossings have: (1 + sqrt(1/2))/2, or sqrt(1/16 + 9/16), squared means
	}{
		{"vibrato-3", math.Sqrt((1 + 0.5) / 2)},
		{"wah-3", math.Sqrt(1.0/16 + 9.0/16)},
	} {
		d := build(t, c.id, "C", 0)
		for _, jitter := range []float64{0.1, 0.2} {
			power, n := 0.0, 0.0
			for seed := range uint64(8) {
				for _, v := range values(d, gradePlayed(t, d, player.Faults{Jitter: jitter, Seed: seed + 1}), Evenness, nil) {
					power, n = power+v*v, n+1
				}
			}
			want, got := jitter*c.share, math.Sqrt(power/n)
			t.Logf("%s, jitter %.2f: %.3f, want %.3f of %g notes", c.id, jitter, got, want, n)
			if n < 10 || math.Abs(got-want) > 0.2*want+0.01 {
				t.Errorf("%s, jitter %.2f: evenness %.3f on %g notes, want %.3f", c.id, jitter, got, n, want)
			}
		}
	}
}

func TestWavesWrongPlaying(t *testing.T) {
	t.Parallel()
	wrong(t, []string{"vibrato-2", "vibrato-5"}, []fault{
		{"the hand", player.Faults{Swap: true}, "hold them still"},
		{"held still", player.Faults{Extent: 0.02}, "No vibrato is heard"},
		{"much too wide", player.Faults{Extent: 4}, "a row of bends"},
		{"too quick", player.Faults{Pace: 1.5}, "slow down"},
		{"too slow", player.Faults{Pace: 0.6}, "gets quicker"},
		{"uneven", player.Faults{Jitter: 0.35, Seed: 2}, "uneven"},
		{"flat", player.Faults{Cents: -70}, "sinks"},
		{"sharp", player.Faults{Cents: 70}, "high"},
		{"two holes", player.Faults{Leak: 6}, "second hole"},
		{"much too late", player.Faults{Late: 1}, ""},
		{"missing", player.Faults{Drop: 2}, ""},
		{"out of breath", player.Faults{Short: 0.7}, ""},
	})
	wrong(t, []string{"wah-2", "wah-5"}, []fault{
		{"the throat", player.Faults{Swap: true, Extent: 2}, "only the hand"},
		{"held still", player.Faults{Extent: 0.02}, "No hand is heard"},
		{"too quick", player.Faults{Pace: 1.5}, "slow down"},
		{"too slow", player.Faults{Pace: 0.65}, "gets quicker"},
		{"uneven", player.Faults{Jitter: 0.4, Seed: 6}, "uneven"},
		{"flat", player.Faults{Cents: -70}, "sinks"},
		{"two holes", player.Faults{Leak: 6}, "second hole"},
		{"much too late", player.Faults{Late: 1}, ""},
		{"missing", player.Faults{Drop: 2}, ""},
		{"out of breath", player.Faults{Short: 0.7}, ""},
	})
	nothing(t, []string{"vibrato-1", "wah-1", "wah-2"})

	// The tongue is no hand, at whatever speed.
	for _, id := range []string{"wah-2", "wah-5"} {
		d := build(t, id, "C", 0)
		var notes []synth.Note
		for _, target := range d.Targets {
			gap := 1 / target.Wave.Rate(d.Tempo)
			for at := target.Start; at < target.End-gap/2; at += gap {
				notes = append(notes, synth.Note{Start: at, End: at + gap - 0.045, Hz: synth.Steady(target.Hz)})
			}
		}
		if r := gradeSound(t, d, synth.Render(rate, d.Seconds, notes, 0)); r.Passed || r.Share > 0.4 {
			t.Errorf("%s tongued: passed %v with %.2f, %v", id, r.Passed, r.Share, r.Summary)
		}
	}
}
