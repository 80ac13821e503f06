package stage

import (
	"math"

	"reedwell/audio/listen"
	"reedwell/levels/grade"
)

// Over a loudspeaker the band comes back into the microphone. Measured with the synthetic
// player and the band mixed into the take, the six turnarounds by two players each and four
// takes of single notes: with the band 10 dB under the player four takes changed their outcome
// and starts moved by up to 44 ms; at 13 dB no verdict changed and six starts moved by more than
// 10 ms, 22 at most; at 20 dB one, by 12 ms. Pitches moved by 1.4 cents at most. The click
// alone, as loud as with a band 6 dB under the player, changed no verdict; see
// TestBandOverALoudspeaker. So what was played is taken out of the take before it is graded
// when it comes within spillUnder. That goes well up to the player's own level
// (audio/spill/FIGURES.md); a band that is louder is left out.
const (
	bandUnder  = -3.0 // dB: as loud as the player, and what two levels are unsure by
	spillUnder = 26.0 // dB: where no start was seen to move by 10 ms, with room to spare
	clickUnder = 6.0  // dB: the same, where a click sounds and no band
	// bandLevel is the level of a backing with chords from bar 1 on, in dBFS at normal volume: -21.2
	// to -20.2 over all drills.
	bandLevel = -20.0
	// softPlayer is the level of a player not yet heard, in dBFS: soft playing half a metre
	// from a laptop. Our choice.
	softPlayer = -35.0
)

// A balance is what is known of how loud band and player are in the microphone.
type balance struct {
	gain   float64 // of the output in the input, as a factor; 0 where it was not heard
	player float64 // dBFS
	known  bool    // the player was heard
}

// disturbs reports a band that comes too near the player's level; volume is by how much it sounds
// louder than bandLevel, in dB.
func (b balance) disturbs(volume float64) bool {
	player := softPlayer
	if b.known {
		player = b.player
	}
	return b.gain > 0 && bandLevel+volume+20*math.Log10(b.gain) > player-bandUnder
}

// spills reports a take in which what was played may have moved marks: band or click alone;
// heard is all that the ear heard in it. Of a player not yet known the take's own level tells,
// band included. volume is as for disturbs.
func (b balance) spills(heard []listen.Frame, band bool, volume float64) bool {
	b.hear(heard)
	under := clickUnder
	if band {
		under = spillUnder
	}
	return b.gain > 0 && bandLevel+volume+20*math.Log10(b.gain) > b.player-under
}

// playerShare is how much of the level one frame decides: a second of notes or two.
const playerShare = 0.01

// hear takes in frames while nothing is played to the player.
func (b *balance) hear(frames []listen.Frame) {
	for _, f := range frames {
		switch {
		case f.F0 == 0 || f.Confidence < listen.MinConfidence || f.Level < -60: // no microphone's own noise
		case !b.known:
			b.player, b.known = f.Level, true
		default:
			b.player += playerShare * (f.Level - b.player)
		}
	}
}

// grade takes in the notes that a take's targets were matched with; rate in Hz.
func (b *balance) grade(r grade.Result, frames []listen.Frame, rate int) {
	var levels []float64
	for _, n := range r.Notes {
		if n.Heard == "" {
			continue
		}
		for _, f := range frames {
			if at := float64(f.At) / float64(rate); at >= n.Start && at < n.End {
				levels = append(levels, f.Level)
			}
		}
	}
	if len(levels) > 0 {
		b.player, b.known = median(levels), true
	}
}

// likeness is how loud a signal is in what was captured, as a factor, when it is known
// where it begins.
func likeness(captured, signal []float32, at int) float64 {
	both, energy := 0.0, 0.0
	for i, x := range signal {
		if k := at + i; k >= 0 && k < len(captured) {
			both += float64(x) * float64(captured[k])
		}
		energy += float64(x) * float64(x)
	}
	if energy == 0 {
		return 0
	}
	return math.Abs(both) / energy
}
