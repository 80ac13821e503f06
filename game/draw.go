package game

import (
	"image"
	"math"
	"time"

	"github.com/hajimehoshi/ebiten/v2"

	"reedwell/game/paint"
	"reedwell/game/screen"
)

// A canvas keeps the pictures of the screen shown.
type canvas struct {
	painter *paint.Painter
	look    screen.Look
	scale   float64
	items   map[string]*kept
	sprites map[string]*ebiten.Image
	ink     *paint.Ink
	inked   *ebiten.Image
	under   *ebiten.Image // what the foot stands on
	underOf screen.Rect
	line    []byte // pixels on their way to the display
}

// A kept is the picture of one item.
type kept struct {
	of    screen.Screen
	i     int
	touch paint.Touch
	img   *ebiten.Image
	used  bool
}

// mostSprites bounds the sprites kept, against words that change all the time.
const mostSprites = 120

// prepare starts over when the look or the density has changed.
func (c *canvas) prepare(f *paint.Fonts, look screen.Look, scale float64) {
	if c.painter != nil && c.look == look && c.scale == scale {
		return
	}
	for _, k := range c.items {
		k.img.Deallocate()
	}
	for _, img := range c.sprites {
		img.Deallocate()
	}
	if c.inked != nil {
		c.inked.Deallocate()
	}
	if c.under != nil {
		c.under.Deallocate()
	}
	*c = canvas{
		painter: paint.New(f, look, scale), look: look, scale: scale,
		items: map[string]*kept{}, sprites: map[string]*ebiten.Image{}, line: c.line,
	}
	c.ink = c.painter.NewInk()
}

// A frame is all that a picture is made from.
type frame struct {
	still
	comb  *screen.Comb
	chart *screen.Chart
}

// A still is all of it but what moves on comb and chart.
type still struct {
	places                       int
	width, height, scale, scroll float64
	ring                         bool
	focus, pressed               string
}

// uncoverEvery is how often a window is drawn though nothing has changed: some systems lose what another window has covered. Our choice.
const uncoverEvery = time.Second

func (g *Game) frame() frame {
	return frame{still{
		places: g.places, width: g.width, height: g.height, scale: g.scale, scroll: g.scroll(),
		ring: g.desk.Ring, focus: g.desk.Focus, pressed: g.desk.Pressed,
	}, g.placed.Comb, g.placed.Chart}
}

// same reports whether two frames give the same picture. A chart that asks something else was placed anew.
func (f frame) same(o frame) bool {
	return f.still == o.still && paint.SameComb(f.comb, o.comb) && paint.SamePlayed(f.chart, o.chart)
}

// Draw implements ebiten.Game. What the display has already is not drawn again: Ebitengine then leaves the display alone, and a
// screen on which nothing moves costs little.
func (g *Game) Draw(dst *ebiten.Image) {
	from := time.Now()
	defer g.drawn(from)
	now := g.frame()
	uncovered := g.o.Page == nil && from.Sub(g.doneAt) > uncoverEvery
	if len(g.shots) == 0 && !uncovered && now.same(g.done) {
		return
	}
	g.done, g.doneAt = now, from
	c := &g.look
	c.prepare(g.fonts, g.placed.Look, g.scale)
	dst.Fill(c.painter.Paper)
	scroll := g.scroll()
	for _, k := range c.items {
		k.used = false
	}
	inView := func(r screen.Rect) bool { return r.Y+r.H+paint.Bleed > scroll && r.Y-paint.Bleed < scroll+g.height }
	for i, it := range g.placed.Items {
		if it.Foot {
			continue
		}
		if !inView(it.Rect) {
			if k := c.items[it.ID]; k != nil {
				k.used = true
			}
			continue
		}
		c.put(dst, c.item(g.placed, i, g.touch(it)), it.Rect.X-paint.Bleed, it.Rect.Y-paint.Bleed-scroll)
		if it.Role == screen.ChartView && g.placed.Chart != nil {
			c.trace(g.placed.Chart, it.Rect)
			c.put(dst, c.inked, it.Rect.X, it.Rect.Y-scroll)
		}
	}
	if len(c.sprites) > mostSprites {
		for key, img := range c.sprites {
			img.Deallocate()
			delete(c.sprites, key)
		}
	}
	for _, s := range c.painter.Sprites(g.placed) {
		img := c.sprites[s.Key]
		if img == nil {
			img = ebiten.NewImageFromImage(s.Image())
			c.sprites[s.Key] = img
		}
		c.put(dst, img, s.X, s.Y-scroll)
	}
	g.foot(dst)
	for id, k := range c.items {
		if !k.used {
			k.img.Deallocate()
			delete(c.items, id)
		}
	}
	g.shoot(dst)
}

