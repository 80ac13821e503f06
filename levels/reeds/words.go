package reeds

import (
	"fmt"
	"math"
	"strings"

	"reedwell/levels/harp"
)

// Words says what to do, for the screen and the screen reader: Says and Asks together.
func (s State) Words() string {
	if says := s.Says(); says != "" {
		return says + " " + s.Asks()
	}
	return s.Asks()
}

// Asks says what to play now, or that the pass is done.
func (s State) Asks() string {
	switch {
	case s.Done && s.Skipped > 0:
		return fmt.Sprintf("Done. %s passed over; you can play them any time.", count(s.Skipped, "reed was", "reeds were"))
	case s.Done:
		return "Done. All twenty reeds are measured."
	}
	switch s.Time {
	case 2:
		return fmt.Sprintf("%s once more.", capital(s.Ask.Words()))
	case 3:
		return fmt.Sprintf("The two differ. %s a third time, easy and straight.", capital(s.Ask.Words()))
	}
	return fmt.Sprintf("Play %s and hold it.", s.Ask.Words())
}

// Says tells what became of the last sound, or offers a rest; empty when there is nothing to tell.
func (s State) Says() string {
	switch {
	case s.Done:
	case s.Release:
		return "Got it. Let go, breathe."
	case s.Problem != None:
		return s.Problem.Words()
	case s.Rest:
		return "Take a breath and rest a moment. Then:"
	}
	return ""
}

// Words says why a sound was not taken; nothing for None.
func (p Problem) Words() string {
	switch p {
	case TooShort:
		return "That was a little short: two seconds will do."
	case Unsteady:
		return "The pitch moved: breathe evenly and leave the mouth as it is."
	case NoReed:
		return "That lies between two reeds: bent, perhaps, or a harp in another key."
	case EitherReed:
		return "2 draw and 3 blow are the same note, so they are taken only when asked for."
	}
	return ""
}

// Words says how the reed is, in a sentence or two.
func (d Reed) Words() string {
	var say []string
	for _, f := range d.Faults {
		switch f {
		case NotHeard:
			say = append(say, "was not heard")
		case Off:
			say = append(say, fmt.Sprintf("is %s of its tuning (%s of the reeds around it)", away(d.FromTuning), away(d.FromOthers)))
		case Slow:
			say = append(say, "is slow to speak: stiff, or set too far from the plate")
		case Leaks:
			say = append(say, "hisses: air goes past it")
		case Along:
			say = append(say, "lets a hole beside it sound along")
		}
	}
	if len(say) == 0 {
		return capital(d.Note.Words()) + " is fine."
	}
	return capital(d.Note.Words()) + " " + strings.Join(say, "; it ") + "."
}

// Advice says what a player can do about a fault. Nobody is asked to open a harp: what drying does not mend is a technician's
// (common practice, no source).
func (f Fault) Advice() string {
	switch f {
	case NotHeard:
		return "Until it is heard it is taken to lie where its tuning says."
	case Off:
		return "You can play on: it is judged by where it lies. If it went off of late, let the harp dry, tap it on your palm and measure it again; if it stays so, ask a harmonica technician."
	case Slow:
		return "Start it gently, without force. Moisture and dust slow a reed: rinse your mouth before you play, let the harp dry with the holes down, and measure it again. If it stays so, ask a harmonica technician."
	case Leaks:
		return "Seal the lips and measure it again before you blame the reed. Let the harp dry. If it still hisses, ask a harmonica technician to look at plates and comb."
	case Along:
		return "Narrow the mouth and measure it again. If the neighbour still sounds, air leaks between the two: ask a harmonica technician."
	}
	return ""
}

// Words says how the harp is tuned.
func (f Fit) Words() string {
	if !f.Found {
		return "Too few reeds were heard to tell how your harp is tuned."
	}
	like := tuned(f.Tuning)
	if !f.Sure {
		like += ", or " + tuned(f.Next)
	}
	return fmt.Sprintf("Your harp is tuned like this: %s; A4 near %.0f Hz.", like, f.A4)
}

// tuned says in a player's words what a tuning is for.
func tuned(t harp.Tuning) string {
	switch t {
	case harp.Equal:
		return "equal, for playing single notes in any position"
	case harp.Just:
		return "just, for chords in first position"
	case harp.JustSecondThird:
		return "just, for chords in second and third position"
	case harp.Just19:
		return "just with 5 and 9 draw near equal (19-limit)"
	case harp.Just7:
		return "just with 5 and 9 draw low, for a smooth draw chord (7-limit)"
	case harp.Just5:
		return "just with 5 and 9 draw high, for minor chords in third position (5-limit)"
	case harp.Compromise:
		return "a compromise, between smooth chords and equal steps"
	}
	return t.String()
}

// Words sums the report up; the reeds speak for themselves.
func (r Report) Words() string {
	wrong, silent := 0, 0
	for _, d := range r.Reeds {
		switch {
		case d.Tries == 0:
			silent++
		case len(d.Faults) > 0:
			wrong++
		}
	}
	say := []string{r.Fit.Words()}
	switch {
	case r.Heard == 0:
	case wrong == 0 && silent == 0:
		say = append(say, "All twenty reeds are fine.")
	case wrong == 0:
		say = append(say, "The reeds that were heard are fine.")
	default:
		say = append(say, fmt.Sprintf("%s a look.", count(wrong, "reed deserves", "reeds deserve")))
	}
	if silent > 0 {
		say = append(say, fmt.Sprintf("%s not heard.", count(silent, "reed was", "reeds were")))
	}
	if r.Noisy {
		say = append(say, "It was too noisy to hear whether air leaks.")
	}
	return strings.Join(say, " ")
}

func away(cents float64) string {
	switch c := int(math.Round(math.Abs(cents))); {
	case c == 0:
		return "0 cents off that"
	case cents < 0:
		return fmt.Sprintf("%d cents flat", c)
	default:
		return fmt.Sprintf("%d cents sharp", c)
	}
}

func count(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, more)
}

func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
