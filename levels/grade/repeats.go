package grade

import (
	"math"

	"reedwell/levels/drill"
)

// leastGaps are the fewest gaps whose evenness says anything. Our choice: a deviation of two
// numbers is chance.
const leastGaps = 3

// evenRuns marks how even each run of tongued repeats is, a run being notes of one pitch and one
// length that touch, at the run's first note. It reports whether at least half of the runs are
// even: a note that is inside its own window says little about the next gap.
func (g *grader) evenRuns(heads []head, pairs []int) bool {
	runs, even := 0, 0
	for first := 0; first < len(heads); {
		last := first + 1
		for last < len(heads) && repeats(g.d, heads[first].first, heads[last].first) {
			last++
		}
		var gaps []float64
		for k := first + 1; k <= last && k < len(heads); k++ {
			// The gap after the run's last note is one of its own too where the next note touches.
			if pairs[k-1] >= 0 && pairs[k] >= 0 && touches(g.d, heads[k].first) {
				gaps = append(gaps, g.notes[pairs[k]].start-g.notes[pairs[k-1]].start)
			}
		}
		if len(gaps) >= leastGaps {
			runs++
			mean, deviation := meanDeviation(gaps)
			// The spread that so few gaps show is short of the player's by the one that the mean takes.
			n := float64(len(gaps))
			uneven := deviation * math.Sqrt(n/(n-1)) / mean
			if g.mark(heads[first].first, Evenness, 0, uneven, g.d.Windows.Evenness, "of the gap", uneven <= g.d.Windows.Evenness) {
				even++
			}
		}
		first = last
	}
	return 2*even >= runs
}

// touches reports whether target i begins where the one before it ends.
func touches(d drill.Drill, i int) bool {
	return i > 0 && d.Targets[i].Start-d.Targets[i-1].End < 1e-9
}

// repeats reports whether target i goes on with the run that target first began.
func repeats(d drill.Drill, first, i int) bool {
	a, b := d.Targets[first], d.Targets[i]
	return a.Note == b.Note && math.Abs(a.Beats-b.Beats) < 1e-9 && touches(d, i)
}
