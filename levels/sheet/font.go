package sheet

import (
	"slices"
	"strings"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"reedwell/levels/lesson"
)

// TrueType returns the file of the regular or the bold font, to be embedded.
func TrueType(bold bool) []byte {
	if bold {
		return gobold.TTF
	}
	return goregular.TTF
}

// fonts measure letters. They keep what they have read, so each user has its own.
type fonts struct {
	parsed [2]*sfnt.Font
	buffer sfnt.Buffer
	known  [2]map[rune]glyph
}

type glyph struct {
	index   sfnt.GlyphIndex
	advance float64 // at size 1
}

// perEm are the units in which the Go fonts are drawn.
const perEm = 2048

func newFonts() *fonts {
	f := &fonts{known: [2]map[rune]glyph{{}, {}}}
	for i := range f.parsed {
		parsed, err := sfnt.Parse(TrueType(i == 1))
		if err != nil {
			panic("sheet: the built-in font: " + err.Error())
		}
		f.parsed[i] = parsed
	}
	return f
}

func which(bold bool) int {
	if bold {
		return 1
	}
	return 0
}

// glyph finds a letter; its index is 0 when the font does not have it.
func (f *fonts) glyph(r rune, bold bool) glyph {
	k := which(bold)
	if g, ok := f.known[k][r]; ok {
		return g
	}
	index, err := f.parsed[k].GlyphIndex(&f.buffer, r)
	if err != nil {
		index = 0
	}
	// Without kerning and hinting: a line is as long as its letters.
	a, err := f.parsed[k].GlyphAdvance(&f.buffer, index, fixed.I(perEm), font.HintingNone)
	if err != nil {
		panic("sheet: the built-in font: " + err.Error())
	}
	g := glyph{index, float64(a) / 64 / perEm}
	f.known[k][r] = g
	return g
}

// advance is the width of a cleaned letter at size 1.
func (f *fonts) advance(r rune, bold bool) float64 {
	if a, ok := accidental(r); ok {
		return a.advance
	}
	return f.glyph(r, bold).advance
}

// width is the width of a line of text.
func (f *fonts) width(s string, size float64, bold bool) float64 {
	w := 0.0
	for _, r := range f.clean(s) {
		w += f.advance(r, bold)
	}
	return w * size
}

// has reports whether a letter can be printed.
func (f *fonts) has(r rune) bool {
	if _, ok := accidental(r); ok {
		return true
	}
	return f.glyph(r, false).index != 0 && f.glyph(r, true).index != 0
}

// missing stands for a letter that cannot be printed.
const missing = '□'

// clean turns all blanks into plain ones, leaves out what has no shape of its own, and
// puts a box for what cannot be printed.
func (f *fonts) clean(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case unicode.IsControl(r), unicode.Is(unicode.Cf, r), unicode.Is(unicode.Variation_Selector, r):
			return -1
		case !f.has(r):
			return missing
		}
		return r
	}, s)
}

// Unprintable returns the letters of a lesson's texts for which the sheet has no shape,
// each once, in the order of their numbers.
func Unprintable(l lesson.Lesson) []rune {
	f, found := newFonts(), map[rune]bool{}
	texts := []string{l.Title, l.Words}
	for _, k := range l.Licks {
		texts = append(texts, k.Title, k.Words)
	}
	for _, r := range strings.Join(texts, "") {
		if r != missing && f.clean(string(r)) == string(missing) {
			found[r] = true
		}
	}
	var all []rune
	for r := range found {
		all = append(all, r)
	}
	slices.Sort(all)
	return all
}

// wrap breaks a text into lines no wider than given; a word that is too long by itself is
// broken where the line is full.
func (f *fonts) wrap(s string, width, size float64, bold bool) []string {
	var lines []string
	var line []rune
	used := 0.0
	end := func() {
		lines = append(lines, string(line))
		line, used = line[:0], 0
	}
	blank := f.advance(' ', bold) * size
	for _, word := range strings.Fields(f.clean(s)) {
		w := f.width(word, size, bold)
		if len(line) > 0 {
			if used+blank+w > width {
				end()
			} else {
				line, used = append(line, ' '), used+blank
			}
		}
		for _, r := range word {
			a := f.advance(r, bold) * size
			if used+a > width && len(line) > 0 {
				end()
			}
			line, used = append(line, r), used+a
		}
	}
	if len(line) > 0 {
		end()
	}
	return lines
}

