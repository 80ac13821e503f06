package reeds

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"

	"reedwell/levels/harp"
	"reedwell/levels/path"
)

// MaxBytes is the largest file of a case that is read; a full one has less.
const MaxBytes = 1 << 17

// version of the file that is written here.
const version = 1

// The ways in which a file is refused. Whoever gets one leaves the file where it is.
var (
	ErrDamaged  = errors.New("this is not a whole file of harps; look for another copy of it, or measure again")
	ErrNewer    = errors.New("the file of harps was written by a newer version of this program; update, then open it again")
	ErrTooLarge = errors.New("this is more than a file of harps holds; check that the right file was chosen")
)

// The file is JSON of these, without blanks, and exactly the bytes that Encode writes.
type (
	file struct {
		Version int        `json:"reedwell-harps"`
		Sum     string     `json:"sha256"` // of the file with this left empty
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
func (c *Case) Encode() []byte {
	f := file{Version: version, Default: c.first, Harps: []fileHarp{}}
	for _, k := range c.harps {
		f.Harps = append(f.Harps, fileHarp{k.Name, k.Harp.Key, k.Harp.Tuning, k.Harp.A4, k.Harp.Profile, k.Measured, k.Found})
	}
	sum := sha256.Sum256(mustMarshal(f))
	f.Sum = hex.EncodeToString(sum[:])
	return mustMarshal(f)
}

// mustMarshal cannot fail: a case holds only what was checked.
func mustMarshal(f file) []byte {
	data, err := json.Marshal(f)
	if err != nil {
		panic("reeds: " + err.Error())
	}
	return data
}

// Decode reads what Encode wrote. It fails with ErrTooLarge, ErrNewer or ErrDamaged.
func Decode(data []byte) (Case, error) {
	fail := func(format string, args ...any) (Case, error) {
		return Case{}, fmt.Errorf("harps: %w ("+format+")", append([]any{ErrDamaged}, args...)...)
	}
	if len(data) > MaxBytes {
		return Case{}, fmt.Errorf("harps: %w (%d bytes; the most is %d)", ErrTooLarge, len(data), MaxBytes)
	}
	// A later version may look different in all but its version.
	var head struct {
		Version int `json:"reedwell-harps"`
	}
	if err := json.Unmarshal(data, &head); err != nil {
		return fail("%v", err)
	}
	if head.Version > version {
		return Case{}, fmt.Errorf("harps: %w (its version is %d, ours %d)", ErrNewer, head.Version, version)
	}
	if head.Version < 1 {
		return fail("it has no version")
	}
	var f file
	if err := json.Unmarshal(data, &f); err != nil {
		return fail("%v", err)
	}
	var c Case
	for _, h := range f.Harps {
		if err := c.Add(Kept{h.Name, harp.Harp{Key: h.Key, Tuning: h.Tuning, A4: h.A4, Profile: h.Profile}, h.Measured, h.Found}); err != nil {
			return fail("%v", err)
		}
	}
	if f.Default < 0 || f.Default >= max(1, len(c.harps)) {
		return fail("its default, %d, is no harp", f.Default)
	}
	c.first = f.Default
	// Whatever cleaning changed, and any other doubt about the bytes, ends here.
	if !bytes.Equal(c.Encode(), data) {
		return fail("its checksum is wrong")
	}
	return c, nil
}
