package session

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"reedwell/levels/drill"
	"reedwell/levels/grade"
	"reedwell/levels/harp"
)

// tuningNames are the tunings as shown, in the order of harp.Tunings.
func tuningNames() []string {
	var all []string
	for _, t := range harp.Tunings() {
		all = append(all, strings.ToUpper(t.String()[:1])+t.String()[1:])
	}
	return all
}

func keyNames() []string {
	var all []string
	for _, k := range harp.Keys() {
		all = append(all, k.String())
	}
	return all
}

// holes are the holes of the ladder family, as their titles begin.
func holes(path []Entry) []string {
	var all []string
	for _, e := range path {
		if h, ok := holeOf(e); ok && !slices.Contains(all, h) {
			all = append(all, h)
		}
	}
	return all
}

// holeOf is the hole a ladder is on, as its title begins: "4 draw".
func holeOf(e Entry) (string, bool) {
	if e.Family != drill.Ladder {
		return "", false
	}
	h, _, ok := strings.Cut(e.Title, ":")
	return h, ok
}

// article is "a" or "an" before the name of a key.
func article(key string) string {
	if strings.HasPrefix(key, "A") || strings.HasPrefix(key, "E") || strings.HasPrefix(key, "F") {
		return "an"
	}
	return "a"
}

func percent(share float64) string { return fmt.Sprintf("%.0f %%", math.Round(share*100)) }

// plural writes 1 note, 2 notes.
func plural(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %ss", n, one)
}

// ms writes seconds as whole milliseconds.
func ms(seconds float64) string { return fmt.Sprintf("%.0f ms", math.Abs(seconds)*1000) }

// louder is how a change of level in dB is called.
func louder(db float64) string {
	if db < 0 {
		return "softer"
	}
	return "louder"
}

