package stage_test

import (
	"testing"

	"reedwell/audio/synth"
	"reedwell/levels/drill"
	"reedwell/levels/player"
)

// Somebody plays a drill in the room with no take running: note by note it is heard through
// the ear that is always on, to the end, and nothing of it is entered in the progress. Somebody
// who bends too deep gets no further than the bend, and is told.
func TestOneNoteAtATime(t *testing.T) {
	d, err := drill.Build(drill.Spec{ID: "ladder-4d-2"})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name   string
		faults player.Faults
		screen string
	}{
		{"as asked", player.Faults{}, "steps-over"},
		{"too deep", player.Faults{Deep: d.Windows.Pitch + 20}, "steps"},
	} {
		r := newRig(t, "")
		const quiet = 12 // seconds, for the way to the drill
		r.options.Room = append(make([]float32, quiet*48000), synth.Render(48000, d.Seconds, player.Notes(d, c.faults), 5)...)
		r.ready()
		before := string(r.store.data["progress-a"]) + string(r.store.data["progress-b"])
		r.family("ladder")
		r.press("level-ladder-4d-2")
		r.press("step")
		r.on("steps")
		told, hints := false, []string{}
		for r.seconds < quiet+d.Seconds+1 {
			r.wait(0.04)
			told = told || r.has("too deep")
			if h, _ := r.item("hint"); len(hints) == 0 || hints[len(hints)-1] != h.Label {
				hints = append(hints, h.Label)
			}
		}
		if r.screen.Name != c.screen {
			t.Errorf("%s: screen %s, want %s:\n%s", c.name, r.screen.Name, c.screen, describe(r.screen))
		}
		if deep := c.screen == "steps"; deep != told {
			t.Errorf("%s: told that it is too deep: %v; said %q", c.name, told, hints)
		}
		if now := string(r.store.data["progress-a"]) + string(r.store.data["progress-b"]); now != before {
			t.Errorf("%s: entered in the progress", c.name)
		}
	}
}
