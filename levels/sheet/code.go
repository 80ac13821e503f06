package sheet

import (
	"fmt"
	"strings"

	"github.com/boombuler/barcode/qr"
)

const (
	quiet      = 4        // modules of white on each side: ISO/IEC 18004, from memory
	codeSide   = 23 * mm  // wanted side of a code: our choice; a telephone reads it from a hand's length away
	maxModule  = 0.8 * mm // so that a short link does not make a coarse, loud code: our choice
	minModule  = 0.4 * mm // four to five dots of a 300 dpi printer
	mostLinked = 2048     // bytes, as levels/link bounds a link; a code of that size still reads at 300 dpi
	mediumTo   = 300      // bytes: longer links get the lowest correction, so that modules stay large
)

// A code is a QR code, its white border included.
type code struct {
	dark func(x, y int) bool
	n    int // modules on a side, without border
	side float64
}

// encode makes the QR code of a link.
func encode(link string) (code, error) {
	if len(link) > mostLinked {
		return code{}, fmt.Errorf("%d bytes: %w", len(link), ErrLink)
	}
	level := qr.M
	if len(link) > mediumTo {
		level = qr.L
	}
	made, err := qr.Encode(link, level, qr.Unicode)
	if err != nil {
		return code{}, fmt.Errorf("QR code of %.60q: %w", link, err)
	}
	n := made.Bounds().Dx()
	module := min(maxModule, max(minModule, codeSide/float64(n+2*quiet)))
	dark := func(x, y int) bool {
		r, _, _, _ := made.At(x, y).RGBA()
		return r == 0
	}
	return code{dark, n, module * float64(n+2*quiet)}, nil
}

// draw draws the code with its border's corner at x, y. All modules are one path, each run
// of a row a rectangle, so that no hairline shows between neighbours.
func (q code) draw(c *canvas, x, y float64) {
	m := q.side / float64(q.n+2*quiet)
	var all []Segment
	for row := range q.n {
		for from := 0; from < q.n; from++ {
			if !q.dark(from, row) {
				continue
			}
			end := from
			for end < q.n && q.dark(end, row) {
				end++
			}
			x1, x2 := x+m*float64(quiet+from), x+m*float64(quiet+end)
			y1, y2 := y+m*float64(quiet+row), y+m*float64(quiet+row+1)
			all = append(all, move(x1, y1), along(x2, y1), along(x2, y2), along(x1, y2), closed())
			from = end
		}
	}
	c.area(all...)
}

// opens reports whether a link may be made one to click: only addresses of the web.
func opens(link string) bool {
	return strings.HasPrefix(link, "https://") || strings.HasPrefix(link, "http://")
}
