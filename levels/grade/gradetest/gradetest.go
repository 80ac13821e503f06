// Package gradetest compares the marks of takes, for tests.
package gradetest

import (
	"fmt"
	"math"
	"testing"

	"reedwell/levels/grade"
)

// A Distance is how far the marks of one take lie from those of another of the same drill.
type Distance struct {
	Cents    float64 // the farthest pitch whose verdict is the same
	MS       float64 // the farthest start, or start on the whole, whose verdict is the same
	Verdicts int     // marks whose verdict is another, or that only one of the takes has
	Outcome  bool    // one passed and the other did not
}

func (d Distance) String() string {
	return fmt.Sprintf("%.1f cents, %.1f ms, %d verdicts, outcome changed %v", d.Cents, d.MS, d.Verdicts, d.Outcome)
}

// Near reports marks as the program promises them for a take whose spill was taken out: within 5
// cents and 10 ms, every verdict the same.
func (d Distance) Near() bool {
	return d.Cents <= 5 && d.MS <= 10 && d.Verdicts == 0 && !d.Outcome
}

// Removed wants the marks of a take whose band was taken out near those of the player alone, and with the band left
// in so far from them that it mattered.
func Removed(t testing.TB, treated, untreated Distance) {
	t.Helper()
	if !treated.Near() {
		t.Errorf("with the band taken out marks moved by %v, want 5 cents and 10 ms at most and the same verdicts", treated)
	}
	// The six turnarounds lose 25 verdicts and more, see audio/spill/FIGURES.md.
	if untreated.Verdicts < 10 || !untreated.Outcome {
		t.Errorf("with the band left in marks moved by %v, want it to matter", untreated)
	}
}

// Between compares two takes of one drill.
func Between(a, b grade.Result) Distance {
	type key struct {
		target   int
		quantity grade.Quantity
	}
	others := map[key]grade.Mark{}
	for _, m := range b.Marks {
		others[key{m.Target, m.Quantity}] = m
	}
	d := Distance{Outcome: a.Passed != b.Passed}
	for _, m := range a.Marks {
		k := key{m.Target, m.Quantity}
		n, ok := others[k]
		delete(others, k)
		switch off := math.Abs(n.Heard - m.Heard); {
		case !ok || n.Verdict != m.Verdict:
			d.Verdicts++
		case m.Quantity == grade.Pitch:
			d.Cents = math.Max(d.Cents, off)
		case m.Quantity == grade.Start || m.Quantity == grade.Bias:
			d.MS = math.Max(d.MS, 1000*off)
		}
	}
	d.Verdicts += len(others)
	return d
}
