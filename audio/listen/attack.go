package listen

import (
	"math"

	"reedwell/audio/internal/dsp"
	"reedwell/audio/pitch"
)

// An attack says whether a tone in the voice's range that has not stood still yet may be taken for a reed that is
// finding its pitch: in a phrase, where one has been heard a moment ago.
type attack struct {
	proven int // the last frame in which a tone stood still for as long as only reeds do
	begun  int // the last frame in which the sound came up as a reed's does
}

// Chosen on the naturals of the tuning half against recorded speech that follows notes (see the package comment).
const (
	// provenFrames is how many frames in a row a tone must stand still to prove that somebody plays: with the frames ahead
	// 70 ms. phraseFrames is for how long that holds: 1 s, a breath and a rest.
	provenFrames, phraseFrames = 10, 200
	// From riseFrames before the judged frame to ahead after it, 50 ms, the level must come up by attackDB, less than pink noise
	// 10 dB under the tone leaves of it, and from a quiet place: within 6 dB of the least of the riseBack frames before, or 40 dB under
	// what it reaches. In a sentence it seldom does.
	riseFrames = 6
	riseBack   = 40
	attackDB   = 7.0
	// stepFrames is how shortly before a tone that proved itself must have sounded, 60 ms, for the one that the pitch steps to
	// to be the next hole.
	stepFrames = 12
	// A reed comes up to its pitch from below and evenly: sampled ones rise by 0 to 65 cents in 20 ms, in no 5 ms by much more
	// than half of that.
	attackUp, attackDown = 70.0, -6.0
	attackShare          = 0.6
	attackCents          = 8.0
	// attackLasts is for how long it is vouched for: 150 ms, in which the slowest low samples come to stand still.
	attackLasts = 30
	// attackWary: with more frames of glides behind it (glidesPer) it is somebody who speaks.
	attackWary = 12
)

// reed says that the tone at frame n, settled or not, comes up as a reed's does in a phrase. Only the frames' confidence
// goes by it: a note must still settle to be told.
func (e *Ear) reed(n int, m *pitch.Estimate, tonal float64) bool {
	a := &e.attack
	if e.settled && e.standing >= provenFrames && tonal >= sureEnough {
		a.proven = n
	}
	if m.F0 <= 0 || !e.inPhrase(n) || !e.even(n, n+ahead) {
		a.begun = 0
		return false
	}
	if e.comesUp(n) {
		a.begun = n
	}
	return a.begun > 0 && n-a.begun <= attackLasts
}

// inPhrase says that around frame n somebody plays: a reed has been heard a moment ago and little of what only a voice does.
func (e *Ear) inPhrase(n int) bool {
	a := &e.attack
	return a.proven > 0 && n-a.proven <= phraseFrames && e.gliding <= attackWary
}

// even says that the pitch goes from frame to frame as that of a reed does that comes up to it.
func (e *Ear) even(first, last int) bool {
	up, most := 0.0, 0.0
	for i := first; i < last; i++ {
		from, to := e.at(i).F0, e.at(i+1).F0
		if from <= 0 || to <= 0 {
			return false
		}
		c := dsp.Cents(to, from)
		up += c
		most = max(most, math.Abs(c))
	}
	return up >= attackDown && up <= attackUp && most <= attackShare*math.Abs(up)+attackCents
}

// comesUp says that between frame n and ahead after it a tone begins, out of a quiet place or by a step from one that proved itself.
func (e *Ear) comesUp(n int) bool {
	top, before, floor := e.at(n+ahead).Power, e.at(n-riseFrames).Power, math.Inf(1)
	for i := n - riseBack; i <= n-riseFrames; i++ {
		floor = min(floor, e.at(i).Power)
	}
	if top > before*dsp.Power(attackDB) && before < max(4*floor, top*1e-4) {
		return true
	}
	return n-e.jumped <= riseFrames && n-e.attack.proven <= stepFrames
}

// early is how sure frame n is as the beginning of a tone: its window holds little of it yet, but all frames ahead have the
// same pitch, so it is as sure as the last of those, which will be sure by itself.
func (e *Ear) early(n int, m *pitch.Estimate, tonal float64) float64 {
	if m.Share < earlyShare {
		return tonal
	}
	for i := n + 1; i <= n+ahead; i++ {
		if !near(e.at(i).F0, m.F0, earlyCents) {
			return tonal
		}
	}
	return max(tonal, tone(e.at(n+ahead)))
}

const (
	// earlyShare is the least share of a frame that is the beginning of a tone. Our choice.
	earlyShare = 0.25
	// earlyCents is how far from it, in cents, the pitch of any of the frames ahead may lie: what counts as the right pitch.
	earlyCents = 50.0
)
