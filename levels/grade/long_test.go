package grade

import (
	"testing"

	"reedwell/levels/player"
)

// What is done to a long tone is what is reported of it. Tolerances: a tenth of what was done,
// and at least 1 cent, 0.3 dB, 20 ms (half of the ear's window), 2 % of the length.
func TestLongClosedLoops(t *testing.T) {
	t.Parallel()
	closed(t, []loop{
		{"still", "long-3", player.Faults{}, Spread, nil, 0, 2},
		{"wavers by 5", "long-2", player.Faults{Waver: 5}, Spread, nil, 5, 1},
		{"wavers by 15", "long-3", player.Faults{Waver: 15}, Spread, nil, 15, 1.5},
		{"wavers by 30", "long-5", player.Faults{Waver: 30}, Spread, nil, 30, 3},
		{"wavers about its pitch", "long-5", player.Faults{Waver: 30}, Pitch, nil, 0, 5},
		{"level", "long-3", player.Faults{}, Steady, nil, 0, 0.6},
		{"swells by 2", "long-2", player.Faults{Swell: 2}, Steady, nil, 2, 0.3},
		{"swells by 5", "long-3", player.Faults{Swell: 5}, Steady, nil, 5, 0.5},
		{"swells by 6.5", "long-1", player.Faults{Swell: 6.5}, Steady, nil, 6.5, 0.65},
		{"swelling is no break", "long-1", player.Faults{Swell: 6.5}, Breaks, nil, 0, 0},
		{"fades by 3", "long-3", player.Faults{Fade: -3}, Fade, nil, -3, 0.4},
		{"fades by 9", "long-2", player.Faults{Fade: -9}, Fade, nil, -9, 0.9},
		{"grows by 8", "long-5", player.Faults{Fade: 8}, Fade, nil, 8, 0.8},
		{"a fade is no swelling", "long-2", player.Faults{Fade: -9}, Steady, nil, 0, 0.6},
		{"speaks at once", "long-3", player.Faults{}, Attack, nil, 0.012, 0.020},
		{"up in 100 ms", "long-2", player.Faults{Slow: 0.1}, Attack, nil, 0.1, 0.020},
		{"up in 200 ms", "long-3", player.Faults{Slow: 0.2}, Attack, nil, 0.2, 0.020},
		{"up in 400 ms", "long-5", player.Faults{Slow: 0.4}, Attack, nil, 0.4, 0.040},
		{"whole", "long-2", player.Faults{}, Length, nil, 1, 0.02},
		{"nine tenths", "long-2", player.Faults{Short: 0.1}, Length, nil, 0.9, 0.02},
		{"half", "long-3", player.Faults{Short: 0.5}, Length, nil, 0.5, 0.02},
		{"unbroken", "long-2", player.Faults{}, Breaks, nil, 0, 0},
		{"broken once", "long-2", player.Faults{Break: 1}, Breaks, nil, 1, 0},
		{"broken three times", "long-3", player.Faults{Break: 3}, Breaks, nil, 3, 0},
		{"a break is no fade", "long-3", player.Faults{Break: 1}, Fade, nil, 0, 0.6},
		{"a break is no swelling", "long-2", player.Faults{Break: 3}, Steady, nil, 0, 0.6},
		{"nor a slow attack", "long-5", player.Faults{Break: 2}, Attack, nil, 0.012, 0.020},
		{"half a second late", "long-1", player.Faults{Late: 0.5}, Find, nil, 0.5, 0.010},
		{"300 ms early", "long-1", player.Faults{Late: -0.3}, Find, nil, -0.3, 0.010},
	})
}
