// Package lesson is a teacher's lesson: a tune cut into licks over a form, with a key
// of harp, a feel and a tempo.
//
// A [Lesson] is read from plain text with [Parse], and everything is made from it: the
// graded drill of a lick or of the whole chorus ([Lesson.Drill], [Lesson.Chorus]), the
// link that carries it, the sheet, the clips. Because all of them read the same value,
// they cannot disagree.
//
// Places in a lesson are written places, in [Ticks]: what stands on the page. How a
// shuffle moves them when they sound is for the [Feel] to say, and only there.
//
// Values are plain data: safe to copy, and safe for concurrent reading.
package lesson

import "reedwell/levels/harp"

// Ticks measure written time. There are [Beat] of them in a beat.
type Ticks int

// Beat is one beat of the tempo: a quarter note, and in 12/8 the dotted quarter. 960
// divides evenly by 3, 5 and 64, so triplets and dots are exact.
const Beat Ticks = 960

// BeatsPerBar is the beats of a bar: four in common time and in 12/8.
const BeatsPerBar = 4

// Bar is a whole bar.
const Bar = BeatsPerBar * Beat

// Beats returns t in beats.
func (t Ticks) Beats() float64 { return float64(t) / float64(Beat) }

// A Lesson is a whole lesson, checked: what [Parse] returns without an error can be
// sounded, printed and graded.
type Lesson struct {
	Title    string
	Words    string // the teacher's, for the lesson as a whole; lines parted by \n
	Key      harp.Key
	Position harp.Position
	Tempo    float64 // beats a minute
	Feel     Feel
	Form     Form
	A4       float64 // Hz; 0 means 440
	Tuning   harp.Tuning
	Unit     Ticks // what a token without a length lasts in the text
	Licks    []Lick
}

// Harp is the harmonica the lesson is for, in its own tuning and without a profile.
func (l Lesson) Harp() harp.Harp {
	h := harp.New(l.Key)
	h.Tuning = l.Tuning
	if l.A4 != 0 {
		h.A4 = l.A4
	}
	return h
}

// Tonic is the pitch class of the key of the song, 0 = C.
func (l Lesson) Tonic() int { return (l.Key.MIDI() + l.Position.Root()) % 12 }

// A Lick is a few bars to be learnt by themselves.
type Lick struct {
	Title  string
	Words  string // the teacher's, one line
	Bar    int    // bar of the form in which its first full bar lies, from 1
	Bars   int    // full bars
	Pickup Ticks  // how much sounds before the first full bar
	Level  Level  // how strictly it is judged
	Notes  []Note // by Start, not overlapping
}

// Level is how strictly a lick is judged.
type Level int

// The levels; they stand for the grades of package drill.
const (
	Beginner Level = iota
	Steady
	Strong
)

// A Note is one note of a lick, or several holes sounded as one chord.
type Note struct {
	Start, Length Ticks       // from the first full bar of the lick; a pickup is negative
	Holes         []harp.Note // one, or a chord of neighbours from the lowest hole up
	Join          Join
	Scoop         bool      // starts bent under its pitch and rises to it at once
	Wah           float64   // hand wah, openings a beat; 0 none
	Vibrato       bool      // throat vibrato
	Hold          bool      // held for its whole length, to the very end
	Warble        harp.Note // alternates with this note; the zero Note: no warble
	Rate          int       // notes a beat of the warble, both holes counted
	At            Place     // where it stands in the text; zero when it was not read from one
}

// Warbles reports whether the note is a warble.
func (n Note) Warbles() bool { return n.Warble != harp.Note{} }

// End is where the note ends.
func (n Note) End() Ticks { return n.Start + n.Length }

// A Join says how a note begins.
type Join int

// The joins.
const (
	Tongued Join = iota // with a new attack
	Slurred             // another hole in the same breath
	Glide               // the pitch of the same reed moves: a bend, or its release
)

// A Place is a line and a column of a lesson's text, both from 1; columns count
// characters.
type Place struct{ Line, Column int }
