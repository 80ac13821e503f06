package midi

import (
	"math"

	"reedwell/levels/lesson"
	"reedwell/levels/score"
)

// A sounding is a note as it sounds: places in beats from place 0.
type sounding struct {
	start, end float64
	pitches    []int
	join       lesson.Join
	scoop      bool
	lyric      string
	mark       string
}

const (
	// apart is how far starts of one place may lie apart in beats: between a thirty-second
	// and a sixteenth of triplets. Our choice.
	apart = 0.06
	// swingShare is how many of the off-beat eighths must be late for a shuffle.
	swingShare = 0.6
)

// swing estimates the feel of notes written in four: whether the second half of the beats
// comes late, and by how much. Only beats whose first half is empty but for the beat itself
// tell; a beat with a note on both thirds is a triplet in any feel.
func swing(notes []sounding) lesson.Feel {
	beats := map[int][]float64{}
	for _, n := range notes {
		b := int(math.Floor(n.start + apart))
		beats[b] = append(beats[b], n.start-float64(b))
	}
	var late []float64
	off := 0
	for _, in := range beats {
		at := -1.0
		inner := 0
		for _, x := range in {
			if x > apart {
				inner++
				at = x
			}
		}
		if inner != 1 || at < 0.5-apart || at > 0.8 {
			continue
		}
		off++
		if at > 0.5+apart/2 && at < 0.72+apart {
			late = append(late, at)
		}
	}
	if len(late) == 0 || float64(len(late)) < swingShare*float64(off) {
		return lesson.Feel{}
	}
	sum := 0.0
	for _, x := range late {
		sum += x
	}
	mean := sum / float64(len(late))
	ratio := mean / (1 - mean)
	switch {
	case ratio < lesson.MinRatio:
		return lesson.Feel{}
	case math.Abs(ratio-lesson.DefaultRatio) < 0.15: // a hundredth and a half of a beat
		ratio = lesson.DefaultRatio
	default:
		ratio = min(math.Round(ratio*10)/10, lesson.MaxRatio)
	}
	return lesson.Feel{Kind: lesson.Shuffle, Ratio: ratio}
}

// A grid is places in a beat that notes are written on.
type grid []lesson.Ticks

// grids are what a beat can be divided into, the plainest first. Each must be a good deal
// better than the one before to be taken.
func grids(f lesson.Feel) []grid {
	b := lesson.Beat
	if f.Kind == lesson.Triplet {
		return []grid{{0, b / 3, 2 * b / 3, b}, {0, b / 6, b / 3, b / 2, 2 * b / 3, 5 * b / 6, b}, {0, b / 4, b / 2, 3 * b / 4, b}}
	}
	return []grid{{0, b / 2, b}, {0, b / 3, 2 * b / 3, b}, {0, b / 4, b / 2, 3 * b / 4, b}, {0, b / 6, b / 3, b / 2, 2 * b / 3, 5 * b / 6, b}}
}

// betterBy is by how many beats, as a mean over its places, a finer grid must fit better.
const betterBy = 0.02

// nearest is the place of the grid that sounds nearest to x, in beats from beat b.
func (g grid) nearest(f lesson.Feel, b int, x float64) (lesson.Ticks, float64) {
	best, least := lesson.Ticks(0), math.Inf(1)
	for _, t := range g {
		at := lesson.Ticks(b)*lesson.Beat + t
		if d := math.Abs(f.Beat(at) - x); d < least {
			best, least = at, d
		}
	}
	return best, least
}

// quantise gives soundings written places. Each beat takes the plainest grid on which its
// starts lie well; an end goes to the next start if it is near, else to its own beat's grid.
func quantise(notes []sounding, f lesson.Feel) []score.Note {
	starts := map[int][]float64{}
	for _, n := range notes {
		b := int(math.Floor(n.start + apart/2))
		starts[b] = append(starts[b], n.start)
	}
	chosen := map[int]grid{}
	for b, in := range starts {
		best, least := grids(f)[0], math.Inf(1)
		for i, g := range grids(f) {
			sum := 0.0
			taken := map[lesson.Ticks]bool{}
			for _, x := range in {
				at, d := g.nearest(f, b, x)
				if sum += d; taken[at] {
					sum += apart // two starts on one place
				}
				taken[at] = true
			}
			if sum /= float64(len(in)); i == 0 || sum < least-betterBy {
				best, least = g, sum
			}
		}
		chosen[b] = best
	}
	gridOf := func(b int) grid {
		if g, ok := chosen[b]; ok {
			return g
		}
		return grids(f)[0]
	}
	var all []score.Note
	for i, n := range notes {
		b := int(math.Floor(n.start + apart/2))
		start, _ := gridOf(b).nearest(f, b, n.start)
		e := int(math.Floor(n.end))
		end, _ := gridOf(e).nearest(f, e, n.end)
		if i+1 < len(notes) {
			next := notes[i+1].start
			// A short silence before the next note is how it is tongued, not a rest.
			if gap := next - n.end; gap < 0.3 && gap < 0.34*(next-n.start) {
				nb := int(math.Floor(next + apart/2))
				end, _ = gridOf(nb).nearest(f, nb, next)
			}
		}
		if end <= start {
			end = start + lesson.Beat/4
		}
		all = append(all, score.Note{Start: start, Length: end - start, Pitches: n.pitches, Join: n.join, Scoop: n.scoop, Tab: n.lyric, Mark: n.mark})
	}
	return all
}
