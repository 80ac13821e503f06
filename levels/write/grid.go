package write

import (
	"math"

	"reedwell/levels/lesson"
)

// A start is a moment that wants a place on the page.
type start struct {
	at    float64 // seconds
	loose float64 // standard deviation in seconds with which it tells the place
	gap   float64 // seconds to the next start; of the last, to its end
}

// Scatter of starts. Skilled players scatter by 10 to 25 ms about the beat, learners by
// more (Rasch 1979 has 30 to 50 ms between players of a trio); where a bend begins to move
// is seen less exactly than an attack.
const (
	attackScatter = 0.025
	glideScatter  = 0.040
)

func startsOf(pieces []piece) []start {
	var all []start
	for i, p := range pieces {
		s := start{p.start, attackScatter, p.length()}
		if i+1 < len(pieces) {
			s.gap = pieces[i+1].start - p.start
		}
		if p.glide {
			s.loose = glideScatter
		}
		all = append(all, s)
	}
	return all
}

// A split is a way to divide a beat, and what it costs in a feel, in the units of a
// Gaussian's exponent: about minus the logarithm of how often it is met. Our choice, in
// the order that tutors introduce them. An undivided beat costs too: of a tempo twice as
// quick every beat is one.
type split struct {
	parts lesson.Ticks
	cost  float64 // for each beat that is divided so
}

func splits(k lesson.Kind) []split {
	switch k {
	case lesson.Shuffle:
		return []split{{1, 0.6}, {2, 0.8}, {3, 1.5}, {4, 5}, {6, 8}}
	case lesson.Triplet:
		return []split{{1, 0.6}, {3, 0.9}, {2, 4}, {6, 4}, {4, 8}}
	}
	return []split{{1, 0.6}, {2, 0.8}, {4, 2.2}, {3, 3}, {6, 8}, {8, 8}}
}

const (
	// emptyBeat is what a beat without any start costs.
	emptyBeat = 1.0
	// A note that lasts a beat or more seldom starts off the beat; the cost for each beat, up
	// to two.
	longOff = 0.5
	// astray is how far, in beats, a start may lie from its place.
	astray = 0.45
)

// offBeat is what a start off the beat costs beside its beat's split, by its part of the
// beat: the last of the beat, which leads on, is the commonest, and a start right behind
// the beat the rarest.
func offBeat(i, parts lesson.Ticks) float64 {
	switch {
	case i == 0:
		return 0
	case 2*i == parts:
		return 0.15
	case 2*i > parts:
		return 0.3
	}
	return 0.8
}

// A spot is a place that a start may have.
type spot struct {
	beat  int
	parts lesson.Ticks
	split float64 // cost of the split
	at    lesson.Ticks
	cost  float64 // of this start here, without the split
}

// spots are the places near beat x for a start of the given looseness and gap in beats.
func spots(x, loose, gap float64, feel lesson.Feel) []spot {
	var all []spot
	for beat := int(math.Floor(x - astray)); beat <= int(math.Floor(x+astray)); beat++ {
		for _, s := range splits(feel.Kind) {
			for i := lesson.Ticks(0); i < s.parts; i++ {
				at := lesson.Ticks(beat)*lesson.Beat + i*lesson.Beat/s.parts
				r := x - feel.Beat(at)
				if math.Abs(r) > astray {
					continue
				}
				c := r*r/(2*loose*loose) + offBeat(i, s.parts)
				if i > 0 && gap >= 1 {
					c += longOff * math.Min(gap, 2)
				}
				all = append(all, spot{beat, s.parts, s.cost, at, c})
			}
		}
	}
	return all
}

// step is the cost of going from one spot to the next; infinite where that cannot be.
func step(a, b spot) float64 {
	switch {
	case b.at <= a.at:
		return math.Inf(1)
	case b.beat == a.beat:
		if b.parts != a.parts {
			return math.Inf(1)
		}
		return 0
	}
	return b.split + emptyBeat*float64(b.beat-a.beat-1)
}

