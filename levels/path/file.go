package path

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
)

// MaxBytes is the largest progress file that is read; Encode writes none larger.
const MaxBytes = 1 << 20

// version of the file that is written here.
const version = 1

// The ways in which a file is refused.
var (
	// ErrDamaged is returned for bytes that are no progress file, or not a whole one.
	ErrDamaged = errors.New("this is not a whole progress file; look for another copy of it")
	// ErrNewer is returned for a file of a later version of the program.
	ErrNewer = errors.New("the progress file was written by a newer version of this program; update, then open it again")
	// ErrTooLarge is returned for more than a progress file holds.
	ErrTooLarge = errors.New("this is more than a progress file holds; check that the right file was chosen")
)

// The file is JSON of these, without blanks. It must be exactly the bytes that Encode
// writes, which makes the checksum more than a formality and leaves no two readings.
type (
	file struct {
		Version int                  `json:"reedwell-progress"`
		Sum     string               `json:"sha256"` // of the file with this left empty
		Saves   int64                `json:"saves"`
		Drills  map[string]fileDrill `json:"drills"`
	}
	fileDrill struct {
		Passed  Day        `json:"passed,omitzero"`
		Reviews []Day      `json:"reviews,omitempty"`
		Takes   []fileTake `json:"takes,omitempty"`
	}
	fileTake struct {
		Day     Day     `json:"day"`
		Number  int     `json:"take"`
		Share   float64 `json:"share"`
		Tempo   float64 `json:"tempo,omitzero"`
		Passed  bool    `json:"passed,omitzero"`
		Display bool    `json:"display,omitzero"`
		AtTempo bool    `json:"at_tempo,omitzero"`
	}
)

// Encode returns the progress as a file, the same bytes for the same progress.
func (p Progress) Encode() []byte { return encode(p, 0) }

// Decode reads what Encode wrote. It fails with ErrTooLarge, ErrNewer or ErrDamaged.
func Decode(data []byte) (Progress, error) {
	p, _, err := decode(data)
	return p, err
}

// encode writes the progress and how often it was saved.
func encode(p Progress, saves int64) []byte {
	f := file{Version: version, Saves: saves, Drills: map[string]fileDrill{}}
	for id, r := range p.drills {
		d := fileDrill{Passed: r.passed, Reviews: r.reviews}
		for _, t := range r.takes {
			d.Takes = append(d.Takes, fileTake{t.day, t.number, t.Share, t.Tempo, t.Passed, t.Display, t.AtTempo})
		}
		f.Drills[id] = d
	}
	blank := mustMarshal(f)
	sum := sha256.Sum256(blank)
	f.Sum = hex.EncodeToString(sum[:])
	return mustMarshal(f)
}

// mustMarshal cannot fail: a record holds finite numbers and valid days only.
func mustMarshal(f file) []byte {
	data, err := json.Marshal(f)
	if err != nil {
		panic("path: " + err.Error())
	}
	return data
}

func decode(data []byte) (p Progress, saves int64, err error) {
	fail := func(format string, args ...any) (Progress, int64, error) {
		return Progress{}, 0, fmt.Errorf("progress: %w ("+format+")", append([]any{ErrDamaged}, args...)...)
	}
	if len(data) > MaxBytes {
		return Progress{}, 0, fmt.Errorf("progress: %w (%d bytes; the most is %d)", ErrTooLarge, len(data), MaxBytes)
	}
	// A later version may look different in all but its version.
	var head struct {
		Version int `json:"reedwell-progress"`
	}
	if err := json.Unmarshal(data, &head); err != nil {
		return fail("%v", err)
	}
	if head.Version > version {
		return Progress{}, 0, fmt.Errorf("progress: %w (its version is %d, ours %d)", ErrNewer, head.Version, version)
	}
	if head.Version < 1 {
		return fail("it has no version")
	}
	var f file
	if err := json.Unmarshal(data, &f); err != nil {
		return fail("%v", err)
	}
	drills := map[string]record{}
	for id, d := range f.Drills {
		r := record{passed: d.Passed, reviews: d.Reviews}
		if !ValidID(id) {
			return fail("bad drill id %.70q", id)
		}
		for _, t := range d.Takes {
			n := numbered{Take{true, t.Share, t.Passed, t.Display, t.AtTempo, t.Tempo}, t.Day, t.Number}
			if !n.recordable() || !n.day.Valid() || n.number < 1 || n.number > maxNumber {
				return fail("a take of %s cannot be", id)
			}
			r.takes = append(r.takes, n)
		}
		if r.last() == 0 {
			return fail("nothing is recorded for %s", id)
		}
		drills[id] = settle(r)
	}
	if f.Saves < 0 || !fit(drills) {
		return fail("too many drills or saves")
	}
	if len(drills) > 0 {
		p.drills = drills
	}
	// Whatever settling changed, and any other doubt about the bytes, ends here.
	if !bytes.Equal(encode(p, f.Saves), data) {
		return fail("its checksum is wrong")
	}
	return p, f.Saves, nil
}
