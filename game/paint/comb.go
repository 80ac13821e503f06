package paint

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"reedwell/game/screen"
)

// comb draws the instrument as the player holds it, cut open: the cover plate with the
// hole numbers, wood between the holes, in each hole its two reeds and the bends.
func (p *Painter) comb(c *pen, r screen.Rect, comb *screen.Comb) {
	plan := screen.PlanComb(r, p.look)
	b := plan.Body
	c.box(b.X, b.Y, b.W, b.H, 9, p.Wood)
	c.box(b.X, b.Y, b.W, plan.Plate-3, 9, p.Plate)
	c.box(b.X, b.Y+10, b.W, plan.Plate-13, 0, p.Plate)
	for hole := 1; hole <= 10; hole++ {
		s := plan.Slot(hole)
		c.centred(strconv.Itoa(hole), s.X+s.W/2, plan.Plate*2/3, plan.Plate*0.625, true, p.OnPlate)
		c.box(s.X, s.Y, s.W, s.H, 3, p.Card)
		slot := comb.Slots[hole-1]
		top := math.Max(slot.Blow, slot.Draw)
		for _, g := range slot.Rungs {
			y, w := plan.Y(g.Cents), s.W*0.3
			if g.Cents > top+1 { // an overbend: three dots
				for i := -1.0; i <= 1; i++ {
					c.disc(s.X+s.W/2+i*s.W*0.2, y, 1.5, p.Faint)
				}
				continue
			}
			c.stroke(s.X+s.W/2-w, y, s.X+s.W/2+w, y, 1.75, p.Faint)
		}
		p.reed(c, s, plan.Y(slot.Blow), false)
		p.reed(c, s, plan.Y(slot.Draw), true)
		p.marks(c, s, plan.Y(slot.Blow), slot.Marks[0])
		p.marks(c, s, plan.Y(slot.Draw), slot.Marks[1])
	}
	p.names(c, plan, comb)
	if comb.Figures {
		p.legend(c, plan, comb)
	}
}

// names writes under each reed what it sounds, with the sign of the breath where the holes
// are wide enough for that: full and hollow say the same.
func (p *Painter) names(c *pen, plan screen.CombPlan, comb *screen.Comb) {
	signs, size := [2]string{"+", "\u2212"}, plan.NameSize
	if comb.Figures {
		signs = [2]string{}
	}
	room := plan.Slot(1).W - 5
	widest := func() (w float64) {
		for _, s := range comb.Slots {
			for i, name := range s.Names {
				w = math.Max(w, p.fonts.Width(signs[i]+name, size, false))
			}
		}
		return w
	}
	if widest() > room {
		signs = [2]string{}
	}
	for size > 8 && widest() > room {
		size -= 0.5
	}
	for i, slot := range comb.Slots {
		s := plan.Slot(i + 1)
		c.centred(signs[0]+slot.Names[0], s.X+s.W/2, plan.NameY(slot.Blow), size, false, p.Ink)
		c.centred(signs[1]+slot.Names[1], s.X+s.W/2, plan.NameY(slot.Draw), size, false, p.Ink)
	}
}

// reed draws one reed with its rivet: the blow reed is solid and riveted on the left, the
// draw reed is hollow and riveted on the right.
func (p *Painter) reed(c *pen, s screen.Rect, y float64, draw bool) {
	x, w := s.X+1.5, s.W-3
	if draw {
		c.frame(x, y-3.5, w, 7, 2, 1.75, p.Brass)
		c.disc(x+w-4.5, y, 1.8, p.Brass)
	} else {
		c.box(x, y-3.5, w, 7, 2, p.Brass)
		c.disc(x+4.5, y, 1.8, p.Card)
	}
}

