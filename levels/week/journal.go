package week

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strconv"

	"reedwell/levels/path"
)

// Bounds of a journal, our choices.
const (
	// FineWeeks is how many weeks are kept by day: a quarter of a year.
	FineWeeks = 13
	// MaxSources is the most installations whose journals are kept together.
	MaxSources = 16
	// MaxTakeSeconds is the longest take that is counted in full.
	MaxTakeSeconds = 3600

	maxBody  = 400_000   // bytes of entries, which leaves room in MaxBytes
	maxTakes = 1_000_000 // in one entry, far above what a week holds
	scale    = 10        // measures are kept to a tenth of their unit, so that sums are exact
	maxValue = 10_000    // a measure, in its unit, beyond which it is no measure
	perMille = 1000      // shares are kept to a thousandth
)

// ErrSources is returned when journals of too many installations would come together.
var ErrSources = fmt.Errorf("a journal holds the practice of at most %d devices", MaxSources)

// Monday returns the first day of the week in which a day lies.
func Monday(d path.Day) path.Day { return d - (d+3)%7 } // day 0, 1970-01-01, was a Thursday

// A Journal is what was practised, when. It never changes: Add and Merge return new ones.
type Journal struct {
	source string
	newest path.Day // the last day with a take of any source; 0: none
	since  path.Day // what lies before was forgotten; a Monday or 0
	days   map[dayKey]total
	cells  map[cellKey]cell
}

type dayKey struct {
	source string
	day    path.Day
}

type total struct{ takes, seconds int }

// cellKey names what is added up together: a drill on a day, or, before the fine weeks, in
// the week that begins on that day.
type cellKey struct {
	source string
	day    path.Day
	drill  string
}

type cell struct {
	takes, good, seconds int
	share                int // sum, in thousandths
	skills               map[Skill]sums
}

// sums is what mean and spread are made of; sum and square are in tenths of the unit.
type sums struct{ n, sum, square int64 }

func (a sums) plus(b sums) sums { return sums{a.n + b.n, a.sum + b.sum, a.square + b.square} }

// A Stat is a mean over takes with its spread.
type Stat struct {
	N    int     // takes in which it was measured; 0: nothing is known
	Mean float64 // in the skill's unit
	SD   float64 // spread between takes, standard deviation of the sample; 0 for one take
}

func (a sums) stat() Stat {
	if a.n == 0 {
		return Stat{}
	}
	n := float64(a.n)
	mean := float64(a.sum) / n
	sd := 0.0
	if a.n > 1 {
		sd = math.Sqrt(max(0, (float64(a.square)-n*mean*mean)/(n-1)))
	}
	return Stat{int(a.n), mean / scale, sd / scale}
}

// NewSource makes a source from random bytes.
func NewSource(random io.Reader) (string, error) {
	var b [8]byte
	if _, err := io.ReadFull(random, b[:]); err != nil {
		return "", fmt.Errorf("journal: a source needs random bytes: %w", err)
	}
	return fmt.Sprintf("%x", b), nil
}

// validSource reports whether a source is 16 hexadecimal digits.
func validSource(s string) bool {
	for _, c := range []byte(s) {
		if !(c >= '0' && c <= '9' || c >= 'a' && c <= 'f') {
			return false
		}
	}
	return len(s) == 16
}

// New returns an empty journal for an installation. It panics for what NewSource would
// not make.
func New(source string) Journal {
	if !validSource(source) {
		panic(fmt.Sprintf("week: %.40q is no source", source))
	}
	return Journal{source: source}
}

// Source returns the source under which takes are added.
func (j Journal) Source() string { return j.source }

// Since returns the day before which everything was forgotten, 0 if nothing was.
func (j Journal) Since() path.Day { return j.since }

// Newest returns the last day on which something was played, 0 if there is none.
func (j Journal) Newest() path.Day { return j.newest }

// horizon returns the Monday before which weeks are added up.
func (j Journal) horizon() path.Day { return max(0, Monday(j.newest)-FineWeeks*7) }

// place returns the day under which a take of a day is counted.
func (j Journal) place(day path.Day) path.Day {
	if day < j.horizon() {
		return max(Monday(day), 1)
	}
	return day
}

