package path

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
)

// The rule, see the package text.
const (
	lastTakes = 5 // this many last takes at target tempo are looked at
	goodTakes = 4 // this many of them must be good
)

// How much is remembered: our choice, so that the file stays under MaxBytes. What was
// earned is remembered beyond it.
const (
	maxDrills = 1000 // drills with anything recorded
	maxTakes  = 5000 // takes of all drills together
	keptTakes = 50   // last takes of one drill, and the lastTakes at target tempo if older
	maxNumber = 1e9  // takes of one drill that are counted
	maxID     = 64   // bytes of a drill's id
)

// A Progress is a player's record. The zero value is a beginner's. It never changes:
// Record and Merge return new ones.
type Progress struct {
	drills map[string]record // nil when empty
}

// record is what is known of one drill. It is always settled: see settle.
type record struct {
	takes   []numbered // in order of numbered.compare
	passed  Day        // 0 until passed
	reviews []Day      // days after passed on which a review was played well, ascending
}

// numbered is a recorded take. Its number, counted from 1 in each drill, tells apart
// takes that are otherwise alike.
type numbered struct {
	Take
	day    Day
	number int
}

// New returns the progress of a beginner.
func New() Progress { return Progress{} }

// ValidID reports whether progress can be kept for a drill of this name: up to 64
// small letters, digits and hyphens.
func ValidID(id string) bool {
	for _, c := range []byte(id) {
		if !(c >= 'a' && c <= 'z' || c >= '0' && c <= '9' || c == '-') {
			return false
		}
	}
	return id != "" && len(id) <= maxID
}

// Record returns the progress after one more take of a drill. A take that was not
// graded changes nothing. A day before that of the drill's last take is taken for that
// day: the calendar of one drill never runs back, whatever the clock does. It panics
// for an invalid id or day.
func (p Progress) Record(day Day, id string, take Take) Progress {
	if !ValidID(id) {
		panic(fmt.Sprintf("path: drill %.70q has no valid id", id))
	}
	if !day.Valid() {
		panic(fmt.Sprintf("path: day %d was never set", int(day)))
	}
	if !take.recordable() {
		return p
	}
	r := p.drills[id]
	next := numbered{Take: take, day: day, number: 1}
	if n := len(r.takes); n > 0 {
		last := r.takes[n-1]
		next.day = max(day, last.day)
		for _, t := range r.takes {
			next.number = max(next.number, min(t.number+1, maxNumber))
		}
	}
	r.takes = append(slices.Clone(r.takes), next)
	after := maps.Clone(p.drills)
	if after == nil {
		after = map[string]record{}
	}
	after[id] = settle(r)
	if !fit(after) {
		return p
	}
	return Progress{after}
}

// Merge unites two records, such as an imported one with the player's own. Takes of
// both are kept, each once, and nothing either has earned is lost. The order of the two
// does not matter, and merging again changes nothing. Takes that are alike in all that
// is kept, with the same number on the same day, are taken for the same. It fails with
// ErrTooLarge when more drills were passed than one file may hold. Past the 5000 takes
// of one file, takes of the drills that were not played for longest are forgotten.
func Merge(a, b Progress) (Progress, error) {
	all := maps.Clone(a.drills)
	if all == nil {
		all = map[string]record{}
	}
	for id, r := range b.drills {
		all[id] = unite(all[id], r)
	}
	if !fit(all) {
		return Progress{}, fmt.Errorf("path: %d drills in one record: %w", len(all), ErrTooLarge)
	}
	if len(all) == 0 {
		all = nil
	}
	return Progress{all}, nil
}

func unite(a, b record) record {
	r := record{passed: earlier(a.passed, b.passed)}
	r.takes = append(slices.Clone(a.takes), b.takes...)
	r.reviews = append(slices.Clone(a.reviews), b.reviews...)
	return settle(r)
}

// earlier returns the first of two days, either of which may be none.
func earlier(a, b Day) Day {
	if a == 0 || b != 0 && b < a {
		return b
	}
	return a
}

// settle sorts a record, forgets old takes, and adds what the others earn. Settling
// again changes nothing. Forgetting comes first, so that merging in an old copy, which
// brings forgotten takes back, finds the same.
func settle(r record) record {
	slices.SortFunc(r.takes, numbered.compare)
	r.takes = recent(slices.Compact(r.takes))
	r.passed = earlier(r.passed, passDay(r.takes))
	days := slices.Clone(r.reviews)
	for _, t := range r.takes {
		if t.counts() {
			days = append(days, t.day)
		}
	}
	r.reviews = reviewed(r.passed, days)
	return r
}

