package band

import "reedwell/audio/synth"

// callGain is what is added, in dB, to the reed voice's own level: a call is to be copied to the cent,
// so it lies well over the click. Our choice.
const callGain = 4.0

// callGap is the silence in seconds before the next note on the same reed, as a player tongues it.
const callGap = 0.045

// calls sounds what the player is to answer. The reed is a perfectly even one: its pitch is exact.
func (b *band) calls() {
	var notes []synth.Note
	for i, c := range b.Calls {
		n := synth.Note{Start: c.Start, End: c.End, Hz: synth.Steady(c.Hz), Breath: synth.NoBreath}
		if i+1 < len(b.Calls) && b.Calls[i+1].Start-c.End < callGap && b.Calls[i+1].Note == c.Note {
			n.End -= min(callGap, (n.End-n.Start)/3)
		}
		notes = append(notes, n)
	}
	if len(notes) > 0 {
		synth.Mix(b.out, synth.Render(b.rate, float64(len(b.out))/float64(b.rate), notes, 0), 0, callGain)
	}
}