// Add returns the journal after one more take. A take before what was forgotten changes
// nothing, and a number that measures nothing is left out. It panics for an invalid day or
// drill id, and for a journal that was not made by New, Decode or Keep.
func (j Journal) Add(day path.Day, t Take) Journal {
	if !validSource(j.source) {
		panic("week: the journal was not made by New")
	}
	if !day.Valid() || t.Drill != "" && !path.ValidID(t.Drill) {
		panic(fmt.Sprintf("week: no take of %.70q on day %d can be kept", t.Drill, int(day)))
	}
	if day < j.since {
		return j
	}
	share := 0
	if t.Share > 0 {
		share = int(math.Round(min(t.Share, 1) * perMille))
	}
	seconds := 0
	if t.Seconds > 0 {
		seconds = int(math.Round(min(t.Seconds, MaxTakeSeconds)))
	}
	next := j.clone()
	next.newest = max(j.newest, day)
	next.coarsen()
	d := next.days[dayKey{j.source, day}]
	key := cellKey{j.source, next.place(day), t.Drill}
	c := next.cells[key]
	if d.takes >= maxTakes || c.takes >= maxTakes {
		return j
	}
	next.days[dayKey{j.source, day}] = total{d.takes + 1, d.seconds + seconds}
	if t.Drill == "" {
		next.fit()
		return next.settled()
	}
	add := cell{takes: 1, seconds: seconds, share: share, skills: map[Skill]sums{}}
	if t.Good {
		add.good = 1
	}
	for s, v := range t.Measured {
		if s.Valid() && math.Abs(v) <= maxValue { // false for what is no number
			n := int64(math.Round(v * scale))
			add.skills[s] = sums{1, n, n * n}
		}
	}
	next.cells[key] = c.plus(add)
	next.fit()
	return next.settled()
}

// plus adds up two cells, as far as one entry holds.
func (c cell) plus(d cell) cell {
	if c.takes+d.takes > maxTakes {
		if c.compare(d) < 0 {
			return d
		}
		return c
	}
	sum := cell{c.takes + d.takes, c.good + d.good, c.seconds + d.seconds, c.share + d.share, maps.Clone(c.skills)}
	if sum.skills == nil {
		sum.skills = map[Skill]sums{}
	}
	for s := range d.skills {
		sum.skills[s] = sum.skills[s].plus(d.skills[s])
	}
	return sum
}

// compare puts the cell that knows of more takes last. Cells of one source grow, so the
// larger holds the smaller; the rest only makes the choice the same every time.
func (c cell) compare(d cell) int {
	order := cmp.Or(cmp.Compare(c.takes, d.takes), cmp.Compare(c.good, d.good), cmp.Compare(c.seconds, d.seconds),
		cmp.Compare(c.share, d.share), cmp.Compare(len(c.skills), len(d.skills)))
	names := slices.Sorted(maps.Keys(c.skills))
	order = cmp.Or(order, slices.Compare(names, slices.Sorted(maps.Keys(d.skills))))
	for _, s := range names {
		a, b := c.skills[s], d.skills[s]
		order = cmp.Or(order, cmp.Compare(a.n, b.n), cmp.Compare(a.sum, b.sum), cmp.Compare(a.square, b.square))
	}
	return order
}

func (j Journal) clone() Journal {
	j.days, j.cells = maps.Clone(j.days), maps.Clone(j.cells)
	if j.days == nil {
		j.days = map[dayKey]total{}
	}
	if j.cells == nil {
		j.cells = map[cellKey]cell{}
	}
	return j
}

// coarsen adds up by week what lies before the fine weeks.
func (j *Journal) coarsen() {
	var old []cellKey
	for key := range j.cells {
		if j.place(key.day) != key.day {
			old = append(old, key)
		}
	}
	slices.SortFunc(old, cellKey.compare)
	for _, key := range old {
		to := cellKey{key.source, j.place(key.day), key.drill}
		j.cells[to] = j.cells[to].plus(j.cells[key])
		delete(j.cells, key)
	}
}

func (k cellKey) compare(l cellKey) int {
	return cmp.Or(cmp.Compare(k.source, l.source), cmp.Compare(k.day, l.day), cmp.Compare(k.drill, l.drill))
}

// digits returns how many bytes a number takes.
func digits(n int64) int {
	var b [24]byte
	return len(strconv.AppendInt(b[:0], n, 10))
}

// size returns the bytes that a cell takes in the file.
func (c cell) size(k cellKey) int {
	n := len(`{"d":,"i":"","n":,"g":,"s":,"h":,"m":{}},`) + len(k.drill)
	for _, v := range []int{int(k.day), c.takes, c.good, c.seconds, c.share} {
		n += digits(int64(v))
	}
	for s, v := range c.skills {
		n += len(`"":[,,],`) + len(s) + digits(v.n) + digits(v.sum) + digits(v.square)
	}
	return n
}

// fit forgets the oldest weeks until the rest has room. The day before which all is
// forgotten is kept, so that merging in an old copy brings nothing back.
func (j *Journal) fit() {
	for key := range j.days {
		if key.day < j.since {
			delete(j.days, key)
		}
	}
	weeks := map[path.Day]int{} // bytes by Monday
	all := 0
	for key, d := range j.days {
		n := len("[,,],") + digits(int64(key.day)) + digits(int64(d.takes)) + digits(int64(d.seconds))
		weeks[Monday(key.day)] += n
		all += n
	}
	for key, c := range j.cells {
		if Monday(key.day) < j.since {
			delete(j.cells, key)
			continue
		}
		n := c.size(key)
		weeks[Monday(key.day)] += n
		all += n
	}
	if all <= maxBody {
		return
	}
	for _, monday := range slices.Sorted(maps.Keys(weeks)) {
		all -= weeks[monday]
		j.since = monday + 7
		if all <= maxBody {
			break
		}
	}
	maps.DeleteFunc(j.days, func(k dayKey, _ total) bool { return k.day < j.since })
	maps.DeleteFunc(j.cells, func(k cellKey, _ cell) bool { return k.day < j.since })
}

