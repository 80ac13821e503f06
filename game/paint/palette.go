package paint

import (
	"image/color"
	"math"

	"reedwell/game/screen"
)

// A Palette is the colours of a look: paper and ink, the brass of cover plates and reeds,
// the wood of a comb, and a teacher's two pencils, blue for what is right and red for
// what is not. The pencils also differ in lightness and always come with a shape.
type Palette struct {
	Paper, Card    color.RGBA // the page, and what lies on it
	Ink, Faint     color.RGBA // text, small print
	Edge           color.RGBA // outlines of controls
	Brass, OnBrass color.RGBA // the main button, what is set; text on it
	Plate, OnPlate color.RGBA // the comb's cover
	Wood           color.RGBA
	Asked          color.RGBA // the line of an asked pitch
	Blue, Red      color.RGBA // pencils
	Shade          color.RGBA // behind a chosen note
	Ring           color.RGBA // of the item that has the keyboard
	Groove         color.RGBA // a slider's track
}

// PaletteOf returns the colours of a look.
func PaletteOf(l screen.Look) Palette {
	if l.Dark {
		return Palette{
			Paper: rgb(0x211a14), Card: rgb(0x2e251d), Ink: rgb(0xefe4cf), Faint: rgb(0xbfae92),
			Edge: rgb(0x94805f), Brass: rgb(0xd6ae62), OnBrass: rgb(0x21180f), Plate: rgb(0xb28d49), OnPlate: rgb(0x1c150d),
			Wood: rgb(0x5a3a24), Asked: rgb(0xb08d50), Blue: rgb(0x8cc4ff), Red: rgb(0xff9c80), Shade: rgb(0x463826),
			Ring: rgb(0x8cc4ff), Groove: rgb(0x87765c),
		}
	}
	return Palette{
		Paper: rgb(0xf3ead7), Card: rgb(0xfcf7ea), Ink: rgb(0x2a2018), Faint: rgb(0x5f4f3c),
		Edge: rgb(0x8d7753), Brass: rgb(0x7b5617), OnBrass: rgb(0xfff8e6), Plate: rgb(0xcda85c), OnPlate: rgb(0x2a2018),
		Wood: rgb(0x6e4527), Asked: rgb(0xb0853a), Blue: rgb(0x0f4f8f), Red: rgb(0xa82f16), Shade: rgb(0xf0deb4),
		Ring: rgb(0x0b57a4), Groove: rgb(0x93805f),
	}
}

func rgb(v uint32) color.RGBA { return color.RGBA{uint8(v >> 16), uint8(v >> 8), uint8(v), 255} }

// Contrast is the contrast ratio of two opaque colours, 1 to 21, as WCAG 2.2 defines it
// under "contrast ratio" and "relative luminance".
func Contrast(a, b color.RGBA) float64 {
	la, lb := luminance(a), luminance(b)
	return (math.Max(la, lb) + 0.05) / (math.Min(la, lb) + 0.05)
}

func luminance(c color.RGBA) float64 {
	linear := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.04045 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
}
