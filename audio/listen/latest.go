package listen

import "reedwell/audio/pitch"

// Latest is what the newest window holds, 20 ms before it comes as a frame of [Ear.Frames]: for what is shown to somebody who
// plays, not for what is graded. It has no other voices and its pitch is not averaged; its confidence is counted for
// itself. Asking changes nothing.
func (e *Ear) Latest() Frame {
	n := e.count - 1
	m := e.at(n)
	f := e.plain(max(0, n), m)
	if m.F0 > 0 {
		f.Confidence = e.unjudged(n, m)
	}
	return f
}

// LatestDelay is how many samples after its At what Latest gives can be had: half a window and the resampler, 22 ms.
func (e *Ear) LatestDelay() int { return e.Delay() - ahead*e.hop }

// unjudged is the confidence of frame n while none of those that follow it are known: windows before it must have its pitch
// too, and it must be over what a window may read of a voice, or that of the tone that was settled in the last frame given, or
// come up as a reed's does in a phrase. In a phrase it needs less of the sound, and fewer windows where a voice has its first formant.
func (e *Ear) unjudged(n int, m *pitch.Estimate) float64 {
	again := 0
	for again < evenAgain && near(e.at(n-1-again).F0, m.F0, earlyCents) {
		again++
	}
	phrase, share, agree := e.inPhrase(n), latestShare, formantAgain
	if phrase {
		share, agree = phraseShare, 1
	}
	known := (e.settled || e.attack.begun > 0) && near(e.at(n-ahead).F0, m.F0, heldCents)
	high := m.F0 > formantHz || m.F0 >= voiceHz && again >= agree && e.gliding <= attackWary
	reed := phrase && again == evenAgain && e.even(n-evenAgain, n) && e.comesUp(n-ahead)
	c := latestConfidence(m.Share, share)
	if again > 0 && (known || high || reed) {
		return c
	}
	return min(c, doubted(tone(m), e.gliding))
}

const (
	// latestShare is the share of the sound from which what the newest window holds may count: claps, whose noise rings, come to
	// 0.64, of 15 espeak voices a first formant to 0.663. In a phrase phraseShare is enough: claps that follow notes then count in 1.1 in place of
	// 0.5 % of the newest windows, formant noise in 8.4 in place of 7.3; of its frames 7.0 do.
	latestShare, phraseShare = 0.67, 0.55
	// formantAgain is how many windows before must have the pitch where a voice has its first formant. Of the same voices 12 frames
	// count with one, none with two.
	formantAgain = 2
	// evenAgain is how many windows before must have the pitch of a tone that comes up as a reed's does. Of prompts that begin 0.3 s after
	// notes, in their first second, of 67321 newest windows 1362 count with three, 1587 with two and 1250 without; of the frames 1285 do.
	evenAgain = 3
)

// latestConfidence is how often what the newest windows agree on is right, by the tone's share of the sound, as counted on the
// tuning half with what is no instrument beside it, see confidence; from is the share from which it may count. From a share of 0.3 on it is
// right in 75 of 100, but stays under MinConfidence up to there. In a phrase it is right in 93 of 100 from 0.55 to 0.6 and in 90 from there to 0.67.
func latestConfidence(share, from float64) float64 {
	return along([][2]float64{{0, 0.1}, {0.15, 0.46}, {0.25, 0.6}, {0.35, 0.69}, {from, 0.69}, {from, 0.91}, {latestShare, 0.91}, {latestShare, 0.95}, {0.75, 0.967}, {0.85, 0.988}, {0.95, 0.997}}, share)
}
