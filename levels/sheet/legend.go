package sheet

import (
	"fmt"

	"reedwell/levels/harp"
	"reedwell/levels/lesson"
)

// An entry of the legend: a mark as it is drawn, and what it asks for.
type entry struct {
	used  bool
	draw  func(s *setter, c *canvas) // in a box of sampleWidth, on a baseline at 0
	words string
}

const (
	sampleWidth = 58.0
	legendTab   = 14.0
)

// A use is what a lesson has in it.
type use struct {
	blow, draw, overblow, overdraw, stack, hold, slur, glide, scoop, warble, wah, vibrato bool

	pickup, rest, slash bool
	deepest             int    // half steps of the deepest bend
	tuplet              string // the number over the first one; "" for none
}

func (u *use) hole(n harp.Note) {
	u.blow = u.blow || n.Breath == harp.Blow
	u.draw = u.draw || n.Breath == harp.Draw
	u.overblow = u.overblow || n.Over && n.Breath == harp.Blow
	u.overdraw = u.overdraw || n.Over && n.Breath == harp.Draw
	u.deepest = max(u.deepest, n.Bend)
}

// uses looks through the chart of a lesson, in which all of its licks are.
func uses(l lesson.Lesson, chart strip) use {
	var u use
	for _, k := range l.Licks {
		u.pickup = u.pickup || k.Pickup > 0
	}
	if len(chart.tuplets) > 0 {
		u.tuplet = chart.tuplets[0].label
	}
	for _, e := range chart.events {
		n := e.note
		switch e.kind {
		case slash:
			u.slash = true
			continue
		case resting:
			u.rest = true
			continue
		}
		for _, h := range n.Holes {
			u.hole(h)
		}
		if n.Warbles() {
			u.hole(n.Warble)
			u.warble = true
		}
		u.stack = u.stack || len(n.Holes) > 1
		u.hold = u.hold || n.Hold
		u.slur = u.slur || n.Join == lesson.Slurred
		u.glide = u.glide || n.Join == lesson.Glide
		u.scoop = u.scoop || n.Scoop
		u.wah = u.wah || n.Wah > 0
		u.vibrato = u.vibrato || n.Vibrato
	}
	return u
}

// entries are what the legend explains, in the order in which a player meets it.
func (u use) entries(feel lesson.Feel) []entry {
	tab := func(text string) func(*setter, *canvas) {
		return func(s *setter, c *canvas) { c.centred(sampleWidth/2, 0, s.tab, true, text) }
	}
	plain := func(draw func(c *canvas, size float64)) func(*setter, *canvas) {
		return func(s *setter, c *canvas) { draw(c, s.tab) }
	}
	const mid = sampleWidth / 2
	count, feeling := "1  &  2  &", "straight: even eighths, as written"
	switch feel.Kind {
	case lesson.Shuffle:
		feeling = fmt.Sprintf("shuffle: the & comes late, long to short as %.3g to 1", feel.Ratio)
	case lesson.Triplet:
		count, feeling = "1  &  a  2", "12/8: three eighths to each beat"
	}
	bends := [...]string{"", "bend: ′ a half step", "bends: ′ a half step, ′′ a whole step",
		"bends: ′ a half step, ′′ a whole step, ′′′ a step and a half"}[min(u.deepest, 3)]
	all := []entry{
		{u.blow, tab("+4"), "blow, hole 4"},
		{u.draw, tab("−4"), "draw, hole 4"},
		{u.deepest > 0, tab("−3" + [...]string{"", "′", "′′", "′′′"}[min(u.deepest, 3)]), bends},
		{u.overblow, tab("+6°"), "overblow, hole 6"},
		{u.overdraw, tab("−7°"), "overdraw, hole 7"},
		{u.stack, func(s *setter, c *canvas) {
			c.centred(mid, -lead*s.tab, s.tab, true, "−2")
			c.centred(mid, 0, s.tab, true, "−1")
		}, "these holes together"},
		{true, func(s *setter, c *canvas) { c.centred(mid, 0, small, false, count) }, "beats, to count along; " + feeling},
		{true, func(s *setter, c *canvas) {
			c.centred(14, 0, s.tab, true, "+4")
			s.lasting(c, 5, sampleWidth-4, 5, false, false)
		}, "line under a note: how long it sounds"},
		{u.hold, func(s *setter, c *canvas) {
			c.centred(14, 0, s.tab, true, "+4")
			s.lasting(c, 5, sampleWidth-4, 5, true, false)
		}, "hold to the very end"},
		{u.rest, plain(func(c *canvas, size float64) {
			rest(c, mid-12, 0, size, lesson.Beat)
			rest(c, mid+12, 0, size, lesson.Beat/2)
		}), "rest: a whole beat, a part of a beat"},
		{u.slash, plain(func(c *canvas, size float64) {
			c.line(mid-4, 0, mid+4, -0.7*size, 1.3)
		}), "a beat of the chart without a lick"},
		{u.pickup, func(s *setter, c *canvas) {
			c.centred(mid-10, 0, s.tab, true, "+3")
			c.line(mid+10, 3, mid+10, -13, 1)
		}, "before the first bar line: the pickup"},
		{u.tuplet != "", func(s *setter, c *canvas) {
			c.stroke(hair, move(10, 2), along(10, -3), along(mid-6, -3))
			c.stroke(hair, move(mid+6, -3), along(sampleWidth-10, -3), along(sampleWidth-10, 2))
			c.centred(mid, 0, small, true, u.tuplet)
		}, "so many notes, evenly, over the bracket"},
		{u.slur, plain(func(c *canvas, size float64) { slur(c, mid-18, mid+18, 0) }),
			"same breath: no new start with the tongue"},
		{u.glide, plain(func(c *canvas, size float64) {
			glide(c, mid-6, 0, size, true)
			glide(c, mid+14, 0, size, false)
		}), "same hole, same breath: slide the pitch into a bend, or out"},
		{u.scoop, func(s *setter, c *canvas) {
			scoop(c, mid-8, 0, s.tab)
			c.centred(mid+5, 0, s.tab, true, "−4")
		}, "scoop: start bent, rise to the note at once"},
		{u.warble, func(s *setter, c *canvas) {
			wave(c, mid-6, mid+6, -0.33*s.tab, 0.16*s.tab, 2)
			c.centred(mid-17, 0, s.tab, true, "−4")
			c.centred(mid+17, 0, s.tab, true, "−5")
		}, "warble: from hole to hole; the number: notes in a beat"},
		{u.wah, func(s *setter, c *canvas) { c.centred(mid, 0, small, false, "wah 2") },
			"hands open and close; the number: how often in a beat"},
		{u.vibrato, plain(func(c *canvas, size float64) { wave(c, mid-18, mid+18, -3.5, 2.5, 5) }), "vibrato from the throat"},
	}
	var used []entry
	for _, e := range all {
		if e.used {
			used = append(used, e)
		}
	}
	return used
}