// foot draws the strip that does not scroll, over the content.
func (g *Game) foot(dst *ebiten.Image) {
	c, r := &g.look, g.placed.Foot
	if r.H <= 0 {
		return
	}
	if c.under == nil || c.underOf != r {
		if c.under != nil {
			c.under.Deallocate()
		}
		c.under, c.underOf = ebiten.NewImageFromImage(c.painter.Foot(r)), r
	}
	c.put(dst, c.under, r.X, r.Y)
	for i, it := range g.placed.Items {
		if it.Foot {
			c.put(dst, c.item(g.placed, i, g.touch(it)), it.Rect.X-paint.Bleed, it.Rect.Y-paint.Bleed)
		}
	}
}

// put draws a picture at a place in CSS pixels, on whole pixels so that it stays sharp.
func (c *canvas) put(dst, img *ebiten.Image, x, y float64) {
	var o ebiten.DrawImageOptions
	o.GeoM.Translate(math.Round(x*c.scale), math.Round(y*c.scale))
	dst.DrawImage(img, &o)
}

// item is the picture of an item, drawn anew if it has changed.
func (c *canvas) item(s screen.Screen, i int, touch paint.Touch) *ebiten.Image {
	id := s.Items[i].ID
	k := c.items[id]
	if k != nil && k.touch == touch && paint.Same(k.of, k.i, s, i) {
		k.used = true
		return k.img
	}
	pic := c.painter.Item(s, i, touch)
	if k == nil || k.img.Bounds().Size() != pic.Rect.Size() {
		if k != nil {
			k.img.Deallocate()
		}
		k = &kept{img: ebiten.NewImage(pic.Rect.Dx(), pic.Rect.Dy())}
		c.items[id] = k
	}
	k.img.WritePixels(pic.Pix)
	k.of, k.i, k.touch, k.used = s, i, touch, true
	return k.img
}

// trace brings the played line up to date; only what is new goes to the display.
func (c *canvas) trace(ch *screen.Chart, r screen.Rect) {
	dirty := c.ink.Add(ch, r)
	pic := c.ink.Image()
	if c.inked == nil || c.inked.Bounds().Size() != pic.Rect.Size() {
		if c.inked != nil {
			c.inked.Deallocate()
		}
		c.inked = ebiten.NewImage(pic.Rect.Dx(), pic.Rect.Dy())
		dirty = pic.Rect
	}
	if dirty.Empty() {
		return
	}
	c.line = c.line[:0]
	for y := dirty.Min.Y; y < dirty.Max.Y; y++ {
		c.line = append(c.line, pic.Pix[pic.PixOffset(dirty.Min.X, y):pic.PixOffset(dirty.Max.X, y)]...)
	}
	c.inked.SubImage(dirty).(*ebiten.Image).WritePixels(c.line)
}

// shoot answers Shoot.
func (g *Game) shoot(dst *ebiten.Image) {
	if len(g.shots) == 0 || g.asked.Name == "" {
		return
	}
	pic := image.NewRGBA(dst.Bounds())
	dst.ReadPixels(pic.Pix)
	for _, f := range g.shots {
		f(pic)
	}
	g.shots = nil
}
