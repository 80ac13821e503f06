package tab

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"reedwell/levels/harp"
)

// A hole is one hole of a token as it is written.
type hole struct {
	at     int // characters before it
	hole   int
	breath harp.Breath
	marked bool // the breath is written
	bend   int
	letter int // how much of the bend is written as b
	small  bool
	over   bool
}

// A scanned token is what is written, before it is known what bare numbers mean.
type scanned struct {
	holes []hole
	round bool // in parentheses
}

// A scanner goes through the characters of a token.
type scanner struct {
	token string
	text  []rune
	at    int
	scanned
}

func (s *scanner) next(ahead int) rune {
	if s.at+ahead < len(s.text) {
		return s.text[s.at+ahead]
	}
	return 0
}

func (s *scanner) refuse(want string) *Error {
	return &Error{s.at, s.token, want, ErrTab}
}

// scan takes a token apart.
func scan(token string) (scanned, *Error) {
	s := &scanner{token: token, text: []rune(token)}
	switch {
	case token == "":
		return scanned{}, s.refuse("a hole, as in +4 or -4'")
	case len(token) > MaxToken:
		s.token = fmt.Sprintf("%.16s ...", token)
		return scanned{}, s.refuse("blanks between the notes")
	case !utf8.ValidString(token):
		s.token = fmt.Sprintf("%.16q", token)
		return scanned{}, s.refuse("text in UTF-8")
	}
	if s.next(0) == '(' {
		s.round = true
		s.at++
	}
	closed := false
	for s.at < len(s.text) {
		if s.round && !closed && s.next(0) == ')' {
			closed = true
			s.at++
			// (4)' is as good as (4').
			if refused := s.marks(); refused != nil {
				return scanned{}, refused
			}
			continue
		}
		if closed {
			return scanned{}, s.refuse("a blank after )")
		}
		if refused := s.part(); refused != nil {
			return scanned{}, refused
		}
	}
	if s.round && !closed {
		return scanned{}, s.refuse("a ) at the end")
	}
	if len(s.holes) == 0 {
		return scanned{}, s.refuse("a hole, as in +4 or -4'")
	}
	return s.scanned, nil
}

// breathSign is the breath that a sign stands for.
func breathSign(r rune) (harp.Breath, bool) {
	switch r {
	case '+', '↑':
		return harp.Blow, true
	case '-', '−', '–', '↓': // a phone may make a minus or a dash of the hyphen
		return harp.Draw, true
	}
	return 0, false
}

func digit(r rune) bool { return r >= '0' && r <= '9' }

// part reads a sign, digits and the marks behind them.
func (s *scanner) part() *Error {
	if s.next(0) == '&' {
		if len(s.holes) == 0 {
			return s.refuse("a hole before &")
		}
		s.at++
	}
	start := s.at
	breath, marked := breathSign(s.next(0))
	if marked {
		s.at++
	}
	if !digit(s.next(0)) {
		return s.refuse(s.strange())
	}
	first := len(s.holes)
	for digit(s.next(0)) {
		number := int(s.next(0) - '0')
		at := s.at
		s.at++
		// 10 is the tenth hole: there is no hole 0 that could follow hole 1.
		if number == 1 && s.next(0) == '0' {
			number = 10
			s.at++
		}
		if number == 0 || len(s.holes) > first && number <= s.holes[len(s.holes)-1].hole {
			s.at = start
			return s.refuse(fmt.Sprintf("a hole from 1 to %d, or the holes of a chord from the lowest up; blanks between notes", harp.Holes))
		}
		s.holes = append(s.holes, hole{at: at, hole: number, breath: breath, marked: marked})
	}
	s.holes[first].at = start
	stacked := len(s.holes) - first
	before := s.at
	if refused := s.marks(); refused != nil {
		return refused
	}
	last := s.holes[len(s.holes)-1]
	if stacked > 1 && (last.bend > 0 || last.over) {
		s.at = before
		return s.refuse("the mark behind each hole it belongs to, as in -2''-3")
	}
	return nil
}

// marks reads what stands behind a hole: bends, overbends, and a breath.
func (s *scanner) marks() *Error {
	if len(s.holes) == 0 {
		return nil
	}
	h := &s.holes[len(s.holes)-1]
	blown := func(b harp.Breath) *Error {
		if h.marked && h.breath != b {
			return s.refuse("one breath: this note is marked as blow and as draw")
		}
		h.breath, h.marked = b, true
		return nil
	}
	signed := h.marked
	for ; s.at < len(s.text); s.at++ {
		var refused *Error
		switch r := s.next(0); r {
		case '\'', '’', '‘', '′', '`', '´':
			h.bend++
		case '"', '”', '“', '″':
			h.bend += 2
		case 'b':
			h.bend++
			h.letter++
		case 'B':
			refused = blown(harp.Blow)
		case 'D', 'd':
			h.small = r == 'd'
			refused = blown(harp.Draw)
		case '#', '°':
			h.over = true
		case 'o', 'O':
			h.over = true
			switch strings.ToUpper(string(s.next(1))) {
			case "B":
				s.at++
				refused = blown(harp.Blow)
			case "D":
				s.at++
				refused = blown(harp.Draw)
			}
		case '+', '↑', '↓':
			if signed {
				return nil // the sign of the next hole
			}
			if r == '+' && digit(s.next(1)) {
				return s.refuse("the sign before each hole, as in +4+5")
			}
			b, _ := breathSign(r)
			refused = blown(b)
		case '>':
			if s.at+1 < len(s.text) && s.next(1) != ')' || h.marked && h.breath == harp.Draw {
				return s.refuse("blanks round > for a dotted pair; right behind a hole it means blow")
			}
			refused = blown(harp.Blow)
		default:
			return nil
		}
		if refused != nil {
			return refused
		}
	}
	return nil
}

// strange says what would be right where something stands that is no part of a tab.
func (s *scanner) strange() string {
	switch s.next(0) {
	case 0:
		return "a hole after the sign, as in +4 or -4"
	case ',':
		return "o for an overbend, or a blank between two notes: a comma may mean either"
	case '*':
		return "a note of a ten-hole diatonic: * is the slide of a chromatic"
	case '%':
		return "no %: slaps and flutters are not read"
	case '/':
		return "bends as ', one for each half step; for a slide or a slur a blank before /, as -4 /-5"
	case '~':
		return "~ before the hole, for a scoop"
	case '-', '.', '…', '—':
		return "one sign for each hole; a slide or a slur is written -4 /-5"
	}
	return "a hole, as in +4 or -4'"
}
