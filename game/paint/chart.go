package paint

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"

	"reedwell/game/screen"
)

// chart draws the form as it is written: bars, chords, tab, the asked pitches as lines,
// and what became of each note.
func (p *Painter) chart(c *pen, r screen.Rect, ch *screen.Chart) {
	plan := screen.PlanChart(ch, r, p.look, p.fonts)
	beats := max(1, ch.BeatsPerBar)
	for row := range plan.Rows {
		top, bottom := plan.Bar(row)
		first := row * plan.PerRow
		last := min(first+plan.PerRow, max(1, ch.Bars))
		x0, x1 := plan.X(float64(first*beats), row), plan.X(float64(last*beats), row)
		from := x0
		if row == 0 && ch.Pickup > 0 {
			from = plan.X(-ch.Pickup, row) - 4
		}
		c.box(from, top, x1-from, bottom-top, 2, p.Card)
		for bar := first; bar <= last; bar++ {
			x := plan.X(float64(bar*beats), row)
			thick := 1.5
			if bar == last && last == ch.Bars { // the end of the form
				c.stroke(x-5, top, x-5, bottom, 1.5, p.Ink)
				thick = 3.5
			}
			c.stroke(x, top, x, bottom, thick, p.Ink)
			for b := 1; b < beats && bar < last; b++ {
				x := plan.X(float64(bar*beats+b), row)
				c.stroke(x, bottom-4, x, bottom, 1, p.Edge)
			}
		}
		c.stroke(from, bottom, x1, bottom, 1, p.Edge)
	}
	edge := 0.0
	at := -1
	for _, h := range ch.Chords {
		row := plan.Row(h.Beat)
		x := plan.X(h.Beat, row) + 3
		if row == at && x < edge {
			continue
		}
		top, _ := plan.Bar(row)
		c.text(h.Name, x, top-6*plan.Scale, 17*plan.Scale, true, p.Ink)
		edge, at = x+p.fonts.Width(h.Name, 17*plan.Scale, true)+4, row
	}
	p.asked(c, plan, ch)
	p.tabs(c, plan, ch)
}

// each calls f for the parts of a stretch of beats that lie in one row each.
func each(plan screen.ChartPlan, ch *screen.Chart, from, to float64, f func(row int, from, to float64)) {
	beats := float64(plan.PerRow * max(1, ch.BeatsPerBar))
	for row := plan.Row(from); row < plan.Rows; row++ {
		end := float64(row+1) * beats
		if row == plan.Rows-1 {
			end = math.Max(to, from)
		}
		if part := math.Min(to, end); part > from {
			f(row, from, part)
		}
		if to <= end {
			return
		}
		from = end
	}
}

func (p *Painter) asked(c *pen, plan screen.ChartPlan, ch *screen.Chart) {
	thick := 7 * plan.Scale
	for i, n := range ch.Notes {
		if n.Chosen {
			row := plan.Row(n.Beat)
			top, bottom := plan.Bar(row)
			x0, x1 := plan.X(n.Beat, row), plan.X(n.Beat+n.Beats, row)
			w := math.Max(x1-x0, 14)
			below := (screen.TabHeight + screen.OutcomeHeight) * plan.Scale
			c.box(x0-1, top+1, w+2, bottom-top-2+below, 3, p.Shade)
			c.frame(x0-1, top+1, w+2, bottom-top-2+below, 3, 1.5, p.Brass)
		}
		each(plan, ch, n.Beat, n.Beat+n.Beats, func(row int, from, to float64) {
			x0, x1, y := plan.X(from, row), plan.X(to, row), plan.Y(n.Cents, row)
			start := from == n.Beat
			joined := i+1 < len(ch.Notes) && ch.Notes[i+1].Join != 0 && ch.Notes[i+1].Beat-(n.Beat+n.Beats) < 0.01
			end := x1 - thick/2
			if !joined {
				end -= 2
			}
			if n.Zone > 0 { // a band as high as the zone, and no line in it
				top, bottom := plan.Y(n.Cents+n.Zone, row), plan.Y(n.Cents-n.Zone, row)
				if high := thick * 1.6; bottom-top < high {
					top, bottom = y-high/2, y+high/2
				}
				c.frame(x0+1, top, math.Max(end+thick/2-x0-1, 4), bottom-top, 3, 2, p.Asked)
			}
			x := math.Min(x0+thick/2, end)
			if n.Zone == 0 {
				c.stroke(x, y, math.Max(x, end), y, thick, p.Asked)
			}
			if !start {
				return
			}
			p.lean(c, n, x0, y, plan)
			if n.Join == 0 { // the tongue, clear of a bar line
				c.stroke(x0+2, y-thick*1.1, x0+2, y+thick*1.1, 2, p.Asked)
				return
			}
			if i > 0 {
				before := ch.Notes[i-1]
				if plan.Row(before.Beat) == row && n.Beat-(before.Beat+before.Beats) < 0.01 {
					w := thick * 0.6
					if n.Join == 1 {
						w = 1.5
					}
					c.stroke(x0-thick/2, plan.Y(before.Cents, row), x, y, w, p.Asked)
				}
			}
		})
	}
}

