package paint

import (
	"image"
	"image/color"
	"image/draw"
	"math"

	"golang.org/x/image/vector"
)

// A pen draws shapes, in CSS pixels, into an image.
type pen struct {
	dst    *image.RGBA
	fonts  *Fonts
	scale  float64
	dx, dy float64 // added to every position, in CSS pixels
	z      *vector.Rasterizer
}

func newPen(f *Fonts, scale, w, h, dx, dy float64) *pen {
	return &pen{
		dst:   image.NewRGBA(image.Rect(0, 0, int(math.Ceil(w*scale)), int(math.Ceil(h*scale)))),
		fonts: f, scale: scale, dx: dx, dy: dy, z: new(vector.Rasterizer),
	}
}

type pt struct{ x, y float64 }

// fill fills polygons by the non-zero rule.
func (p *pen) fill(c color.RGBA, shapes ...[]pt) {
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, s := range shapes {
		for _, q := range s {
			x0, y0, x1, y1 = min(x0, q.x), min(y0, q.y), max(x1, q.x), max(y1, q.y)
		}
	}
	p.within(p.outside(x0, y0, x1, y1), c, shapes...)
}

// outside is the least box of image pixels around a box.
func (p *pen) outside(x0, y0, x1, y1 float64) image.Rectangle {
	return image.Rect(int(math.Floor((x0+p.dx)*p.scale)), int(math.Floor((y0+p.dy)*p.scale)),
		int(math.Ceil((x1+p.dx)*p.scale)), int(math.Ceil((y1+p.dy)*p.scale)))
}

// within fills the part of polygons that lies in a box of image pixels.
func (p *pen) within(box image.Rectangle, c color.RGBA, shapes ...[]pt) {
	box = box.Intersect(p.dst.Rect)
	if box.Empty() {
		return
	}
	p.z.Reset(box.Dx(), box.Dy())
	for _, s := range shapes {
		for i, q := range s {
			x := float32((q.x+p.dx)*p.scale - float64(box.Min.X))
			y := float32((q.y+p.dy)*p.scale - float64(box.Min.Y))
			if i == 0 {
				p.z.MoveTo(x, y)
			} else {
				p.z.LineTo(x, y)
			}
		}
		p.z.ClosePath()
	}
	p.z.Draw(p.dst, box, image.NewUniform(c), image.Point{})
}

// around fills what lies of polygons in the outer edge of a box, edge wide, and returns the
// image pixels inside it: drawing large empty or plain middles is most of the work.
func (p *pen) around(x, y, w, h, edge float64, c color.RGBA, shapes ...[]pt) image.Rectangle {
	all := p.outside(x, y, x+w, y+h)
	e := int(math.Ceil(edge*p.scale)) + 1
	in := all.Inset(e)
	if in.Empty() {
		p.within(all, c, shapes...)
		return image.Rectangle{}
	}
	p.within(image.Rect(all.Min.X, all.Min.Y, all.Max.X, in.Min.Y), c, shapes...)
	p.within(image.Rect(all.Min.X, in.Max.Y, all.Max.X, all.Max.Y), c, shapes...)
	p.within(image.Rect(all.Min.X, in.Min.Y, in.Min.X, in.Max.Y), c, shapes...)
	p.within(image.Rect(in.Max.X, in.Min.Y, all.Max.X, in.Max.Y), c, shapes...)
	return in
}

func (p *pen) arc(dst []pt, x, y, r, from, to float64) []pt {
	// Lines of a few pixels: the arc leaves them by less than a twentieth of one.
	n := max(2, int(math.Ceil(math.Abs(to-from)*math.Sqrt(math.Max(r, 0.5)*p.scale)*1.2)))
	for i := 0; i <= n; i++ {
		a := from + (to-from)*float64(i)/float64(n)
		dst = append(dst, pt{x + r*math.Cos(a), y + r*math.Sin(a)})
	}
	return dst
}

func (p *pen) rounded(x, y, w, h, r float64) []pt {
	r = math.Max(0, math.Min(r, math.Min(w, h)/2))
	var s []pt
	s = p.arc(s, x+w-r, y+h-r, r, 0, math.Pi/2)
	s = p.arc(s, x+r, y+h-r, r, math.Pi/2, math.Pi)
	s = p.arc(s, x+r, y+r, r, math.Pi, 3*math.Pi/2)
	return p.arc(s, x+w-r, y+r, r, 3*math.Pi/2, 2*math.Pi)
}

