package write

import (
	"math"
	"sort"

	"reedwell/levels/harp"
)

var (
	twoDraw   = harp.Note{Hole: 2, Breath: harp.Draw}
	twoBlow   = harp.Note{Hole: 2, Breath: harp.Blow}
	threeBlow = harp.Note{Hole: 3, Breath: harp.Blow}
)

// Costs of taking 2 draw or 3 blow, in the units of a Gaussian's exponent. Our choice.
const (
	// blowRare is the cost of 3 blow in itself: second position stands on 2 draw, and players
	// who can draw it clean prefer it elsewhere too. In first position the blow chord is home.
	blowRare, blowHome = 2.2, 0.3
	// climbing is what 2 blow next to it takes off: the blow chord is being climbed.
	climbing = 1.0
	// breathTurn is the cost of a change of breath to a note that is tongued, breathBroken to
	// one that came without a break, which is hard to do but done, and each hole of distance
	// costs holeApart.
	breathTurn, breathBroken, holeApart = 0.9, 1.2, 0.15
	// pitchScatter in cents is how well a player's measured reeds tell the two apart.
	pitchScatter = 8.0
	// evenly is the difference under which the choice is in doubt.
	evenly = 1.2
)

// holes are the holes of each piece, with chords, and 2 draw or 3 blow decided; unsure
// says where that was close.
func (p *page) holes() (holes [][]harp.Note, unsure []bool) {
	n := len(p.pieces)
	choices := make([][]harp.Note, n)
	for i, x := range p.pieces {
		choices[i] = []harp.Note{x.note}
		if x.note == twoDraw && !x.warbles() && !p.inGlide(i) {
			choices[i] = append(choices[i], threeBlow)
		}
	}
	// Forward and backward costs give each choice the least cost of a whole that holds it.
	ahead, back := make([][]float64, n), make([][]float64, n)
	for i := range choices {
		ahead[i] = make([]float64, len(choices[i]))
		for k, c := range choices[i] {
			best := 0.0
			if i > 0 {
				best = math.Inf(1)
				for m, b := range choices[i-1] {
					best = math.Min(best, ahead[i-1][m]+p.change(i, b, c))
				}
			}
			ahead[i][k] = best + p.own(i, c)
		}
	}
	for i := n - 1; i >= 0; i-- {
		back[i] = make([]float64, len(choices[i]))
		for k, c := range choices[i] {
			if i+1 == n {
				continue
			}
			back[i][k] = math.Inf(1)
			for m, d := range choices[i+1] {
				back[i][k] = math.Min(back[i][k], back[i+1][m]+p.change(i+1, c, d)+p.own(i+1, d))
			}
		}
	}
	unsure = make([]bool, n)
	for i, x := range p.pieces {
		note := choices[i][0]
		if len(choices[i]) == 2 {
			draw, blow := ahead[i][0]+back[i][0], ahead[i][1]+back[i][1]
			if blow < draw {
				note = threeBlow
			}
			unsure[i] = math.Abs(draw-blow) < evenly
		}
		holes = append(holes, chordOf(x, note))
	}
	return holes, unsure
}

// inGlide says that a piece is bent into or out of, so it is a draw note.
func (p *page) inGlide(i int) bool {
	return p.pieces[i].glide || i+1 < len(p.pieces) && p.pieces[i+1].glide
}

// is says that piece i is there and is the note n.
func (p *page) is(i int, n harp.Note) bool {
	return i >= 0 && i < len(p.pieces) && p.pieces[i].note == n
}

// own is the cost of a choice by itself.
func (p *page) own(i int, n harp.Note) float64 {
	x := p.pieces[i]
	if x.note != twoDraw {
		return 0
	}
	cost := 0.0
	if n == threeBlow {
		cost = blowRare
		if p.options.Position != 0 && p.options.Position.Root() == 0 {
			cost = blowHome
		}
	}
	if n == threeBlow && (p.is(i-1, twoBlow) || p.is(i+1, twoBlow)) {
		cost -= climbing
	}
	prof := p.options.Harp.Profile
	off := x.cents // over 2 draw
	if n == threeBlow {
		off -= prof.Cents(3, harp.Blow) - prof.Cents(2, harp.Draw)
	}
	cost += math.Min(2, off*off/(2*pitchScatter*pitchScatter))
	// What sounds along betrays the breath.
	for _, a := range x.along {
		if a.share >= chordShare && a.level > -25 && n.Breath != x.note.Breath {
			cost += 3
		}
	}
	return cost
}

// change is the cost of going from a to b as piece i begins.
func (p *page) change(i int, a, b harp.Note) float64 {
	x, before := p.pieces[i], p.pieces[i-1]
	cost := holeApart * math.Abs(float64(a.Hole-b.Hole))
	if a.Breath == b.Breath {
		return cost
	}
	if x.start-before.end <= inBreath && x.dip < slurDip {
		return cost + breathBroken
	}
	return cost + breathTurn
}

// chordOf is the note with the holes that sound along at near equal level, from the
// lowest up.
func chordOf(x piece, note harp.Note) []harp.Note {
	if x.warbles() || note.Breath != x.note.Breath {
		return []harp.Note{note}
	}
	in := map[int]bool{note.Hole: true}
	for grown := true; grown; {
		grown = false
		for _, a := range x.along {
			if !in[a.hole] && (in[a.hole-1] || in[a.hole+1]) && a.share >= chordShare && a.level >= chordLevel {
				in[a.hole], grown = true, true
			}
		}
	}
	all := []harp.Note{}
	for hole := range in {
		n := note
		n.Hole = hole
		all = append(all, n)
	}
	sort.Slice(all, func(i, j int) bool { return all[i].Hole < all[j].Hole })
	return all
}