// tabs writes the tab under its beat and the outcome under the tab. Where notes stand too
// close, a tab is left out; what is asked can still be told from its neighbours, and the
// chosen note is always written.
func (p *Painter) tabs(c *pen, plan screen.ChartPlan, ch *screen.Chart) {
	k := plan.Scale
	size := screen.TabSize * k
	gap := math.Inf(1)
	notes := ch.Tabs()
	for i := 1; i < len(notes); i++ {
		a, b := notes[i-1], notes[i]
		room := (b.Beat - a.Beat) * plan.Unit
		gap = math.Min(gap, room)
		for size > screen.LeastTabSize*k && c.fonts.Width(tab(a.Tab), size, true)+4 > room {
			size -= 0.5
		}
	}
	edge, at := 0.0, -1
	for _, n := range notes {
		row := plan.Row(n.Beat)
		_, bottom := plan.Bar(row)
		x := plan.X(n.Beat, row) + 2 // clear of the edge of a chosen note
		t := tab(n.Tab)
		w := c.fonts.Width(t, size, true)
		if row != at || x >= edge {
			c.text(t, x, bottom+17*k, size, true, p.Ink)
			edge, at = x+w+2, row
		}
		m := math.Min(16*k, math.Max(5, gap*0.9))
		mx, my := x+math.Min(w/2, math.Max(gap/2, 3)), bottom+(screen.TabHeight+9)*k
		switch n.Outcome {
		case screen.InWindow:
			c.tick(mx, my, m, m*0.17, p.Blue)
		case screen.OutOfWindow:
			c.cross(mx, my, m, m*0.17, p.Red)
		case screen.Missed:
			c.ring(mx, my, m*0.36, m*0.13, p.Red)
		}
		p.sign(c, n.Sign, mx, my, m)
	}
}

// cursor is the place in the form now.
func (p *Painter) cursor(plan screen.ChartPlan, ch *screen.Chart) []Sprite {
	var all []Sprite
	if ch.CountIn > 0 {
		// Where no place is large enough the words beside the chart say it alone.
		for _, size := range []float64{24, 19, 15} {
			words := fmt.Sprintf("Count-in %d", ch.CountIn)
			w, h := p.fonts.Width(words, size*plan.Scale, true)+1.3*size*plan.Scale, 1.6*size*plan.Scale
			if x, y, ok := plan.Free(w, h); ok {
				all = append(all, p.countIn(words, x, y, w, h))
				break
			}
		}
	}
	if math.IsInf(ch.Cursor, 0) || math.IsNaN(ch.Cursor) || ch.Cursor < -ch.Pickup || ch.Cursor > float64(ch.Bars*ch.BeatsPerBar) {
		return all
	}
	row := plan.Row(ch.Cursor)
	top, bottom := plan.Bar(row)
	h := bottom - top + 8 // not into the tab
	return append(all, Sprite{
		Key: fmt.Sprintf("cursor %.1f", h), X: plan.X(ch.Cursor, row) - 5, Y: top - 6,
		paint: func() *pen {
			c := newPen(p.fonts, p.scale, 10, h, 0, 0)
			c.stroke(5, 4, 5, h-2, 1.75, p.Ink)
			c.fill(p.Ink, []pt{{0.5, 0}, {9.5, 0}, {5, 7}})
			return c
		},
	})
}

