// Package shelf keeps a player's lessons and how their licks went: plain values, and the
// file they are kept in.
//
// A lesson is kept as its text, whatever the text is worth: what a teacher is still
// writing must not be lost because it has a mistake in it. What was played is kept by what
// the lick asks and not by its name, so it stays with a lick that gets another title, and
// does not pass to one that gets other notes.
//
// All functions are pure.
package shelf

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode/utf8"

	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/seal"
)

// Bounds of a shelf; our choice, with room over what a player comes by, and far below what
// browsers keep for a page (5 MB, as a rule).
const (
	MaxLessons = 60
	MaxText    = 1 << 20 // bytes of all lessons together
	MaxLicks   = 2000
	MaxBytes   = 3 << 20 // of the file
)

// The ways in which a file or a lesson is refused.
var (
	ErrDamaged = errors.New("this is no whole file of lessons")
	ErrNewer   = errors.New("the lessons were written by a newer version of this program")
	ErrFull    = fmt.Errorf("there is room for %d lessons of %d bytes together; delete one first", MaxLessons, MaxText)
)

// A Kept is a lesson on the shelf.
type Kept struct {
	ID   string // stays the same when the text is changed
	Text string
}

// A Mark is how a take of a lick went.
type Mark struct {
	Share  float64 // 0..1 of what was measured
	Tempo  float64 // beats a minute
	Passed bool
}

// A Record is how a lick went so far.
type Record struct {
	Takes      int
	Best, Last Mark
}

// better reports whether m is more than n: a good take before one that is not, the quicker
// of two good ones, and else what was nearer to good.
func (m Mark) better(n Mark) bool {
	if m.Passed != n.Passed {
		return m.Passed
	}
	if m.Passed && m.Tempo != n.Tempo {
		return m.Tempo > n.Tempo
	}
	return m.Share > n.Share
}

// A Shelf is what is kept. The zero value is an empty one. A Shelf is not changed by its
// methods; they return another.
type Shelf struct {
	Lessons []Kept            // the newest first
	Licks   map[string]Record // by LickKey and ChorusKey
}

// LickKey names what lick i of a lesson, from 0, asks for, on whatever harp it is played.
func LickKey(l lesson.Lesson, i int) string {
	k := l.Licks[i]
	k.Title, k.Words = "lick", ""
	l.Licks = []lesson.Lick{k}
	return key(l)
}

// ChorusKey names what the whole chorus of a lesson asks for.
func ChorusKey(l lesson.Lesson) string {
	l.Licks = slices.Clone(l.Licks)
	for i := range l.Licks {
		l.Licks[i].Title, l.Licks[i].Words = "lick", ""
	}
	return key(l)
}

func key(l lesson.Lesson) string {
	l.Title, l.Words, l.Key = "lesson", "", harp.Key{}
	return name(lesson.Format(l))
}

// name is made from a text: 64 bits of its hash, too many for two texts to share one.
func name(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:8])
}

// Find returns the lesson with an ID.
func (s Shelf) Find(id string) (Kept, bool) {
	i := slices.IndexFunc(s.Lessons, func(k Kept) bool { return k.ID == id })
	if i < 0 {
		return Kept{}, false
	}
	return s.Lessons[i], true
}

// Keep puts a text on the shelf, in place of the lesson with the ID if there is one, and
// returns its ID: a new one where id is empty or not there. The same text twice is one lesson.
func (s Shelf) Keep(id, text string) (Shelf, string, error) {
	text = strings.ToValidUTF8(text, "\ufffd") // what can not be written is not read back either
	all := slices.Clone(s.Lessons)
	at := slices.IndexFunc(all, func(k Kept) bool { return k.ID == id || id == "" && k.Text == text })
	if at >= 0 {
		all[at].Text = text
		id = all[at].ID
	} else {
		if id == "" {
			id = name(text)
		}
		if _, taken := s.Find(id); taken { // made from a text that has been changed since
			id = name(text + id)
		}
		all = slices.Insert(all, 0, Kept{id, text})
	}
	made := Shelf{all, s.Licks}
	if err := made.fits(); err != nil {
		return s, "", err
	}
	return made, id, nil
}

func (s Shelf) fits() error {
	sum := 0
	for _, k := range s.Lessons {
		sum += len(k.Text)
	}
	if len(s.Lessons) > MaxLessons || sum > MaxText {
		return ErrFull
	}
	return nil
}

