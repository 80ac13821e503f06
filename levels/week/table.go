package week

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"reedwell/levels/path"
)

// MaxFiles is the most summaries that are compared at once: a class of thirty over six
// weeks and some more. Our choice.
const MaxFiles = 200

// ErrFiles is returned for more summaries than are compared at once.
var ErrFiles = fmt.Errorf("at most %d weekly summaries are opened at once", MaxFiles)

// A Row is one student in a teacher's table.
type Row struct {
	From      string     // the source of the summaries; two devices of one student are two rows
	Name      string     // as last typed by the student, may be empty
	Note      string     // of the last week
	Weeks     []path.Day // Mondays of the summaries, in order
	Missing   bool       // no summary of the last week of the table: nothing is known of it
	Idle      bool       // there is one, and it has no take
	Days      int        // with takes, in all weeks
	Minutes   int        // in all weeks
	Takes     int        // in all weeks
	Stuck     []Item     // many takes in these weeks and not passed, the most takes first
	Rusty     []string   // at the end of the last week
	Passed    []string   // in these weeks, sorted
	Confirmed []string   // in these weeks, sorted
	Improved  []Change   // in the last week, better by more than the spread
	Worse     []Change   // in the last week, worse by more than the spread
}

// A Table is what a teacher sees of several students.
type Table struct {
	Last     path.Day // Monday of the last week of any summary; 0 with no summary
	Rows     []Row    // who needs the teacher most first
	Repeated int      // summaries that were opened more than once
	Replaced int      // summaries for which a fuller one of the same week was there
}

// Compare makes a table of summaries, in whatever order they come. Of two of the same
// student and week the one with more takes counts: it was made later in the week. Rows are
// sorted by need: those who did not practise in the last week, then by the takes that went
// into stuck drills, then by what has gone rusty; those without a summary of the last
// week come after those with one. It fails with ErrFiles, and for a summary that Encode
// would refuse.
func Compare(all []Summary) (Table, error) {
	if len(all) > MaxFiles {
		return Table{}, fmt.Errorf("%w, not %d", ErrFiles, len(all))
	}
	type key struct {
		from string
		week path.Day
	}
	var t Table
	best := map[key]Summary{}
	bytes := map[key]string{}
	seen := map[string]bool{}
	for i, s := range all {
		data, err := s.Encode()
		if err != nil {
			return Table{}, fmt.Errorf("summary %d: %w", i+1, err)
		}
		if seen[string(data)] {
			t.Repeated++
			continue
		}
		seen[string(data)] = true
		k := key{s.From, s.Week}
		if have, ok := best[k]; ok {
			t.Replaced++
			_, _, a := have.practised()
			_, _, b := s.practised()
			if cmp.Or(cmp.Compare(b, a), cmp.Compare(s.Day, have.Day), cmp.Compare(string(data), bytes[k])) < 0 {
				continue
			}
		}
		best[k], bytes[k] = s, string(data)
		t.Last = max(t.Last, s.Week)
	}
	students := map[string][]Summary{}
	for _, s := range best {
		students[s.From] = append(students[s.From], s)
	}
	for _, from := range slices.Sorted(maps.Keys(students)) {
		weeks := students[from]
		slices.SortFunc(weeks, func(a, b Summary) int { return int(a.Week - b.Week) })
		t.Rows = append(t.Rows, row(weeks, t.Last))
	}
	slices.SortStableFunc(t.Rows, Row.compare)
	return t, nil
}

// row puts together the weeks of one student, given in order.
func row(weeks []Summary, last path.Day) Row {
	end := weeks[len(weeks)-1]
	r := Row{From: end.From, Note: end.Note, Missing: end.Week != last, Rusty: end.Rusty}
	items := map[string]Item{}
	passed, confirmed := map[string]bool{}, map[string]bool{}
	for _, s := range weeks {
		r.Weeks = append(r.Weeks, s.Week)
		r.Name = cmp.Or(s.Name, r.Name)
		days, minutes, takes := s.practised()
		r.Days, r.Minutes, r.Takes = r.Days+days, r.Minutes+minutes, r.Takes+takes
		if s.Week == last {
			r.Idle = takes == 0
		}
		for _, d := range s.Drills {
			have := items[d.Drill]
			items[d.Drill] = Item{d.Drill, have.Takes + d.Takes, have.Good + d.Good, have.Minutes + d.Minutes, have.Passed || d.Passed}
		}
		for _, id := range s.Passed {
			passed[id] = true
		}
		for _, id := range s.Confirmed {
			confirmed[id] = true
		}
	}
	r.Passed, r.Confirmed = slices.Sorted(maps.Keys(passed)), slices.Sorted(maps.Keys(confirmed))
	for _, d := range items {
		if d.stuck() && !passed[d.Drill] && !confirmed[d.Drill] {
			r.Stuck = append(r.Stuck, d)
		}
	}
	slices.SortFunc(r.Stuck, order)
	if r.Missing {
		return r
	}
	for _, c := range end.Changes {
		switch c.Verdict() {
		case Better:
			r.Improved = append(r.Improved, c)
		case Worse:
			r.Worse = append(r.Worse, c)
		}
	}
	return r
}

// compare puts the row with more need first.
func (r Row) compare(o Row) int {
	stuck := func(r Row) (n int) {
		for _, d := range r.Stuck {
			n += d.Takes
		}
		return n
	}
	yes := func(b bool) int {
		if b {
			return 1
		}
		return 0
	}
	return cmp.Or(
		cmp.Compare(yes(r.Missing), yes(o.Missing)),
		cmp.Compare(yes(o.Idle), yes(r.Idle)),
		cmp.Compare(stuck(o), stuck(r)),
		cmp.Compare(len(o.Rusty), len(r.Rusty)),
		cmp.Compare(len(o.Worse), len(r.Worse)),
		cmp.Compare(r.Name, o.Name),
		cmp.Compare(r.From, o.From),
	)
}
