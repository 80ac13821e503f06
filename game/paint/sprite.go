package paint

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"

	"reedwell/game/screen"
)

// A Sprite is a small picture laid over the items. Two with the same Key look the same.
type Sprite struct {
	Key   string
	X, Y  float64 // of its top left, in the content's CSS pixels
	w     float64
	paint func() *pen
}

// Image draws the sprite.
func (s Sprite) Image() *image.RGBA { return s.paint().dst }

// label is a line of words with its top left at x, y.
func (p *Painter) label(words string, size float64, bold bool, ink color.RGBA, x, y float64) Sprite {
	w := p.fonts.Width(words, size, bold)
	return Sprite{
		Key: fmt.Sprintf("words %.1f %v %v %s", size, bold, ink, words), X: x, Y: y, w: w,
		paint: func() *pen {
			c := newPen(p.fonts, p.scale, w+2, size*1.35, 0, 0)
			c.text(words, 0, size, size, bold, ink)
			return c
		},
	}
}

// Sprites are what lies over the items of a placed screen: its questions and moving parts,
// the lowest first.
func (p *Painter) Sprites(s screen.Screen) []Sprite {
	var all []Sprite
	for _, q := range s.Questions {
		for _, l := range q.Lines {
			all = append(all, p.label(l.Text, l.Size, l.Bold, p.Ink, q.Rect.X+l.X, q.Rect.Y+l.Y-l.Size))
		}
	}
	for _, it := range s.Items {
		from := len(all)
		switch {
		case it.Role == screen.CombView && s.Comb != nil:
			plan := screen.PlanComb(it.Rect, p.look)
			c := s.Comb
			if onComb(c.Next) {
				all = append(all, p.spot(plan, c.Slots[c.Next.Hole-1], c.Next, false))
			}
			if onComb(c.Asked) {
				all = append(all, p.spot(plan, c.Slots[c.Asked.Hole-1], c.Asked, true))
			}
			for _, b := range c.Beads {
				if onComb(b.Spot) {
					all = append(all, p.bead(b.Hole, plan, b))
				}
			}
			all = append(all, p.combWords(plan, c)...)
		case it.Role == screen.ChartView && s.Chart != nil:
			plan := screen.PlanChart(s.Chart, it.Rect, p.look, p.fonts)
			all = append(all, p.cursor(plan, s.Chart)...)
		}
		for i := from; i < len(all); i++ {
			all[i].X += it.Rect.X
			all[i].Y += it.Rect.Y
		}
	}
	return all
}

func onComb(s screen.Spot) bool { return s.Hole >= 1 && s.Hole <= 10 }

// Whole draws a placed screen as a window of width and height shows it, scrolled down by
// scroll, with the ring around the item named focus. The foot is at the lower end.
func (p *Painter) Whole(s screen.Screen, width, height, scroll float64, focus string) *image.RGBA {
	all := newPen(p.fonts, p.scale, width, height, 0, 0).dst
	draw.Draw(all, all.Rect, image.NewUniform(p.Paper), image.Point{}, draw.Src)
	put := func(img *image.RGBA, x, y float64) {
		at := image.Pt(int(math.Round(x*p.scale)), int(math.Round((y-scroll)*p.scale)))
		draw.Draw(all, img.Rect.Add(at), img, image.Point{}, draw.Over)
	}
	for i, it := range s.Items {
		if it.Foot {
			continue
		}
		put(p.Item(s, i, Touch{Ring: it.ID == focus}), it.Rect.X-Bleed, it.Rect.Y-Bleed)
		if it.Role == screen.ChartView && s.Chart != nil {
			ink := p.NewInk()
			ink.Add(s.Chart, it.Rect)
			put(ink.Image(), it.Rect.X, it.Rect.Y)
		}
	}
	for _, sp := range p.Sprites(s) {
		put(sp.Image(), sp.X, sp.Y)
	}
	if s.Foot.H > 0 {
		scroll = s.Foot.Y + s.Foot.H - height
		put(p.Foot(s.Foot), s.Foot.X, s.Foot.Y)
		for i, it := range s.Items {
			if it.Foot {
				put(p.Item(s, i, Touch{Ring: it.ID == focus}), it.Rect.X-Bleed, it.Rect.Y-Bleed)
			}
		}
	}
	return all
}
