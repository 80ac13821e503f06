package session

import (
	"fmt"

	"reedwell/game/screen"
)

// A Volume is how loud the program sounds: count-in, band, models and what is heard again.
// The test sounds that measure the delay are not changed by it.
type Volume string

// The volumes that can be chosen.
const (
	NormalVolume Volume = ""
	QuietVolume  Volume = "quiet"
	LoudVolume   Volume = "loud"
)

// Gains of the volumes other than normal, in dB. Our choice: quiet is four halvings of the power,
// for headphones that are loud by themselves; loud is two doublings, for a laptop's small loudspeaker.
const (
	quietGain = -12.0
	loudGain  = 6.0
)

// Gain is by how much the volume changes what sounds, in dB.
func (v Volume) Gain() float64 {
	switch v {
	case QuietVolume:
		return quietGain
	case LoudVolume:
		return loudGain
	}
	return 0
}

func (v Volume) validate() error {
	if v != NormalVolume && v != QuietVolume && v != LoudVolume {
		return fmt.Errorf("volume %q", string(v))
	}
	return nil
}

// showVolume asks how loud the program sounds. How loud that is at the ear no program can know:
// that depends on the device and its own control. Loud headphones harm for good, and the louder the
// sooner: every 3 dB halve the time that is safe (WHO and ITU-T H.870).
func (s *stepper) showVolume(p *page) {
	from := len(p.Items)
	for _, v := range []struct {
		id, label, detail string
		value             Volume
	}{
		{"volume-quiet", "Quiet", "Begin here on headphones.", QuietVolume},
		{"volume-normal", "Normal", "", NormalVolume},
		{"volume-loud", "Loud", "For a small speaker.", LoudVolume},
	} {
		p.add(screen.Item{ID: v.id, Role: screen.Choice, Group: "Click and band", Label: v.label, Detail: v.detail, On: s.settings.Volume == v.value})
	}
	p.row(52, from)
	p.styled("volume-care", screen.Quiet, "Loud sound harms hearing for good: turn the device down before you put headphones on. If your ears ring or sound dull afterwards, rest them; if that stays, see a doctor.")
}
