package harp

import (
	"errors"
	"fmt"
	"math"
)

// A Harp is one instrument: its key, how it is tuned and how its reeds really are.
// The zero value is a C harp in equal temperament at A4 = 440 Hz.
type Harp struct {
	Key     Key
	Tuning  Tuning
	A4      float64 // Hz; 0 means 440 (ISO 16:1975)
	Profile Profile
}

// The reference pitches in Hz that a harp may have. Makers tune to 440 up to about
// 444 (442 to 444 in Hansson 2004); the rest is room for other instruments to play with.
const (
	MinA4, MaxA4 = 430.0, 450.0
)

// ErrA4 is returned for a reference pitch out of range.
var ErrA4 = errors.New("the reference pitch lies from 430 to 450 Hz")

// quarter is a quarter tone in cents: half way to the next note.
const quarter = 50

// New returns a harp in equal temperament at A4 = 440 Hz.
func New(k Key) Harp { return Harp{Key: k, A4: 440} }

// Validate reports settings that no harp can have.
func (h Harp) Validate() error {
	if a := h.a4(); !(a >= MinA4 && a <= MaxA4) {
		return fmt.Errorf("harp: A4 = %g Hz: %w", a, ErrA4)
	}
	if !h.Tuning.Valid() {
		return fmt.Errorf("harp: %s: %w", h.Tuning, ErrTuning)
	}
	return h.Profile.Validate()
}

func (h Harp) a4() float64 {
	if h.A4 == 0 {
		return 440
	}
	return h.A4
}

// MIDI returns the note's MIDI note number, its name on the page whatever the tuning.
// The note must be valid.
func (h Harp) MIDI(n Note) int { return h.Key.MIDI() + n.Semitones() }

// Hz returns the pitch of a note on this harp, or an error for a note that it does
// not have: 440 * 2^((m-69)/12) of MIDI note m at A4 = 440, moved by the deviation of
// the reed that the note is counted from.
func (h Harp) Hz(n Note) (float64, error) {
	if err := n.Valid(); err != nil {
		return 0, err
	}
	return h.hz(n), nil
}

func (h Harp) hz(n Note) float64 { return h.a4() * math.Exp2(h.cents(n)/1200) }

// cents returns the note's distance from A4 in cents.
func (h Harp) cents(n Note) float64 {
	reed := n.reed()
	return 100*float64(h.MIDI(n)-69) + h.Tuning.Deviation(n.Hole, reed) + h.Profile.Cents(n.Hole, reed)
}

// Low returns the lowest pitch to look for in Hz: a quarter tone under 1 blow.
func (h Harp) Low() float64 { return up(h.hz(Note{Hole: 1}), -quarter) }

// High returns the highest pitch to look for in Hz: a quarter tone over 10 overdraw.
func (h Harp) High() float64 { return up(h.hz(Note{Hole: Holes, Breath: Draw, Over: true}), quarter) }

// Cents returns the distance from reference to hz, + is sharp.
func Cents(hz, reference float64) float64 { return 1200 * math.Log2(hz/reference) }

// up returns the pitch that many cents over hz.
func up(hz, cents float64) float64 { return hz * math.Exp2(cents/1200) }
