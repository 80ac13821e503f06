package room

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"reedwell/audio/listen"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/write"
)

// ID is that of the drill that a setting makes.
const ID = "room"

// MaxChoruses is how often the form goes round at most: four are some three minutes, and lips want a rest
// then (common practice, no source).
const MaxChoruses = 4

// MaxSeconds is the longest setting in seconds: as a take of a lesson, four choruses of a quick blues.
const MaxSeconds = 240.0

// What may be wrong with a Setting.
var (
	ErrChoruses = fmt.Errorf("the form goes round once to %d times", MaxChoruses)
	ErrLong     = fmt.Errorf("this lasts longer than %g seconds; take fewer choruses or a quicker tempo", MaxSeconds)
	ErrForm     = errors.New("there is no such form")
	ErrFeel     = errors.New("the feels are straight, shuffle and 12/8")
)

// A Setting is what the band plays and on what it is played over.
type Setting struct {
	Harp     harp.Harp
	Position harp.Position
	Form     lesson.Form
	Feel     lesson.Feel
	Tempo    float64 // beats a minute
	Choruses int
}

const (
	countIn = float64(lesson.BeatsPerBar) // beats: one bar
	tail    = 1.0                         // seconds after the last bar: a last note may ring
)

// FormNamed is a form by its name or the first word of that: "quick change", "quick".
func FormNamed(name string) (lesson.Form, error) {
	var names []string
	for _, f := range lesson.Forms() {
		first, _, _ := strings.Cut(f.Name, " ")
		if strings.EqualFold(name, f.Name) || strings.EqualFold(name, first) {
			return f, nil
		}
		names = append(names, f.Name)
	}
	return lesson.Form{}, fmt.Errorf("form %.40q: %w; they are %s", name, ErrForm, strings.Join(names, ", "))
}

// FeelNamed is a feel as it is written in a lesson, without a ratio.
func FeelNamed(name string) (lesson.Feel, error) {
	switch strings.ToLower(name) {
	case "straight":
		return lesson.Feel{}, nil
	case "shuffle":
		return lesson.Feel{Kind: lesson.Shuffle, Ratio: lesson.DefaultRatio}, nil
	case "12/8":
		return lesson.Feel{Kind: lesson.Triplet}, nil
	}
	return lesson.Feel{}, fmt.Errorf("feel %.40q: %w", name, ErrFeel)
}

// Validate reports a setting that can not be played.
func (s Setting) Validate() error {
	switch {
	case !s.Position.Valid():
		return fmt.Errorf("position %d: %w", int(s.Position), harp.ErrPosition)
	case !(s.Tempo >= drill.MinTempo && s.Tempo <= drill.MaxTempo):
		return fmt.Errorf("tempo %g: %w", s.Tempo, drill.ErrTempo)
	case s.Choruses < 1 || s.Choruses > MaxChoruses:
		return fmt.Errorf("%d choruses: %w", s.Choruses, ErrChoruses)
	case len(s.Form.Bars) == 0 || len(s.Form.Bars) > lesson.MaxBars:
		return ErrForm
	case s.Feel.Kind < lesson.Straight || s.Feel.Kind > lesson.Triplet,
		s.Feel.Kind == lesson.Shuffle && !(s.Feel.Ratio >= lesson.MinRatio && s.Feel.Ratio <= lesson.MaxRatio):
		return ErrFeel
	}
	for _, bar := range s.Form.Bars {
		length := lesson.Ticks(0)
		for _, c := range bar {
			length += c.Length
		}
		if length != lesson.Bar {
			return ErrForm
		}
	}
	if s.seconds() > MaxSeconds {
		return fmt.Errorf("%.0f seconds: %w", s.seconds(), ErrLong)
	}
	return s.Harp.Validate()
}

func (s Setting) seconds() float64 {
	return (countIn+float64(s.Choruses*s.Beats()))*60/s.Tempo + tail
}

// Beats are those of one chorus.
func (s Setting) Beats() int { return len(s.Form.Bars) * lesson.BeatsPerBar }

// Fit is how many choruses a take of so many seconds holds, the last of them whole or begun: a bar of it at least, since
// what is less may be the tail.
func (s Setting) Fit(seconds float64) int {
	if !(s.Tempo > 0) || s.Beats() == 0 {
		return 1
	}
	beats := math.Min(seconds, MaxSeconds)*s.Tempo/60 - countIn
	n := int(math.Ceil((beats-lesson.BeatsPerBar)/float64(s.Beats()) - 1e-9))
	s.Choruses = min(max(n, 1), MaxChoruses)
	for s.Choruses > 1 && s.seconds() > MaxSeconds {
		s.Choruses--
	}
	return s.Choruses
}

// Drill is a drill that asks for no note: count-in, chords and feel for the band, the screen and the
// clock. The setting must be valid.
func (s Setting) Drill() drill.Drill {
	if err := s.Validate(); err != nil {
		panic("room: " + err.Error())
	}
	l := lesson.Lesson{Key: s.Harp.Key, Position: s.Position}
	d := drill.Drill{ID: ID, Family: drill.Lick, Title: "Twelve-bar room", Harp: s.Harp, Position: s.Position, Tempo: s.Tempo,
		BeatsPerBar: lesson.BeatsPerBar, Bars: s.Choruses * len(s.Form.Bars), CountIn: countIn,
		Swing: s.Feel.Swing(), Triplets: s.Feel.Kind == lesson.Triplet, Seconds: s.seconds()}
	for range s.Choruses {
		for _, bar := range s.Form.Bars {
			for _, c := range bar {
				next := drill.Chord{Beats: c.Length.Beats(), Name: l.ChordName(c), Root: (l.Tonic() + c.Degree) % 12, Tones: c.Quality.Tones()}
				if n := len(d.Chords); n > 0 {
					next.Beat = d.Chords[n-1].Beat + d.Chords[n-1].Beats
				}
				d.Chords = append(d.Chords, next)
			}
		}
	}
	return d
}

// Words say the setting in a line.
func (s Setting) Words() string {
	choruses := "1 chorus"
	if s.Choruses != 1 {
		choruses = fmt.Sprintf("%d choruses", s.Choruses)
	}
	return fmt.Sprintf("%s harp, %s, key of %s, %s, %s, %g beats a minute, %s",
		s.Harp.Key, s.Position.Name(), s.Harp.Key.Song(s.Position), s.Form.Name, s.Feel, s.Tempo, choruses)
}

// Listen is how to listen for free playing: for chords of holes too.
func (s Setting) Listen(rate int) listen.Config { return write.Listen(s.Harp, rate) }
