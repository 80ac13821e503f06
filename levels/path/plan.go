package path

import (
	"slices"

	"reedwell/levels/drill"
)

// A Turn is one stretch of a session: some takes of one drill before the next.
type Turn struct {
	ID    string
	Takes int
	Why   Freshness // Rusty or Due; Unpassed for what is to be learned
}

const (
	// blockTakes is how many takes of a drill a beginner plays on end: as many as passing
	// looks at.
	blockTakes = lastTakes
	// mixTakes is how many takes there are between changes later on. At half a minute to
	// a minute a take this is near the turns of three minutes of Carter & Grahn 2016
	// (Frontiers in Psychology 7:1251). Our choice.
	mixTakes = 3
	// MaxTurns bounds a plan: two hours and more.
	MaxTurns = 60
)

// Plan suggests a session of at most n turns, the same for the same progress and day. The
// families take turns, since mixed practice lasts better than the same amount on end
// (Carter & Grahn 2016, see mixTakes). In a family in which nothing was passed yet the
// takes stay together, as mixing showed no clear gain for beginners (Stambaugh 2011, as
// quoted by others). In each family rusty drills come first, then due ones, then what is
// open. It is a suggestion: nothing is locked by it.
func (p Path) Plan(have Progress, day Day, n int) []Turn {
	type lane struct {
		turns []Turn // what there is to do, the most pressing first
		next  int
	}
	var order []drill.Family
	lanes := map[drill.Family]*lane{}
	learned := map[drill.Family]bool{}
	for _, id := range p.ids {
		f := p.family[id]
		if have.Passed(id) != 0 {
			learned[f] = true
		}
		t := Turn{ID: id, Takes: mixTakes, Why: have.Upkeep(id, day).Fresh}
		if t.Why == Fresh || t.Why == Unpassed && p.State(have, id) != Open {
			continue
		}
		if lanes[f] == nil {
			lanes[f] = &lane{}
			order = append(order, f)
		}
		lanes[f].turns = append(lanes[f].turns, t)
	}
	for f, l := range lanes {
		slices.SortStableFunc(l.turns, func(a, b Turn) int { return int(b.Why) - int(a.Why) })
		if !learned[f] {
			l.turns = l.turns[:1]
			l.turns[0].Takes = blockTakes
		}
	}
	slices.SortStableFunc(order, func(a, b drill.Family) int {
		return int(lanes[b].turns[0].Why) - int(lanes[a].turns[0].Why)
	})
	var plan []Turn
	for len(order) > 0 && len(plan) < min(n, MaxTurns) {
		l := lanes[order[len(plan)%len(order)]]
		plan = append(plan, l.turns[l.next%len(l.turns)])
		l.next++
	}
	return plan
}