// shorten cuts a text to a width, with dots where it was cut.
func (f *fonts) shorten(s string, width, size float64) string {
	s = strings.Join(strings.Fields(f.clean(s)), " ")
	if f.width(s, size, false) <= width {
		return s
	}
	left := width - f.width("…", size, false)
	for i, r := range s {
		left -= f.advance(r, false) * size
		if left < 0 {
			return strings.TrimRight(s[:i], " ") + "…"
		}
	}
	return s
}

// outline is the shape of a letter in units of the font, y upward.
func (f *fonts) outline(r rune, bold bool) ([]Segment, error) {
	// At a size of as many pixels as the em has units nothing is rounded.
	loaded, err := f.parsed[which(bold)].LoadGlyph(&f.buffer, f.glyph(r, bold).index, fixed.I(perEm), nil)
	if err != nil {
		return nil, err
	}
	at := func(p fixed.Point26_6) Point { return Point{float64(p.X) / 64, -float64(p.Y) / 64} }
	var all []Segment
	var last Point
	for _, s := range loaded {
		a, b, c := at(s.Args[0]), at(s.Args[1]), at(s.Args[2])
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			if len(all) > 0 {
				all = append(all, closed())
			}
			all, last = append(all, move(a.X, a.Y)), a
		case sfnt.SegmentOpLineTo:
			all, last = append(all, along(a.X, a.Y)), a
		case sfnt.SegmentOpQuadTo: // a quadratic curve as a cubic one, exactly
			all = append(all, curve(last.X+(a.X-last.X)*2/3, last.Y+(a.Y-last.Y)*2/3, b.X+(a.X-b.X)*2/3, b.Y+(a.Y-b.Y)*2/3, b.X, b.Y))
			last = b
		case sfnt.SegmentOpCubeTo:
			all, last = append(all, curve(a.X, a.Y, b.X, b.Y, c.X, c.Y)), c
		}
	}
	if len(all) > 0 {
		all = append(all, closed())
	}
	return all, nil
}

// A drawn accidental. Its shape is ours, after the signs that all printed music has.
type sign struct {
	plain   string // what is typed for it
	advance float64
	draw    func(c *canvas, x, y, size float64)
}

func accidental(r rune) (sign, bool) {
	switch r {
	case '♭':
		return sign{"b", 0.46, drawFlat}, true
	case '♯':
		return sign{"#", 0.54, drawSharp}, true
	case '♮':
		return sign{"n", 0.46, drawNatural}, true
	}
	return sign{}, false
}

const (
	thin  = 0.055 // strokes of an accidental at size 1
	thick = 0.10
)

func drawFlat(c *canvas, x, y, size float64) {
	at := func(u, v float64) (float64, float64) { return x + u*size, y - v*size }
	x1, y1 := at(0.08, 0.80)
	x2, y2 := at(0.08, 0)
	c.line(x1, y1, x2, y2, thin*size)
	p := func(u, v float64) Point { return Point{x + u*size, y - v*size} }
	c.Paths = append(c.Paths, Path{Width: thick * 0.8 * size, Segments: []Segment{
		move(p(0.09, 0.36).X, p(0.09, 0.36).Y),
		{Op: Curve, Points: [3]Point{p(0.20, 0.50), p(0.38, 0.47), p(0.37, 0.33)}},
		{Op: Curve, Points: [3]Point{p(0.36, 0.20), p(0.22, 0.12), p(0.09, 0.02)}},
	}})
}

func drawSharp(c *canvas, x, y, size float64) {
	line := func(u1, v1, u2, v2, width float64) {
		c.line(x+u1*size, y-v1*size, x+u2*size, y-v2*size, width*size)
	}
	line(0.19, -0.06, 0.19, 0.74, thin)
	line(0.35, -0.02, 0.35, 0.78, thin)
	line(0.06, 0.19, 0.48, 0.29, thick)
	line(0.06, 0.43, 0.48, 0.53, thick)
}

func drawNatural(c *canvas, x, y, size float64) {
	line := func(u1, v1, u2, v2, width float64) {
		c.line(x+u1*size, y-v1*size, x+u2*size, y-v2*size, width*size)
	}
	line(0.10, 0.12, 0.10, 0.80, thin)
	line(0.36, -0.08, 0.36, 0.60, thin)
	line(0.10, 0.16, 0.36, 0.25, thick)
	line(0.10, 0.47, 0.36, 0.56, thick)
}
