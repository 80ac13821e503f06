package player

import (
	"math"

	"reedwell/audio/synth"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// jumps reports whether target i is landed on in an octave jump.
func jumps(d drill.Drill, i int) bool {
	return d.Family == drill.Octaves && i > 0 && d.Targets[i].Start-d.Targets[i-1].End < 1e-9
}

// mostHunt is the share of a note that the search for it takes at the most.
const mostHunt = 0.8

// hunt lets n begin only after silence and the hole beside, on the side it is come from; these
// follow the notes so far.
func (f Faults) hunt(notes []synth.Note, n *synth.Note, d drill.Drill, i int) []synth.Note {
	length := n.End - n.Start
	silence := math.Min(f.Hunt, mostHunt*length)
	graze := math.Min(f.Graze, mostHunt*length-silence)
	if graze > 0 {
		wrong := d.Targets[i].Note
		if wrong.Hole--; d.Targets[i].Hz < d.Targets[i-1].Hz || wrong.Hole < 1 {
			wrong.Hole += 2
		}
		hz, err := d.Harp.Hz(harp.Note{Hole: wrong.Hole, Breath: wrong.Breath})
		if err != nil {
			panic("player: " + err.Error()) // a jump has room on both sides
		}
		at := n.Start + silence
		notes = append(notes, synth.Note{Start: at, End: at + graze, Hz: synth.Steady(hz)})
		n.Legato = true
	}
	n.Start += silence + graze
	return notes
}
