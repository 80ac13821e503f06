package screen

import (
	"slices"
	"strings"
)

// A Stop is a place on the map of drills; a button that is one stands on a line, which goes on
// to its neighbours in the row, with a mark for each kind over its words.
type Stop int

// The stops.
const (
	NoStop        Stop = iota
	ShutStop           // not open yet
	OpenStop           // to be played
	PassedStop         // passed
	ConfirmedStop      // passed, and played well again on a later day
	DueStop            // due for review
	RustyStop          // was confirmed once, and is not in the fingers any more
)

// A Plot is a small drawing of numbers over days or weeks. Whoever can not see it gets its
// Words.
type Plot struct {
	Bars      bool    // bars from 0; else points, joined where neighbours are known
	Low, High float64 // the ends of the scale
	Unit      string  // written at the top of the scale, with what is better: "cents, lower is better"
	Points    []PlotPoint
}

// A PlotPoint is one number of a plot.
type PlotPoint struct {
	Name   string  // of the day or week, under it; empty where there is no room for each
	Under  string  // small, under the name: how many takes
	Value  float64 // where Known
	Spread float64 // drawn up and down from a point; 0: none
	Text   string  // the number, written at the bar or point; may be empty
	Known  bool    // something was measured; else there is a gap
	Few    bool    // from so few takes that it tells little: a hollow point
	Words  string  // all of it, read out
}

// Heights at text scale 1, our choice: of the drawing of a plot, and of a stop's mark with the
// line through it.
const (
	barsHeight   = 128
	pointsHeight = 120
	StopHeight   = 38
)

func plotHeight(it Item, k float64) float64 {
	if it.Plot != nil && it.Plot.Bars {
		return barsHeight * k
	}
	return pointsHeight * k
}

// stopForm is how a stop's words are set: centred under its mark.
func stopForm(k float64) form {
	return form{size: 16 * k, detail: 14 * k, bold: true, left: 3, right: 3, top: StopHeight * k, bottom: 8, least: Target + 4, centre: true}
}

// Of a tile, our choice: TileEdge is free around its words, TileMark at text scale 1 is kept for a mark beside them, and it is
// leastTile wide at least where it has a neighbour: less is a column of single words.
const (
	TileEdge  = 12
	TileMark  = 28
	leastTile = 130 // its width
)

// tileForm is how a tile's words are set. A tick stands beside all of them, the mark of a stop beside the first line.
func tileForm(it Item, k float64) form {
	f := form{size: 17 * k, detail: 15 * k, bold: true, left: TileEdge, right: TileEdge, top: TileEdge, bottom: TileEdge, least: Target + 20}
	if it.Style == Good {
		f.left += TileMark * k
	}
	return f
}

// stops reports a tile that leads to a drill.
func (it Item) stops() bool { return it.Tile && it.Stop != NoStop }

// Words reads a plot out.
func (p *Plot) Words() string {
	var all []string
	for _, q := range p.Points {
		if q.Words != "" {
			all = append(all, q.Words)
		}
	}
	return strings.Join(all, "; ")
}

// SamePlot reports whether two plots are drawn alike.
func SamePlot(a, b *Plot) bool {
	return a == b || a != nil && b != nil && a.Bars == b.Bars && a.Low == b.Low && a.High == b.High && a.Unit == b.Unit && slices.Equal(a.Points, b.Points)
}
