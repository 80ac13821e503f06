package listen

import (
	"math"

	"reedwell/audio/pitch"
)

// faint gives frame n, whose windows one by one tell of no other voice, the one that they tell of together. One that was
// the main voice a moment ago must not fall, or a room lets it ring, nor rise, or it is about to be the main one again, as in a warble.
func (e *Ear) faint(n int, m *pitch.Estimate, f *Frame) {
	if m.F0 == 0 {
		return
	}
	// A misread window or two do no harm, but the last of those known must hold the same note.
	for i := n + ahead - 1; i <= n+ahead; i++ {
		if !near(m.F0, e.at(i).F0, heldCents) {
			return
		}
	}
	v := e.trace.Find(m.F0, e.beside(m.F0))
	if v.F0 == 0 || e.late(n, m, v.Voice) && (math.Abs(v.Rise) > faintMove || v.Level < ringMost) {
		return
	}
	f.Others[0] = Voice(v.Voice)
}

// faintMove is how far, in dB, a faint voice that was the main one of late may fall or rise in 80 ms: a room that lets 60 dB die in
// 1.5 s takes 3.2. Sampled reeds beside another fall by up to 1.1.
const faintMove = 1.5
