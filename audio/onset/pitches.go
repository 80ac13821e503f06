package onset

import (
	"math"

	"reedwell/audio/internal/dsp"
)

const (
	samePitch = 60.0 // cents: frames of one note may drift by this from one to the next
	// jump is the least step in cents within one frame (5 ms) that is a change of
	// reed: the quickest bend, a whole step in 50 ms, moves by 20. Our choice.
	jump = 70.0
	// kinCents: notes too short to settle differ by this and less from others of their pitch; sampled
	// warbles, our choice.
	kinCents = 70.0
	// scoopCents is how far under its pitch a reed may speak at first: sampled ones by up to 80.
	scoopCents = 120.0
	// faint is how near, in cents, an unsure pitch must be to the note's to be taken for it: a
	// tone that a hand has closed away under the noise is still there. Our choice.
	faint = 25.0
)

// near says that f is a pitch within so many cents of g.
func near(f, g, cents float64) bool { return f > 0 && math.Abs(dsp.Cents(f, g)) < cents }

// multiple says that f is a low multiple or fraction of g: what is left when a note
// dies in a room is often one of its harmonics.
func multiple(f, g float64) bool { return timesFrom(2, f, g) }

// far says that f is three or four times g, or a third or a quarter: no hole that a player comes to without leaving the
// other first. In a room and in noise the third harmonic of a low tone is what a hand, or its end, leaves of it.
func far(f, g float64) bool { return timesFrom(3, f, g) }

// timesFrom says that f is from least to 4 times g, or such a part of it.
func timesFrom(least int, f, g float64) bool {
	for m := float64(least); m <= 4; m++ {
		if near(f, g*m, samePitch) || near(f, g/m, samePitch) {
			return true
		}
	}
	return false
}

// pitches are those of the last 64 frames in Hz, 0 for none.
type pitches struct{ *dsp.Ring }

// steady says that the frames from n on go on at about f.
func (p pitches) steady(n int, f float64) bool {
	for i := n + 1; i <= n+Ahead-1; i++ {
		g := p.At(i)
		if !near(g, f, samePitch) {
			return false
		}
		f = g
	}
	return true
}

// jumped says that at frame n the pitch has just become f by a step, not by a glide,
// and stays there: a step of jump cents from one frame to the next, or of more
// within two or four frames, since a change may pass through frames that show neither. held is the pitch
// before, of a tone heard since frame opened.
func (p pitches) jumped(n int, f, held float64, opened int) bool {
	if near(f, held, jump) || !p.steady(n, f) {
		return false
	}
	gap, least := p.At(n-1) <= 0, jump
	for i := n - 1; i >= max(n-6, opened); i-- {
		g := p.At(i)
		if g <= 0 {
			continue
		}
		step := math.Abs(dsp.Cents(f, g))
		if i == n-1 && step >= jump || i == n-2 && step >= 2*jump || i >= n-4 && step >= 4*jump {
			return true
		}
		switch {
		case gap && step >= jump:
			return step >= least // the sound broke off and came back elsewhere
		case gap:
			least = scoopCents // it was there already, before the gap
		}
	}
	return gap
}

// back says that the pitch held is heard after frame n, most of the time.
func (p pitches) back(n int, held float64) bool {
	count := 0
	for i := n + 1; i <= n+Ahead; i++ {
		if near(p.At(i), held, scoopCents) {
			count++
		}
	}
	return count >= Ahead-1
}
