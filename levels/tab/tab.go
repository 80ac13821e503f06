// Package tab reads and writes one token of harmonica tab: a hole or a chord of
// neighbouring holes, with breath, bends and overbends, as in -4, +4, -3”, +6o, -2-3.
//
// The trade writes the same note in many ways, and the accepted ones are:
//
//	blow     +4  4+  4>  4B  ↑4  4↑
//	draw     -4  4D  ↓4  4↓  (4)
//	bend     one ' for each half step (curly too, " for two), or b bb bbb
//	overbend o  #  °  OB  OD after the hole
//	chord    -2-3  -2&3  -23  (-2-3)
//
// All are common practice, without one source. A number without any of these marks is
// drawn on some pages and blown on others, so a [Dialect] is found from the whole text
// with [Detect]; where the text does not tell, reading fails with [ErrBare] and nothing
// is guessed. Rhythm and expression are no part of a token: package lesson has them.
//
// All functions are pure and safe for concurrent use.
package tab

import (
	"errors"
	"fmt"
	"strings"

	"reedwell/levels/harp"
)

// Bare is what a number without a mark means.
type Bare int

// The meanings.
const (
	Unsaid   Bare = iota
	BareBlow      // 4 is blown, and (4) is drawn
	BareDraw      // 4 is drawn
)

// String is the meaning as a lesson says it.
func (b Bare) String() string { return [...]string{"unsaid", "blow", "draw"}[b] }

// MaxToken is the longest token in bytes: a chord of four bent holes with arrows fits
// twice. Our choice.
const MaxToken = 64

// The reasons for a refusal that a caller may want to tell apart.
var (
	ErrBare = errors.New("a hole without a sign may be blow or draw") // the whole text is to be asked about once
	ErrTab  = errors.New("not a tab that is read here")
)

// An Error is the refusal of a token.
type Error struct {
	At   int    // characters before the place in the token
	Got  string // what was read there
	Want string // what would be right
	Err  error  // ErrBare, ErrTab, or what package harp says of the note
}

func (e *Error) Error() string { return fmt.Sprintf("tab: %s: %s", e.Got, e.Want) }

func (e *Error) Unwrap() error { return e.Err }

// Write is the token in the one way we write it: breath always stated, one ' for each
// half step of bend, o for an overbend, the holes of a chord from the lowest up.
func Write(notes []harp.Note) string {
	var b strings.Builder
	for _, n := range notes {
		b.WriteString(n.Tab())
	}
	return b.String()
}

// A Dialect is how a text writes its tab.
type Dialect struct {
	bare  Bare
	mixed bool // both + and - are written, so that a number without either is a slip
	small bool // d stands for draw, so that b may stand for blow or a bend
}

// Detect finds the dialect of a text from all its tokens and from what its author says
// about numbers without a sign. The author decides; else a text that marks only draw
// notes leaves blow notes bare, and the other way round. Tokens that are no tab are
// passed over.
func Detect(tokens []string, said Bare) Dialect {
	d := Dialect{bare: said}
	blow, draw := false, false
	for _, token := range tokens {
		t, err := scan(token)
		if err != nil {
			continue
		}
		for _, h := range t.holes {
			d.small = d.small || h.small
			blow = blow || h.marked && h.breath == harp.Blow && !h.over
			draw = draw || h.marked && h.breath == harp.Draw && !h.over
		}
	}
	if said != Unsaid {
		return d
	}
	switch {
	case blow && draw:
		d.mixed = true
	case draw:
		d.bare = BareBlow
	case blow:
		d.bare = BareDraw
	}
	return d
}

// Read reads one token. What it returns is a note that the harmonica has, or a chord of
// neighbours from the lowest hole up; a refusal is an [*Error].
func (d Dialect) Read(token string) ([]harp.Note, error) {
	t, refused := scan(token)
	if refused != nil {
		return nil, refused
	}
	breath, refused := d.breath(token, t)
	if refused != nil {
		return nil, refused
	}
	var notes []harp.Note
	for _, h := range t.holes {
		n := harp.Note{Hole: h.hole, Breath: breath, Bend: h.bend, Over: h.over}
		if err := n.Valid(); err != nil {
			return nil, &Error{h.at, token, right(n), err}
		}
		if len(notes) > 0 && n.Hole != notes[len(notes)-1].Hole+1 {
			return nil, &Error{h.at, token, "a chord of neighbouring holes from the lowest up, as -2-3-4; other holes cannot sound together", ErrTab}
		}
		notes = append(notes, n)
	}
	return notes, nil
}

// breath is the one breath of all holes of the token.
func (d Dialect) breath(token string, t scanned) (harp.Breath, *Error) {
	var breath harp.Breath
	marked := false
	for _, h := range t.holes {
		if !h.marked {
			continue
		}
		if marked && h.breath != breath {
			return 0, &Error{h.at, token, "one breath: the holes of a chord are all blown or all drawn", ErrTab}
		}
		breath, marked = h.breath, true
	}
	first := t.holes[0]
	n := first.hole
	switch {
	case marked && t.round && len(t.holes) == 1:
		return 0, &Error{0, token, fmt.Sprintf("%s without the parentheses: they stand round chords, or for draw where blow has no sign",
			Write([]harp.Note{{Hole: n, Breath: breath, Bend: first.bend, Over: first.over}})), ErrTab}
	case marked:
		return breath, nil
	case d.small && first.letter > 0:
		return 0, &Error{0, token, fmt.Sprintf("%dB for blow, or %d%s for a bend: with d for draw, b may be either", n, n, strings.Repeat("'", first.letter)), ErrBare}
	case t.round && d.bare == BareBlow && !d.mixed:
		return harp.Draw, nil
	case t.round:
		return 0, &Error{0, token, fmt.Sprintf("-%d for draw; or, where (%d) is draw and %d is blow throughout, the line bare: blow at the top", n, n, n), ErrBare}
	case d.mixed:
		return 0, &Error{0, token, fmt.Sprintf("a sign, as on the other notes: +%d for blow, -%d for draw", n, n), ErrBare}
	case d.bare == BareBlow:
		return harp.Blow, nil
	case d.bare == BareDraw:
		return harp.Draw, nil
	}
	return 0, &Error{0, token, fmt.Sprintf("+%d for blow or -%d for draw; or, for all numbers without a sign, the line bare: blow or bare: draw at the top", n, n), ErrBare}
}

// right says what the hole of a note that the harmonica does not have can do.
func right(n harp.Note) string {
	if n.Hole < 1 || n.Hole > harp.Holes {
		return fmt.Sprintf("a hole from 1 to %d", harp.Holes)
	}
	breath, rungs := harp.Bends(n.Hole)
	if n.Over {
		return fmt.Sprintf("%s: on hole %d the overbend is on the %s, and it does not bend",
			harp.Note{Hole: n.Hole, Breath: breath.Other(), Over: true}.Tab(), n.Hole, breath.Other())
	}
	if rungs == 0 {
		return fmt.Sprintf("%s: hole %d has no half-step bend", harp.Note{Hole: n.Hole, Breath: n.Breath}.Tab(), n.Hole)
	}
	deepest := harp.Note{Hole: n.Hole, Breath: breath, Bend: rungs}.Tab()
	if n.Breath != breath {
		return fmt.Sprintf("%s: hole %d bends on the %s only, down to %s", harp.Note{Hole: n.Hole, Breath: n.Breath}.Tab(), n.Hole, breath, deepest)
	}
	return fmt.Sprintf("at most %s: hole %d bends no deeper", deepest, n.Hole)
}
