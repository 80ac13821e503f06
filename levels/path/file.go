package path

import (
	"errors"
	"fmt"

	"reedwell/levels/seal"
)

// MaxBytes is the largest progress file that is read; Encode writes none larger.
const MaxBytes = 1 << 20

// The ways in which a file is refused.
var (
	// ErrDamaged is returned for bytes that are no progress file, or not a whole one.
	ErrDamaged = errors.New("this is not a whole progress file; look for another copy of it")
	// ErrNewer is returned for a file of a later version of the program.
	ErrNewer = errors.New("the progress file was written by a newer version of this program; update, then open it again")
	// ErrTooLarge is returned for more than a progress file holds.
	ErrTooLarge = errors.New("this is more than a progress file holds; check that the right file was chosen")
)

// form is the kind of file.
func form() seal.Form {
	return seal.Form{Key: "reedwell-progress", Version: 1, Most: MaxBytes, Damaged: ErrDamaged, Newer: ErrNewer, TooLarge: ErrTooLarge}
}

// The file is a sealed one of these.
type (
	file struct {
		Saves  int64                `json:"saves"`
		Drills map[string]fileDrill `json:"drills"`
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
func encode(p Progress, saves int64) []byte { return form().Write(p.file(saves)) }

// file is what is written of the progress: finite numbers and valid days only.
func (p Progress) file(saves int64) file {
	f := file{Saves: saves, Drills: map[string]fileDrill{}}
	for id, r := range p.drills {
		d := fileDrill{Passed: r.passed, Reviews: r.reviews}
		for _, t := range r.takes {
			d.Takes = append(d.Takes, fileTake{t.day, t.number, t.Share, t.Tempo, t.Passed, t.Display, t.AtTempo})
		}
		f.Drills[id] = d
	}
	return f
}

func decode(data []byte) (p Progress, saves int64, err error) {
	err = seal.Read(form(), data, func(f file) (file, error) {
		p, err = f.progress()
		saves = f.Saves
		return p.file(saves), err // whatever settling changed is noticed
	})
	if err != nil {
		return Progress{}, 0, fmt.Errorf("progress: %w", err)
	}
	return p, saves, nil
}

// progress is what a file tells, or why it can not be.
func (f file) progress() (Progress, error) {
	drills := map[string]record{}
	for id, d := range f.Drills {
		r := record{passed: d.Passed, reviews: d.Reviews}
		if !ValidID(id) {
			return Progress{}, fmt.Errorf("bad drill id %.70q", id)
		}
		for _, t := range d.Takes {
			n := numbered{Take{true, t.Share, t.Passed, t.Display, t.AtTempo, t.Tempo}, t.Day, t.Number}
			if !n.recordable() || !n.day.Valid() || n.number < 1 || n.number > maxNumber {
				return Progress{}, fmt.Errorf("a take of %s cannot be", id)
			}
			r.takes = append(r.takes, n)
		}
		if r.last() == 0 {
			return Progress{}, fmt.Errorf("nothing is recorded for %s", id)
		}
		drills[id] = settle(r)
	}
	if f.Saves < 0 || !fit(drills) {
		return Progress{}, errors.New("too many drills or saves")
	}
	if len(drills) == 0 {
		return Progress{}, nil
	}
	return Progress{drills}, nil
}
