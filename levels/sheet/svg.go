package sheet

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// SVG draws a page, from 0, as an SVG 1.1 picture of the size of the paper. Letters are
// drawn as outlines, so that it looks the same everywhere; what they say stands in its
// description. It fails when there is no such page.
func (s Sheet) SVG(page int) ([]byte, error) {
	if page < 0 || page >= len(s.Pages) {
		return nil, fmt.Errorf("sheet: there is no page %d of %d", page+1, len(s.Pages))
	}
	p, f := s.Pages[page], newFonts()
	var out bytes.Buffer
	w, h := s.Paper.Size()
	wide, high := "210mm", "297mm"
	if s.Paper == Letter {
		wide, high = "8.5in", "11in"
	}
	fmt.Fprintf(&out, `<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="%s" height="%s" viewBox="0 0 %s %s" role="img">`+"\n",
		wide, high, number(w), number(h))
	fmt.Fprintf(&out, "<title>%s</title>\n<desc>%s</desc>\n", escape(fmt.Sprintf("%s, page %d of %d", s.Title, page+1, len(s.Pages))), escape(p.String()))

	defined := map[string]bool{}
	var shapes, letters bytes.Buffer
	for _, t := range p.Texts {
		if t.Hidden {
			continue
		}
		scale := t.Size / perEm
		fmt.Fprintf(&letters, `<g transform="translate(%s %s) scale(%s)">`, number(t.X), number(t.Y), strconv.FormatFloat(scale, 'g', 5, 64))
		x := 0.0
		for _, r := range t.String {
			g := f.glyph(r, t.Bold)
			id := fmt.Sprintf("sheet-%d-%d", which(t.Bold), g.index)
			if !defined[id] {
				outline, err := f.outline(r, t.Bold)
				if err != nil {
					return nil, fmt.Errorf("sheet: the letter %q: %w", r, err)
				}
				defined[id] = true
				fmt.Fprintf(&shapes, `<path id="%s" d="%s"/>`+"\n", id, data(outline, -1))
			}
			if r != ' ' {
				fmt.Fprintf(&letters, `<use xlink:href="#%s" x="%s"/>`, id, number(x))
			}
			x += g.advance * perEm
		}
		letters.WriteString("</g>\n")
	}
	fmt.Fprintf(&out, "<defs>\n%s</defs>\n", shapes.Bytes())
	// The paper is white wherever the picture is shown.
	fmt.Fprintf(&out, `<rect width="%s" height="%s" fill="#fff"/>`+"\n", number(w), number(h))
	for _, path := range p.Paths {
		if path.Width == 0 {
			fmt.Fprintf(&out, `<path d="%s"/>`+"\n", data(path.Segments, 1))
		} else {
			fmt.Fprintf(&out, `<path fill="none" stroke="#000" stroke-linejoin="round" stroke-width="%s" d="%s"/>`+"\n", number(path.Width), data(path.Segments, 1))
		}
	}
	out.Write(letters.Bytes())
	for _, l := range p.Links {
		fmt.Fprintf(&out, `<a xlink:href="%s"><rect x="%s" y="%s" width="%s" height="%s" fill-opacity="0"/></a>`+"\n",
			escape(l.URL), number(l.X), number(l.Y), number(l.W), number(l.H))
	}
	out.WriteString("</svg>\n")
	return out.Bytes(), nil
}

// String is all that is written on the page, a text a line.
func (p Page) String() string {
	var out strings.Builder
	for _, t := range p.Texts {
		out.WriteString(t.String)
		out.WriteByte('\n')
	}
	return out.String()
}

// data writes the steps of a path; up is -1 for shapes drawn with y upward.
func data(all []Segment, up float64) string {
	var out strings.Builder
	for _, s := range all {
		out.WriteByte("MLCZ"[s.Op])
		for i, p := range s.Points[:s.Op.Count()] {
			if i > 0 {
				out.WriteByte(' ')
			}
			out.WriteString(number(p.X) + " " + number(up*p.Y))
		}
	}
	return out.String()
}

// number writes a length to a hundredth.
func number(x float64) string {
	return strconv.FormatFloat(math.Round(x*100)/100+0, 'f', -1, 64)
}

func escape(s string) string {
	var out bytes.Buffer
	// A buffer takes everything; what XML does not allow is replaced.
	_ = xml.EscapeText(&out, []byte(s))
	return out.String()
}
