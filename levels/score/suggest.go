package score

import (
	"slices"

	"reedwell/levels/harp"
)

// A Suggestion is a harp that a piece could be played on.
type Suggestion struct {
	Key      harp.Key
	Position harp.Position
	Missing  int // notes that the harp lacks
	Bends    int // notes that are bent
	Over     int // overbends
	cost     float64
}

// What speaks against a harp besides its notes, in the cost of one note: second position
// first, as blues is taught, then the others as often as they are met; low and high harps
// are owned by few. Our choice.
func against(k harp.Key, p harp.Position) float64 {
	cost := map[harp.Position]float64{2: 0, 1: 0.5, 3: 0.6, 12: 1.2, 4: 1.2, 5: 1.5}[p]
	if standard := k.MIDI() >= 55 && k.MIDI() <= 66; !standard { // G to F#
		cost += 0.6
	}
	return cost
}

// Suggest lists the harps, the best first: those with most of the notes, and among them
// the one with the fewest and easiest bends, in second position if that costs little. On
// each the tune's key decides the position; harps on which it has none are left out.
func (p Piece) Suggest() []Suggestion {
	var all []Suggestion
	tonic := p.tonic()
	for _, k := range harp.Keys() {
		pos, ok := positionFor(k, tonic)
		if !ok {
			continue
		}
		s := Suggestion{Key: k, Position: pos}
		h := harp.New(k)
		sum, found := 0.0, 0
		for _, n := range p.Notes {
			o := ways(h, n.Pitches)
			if len(o) == 0 {
				o = ways(h, n.Pitches[len(n.Pitches)-1:])
				if len(n.Pitches) > 1 && len(o) > 0 {
					sum += costTorn
				}
			}
			if holes, err := ParseTab(n.Tab); err == nil && sounds(h, holes, n.Pitches) {
				o = []way{{holes: holes}}
			}
			if len(o) == 0 {
				s.Missing++
				continue
			}
			easiest := slices.MinFunc(o, func(a, b way) int {
				if a.cost < b.cost {
					return -1
				}
				return 1
			})
			if easiest.holes[0].Bend > 0 {
				s.Bends++
			}
			if easiest.holes[0].Over {
				s.Over++
			}
			sum += easiest.cost
			found++
		}
		if found == 0 {
			continue
		}
		s.cost = sum/float64(found) + against(k, pos)
		all = append(all, s)
	}
	slices.SortStableFunc(all, func(a, b Suggestion) int {
		switch {
		case a.Missing != b.Missing:
			return a.Missing - b.Missing
		case a.cost < b.cost:
			return -1
		case a.cost > b.cost:
			return 1
		}
		return 0
	})
	return all
}

// positionFor is the position of a tune on a pitch class, if it is one that is taught.
func positionFor(k harp.Key, tonic int) (harp.Position, bool) {
	for _, p := range harp.Positions() {
		if (k.MIDI()+p.Root())%12 == tonic {
			return p, true
		}
	}
	return 0, false
}

// tonic is the tune's key: what the file says, else its first chord, else its last note.
func (p Piece) tonic() int {
	switch {
	case p.Tonic >= 0:
		return p.Tonic % 12
	case len(p.Chords) > 0:
		return p.Chords[0].Root
	}
	last := p.Notes[len(p.Notes)-1].Pitches
	return last[0] % 12
}
