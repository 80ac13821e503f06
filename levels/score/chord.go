package score

import (
	"strings"

	"reedwell/levels/lesson"
)

// ParseChord reads a chord symbol as musicians write it: "E7", "Bbm7", "F#". What is built
// on the root is kept as far as a lesson's form knows it: sixths are major, ninths and what
// lies above them dominant sevenths. A bass after a slash is left out.
func ParseChord(s string) (Chord, bool) {
	s = strings.TrimSpace(s)
	if s == "" || len(s) > 20 || s[0] < 'A' || s[0] > 'G' {
		return Chord{}, false
	}
	root := natural(s[0])
	rest := s[1:]
	for _, a := range []struct {
		sign string
		by   int
	}{{"#", 1}, {"♯", 1}, {"b", -1}, {"♭", -1}} {
		if after, ok := strings.CutPrefix(rest, a.sign); ok {
			root, rest = root+a.by, after
			break
		}
	}
	rest, _, _ = strings.Cut(rest, "/")
	q, ok := quality(rest)
	return Chord{Root: (root + 12) % 12, Quality: q}, ok
}

func quality(s string) (lesson.Quality, bool) {
	switch s {
	case "", "maj", "M", "major", "6", "maj7", "M7", "5", "add9", "69":
		return lesson.Major, true
	case "7", "9", "11", "13", "7sus4", "7#9", "7b9", "dom7", "9sus4", "7#5", "7b5", "aug", "+", "+7":
		return lesson.Seventh, true
	case "m", "min", "-", "minor", "m6", "min6", "dim", "o":
		return lesson.Minor, true
	case "m7", "min7", "-7", "m9", "min9", "m11", "m7b5", "dim7", "o7":
		return lesson.MinorSeventh, true
	}
	return 0, false
}
