package grade

import (
	"math"

	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// A head is a target that begins a sound, with the glides that follow it on the same
// reed: targets [first, last).
type head struct{ first, last int }

func headsOf(d drill.Drill) []head {
	var all []head
	for i, t := range d.Targets {
		if t.Join == drill.Glide && len(all) > 0 {
			all[len(all)-1].last = i + 1
			continue
		}
		all = append(all, head{i, i + 1})
	}
	return all
}

// Costs of the matching, in units of a note that is left out. Our choice: a wrong pitch
// in the right place and a right pitch a quarter of a second off are both still the
// note that was meant; both together are not.
const (
	leftOut   = 1.0  // a target without a note, or a note without a target
	perSecond = 4.0  // cost of being late or early
	perCent   = 0.01 // cost of a pitch that is off
	mostPitch = 1.2  // at most: whatever else was played
)

// Someone who plays everything late plays it in order all the same. So the matching is
// tried with the whole take shifted, up to shiftMost seconds either way in steps of
// shiftStep, and each second of shift costs shiftCost: a take that fits as it is stays.
const (
	shiftMost = 0.6  // at 60 to the minute more than half a beat: beyond it nobody can say which note was meant
	shiftStep = 0.05 // a fifth of what makes a note be left out
	shiftCost = 2.0  // as much as two missing notes
)

// match pairs heads with heard notes, one to one and in order, at the least total cost:
// the index of the note for each head, or -1. Two targets never share a note and an
// extra note cannot push the rest out of place, as it can when each takes its nearest.
func match(d drill.Drill, heads []head, notes []sounded) []int {
	best, least := align(d, heads, notes, 0)
	if !inTime(d) { // elsewhere a start has all the time it takes to find the hole
		return best
	}
	for k := 1; k <= shiftMost/shiftStep; k++ {
		for _, shift := range []float64{float64(k) * shiftStep, -float64(k) * shiftStep} {
			pairs, cost := align(d, heads, notes, shift)
			if cost += shiftCost * math.Abs(shift); cost < least-1e-9 {
				best, least = pairs, cost
			}
		}
	}
	return best
}

// inTime reports a drill whose notes belong on their beats; in others finding the hole may take
// its time.
func inTime(d drill.Drill) bool {
	return d.Family == drill.Turnaround || d.Family == drill.Lick || d.Family == drill.Repeats ||
		d.Family == drill.Octaves || d.Family == drill.Answer
}

// align is match for a take that is shift seconds late on the whole.
func align(d drill.Drill, heads []head, notes []sounded, shift float64) (pairs []int, least float64) {
	n, m := len(heads), len(notes)
	cost := make([][]float64, n+1)
	for i := range cost {
		cost[i] = make([]float64, m+1)
		for j := range cost[i] {
			switch {
			case i == 0:
				cost[i][j] = float64(j) * leftOut
			case j == 0:
				cost[i][j] = float64(i) * leftOut
			default:
				cost[i][j] = min(cost[i-1][j-1]+apart(d, heads[i-1], notes[j-1], shift), cost[i-1][j]+leftOut, cost[i][j-1]+leftOut)
			}
		}
	}
	pairs = make([]int, n)
	for i := range pairs {
		pairs[i] = -1
	}
	for i, j := n, m; i > 0 && j > 0; {
		switch cost[i][j] {
		case cost[i-1][j-1] + apart(d, heads[i-1], notes[j-1], shift):
			i, j = i-1, j-1
			pairs[i] = j
		case cost[i-1][j] + leftOut:
			i--
		default:
			j--
		}
	}
	return pairs, cost[n][m]
}

// apart is the cost of taking the heard note for the head, in a take shift seconds late.
func apart(d drill.Drill, h head, n sounded, shift float64) float64 {
	n.start, n.end = n.start-shift, n.end-shift
	first, last := d.Targets[h.first], d.Targets[h.last-1]
	if n.start > last.End || n.end < first.Start {
		return math.Inf(1)
	}
	pitch := math.Inf(1)
	for i := h.first; i < h.last; i++ { // the median of a glide may lie on any of its rungs
		pitch = math.Min(pitch, math.Abs(harp.Cents(n.hz, d.Targets[i].Hz)))
		for _, also := range d.Targets[i].Also {
			if hz, err := d.Harp.Hz(also); err == nil { // a chord may be heard as any of its holes
				pitch = math.Min(pitch, math.Abs(harp.Cents(n.hz, hz)))
			}
		}
	}
	late := math.Abs(n.start - first.Start)
	if !inTime(d) && d.Family != drill.Warble || d.Family == drill.Octaves {
		late *= 0.4 // finding the hole may take its time there
	}
	return perSecond*late + math.Min(mostPitch, perCent*pitch)
}
