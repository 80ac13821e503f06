package paint

import (
	"image"
	"image/color"
	"math"
	"slices"
	"strings"

	"reedwell/game/screen"
)

// Bleed is how far, in CSS pixels, an item's image reaches beyond its rectangle on every
// side: the ring of the item that has the keyboard lies there.
const Bleed = 6

// A Painter draws for one look and one scale.
type Painter struct {
	fonts *Fonts
	look  screen.Look
	scale float64 // image pixels a CSS pixel
	k     float64
	Palette
}

// New returns a Painter. scale is image pixels a CSS pixel.
func New(f *Fonts, look screen.Look, scale float64) *Painter {
	return &Painter{fonts: f, look: look, scale: scale, k: look.TextScale(), Palette: PaletteOf(look)}
}

// A Touch is what the player's hand does to an item.
type Touch struct {
	Ring    bool // it has the keyboard
	Pressed bool
}

// Same reports whether what Item draws for item i of a and item j of b, placed screens of
// one look, is the same.
func Same(a screen.Screen, i int, b screen.Screen, j int) bool {
	x, y := a.Items[i], b.Items[j]
	if !SameItem(x, y) || x.Rect.W != y.Rect.W || x.Rect.H != y.Rect.H {
		return false
	}
	switch x.Role {
	case screen.CombView:
		return (a.Comb == nil) == (b.Comb == nil) && (a.Comb == nil || sameReeds(a.Comb, b.Comb))
	case screen.ChartView:
		return SameChart(a.Chart, b.Chart)
	}
	return true
}

// SameItem reports whether two items are the same but for where they stand.
func SameItem(x, y screen.Item) bool {
	return x.ID == y.ID && x.Role == y.Role && x.Style == y.Style && x.Label == y.Label && x.Detail == y.Detail &&
		x.Group == y.Group && x.Value == y.Value && x.Min == y.Min && x.Max == y.Max && x.Now == y.Now && x.Unit == y.Unit &&
		x.Step == y.Step && x.On == y.On && x.Disabled == y.Disabled && x.Row == y.Row && x.Narrow == y.Narrow && x.Picture == y.Picture &&
		x.Stop == y.Stop && x.Tile == y.Tile && x.Many == y.Many && x.Counted.Same(y.Counted) && screen.SamePlot(x.Plot, y.Plot) &&
		sameWriting(x.Writing, y.Writing) && slices.Equal(x.Options, y.Options)
}

func sameWriting(x, y *screen.Writing) bool { return x == y || x != nil && y != nil && *x == *y }

func sameSlot(x, y screen.Slot) bool {
	return x.Blow == y.Blow && x.Draw == y.Draw && x.Names == y.Names && x.Marks == y.Marks && slices.Equal(x.Rungs, y.Rungs)
}

func sameReeds(x, y *screen.Comb) bool {
	return x.Figures == y.Figures && slices.EqualFunc(x.Slots[:], y.Slots[:], sameSlot)
}

// SameComb reports whether two combs are the same, with what moves on them.
func SameComb(x, y *screen.Comb) bool {
	return x == y || x != nil && y != nil && x.Asked == y.Asked && x.Next == y.Next && slices.Equal(x.Beads, y.Beads) && sameReeds(x, y)
}

// SamePlayed reports whether the same was played on two charts of which SameChart holds, and time stands still.
func SamePlayed(x, y *screen.Chart) bool {
	return x == y || x != nil && y != nil && x.Cursor == y.Cursor && x.CountIn == y.CountIn && slices.Equal(x.Trace, y.Trace)
}

// SameChart reports whether two charts ask the same and came to the same, whatever was
// played meanwhile.
func SameChart(x, y *screen.Chart) bool {
	return x == y || x != nil && y != nil && x.Bars == y.Bars && x.BeatsPerBar == y.BeatsPerBar && x.PerRow == y.PerRow && x.Pickup == y.Pickup &&
		x.LowCents == y.LowCents && x.HighCents == y.HighCents && slices.Equal(x.Chords, y.Chords) && slices.Equal(x.Notes, y.Notes)
}

