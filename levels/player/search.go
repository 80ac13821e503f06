package player

import (
	"math"

	"reedwell/audio/synth"
	"reedwell/levels/drill"
)

// search is the pitch of a note that begins on the natural reed and comes down to hz.
func (f Faults) search(d drill.Drill, t drill.Target, n synth.Note, hz float64) []synth.Point {
	natural := t.Note
	natural.Bend = 0
	from, err := d.Harp.Hz(natural)
	if err != nil {
		panic("player: " + err.Error()) // every hole has both reeds
	}
	return []synth.Point{{At: n.Start, Value: from}, {At: n.Start + math.Min(f.Search, 0.8*(n.End-n.Start)), Value: hz}}
}
