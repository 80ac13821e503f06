package sheet

import (
	"fmt"
	"math"
	"slices"

	"reedwell/levels/lesson"
)

// A setter sets strips in a style.
type setter struct {
	style
	fonts *fonts
	feel  lesson.Kind
}

// Measures of the marks, in points or, where it says so, in sizes of the tab. Chosen by eye
// on printed pages.
const (
	chordLeft = 4.0  // a chord begins so far left of its beat
	glideRoom = 11.0 // left of a note
	scoopRoom = 9.0  // left of a note
	waveWidth = 26.0 // of vibrato, at least
	waveMost  = 60.0 // and at most
	arcHeight = 7.0
	bracketed = 28.0 // the least width that a bracket is in
	doubleBar = 4.0  // width of the bar line at the end
	lead      = 1.14 // line height of tab, in sizes
	under     = 0.36 // of the line under a note below its baseline, in sizes
	hair      = 0.8  // thin lines
)

// waveRoom is the room between the two holes of a warble.
func (s *setter) waveRoom() float64 { return 0.9 * s.tab }

// A counted is the word of a beat.
type counted struct {
	at   lesson.Ticks
	word string
}

// counts are the beats of a row, and what is counted between them where something starts:
// "1 & 2 &", and in 12/8 "1 & a" (common practice).
func (s *setter) counts(r *row, events []event) []counted {
	words := []string{"", "&"}
	if s.feel == lesson.Triplet {
		words = []string{"", "&", "a"}
	}
	step := lesson.Beat / lesson.Ticks(len(words))
	var all []counted
	next := 0
	for t := ceil(r.from, step); t < r.to; t += step {
		for next < len(events) && events[next].at < t {
			next++
		}
		if in := t - floor(t, lesson.Beat); in == 0 {
			all = append(all, counted{t, fmt.Sprint(int((t-floor(t, lesson.Bar))/lesson.Beat) + 1)})
		} else if next < len(events) && events[next].at == t {
			all = append(all, counted{t, words[in/step]})
		}
	}
	return all
}

// texts are the words over a note.
func (s *setter) texts(e event) []string {
	var all []string
	if e.note.Warbles() {
		all = append(all, fmt.Sprintf("warble %d", e.note.Rate))
	}
	if e.note.Wah > 0 {
		all = append(all, fmt.Sprintf("wah %.3g", e.note.Wah))
	}
	return all
}

// stack is how far the tab of a note rises over its baseline.
func (s *setter) stack(e event) float64 {
	return s.tab * (0.85 + lead*float64(len(e.note.Holes)-1))
}

// top is how far the tab rises of a note and of those that an arc joins to it.
func (s *setter) top(events []event, i int) float64 {
	top := s.stack(events[i])
	if i > 0 && events[i].note.Join == lesson.Slurred {
		top = max(top, s.stack(events[i-1]))
	}
	if i+1 < len(events) && events[i+1].note.Join == lesson.Slurred {
		top = max(top, s.stack(events[i+1]))
	}
	return top
}

// arcs is the height that is kept over a note for slurs.
func (s *setter) arcs() float64 {
	if !s.full {
		return 0
	}
	return arcHeight
}

// marks is the height of the words and waves over a note.
func (s *setter) marks(e event) float64 {
	if !s.full || s.marksWidth(e) == 0 {
		return 0
	}
	return small + 3
}

// marksWidth is the width of all that stands over a note.
func (s *setter) marksWidth(e event) float64 {
	w := 0.0
	for _, t := range s.texts(e) {
		w += s.fonts.width(t, small, false) + gap
	}
	if e.note.Vibrato {
		w += waveWidth + gap
	}
	return max(0, w-gap)
}

// draw draws a row of a strip and returns its height.
func (s *setter) draw(c *canvas, t *strip, r row) (height float64) {
	events := t.within(r.from, r.to)
	y := s.head(c, t, &r, events)
	top := y
	if s.full {
		y += small
		for _, b := range s.counts(&r, events) {
			c.centred(r.at(b.at), y, small, false, b.word)
		}
		y += 2
	}
	for b := ceil(r.from, lesson.Beat); b < r.to; b += lesson.Beat {
		c.line(r.at(b), y, r.at(b), y+4, hair)
	}
	y += 5
	found := false
	for _, b := range t.tuplets {
		if b.from < r.to && b.to > r.from {
			s.bracket(c, t, &r, b, y)
			found = true
		}
	}
	if found {
		y += small + 3
	}
	high := s.tab
	for i, e := range events {
		if e.kind == sounding {
			high = max(high, s.top(events, i)+s.arcs()+s.marks(e))
		}
	}
	base := y + high
	s.joined(c, t, &r, events, base)
	s.line(c, t, &r, events, base)
	bottom := base + under*s.tab + 5
	s.bars(c, t, &r, top, bottom)
	return bottom
}