// Item draws what stands still of item i of a placed screen.
func (p *Painter) Item(s screen.Screen, i int, t Touch) *image.RGBA {
	it := s.Items[i]
	r := it.Rect
	c := newPen(p.fonts, p.scale, r.W+2*Bleed, r.H+2*Bleed, Bleed, Bleed)
	ink := p.Ink
	switch it.Role {
	case screen.Heading:
		if it.Style == screen.Title {
			c.stroke(1, r.H-4, r.W-1, r.H-4, 1.5, p.Edge)
			c.stroke(1, r.H-1, r.W-1, r.H-1, 1, p.Edge)
		}
	case screen.Text:
		ink = p.words(c, it)
	case screen.Button, screen.File:
		ink = p.button(c, it, t)
	case screen.Choice, screen.Toggle:
		p.choice(c, it, t)
	case screen.Slider:
		p.slider(c, it)
	case screen.Select, screen.Field:
		p.field(c, it, t)
	case screen.Meter:
		p.meter(c, it)
	case screen.Area:
		top := screen.BoxTop(it, p.look, p.fonts)
		c.box(0, top, r.W, r.H-top, 8, p.Card)
		c.frame(0, top, r.W, r.H-top, 8, 1.75, p.Edge)
	case screen.Image:
		p.paper(c, it)
	case screen.Columns:
		p.columns(c, it)
	case screen.PlotView:
		if it.Plot != nil {
			p.plot(c, it)
		}
	case screen.CombView:
		if s.Comb != nil {
			p.comb(c, r, s.Comb)
		}
	case screen.ChartView:
		if s.Chart != nil {
			p.chart(c, r, s.Chart)
		}
	}
	if it.Disabled {
		ink = p.Faint
	}
	for _, l := range screen.Lines(it, p.look, p.fonts) {
		on := ink
		if l.Part == screen.DetailPart && ink == p.Ink {
			on = p.Faint
		}
		c.text(l.Text, l.X, l.Y, l.Size, l.Bold, on)
	}
	if t.Ring {
		c.frame(-Bleed+1, -Bleed+1, r.W+2*Bleed-2, r.H+2*Bleed-2, 12, 3, p.Ring)
	}
	return c.dst
}

// paper draws a page of paper: black on white, whatever the look.
func (p *Painter) paper(c *pen, it screen.Item) {
	r := it.Rect
	white, black := color.RGBA{255, 255, 255, 255}, color.RGBA{0, 0, 0, 255}
	c.box(0, 0, r.W, r.H, 0, white)
	c.frame(0, 0, r.W, r.H, 0, 1, p.Edge)
	if it.Picture == nil || it.Picture.Width <= 0 {
		return
	}
	k := r.W / it.Picture.Width
	for _, l := range it.Picture.Letters {
		c.text(l.Text, l.X*k, l.Y*k, l.Size*k, l.Bold, black)
	}
	for _, s := range it.Picture.Shapes {
		var all [][]pt
		for _, piece := range s.Pieces {
			var line []pt
			for _, d := range piece {
				line = append(line, pt{d.X * k, d.Y * k})
			}
			if s.Width > 0 {
				c.path(math.Max(s.Width*k, 1/p.scale), black, line...)
			} else {
				all = append(all, line)
			}
		}
		if s.Width == 0 && len(all) > 0 {
			c.fill(black, all...)
		}
	}
}

// mark draws the sign of a style at the left of an item.
func (p *Painter) mark(c *pen, style screen.Style, x, y float64) {
	size := 20 * p.k
	switch style {
	case screen.Good:
		c.tick(x, y, size, 3*p.k, p.Blue)
	case screen.Off:
		c.cross(x, y, size, 3*p.k, p.Red)
	case screen.Warning:
		c.warn(x, y, size, p.Red, p.Card)
	case screen.Note:
		c.note(x, y, size, p.Brass)
	}
}

func (p *Painter) words(c *pen, it screen.Item) color.RGBA {
	switch it.Style {
	case screen.Quiet:
		return p.Faint
	case screen.Good, screen.Off, screen.Note, screen.Warning:
		x := 11 * p.k
		if it.Style == screen.Warning {
			c.box(0, 0, it.Rect.W, it.Rect.H, 8, p.Card)
			c.frame(0, 0, it.Rect.W, it.Rect.H, 8, 1, p.Edge)
			x += 14
		}
		if lines := screen.Lines(it, p.look, p.fonts); len(lines) > 0 { // beside the first line, half way up its small letters
			p.mark(c, it.Style, x, lines[0].Y-0.33*lines[0].Size)
		}
	}
	return p.Ink
}

