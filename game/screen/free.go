package screen

import "slices"

// A Sign says by its shape what a note that was played freely is to the chord. It is no verdict.
type Sign int

// The signs.
const (
	Unsigned    Sign = iota
	RootSign         // a disc
	ThirdSign        // a triangle
	FifthSign        // a square
	SeventhSign      // a diamond
	BlueSign         // a wave
	PassingSign      // a short stroke
	OutsideSign      // a ring
)

// Signs are all signs.
func Signs() []Sign {
	return []Sign{RootSign, ThirdSign, FifthSign, SeventhSign, BlueSign, PassingSign, OutsideSign}
}

// Counted is how often something was counted, column by column.
type Counted struct {
	Counts []int
	Middle int       // the column that is the point of it
	Words  [3]string // under the first column, the middle and the last
}

// Same reports whether two are drawn the same.
func (c *Counted) Same(o *Counted) bool {
	return c == o || c != nil && o != nil && c.Middle == o.Middle && c.Words == o.Words && slices.Equal(c.Counts, o.Counts)
}

// columnsTall is the height of a Columns at text scale 1: as much as tells one from two of twenty.
const columnsTall = 150.0

// ColumnWords is the height of the words under the columns at text scale 1.
const ColumnWords = 22.0