func backwards(s []pt) []pt {
	r := make([]pt, len(s))
	for i := range s {
		r[len(s)-1-i] = s[i]
	}
	return r
}

// box fills a box with an opaque colour.
func (p *pen) box(x, y, w, h, r float64, c color.RGBA) {
	in := p.around(x, y, w, h, r, c, p.rounded(x, y, w, h, r))
	draw.Draw(p.dst, in, image.NewUniform(c), image.Point{}, draw.Src)
}

// frame outlines a box inside its edge.
func (p *pen) frame(x, y, w, h, r, thick float64, c color.RGBA) {
	p.around(x, y, w, h, max(r, thick), c, p.rounded(x, y, w, h, r), backwards(p.rounded(x+thick, y+thick, w-2*thick, h-2*thick, r-thick)))
}

func (p *pen) disc(x, y, r float64, c color.RGBA) { p.fill(c, p.arc(nil, x, y, r, 0, 2*math.Pi)) }

func (p *pen) ring(x, y, r, thick float64, c color.RGBA) {
	p.fill(c, p.arc(nil, x, y, r, 0, 2*math.Pi), backwards(p.arc(nil, x, y, r-thick, 0, 2*math.Pi)))
}

// stroke draws a line with round ends.
func (p *pen) stroke(x0, y0, x1, y1, thick float64, c color.RGBA) {
	a, r := math.Atan2(y1-y0, x1-x0), thick/2
	s := p.arc(nil, x1, y1, r, a-math.Pi/2, a+math.Pi/2)
	p.fill(c, p.arc(s, x0, y0, r, a+math.Pi/2, a+3*math.Pi/2))
}

// path strokes lines from point to point.
func (p *pen) path(thick float64, c color.RGBA, q ...pt) {
	for i := 1; i < len(q); i++ {
		p.stroke(q[i-1].x, q[i-1].y, q[i].x, q[i].y, thick, c)
	}
}

func (p *pen) dashes(x0, y0, x1, y1, thick, on, off float64, c color.RGBA) {
	l := math.Hypot(x1-x0, y1-y0)
	if l == 0 {
		return
	}
	ux, uy := (x1-x0)/l, (y1-y0)/l
	for at := 0.0; at < l; at += on + off {
		end := math.Min(at+on, l)
		p.stroke(x0+ux*at, y0+uy*at, x0+ux*end, y0+uy*end, thick, c)
	}
}

func (p *pen) text(s string, x, y, size float64, bold bool, c color.RGBA) {
	p.fonts.draw(p.dst, s, (x+p.dx)*p.scale, (y+p.dy)*p.scale, size*p.scale, bold, c)
}

// centred writes text around x.
func (p *pen) centred(s string, x, y, size float64, bold bool, c color.RGBA) {
	p.text(s, x-p.fonts.Width(s, size, bold)/2, y, size, bold, c)
}

// The marks: what is in the window, out of it, and was not played, told by shape.

func (p *pen) tick(x, y, size, thick float64, c color.RGBA) {
	p.path(thick, c, pt{x - size*0.42, y + size*0.02}, pt{x - size*0.12, y + size*0.34}, pt{x + size*0.44, y - size*0.36})
}

func (p *pen) cross(x, y, size, thick float64, c color.RGBA) {
	r := size * 0.34
	p.stroke(x-r, y-r, x+r, y+r, thick, c)
	p.stroke(x-r, y+r, x+r, y-r, thick, c)
}

func (p *pen) warn(x, y, size float64, c, on color.RGBA) {
	r := size * 0.5
	p.fill(c, []pt{{x, y - r}, {x + r*1.05, y + r*0.85}, {x - r*1.05, y + r*0.85}})
	p.stroke(x, y-r*0.25, x, y+r*0.22, size*0.1, on)
	p.disc(x, y+r*0.55, size*0.065, on)
}

// note draws an i in a ring.
func (p *pen) note(x, y, size float64, c color.RGBA) {
	p.ring(x, y, size*0.42, size*0.1, c)
	p.disc(x, y-size*0.2, size*0.07, c)
	p.stroke(x, y-size*0.04, x, y+size*0.22, size*0.12, c)
}
