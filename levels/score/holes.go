package score

import (
	"math"
	"slices"

	"reedwell/levels/harp"
	"reedwell/levels/lesson"
)

// What a note and the way to it cost a player: our choice, after how the trade teaches
// them: natural notes, then shallow bends, deep bends and blow bends, overbends last.
const (
	costBend     = 2.0  // of a bend, and
	costRung     = 1.0  // of each half step of it
	costBlowBend = 1.5  // a blow bend is that much harder
	costOver     = 30.0 // more than any way around it
	costThree    = 0.2  // 3 blow against 2 draw, where nothing else decides: second position stands on 2 draw
	costHole     = 0.6  // of each hole moved
	costBreath   = 0.8  // of turning the breath
	costTorn     = 10.0 // of a glide, or a slur, that this way cannot be played as one
	restEases    = 0.3  // what is left of the cost of moving after a rest of a beat
)

// A way is one way to sound a note: a hole, or a chord of neighbours.
type way struct {
	holes []harp.Note
	cost  float64
}

// effort is what a single hole costs by itself.
func effort(n harp.Note) float64 {
	switch {
	case n.Over:
		return costOver
	case n.Bend > 0 && n.Breath == harp.Blow:
		return costBend + costRung*float64(n.Bend) + costBlowBend
	case n.Bend > 0:
		return costBend + costRung*float64(n.Bend)
	case n == harp.Note{Hole: 3, Breath: harp.Blow}:
		return costThree
	}
	return 0
}

// every lists all ways to sound one note on any harp, also those that give a pitch found
// elsewhere more easily.
func every() []harp.Note {
	var all []harp.Note
	for hole := 1; hole <= harp.Holes; hole++ {
		for _, b := range []harp.Breath{harp.Blow, harp.Draw} {
			for bend := 0; bend <= 3; bend++ {
				if n := (harp.Note{Hole: hole, Breath: b, Bend: bend}); n.Valid() == nil {
					all = append(all, n)
				}
			}
			if n := (harp.Note{Hole: hole, Breath: b, Over: true}); n.Valid() == nil {
				all = append(all, n)
			}
		}
	}
	return all
}

// ways lists how the harp can sound the pitches together; none if it cannot.
func ways(h harp.Harp, pitches []int) []way {
	var all []way
	if len(pitches) == 1 {
		for _, n := range every() {
			if h.MIDI(n) == pitches[0] {
				all = append(all, way{[]harp.Note{n}, effort(n)})
			}
		}
		return all
	}
	for _, b := range []harp.Breath{harp.Blow, harp.Draw} {
		var holes []harp.Note
		for hole := 1; hole <= harp.Holes; hole++ {
			if n := (harp.Note{Hole: hole, Breath: b}); slices.Contains(pitches, h.MIDI(n)) {
				holes = append(holes, n)
			}
		}
		if len(holes) == len(pitches) && holes[len(holes)-1].Hole-holes[0].Hole == len(holes)-1 {
			all = append(all, way{holes: holes})
		}
	}
	return all
}

// move is what going from one way to the next costs.
func move(a, b way, rest lesson.Ticks, join lesson.Join) float64 {
	from, to := a.holes[0], b.holes[0]
	far := math.Abs(float64(to.Hole - from.Hole))
	if last := a.holes[len(a.holes)-1]; len(a.holes) > 1 {
		far = min(far, math.Abs(float64(to.Hole-last.Hole)))
	}
	cost := costHole * far
	if from.Breath != to.Breath {
		cost += costBreath
	}
	if rest >= lesson.Beat {
		cost *= restEases
	}
	if join == lesson.Glide && (from.Hole != to.Hole || from.Breath != to.Breath) || join == lesson.Slurred && from.Breath != to.Breath {
		cost += costTorn
	}
	return cost
}

