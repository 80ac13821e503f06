package paint

import (
	"fmt"
	"image/color"
	"math"

	"reedwell/game/screen"
)

// plotText is the size of a plot's numbers at text scale 1: the least that is read at arm's
// length (our choice).
const plotText = 13

// A frame of a plot says where its values lie in the item.
type plotFrame struct {
	left, right, top, bottom float64
	low, high                float64
	n                        int
}

func (f plotFrame) x(i int) float64 {
	return f.left + (float64(i)+0.5)*(f.right-f.left)/float64(f.n)
}

// y is the height of a value; one beyond the scale stays at its end.
func (f plotFrame) y(v float64) float64 {
	part := (math.Min(math.Max(v, f.low), f.high) - f.low) / (f.high - f.low)
	return f.bottom - part*(f.bottom-f.top)
}

// plot draws the numbers of an item under its words. The scale is written at the left of
// points; bars begin at 0 and have their numbers on top.
func (p *Painter) plot(c *pen, it screen.Item) {
	r, d := it.Rect, it.Plot
	if len(d.Points) == 0 || d.High <= d.Low {
		return
	}
	size := plotText * p.k
	line := size * 1.35
	// Two lines of words stand under it.
	f := plotFrame{left: 2, right: r.W - 2, top: screen.BoxTop(it, p.look, p.fonts), bottom: r.H - 2*line - 4, low: d.Low, high: d.High, n: len(d.Points)}
	if d.Bars {
		f.top += line + 2 // for the number over the highest bar
	} else {
		c.text(d.Unit, f.left, f.top+size, size, false, p.Faint)
		f.top += line + size*0.8
		f.left += p.ends(c, f)
	}
	c.stroke(f.left, f.bottom, f.right, f.bottom, 1.5, p.Edge)
	for i, q := range d.Points {
		c.stroke(f.x(i), f.bottom, f.x(i), f.bottom+3, 1.5, p.Edge)
		p.within(c, q.Name, f.x(i), f.bottom+line, size, false, r.W, p.Ink)
		p.within(c, q.Under, f.x(i), f.bottom+2*line, size, false, r.W, p.Faint)
	}
	if d.Bars {
		for i, q := range d.Points {
			if q.Known {
				p.bar(c, f.x(i), f.y(q.Value), f.bottom, math.Min((f.right-f.left)/float64(f.n)*0.62, 56*p.k))
				c.centred(q.Text, f.x(i), f.y(q.Value)-5, size, true, p.Ink)
			}
		}
		return
	}
	p.points(c, f, d.Points, size)
}

// ends writes the ends of the scale, and 0 where it lies between, with a line at each. It
// returns the width that takes.
func (p *Painter) ends(c *pen, f plotFrame) float64 {
	size := plotText * p.k
	at := []float64{f.low, f.high}
	if f.low < 0 && f.high > 0 {
		at = append(at, 0)
	}
	wide := 0.0
	for _, v := range at {
		wide = math.Max(wide, p.fonts.Width(number(v), size, false))
	}
	for _, v := range at {
		c.text(number(v), f.left+wide-p.fonts.Width(number(v), size, false), f.y(v)+size*0.35, size, false, p.Faint)
		c.dashes(f.left+wide+8, f.y(v), f.right, f.y(v), 1, 2, 4, p.Edge)
	}
	return wide + 8
}

