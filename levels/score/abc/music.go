package abc

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"

	"reedwell/levels/lesson"
	"reedwell/levels/score"
)

// music reads one line of music.
type music struct {
	in   *reader
	row  []rune
	at   int
	line int
}

func (m *music) fail(format string, args ...any) error {
	return &SyntaxError{m.line, m.at + 1, fmt.Sprintf(format, args...)}
}

// peek is the rune i places on, or 0.
func (m *music) peek(i int) rune {
	if m.at+i < len(m.row) {
		return m.row[m.at+i]
	}
	return 0
}

// until is the text up to an end sign, which is passed.
func (m *music) until(end rune) (string, error) {
	for i := m.at + 1; i < len(m.row); i++ {
		if m.row[i] == end {
			text := string(m.row[m.at+1 : i])
			m.at = i + 1
			return text, nil
		}
	}
	return "", m.fail("%q begins here and does not end; close it with %q", m.row[m.at], end)
}

func (m *music) read() error {
	for m.at < len(m.row) {
		c := m.peek(0)
		var err error
		switch {
		case unicode.IsSpace(c) || c == '`' || c == '\\' || c == '$' || c == 'y':
			m.at++
			if c == 'y' {
				m.digits()
			}
		case c == '"':
			err = m.above()
		case c == '!':
			err = m.decoration('!')
		case c == '+':
			err = m.decoration('+')
		case c == '{':
			_, err = m.until('}')
		case c == '[' && unicode.IsLetter(m.peek(1)) && m.peek(2) == ':':
			err = m.inline()
		case c == '[' && !strings.ContainsRune("|]:123456789\"", m.peek(1)), strings.ContainsRune("^_=", c), c >= 'A' && c <= 'G', c >= 'a' && c <= 'g':
			err = m.note()
		case c == 'z' || c == 'x' || c == 'Z' || c == 'X':
			err = m.rest(c)
		case c == '|' || c == ':' || c == '[' || c == ']':
			err = m.barLine()
		case c == '(':
			m.at++
			if n := m.peek(0); n >= '1' && n <= '9' {
				err = m.tuplet()
			} else {
				m.in.slurs++
			}
		case c == ')':
			m.at++
			if n := m.last(); n != nil {
				n.SlurEnds = true
			}
		case c == '-':
			m.at++
			if n := m.last(); n != nil {
				n.Ties = true
				m.in.ties = true
			}
		case c == '>' || c == '<':
			err = m.brokenRhythm(c)
		case c == '&':
			m.overlay()
		case c == '.' && (m.peek(1) == '|' || m.peek(1) == '(' || m.peek(1) == '-'), strings.ContainsRune(".~*#;?@", c), c >= 'H' && c <= 'W', c >= 'h' && c <= 'w':
			m.at++ // decorations of one sign, and signs kept for later
		default:
			err = m.fail("%q is no sign of ABC; write notes as A to G and a to g", c)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// last is the note that was read last, if it was the last thing that sounds or rests.
func (m *music) last() *score.Sign {
	if l := m.in.lastNote; l[0] >= 0 && l[1] >= 0 {
		return &m.in.bars[l[0]].notes[l[1]]
	}
	return nil
}

// above reads a chord symbol, or an annotation, which ABC tells by its first sign.
func (m *music) above() error {
	s, err := m.until('"')
	if err != nil {
		return err
	}
	b := m.in.bar()
	if s == "" || strings.ContainsRune("^_<>@", rune(s[0])) {
		return nil
	}
	if c, ok := score.ParseChord(s); ok {
		c.Start, _ = score.Snap(b.length)
		b.chords = append(b.chords, c)
	}
	return nil
}

func (m *music) decoration(end rune) error {
	for i := m.at + 1; i < len(m.row) && i < m.at+40; i++ {
		if m.row[i] == end {
			m.at = i + 1
			return nil
		}
	}
	m.at++ // an old sign for a line's end
	return nil
}

func (m *music) inline() error {
	name := byte(m.peek(1))
	start := m.at
	m.at += 2
	text, err := m.until(']')
	if err != nil {
		m.at = start
		return m.fail("the field [%c: does not end; close it with ]", name)
	}
	if err := m.in.field(name, strings.TrimSpace(text)); err != nil {
		m.at = start
		return m.fail("%v", err)
	}
	if name == 'V' && !m.in.listens() {
		m.at = len(m.row)
	}
	return nil
}

// digits reads a number, 0 for none.
func (m *music) digits() int {
	v := 0
	for n := 0; m.peek(0) >= '0' && m.peek(0) <= '9'; m.at++ {
		if n++; n <= 4 {
			v = v*10 + int(m.peek(0)-'0')
		}
	}
	return v
}

// length reads a length in units: "2", "3/2", "/", "//".
func (m *music) length() (float64, error) {
	start := m.at
	num := 1.0
	if unicode.IsDigit(m.peek(0)) {
		num = float64(m.digits())
	}
	den := 1.0
	for m.peek(0) == '/' {
		m.at++
		if unicode.IsDigit(m.peek(0)) {
			den *= float64(m.digits())
			break
		}
		den *= 2
	}
	if num == 0 || den == 0 || num > 1024 || den > 1024 || m.at-start > 12 {
		m.at = start
		return 0, m.fail("lengths are up to 1024 units, or down to 1/1024")
	}
	return num / den, nil
}

// sounding is a length in units as the tuplet and the broken rhythm around it have it.
func (m *music) sounding(units float64) (int64, error) {
	if m.in.left > 0 {
		units *= m.in.tuplet
		m.in.left--
	}
	if m.in.broken > 0 {
		units *= m.in.broken
		m.in.broken = 0
	}
	f := m.in.fine(units * m.in.unitLength())
	if f > 64*score.FineBeat {
		return 0, m.fail("a note or rest of more than 64 beats; is L: right?")
	}
	return f, nil
}

func (m *music) rest(c rune) error {
	m.at++
	m.in.tied, m.in.ties = nil, false
	if c == 'Z' || c == 'X' {
		n := max(1, m.digits())
		if n > maxBars {
			return m.fail("a rest of %d bars is longer than any tune", n)
		}
		full := int64(m.in.meter.Bar) * (score.FineBeat / int64(lesson.Beat))
		for i := range n {
			if i > 0 {
				if err := m.newBar(); err != nil {
					return err
				}
			}
			m.in.bar().length += full
		}
		m.in.lastNote = [2]int{-1, -1}
		return nil
	}
	units, err := m.length()
	if err != nil {
		return err
	}
	f, err := m.sounding(units)
	if err != nil {
		return err
	}
	m.in.lastNote = [2]int{len(m.in.bars) - 1, -1}
	m.in.lastRest = f
	m.in.bar().length += f
	return nil
}

// note reads a note or a chord with its length.
func (m *music) note() error {
	n := score.Sign{Tied: m.in.ties}
	tied := map[[2]int]int{}
	units := 1.0
	if m.peek(0) == '[' {
		start := m.at
		m.at++
		inner := 0.0
		for m.peek(0) != ']' {
			switch c := m.peek(0); {
			case c == 0:
				m.at = start
				return m.fail("the chord does not end; close it with ]")
			case c == '"':
				if err := m.above(); err != nil {
					return err
				}
			case c == '!':
				if err := m.decoration('!'); err != nil {
					return err
				}
			case c == ' ' || c == '(' || c == ')' || c == '.' || c == '~':
				m.at++
			case c == '-':
				m.at++
				n.Ties = true
			default:
				if len(n.Pitches) >= 16 {
					return m.fail("more than 16 notes in a chord")
				}
				if err := m.pitch(&n, tied); err != nil {
					return err
				}
				u, err := m.length()
				if err != nil {
					return err
				}
				if inner == 0 {
					inner = u // the standard: a chord lasts as long as its first note
				}
			}
		}
		m.at++
		if inner > 0 {
			units = inner
		}
	} else if err := m.pitch(&n, tied); err != nil {
		return err
	}
	u, err := m.length()
	if err != nil {
		return err
	}
	if len(n.Pitches) == 0 {
		return nil
	}
	b := m.in.bar()
	n.At = b.length
	if n.Length, err = m.sounding(units * u); err != nil {
		return err
	}
	if m.in.slurs > 0 {
		n.SlurBegins = true
		m.in.slurs = 0
	}
	b.length += n.Length
	b.notes = append(b.notes, n)
	m.in.lastNote = [2]int{len(m.in.bars) - 1, len(b.notes) - 1}
	flag := 0
	if n.Tied {
		flag = 1
	}
	m.in.row = append(m.in.row, [3]int{len(m.in.bars) - 1, len(b.notes) - 1, flag})
	m.in.tied, m.in.ties = tied, n.Ties
	return nil
}

// pitch reads accidental, name and octave.
func (m *music) pitch(n *score.Sign, tied map[[2]int]int) error {
	alter, stated := 0, false
	for ; strings.ContainsRune("^_=", m.peek(0)) && m.peek(0) != 0; m.at++ {
		alter += map[rune]int{'^': 1, '_': -1, '=': 0}[m.peek(0)]
		stated = true
	}
	if alter < -2 || alter > 2 {
		return m.fail("accidentals are ^ ^^ _ __ and =")
	}
	c := m.peek(0)
	octave := 4
	if c >= 'a' && c <= 'g' {
		octave, c = 5, c-'a'+'A'
	}
	if c < 'A' || c > 'G' {
		return m.fail("%q where a note should be; write A to G or a to g", string(m.peek(0)))
	}
	for m.at++; m.peek(0) == '\'' || m.peek(0) == ','; m.at++ {
		if m.peek(0) == '\'' {
			octave++
		} else {
			octave--
		}
	}
	if octave < 0 || octave > 9 {
		return m.fail("octave %d lies outside what any instrument has", octave)
	}
	at := [2]int{step(byte(c)), octave}
	switch was, ok := m.in.tied[at]; {
	case stated:
		m.in.altered[at] = alter
	case m.in.ties && ok:
		alter = was // a tie carries the accidental over the bar line
	default:
		if a, ok := m.in.altered[at]; ok {
			alter = a
		} else {
			alter = m.in.sharps[at[0]]
		}
	}
	tied[at] = alter
	midi := score.Spelling{Step: byte(c), Alter: alter, Octave: octave}.MIDI()
	if midi < 0 || midi > 127 {
		return m.fail("this note lies outside what any instrument has")
	}
	n.Pitches = append(n.Pitches, midi)
	return nil
}

// tuplet reads "(3", "(3:2", "(3:2:4", the open bracket being read.
func (m *music) tuplet() error {
	p := m.digits()
	q, r := 0, p
	if m.peek(0) == ':' {
		m.at++
		q = m.digits()
		if m.peek(0) == ':' {
			m.at++
			if v := m.digits(); v > 0 {
				r = v
			}
		}
	}
	if q == 0 {
		n := 2
		if m.in.meter.Twelve {
			n = 3
		}
		q = map[int]int{2: 3, 3: 2, 4: 3, 5: n, 6: 2, 7: n, 8: 3, 9: n}[p]
	}
	if p < 2 || p > 32 || q < 1 || q > 32 || r > 64 {
		return m.fail("a tuplet is (3, or (p:q:r with numbers up to 32")
	}
	m.in.tuplet, m.in.left = float64(q)/float64(p), r
	return nil
}

// brokenRhythm reads ">" and "<": the standard's 3 to 1 for each sign.
func (m *music) brokenRhythm(c rune) error {
	n := 0
	for m.peek(0) == c {
		n++
		m.at++
	}
	if n > 3 {
		return m.fail("broken rhythm has at most three signs")
	}
	short := 1 / float64(int(1)<<n)
	before, after := 2-short, short
	if c == '<' {
		before, after = after, before
	}
	l := m.in.lastNote
	if l[0] < 0 || l[0] != len(m.in.bars)-1 {
		return m.fail("broken rhythm stands between two notes")
	}
	b := m.in.bar()
	was := m.in.lastRest
	if l[1] >= 0 {
		was = b.notes[l[1]].Length
	}
	now := int64(float64(was) * before)
	b.length += now - was
	if l[1] >= 0 {
		b.notes[l[1]].Length = now
	}
	m.in.broken = after
	return nil
}

// overlay passes over a second layer, to the end of its bar.
func (m *music) overlay() {
	m.in.piece.Remark(0, "line %d has a second layer (&); it is left out", m.line)
	for m.at < len(m.row) && m.peek(0) != '|' {
		m.at++
	}
}

// barLine reads a bar line with repeats and endings.
func (m *music) barLine() error {
	start := m.at
	for strings.ContainsRune("|:[]", m.peek(0)) && m.peek(0) != 0 {
		// "[" begins a chord or a field unless it belongs to the line.
		if m.peek(0) == '[' && m.at > start && !strings.ContainsRune("|]123456789\"", m.peek(1)) {
			break
		}
		m.at++
	}
	line := string(m.row[start:m.at])
	b := m.in.bar()
	left, right := strings.HasPrefix(line, ":"), strings.HasSuffix(line, ":") && strings.ContainsAny(line, "|[") || line == "::"
	drawn := strings.ContainsRune(line, '|') || line == "::"
	if left {
		b.repeat.Times = min(2+max(0, leading(line)-1), 20)
		if line == "::" {
			b.repeat.Times = 2
		}
	}
	if drawn && (b.length > 0 || len(m.in.bars) > 1 && left) {
		m.ending(b)
		if left || strings.Contains(line, "||") || strings.Contains(line, "]") {
			m.in.endings = nil
		}
		if b.length > 0 {
			if err := m.newBar(); err != nil {
				return err
			}
		}
	}
	if right {
		m.in.bar().repeat.Start = true
		m.in.endings = nil
	}
	if next := m.peek(0); next >= '1' && next <= '9' && (drawn || line == "[") {
		m.in.endings = nil
		for {
			n := m.digits()
			m.in.endings = append(m.in.endings, min(n, 20))
			if m.peek(0) == '-' && unicode.IsDigit(m.peek(1)) {
				m.at++
				for to := min(m.digits(), 20); n < to; {
					n++
					m.in.endings = append(m.in.endings, n)
				}
			}
			if m.peek(0) != ',' || !unicode.IsDigit(m.peek(1)) || len(m.in.endings) > 20 {
				break
			}
			m.at++
		}
	} else if line == "[" && next != '|' && next != ']' {
		if next == '"' { // an ending with a name
			_, err := m.until('"')
			return err
		}
		return m.fail("%q begins here and does not end", "[")
	}
	return nil
}

// leading is how many colons a line begins with.
func leading(line string) int { return len(line) - len(strings.TrimLeft(line, ":")) }

func (m *music) ending(b *bar) {
	if len(m.in.endings) > 0 {
		b.repeat.Endings = m.in.endings
	}
}

// newBar begins a bar. Accidentals end with the bar before.
func (m *music) newBar() error {
	if len(m.in.bars) >= maxBars {
		return m.fail("more than %s bars; save the tune alone", strconv.Itoa(maxBars))
	}
	m.in.bars = append(m.in.bars, bar{})
	m.in.altered = map[[2]int]int{}
	m.in.row = append(m.in.row, [3]int{len(m.in.bars) - 1, -1, 0})
	return nil
}
