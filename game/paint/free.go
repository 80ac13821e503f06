package paint

import (
	"fmt"
	"math"

	"reedwell/game/screen"
)

// sign draws what a note is to its chord, around x and y, told by shape alone.
func (p *Painter) sign(c *pen, s screen.Sign, x, y, size float64) {
	r := size * 0.42
	switch s {
	case screen.RootSign:
		c.disc(x, y, r, p.Ink)
	case screen.ThirdSign:
		c.fill(p.Ink, []pt{{x, y - r*1.15}, {x + r*1.15, y + r*0.85}, {x - r*1.15, y + r*0.85}})
	case screen.FifthSign:
		c.fill(p.Ink, []pt{{x - r*0.9, y - r*0.9}, {x + r*0.9, y - r*0.9}, {x + r*0.9, y + r*0.9}, {x - r*0.9, y + r*0.9}})
	case screen.SeventhSign:
		c.fill(p.Ink, []pt{{x, y - r*1.25}, {x + r*1.05, y}, {x, y + r*1.25}, {x - r*1.05, y}})
	case screen.BlueSign:
		var wave []pt
		for i := 0; i <= 8; i++ {
			t := float64(i) / 8
			wave = append(wave, pt{x + r*1.3*(2*t-1), y - r*0.55*math.Sin(2*math.Pi*t)})
		}
		c.path(math.Max(1.5, size*0.17), p.Ink, wave...)
	case screen.PassingSign:
		c.stroke(x-r*0.7, y, x+r*0.7, y, math.Max(1.5, size*0.15), p.Ink)
	case screen.OutsideSign:
		c.ring(x, y, r, math.Max(1.25, size*0.12), p.Ink)
	}
}

// The arrow of a note that is early or late is perSecond pixels long for each second, and mostLean at most: true to
// the scale of the bars it could not be seen.
const (
	perSecond = 250.0
	mostLean  = 22.0
)

// lean draws an arrow over the head of a note that starts early, to the left, or late, to the right of its place.
func (p *Painter) lean(c *pen, n screen.ChartNote, x, y float64, plan screen.ChartPlan) {
	if n.Sign == screen.Unsigned || n.Late == 0 {
		return
	}
	way, k := math.Copysign(1, n.Late), plan.Scale
	long := math.Min(0.8*plan.Unit, math.Max(5, math.Min(mostLean, perSecond*math.Abs(n.Late)))*k)
	y -= 11 * k
	end := x + 2 + way*long
	c.stroke(x+2, y-3*k, x+2, y+3*k, 1.5, p.Ink) // at the head
	c.stroke(x+2, y, end, y, 1.5, p.Ink)
	c.path(1.5, p.Ink, pt{end - way*3*k, y - 3*k}, pt{end, y}, pt{end - way*3*k, y + 3*k})
}

// columns draws how often what was counted. The middle one has a mark under it; each that is not empty has its number.
func (p *Painter) columns(c *pen, it screen.Item) {
	r, of := it.Rect, it.Counted
	c.box(0, 0, r.W, r.H, 8, p.Card)
	c.frame(0, 0, r.W, r.H, 8, 1.25, p.Edge)
	if of == nil || len(of.Counts) == 0 {
		return
	}
	most := 1
	for _, n := range of.Counts {
		most = max(most, n)
	}
	const edge = 12.0
	words := screen.ColumnWords * p.k
	base, size := r.H-words-4, 13*p.k
	high := base - edge - size - 2
	wide := (r.W - 2*edge) / float64(len(of.Counts))
	for i, n := range of.Counts {
		x := edge + float64(i)*wide
		tall := high * float64(n) / float64(most)
		if n > 0 {
			fill := p.Asked
			if i == of.Middle {
				fill = p.Brass
			}
			c.box(x+2, base-tall, wide-4, tall, 2, fill)
			c.centred(fmt.Sprint(n), x+wide/2, base-tall-3, size, false, p.Ink)
		}
	}
	c.stroke(edge, base, r.W-edge, base, 1.5, p.Ink)
	middle := edge + (float64(of.Middle)+0.5)*wide
	c.fill(p.Ink, []pt{{middle, base + 1}, {middle + 5*p.k, base + 7*p.k}, {middle - 5*p.k, base + 7*p.k}})
	y := r.H - 7*p.k
	c.text(of.Words[0], edge, y, size, false, p.Ink)
	if w := c.fonts.Width(of.Words[1], size, true); w+c.fonts.Width(of.Words[0], size, false)*2 < r.W-2*edge-16 {
		c.text(of.Words[1], middle-w/2, y, size, true, p.Ink)
	}
	c.text(of.Words[2], r.W-edge-c.fonts.Width(of.Words[2], size, false), y, size, false, p.Ink)
}