// bead is a sound: a round one is the note, a ring as long as it is not sure, a square one on its corner a second hole. A
// wedge says that it is sharp or flat.
func (p *Painter) bead(hole int, plan screen.CombPlan, b screen.Bead) Sprite {
	s := plan.Slot(hole)
	// Drawn in five sizes, so that few pictures serve every loudness.
	loud := math.Round(math.Min(1, math.Max(0, b.Strength))*4) / 4
	size := math.Min(s.W*0.5, 11) * (0.65 + 0.35*loud)
	wedge := 0
	switch {
	case b.Leak || math.IsNaN(b.OffCents):
	case b.OffCents > near:
		wedge = 1
	case b.OffCents < -near:
		wedge = -1
	}
	edge := size + 3
	return Sprite{
		Key: fmt.Sprintf("bead %.2f %v %v %d", size, b.Leak, b.Unsure, wedge),
		X:   s.X + s.W/2 - edge, Y: plan.Y(b.Cents) - edge,
		paint: func() *pen {
			c := newPen(p.fonts, p.scale, 2*edge, 2*edge, edge, edge)
			if b.Leak {
				d := func(r float64) []pt { return []pt{{0, -r}, {r, 0}, {0, r}, {-r, 0}} }
				c.fill(p.Card, d(size+2.5))
				c.fill(p.Red, d(size))
				c.fill(p.Card, d(size*0.45))
				return c
			}
			c.disc(0, 0, size+2, p.Card)
			c.disc(0, 0, size, p.Blue)
			if b.Unsure {
				c.disc(0, 0, size-2.25, p.Card)
			}
			switch w := size * 0.5; wedge {
			case 1:
				c.path(2.25, p.Card, pt{-w, w * 0.5}, pt{0, -w * 0.5}, pt{w, w * 0.5})
			case -1:
				c.path(2.25, p.Card, pt{-w, -w * 0.5}, pt{0, w * 0.5}, pt{w, -w * 0.5})
			}
			return c
		},
	}
}

// near is how many cents beside the asked pitch are shown as on it: some ten cents are
// heard as in tune in a melody (common practice, no source), and the eye wants rest.
const near = 12

// spot outlines a place on the comb: asked now with a full line, next with dashes.
func (p *Painter) spot(plan screen.CombPlan, slot screen.Slot, at screen.Spot, now bool) Sprite {
	r := plan.Outline(at.Hole, at.Cents, math.Abs(at.Cents-slot.Blow) < 30 || math.Abs(at.Cents-slot.Draw) < 30)
	w, h := r.W, r.H
	return Sprite{
		Key: fmt.Sprintf("spot %.2f %.2f %v", w, h, now),
		X:   r.X, Y: r.Y,
		paint: func() *pen {
			c := newPen(p.fonts, p.scale, w, h, 0, 0)
			if now {
				c.frame(0, 0, w, h, 6, 2.5, p.Ink)
				return c
			}
			for _, y := range []float64{1.5, h - 1.5} {
				c.dashes(4, y, w-4, y, 1.75, 3, 4, p.Ink)
			}
			for _, x := range []float64{1.5, w - 1.5} {
				c.dashes(x, 5, x, h-5, 1.75, 3, 4, p.Ink)
			}
			return c
		},
	}
}

// combWords says under the comb what is asked and what sounds.
func (p *Painter) combWords(plan screen.CombPlan, c *screen.Comb) []Sprite {
	var all []Sprite
	k, w := plan.Scale, plan.Words
	y := w.Y + 4*k
	if c.Figures {
		return nil // see legend
	}
	sure := func(b screen.Bead) bool { return !b.Unsure } // words that come and go within a tenth of a second can not be read
	if c.Asked.Hole == 0 && !slices.ContainsFunc(c.Beads, sure) {
		return []Sprite{
			p.label("Solid reeds: blow, +. Hollow: draw, \u2212.", 14*k, false, p.Faint, 0, y),
			p.label("Lines: bends. Dots: overbends.", 14*k, false, p.Faint, 0, y+20*k),
		}
	}
	if c.Asked.Hole > 0 {
		first := p.label("Play "+tab(c.Asked.Tab), 20*k, true, p.Ink, 0, y)
		all = append(all, first)
		if c.Next.Hole > 0 {
			all = append(all, p.label("then "+tab(c.Next.Tab), 16*k, false, p.Faint, first.w+12*k, y+4*k))
		}
	}
	y += 28 * k
	x := 0.0
	for _, b := range c.Beads {
		if !sure(b) {
			continue
		}
		words, ink := "", p.Ink
		switch {
		case b.Leak:
			words, ink = "and "+tab(b.Tab)+" too", p.Red
		case math.IsNaN(b.OffCents):
			words = tab(b.Tab) + " sounds"
		case math.Abs(b.OffCents) <= near:
			words, ink = tab(b.Tab)+" on it", p.Blue
		default:
			way := "sharp"
			if b.OffCents < 0 {
				way = "flat"
			}
			// In steps of ten, since a number that flickers can not be read.
			off := math.Max(10, math.Round(math.Abs(b.OffCents)/10)*10)
			if off > 600 {
				words = tab(b.Tab) + " sounds"
			} else {
				words = fmt.Sprintf("%s %g cents %s", tab(b.Tab), off, way)
			}
		}
		s := p.label(words, 16*k, true, ink, x, y)
		if x+s.w > w.W {
			break
		}
		all = append(all, s)
		x += s.w + 10*k
	}
	return all
}
