package harp

import (
	"errors"
	"fmt"
	"strings"
)

// A Key is the key of the harp. The zero value is C.
type Key struct{ fromC int } // semitones from middle C: -12 low C to +7 high G

// MIDI note numbers of middle C, and how far the keys lie from it.
const (
	middleC = 60
	lowest  = -12 // low C
	lowestG = -5  // G, the lowest of the standard keys; those under it are called low
	highG   = 7
)

// ErrKey is returned for a key that no harp here has.
var ErrKey = errors.New("keys run from low C up to low F#, G up to F#, and high G; as in C, Bb, F#, low D")

// Keys returns all keys, lowest first.
func Keys() []Key {
	all := make([]Key, 0, highG-lowest+1)
	for k := lowest; k <= highG; k++ {
		all = append(all, Key{k})
	}
	return all
}

// MIDI returns the MIDI note number of 1 blow: 48 for low C, 60 for C, 67 for high G.
func (k Key) MIDI() int { return middleC + k.fromC }

// noteName names a pitch class, 0 = C, as harp makers do.
func PitchClass(class int) string {
	return [...]string{"C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"}[(class%12+12)%12]
}

// String names the key: "low D", "A", "F#", "high G".
func (k Key) String() string {
	switch name := PitchClass(k.fromC); {
	case k.fromC < lowestG:
		return "low " + name
	case k.fromC >= highG:
		return "high " + name
	default:
		return name
	}
}

// ParseKey reads a key in upper or lower case: "A", "low D", "lowD", "low-d", "LD",
// "high G", "HG", with flats and sharps spelled either way ("A#" is Bb).
func ParseKey(s string) (Key, error) {
	bad := fmt.Errorf("key %.40q: %w", s, ErrKey)
	rest := strings.ToLower(strings.TrimSpace(s))
	register := ""
	// No note is called L or H here, so the short forms cannot be mistaken.
	for _, r := range [...]struct{ prefix, name string }{{"low", "low "}, {"high", "high "}, {"l", "low "}, {"h", "high "}} {
		if after, ok := strings.CutPrefix(rest, r.prefix); ok {
			register, rest = r.name, after
			if rest != "" && (rest[0] == ' ' || rest[0] == '-') {
				rest = rest[1:]
			}
			break
		}
	}
	if rest == "" {
		return Key{}, bad
	}
	class, ok := map[byte]int{'c': 0, 'd': 2, 'e': 4, 'f': 5, 'g': 7, 'a': 9, 'b': 11}[rest[0]]
	if !ok {
		return Key{}, bad
	}
	switch rest[1:] {
	case "":
	case "b", "♭":
		class--
	case "#", "♯":
		class++
	default:
		return Key{}, bad
	}
	name := register + PitchClass(class)
	for _, k := range Keys() {
		if k.String() == name {
			return k, nil
		}
	}
	return Key{}, bad
}

// MarshalText writes the key's name.
func (k Key) MarshalText() ([]byte, error) { return []byte(k.String()), nil }

// UnmarshalText reads a key's name in any form ParseKey takes.
func (k *Key) UnmarshalText(text []byte) error {
	got, err := ParseKey(string(text))
	if err == nil {
		*k = got
	}
	return err
}

// Song returns the key of the song played in the position on this harp: second
// position on an A harp plays in E.
func (k Key) Song(p Position) string { return PitchClass(k.fromC + p.Root()) }

// Spell names a pitch class, 0 = C, as the key signature of the harp has it: with flats in
// F, Bb, Eb, Ab and Db, with sharps in the others.
func (k Key) Spell(class int) string {
	name := PitchClass(class)
	switch PitchClass(k.fromC) {
	case "F", "Bb", "Eb", "Ab", "Db":
		if name == "F#" {
			return "Gb"
		}
		return name
	}
	if sharp, ok := map[string]string{"Db": "C#", "Eb": "D#", "Ab": "G#", "Bb": "A#"}[name]; ok {
		return sharp
	}
	return name
}