func (t numbered) compare(u numbered) int {
	return cmp.Or(
		cmp.Compare(t.day, u.day),
		cmp.Compare(t.number, u.number),
		cmp.Compare(t.Share, u.Share),
		cmp.Compare(t.Tempo, u.Tempo),
		compareBool(t.Passed, u.Passed),
		compareBool(t.Display, u.Display),
		compareBool(t.AtTempo, u.AtTempo),
	)
}

func compareBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return 1
	}
	return -1
}

// passDay returns the first day on which the rule was met, 0 if never.
func passDay(takes []numbered) Day {
	var window []Take
	for _, t := range takes {
		if !t.AtTempo {
			continue
		}
		if window = append(window, t.Take); len(window) > lastTakes {
			window = window[1:]
		}
		good, blind := 0, 0
		for _, w := range window {
			if w.Good() {
				good++
				if !w.Display {
					blind++
				}
			}
		}
		if good >= goodTakes && blind >= 1 {
			return t.day
		}
	}
	return 0
}

// recent forgets all but the last takes and those the rule looks at, however many
// slower takes came after them.
func recent(takes []numbered) []numbered {
	if len(takes) <= keptTakes {
		return takes
	}
	var kept []numbered
	atTempo := 0
	for i := len(takes) - 1; i >= 0; i-- {
		t := takes[i]
		if t.AtTempo {
			atTempo++
		}
		if len(takes)-i <= keptTakes || t.AtTempo && atTempo <= lastTakes {
			kept = append(kept, t)
		}
	}
	slices.Reverse(kept)
	return kept
}

// last returns the last day the record speaks of.
func (r record) last() Day {
	day := r.passed
	if n := len(r.reviews); n > 0 {
		day = max(day, r.reviews[n-1])
	}
	if n := len(r.takes); n > 0 {
		day = max(day, r.takes[n-1].day)
	}
	return day
}

// fit forgets what the file has no room for, longest unplayed first: single takes of
// drills, then drills in which nothing was earned. It reports whether all that was
// earned has room.
func fit(drills map[string]record) bool {
	takes := 0
	for _, r := range drills {
		takes += len(r.takes)
	}
	if takes <= maxTakes && len(drills) <= maxDrills {
		return true
	}
	oldest := slices.SortedFunc(maps.Keys(drills), func(a, b string) int {
		return cmp.Or(cmp.Compare(drills[a].last(), drills[b].last()), cmp.Compare(a, b))
	})
	for _, id := range oldest {
		if r := drills[id]; r.passed == 0 && len(drills) > maxDrills {
			takes -= len(r.takes)
			delete(drills, id)
		}
	}
	for _, id := range oldest {
		r, ok := drills[id]
		if !ok || takes <= maxTakes {
			continue
		}
		takes -= len(r.takes)
		if r.takes = nil; r.passed == 0 {
			delete(drills, id)
		} else {
			drills[id] = r
		}
	}
	return len(drills) <= maxDrills
}

// Passed returns the day on which the drill was passed, 0 if it was not.
func (p Progress) Passed(id string) Day { return p.drills[id].passed }

// Mastered returns the day after passing on which the drill was confirmed, 0 if it was
// not.
func (p Progress) Mastered(id string) Day {
	if r := p.drills[id].reviews; len(r) > 0 {
		return r[0]
	}
	return 0
}

// Takes returns the takes of a drill that are remembered, oldest first, and the day of
// each.
func (p Progress) Takes(id string) ([]Take, []Day) {
	var takes []Take
	var days []Day
	for _, t := range p.drills[id].takes {
		takes, days = append(takes, t.Take), append(days, t.day)
	}
	return takes, days
}

// Drills returns the ids of all drills with anything recorded, sorted.
func (p Progress) Drills() []string { return slices.Sorted(maps.Keys(p.drills)) }

// A Standing is how far a drill is from being passed.
type Standing struct {
	Last   []bool // of the last takes at target tempo, at most 5, which were good
	Good   int    // how many of them were good
	Needed int    // how many must be
	Blind  bool   // a good one of them was without the live display, as one must be
}

// Standing returns how far a drill is from being passed.
func (p Progress) Standing(id string) Standing {
	s := Standing{Needed: goodTakes}
	takes := p.drills[id].takes
	for i := len(takes) - 1; i >= 0 && len(s.Last) < lastTakes; i-- {
		t := takes[i]
		if !t.AtTempo {
			continue
		}
		s.Last = append(s.Last, t.Good())
		if t.Good() {
			s.Good++
			s.Blind = s.Blind || !t.Display
		}
	}
	slices.Reverse(s.Last)
	return s
}
