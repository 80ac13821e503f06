package write

import (
	"math"

	"reedwell/levels/lesson"
)

// A score compares notes on the page.
type score struct {
	notes, right            int // in hole, bend and place
	holes, places           int // right in hole and bend; in place
	missing, invented       int
	lengths, joins          int // of the right ones
	marks, marked, wrongly  int // scoops, warbles, vibrato, wah, chords asked, found, and found where none was
	doubts, doubted, silent int // doubts in all; of the wrong notes those with a doubt, and without
	strict                  int // of the right ones, those at the same tick too: others are written otherwise and sound the same
}

func (a *score) add(b score) {
	a.notes += b.notes
	a.right += b.right
	a.holes += b.holes
	a.places += b.places
	a.missing += b.missing
	a.invented += b.invented
	a.lengths += b.lengths
	a.joins += b.joins
	a.marks += b.marks
	a.marked += b.marked
	a.wrongly += b.wrongly
	a.doubts += b.doubts
	a.doubted += b.doubted
	a.silent += b.silent
	a.strict += b.strict
}

func sameHoles(a, b lesson.Note) bool {
	if len(a.Holes) != len(b.Holes) || a.Warble != b.Warble {
		return false
	}
	for i := range a.Holes {
		if a.Holes[i] != b.Holes[i] {
			return false
		}
	}
	return true
}

// compare matches notes in order, at the least sum of a unit for a note left out and for
// what is wrong with a pair.
func compare(asked, got []lesson.Note, feel, heard lesson.Feel, doubts []Doubt) score {
	near := func(a, b lesson.Ticks) float64 { return math.Abs(feel.Beat(a) - heard.Beat(b)) }
	pair := func(a, b lesson.Note) float64 {
		c := math.Min(0.9, near(a.Start, b.Start))
		if !sameHoles(a, b) {
			c += 0.6
		}
		return c
	}
	n, m := len(asked), len(got)
	cost := make([][]float64, n+1)
	for i := range cost {
		cost[i] = make([]float64, m+1)
		for j := range cost[i] {
			switch {
			case i == 0:
				cost[i][j] = float64(j)
			case j == 0:
				cost[i][j] = float64(i)
			default:
				cost[i][j] = min(cost[i-1][j-1]+pair(asked[i-1], got[j-1]), cost[i-1][j]+1, cost[i][j-1]+1)
			}
		}
	}
	s := score{notes: n, doubts: len(doubts)}
	i, j := n, m
	for i > 0 || j > 0 {
		switch {
		case i > 0 && j > 0 && cost[i][j] == cost[i-1][j-1]+pair(asked[i-1], got[j-1]):
			i, j = i-1, j-1
			a, b := asked[i], got[j]
			place, hole := near(a.Start, b.Start) < 0.02, sameHoles(a, b)
			if hole {
				s.holes++
			}
			if place {
				s.places++
			}
			if place && hole {
				s.right++
				if a.Start == b.Start {
					s.strict++
				}
				if near(a.End(), b.End()) < 0.02 {
					s.lengths++
				}
				if a.Join == b.Join {
					s.joins++
				}
			} else {
				found := false
				for _, d := range doubts {
					found = found || d.Note == j
				}
				if found {
					s.doubted++
				} else {
					s.silent++
				}
			}
			for _, mark := range [][2]bool{{a.Scoop, b.Scoop}, {a.Vibrato, b.Vibrato}, {a.Wah > 0, b.Wah > 0}, {a.Warbles(), b.Warbles()}, {len(a.Holes) > 1, len(b.Holes) > 1}} {
				if mark[0] {
					s.marks++
					if mark[1] {
						s.marked++
					}
				} else if mark[1] {
					s.wrongly++
				}
			}
		case i > 0 && cost[i][j] == cost[i-1][j]+1:
			i--
			s.missing++
			s.silent++
		default:
			j--
			s.invented++
		}
	}
	return s
}