// head draws what stands over the bars and returns its height.
func (s *setter) head(c *canvas, t *strip, r *row, events []event) float64 {
	y := 0.95 * s.chord
	for _, k := range t.over(r.from, r.to) {
		c.text(r.at(k.at)-chordLeft, y, s.chord, true, k.name)
	}
	if first := ceil(r.from, lesson.Bar); first < r.to && (r.from == first || r.from < 0) {
		c.text(r.points[r.edge(first)].x, y, small, false, t.barName(first))
	}
	y += 0.3 * s.chord
	if !slices.ContainsFunc(events, func(e event) bool { return e.label != "" }) {
		return y
	}
	y += small
	for _, e := range events {
		if e.label != "" {
			c.text(r.at(e.at)-chordLeft, y, small, true, e.label)
		}
	}
	return y + 3
}

// joined draws what lies over the tab: arcs, words and waves.
func (s *setter) joined(c *canvas, t *strip, r *row, events []event, base float64) {
	if !s.full {
		return
	}
	for i, e := range events {
		if e.kind != sounding {
			continue
		}
		if e.note.Join == lesson.Slurred {
			from, rise := 0.0, s.stack(e) // from the row before
			if i > 0 {
				from, rise = r.at(events[i-1].at), max(rise, s.stack(events[i-1]))
			}
			slur(c, from+2, r.at(e.at)-2, base-rise)
		}
		s.over(c, r.at(e.at), s.until(t, r, events, i), base-s.top(events, i)-s.arcs()-3, e)
	}
}

// line draws tab, rests and slashes on their baseline.
func (s *setter) line(c *canvas, t *strip, r *row, events []event, base float64) {
	for i, e := range events {
		at := r.at(e.at)
		switch e.kind {
		case slash:
			c.line(at-4, base, at+4, base-0.7*s.tab, 1.3)
		case resting:
			rest(c, at, base, s.tab, e.end-e.at)
		case sounding:
			s.note(c, e, at, base, s.until(t, r, events, i), e.end > r.to)
		}
	}
	// A note that began in an earlier row sounds on.
	if n := t.before(r.from); n > 0 {
		if e := t.events[n-1]; e.kind == sounding && e.end > r.from {
			s.lasting(c, 2, s.end(t, r, e), base+under*s.tab, s.full && e.note.Hold, e.end > r.to)
		}
	}
}

// bars draws the bar lines of a row.
func (s *setter) bars(c *canvas, t *strip, r *row, top, bottom float64) {
	for i, p := range r.points {
		if !p.bar || p.t%lesson.Bar != 0 {
			continue
		}
		if i == len(r.points)-1 && p.t%t.period == 0 {
			c.line(p.x-doubleBar, top, p.x-doubleBar, bottom, 1)
			c.box(p.x-2, top, 2, bottom-top)
			continue
		}
		c.line(max(p.x, 0.5), top, max(p.x, 0.5), bottom, 1)
	}
}

// until is where a note of a row ends, short of what follows.
func (s *setter) until(t *strip, r *row, events []event, i int) float64 {
	end := s.end(t, r, events[i])
	if i+1 < len(events) && events[i+1].at == events[i].end {
		left, _ := s.room(events[i+1])
		end = min(end, r.at(events[i].end)-left-3)
	}
	return end
}

// end is where the line under a note ends when nothing follows at once.
func (s *setter) end(t *strip, r *row, e event) float64 {
	x := r.points[r.edge(min(e.end, r.to))].x
	switch {
	case e.end%t.period == 0:
		return x - doubleBar - 2
	case e.end%lesson.Bar == 0 || e.end >= r.to:
		return x - 2
	}
	return x
}

// note draws the tab of a note around its place, what joins it, and the line that shows how
// long it lasts.
func (s *setter) note(c *canvas, e event, at, base, end float64, on bool) {
	half := 0.0
	tokens := e.tokens()
	for i, text := range tokens {
		w := s.fonts.width(text, s.tab, true)
		half = max(half, w/2)
		c.text(at-w/2, base-lead*s.tab*float64(len(tokens)-1-i), s.tab, true, text)
	}
	right := at + half
	if e.note.Warbles() {
		wave(c, right+0.12*s.tab, right+s.waveRoom()-0.12*s.tab, base-0.33*s.tab, 0.16*s.tab, 2)
		right = c.text(right+s.waveRoom(), base, s.tab, true, token(e.note.Warble))
	}
	left := at - half
	if s.full && e.note.Scoop {
		scoop(c, left-2, base, s.tab)
		left -= scoopRoom
	}
	if s.full && e.note.Join == lesson.Glide {
		down := e.before != nil && e.note.Holes[0].Semitones() < e.before.Holes[0].Semitones()
		glide(c, left-2, base, s.tab, down)
	}
	s.lasting(c, at-half, max(end, right), base+under*s.tab, s.full && e.note.Hold, on)
}

