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
	wave  Wave
	off   float64 // cents over the note
	call  bool    // sounded by the program
	blue  bool    // the blue third, in its zone about note
}

// steps reads material in our short hand: tokens parted by spaces, each a tab and a
// length in beats after a colon, "-4':2"; "r:1" is a rest. "~" before the tab
// glides there on the same reed, "_" changes the hole in the same breath, "^" scoops
// up to it; else the note is tongued. The tab of the blue third is "b3"; "@30" after a tab
// is 30 cents over it. After a length, "v3" asks for three swings of the throat in a beat, "w3" for three of
// the hands, and "v" or "w" for as many as the player likes. A length may be a fraction: "-4:1/3". "|" is for the eye.
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
		length, s.wave, ok = waves(length)
		if !ok {
			return nil, fmt.Errorf("drill: %q asks for no such wave", token)
		}
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
		if name, cents, ok := strings.Cut(tab, "@"); ok {
			tab = name
			if s.off, err = strconv.ParseFloat(cents, 64); err != nil || !(s.off > -100 && s.off < 100) {
				return nil, fmt.Errorf("drill: %q is no tone beside a note", token)
			}
		}
		if tab == "b3" {
			tab, s.blue = blueReed(1).Tab(), true
		}
		if s.note, err = harp.ParseNote(tab); err != nil {
			return nil, fmt.Errorf("drill: %w", err)
		}
		all = append(all, s)
	}
	return all, nil
}