// assign gives each start, in beats, its place, all in order, at the least cost. ok is
// false where no order fits.
func assign(beats, loose, gaps []float64, feel lesson.Feel) (places []spot, cost float64, ok bool) {
	type cell struct {
		cost float64
		from int
	}
	all := make([][]spot, len(beats))
	cells := make([][]cell, len(beats))
	for i := range beats {
		all[i] = spots(beats[i], loose[i], gaps[i], feel)
		cells[i] = make([]cell, len(all[i]))
		for j, b := range all[i] {
			c := cell{b.split, -1}
			if i > 0 {
				c.cost = math.Inf(1)
				for k, a := range all[i-1] {
					if v := cells[i-1][k].cost + step(a, b); v < c.cost {
						c = cell{v, k}
					}
				}
			}
			c.cost += b.cost
			cells[i][j] = c
		}
	}
	last, cost := -1, math.Inf(1)
	for j, c := range cells[len(cells)-1] {
		if c.cost < cost {
			last, cost = j, c.cost
		}
	}
	if last < 0 {
		return nil, cost, false
	}
	places = make([]spot, len(beats))
	for i := len(beats) - 1; i >= 0; i-- {
		places[i] = all[i][last]
		last = cells[i][last].from
	}
	return places, cost, true
}

// other is the place that is the next likely for start i with its neighbours as they are,
// and by how much it costs more. Places that sound the same do not count.
func other(places []spot, i int, x, loose, gap float64, feel lesson.Feel) (at lesson.Ticks, more float64) {
	// beside is the step between neighbours; one in the same beat may be read in another split
	// where that has its place too.
	beside := func(a, b spot, moved, still spot) float64 {
		if a.beat != b.beat || a.parts == b.parts || b.at <= a.at {
			return step(a, b)
		}
		if in := still.at - floorTo(still.at, lesson.Beat); in*moved.parts%lesson.Beat != 0 {
			return math.Inf(1)
		}
		return moved.split - still.split
	}
	sum := func(b spot) float64 {
		c := b.cost
		if i > 0 {
			c += beside(places[i-1], b, b, places[i-1])
		} else {
			c += b.split
		}
		if i+1 < len(places) {
			c += beside(b, places[i+1], b, places[i+1])
		}
		return c
	}
	more = math.Inf(1)
	near := spots(x, loose, gap, feel)
	now := math.Inf(1) // what its own place costs from here
	for _, b := range near {
		if b.at == places[i].at && b.parts == places[i].parts {
			now = sum(b)
		}
	}
	for _, b := range near {
		if math.Abs(feel.Beat(b.at)-feel.Beat(places[i].at)) < 0.02 || feel.Kind == lesson.Shuffle && offEighth(b.at) && offEighth(places[i].at) {
			continue
		}
		if c := sum(b) - now; c < more {
			at, more = b.at, c
		}
	}
	return at, more
}

// offEighth says that a place is where the second eighth of a shuffled pair sounds: the
// eighth itself, or the third of a triplet.
func offEighth(t lesson.Ticks) bool {
	in := t - floorTo(t, lesson.Beat)
	return in == lesson.Beat/2 || in == 2*lesson.Beat/3
}

// plain writes a shuffle's beats as eighths where only the third of a triplet made them
// triplets: the two sound the same.
func (f *fit) plain() {
	if f.feel.Kind != lesson.Shuffle {
		return
	}
	middle := map[int]bool{}
	for _, p := range f.places {
		if p.at-floorTo(p.at, lesson.Beat) == lesson.Beat/3 {
			middle[p.beat] = true
		}
	}
	for i, p := range f.places {
		if p.parts == 3 && !middle[p.beat] {
			f.places[i].parts = 2
			if p.at-floorTo(p.at, lesson.Beat) == 2*lesson.Beat/3 {
				f.places[i].at = floorTo(p.at, lesson.Beat) + lesson.Beat/2
			}
		}
	}
}