// sentence writes what a mark measured and what would have been right.
func sentence(m grade.Mark) string {
	late := func(v float64) string {
		if math.Round(v*1000) == 0 {
			return "on the beat"
		}
		if v < 0 {
			return ms(v) + " early"
		}
		return ms(v) + " late"
	}
	side := func(v float64) string {
		switch c := math.Round(v); {
		case c > 0:
			return plural(int(c), "cent") + " sharp"
		case c < 0:
			return plural(int(-c), "cent") + " flat"
		}
		return "in tune"
	}
	switch m.Quantity {
	case grade.Played:
		if m.Target < 0 {
			return fmt.Sprintf("%.0f changes heard, %.0f asked.", m.Heard, m.Asked)
		}
		if m.Verdict == grade.Good {
			return "Played"
		}
		return "Not played"
	case grade.Pitch:
		return fmt.Sprintf("Pitch: %s. Good within %.0f cents.", side(m.Heard-m.Asked), m.Window)
	case grade.Spread:
		return fmt.Sprintf("Held pitch moves by %s. Good up to %.0f.", plural(int(math.Round(m.Heard)), "cent"), m.Window)
	case grade.Overshoot:
		return fmt.Sprintf("Went %s too deep before it settled. Good up to %.0f.", plural(int(math.Round(m.Heard)), "cent"), m.Window)
	case grade.Settle:
		return fmt.Sprintf("Settled after %s. Good up to %s.", ms(m.Heard), ms(m.Window))
	case grade.Leak:
		if m.Heard <= grade.LeakFloor {
			return fmt.Sprintf("Other hole: none heard. Good from %.0f dB under the note.", -m.Window)
		}
		return fmt.Sprintf("Other hole: %.0f dB under the note. Good from %.0f dB.", -m.Heard, -m.Window)
	case grade.Depth:
		return fmt.Sprintf("Starts %s under its pitch, asked %.0f. Good within %.0f.", plural(int(math.Round(m.Heard)), "cent"), m.Asked, m.Window)
	case grade.Release:
		return fmt.Sprintf("Where it stays after %s. Good up to %s.", ms(m.Heard), ms(m.Window))
	case grade.Attack:
		return fmt.Sprintf("Up to its loudness after %s. Good up to %s.", ms(m.Heard), ms(m.Window))
	case grade.Fade:
		return fmt.Sprintf("From start to end: %.1f dB %s. Good within %.0f dB.", math.Abs(m.Heard), louder(m.Heard), m.Window)
	case grade.Breaks:
		if m.Heard == 0 {
			return "One breath, unbroken."
		}
		return fmt.Sprintf("Broke off %s.", plural(int(m.Heard), "time"))
	case grade.Find:
		return fmt.Sprintf("Hole found after %s. Good up to %s.", ms(m.Heard), ms(m.Window))
	case grade.Start:
		return fmt.Sprintf("Start: %s. Good within %s.", late(m.Heard-m.Asked), ms(m.Window))
	case grade.Length:
		if m.Heard > 1 && m.Window > 1 {
			return fmt.Sprintf("Length: %s of what is written. Good up to %s.", percent(m.Heard), percent(m.Window))
		}
		return fmt.Sprintf("Length: %s of what is written. Good from %s.", percent(m.Heard), percent(m.Window))
	case grade.Dip:
		return fmt.Sprintf("Repeat: the sound dropped by %.0f dB. Good from %.0f dB.", m.Heard, m.Window)
	case grade.Steady:
		return fmt.Sprintf("Loudness moves by %.1f dB. Good up to %.1f dB.", m.Heard, m.Window)
	case grade.Third:
		return fmt.Sprintf("Third: %.0f cents over the root. Good from %.0f to %.0f.", m.Heard, m.Asked, m.Asked+m.Window)
	case grade.Inside:
		return fmt.Sprintf("In its zone: %s of the time. Good from %s.", percent(m.Heard), percent(m.Window))
	case grade.Land:
		return fmt.Sprintf("Landed after %s. Good up to %s.", ms(m.Heard), ms(m.Window))
	case grade.Touched:
		return fmt.Sprintf("Wrong holes on the way: %.0f. Good up to %.0f.", m.Heard, m.Window)
	case grade.Swing:
		way := "from"
		if m.Heard > m.Window && m.Verdict != grade.Good {
			way = "up to"
		}
		return fmt.Sprintf("Swings by %.0f cents to either side. Good %s %.0f.", m.Heard, way, m.Window)
	case grade.Cup:
		return fmt.Sprintf("The hands take %.1f dB off. Good from %.0f dB.", m.Heard, m.Window)
	case grade.Means:
		if m.Verdict == grade.Good {
			return "It swings as asked."
		}
		return "Something else swings."
	case grade.Rate:
		switch {
		case m.Unit != "swings/s":
			return fmt.Sprintf("Speed: %.1f notes a second, asked %.1f.", m.Heard, m.Asked)
		case m.Window == 0: // free
			return fmt.Sprintf("Speed: %.1f swings a second, as you like.", m.Heard)
		}
		return fmt.Sprintf("Speed: %.1f swings a second, asked %.1f. Good within %.1f.", m.Heard, m.Asked, m.Window)
	case grade.Evenness:
		return fmt.Sprintf("Unevenness: %s. Good up to %s.", percent(m.Heard), percent(m.Window))
	case grade.Balance:
		return fmt.Sprintf("Time on the first hole: %s. Half is right, within %s.", percent(m.Heard), percent(m.Window))
	case grade.Clean:
		return fmt.Sprintf("Clean notes: %s. Good from %s.", percent(m.Heard), percent(m.Window))
	case grade.Ramp:
		return fmt.Sprintf("Bumps while speeding up: %s. Good up to %s.", percent(m.Heard), percent(m.Window))
	case grade.Bias:
		return fmt.Sprintf("On the whole: %s.", late(m.Heard-m.Asked))
	case grade.Scatter:
		return fmt.Sprintf("Starts scatter by %s.", ms(m.Heard))
	case grade.Extra:
		return plural(int(math.Round(m.Heard)), "note") + " that nobody asked for"
	}
	return fmt.Sprintf("%s: %.4g %s", m.Quantity, m.Heard, m.Unit)
}

// verdict is a mark's verdict in words, so that it is not told by shape or colour alone.
func verdict(v grade.Verdict) string {
	switch v {
	case grade.Good:
		return "Right"
	case grade.Missing:
		return "Missing"
	case grade.Unheard:
		return "Could not hear it well enough"
	}
	return "Not yet"
}