// Merge returns a with what b knows more; takes are added to it under the source of a.
// Merging again changes nothing, and but for the source the order does not matter.
// Entries of one source grow, so of two the one that counts more takes is kept. It fails
// with ErrSources.
func Merge(a, b Journal) (Journal, error) {
	m := a.clone()
	m.newest, m.since = max(a.newest, b.newest), max(a.since, b.since)
	other := b.clone()
	other.newest = m.newest
	m.coarsen()
	other.coarsen()
	for key, d := range other.days {
		have := m.days[key]
		if cmp.Or(cmp.Compare(d.takes, have.takes), cmp.Compare(d.seconds, have.seconds)) > 0 {
			m.days[key] = d
		}
	}
	for key, c := range other.cells {
		if have, ok := m.cells[key]; !ok || c.compare(have) > 0 {
			m.cells[key] = c
		}
	}
	m.fit()
	if n := len(m.sources()); n > MaxSources {
		return a, fmt.Errorf("journal: %w, not of %d", ErrSources, n)
	}
	return m.settled(), nil
}

// settled has no empty maps, so that equal journals are alike.
func (j Journal) settled() Journal {
	if len(j.days) == 0 {
		j.days = nil
	}
	if len(j.cells) == 0 {
		j.cells = nil
	}
	return j
}

// sources returns who has entries.
func (j Journal) sources() []string {
	seen := map[string]bool{}
	for k := range j.days {
		seen[k.source] = true
	}
	for k := range j.cells {
		seen[k.source] = true
	}
	return slices.Sorted(maps.Keys(seen))
}

// A Total is the practice of one day.
type Total struct {
	Day     path.Day
	Takes   int
	Minutes float64 // of takes: pauses and listening are not in it
}

// MaxSpan is the most days or weeks that are given at once: ten years of days.
const MaxSpan = 3660

// errSpan is what a caller does wrong.
var errSpan = errors.New("week: the span is backwards or longer than MaxSpan")

// Days returns each day from first to last, also those without a take. It panics for a
// span that is backwards or longer than MaxSpan days.
func (j Journal) Days(first, last path.Day) []Total {
	if last < first || last-first >= MaxSpan {
		panic(errSpan)
	}
	days := make([]Total, last-first+1)
	seconds := make([]int, len(days))
	for i := range days {
		days[i].Day = first + path.Day(i)
	}
	for key, d := range j.days {
		if key.day >= first && key.day <= last {
			days[key.day-first].Takes += d.takes
			seconds[key.day-first] += d.seconds
		}
	}
	for i, s := range seconds {
		days[i].Minutes = float64(s) / 60
	}
	return days
}

// Skills returns all that was ever measured and is remembered, sorted.
func (j Journal) Skills() []Skill {
	seen := map[Skill]bool{}
	for _, c := range j.cells {
		for s := range c.skills {
			seen[s] = true
		}
	}
	return slices.Sorted(maps.Keys(seen))
}

// A Point is one skill in one week.
type Point struct {
	Week path.Day // its Monday
	Stat          // N is 0 in a week in which it was not measured: a gap, no zero
}

// Weeks returns a skill for each week from the one with first to the one with last. It
// panics as Days does.
func (j Journal) Weeks(s Skill, first, last path.Day) []Point {
	first, last = Monday(first), Monday(last)
	if last < first || last-first >= MaxSpan {
		panic(errSpan)
	}
	all := make([]sums, (last-first)/7+1)
	for key, c := range j.cells {
		if i := int(Monday(key.day)-first) / 7; Monday(key.day) >= first && i < len(all) {
			all[i] = all[i].plus(c.skills[s])
		}
	}
	points := make([]Point, len(all))
	for i, a := range all {
		points[i] = Point{first + path.Day(7*i), a.stat()}
	}
	return points
}

// A Tried is the practice of one drill in one week.
type Tried struct {
	Drill   string
	Takes   int
	Good    int     // good takes at target tempo
	Minutes float64 // of takes
	Share   float64 // of good notes, mean over the takes
}

// Drills returns what was played in the week of a day, the most played first.
func (j Journal) Drills(day path.Day) []Tried {
	all := map[string]cell{}
	for key, c := range j.cells {
		if Monday(key.day) == Monday(day) {
			all[key.drill] = all[key.drill].plus(c)
		}
	}
	var tried []Tried
	for id, c := range all {
		tried = append(tried, Tried{id, c.takes, c.good, float64(c.seconds) / 60, float64(c.share) / perMille / float64(c.takes)})
	}
	slices.SortFunc(tried, func(a, b Tried) int {
		return cmp.Or(cmp.Compare(b.Takes, a.Takes), cmp.Compare(a.Drill, b.Drill))
	})
	return tried
}
