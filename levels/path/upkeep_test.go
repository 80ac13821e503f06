package path_test

import (
	"reflect"
	"testing"

	"reedwell/levels/drill"
	"reedwell/levels/path"
)

// reviewedOn is a drill passed on monday with a good take on each of the days after it.
func reviewedOn(days ...path.Day) path.Progress {
	p := passed(path.New(), "single-1")
	for _, d := range days {
		p = p.Record(monday()+d, "single-1", blind())
	}
	return p
}

func TestUpkeep(t *testing.T) {
	slow := path.Take{Graded: true, Share: 0.5, Tempo: 40}
	for _, test := range []struct {
		name string
		p    path.Progress
		on   path.Day // after monday
		want path.Freshness
	}{
		{"never played", path.New(), 0, path.Unpassed},
		{"played only", path.New().Record(monday(), "single-1", good()), 9, path.Unpassed},
		{"passed today", reviewedOn(), 0, path.Fresh},
		{"the next day", reviewedOn(), 1, path.Due},
		{"never confirmed is due, not rusty", reviewedOn(), 300, path.Due},
		{"failed before it was confirmed", reviewedOn().Record(monday()+1, "single-1", poor()), 1, path.Due},
		{"confirmed", reviewedOn(1), 2, path.Fresh},
		{"second review", reviewedOn(1), 3, path.Due},
		{"second review a week late", reviewedOn(1), 9, path.Due},
		{"second review more than a week late", reviewedOn(1), 10, path.Rusty},
		{"third review", reviewedOn(1, 3), 7, path.Due},
		{"third review, the last day", reviewedOn(1, 3), 14, path.Due},
		{"third review, three times the gap", reviewedOn(1, 3), 15, path.Rusty},
		{"fourth review", reviewedOn(1, 3, 7), 21, path.Due},
		{"fourth review, the last day", reviewedOn(1, 3, 7), 48, path.Due},
		{"fourth review, three times the gap", reviewedOn(1, 3, 7), 49, path.Rusty},
		{"all reviews", reviewedOn(1, 3, 7, 21), 83, path.Fresh},
		{"all reviews, nine weeks on", reviewedOn(1, 3, 7, 21), 84, path.Rusty},
		{"played well since", reviewedOn(1, 3, 7, 21, 60), 84, path.Fresh},
		{"review failed", reviewedOn(1).Record(monday()+3, "single-1", poor()), 3, path.Rusty},
		{"failed before it was due", reviewedOn(1).Record(monday()+2, "single-1", poor()), 2, path.Fresh},
		{"failed slowly", reviewedOn(1).Record(monday()+3, "single-1", slow), 3, path.Due},
		{"failed, then good the same day", reviewedOn(1).Record(monday()+3, "single-1", poor()).Record(monday()+3, "single-1", good()), 3, path.Fresh},
		{"good, then one bad the same day", reviewedOn(1, 3).Record(monday()+3, "single-1", poor()), 3, path.Fresh},
		{"failed after all reviews", reviewedOn(1, 3, 7, 21).Record(monday()+42, "single-1", poor()), 42, path.Rusty},
		{"failed soon after all reviews", reviewedOn(1, 3, 7, 21).Record(monday()+41, "single-1", poor()), 41, path.Fresh},
	} {
		if got := test.p.Upkeep("single-1", monday()+test.on).Fresh; got != test.want {
			t.Errorf("%s: %v, want %v", test.name, got, test.want)
		}
	}
}

// What is due is what the older function says, except where it has gone rusty; without
// playing nothing ever gets fresher.
func TestUpkeepLaws(t *testing.T) {
	for seed := range uint64(60) {
		p := random(seed)
		for _, id := range p.Drills() {
			_, days := p.Takes(id)
			last := p.Passed(id)
			if n := len(days); n > 0 {
				last = max(last, days[n-1])
			}
			before := path.Unpassed
			for d := last; d < last+100; d++ {
				u := p.Upkeep(id, d)
				if r := p.Review(id); u.Due != r || (u.Fresh == path.Due && (r == 0 || r > d)) || (u.Fresh == path.Fresh && r != 0 && r <= d) {
					t.Fatalf("seed %d: %s on %v is %+v, review %v", seed, id, d, u, r)
				}
				if u.Fresh < before {
					t.Fatalf("seed %d: %s got fresher by waiting until %v", seed, id, d)
				}
				if u.Fresh == path.Rusty && p.Mastered(id) == 0 {
					t.Fatalf("seed %d: %s is rusty and was never confirmed", seed, id)
				}
				before = u.Fresh
			}
		}
	}
}

func TestRusty(t *testing.T) {
	way := path.For(list())
	if got := way.Rusty(reviewedOn(1), monday()+10); !reflect.DeepEqual(got, []string{"single-1"}) {
		t.Errorf("rusty %v, want single-1", got)
	}
}

func TestPlan(t *testing.T) {
	family := map[string]drill.Family{}
	for _, s := range list() {
		family[s.ID] = s.Family
	}
	way := path.For(list())
	beginner := way.Plan(path.New(), monday(), 8)
	seen := map[drill.Family]string{}
	for i, turn := range beginner {
		f := family[turn.ID]
		if turn.Takes != 5 || seen[f] != "" && seen[f] != turn.ID {
			t.Errorf("turn %d of a beginner is %+v, want five takes of %s", i, turn, seen[f])
		}
		if i > 0 && family[beginner[i-1].ID] == f {
			t.Errorf("turn %d is the family of the one before", i)
		}
		seen[f] = turn.ID
	}
	if len(beginner) != 8 {
		t.Errorf("%d turns, want 8", len(beginner))
	}
	later := way.Plan(reviewedOn(1), monday()+10, 100)
	if len(later) != path.MaxTurns || later[0] != (path.Turn{ID: "single-1", Takes: 3, Why: path.Rusty}) {
		t.Errorf("%d turns, the first %+v, want %d beginning with single-1", len(later), later[0], path.MaxTurns)
	}
	for _, n := range []int{0, -1} {
		if got := way.Plan(path.New(), monday(), n); len(got) != 0 {
			t.Errorf("%d turns asked for: %v", n, got)
		}
	}
	if got := path.For(nil).Plan(path.New(), monday(), 5); len(got) != 0 {
		t.Errorf("a path without drills: %v", got)
	}
	for seed := range uint64(30) {
		for _, turn := range way.Plan(random(seed), monday()+50, 20) {
			if !way.Open(random(seed), turn.ID) {
				t.Errorf("seed %d: %s is not open", seed, turn.ID)
			}
		}
	}
}