func (p *Painter) button(c *pen, it screen.Item, t Touch) color.RGBA {
	if it.Stop != screen.NoStop && !it.Tile {
		return p.stop(c, it, t)
	}
	r := it.Rect
	down := 0.0
	if t.Pressed {
		down = 1
	}
	switch {
	case it.Disabled:
		for _, e := range [][4]float64{{8, 0.75, r.W - 8, 0.75}, {8, r.H - 0.75, r.W - 8, r.H - 0.75}, {0.75, 8, 0.75, r.H - 8}, {r.W - 0.75, 8, r.W - 0.75, r.H - 8}} {
			c.dashes(e[0], e[1], e[2], e[3], 1.5, 5, 5, p.Edge)
		}
		return p.Faint
	case it.Style == screen.Primary:
		c.box(0, 0, r.W, r.H, 10, p.Brass)
		if down > 0 {
			c.frame(2, 2, r.W-4, r.H-4, 8, 2, p.OnBrass)
		}
		return p.OnBrass
	case it.Style == screen.Quiet:
		fill := p.Paper
		if down > 0 {
			fill = p.Shade
		}
		c.box(0, 0, r.W, r.H, 10, fill)
		c.frame(0, 0, r.W, r.H, 10, 1, p.Edge)
		return p.Ink
	}
	fill := p.Card
	if down > 0 {
		fill = p.Shade
	}
	c.box(0, 0, r.W, r.H, 10, fill)
	c.frame(0, 0, r.W, r.H, 10, 1.75, p.Edge)
	switch {
	case !it.Tile:
		p.mark(c, it.Style, 16+9*p.k, 12+11.5*p.k)
	case it.Stop != screen.NoStop:
		p.stopMark(c, it.Stop, screen.TileEdge+9.5*p.k, screen.TileEdge+9.5*p.k, 9.5*p.k)
	default:
		p.mark(c, it.Style, screen.TileEdge+9*p.k, screen.TileEdge+11*p.k)
	}
	if it.Stop == screen.ShutStop {
		return p.Faint
	}
	return p.Ink
}

func (p *Painter) choice(c *pen, it screen.Item, t Touch) {
	r := it.Rect
	fill, edge, thick := p.Card, p.Edge, 1.25
	if it.On {
		edge, thick = p.Brass, 2.5
	}
	if t.Pressed {
		fill = p.Shade
	}
	c.box(0, 0, r.W, r.H, 10, fill)
	c.frame(0, 0, r.W, r.H, 10, thick, edge)
	x, y, s := 14+10*p.k, r.H/2, 10*p.k
	if it.Role == screen.Choice {
		c.ring(x, y, s, 2, p.Ink)
		if it.On {
			c.disc(x, y, s-5, p.Brass)
		}
		return
	}
	c.frame(x-s, y-s, 2*s, 2*s, 4, 2, p.Ink)
	if it.On {
		c.tick(x, y, 1.7*s, 3*p.k, p.Brass)
	}
}

func part(it screen.Item) float64 {
	if it.Max <= it.Min {
		return 0
	}
	return math.Min(1, math.Max(0, (it.Now-it.Min)/(it.Max-it.Min)))
}

func (p *Painter) slider(c *pen, it screen.Item) {
	r := it.Rect
	top := screen.BoxTop(it, p.look, p.fonts)
	y := (top + r.H) / 2
	x0, x1 := float64(screen.SliderEdge), r.W-screen.SliderEdge
	x := x0 + part(it)*(x1-x0)
	c.stroke(x0, y, x1, y, 6, p.Groove)
	c.stroke(x0, y, x, y, 6, p.Brass)
	if steps := (it.Max - it.Min) / it.Step; it.Step > 0 && steps <= 24 {
		for i := 0.0; i <= steps+1e-9; i++ {
			c.stroke(x0+i/steps*(x1-x0), y+12, x0+i/steps*(x1-x0), y+15, 1.25, p.Edge)
		}
	}
	c.disc(x, y, 13, p.Brass)
	c.disc(x, y, 9.5, p.Card)
	c.disc(x, y, 5, p.Brass)
}

func (p *Painter) field(c *pen, it screen.Item, t Touch) {
	r := it.Rect
	top := screen.BoxTop(it, p.look, p.fonts)
	h := r.H - top
	c.box(0, top, r.W, h, 8, p.Card)
	c.frame(0, top, r.W, h, 8, 1.75, p.Edge)
	if it.Role == screen.Select {
		y := top + h/2
		c.path(2.5, p.Ink, pt{24, y - 6}, pt{18, y}, pt{24, y + 6})
		c.path(2.5, p.Ink, pt{r.W - 24, y - 6}, pt{r.W - 18, y}, pt{r.W - 24, y + 6})
		return
	}
	if t.Ring { // where the next letter goes
		x := 15 + p.fonts.Width(it.Value, 17*p.k, true)
		if x < r.W-8 {
			c.stroke(x, top+12, x, r.H-12, 1.5, p.Ink)
		}
	}
}

func (p *Painter) meter(c *pen, it screen.Item) {
	r := it.Rect
	top := screen.BoxTop(it, p.look, p.fonts)
	h := r.H - top - 6
	c.box(0, top, r.W, h, 5, p.Card)
	if w := (r.W - 6) * part(it); w > 0 {
		c.box(3, top+3, w, h-6, 3, p.Brass)
	}
	for i := 1; i < 6; i++ {
		x := r.W * float64(i) / 6
		c.stroke(x, top+h-5, x, top+h-1, 1, p.Edge)
	}
	c.frame(0, top, r.W, h, 5, 1.5, p.Edge)
}

// tab writes a tab with a minus sign as wide as the plus.
func tab(s string) string { return strings.Replace(s, "-", "\u2212", 1) }
