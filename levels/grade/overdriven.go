package grade

import (
	"math"

	"reedwell/audio/listen"
)

const tooLoud = "The microphone was overdriven, so some of it can not be told. Move the harp a hand's width away or turn the microphone down, and play it again."

// overdriven takes back what can not be told of notes that were too loud for the microphone, and reports whether there were any.
func (g *grader) overdriven() bool {
	loud, hides := make([]bool, len(g.r.Notes)), make([]bool, len(g.r.Notes))
	for i, n := range g.r.Notes {
		from, to := n.Start, n.End
		if to <= from {
			t := g.d.Targets[i]
			from, to = t.Start+g.r.Bias, t.End+g.r.Bias
		}
		frames := g.e.frames(from, to)
		loud[i], hides[i] = listen.Overdriven(frames), listen.Clipped(frames) > hidesHole
		g.r.Overdriven = g.r.Overdriven || loud[i]
	}
	if !g.r.Overdriven {
		return false
	}
	why := func(m Mark) string {
		if m.Target < 0 {
			return "The take was too loud for the microphone to judge that."
		}
		return place(g.d, m.Target) + called(g.d, m.Target) + " was too loud for the microphone to judge that."
	}
	g.retract(func(m Mark) bool { return (m.Target < 0 || loud[m.Target]) && !m.clear() }, why, tooLoud)
	for k := range g.r.Marks {
		if m := &g.r.Marks[k]; m.Quantity == Leak && m.Verdict == Good && hides[m.Target] {
			m.Verdict, m.Advice = Unheard, why(*m)
			g.r.Notes[m.Target].Sure = false
		}
	}
	return true
}

// hidesHole is the share of a note's samples at a limit from which a second hole may hide under it: one 15 dB under, where 16 are asked,
// is heard in 12 of 13 notes of a take that is overdriven by 3 dB and in 1 at 6 dB. With 0.1 a good take overdriven by 1 dB is
// refused, with 0.3 that faulty one passes; from 0.15 to 0.25 neither.
const hidesHole = 0.22

// overdrivenCents is how far from what was asked a pitch is measured all the same. Of two holes that overdrive the microphone the ear
// may hear a tone that divides both, an octave or more under them; one reed it hears as well as ever. Our choice.
const overdrivenCents = 150.0

// overdrivenLevel is by how many dB the level of a second hole may be off then: 15 dB under it is heard at 12. Our choice.
const overdrivenLevel = 4.0

// clear says that a mark can be told of a note that overdrives the microphone. A second hole is there if it is heard (overdriven by 6 dB, in 4 % of
// the frames of two holes the wrong one, in none of one), and when a tone begins and how its pitch lies do not depend on its loudness.
func (m Mark) clear() bool {
	switch m.Quantity {
	case Leak:
		return m.Verdict == Off && m.Heard > m.Window+overdrivenLevel
	case Clean, Start, Find, Bias, Scatter, Evenness:
		return m.Verdict == Off
	case Pitch, Overshoot, Depth, Swing, Third:
		return m.Verdict == Off && math.Abs(m.Heard-m.Asked) < overdrivenCents
	}
	return false
}
