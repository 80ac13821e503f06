package reeds

import (
	"encoding/json"
	"fmt"
	"math"

	"reedwell/levels/harp"
)

// MaxPassBytes is the largest unfinished pass that is read; twenty reeds held three times have less.
const MaxPassBytes = 1 << 14

const passVersion = 1

type (
	passFile struct {
		Version int                       `json:"reedwell-pass"`
		Key     harp.Key                  `json:"key"`
		Reeds   [2 * harp.Holes][]passTry `json:"reeds"`
		Skipped [2 * harp.Holes]bool      `json:"skipped"`
	}
	passTry struct {
		Cents   float64 `json:"cents"`
		Spread  float64 `json:"spread"`
		Level   float64 `json:"level"`
		Speak   float64 `json:"speak"`
		Flutter float64 `json:"flutter"`
		Bright  float64 `json:"bright"`
		Along   float64 `json:"along"`
	}
)

// Encode returns what the pass has heard, so that Resume can go on with it another time.
func (p *Pass) Encode() []byte {
	f := passFile{Version: passVersion, Key: p.key}
	for i, r := range p.reeds {
		f.Skipped[i] = r.skipped
		f.Reeds[i] = []passTry{}
		for _, t := range r.tries {
			f.Reeds[i] = append(f.Reeds[i], passTry{t.cents, t.spread, t.level, t.speak, t.flutter, t.bright, t.along})
		}
	}
	data, err := json.Marshal(f)
	if err != nil {
		panic("reeds: " + err.Error()) // what was measured are numbers
	}
	return data
}

// Resume goes on with a pass that Encode wrote, on a stream at rate Hz. It fails with ErrTooLarge, ErrNewer or ErrDamaged, or for a rate as
// NewPass does.
func Resume(data []byte, rate int) (*Pass, error) {
	fail := func(format string, args ...any) (*Pass, error) {
		return nil, fmt.Errorf("pass: %w ("+format+")", append([]any{ErrDamaged}, args...)...)
	}
	if len(data) > MaxPassBytes {
		return nil, fmt.Errorf("pass: %w (%d bytes; the most is %d)", ErrTooLarge, len(data), MaxPassBytes)
	}
	var head struct {
		Version int `json:"reedwell-pass"`
	}
	if err := json.Unmarshal(data, &head); err != nil {
		return fail("%v", err)
	}
	if head.Version > passVersion {
		return nil, fmt.Errorf("pass: %w (its version is %d, ours %d)", ErrNewer, head.Version, passVersion)
	}
	var f passFile
	if err := json.Unmarshal(data, &f); err != nil {
		return fail("%v", err)
	}
	if f.Version != passVersion {
		return fail("it has no version")
	}
	p, err := NewPass(f.Key, rate)
	if err != nil {
		return nil, err
	}
	for i, tries := range f.Reeds {
		if len(tries) > Times+1 {
			return fail("reed %d was held %d times", i, len(tries))
		}
		r := &p.reeds[i]
		r.skipped = f.Skipped[i]
		for _, t := range tries {
			// As far from its place as name lets a reed be, and the pitch before any was known.
			if off := t.Cents - nominal(f.Key, i); !(math.Abs(off) <= 150) || !(t.Spread >= 0 && t.Spread <= SteadyCents) || !(t.Level >= -200 && t.Level <= 20) ||
				!(t.Speak >= -1 && t.Speak <= 60) || !(t.Flutter >= 0 && t.Flutter <= 20) || !(t.Bright >= 0 && t.Bright <= 1e6) || !(t.Along <= 0 && t.Along >= -200) {
				return fail("reed %d: %+v", i, t)
			}
			r.tries = append(r.tries, try{cents: t.Cents, spread: t.Spread, level: t.Level, speak: t.Speak, flutter: t.Flutter, bright: t.Bright, along: t.Along})
		}
	}
	p.next()
	return p, nil
}

// Key is that of the harp.
func (p *Pass) Key() harp.Key { return p.key }
