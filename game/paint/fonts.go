package paint

import (
	"image"
	"image/color"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

// Fonts are the Go fonts, regular and bold. It is a screen.Measure.
type Fonts struct {
	parsed [2]*opentype.Font
	faces  map[faceKey]font.Face
	widths map[widthKey]float64 // at size 1
}

type faceKey struct {
	px   float64
	bold bool
}

type widthKey struct {
	text string
	bold bool
}

// measured is the size at which widths are taken: unhinted outlines scale evenly, and
// at this size the rounding to 1/64 is nothing.
const measured = 256

// Bounds of what is kept, against a text that changes all the time.
const (
	mostWidths = 4000
	mostFaces  = 64
)

// NewFonts reads the fonts, which are part of the program.
func NewFonts() *Fonts {
	f := &Fonts{faces: map[faceKey]font.Face{}, widths: map[widthKey]float64{}}
	for i, ttf := range [][]byte{goregular.TTF, gobold.TTF} {
		parsed, err := opentype.Parse(ttf)
		if err != nil {
			panic("paint: the built-in font: " + err.Error())
		}
		f.parsed[i] = parsed
	}
	return f
}

func (f *Fonts) face(px float64, bold bool) font.Face {
	k := faceKey{px, bold}
	if face, ok := f.faces[k]; ok {
		return face
	}
	if len(f.faces) >= mostFaces {
		clear(f.faces)
	}
	i := 0
	if bold {
		i = 1
	}
	face, err := opentype.NewFace(f.parsed[i], &opentype.FaceOptions{Size: px, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		panic("paint: the built-in font: " + err.Error())
	}
	f.faces[k] = face
	return face
}

// Width is the advance of a line of text.
func (f *Fonts) Width(text string, size float64, bold bool) float64 {
	k := widthKey{text, bold}
	w, ok := f.widths[k]
	if !ok {
		if len(f.widths) >= mostWidths {
			clear(f.widths)
		}
		w = float64(font.MeasureString(f.face(measured, bold), text)) / 64 / measured
		f.widths[k] = w
	}
	return w * size
}

// Has reports whether the fonts have every letter of a text.
func (f *Fonts) Has(text string) bool {
	for _, r := range text {
		for _, p := range f.parsed {
			if i, err := p.GlyphIndex(nil, r); err != nil || i == 0 {
				return false
			}
		}
	}
	return true
}

// draw writes text with its baseline's left end at x, y in image pixels.
func (f *Fonts) draw(dst *image.RGBA, text string, x, y, px float64, bold bool, c color.Color) {
	d := font.Drawer{
		Dst: dst, Src: image.NewUniform(c), Face: f.face(px, bold),
		Dot: fixed.Point26_6{X: fixed.Int26_6(x*64 + 0.5), Y: fixed.Int26_6(y*64 + 0.5)},
	}
	d.DrawString(text)
}
