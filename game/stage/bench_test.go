package stage_test

import (
	"testing"

	"reedwell/levels/drill"
	"reedwell/levels/player"
)

// BenchmarkPoll is one Poll of a screen, with a sixtieth of a second of sound.
func BenchmarkPoll(b *testing.B) {
	for _, name := range []string{"drill", "take"} {
		b.Run(name, func(b *testing.B) {
			r := newRig(b, "")
			r.ready()
			r.family("turnaround")
			r.press("level-turnaround-6")
			if name == "take" {
				r.spec = drill.Spec{ID: "turnaround-6"}
				r.perform = well(player.Faults{})
				r.press("play")
				r.wait(1)
			}
			b.ResetTimer()
			for range b.N {
				if name == "take" && r.screen.Name != "take" {
					b.StopTimer()
					r.press("again")
					r.wait(1)
					b.StartTimer()
				}
				r.fake.Advance(800)
				r.poll()
			}
		})
	}
}
