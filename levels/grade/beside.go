package grade

import (
	"sort"

	"reedwell/audio/listen"
)

// What sounds beside the player is measured where no note is heard: from afterNote seconds after
// one, where a room of 0.6 s has fallen by 30 dB, to beforeNote before the next. There is
// always the count-in. Under leastBeside seconds of it nothing is said. All our choice.
const (
	beforeNote  = 0.05
	afterNote   = 0.30
	leastBeside = 0.5
)

// Limits of what sounds beside, in dB relative to the player. Tried on drills of all families with a
// fan, mains hum and somebody talking, 30 to 0 dB under the player over the whole take: fan and hum
// 10 dB under change no verdict and have their median at -14; as loud as the player they have it at
// -6 to 0, and then notes go unheard that were played. Somebody talking 20 dB under is over -17 to
// -27 dB for a tenth of the time and changes no verdict but for a note too many; 10 dB under that is
// -0.5 to -17.3, with silence between the words, and moves ends of notes and leaves notes of its own.
const (
	drowns = -10.0 // median from which nothing that is off or missing is sure
	shouts = -7.0  // and what a tenth of the time is then louder than
	talks  = -19.0 // what a tenth of the time is louder than where somebody talks
	pauses = 8.0   // and by how much that is over what a quarter of the time is softer than
)

// beside tells what sounds where no note is heard.
func (e evidence) beside(notes []sounded) (drowned, talk bool) {
	var player, other []float64
	k, seconds := 0, 0.0
	last := 0.0
	for _, f := range e.take.Frames {
		at := float64(f.At) / e.rate
		for k < len(notes) && notes[k].end+afterNote <= at {
			k++
		}
		switch {
		case k < len(notes) && at >= notes[k].start && at < notes[k].end:
			if f.Confidence >= listen.MinConfidence {
				player = append(player, f.Level)
			}
		case k == len(notes) || at < notes[k].start-beforeNote:
			other = append(other, f.Level)
			seconds += at - last
		}
		last = at
	}
	if len(player) == 0 || seconds < leastBeside {
		return false, false
	}
	sort.Float64s(other)
	level := func(share float64) float64 { return other[int(share*float64(len(other)-1))] - median(player) }
	return level(0.5) > drowns || level(0.9) > shouts, level(0.9) > talks && level(0.9)-level(0.25) >= pauses
}

// doubt takes back what can not be told from what sounded beside the player. A verdict that was
// good stays: no noise makes a take better.
func (g *grader) doubt() {
	if g.overdriven() {
		return // what two reeds make of it would be taken for somebody else
	}
	drowned, talk := g.e.beside(g.notes)
	if !drowned && !talk {
		return
	}
	g.retract(func(m Mark) bool {
		return m.Verdict != Unheard && (drowned || m.Verdict == Off && m.Quantity != Pitch && m.Quantity != Bias) // a pitch is a median
	}, func(Mark) string { return "That can not be told from what sounded beside your playing." },
		"Somebody spoke, or something else sounded beside your playing, and what was off can not be told from it. Find a quieter place and play it again.")
}

// retract takes back the marks in doubt that are not good, and says why. problem says what to do where the take can not be judged without them.
func (g *grader) retract(inDoubt func(Mark) bool, why func(Mark) string, problem string) {
	doubted, wrong := false, map[int]bool{}
	for k := range g.r.Marks {
		m := &g.r.Marks[k]
		switch {
		case m.Verdict == Good:
		case inDoubt(*m):
			m.Verdict, doubted = Unheard, true
			m.Advice = why(*m)
			if m.Target >= 0 {
				g.r.Notes[m.Target].Sure = false
			}
		case m.Verdict != Unheard && m.Target >= 0:
			wrong[m.Target] = true
		}
	}
	// Where all that is in doubt would have to be right, and the take still not good, it is judged.
	if doubted && !g.r.Passed && float64(len(wrong)) <= (1-PassShare)*float64(len(g.r.Notes)) {
		g.r.Problem = problem
	}
}
