package drill

import (
	"fmt"
	"strconv"
	"strings"

	"reedwell/levels/harp"
)

// scoopDepth is how far in cents under its pitch a scooped note is asked to start: the middle of
// the 50 to 150 that are usual (common practice, no source).
const scoopDepth = 100.0

// A step is one note or rest of our own material.
type step struct {
	note  harp.Note
	beats float64
	join  Join
	rest  bool
	scoop float64 // cents
}

// steps reads material in our short hand: tokens parted by spaces, each a tab and a
// length in beats after a colon, "-4':2"; "r:1" is a rest. "~" before the tab
// glides there on the same reed, "_" changes the hole in the same breath, "^" scoops
// up to it; else the note is tongued. A length may be a fraction: "-4:1/3". "|" is for the eye.
func steps(text string) ([]step, error) {
	var all []step
	for _, token := range strings.Fields(text) {
		if token == "|" {
			continue
		}
		tab, length, ok := strings.Cut(token, ":")
		if !ok {
			return nil, fmt.Errorf("drill: %q has no length", token)
		}
		var s step
		numerator, denominator, fraction := strings.Cut(length, "/")
		beats, err := strconv.ParseFloat(numerator, 64)
		if err == nil && fraction {
			var d float64
			if d, err = strconv.ParseFloat(denominator, 64); err == nil {
				beats /= d
			}
		}
		if err != nil || !(beats > 0 && beats <= 64) {
			return nil, fmt.Errorf("drill: %q has no such length", token)
		}
		s.beats = beats
		if tab == "r" {
			s.rest = true
			all = append(all, s)
			continue
		}
		switch tab[:min(1, len(tab))] {
		case "~":
			s.join, tab = Glide, tab[1:]
		case "^":
			s.scoop, tab = scoopDepth, tab[1:]
		case "_":
			s.join, tab = Legato, tab[1:]
		}
		if s.note, err = harp.ParseNote(tab); err != nil {
			return nil, fmt.Errorf("drill: %w", err)
		}
		all = append(all, s)
	}
	return all, nil
}
