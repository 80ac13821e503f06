package paint

import "reedwell/game/screen"

// marked are the marks of reeds with their words, in the order in which they are told.
func marked() []struct {
	mark  screen.Mark
	words string
} {
	return []struct {
		mark  screen.Mark
		words string
	}{{screen.SharpReed, "sharp"}, {screen.FlatReed, "flat"}, {screen.SlowReed, "slow"}, {screen.LeakReed, "hisses"}, {screen.AlongReed, "neighbour too"}, {screen.Unheard, "not heard"}}
}

// markSize is half the height of a mark on a reed.
const markSize = 6

// marks draws what is known of a reed on it: each mark is another shape.
func (p *Painter) marks(c *pen, s screen.Rect, y float64, m screen.Mark) {
	var all []screen.Mark
	for _, k := range marked() {
		if m&k.mark != 0 {
			all = append(all, k.mark)
		}
	}
	if len(all) == 0 && m&screen.Measured != 0 {
		all = append(all, screen.Measured)
	}
	for i, k := range all {
		x := s.X + s.W*(float64(i)+1)/float64(len(all)+1)
		c.disc(x, y, markSize+2, p.Card)
		p.shape(c, k, x, y, markSize)
	}
}

// shape draws one mark around a place, r being half its height.
func (p *Painter) shape(c *pen, m screen.Mark, x, y, r float64) {
	switch m {
	case screen.Measured:
		c.tick(x, y, 2*r, 2.5, p.Blue)
	case screen.SharpReed:
		c.fill(p.Red, []pt{{x - r, y + r*0.8}, {x + r, y + r*0.8}, {x, y - r}})
	case screen.FlatReed:
		c.fill(p.Red, []pt{{x - r, y - r*0.8}, {x + r, y - r*0.8}, {x, y + r}})
	case screen.SlowReed:
		c.box(x-r*0.8, y-r, r*0.6, 2*r, 0, p.Red)
		c.box(x+r*0.2, y-r, r*0.6, 2*r, 0, p.Red)
	case screen.LeakReed:
		c.ring(x, y, r, 2, p.Red)
	case screen.AlongReed:
		c.fill(p.Red, []pt{{x, y - r}, {x + r, y}, {x, y + r}, {x - r, y}})
	case screen.Unheard:
		c.stroke(x-r, y, x+r, y, 2.5, p.Red)
	}
}

// legend tells under the comb what its figures and marks mean; of the marks those that are there.
func (p *Painter) legend(c *pen, plan screen.CombPlan, comb *screen.Comb) {
	k, w := plan.Scale, plan.Words
	var seen screen.Mark
	for _, s := range comb.Slots {
		seen |= s.Marks[0] | s.Marks[1]
	}
	// Three lines have room; all marks at once are written smaller.
	for size := 14 * k; size >= 8; size-- {
		if p.tell(nil, w, seen, size) <= 3 {
			p.tell(c, w, seen, size)
			return
		}
	}
}

// tell writes the legend, where there is a pen, and returns how many lines it takes.
func (p *Painter) tell(c *pen, w screen.Rect, seen screen.Mark, size float64) (lines int) {
	words := "Cents from tuning. Solid: blow, hollow: draw."
	if p.fonts.Width(words, size, false) > w.W {
		words = "Cents from tuning. Solid: blow."
	}
	y := w.Y + size*1.25
	if c != nil {
		c.text(words, 0, y, size, false, p.Faint)
	}
	r, x := size*0.43, 0.0
	lines = 1
	for _, m := range marked() {
		if seen&m.mark == 0 {
			continue
		}
		room := 2*r + size*0.43 + p.fonts.Width(m.words, size, false)
		if lines == 1 || x+room > w.W {
			x, y = 0, y+size*1.3
			lines++
		}
		if c != nil {
			p.shape(c, m.mark, x+r, y-size*0.35, r)
			c.text(m.words, x+2*r+size*0.43, y, size, false, p.Ink)
		}
		x += room + size
	}
	return lines
}
