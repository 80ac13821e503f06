package path

import (
	"fmt"
	"slices"
	"strings"

	"reedwell/levels/drill"
)

// A State is where a player stands with a drill.
type State int

// The states.
const (
	Locked   State = iota // not on the list of what to play next; a link still opens it
	Open                  // to be played
	Passed                // passed; the next level is open
	Mastered              // passed, and played well again on a later day
)

// String returns the word shown to the player.
func (s State) String() string {
	switch s {
	case Locked:
		return "locked"
	case Open:
		return "open"
	case Passed:
		return "passed"
	case Mastered:
		return "mastered"
	}
	return fmt.Sprintf("state %d", int(s))
}

// A Path is the order of the drills and what opens what.
//
// Drills whose ids differ only in the last part, the level, are a chain: single-1,
// single-2 and so on. A level opens when the one before it is passed. The first level
// of a family is open from the start. The bend ladder has a chain for each hole: its
// first levels on 4 draw and 1 draw are open from the start, since these are the holes
// on which a bend is found most easily (common practice, no source); the first levels
// on the other holes open when the first level on any hole is passed.
type Path struct {
	ids   []string            // in the order of the list
	needs map[string][]string // ids, any of which must be passed; none: open from the start
	after map[string]string   // the next level of the same chain

	family map[string]drill.Family
}

// entries are the chains of a family that are open from the start; a family without
// them starts with its first chain.
func entries(f drill.Family) []string {
	if f == drill.Ladder {
		return []string{"ladder-4d", "ladder-1d"}
	}
	return nil
}

// chain returns the id without its level.
func chain(id string) string { return id[:max(strings.LastIndexByte(id, '-'), 0)] }

// For makes the path through the listed drills. It panics when two have the same id or
// the same level of the same chain, or when progress could not be kept for an id.
func For(list []drill.Summary) Path {
	p := Path{needs: map[string][]string{}, after: map[string]string{}, family: map[string]drill.Family{}}
	chains := map[string][]drill.Summary{}
	var order []string
	for _, s := range list {
		if !ValidID(s.ID) || slices.Contains(p.ids, s.ID) {
			panic(fmt.Sprintf("path: the list has drill %.70q twice or in a bad form", s.ID))
		}
		p.ids = append(p.ids, s.ID)
		p.family[s.ID] = s.Family
		c := chain(s.ID)
		if chains[c] == nil {
			order = append(order, c)
		}
		chains[c] = append(chains[c], s)
	}
	families := map[drill.Family][]string{} // family -> chains in order
	for _, c := range order {
		levels := chains[c]
		slices.SortStableFunc(levels, func(a, b drill.Summary) int { return a.Level - b.Level })
		for i := 1; i < len(levels); i++ {
			if levels[i].Level == levels[i-1].Level {
				panic(fmt.Sprintf("path: %s and %s are both level %d", levels[i-1].ID, levels[i].ID, levels[i].Level))
			}
			p.needs[levels[i].ID] = []string{levels[i-1].ID}
			p.after[levels[i-1].ID] = levels[i].ID
		}
		families[levels[0].Family] = append(families[levels[0].Family], c)
	}
	for f, cs := range families {
		open := slices.DeleteFunc(entries(f), func(c string) bool { return !slices.Contains(cs, c) })
		if len(open) == 0 {
			open = cs[:1]
		}
		var firsts []string
		for _, c := range cs {
			firsts = append(firsts, chains[c][0].ID)
		}
		for _, c := range cs {
			if !slices.Contains(open, c) {
				first := chains[c][0].ID
				p.needs[first] = slices.DeleteFunc(slices.Clone(firsts), func(id string) bool { return id == first })
			}
		}
	}
	return p
}

// Has reports whether the drill is on the path.
func (p Path) Has(id string) bool { return slices.Contains(p.ids, id) }

// Needs returns the drills of which any one must be passed to open this one; none when
// it is open from the start or not on the path.
func (p Path) Needs(id string) []string { return slices.Clone(p.needs[id]) }

// Open reports whether the drill is open: from the start, by passing another, or
// because it was itself passed, for instance from a link. A drill that is not on the
// path is not.
func (p Path) Open(have Progress, id string) bool {
	if !p.Has(id) {
		return false
	}
	needs := p.needs[id]
	passed := func(id string) bool { return have.Passed(id) != 0 }
	return len(needs) == 0 || passed(id) || slices.ContainsFunc(needs, passed)
}

// State returns where the player stands with a drill.
func (p Path) State(have Progress, id string) State {
	switch {
	case !p.Open(have, id):
		return Locked
	case have.Mastered(id) != 0:
		return Mastered
	case have.Passed(id) != 0:
		return Passed
	}
	return Open
}

// Next returns the drill to go on with after one: its next level if that is open, or
// else the next on the path, from there round to the start, that is open and not yet
// passed. It is empty when there is none.
func (p Path) Next(have Progress, id string) string {
	if next := p.after[id]; next != "" && p.State(have, next) == Open {
		return next
	}
	at := slices.Index(p.ids, id)
	for i := range p.ids {
		if next := p.ids[(at+1+i)%len(p.ids)]; next != id && p.State(have, next) == Open {
			return next
		}
	}
	return ""
}

// Opened returns the drills that are open after and were not before.
func (p Path) Opened(before, after Progress) []string {
	var ids []string
	for _, id := range p.ids {
		if p.Open(after, id) && !p.Open(before, id) {
			ids = append(ids, id)
		}
	}
	return ids
}

// Due returns the drills whose review is due on the day, in the order of the path.
func (p Path) Due(have Progress, day Day) []string {
	var ids []string
	for _, id := range p.ids {
		if r := have.Review(id); r != 0 && r <= day {
			ids = append(ids, id)
		}
	}
	return ids
}
