package grade

import (
	"testing"

	"reedwell/levels/drill"
	"reedwell/levels/player"
)

// What is done to a scoop is what is reported of it. Tolerances: 5 cents and 15 ms, what the ear's own
// measures are proved to. Played as asked it stays 80 ms under and rises in 100: within 15 cents
// of 100 after 0.165 s.
func TestScoopClosedLoops(t *testing.T) {
	t.Parallel()
	closed(t, []loop{
		{"as asked", "scoop-1", player.Faults{}, Depth, nil, 100, 5},
		{"as asked, low", "scoop-3", player.Faults{}, Depth, nil, 100, 5},
		{"30 deeper", "scoop-5", player.Faults{Depth: 30}, Depth, nil, 130, 5},
		{"70 deeper", "scoop-1", player.Faults{Depth: 70}, Depth, nil, 170, 5},
		{"40 lighter", "scoop-3", player.Faults{Depth: -40}, Depth, nil, 60, 5},
		{"80 lighter", "scoop-1", player.Faults{Depth: -80}, Depth, nil, 20, 5},
		{"none", "scoop-5", player.Faults{Depth: -100}, Depth, nil, 0, 5},
		{"let go in time", "scoop-1", player.Faults{}, Release, nil, 0.165, 0.015},
		{"80 ms too late", "scoop-3", player.Faults{Release: 0.08}, Release, nil, 0.245, 0.015},
		{"300 ms too late", "scoop-5", player.Faults{Release: 0.3}, Release, nil, 0.465, 0.015},
		{"settles 20 flat", "scoop-1", player.Faults{Cents: -20}, Pitch, nil, -20, 2},
		{"settles 20 sharp", "scoop-5", player.Faults{Cents: 20}, Pitch, nil, 20, 2},
		{"and is as deep from there", "scoop-1", player.Faults{Cents: 20}, Depth, nil, 100, 5},
		{"dips 20 too deep", "scoop-2", player.Faults{Deep: 20}, Pitch, bent, -20, 2},
		{"dips 30 too light", "scoop-4", player.Faults{Deep: -30}, Pitch, bent, 30, 2},
		{"comes back to its pitch", "scoop-4", player.Faults{Deep: -30}, Pitch, natural, 0, 2},
		{"springs back in 120 ms", "scoop-2", player.Faults{}, Settle, released, 0.12, 0.05},
		{"creeps back in 500 ms", "scoop-2", player.Faults{Glide: 0.5}, Settle, released, 0.46, 0.06},
	})
}

// released are the natural notes that a dip comes back to.
func released(t drill.Target) bool { return t.Join == drill.Glide && t.Note.Bend == 0 }