// Drop takes a lesson off the shelf. What was played of it is kept.
func (s Shelf) Drop(id string) Shelf {
	return Shelf{slices.DeleteFunc(slices.Clone(s.Lessons), func(k Kept) bool { return k.ID == id }), s.Licks}
}

// Played enters a take of a lick. A shelf that has marks of too many licks keeps no further
// ones.
func (s Shelf) Played(key string, m Mark) Shelf {
	r, known := s.Licks[key]
	if !known && len(s.Licks) >= MaxLicks {
		return s
	}
	r.Last = m
	if r.Takes == 0 || m.better(r.Best) {
		r.Best = m
	}
	r.Takes++
	licks := maps.Clone(s.Licks)
	if licks == nil {
		licks = map[string]Record{}
	}
	licks[key] = r
	return Shelf{s.Lessons, licks}
}

// Join adds what another shelf has and this one has not, but for the lessons with the IDs
// dropped: it was changed in another window meanwhile.
func (s Shelf) Join(other Shelf, dropped []string) Shelf {
	made := Shelf{slices.Clone(s.Lessons), maps.Clone(s.Licks)}
	for _, k := range other.Lessons {
		if _, have := made.Find(k.ID); have || slices.Contains(dropped, k.ID) {
			continue
		}
		more := Shelf{append(slices.Clone(made.Lessons), k), made.Licks}
		if more.fits() == nil {
			made = more
		}
	}
	for key, r := range other.Licks {
		have, known := made.Licks[key]
		if !known && len(made.Licks) >= MaxLicks {
			continue
		}
		if made.Licks == nil {
			made.Licks = map[string]Record{}
		}
		if !known || r.Takes > have.Takes {
			if known && have.Best.better(r.Best) {
				r.Best = have.Best
			}
			made.Licks[key] = r
		}
	}
	return made
}

// form is the kind of file. One that is too large is none of ours.
func form() seal.Form {
	return seal.Form{Key: "reedwell-lessons", Version: 1, Most: MaxBytes, Damaged: ErrDamaged, Newer: ErrNewer, TooLarge: ErrDamaged}
}

// The file is a sealed one of these.
type (
	file struct {
		Lessons []fileLesson        `json:"lessons"`
		Licks   map[string]fileLick `json:"licks"`
	}
	fileLesson struct {
		ID   string `json:"id"`
		Text string `json:"text"`
	}
	fileLick struct {
		Takes int      `json:"takes"`
		Best  fileMark `json:"best"`
		Last  fileMark `json:"last"`
	}
	fileMark struct {
		Share  float64 `json:"share"`
		Tempo  float64 `json:"tempo"`
		Passed bool    `json:"passed,omitzero"`
	}
)

// Encode writes the shelf as a file, the same bytes for the same shelf.
func (s Shelf) Encode() []byte { return form().Write(s.file()) }

// file is what is written of the shelf: texts and finite numbers only.
func (s Shelf) file() file {
	f := file{Lessons: []fileLesson{}, Licks: map[string]fileLick{}}
	for _, k := range s.Lessons {
		f.Lessons = append(f.Lessons, fileLesson(k))
	}
	for key, r := range s.Licks {
		f.Licks[key] = fileLick{r.Takes, fileMark(r.Best), fileMark(r.Last)}
	}
	return f
}

// Decode reads what Encode wrote. It fails with ErrDamaged or ErrNewer.
func Decode(data []byte) (Shelf, error) {
	var s Shelf
	err := seal.Read(form(), data, func(f file) (file, error) {
		for _, k := range f.Lessons {
			if _, twice := s.Find(k.ID); twice || k.ID == "" || !utf8.ValidString(k.ID) {
				return f, fmt.Errorf("lesson %.20q", k.ID)
			}
			s.Lessons = append(s.Lessons, Kept(k))
		}
		for key, r := range f.Licks {
			if !r.Best.valid() || !r.Last.valid() || r.Takes < 1 {
				return f, fmt.Errorf("lick %.20q", key)
			}
			if s.Licks == nil {
				s.Licks = map[string]Record{}
			}
			s.Licks[key] = Record{r.Takes, Mark(r.Best), Mark(r.Last)}
		}
		if err := s.fits(); err != nil || len(s.Licks) > MaxLicks {
			return f, errors.New("more than fits")
		}
		return s.file(), nil
	})
	if err != nil {
		return Shelf{}, err
	}
	return s, nil
}

func (m fileMark) valid() bool { return m.Share >= 0 && m.Share <= 1 && m.Tempo > 0 && m.Tempo < 1000 }
