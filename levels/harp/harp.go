package harp

import (
	"fmt"
	"math"
)

// A Harp is one instrument: its key, how it is tuned and how its reeds really are.
type Harp struct {
	Key     Key
	Tuning  Tuning
	A4      float64 // Hz; 0 means 440 (ISO 16)
	Profile Profile
}

// The range of the reference pitch and of a reed's deviation that are believable.
const (
	MinA4, MaxA4 = 430.0, 450.0
	MaxProfile   = 60.0 // cents; beyond half a semitone a reed is another note
)

// New returns a harp in equal temperament at A4 = 440 Hz.
func New(k Key) Harp { return Harp{Key: k, A4: 440} }

// Validate reports settings that no harp can have.
func (h Harp) Validate() error {
	if a := h.a4(); !(a >= MinA4 && a <= MaxA4) {
		return fmt.Errorf("A4 = %g Hz: the reference pitch lies from %g to %g Hz", a, MinA4, MaxA4)
	}
	if h.Tuning < 0 || int(h.Tuning) >= len(Tunings()) {
		return fmt.Errorf("tuning %d: %w", int(h.Tuning), ErrTuning)
	}
	for hole := 1; hole <= Holes; hole++ {
		for _, b := range []Breath{Blow, Draw} {
			if c := h.Profile.Cents(hole, b); !(math.Abs(c) <= MaxProfile) {
				return fmt.Errorf("profile: %d %s is %g cents off, more than %g: measure it again", hole, b, c, MaxProfile)
			}
		}
	}
	return nil
}

func (h Harp) a4() float64 {
	if h.A4 == 0 {
		return 440
	}
	return h.A4
}

// MIDI returns the nearest MIDI note number of the note.
func (h Harp) MIDI(n Note) int { return h.Key.MIDI() + n.Semitones() }

// Hz returns the pitch of a note on this harp: 440 * 2^((m-69)/12) of MIDI note m,
// moved by the deviation of the reed that it stands on.
func (h Harp) Hz(n Note) (float64, error) {
	if err := n.Valid(); err != nil {
		return 0, err
	}
	return h.hz(n), nil
}

func (h Harp) hz(n Note) float64 {
	reed := n.Breath
	if n.Over {
		reed = 1 - n.Breath // an overbend is counted from the higher reed of the hole
	}
	cents := 100*float64(h.MIDI(n)-69) + h.Tuning.Deviation(n.Hole, reed) + h.Profile.Cents(n.Hole, reed)
	return h.a4() * math.Exp2(cents/1200)
}

// Low and High bound the pitches of the harp in Hz, with a quarter tone to spare.
func (h Harp) Low() float64 { return h.hz(Note{Hole: 1}) * math.Exp2(-50.0/1200) }
func (h Harp) High() float64 {
	return h.hz(Note{Hole: 10, Breath: Draw, Over: true}) * math.Exp2(50.0/1200)
}

// A Sound is where on the harp a pitch lies.
type Sound struct {
	Note  Note    // the nearest note
	Cents float64 // distance from it, + is sharp
	Depth float64 // cents under the natural reed, + is bent down; 0 for overbends
}

// Locate finds the note nearest to a pitch. A note in expect wins over another that
// is as near, to within a quarter tone: this tells 2 draw from 3 blow. Without it 2
// draw is taken, which second position leans on. It reports false for a pitch
// further than a quarter tone from every note.
func (h Harp) Locate(hz float64, expect []Note) (Sound, bool) {
	if !(hz > 0) || math.IsInf(hz, 0) {
		return Sound{}, false
	}
	best, found := Sound{}, false
	bestDistance := 50.0
	try := func(n Note, ease float64) {
		cents := Cents(hz, h.hz(n))
		if d := math.Abs(cents) - ease; math.Abs(cents) <= 50 && (d < bestDistance || !found) {
			best, bestDistance, found = Sound{Note: n, Cents: cents}, d, true
		}
	}
	for _, n := range expect {
		if n.Valid() == nil {
			try(n, 50) // wins over anything that is not expected
		}
	}
	for _, n := range Notes() {
		ease := 0.0
		if n == (Note{Hole: 3}) {
			ease = -maxUnison // 2 draw and 3 blow may differ by their tuning
		}
		try(n, ease)
	}
	if found && !best.Note.Over {
		natural := best.Note
		natural.Bend = 0
		best.Depth = -Cents(hz, h.hz(natural))
	}
	return best, found
}

// maxUnison is the most that 2 draw and 3 blow, one note, are set apart in any of the
// tunings, in cents, with room for a measured profile.
const maxUnison = 20

// Cents returns the distance from reference to hz, + is sharp.
func Cents(hz, reference float64) float64 { return 1200 * math.Log2(hz/reference) }

// A Span is a stretch of pitch that one hole covers with one breath, and the reeds
// beside it that sound when the mouth covers too much.
type Span struct {
	Low, High float64   // Hz
	Beside    []float64 // Hz: the neighbouring holes with the same breath
}

// Spans returns one span for each hole and breath, from a quarter tone under its
// deepest bend to a quarter tone over its natural reed. Spans overlap only at the
// pitch of 2 draw and 3 blow.
func (h Harp) Spans() []Span {
	quarter := math.Exp2(50.0 / 1200)
	var spans []Span
	for hole := 1; hole <= Holes; hole++ {
		bending, rungs := Bends(hole)
		for _, b := range []Breath{Blow, Draw} {
			low, high := Note{Hole: hole, Breath: b}, Note{Hole: hole, Breath: b}
			if b == bending {
				low.Bend = rungs
			}
			s := Span{Low: h.hz(low) / quarter, High: h.hz(high) * quarter}
			for _, next := range []int{hole - 1, hole + 1} {
				if next >= 1 && next <= Holes {
					s.Beside = append(s.Beside, h.hz(Note{Hole: next, Breath: b}))
				}
			}
			spans = append(spans, s)
		}
	}
	return spans
}
