package harp

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// A Breath is the direction of the air.
type Breath int8

// The breaths.
const (
	Blow Breath = iota
	Draw
)

// String returns "blow" or "draw".
func (b Breath) String() string {
	if b == Draw {
		return "draw"
	}
	return "blow"
}

// Holes is how many holes the harmonica has.
const Holes = 10

// layout holds semitones above 1 blow: [hole-1][breath]. OEIS A291810.
func layout(hole int, b Breath) int {
	return [Holes][2]int{
		{0, 2}, {4, 7}, {7, 11}, {12, 14}, {16, 17},
		{19, 21}, {24, 23}, {28, 26}, {31, 29}, {36, 33},
	}[hole-1][b]
}

// A Note is a way to sound the harmonica: a hole, a breath and, where the hole
// allows it, a bend or an overbend.
type Note struct {
	Hole   int
	Breath Breath
	Bend   int  // semitones under the natural reed
	Over   bool // overblow or overdraw; Bend is 0
}

// Bends returns the breath with which a hole bends and how many semitones it goes
// down: one less than the gap between its reeds (Bahnson, Antaki and Beery 1998). Holes
// 5 and 7 only dip by a fraction: 0 rungs.
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

// Valid reports why the harmonica does not have the note, or nil.
func (n Note) Valid() error {
	if n.Hole < 1 || n.Hole > Holes {
		return fmt.Errorf("hole %d: %w", n.Hole, ErrHole)
	}
	if n.Breath != Blow && n.Breath != Draw {
		return fmt.Errorf("breath %d: %w", n.Breath, ErrNote)
	}
	breath, rungs := Bends(n.Hole)
	if n.Over {
		// The lower reed's breath chokes the higher one: overblows on 1-6, overdraws on 7-10.
		if n.Bend != 0 || n.Breath == breath {
			return fmt.Errorf("hole %d has no %s overbend: %w", n.Hole, n.Breath, ErrBend)
		}
		return nil
	}
	if n.Bend < 0 || n.Bend > 0 && (n.Breath != breath || n.Bend > rungs) {
		return fmt.Errorf("%d %s does not bend %d semitones: %w", n.Hole, n.Breath, n.Bend, ErrBend)
	}
	return nil
}

// What may be wrong with a note.
var (
	ErrHole = errors.New("holes run from 1 to 10")
	ErrBend = errors.New("draw bends are on 1 to 4 and 6, blow bends on 8 to 10")
	ErrNote = errors.New("a note is + (blow) or - (draw), a hole and one ' for each semitone of bend, as in -3''")
)

// Semitones returns the note's distance above 1 blow. The note must be valid.
func (n Note) Semitones() int {
	if n.Over {
		breath, _ := Bends(n.Hole)
		return layout(n.Hole, breath) + 1 // a semitone over the higher reed; common practice, no source
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

// ParseNote reads what Tab writes.
func ParseNote(tab string) (Note, error) {
	var n Note
	bad := func(err error) (Note, error) { return Note{}, fmt.Errorf("tab %q: %w", tab, err) }
	switch {
	case strings.HasPrefix(tab, "+"):
		n.Breath = Blow
	case strings.HasPrefix(tab, "-"):
		n.Breath = Draw
	default:
		return bad(ErrNote)
	}
	rest := tab[1:]
	digits := strings.TrimRight(rest, "'o")
	marks := rest[len(digits):]
	hole, err := strconv.Atoi(digits)
	if err != nil || digits != strconv.Itoa(hole) {
		return bad(ErrNote)
	}
	n.Hole = hole
	if marks == "o" {
		n.Over = true
	} else if strings.Contains(marks, "o") {
		return bad(ErrNote)
	} else {
		n.Bend = len(marks)
	}
	if err := n.Valid(); err != nil {
		return bad(err)
	}
	return n, nil
}

// Words names the note as a teacher says it: "3 draw, whole step bend".
func (n Note) Words() string {
	if n.Over {
		return fmt.Sprintf("%d over%s", n.Hole, n.Breath)
	}
	natural := fmt.Sprintf("%d %s", n.Hole, n.Breath)
	if n.Bend == 0 {
		return natural
	}
	return natural + ", " + [...]string{"", "half step", "whole step", "step and a half"}[n.Bend] + " bend"
}

// Notes returns every note of the harmonica: naturals and bends by hole, then the
// overbends that give pitches found nowhere else.
func Notes() []Note {
	var all []Note
	for hole := 1; hole <= Holes; hole++ {
		breath, rungs := Bends(hole)
		for _, b := range []Breath{Blow, Draw} {
			all = append(all, Note{Hole: hole, Breath: b})
			for r := 1; b == breath && r <= rungs; r++ {
				all = append(all, Note{Hole: hole, Breath: b, Bend: r})
			}
		}
	}
	have := map[int]bool{}
	for _, n := range all {
		have[n.Semitones()] = true
	}
	for hole := 1; hole <= Holes; hole++ {
		breath, _ := Bends(hole)
		if n := (Note{Hole: hole, Breath: 1 - breath, Over: true}); !have[n.Semitones()] {
			all = append(all, n)
		}
	}
	return all
}