// holes gives the notes of the piece holes on the lesson's harp, the whole line at once so
// that it costs the player least. Marks of ours, and tab that the file shows, are taken as
// they stand where they sound the pitch. Notes that the harp lacks are left out and
// remarked.
func (p *Piece) holes(l lesson.Lesson) []lesson.Note {
	h := l.Harp()
	var notes []lesson.Note
	var options [][]way
	for _, n := range p.Notes {
		if m, ok := p.believed(h, n); ok {
			m.Start, m.Length = n.Start, n.Length
			notes, options = append(notes, m), append(options, []way{{holes: m.Holes}})
			continue
		}
		o := ways(h, n.Pitches)
		if top := n.Pitches[len(n.Pitches)-1]; len(o) == 0 && len(n.Pitches) > 1 {
			if o = ways(h, []int{top}); len(o) > 0 {
				p.Remark(n.Start, "these %d notes do not lie on neighbouring holes of one breath; the highest is kept", len(n.Pitches))
			}
		}
		if holes, err := ParseTab(n.Tab); err == nil && sounds(h, holes, n.Pitches) {
			o = []way{{holes: holes}}
		}
		if len(o) == 0 {
			s := NewKey(l.Tonic(), false).Spell(n.Pitches[len(n.Pitches)-1])
			p.Remark(n.Start, "a %s harp has no %s; the note is left out", l.Key, s)
			continue
		}
		notes = append(notes, lesson.Note{Start: n.Start, Length: n.Length, Join: n.Join, Scoop: n.Scoop})
		options = append(options, o)
	}
	best := cheapest(options, func(i int, a, b way) float64 {
		return move(a, b, notes[i].Start-notes[i-1].End(), notes[i].Join)
	})
	for i := range notes {
		notes[i].Holes = slices.Clone(options[i][best[i]].holes)
		// A join holds only where the holes chosen allow it.
		n := &notes[i]
		if n.Join == lesson.Tongued {
			continue
		}
		if i == 0 || n.Start != notes[i-1].End() || notes[i-1].Holes[0].Breath != n.Holes[0].Breath {
			n.Join = lesson.Tongued
			continue
		}
		before := notes[i-1].Holes
		same := len(before) == 1 && len(n.Holes) == 1 && before[0].Hole == n.Holes[0].Hole && before[0].Over == n.Holes[0].Over
		switch {
		case same && before[0] == n.Holes[0]:
			n.Join = lesson.Tongued // the same note once more takes a new attack
		case same:
			n.Join = lesson.Glide
		case n.Join == lesson.Glide:
			n.Join = lesson.Slurred
		}
	}
	return p.asMarked(h, notes)
}

// asMarked puts back joins that marks of ours state, whatever the rules above make of them.
func (p *Piece) asMarked(h harp.Harp, notes []lesson.Note) []lesson.Note {
	i := 0
	for _, n := range p.Notes {
		if i < len(notes) && notes[i].Start == n.Start {
			if m, ok := p.believed(h, n); ok {
				notes[i].Join = m.Join
			}
			i++
		}
	}
	return notes
}

// believed is the note of a mark of ours, if it still sounds what the file has.
func (p *Piece) believed(h harp.Harp, n Note) (lesson.Note, bool) {
	if p.Head == nil || n.Mark == "" {
		return lesson.Note{}, false
	}
	m, err := ParseMark(n.Mark)
	return m.Note, err == nil && sounds(h, m.Holes, n.Pitches)
}

// sounds reports whether the holes sound the pitches.
func sounds(h harp.Harp, holes []harp.Note, pitches []int) bool {
	var all []int
	for _, n := range holes {
		all = append(all, h.MIDI(n))
	}
	slices.Sort(all)
	return slices.Equal(slices.Compact(all), pitches)
}

// cheapest picks one option at each place so that options and moves together cost least:
// the shortest path through them, place by place.
func cheapest(options [][]way, move func(i int, a, b way) float64) []int {
	if len(options) == 0 {
		return nil
	}
	from := make([][]int, len(options))
	var sum []float64
	for _, w := range options[0] {
		sum = append(sum, w.cost)
	}
	for i := 1; i < len(options); i++ {
		next := make([]float64, len(options[i]))
		from[i] = make([]int, len(options[i]))
		for j, w := range options[i] {
			next[j] = math.Inf(1)
			for k, v := range options[i-1] {
				if c := sum[k] + w.cost + move(i, v, w); c < next[j] {
					next[j], from[i][j] = c, k
				}
			}
		}
		sum = next
	}
	best := make([]int, len(options))
	at := 0
	for j, c := range sum {
		if c < sum[at] {
			at = j
		}
	}
	for i := len(options) - 1; i >= 0; i-- {
		best[i] = at
		if i > 0 {
			at = from[i][at]
		}
	}
	return best
}
