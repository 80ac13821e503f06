package stage

import (
	"math"
	"slices"

	"reedwell/audio/synth"
)

// outCeiling is the sample peak in dBFS that nothing passes which a run sounds, at any volume: 1 dB
// clear of full scale, for what a converter makes between the samples. Our choice. At normal
// volume the band lies at bandLevel, far enough below that it needs no limiting:
// TestVolume measures it.
const outCeiling = -1.0

// sounded is a sound as it goes out: by the volume's gain in dB, and under outCeiling. Whatever a run
// plays to the player comes through here, and what it plays is what is looked for in the take:
// a band that was limited is taken out as it sounded. The sound given is left as it is.
func sounded(made []float32, gain float64, rate int) []float32 {
	out := slices.Clone(made)
	if gain != 0 {
		by := float32(math.Pow(10, gain/20))
		for i := range out {
			out[i] *= by
		}
	}
	synth.Limit(rate, out, outCeiling)
	return out
}

// volume is the gain in dB that the player chose.
func (s *Stage) volume() float64 { return s.state.Settings().Volume.Gain() }

// prepare makes what a run sounds.
func (s *Stage) prepare(rate int) {
	if s.run.spans != nil {
		s.rehearse(rate)
	} else {
		s.perform(rate)
	}
	s.run.made = sounded(s.run.made, s.volume(), rate)
}