// lasting draws the line under a note. A held one is thick and has a stop at its end; one
// that sounds on in the next row an arrowhead.
func (s *setter) lasting(c *canvas, from, to, y float64, held, on bool) {
	width := hair
	if held {
		width = 1.8
	}
	c.line(from, y, to, y, width)
	switch {
	case on:
		c.stroke(hair, move(to-4, y-2.5), along(to, y), along(to-4, y+2.5))
	case held:
		c.line(to, y-3, to, y+3, 1.4)
	}
}

// over draws the words and waves over a note that stands at a place and lasts to an end.
func (s *setter) over(c *canvas, at, end, y float64, e event) {
	half := 0.0
	for _, t := range e.tokens() {
		half = max(half, s.fonts.width(t, s.tab, true)/2)
	}
	x := at - half
	for _, t := range s.texts(e) {
		x = c.text(x, y, small, false, t) + gap
	}
	if e.note.Vibrato {
		w := min(waveMost, max(waveWidth, end-x))
		wave(c, x, x+w, y-3.5, 2.5, int(math.Round(w/6.5)))
	}
}

// bracket draws the bracket of a tuplet, as far as it lies in the row.
func (s *setter) bracket(c *canvas, t *strip, r *row, b tuplet, y float64) {
	x1 := r.at(max(b.from, r.from)) - 4
	x2 := r.points[r.edge(min(b.to, r.to))].x - 7
	if inside := t.within(max(b.from, r.from), min(b.to, r.to)); len(inside) > 0 {
		x2 = min(x2, max(x1+bracketed-4, r.at(inside[len(inside)-1].at)+6))
	}
	mid := (x1 + x2) / 2
	w := s.fonts.width(b.label, small, true)/2 + 2
	c.centred(mid, y+small-1, small, true, b.label)
	line := y + small - 4.5
	c.stroke(hair, move(x1, line+4), along(x1, line), along(mid-w, line))
	c.stroke(hair, move(mid+w, line), along(x2, line), along(x2, line+4))
}

// slur draws an arc over two notes, its ends at y.
func slur(c *canvas, from, to, y float64) {
	rise, in := 6.5, min(8, (to-from)/3)
	c.stroke(1.1, move(from, y), curve(from+in, y-rise, to-in, y-rise, to, y))
}

// glide draws a straight line into a note from the left: down into a bend, up out of it.
func glide(c *canvas, x, base, size float64, down bool) {
	a, b := base-0.12*size, base-0.58*size
	if down {
		a, b = b, a
	}
	c.line(x-8, a, x, b, 1.3)
}

// scoop draws a curve that comes up from under a note.
func scoop(c *canvas, x, base, size float64) {
	c.stroke(1.3, move(x-6, base+0.1*size), curve(x-5, base-0.2*size, x-3, base-0.35*size, x, base-0.4*size))
}

// wave draws so many waves along a line.
func wave(c *canvas, from, to, y, height float64, n int) {
	n = max(1, n)
	step := (to - from) / float64(n)
	all := []Segment{move(from, y)}
	for i := range n {
		x := from + step*float64(i)
		all = append(all, curve(x+step/4, y-height*1.6, x+step/4, y-height*1.6, x+step/2, y),
			curve(x+step*3/4, y+height*1.6, x+step*3/4, y+height*1.6, x+step, y))
	}
	c.stroke(1.1, all...)
}

// rest draws the rest of printed music that comes next to a length within one beat.
func rest(c *canvas, x, base, size float64, length lesson.Ticks) {
	at := func(u, v float64) Point { return Point{x + u*size, base - v*size} }
	m := func(p Point) Segment { return move(p.X, p.Y) }
	l := func(p Point) Segment { return along(p.X, p.Y) }
	if length >= lesson.Beat {
		hook := Segment{Op: Curve, Points: [3]Point{at(-0.16, 0.18), at(-0.16, 0.06), at(0.02, -0.02)}}
		c.stroke(0.11*size, m(at(-0.08, 0.76)), l(at(0.12, 0.54)), l(at(-0.08, 0.38)), l(at(0.12, 0.16)), hook)
		return
	}
	flags := 1
	if length < lesson.Beat/3 {
		flags = 2
	}
	c.stroke(0.07*size, m(at(0.16, 0.62)), l(at(-0.04, -0.02)))
	for i := range flags {
		d := 0.22 * float64(i)
		dot := at(-0.14-0.25*d, 0.56-d)
		r := 0.075 * size
		c.area(move(dot.X-r, dot.Y), curve(dot.X-r, dot.Y-1.33*r, dot.X+r, dot.Y-1.33*r, dot.X+r, dot.Y),
			curve(dot.X+r, dot.Y+1.33*r, dot.X-r, dot.Y+1.33*r, dot.X-r, dot.Y), closed())
		c.stroke(0.06*size, m(at(-0.10-0.25*d, 0.50-d)),
			Segment{Op: Curve, Points: [3]Point{at(0.0-0.25*d, 0.46-d), at(0.08-0.25*d, 0.50-d), at(0.15-0.3*d, 0.60-d)}})
	}
}
