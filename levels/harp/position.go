package harp

import (
	"errors"
	"fmt"
	"strings"
)

// A Position says which note of the harp is home: each is a fifth above the one
// before, so 12th is a fifth below 1st. The zero value is no position.
type Position int

// ErrPosition is returned for a position that is not taught here.
var ErrPosition = errors.New("positions are 1, 2, 3, 4, 5 and 12")

// Positions returns the positions that are taught here.
func Positions() []Position { return []Position{1, 2, 3, 4, 5, 12} }

// Valid reports whether the position is one of Positions.
func (p Position) Valid() bool { return p >= 1 && p <= 5 || p == 12 }

// Root returns the tonic's semitones above 1 blow, 0 to 11.
func (p Position) Root() int { return (int(p-1)*7%12 + 12) % 12 }

// String returns "1st", "2nd" and so on.
func (p Position) String() string {
	switch p {
	case 1:
		return "1st"
	case 2:
		return "2nd"
	case 3:
		return "3rd"
	}
	return fmt.Sprintf("%dth", int(p))
}

// Name returns "1st position", "2nd position" and so on.
func (p Position) Name() string { return p.String() + " position" }

// ParsePosition reads "2", "2nd" or "2nd position".
func ParsePosition(s string) (Position, error) {
	short := strings.TrimSuffix(s, " position")
	for _, p := range Positions() {
		if short == p.String() || s == fmt.Sprint(int(p)) {
			return p, nil
		}
	}
	return 0, fmt.Errorf("position %.40q: %w", s, ErrPosition)
}

// MarshalText writes the position's number, and nothing for the zero value.
func (p Position) MarshalText() ([]byte, error) {
	switch {
	case p == 0:
		return []byte{}, nil
	case !p.Valid():
		return nil, fmt.Errorf("harp: position %d: %w", int(p), ErrPosition)
	}
	return fmt.Append(nil, int(p)), nil
}

// UnmarshalText reads what MarshalText writes, and all that ParsePosition takes.
func (p *Position) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*p = 0
		return nil
	}
	got, err := ParsePosition(string(text))
	if err == nil {
		*p = got
	}
	return err
}
