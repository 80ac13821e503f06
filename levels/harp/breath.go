package harp

import (
	"errors"
	"fmt"
)

// A Breath is the direction of the air.
type Breath int8

// The breaths.
const (
	Blow Breath = iota
	Draw
)

// ErrBreath is returned for what is no breath.
var ErrBreath = errors.New("a breath is blow or draw")

// String returns "blow" or "draw".
func (b Breath) String() string {
	switch b {
	case Blow:
		return "blow"
	case Draw:
		return "draw"
	}
	return fmt.Sprintf("breath %d", int8(b))
}

// Other returns the opposite breath.
func (b Breath) Other() Breath { return Draw - b }

// MarshalText writes "blow" or "draw".
func (b Breath) MarshalText() ([]byte, error) {
	if b != Blow && b != Draw {
		return nil, fmt.Errorf("harp: %s: %w", b, ErrBreath)
	}
	return []byte(b.String()), nil
}

// UnmarshalText reads what MarshalText writes.
func (b *Breath) UnmarshalText(text []byte) error {
	switch string(text) {
	case "blow":
		*b = Blow
	case "draw":
		*b = Draw
	default:
		return fmt.Errorf("harp: breath %.40q: %w", text, ErrBreath)
	}
	return nil
}
