package paint

import (
	"image"

	"reedwell/game/screen"
)

// Foot draws what the items in the foot of a window stand on: paper, with a line over it where
// the content goes on underneath.
func (p *Painter) Foot(r screen.Rect) *image.RGBA {
	n := newPen(p.fonts, p.scale, r.W, r.H, 0, 0)
	n.box(0, 0, r.W, r.H, 0, p.Paper)
	n.box(0, 0, r.W, 1.5, 0, p.Edge)
	return n.dst
}
