package sheet

// A Sheet is a lesson on paper.
type Sheet struct {
	Title string
	Paper Paper
	Pages []Page
}

// Paper is a size of paper. The zero value is A4.
type Paper int

// The papers.
const (
	A4     Paper = iota // 210 mm by 297 mm: ISO 216
	Letter              // 8.5 in by 11 in: ANSI/ASME Y14.1 size A
)

const (
	inch = 72.0
	mm   = inch / 25.4
)

// Size is the width and height of the paper, upright.
func (p Paper) Size() (width, height float64) {
	if p == Letter {
		return 8.5 * inch, 11 * inch
	}
	return 210 * mm, 297 * mm
}

// A Page is what is on one page. Nothing on it lies over anything else, so the order of
// drawing does not matter.
type Page struct {
	Texts []Text // in reading order
	Paths []Path
	Links []Link
}

// A Text is one run of letters in one line. The fonts have all of its letters.
type Text struct {
	X, Y   float64 // left end of the baseline
	Size   float64
	Bold   bool
	Hidden bool // to be found and copied only: a path draws what it says
	String string
}

// A Path is a black line or area.
type Path struct {
	Segments []Segment
	Width    float64 // of the line; 0: the path is an area, filled where it winds round
}

// A Segment is a step of a path.
type Segment struct {
	Op     Op
	Points [3]Point // as many as the step has, its end last
}

// Op is a kind of step.
type Op int

// The steps.
const (
	Move  Op = iota // one point
	Line            // one point
	Curve           // two control points and the end of a cubic Bézier curve
	Close           // none
)

// Count is how many points the step has.
func (o Op) Count() int { return [...]int{1, 1, 3, 0}[o] }

// A Point is a place on the page.
type Point struct{ X, Y float64 }

// A Link is an area that leads to an address.
type Link struct {
	X, Y, W, H float64
	URL        string
}

// add puts what is on q on p, moved by dx and dy.
func (p *Page) add(q Page, dx, dy float64) {
	for _, t := range q.Texts {
		t.X, t.Y = t.X+dx, t.Y+dy
		p.Texts = append(p.Texts, t)
	}
	for _, path := range q.Paths {
		moved := Path{make([]Segment, len(path.Segments)), path.Width}
		for i, s := range path.Segments {
			for k := range s.Points[:s.Op.Count()] {
				s.Points[k].X += dx
				s.Points[k].Y += dy
			}
			moved.Segments[i] = s
		}
		p.Paths = append(p.Paths, moved)
	}
	for _, l := range q.Links {
		l.X, l.Y = l.X+dx, l.Y+dy
		p.Links = append(p.Links, l)
	}
}

func move(x, y float64) Segment  { return Segment{Op: Move, Points: [3]Point{{x, y}}} }
func along(x, y float64) Segment { return Segment{Op: Line, Points: [3]Point{{x, y}}} }
func curve(x1, y1, x2, y2, x, y float64) Segment {
	return Segment{Op: Curve, Points: [3]Point{{x1, y1}, {x2, y2}, {x, y}}}
}
func closed() Segment { return Segment{Op: Close} }

// A canvas is a part of a page while it is drawn, with its own origin.
type canvas struct {
	Page
	fonts *fonts
}

func (c *canvas) stroke(width float64, s ...Segment) {
	c.Paths = append(c.Paths, Path{s, width})
}

func (c *canvas) line(x1, y1, x2, y2, width float64) { c.stroke(width, move(x1, y1), along(x2, y2)) }

func (c *canvas) area(s ...Segment) { c.Paths = append(c.Paths, Path{s, 0}) }

func (c *canvas) box(x, y, w, h float64) {
	c.area(move(x, y), along(x+w, y), along(x+w, y+h), along(x, y+h), closed())
}

// text writes one line and returns its right end.
func (c *canvas) text(x, y, size float64, bold bool, s string) float64 {
	start, run := x, []rune(nil)
	flush := func() {
		if len(run) > 0 {
			c.Texts = append(c.Texts, Text{X: start, Y: y, Size: size, Bold: bold, String: string(run)})
		}
		run = run[:0]
	}
	for _, r := range c.fonts.clean(s) {
		w := c.fonts.advance(r, bold) * size
		if a, ok := accidental(r); ok {
			flush()
			narrow := size * min(1, a.advance/c.fonts.width(a.plain, 1, bold)) // no wider than the sign
			c.Texts = append(c.Texts, Text{X: x, Y: y, Size: narrow, Bold: bold, Hidden: true, String: a.plain})
			a.draw(c, x, y, size)
			start = x + w
		} else {
			run = append(run, r)
		}
		x += w
	}
	flush()
	return x
}

// centred writes one line with its middle at x.
func (c *canvas) centred(x, y, size float64, bold bool, s string) {
	c.text(x-c.fonts.width(s, size, bold)/2, y, size, bold, s)
}
