package room

import (
	"math"
	"slices"

	"reedwell/levels/lesson"
)

// A split is a place within a beat, and what it costs to take a note to be meant there, in the units of a
// Gaussian's exponent. Our choice, in the order that tutors bring the places up.
type split struct {
	at   lesson.Ticks
	cost float64
}

const (
	eighth    = lesson.Beat / 2
	third     = lesson.Beat / 3
	sixteenth = lesson.Beat / 4
	sixth     = lesson.Beat / 6
)

func splits(k lesson.Kind) []split {
	switch k {
	case lesson.Shuffle: // the eighth sounds where the last of a triplet does, or near it
		return []split{{0, 0}, {eighth, 0.5}, {third, 1.5}}
	case lesson.Triplet:
		return []split{{0, 0}, {third, 0.5}, {2 * third, 0.5}, {sixth, 4}, {3 * sixth, 4}, {5 * sixth, 4}}
	}
	return []split{{0, 0}, {eighth, 0.5}, {sixteenth, 2.5}, {3 * sixteenth, 2.5}, {third, 3}, {2 * third, 3}}
}

const (
	// looseness is the scatter of starts about their places, in seconds, by which places are
	// weighed: between players of an ensemble it is 30 to 50 ms (Rasch 1979).
	looseness = 0.035
	// farthest bounds what one start costs, so that a few strays do not move the whole.
	farthest = 8.0
	// mostBias and biasStep are where a constant lateness is looked for, in seconds, and no further than half way to the
	// next off-beat, since all places would fit as well one further on. usualBias is how large one is expected to be. Our choice.
	mostBias, biasStep, usualBias = 0.15, 0.005, 0.05
	// settled is how often places and bias are found from one another.
	settled = 4
)

// nearest is the place that a start on a beat of the form is taken to be meant for, as it is written, where it
// sounds, and the cost; perBeat is the length of a beat in seconds.
func nearest(feel lesson.Feel, beat, perBeat float64) (written lesson.Ticks, sounds, cost float64) {
	cost = math.Inf(1)
	whole := lesson.Ticks(math.Floor(beat)) * lesson.Beat
	for _, from := range [...]lesson.Ticks{whole, whole + lesson.Beat} {
		for _, s := range splits(feel.Kind) {
			at := feel.Beat(from + s.at)
			d := (beat - at) * perBeat / looseness
			if c := d*d/2 + s.cost; c < cost {
				written, sounds, cost = from+s.at, at, c
			}
		}
	}
	return written, sounds, cost
}

// bias finds by how many seconds the starts, in beats of the form, are late on the whole.
func bias(feel lesson.Feel, starts []float64, perBeat float64) float64 {
	if len(starts) == 0 {
		return 0
	}
	best, least := 0.0, math.Inf(1)
	way := perBeat / 4
	if feel.Kind == lesson.Triplet {
		way = perBeat / 6
	}
	steps := int(math.Min(mostBias, way) / biasStep)
	for k := -steps; k <= steps; k++ {
		b := float64(k) * biasStep
		sum := b * b / (2 * usualBias * usualBias)
		for _, x := range starts {
			_, _, c := nearest(feel, x-b/perBeat, perBeat)
			sum += math.Min(c, farthest)
		}
		if sum < least {
			best, least = b, sum
		}
	}
	for range settled {
		var late []float64
		for _, x := range starts {
			_, at, _ := nearest(feel, x-best/perBeat, perBeat)
			late = append(late, (x-at)*perBeat)
		}
		best = median(late)
	}
	return best
}

func median(x []float64) float64 {
	s := slices.Clone(x)
	slices.Sort(s)
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}

// deviation is the standard deviation of x about middle.
func deviation(x []float64, middle float64) float64 {
	if len(x) == 0 {
		return 0
	}
	sum := 0.0
	for _, v := range x {
		sum += (v - middle) * (v - middle)
	}
	return math.Sqrt(sum / float64(len(x)))
}
