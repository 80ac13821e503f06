package harp

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
)

// MaxProfile is the most in cents that a reed may deviate from its tuning; beyond
// half a semitone it is nearer to another note. Our choice: 50 and room for error.
const MaxProfile = 60.0

// ErrProfile is returned for a profile that no playable harp has.
var ErrProfile = errors.New("a profile holds ten blow and ten draw reeds, each within 60 cents of its tuning; measure again")

// A Profile is the player's measured reeds: cents over the chosen tuning (+ is
// sharp), hole 1 first. The zero value is a harp exactly as its tuning says.
type Profile struct {
	Blow [Holes]float64 `json:"blow"`
	Draw [Holes]float64 `json:"draw"`
}

// Cents returns the deviation of one reed.
func (p Profile) Cents(hole int, b Breath) float64 {
	mustHave(hole, b)
	if b == Draw {
		return p.Draw[hole-1]
	}
	return p.Blow[hole-1]
}

// Validate reports a reed that is too far off, or not a number.
func (p Profile) Validate() error {
	for hole := 1; hole <= Holes; hole++ {
		for b := Blow; b <= Draw; b++ {
			if c := p.Cents(hole, b); !(math.Abs(c) <= MaxProfile) { // NaN fails too
				return fmt.Errorf("harp: profile: %d %s is %g cents off: %w", hole, b, c, ErrProfile)
			}
		}
	}
	return nil
}

// UnmarshalJSON reads {"blow":[10 numbers],"draw":[10 numbers]}. A list that is not
// there is all zero; one of another length, or a profile that does not pass Validate,
// is refused and p stays as it was.
func (p *Profile) UnmarshalJSON(data []byte) error {
	// Go would fill up or cut a list of the wrong length without a word.
	var in struct {
		Blow *[]float64 `json:"blow"`
		Draw *[]float64 `json:"draw"`
	}
	if err := json.Unmarshal(data, &in); err != nil {
		return fmt.Errorf("harp: profile: %w", err)
	}
	var got Profile
	for b, list := range [...]*[]float64{Blow: in.Blow, Draw: in.Draw} {
		if list == nil {
			continue
		}
		if len(*list) != Holes {
			return fmt.Errorf("harp: profile: %d %s reeds: %w", len(*list), Breath(b), ErrProfile)
		}
		into := &got.Blow
		if Breath(b) == Draw {
			into = &got.Draw
		}
		copy(into[:], *list)
	}
	if err := got.Validate(); err != nil {
		return err
	}
	*p = got
	return nil
}
