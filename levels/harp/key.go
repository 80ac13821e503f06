package harp

import (
	"errors"
	"fmt"
	"strings"
)

// A Key is the key of the harp. The zero value is C.
type Key struct{ fromC int } // semitones from C4, -12 low C to +7 high G

const middleC = 60 // MIDI note number of C4

// ErrKey is returned for a key that no harp here has.
var ErrKey = errors.New("keys run from low C to high G, as in C, Bb, F#, low D")

// Keys returns all keys, lowest first.
func Keys() []Key {
	var all []Key
	for k := -12; k <= 7; k++ {
		all = append(all, Key{k})
	}
	return all
}

// MIDI returns the MIDI note number of 1 blow.
func (k Key) MIDI() int { return middleC + k.fromC }

// noteName names a pitch class as harp makers do.
func noteName(class int) string {
	return [...]string{"C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"}[((class%12)+12)%12]
}

// String names the key: "low D", "A", "F#", "high G". G is the lowest standard key
// and F# the highest; "low" is an octave under the standard one.
func (k Key) String() string {
	name := noteName(k.fromC)
	switch {
	case k.fromC < -5:
		return "low " + name
	case k.fromC == 7:
		return "high " + name
	}
	return name
}

// ParseKey reads a key in any case: "A", "low D", "lowD", "low-d", "LD", "high G",
// "HG", with flats and sharps spelled either way.
func ParseKey(s string) (Key, error) {
	t := strings.ToLower(strings.NewReplacer(" ", "", "-", "", "♭", "b", "♯", "#").Replace(s))
	register := ""
	for _, r := range []struct{ prefix, register string }{{"low", "low "}, {"high", "high "}, {"l", "low "}, {"h", "high "}} {
		if strings.HasPrefix(t, r.prefix) {
			register, t = r.register, t[len(r.prefix):]
			break
		}
	}
	if t == "" || len(t) > 2 {
		return Key{}, fmt.Errorf("key %q: %w", s, ErrKey)
	}
	at := strings.IndexByte("c d ef g a b", t[0])
	if at < 0 || t[0] == ' ' {
		return Key{}, fmt.Errorf("key %q: %w", s, ErrKey)
	}
	switch t[1:] {
	case "":
	case "b":
		at--
	case "#":
		at++
	default:
		return Key{}, fmt.Errorf("key %q: %w", s, ErrKey)
	}
	name := register + noteName(at)
	for _, k := range Keys() {
		if k.String() == name {
			return k, nil
		}
	}
	return Key{}, fmt.Errorf("key %q: %w", s, ErrKey)
}

// MarshalText writes the key's name.
func (k Key) MarshalText() ([]byte, error) { return []byte(k.String()), nil }

// UnmarshalText reads a key's name.
func (k *Key) UnmarshalText(text []byte) (err error) {
	*k, err = ParseKey(string(text))
	return err
}

// A Position is the playing position: which degree of the harp is home.
type Position int

// Positions returns the positions that are taught here.
func Positions() []Position { return []Position{1, 2, 3, 4, 5, 12} }

// Root returns the tonic's semitones above 1 blow, within an octave: each position
// is a fifth above the one before.
func (p Position) Root() int { return int(p-1) * 7 % 12 }

// Valid reports whether the position is one of Positions.
func (p Position) Valid() bool { return p >= 1 && p <= 5 || p == 12 }

// Song returns the key of the song played in the position on this harp.
func (k Key) Song(p Position) string { return noteName(k.fromC + p.Root()) }
