// Package pdf writes a tab sheet as a PDF document, one page for each of the sheet's, with
// the fonts embedded and the letters as text, so that they can be found and copied.
package pdf

import (
	"fmt"
	"io"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"reedwell/levels/sheet"
)

const family = "Go"

// Write writes the document. The same sheet gives the same bytes.
func Write(w io.Writer, s sheet.Sheet) error {
	width, height := s.Paper.Size()
	doc := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "pt", Size: fpdf.SizeType{Wd: width, Ht: height}})
	doc.SetMargins(0, 0, 0)
	doc.SetAutoPageBreak(false, 0)
	doc.SetCatalogSort(true)
	// The library always writes when a document was made; a sheet does not say, and a fixed
	// time keeps the bytes the same.
	made := time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)
	doc.SetCreationDate(made)
	doc.SetModificationDate(made)
	doc.SetTitle(s.Title, true)
	doc.SetLang("en")
	doc.AddUTF8FontFromBytes(family, "", sheet.TrueType(false))
	doc.AddUTF8FontFromBytes(family, "B", sheet.TrueType(true))
	doc.SetLineJoinStyle("round")
	for _, p := range s.Pages {
		doc.AddPage()
		page(doc, p)
	}
	if err := doc.Output(w); err != nil {
		return fmt.Errorf("PDF of %.60q: %w", s.Title, err)
	}
	return nil
}

func page(doc *fpdf.Fpdf, p sheet.Page) {
	for _, path := range p.Paths {
		draw(doc, path)
	}
	const filled, invisible = 0, 3 // text rendering modes: ISO 32000-1, table 106
	for _, t := range p.Texts {
		style := ""
		if t.Bold {
			style = "B"
		}
		doc.SetFont(family, style, t.Size)
		if t.Hidden {
			doc.SetTextRenderingMode(invisible)
		}
		doc.Text(t.X, t.Y, t.String)
		if t.Hidden {
			doc.SetTextRenderingMode(filled)
		}
	}
	for _, l := range p.Links {
		doc.LinkString(l.X, l.Y, l.W, l.H, l.URL)
	}
}

func draw(doc *fpdf.Fpdf, path sheet.Path) {
	for _, s := range path.Segments {
		a, b, c := s.Points[0], s.Points[1], s.Points[2]
		switch s.Op {
		case sheet.Move:
			doc.MoveTo(a.X, a.Y)
		case sheet.Line:
			doc.LineTo(a.X, a.Y)
		case sheet.Curve:
			doc.CurveBezierCubicTo(a.X, a.Y, b.X, b.Y, c.X, c.Y)
		case sheet.Close:
			doc.ClosePath()
		}
	}
	if path.Width == 0 {
		doc.DrawPath("F")
		return
	}
	doc.SetLineWidth(path.Width)
	doc.DrawPath("D")
}
