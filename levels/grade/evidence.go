package grade

import (
	"math"
	"sort"

	"reedwell/audio/listen"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// evidence is the take in drill time.
type evidence struct {
	take listen.Take
	rate float64
}

// A sounded note is a heard note in seconds.
type sounded struct {
	start, end float64
	hz, dip    float64
	level      float64     // dBFS, mean
	loudest    float64     // dBFS, mean of the loudest note of the take
	as         listen.Note // as the ear gave it
}

// counts reports whether the note is one that the player made, not a passing noise:
// at least 60 ms (the shortest tongued notes are longer) and at most 25 dB under the
// loudest. Our choice.
func (n sounded) counts() bool { return n.end-n.start >= 0.06 && n.level > n.loudest-25 }

// notes returns the heard notes that lie on the harp.
func (e evidence) notes(d drill.Drill) []sounded {
	var all []sounded
	loudest := math.Inf(-1)
	low, high := d.Harp.Low(), d.Harp.High()
	for _, n := range e.take.Notes {
		s := sounded{start: float64(n.Start) / e.rate, end: float64(n.End) / e.rate, hz: n.F0, dip: n.Dip, as: n}
		if s.hz < low || s.hz > high || d.Calling(s.start) {
			continue
		}
		var levels []float64
		for _, f := range e.frames(s.start, s.end) {
			levels = append(levels, f.Level)
		}
		if len(levels) == 0 {
			continue
		}
		s.level, _ = meanDeviation(levels)
		loudest = math.Max(loudest, s.level)
		all = append(all, s)
	}
	for i := range all {
		all[i].loudest = loudest
	}
	return all
}

// problem says why nothing can be graded, or "".
func (e evidence) problem(notes []sounded) string {
	if len(notes) > 0 {
		return ""
	}
	loudest := math.Inf(-1)
	for _, f := range e.take.Frames {
		loudest = math.Max(loudest, f.Level)
	}
	// -60 dBFS: a microphone's own noise in a quiet room stays under it (common practice).
	if loudest < -60 {
		return "Nothing was heard. Check that the right microphone is chosen and not muted, and play a little louder."
	}
	return "Something sounded, but no harmonica note could be made out. Come closer to the microphone, or find a quieter place."
}

// frames returns the frames from a to b seconds.
func (e evidence) frames(a, b float64) []listen.Frame {
	all := e.take.Frames
	first := sort.Search(len(all), func(i int) bool { return float64(all[i].At) >= a*e.rate })
	last := sort.Search(len(all), func(i int) bool { return float64(all[i].At) >= b*e.rate })
	return all[first:max(first, last)]
}

// A point is a pitch heard with confidence.
type point struct{ at, cents float64 }

// contour returns the confident pitches from a to b in cents from reference Hz, and the
// share of the frames that they are.
func (e evidence) contour(a, b, reference float64) (points []point, sure float64) {
	frames := e.frames(a, b)
	for _, f := range frames {
		if f.F0 > 0 && f.Confidence >= listen.MinConfidence {
			points = append(points, point{float64(f.At) / e.rate, harp.Cents(f.F0, reference)})
		}
	}
	if len(frames) > 0 {
		sure = float64(len(points)) / float64(len(frames))
	}
	return points, sure
}

// LeakFloor is the level given for another hole that is not there, in dB under the note.
const LeakFloor = -60.0

// leak returns the level of the strongest other hole from a to b in dB relative to
// the note: the mean of its power.
func (e evidence) leak(a, b float64) float64 {
	frames := e.frames(a, b)
	power := 0.0
	for _, f := range frames {
		if v := f.Others[0]; v.F0 > 0 {
			power += math.Pow(10, v.Level/10)
		}
	}
	if power == 0 {
		return LeakFloor
	}
	return math.Max(LeakFloor, 10*math.Log10(power/float64(len(frames))))
}

// held is the part of a note on which pitch and level are measured: without the
// attack, in which a free reed is still finding its pitch (50 ms: Cottingham & Wolff
// 2015 describe the stages, the figure is common practice), and without the release.
// A short note gives its middle half.
func held(start, end float64) (a, b float64) {
	length := end - start
	return start + math.Min(0.06, length/4), end - math.Min(0.04, length/4)
}

func meanDeviation(x []float64) (mean, deviation float64) {
	for _, v := range x {
		mean += v
	}
	mean /= float64(len(x))
	for _, v := range x {
		deviation += (v - mean) * (v - mean)
	}
	return mean, math.Sqrt(deviation / float64(len(x)))
}

func median(x []float64) float64 {
	s := append([]float64(nil), x...)
	sort.Float64s(s)
	if n := len(s); n%2 == 0 {
		return (s[n/2-1] + s[n/2]) / 2
	}
	return s[len(s)/2]
}

func centsOf(points []point) []float64 {
	c := make([]float64, len(points))
	for i, p := range points {
		c[i] = p.cents
	}
	return c
}
