package grade

import (
	"fmt"
	"math"

	"reedwell/audio/listen"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// What sounds on the way to a landing is a wrong hole when it sounds for grazed seconds or more,
// three frames, offHole cents or more from both notes; what lasts for longer than lingered is a note
// of its own, which nobody asked for. Our choice: under that a reed hardly speaks, and over it nobody
// is on the way any more.
const (
	grazed   = 0.015
	lingered = 0.35
	offHole  = 80.0
)

// landing is the part of a note on which it shows how cleanly it was landed on: from where a second
// hole can be told (half of the ear's window) for a quarter of a second.
func landing(n sounded) (a, b float64) {
	return n.start + 0.025, math.Min(n.start+0.275, n.end-math.Min(0.04, (n.end-n.start)/4))
}

// A pitch that steps by stepped cents or more, and has stood still before and stands still after for
// stood seconds, is another reed, however smoothly the sound goes on: the ear does not believe a change to the
// same note an octave higher that comes up more quietly. What a room lets ring under a note the ear tells itself. Our choice.
const (
	stepped = 700.0
	stood   = 0.08
)

// parted cuts notes where their pitch jumps.
func (e evidence) parted(notes []sounded) []sounded {
	var all []sounded
	for _, n := range notes {
		for {
			at, ok := e.jump(n)
			if !ok {
				break
			}
			head := n
			head.end = float64(e.take.Frames[at].At) / e.rate
			head.as.Last, head.as.End = at, e.take.Frames[at].At
			head.hz = e.middle(head.as)
			n.start, n.dip = head.end, 0
			n.as.First, n.as.Start = at, head.as.End
			n.hz = e.middle(n.as)
			all = append(all, head)
		}
		all = append(all, n)
	}
	return all
}

// jump finds the first frame of another reed within a note.
func (e evidence) jump(n sounded) (at int, ok bool) {
	first := max(0, n.as.First, n.as.Own)
	frames := e.take.Frames[min(first, n.as.Last, len(e.take.Frames)):min(n.as.Last, len(e.take.Frames))]
	if len(frames) < 2 {
		return 0, false
	}
	least := int(math.Ceil(stood * e.rate / float64(frames[1].At-frames[0].At)))
	still := func(from int) bool { // for least frames from there
		for k := from; k < from+least; k++ {
			f := frames[k]
			if f.F0 == 0 || f.Confidence < listen.MinConfidence || math.Abs(harp.Cents(f.F0, frames[from].F0)) > 50 {
				return false
			}
		}
		return true
	}
	last := 0.0 // the pitch that stood last
	for k := 0; k+least <= len(frames); k++ {
		if !still(k) {
			continue
		}
		if last > 0 && math.Abs(harp.Cents(frames[k].F0, last)) >= stepped {
			return first + k, true
		}
		last = frames[k].F0
	}
	return 0, false
}

// middle is the median pitch of a note's frames.
func (e evidence) middle(n listen.Note) float64 {
	var hz []float64
	for _, f := range e.take.Frames[max(0, n.First):min(n.Last, len(e.take.Frames))] {
		if f.F0 > 0 && f.Confidence >= listen.MinConfidence {
			hz = append(hz, f.F0)
		}
	}
	if len(hz) == 0 {
		return n.F0
	}
	return median(hz)
}

// landings marks each jump: how long it took, and what was touched on the way.
func (g *grader) landings(heads []head, pairs []int, used []bool) {
	for k := 1; k < len(heads); k++ {
		i := heads[k].first
		if pairs[k-1] < 0 || pairs[k] < 0 || !touches(g.d, i) {
			continue
		}
		before, n := g.notes[pairs[k-1]], g.notes[pairs[k]]
		takes := math.Max(0, n.start-before.end)
		good := g.mark(i, Land, 0, takes, g.d.Windows.Land, "s", takes <= g.d.Windows.Land)
		wrong := 0
		for j := pairs[k-1] + 1; j < pairs[k]; j++ {
			if w := g.notes[j]; !used[j] && w.end-w.start <= lingered {
				used[j] = true
				wrong++
			}
		}
		if wrong == 0 {
			wrong = g.grazes(before, n, g.d.Targets[i])
		}
		good = g.mark(i, Touched, 0, float64(wrong), float64(g.d.Windows.Touched), "holes", wrong <= g.d.Windows.Touched) && good
		g.r.Notes[i].Good = g.r.Notes[i].Good && good
	}
}

// grazes counts the other pitches between two notes, and within the landing, that were too short to
// be notes: none or one.
func (g *grader) grazes(before, n sounded, t drill.Target) int {
	run := 0.0
	frames := g.e.frames(before.end-0.02, n.start+0.12)
	for k := 1; k < len(frames); k++ {
		f := frames[k]
		if f.F0 == 0 || f.Confidence < listen.MinConfidence || math.Abs(harp.Cents(f.F0, before.hz)) < offHole || math.Abs(harp.Cents(f.F0, t.Hz)) < offHole {
			run = 0
			continue
		}
		if run += float64(f.At-frames[k-1].At) / g.e.rate; run >= grazed-1e-9 {
			return 1
		}
	}
	return 0
}

// unhunted is the lateness of a landing without what the jump took: that is marked by itself and is
// no matter of keeping time.
func unhunted(late, jump float64) float64 {
	if late <= 0 || jump <= 0 {
		return late
	}
	return math.Max(0, late-jump)
}

// sayLanding says what to change about a jump.
func sayLanding(d drill.Drill, m Mark, name string) string {
	good := m.Verdict == Good
	if m.Quantity == Land {
		return pick(good, fmt.Sprintf("The jump to %s lands in time.", name),
			fmt.Sprintf("The jump to %s takes %.1f s: move while the last note still sounds in your ear, and in one go.", name, m.Heard))
	}
	if m.Heard == 0 {
		return fmt.Sprintf("Nothing is touched on the way to %s.", name)
	}
	return fmt.Sprintf("On the way to %s %s: lift the breath, move, then breathe.", name, pick(m.Heard == 1, "another hole sounds", fmt.Sprintf("%.0f other holes sound", m.Heard)))
}