// countIn is how many beats are left, large, on a slip of card.
func (p *Painter) countIn(words string, x, y, w, h float64) Sprite {
	size := h / 1.6
	return Sprite{
		Key: fmt.Sprintf("%s %.1f", words, size), X: x, Y: y,
		paint: func() *pen {
			c := newPen(p.fonts, p.scale, w, h, 0, 0)
			c.box(0, 0, w, h, 8, p.Card)
			c.frame(0, 0, w, h, 8, 2, p.Ink)
			c.text(words, 0.65*size, h/2+size*0.36, size, true, p.Ink)
			return c
		},
	}
}

// Ink is the played line, over a chart. It only grows, so that each call of Add draws what
// is new.
type Ink struct {
	p     *Painter
	pen   *pen
	rect  screen.Rect
	drawn int
	last  screen.TracePoint
	first screen.TracePoint
}

// NewInk returns ink for charts of a painter.
func (p *Painter) NewInk() *Ink { return &Ink{p: p} }

// Image is the ink so far, as large as the chart's rectangle; nil before the first Add.
func (k *Ink) Image() *image.RGBA {
	if k.pen == nil {
		return nil
	}
	return k.pen.dst
}

// Add draws the trace of a chart placed in r and returns which part of the image changed.
func (k *Ink) Add(ch *screen.Chart, r screen.Rect) image.Rectangle {
	r.X, r.Y = 0, 0
	t := ch.Trace
	// first and last tell a line that has grown from another one.
	grown := k.pen != nil && r == k.rect && len(t) >= k.drawn && (k.drawn == 0 || t[0] == k.first && t[k.drawn-1] == k.last)
	dirty := image.Rectangle{}
	if !grown {
		if k.pen == nil || r != k.rect {
			k.pen = newPen(k.p.fonts, k.p.scale, r.W, r.H, 0, 0)
		} else {
			draw.Draw(k.pen.dst, k.pen.dst.Rect, image.Transparent, image.Point{}, draw.Src)
		}
		k.rect, k.drawn = r, 0
		dirty = k.pen.dst.Rect
	}
	if len(t) == k.drawn {
		return dirty
	}
	plan := screen.PlanChart(ch, r, k.p.look, k.p.fonts)
	from := k.drawn
	for i := from; i < len(t); i++ {
		dirty = dirty.Union(k.stroke(plan, ch, i, k.p.Blue))
	}
	k.drawn, k.first, k.last = len(t), t[0], t[len(t)-1]
	return dirty
}

// stroke draws the line to point i, as far as it lies in the form. A small angle at either
// end of the form says that it went on beyond.
func (k *Ink) stroke(plan screen.ChartPlan, ch *screen.Chart, i int, c color.RGBA) image.Rectangle {
	t := ch.Trace
	b := t[i]
	a := b
	row := plan.Row(b.Beat)
	if i > 0 && !b.Gap && plan.Row(t[i-1].Beat) == row {
		a = t[i-1]
	}
	first, last := -ch.Pickup, float64(ch.Bars*max(1, ch.BeatsPerBar))
	if b.Beat < first || a.Beat > last {
		return image.Rectangle{}
	}
	edge := 1.0
	thick := (1.6 + 1.6*math.Min(1, math.Max(0, b.Level))) * math.Sqrt(k.p.k)
	beyond := func(at, way float64) float64 {
		cents := a.Cents
		if b.Beat > a.Beat {
			cents += (at - a.Beat) / (b.Beat - a.Beat) * (b.Cents - a.Cents)
		}
		x, y := plan.X(at, row)+way*3, plan.Y(cents, row)
		k.pen.path(1.75, c, pt{x, y - 4}, pt{x + way*4, y}, pt{x, y + 4})
		edge = 9
		return cents
	}
	if a.Beat < first {
		a.Cents = beyond(first, -1)
		a.Beat = first
	}
	if b.Beat > last {
		b.Cents = beyond(last, 1)
		b.Beat = last
	}
	x0, y0, x1, y1 := plan.X(a.Beat, row), plan.Y(a.Cents, row), plan.X(b.Beat, row), plan.Y(b.Cents, row)
	k.pen.stroke(x0, y0, x1, y1, thick, c)
	s, e := k.p.scale, thick+edge
	return image.Rect(int((min(x0, x1)-e)*s), int((min(y0, y1)-e)*s), int((max(x0, x1)+e)*s)+1, int((max(y0, y1)+e)*s)+1).Intersect(k.pen.dst.Rect)
}
