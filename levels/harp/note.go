package harp

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Holes is how many holes the harmonica has.
const Holes = 10

// layout returns the semitones of a natural reed above 1 blow: OEIS A291810.
func layout(hole int, b Breath) int {
	mustHave(hole, b)
	return [Holes][2]int{
		{0, 2}, {4, 7}, {7, 11}, {12, 14}, {16, 17},
		{19, 21}, {24, 23}, {28, 26}, {31, 29}, {36, 33},
	}[hole-1][b]
}

// mustHave panics for a reed that no harmonica has.
func mustHave(hole int, b Breath) {
	if hole < 1 || hole > Holes || b != Blow && b != Draw {
		panic(fmt.Sprintf("harp: no reed at hole %d, %v", hole, b))
	}
}

// A Note is a way to sound the harmonica: a hole, a breath and, where the hole
// allows it, a bend or an overbend.
type Note struct {
	Hole   int
	Breath Breath
	Bend   int  // semitones under the natural reed
	Over   bool // overblow or overdraw; Bend is 0
}

// Bends returns the breath with which a hole bends, that of its higher reed, and how
// many whole semitones it goes down: one less than the gap between its reeds, since a
// bend lies between the two notes of the hole (Bahnson, Antaki and Beery, J. Acoust.
// Soc. Am. 103, 1998). Holes 5 and 7 only dip by a fraction: 0 rungs. So has a hole
// that the harmonica does not have.
func Bends(hole int) (breath Breath, rungs int) {
	if hole < 1 || hole > Holes {
		return Blow, 0
	}
	blow, draw := layout(hole, Blow), layout(hole, Draw)
	if draw > blow {
		return Draw, draw - blow - 1
	}
	return Blow, blow - draw - 1
}

// What may be wrong with a note.
var (
	ErrHole = errors.New("holes run from 1 to 10")
	ErrBend = errors.New("draw bends are on 1 to 4 and 6, at most one half step on 1, 4 and 6, two on 2, three on 3; " +
		"blow bends are on 8 to 10, one half step on 8 and 9, two on 10")
	ErrOver = errors.New("overblows are on 1 to 6, overdraws on 7 to 10, and do not bend")
	ErrNote = errors.New("a note is + (blow) or - (draw), a hole, and one ' for each half step of bend or o for an overbend, as in -3''")
)

// Valid reports why the harmonica does not have the note, or nil. It allows the
// overbends on 2, 3 and 8, which [Notes] leaves out.
func (n Note) Valid() error {
	if n.Hole < 1 || n.Hole > Holes {
		return fmt.Errorf("harp: hole %d: %w", n.Hole, ErrHole)
	}
	if n.Breath != Blow && n.Breath != Draw {
		return fmt.Errorf("harp: %v: %w", n.Breath, ErrBreath)
	}
	breath, rungs := Bends(n.Hole)
	if n.Over {
		// The lower reed's breath chokes that reed and the higher one sounds.
		if n.Bend != 0 || n.Breath == breath {
			return fmt.Errorf("harp: %d %s as an overbend: %w", n.Hole, n.Breath, ErrOver)
		}
		return nil
	}
	if n.Bend < 0 || n.Bend > 0 && (n.Breath != breath || n.Bend > rungs) {
		return fmt.Errorf("harp: %d %s bent by %d half steps: %w", n.Hole, n.Breath, n.Bend, ErrBend)
	}
	return nil
}

// reed returns the breath of the reed whose pitch the note is counted from: an
// overbend's is the other, higher one of the hole.
func (n Note) reed() Breath {
	if n.Over {
		return n.Breath.Other()
	}
	return n.Breath
}

// Semitones returns the note's distance above 1 blow. The note must be valid.
func (n Note) Semitones() int {
	if n.Over {
		return layout(n.Hole, n.reed()) + 1 // a semitone over the higher reed: common practice, no source
	}
	return layout(n.Hole, n.Breath) - n.Bend
}

// Tab writes the note as the trade does, with the breath always stated: "+4" blow,
// "-4" draw, one ' for each semitone of bend, o for an overbend.
func (n Note) Tab() string {
	sign := "+"
	if n.Breath == Draw {
		sign = "-"
	}
	over := ""
	if n.Over {
		over = "o"
	}
	return sign + strconv.Itoa(n.Hole) + strings.Repeat("'", max(0, n.Bend)) + over
}

// ParseNote reads what Tab writes, and nothing else: no blanks, no other marks.
func ParseNote(tab string) (Note, error) {
	bad := func(err error) (Note, error) { return Note{}, fmt.Errorf("tab %.40q: %w", tab, err) }
	var n Note
	switch {
	case strings.HasPrefix(tab, "+"):
		n.Breath = Blow
	case strings.HasPrefix(tab, "-"):
		n.Breath = Draw
	default:
		return bad(ErrNote)
	}
	digits := strings.TrimRight(tab[1:], "'o")
	hole, err := strconv.Atoi(digits)
	if err != nil || digits != strconv.Itoa(hole) { // no "+04", no "++4"
		return bad(ErrNote)
	}
	n.Hole = hole
	switch marks := tab[1+len(digits):]; {
	case marks == "o":
		n.Over = true
	case strings.Contains(marks, "o"):
		return bad(ErrNote)
	default:
		n.Bend = len(marks)
	}
	if err := n.Valid(); err != nil {
		return bad(err)
	}
	return n, nil
}

// Words names the note as a teacher says it: "4 draw", "3 draw, whole step bend",
// "6 overblow". The note must be valid.
func (n Note) Words() string {
	if n.Over {
		return fmt.Sprintf("%d over%s", n.Hole, n.Breath)
	}
	natural := fmt.Sprintf("%d %s", n.Hole, n.Breath)
	if n.Bend == 0 {
		return natural
	}
	return natural + ", " + [...]string{"half step", "whole step", "step and a half"}[n.Bend-1] + " bend"
}

// fills reports whether the hole's overbend gives a pitch found nowhere else: it
// does on all holes but 2, 3 and 8.
func fills(hole int) bool { return hole != 2 && hole != 3 && hole != 8 }

// Notes returns every note of the harmonica, hole by hole from the low end: the blow
// reed, the draw reed, each followed by its bends, and the overbend where it gives a
// pitch found nowhere else (overblows on 1, 4, 5, 6, overdraws on 7, 9, 10).
func Notes() []Note {
	var all []Note
	each(func(n Note) { all = append(all, n) })
	return all
}

// Bent returns the notes of Notes that are bends.
func Bent() []Note { return slices.DeleteFunc(Notes(), func(n Note) bool { return n.Bend == 0 }) }

// each calls f for every note in the order of Notes.
func each(f func(Note)) {
	for hole := 1; hole <= Holes; hole++ {
		bending, rungs := Bends(hole)
		for b := Blow; b <= Draw; b++ {
			f(Note{Hole: hole, Breath: b})
			for bend := 1; b == bending && bend <= rungs; bend++ {
				f(Note{Hole: hole, Breath: b, Bend: bend})
			}
		}
		if fills(hole) {
			f(Note{Hole: hole, Breath: bending.Other(), Over: true})
		}
	}
}
