package reeds

import (
	"errors"
	"fmt"

	"reedwell/levels/harp"
	"reedwell/levels/path"
	"reedwell/levels/seal"
)

// MaxBytes is the largest file of a case that is read; a full one has less.
const MaxBytes = 1 << 17

// The ways in which a file is refused. Whoever gets one leaves the file where it is.
var (
	ErrDamaged  = errors.New("this is not a whole file of harps; look for another copy of it, or measure again")
	ErrNewer    = errors.New("the file of harps was written by a newer version of this program; update, then open it again")
	ErrTooLarge = errors.New("this is more than a file of harps holds; check that the right file was chosen")
)

// form is the kind of file.
func form() seal.Form {
	return seal.Form{Key: "reedwell-harps", Version: 1, Most: MaxBytes, Damaged: ErrDamaged, Newer: ErrNewer, TooLarge: ErrTooLarge}
}

// The file is a sealed one of these.
type (
	file struct {
		Default int        `json:"default"`
		Harps   []fileHarp `json:"harps"`
	}
	fileHarp struct {
		Name     string       `json:"name"`
		Key      harp.Key     `json:"key"`
		Tuning   harp.Tuning  `json:"tuning"`
		A4       float64      `json:"a4"`
		Profile  harp.Profile `json:"profile"`
		Measured path.Day     `json:"measured,omitzero"`
		Found    Faults       `json:"found,omitzero"`
	}
)

// Encode returns the case as a file, the same bytes for the same case.
func (c *Case) Encode() []byte { return form().Write(c.file()) }

// file is what is written of the case: only what was checked.
func (c *Case) file() file {
	f := file{Default: c.first, Harps: []fileHarp{}}
	for _, k := range c.harps {
		f.Harps = append(f.Harps, fileHarp{k.Name, k.Harp.Key, k.Harp.Tuning, k.Harp.A4, k.Harp.Profile, k.Measured, k.Found})
	}
	return f
}

// Decode reads what Encode wrote. It fails with ErrTooLarge, ErrNewer or ErrDamaged.
func Decode(data []byte) (Case, error) {
	var c Case
	err := seal.Read(form(), data, func(f file) (file, error) {
		for _, h := range f.Harps {
			if err := c.Add(Kept{h.Name, harp.Harp{Key: h.Key, Tuning: h.Tuning, A4: h.A4, Profile: h.Profile}, h.Measured, h.Found}); err != nil {
				return f, err
			}
		}
		if f.Default < 0 || f.Default >= max(1, len(c.harps)) {
			return f, fmt.Errorf("its default, %d, is no harp", f.Default)
		}
		c.first = f.Default
		return c.file(), nil // whatever cleaning changed is noticed
	})
	if err != nil {
		return Case{}, fmt.Errorf("harps: %w", err)
	}
	return c, nil
}