// points draws points with their spread, joined where neighbours are known. A hollow one is
// from few takes.
func (p *Painter) points(c *pen, f plotFrame, all []screen.PlotPoint, size float64) {
	for i, q := range all {
		if i > 0 && q.Known && all[i-1].Known {
			c.stroke(f.x(i-1), f.y(all[i-1].Value), f.x(i), f.y(q.Value), 2, p.Brass)
		}
	}
	for i, q := range all { // over the lines
		if !q.Known {
			continue
		}
		x := f.x(i)
		if q.Spread > 0 {
			lo, hi := f.y(q.Value-q.Spread), f.y(q.Value+q.Spread)
			c.stroke(x, lo, x, hi, 1.5, p.Ink)
			c.stroke(x-4, lo, x+4, lo, 1.5, p.Ink)
			c.stroke(x-4, hi, x+4, hi, 1.5, p.Ink)
		}
		c.disc(x, f.y(q.Value), 5.5*p.k, p.Ink)
		inside := p.Brass
		if q.Few {
			inside = p.Paper
		}
		c.disc(x, f.y(q.Value), 3.5*p.k, inside)
	}
	for i, q := range all {
		if !q.Known || q.Text == "" {
			continue
		}
		// Over the point, or under it where the line comes from above.
		rise := 0.0
		for _, k := range []int{i - 1, i + 1} {
			if k >= 0 && k < len(all) && all[k].Known {
				rise += all[k].Value - q.Value
			}
		}
		y := math.Min(f.y(q.Value)-6*p.k, f.y(q.Value+q.Spread)) - 4
		if below := math.Max(f.y(q.Value)+6*p.k, f.y(q.Value-q.Spread)) + size; rise > 0 && below < f.bottom || y-size < f.top-size {
			y = below
		}
		p.within(c, q.Text, f.x(i), y, size, true, f.right, p.Ink)
	}
}

// bar is a bar from the base up; one of nothing is only a foot on the line.
func (p *Painter) bar(c *pen, x, top, bottom, w float64) {
	if bottom-top < 1 {
		return
	}
	c.box(x-w/2, top, w, bottom-top, 2, p.Brass)
	c.frame(x-w/2, top, w, bottom-top, 2, 1.5, p.Ink)
}

// within writes text around x, but not beyond the edges of what is w wide.
func (p *Painter) within(c *pen, text string, x, y, size float64, bold bool, w float64, ink color.RGBA) {
	half := p.fonts.Width(text, size, bold) / 2
	c.text(text, math.Max(0, math.Min(x, w-half)-half), y, size, bold, ink)
}

// number is a number of a scale, with the sign as wide as a plus.
func number(v float64) string { return tab(fmt.Sprintf("%.4g", v)) }

// stop draws a stop of the map: the line goes through its mark and meets those of its
// neighbours. Each kind has a mark of its own; the word under it says the same.
func (p *Painter) stop(c *pen, it screen.Item, t Touch) color.RGBA {
	r := it.Rect
	if t.Pressed {
		c.box(0, 0, r.W, r.H, 10, p.Shade)
	}
	x, y, s := r.W/2, 20*p.k, 13*p.k
	c.stroke(-2*Bleed, y, r.W+2*Bleed, y, 4, p.Groove) // beyond the picture, so that no end shows
	if it.Stop == screen.ShutStop {
		c.disc(x, y, s+2, p.Paper)
	}
	p.stopMark(c, it.Stop, x, y, s)
	if it.Stop == screen.ShutStop {
		return p.Faint
	}
	return p.Ink
}

// stopMark draws the mark of a kind of stop around a middle.
func (p *Painter) stopMark(c *pen, kind screen.Stop, x, y, s float64) {
	ring := func(on color.RGBA) {
		c.disc(x, y, s, on)
		c.ring(x, y, s, 2.5, p.Ink)
	}
	switch kind {
	case screen.ShutStop: // a lock
		c.ring(x, y-s*0.25, s*0.5, 2, p.Faint)
		c.box(x-s*0.65, y-s*0.2, 1.3*s, s*0.95, 2, p.Faint)
	case screen.OpenStop: // nothing in it yet
		ring(p.Card)
	case screen.PassedStop:
		ring(p.Card)
		c.tick(x, y, 1.25*s, 3*p.k, p.Blue)
	case screen.ConfirmedStop: // ticked twice
		ring(p.Card)
		c.tick(x-0.22*s, y-0.05*s, 1.0*s, 2.5*p.k, p.Blue)
		c.tick(x+0.3*s, y+0.05*s, 1.0*s, 2.5*p.k, p.Blue)
	case screen.DueStop: // the hands of a clock
		ring(p.Card)
		c.path(2.5*p.k, p.Ink, pt{x, y - 0.62*s}, pt{x, y}, pt{x + 0.45*s, y + 0.3*s})
	case screen.RustyStop: // cracked
		ring(p.Shade)
		c.path(2.5*p.k, p.Red, pt{x - 0.2*s, y - s}, pt{x + 0.3*s, y - 0.35*s}, pt{x - 0.35*s, y + 0.2*s}, pt{x + 0.2*s, y + s})
	}
}
