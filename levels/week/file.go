package week

import (
	"errors"
	"fmt"
	"maps"
	"slices"

	"reedwell/levels/path"
	"reedwell/levels/seal"
)

// MaxBytes is the largest journal that is read; Encode writes none larger.
const MaxBytes = 500_000

// The ways in which a journal is refused.
var (
	// ErrDamaged is returned for bytes that are no journal, or not a whole one.
	ErrDamaged = fmt.Errorf("this is not a whole practice journal; look for another copy of it: %w", path.ErrDamaged)
	// ErrNewer is returned for a journal of a later version of the program.
	ErrNewer = fmt.Errorf("the practice journal was written by a newer version of this program; update, then open it again: %w", path.ErrNewer)
	// ErrTooLarge is returned for more than a journal holds.
	ErrTooLarge = fmt.Errorf("this is more than a practice journal holds; check that the right file was chosen: %w", path.ErrTooLarge)
)

// form is the kind of file.
func form() seal.Form {
	return seal.Form{Key: "reedwell-journal", Version: 1, Most: MaxBytes, Damaged: ErrDamaged, Newer: ErrNewer, TooLarge: ErrTooLarge}
}

// The file is a sealed one of these.
type (
	file struct {
		Saves  int64                 `json:"saves"`
		Source string                `json:"source"`
		Since  path.Day              `json:"since,omitzero"`
		From   map[string]fileSource `json:"from"`
	}
	fileSource struct {
		Days  [][3]int   `json:"days"` // day since 1970, takes, seconds
		Cells []fileCell `json:"cells"`
	}
	fileCell struct {
		Day     int                `json:"d"`
		Drill   string             `json:"i"`
		Takes   int                `json:"n"`
		Good    int                `json:"g"`
		Seconds int                `json:"s"`
		Share   int                `json:"h"` // sum, in thousandths
		Skills  map[Skill][3]int64 `json:"m"` // count, sum and sum of squares in tenths
	}
)

// Encode returns the journal as a file, the same bytes for the same journal.
func (j Journal) Encode() []byte { return encode(j, 0) }

// DecodeJournal reads what Encode wrote. It fails with ErrTooLarge, ErrNewer or
// ErrDamaged.
func DecodeJournal(data []byte) (Journal, error) {
	j, _, err := decode(data)
	return j, err
}

func encode(j Journal, saves int64) []byte { return form().Write(j.file(saves)) }

// file is what is written of the journal: whole numbers, texts and valid days.
func (j Journal) file(saves int64) file {
	f := file{Saves: saves, Source: j.source, Since: j.since, From: map[string]fileSource{}}
	days := slices.SortedFunc(maps.Keys(j.days), func(a, b dayKey) int { return int(a.day - b.day) })
	cells := slices.SortedFunc(maps.Keys(j.cells), cellKey.compare)
	for _, source := range j.sources() {
		f.From[source] = fileSource{Days: [][3]int{}, Cells: []fileCell{}}
	}
	for _, k := range days {
		s := f.From[k.source]
		s.Days = append(s.Days, [3]int{int(k.day), j.days[k].takes, j.days[k].seconds})
		f.From[k.source] = s
	}
	for _, k := range cells {
		c := j.cells[k]
		out := fileCell{int(k.day), k.drill, c.takes, c.good, c.seconds, c.share, map[Skill][3]int64{}}
		for s, v := range c.skills {
			out.Skills[s] = [3]int64{v.n, v.sum, v.square}
		}
		s := f.From[k.source]
		s.Cells = append(s.Cells, out)
		f.From[k.source] = s
	}
	return f
}

func decode(data []byte) (j Journal, saves int64, err error) {
	err = seal.Read(form(), data, func(f file) (file, error) {
		j, err = f.journal()
		saves = f.Saves
		return j.file(saves), err // an order of its own, doubles and what has no room are noticed
	})
	if err != nil {
		return Journal{}, 0, err
	}
	return j, saves, nil
}

// journal is what a file tells, or why it can not be.
func (f file) journal() (Journal, error) {
	if !validSource(f.Source) || f.Saves < 0 || len(f.From) > MaxSources {
		return Journal{}, errors.New("a bad source or count")
	}
	j := New(f.Source).clone()
	j.since = f.Since
	if j.since != 0 && (!j.since.Valid() || Monday(j.since) != j.since) {
		return Journal{}, errors.New("it begins on no Monday")
	}
	for source, s := range f.From {
		if !validSource(source) {
			return Journal{}, fmt.Errorf("bad source %.40q", source)
		}
		for _, d := range s.Days {
			day := path.Day(d[0])
			if !day.Valid() || day < j.since || d[1] < 1 || d[1] > maxTakes || d[2] < 0 || d[2] > d[1]*MaxTakeSeconds {
				return Journal{}, errors.New("a day that cannot be")
			}
			j.days[dayKey{source, day}] = total{d[1], d[2]}
			j.newest = max(j.newest, day)
		}
	}
	for source, s := range f.From {
		for _, c := range s.Cells {
			out, ok := c.cell()
			day := path.Day(c.Day)
			if !ok || !day.Valid() || day < j.since || day > j.newest || j.place(day) != day {
				return Journal{}, fmt.Errorf("an entry of %.70q that cannot be", c.Drill)
			}
			j.cells[cellKey{source, day, c.Drill}] = out
		}
	}
	if len(j.days) == 0 && len(j.cells) > 0 {
		return Journal{}, errors.New("entries without days")
	}
	j.fit()
	return j.settled(), nil
}

// cell checks an entry of a file.
func (c fileCell) cell() (cell, bool) {
	out := cell{c.Takes, c.Good, c.Seconds, c.Share, map[Skill]sums{}}
	if !path.ValidID(c.Drill) || c.Takes < 1 || c.Takes > maxTakes || c.Good < 0 || c.Good > c.Takes ||
		c.Seconds < 0 || c.Seconds > c.Takes*MaxTakeSeconds || c.Share < 0 || c.Share > c.Takes*perMille {
		return cell{}, false
	}
	for s, v := range c.Skills {
		m := sums{v[0], v[1], v[2]}
		if !s.Valid() || !m.possible(int64(c.Takes)) {
			return cell{}, false
		}
		out.skills[s] = m
	}
	return out, true
}

// possible reports whether sums of at most that many values can be such.
func (a sums) possible(takes int64) bool {
	const most = maxValue * scale
	return a.n >= 1 && a.n <= takes && a.sum >= -a.n*most && a.sum <= a.n*most &&
		a.square >= 0 && a.square <= a.n*most*most &&
		float64(a.sum)*float64(a.sum) <= float64(a.n)*float64(a.square)*(1+1e-12) // Cauchy-Schwarz, with room for rounding
}
