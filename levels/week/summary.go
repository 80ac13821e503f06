package week

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"reedwell/levels/path"
	"reedwell/levels/seal"
)

// Bounds of a summary, our choices.
const (
	MaxSummary = 16_384 // bytes of a file
	MaxNote    = 500    // runes the student adds: a few sentences
	MaxName    = 40     // runes
	MaxDrills  = 40     // drills in one summary, the most played first

	dayMinutes = 24 * 60
)

// The ways in which a summary is refused.
var (
	ErrSummaryDamaged = errors.New("this is not a whole weekly summary; ask for it to be sent again")
	ErrSummaryNewer   = errors.New("the weekly summary was written by a newer version of this program; update, then open it again")
	ErrSummaryLarge   = errors.New("this is more than a weekly summary holds; check that the right file was chosen")
	ErrName           = fmt.Errorf("a name is at most %d printed characters on one line", MaxName)
	ErrNote           = fmt.Errorf("a note is at most %d printed characters", MaxNote)
)

// A Change is one skill this week and in the last one in which it was measured.
type Change struct {
	Skill  Skill
	Now    Stat     // N is at least 1
	Before Stat     // N is 0 when it was not measured in the eight weeks before
	Week   path.Day // the Monday of Before; 0 with N 0
}

// lookBack is how many weeks back an earlier number is looked for: two months. Our choice.
const lookBack = 8

// An Item is one drill of a summary.
type Item struct {
	Drill   string
	Takes   int
	Good    int  // good takes at target tempo
	Minutes int  // of takes, rounded
	Passed  bool // passed by the end of the week
}

// A Summary is one week for a teacher.
type Summary struct {
	From      string   // the journal's source
	Name      string   // only if the student typed one
	Note      string   // the student's own words
	Week      path.Day // its Monday
	Day       path.Day // the day of the week on which it was made: of those after it nothing is known
	Minutes   [7]int   // of takes, Monday to Sunday, rounded
	Takes     [7]int   // Monday to Sunday
	Passed    []string // drills passed in this week, sorted
	Confirmed []string // drills confirmed in this week, sorted
	Rusty     []string // drills rusty at the end, sorted
	Drills    []Item   // the most played first
	Changes   []Change // by skill
}

// Summarise makes the summary of the week of a day, as it stood on that day. It holds no
// name and no note; the caller sets them.
func Summarise(j Journal, have path.Progress, day path.Day) Summary {
	s := Summary{From: j.source, Week: Monday(day), Day: day}
	for i, d := range j.Days(s.Week, s.Week+6) {
		s.Minutes[i] = min(int(math.Round(d.Minutes)), dayMinutes)
		s.Takes[i] = d.Takes
	}
	in := func(d path.Day) bool { return d != 0 && d >= s.Week && d < s.Week+7 }
	for _, id := range have.Drills() {
		if in(have.Passed(id)) && len(s.Passed) < MaxDrills {
			s.Passed = append(s.Passed, id)
		}
		if in(have.Mastered(id)) && len(s.Confirmed) < MaxDrills {
			s.Confirmed = append(s.Confirmed, id)
		}
		if have.Upkeep(id, day).Fresh == path.Rusty && len(s.Rusty) < MaxDrills {
			s.Rusty = append(s.Rusty, id)
		}
	}
	for _, t := range j.Drills(day) {
		if len(s.Drills) < MaxDrills {
			p := have.Passed(t.Drill)
			s.Drills = append(s.Drills, Item{t.Drill, t.Takes, t.Good, min(int(math.Round(t.Minutes)), 7*dayMinutes), p != 0 && p < s.Week+7})
		}
	}
	for _, skill := range j.Skills() {
		points := j.Weeks(skill, s.Week-7*lookBack, s.Week)
		c := Change{Skill: skill, Now: points[lookBack].Stat.rounded()}
		if c.Now.N == 0 {
			continue
		}
		for _, p := range points[:lookBack] {
			if p.N > 0 {
				c.Before, c.Week = p.Stat.rounded(), p.Week
			}
		}
		s.Changes = append(s.Changes, c)
	}
	return s
}

// rounded is a stat as a summary keeps it, to a tenth of the unit.
func (a Stat) rounded() Stat {
	tenth := func(x float64) float64 { return math.Round(x*scale)/scale + 0 } // +0: no -0
	return Stat{a.N, tenth(a.Mean), tenth(a.SD)}
}

// A Verdict is what a change comes to.
type Verdict int

// The verdicts. Unclear stands for too few takes to tell.
const (
	Unclear Verdict = iota
	Same
	Better
	Worse
)

// leastTakes is how many takes a week needs before a change is called one. Our choice.
const leastTakes = 3

// Verdict tells whether the change is more than the takes' own spread explains: the means
// differ by more than twice the standard error of their difference (about 95 % for many
// takes; Welch's standard error, from memory), and by what can be heard, see Skill.least.
func (c Change) Verdict() Verdict {
	if c.Now.N < leastTakes || c.Before.N < leastTakes {
		return Unclear
	}
	se := math.Sqrt(c.Now.SD*c.Now.SD/float64(c.Now.N) + c.Before.SD*c.Before.SD/float64(c.Before.N))
	d := c.Skill.distance(c.Now.Mean) - c.Skill.distance(c.Before.Mean)
	switch {
	case math.Abs(d) <= max(2*se, c.Skill.least()):
		return Same
	case d < 0:
		return Better
	}
	return Worse
}

// Words puts a change in words: "bend on 3 draw: 18 cents off on average over 14 takes,
// last week 25: better".
func (c Change) Words(week path.Day) string {
	words := fmt.Sprintf("%s: %s on average, %s", c.Skill.Name(), c.Skill.Say(c.Now.Mean), count(c.Now.N, "take"))
	if c.Before.N == 0 {
		return words + "; no earlier number to compare with"
	}
	when := "last week"
	if n := int(week-c.Week) / 7; n > 1 {
		when = fmt.Sprintf("%d weeks before", n)
	}
	words += fmt.Sprintf("; %s %s, %s", when, c.Skill.Say(c.Before.Mean), count(c.Before.N, "take"))
	return words + map[Verdict]string{Unclear: "; too few takes to call it a change", Same: "; about the same", Better: "; better", Worse: "; not as close as before"}[c.Verdict()]
}

// count is a number of things; the name of several is that of one with an s unless given.
func count(n int, one string, several ...string) string {
	switch {
	case n == 1:
		return "1 " + one
	case len(several) > 0:
		return fmt.Sprintf("%d %s", n, several[0])
	}
	return fmt.Sprintf("%d %ss", n, one)
}

// stuckTakes is how many takes without passing make a drill stuck: three times the five
// that passing looks at. Our choice.
const stuckTakes = 15

// stuck reports whether a drill took many takes and is not passed.
func (i Item) stuck() bool { return !i.Passed && i.Takes >= stuckTakes }

// WorkOn returns at most three things to work on, the most valuable first: what got
// stuck, what has gone rusty, what was begun and not passed, what went back. The names of
// drills come from title.
func (s Summary) WorkOn(title func(id string) string) []string {
	var all []string
	for _, d := range s.Drills {
		if d.stuck() {
			all = append(all, fmt.Sprintf("%s. %s, %d good, not passed yet. Take it slower, or in halves, and ask your teacher to listen.", title(d.Drill), count(d.Takes, "take"), d.Good))
		}
	}
	for _, id := range s.Rusty {
		all = append(all, title(id)+". Passed once, gone rusty. Play it again before anything new.")
	}
	for _, c := range s.Changes {
		if c.Verdict() == Worse {
			all = append(all, fmt.Sprintf("%s: %s, before %s. Give it a few slow takes.", capital(c.Skill.Name()), c.Skill.Say(c.Now.Mean), c.Skill.Say(c.Before.Mean)))
		}
	}
	for _, d := range s.Drills {
		if !d.Passed && !d.stuck() {
			all = append(all, fmt.Sprintf("%s. %s, %d good so far. Keep at it.", title(d.Drill), count(d.Takes, "take"), d.Good))
		}
	}
	return all[:min(len(all), 3)]
}

// practised returns on how many days there were takes, and how much in all.
func (s Summary) practised() (days, minutes, takes int) {
	for i, n := range s.Takes {
		if n > 0 {
			days++
		}
		minutes, takes = minutes+s.Minutes[i], takes+n
	}
	return days, minutes, takes
}

// Lines puts the summary in words, a line for each thing. The names of drills come from
// title, which gets ids that may not be of this program's drills.
func (s Summary) Lines(title func(id string) string) []string {
	lines := []string{fmt.Sprintf("Week from %v to %v", s.Week, s.Week+6)}
	if s.Day < s.Week+6 {
		lines[0] += fmt.Sprintf(", as it stood on %v", s.Day)
	}
	if s.Name != "" {
		lines[0] += ", " + s.Name
	}
	lines = append(lines, s.Practised())
	list := func(what string, ids []string) {
		for _, id := range ids {
			lines = append(lines, what+": "+title(id))
		}
	}
	list("Passed", s.Passed)
	list("Confirmed on a later day", s.Confirmed)
	list("Gone rusty", s.Rusty)
	for _, c := range s.Changes {
		lines = append(lines, c.Words(s.Week))
	}
	for _, w := range s.WorkOn(title) {
		lines = append(lines, "To work on: "+w)
	}
	if s.Note != "" {
		lines = append(lines, "From the student: "+s.Note)
	}
	return lines
}

// check returns why a summary cannot be sent, nil if it can.
func (s Summary) check() error {
	if !text(s.Name, MaxName, "") {
		return ErrName
	}
	if !text(s.Note, MaxNote, "\n") {
		return ErrNote
	}
	bad := func(what string) error { return fmt.Errorf("%w (%s cannot be)", ErrSummaryDamaged, what) }
	if !validSource(s.From) || !s.Week.Valid() || !s.Day.Valid() || Monday(s.Day) != s.Week {
		return bad("its week")
	}
	for i, m := range s.Minutes {
		if m < 0 || m > dayMinutes || s.Takes[i] < 0 || s.Takes[i] > MaxSources*maxTakes || s.Takes[i] == 0 && m > 0 {
			return bad("its minutes or takes")
		}
	}
	for _, ids := range [][]string{s.Passed, s.Confirmed, s.Rusty} {
		for i, id := range ids {
			if !path.ValidID(id) || i > 0 && ids[i-1] >= id || len(ids) > MaxDrills {
				return bad("its drills")
			}
		}
	}
	seen := map[string]bool{}
	for i, d := range s.Drills {
		if !path.ValidID(d.Drill) || seen[d.Drill] || len(s.Drills) > MaxDrills || d.Takes < 1 || d.Takes > MaxSources*maxTakes || d.Good < 0 || d.Good > d.Takes ||
			d.Minutes < 0 || d.Minutes > 7*dayMinutes || i > 0 && order(s.Drills[i-1], d) >= 0 {
			return bad("its drills")
		}
		seen[d.Drill] = true
	}
	for i, c := range s.Changes {
		if !c.Skill.Valid() || i > 0 && s.Changes[i-1].Skill >= c.Skill || c.Now.N < 1 || !c.Now.possible() || !c.Before.possible() || (c.Before.N == 0) != (c.Week == 0) {
			return bad("its numbers")
		}
		if c.Week != 0 && (Monday(c.Week) != c.Week || c.Week >= s.Week || c.Week < s.Week-7*lookBack) {
			return bad("its weeks")
		}
	}
	return nil
}

// order is that of Journal.Drills.
func order(a, b Item) int {
	return cmp.Or(cmp.Compare(b.Takes, a.Takes), cmp.Compare(a.Drill, b.Drill))
}

// possible reports whether a stat can be one of a summary.
func (a Stat) possible() bool {
	if a.N < 0 || a.N > 7*MaxSources*maxTakes || !(math.Abs(a.Mean) <= maxValue) || !(a.SD >= 0 && a.SD <= 2*maxValue) {
		return false
	}
	return a == a.rounded() && !math.Signbit(a.SD) && !(a.Mean == 0 && math.Signbit(a.Mean)) && (a.N > 0 || a == Stat{}) && (a.N > 1 || a.SD == 0)
}

// text reports whether a text is short and holds only what can be seen, and no blank at
// its ends.
func text(s string, most int, also string) bool {
	if !utf8.ValidString(s) || utf8.RuneCountInString(s) > most || strings.TrimSpace(s) != s {
		return false
	}
	return !strings.ContainsFunc(s, func(r rune) bool { return !unicode.IsPrint(r) && !strings.ContainsRune(also, r) })
}

// summaryForm is the kind of file.
func summaryForm() seal.Form {
	return seal.Form{Key: "reedwell-week", Version: 1, Most: MaxSummary, Damaged: ErrSummaryDamaged, Newer: ErrSummaryNewer, TooLarge: ErrSummaryLarge}
}

// The file is a sealed one of these.
type (
	fileSummary struct {
		From      string       `json:"from"`
		Name      string       `json:"name,omitempty"`
		Note      string       `json:"note,omitempty"`
		Week      path.Day     `json:"week"`
		Day       path.Day     `json:"day"`
		Minutes   [7]int       `json:"minutes"`
		Takes     [7]int       `json:"takes"`
		Passed    []string     `json:"passed,omitempty"`
		Confirmed []string     `json:"confirmed,omitempty"`
		Rusty     []string     `json:"rusty,omitempty"`
		Drills    []fileItem   `json:"drills,omitempty"`
		Changes   []fileChange `json:"skills,omitempty"`
	}
	fileItem struct {
		Drill   string `json:"drill"`
		Takes   int    `json:"takes"`
		Good    int    `json:"good"`
		Minutes int    `json:"minutes"`
		Passed  bool   `json:"passed,omitzero"`
	}
	fileStat struct {
		N    int     `json:"takes"`
		Mean float64 `json:"mean"`
		SD   float64 `json:"spread,omitzero"`
	}
	fileChange struct {
		Skill  Skill    `json:"skill"`
		Now    fileStat `json:"now"`
		Before fileStat `json:"before,omitzero"`
		Week   path.Day `json:"week,omitzero"`
	}
)

// Encode returns the summary as a file, the same bytes for the same summary. It fails with
// ErrName or ErrNote for words that are too long or cannot be shown, and with
// ErrSummaryLarge or ErrSummaryDamaged for what Summarise does not make.
func (s Summary) Encode() ([]byte, error) {
	f, err := s.file()
	if err != nil {
		return nil, err
	}
	data := summaryForm().Write(f)
	if len(data) > MaxSummary {
		return nil, fmt.Errorf("%w (%d bytes; the most is %d)", ErrSummaryLarge, len(data), MaxSummary)
	}
	return data, nil
}

func (s Summary) file() (fileSummary, error) {
	if err := s.check(); err != nil {
		return fileSummary{}, err
	}
	f := fileSummary{From: s.From, Name: s.Name, Note: s.Note, Week: s.Week, Day: s.Day, Minutes: s.Minutes, Takes: s.Takes,
		Passed: s.Passed, Confirmed: s.Confirmed, Rusty: s.Rusty}
	for _, d := range s.Drills {
		f.Drills = append(f.Drills, fileItem(d))
	}
	for _, c := range s.Changes {
		f.Changes = append(f.Changes, fileChange{c.Skill, fileStat(c.Now), fileStat(c.Before), c.Week})
	}
	return f, nil
}

// Decode reads what Encode wrote. It fails with ErrSummaryLarge, ErrSummaryNewer or
// ErrSummaryDamaged.
func Decode(data []byte) (Summary, error) {
	var s Summary
	err := seal.Read(summaryForm(), data, func(f fileSummary) (fileSummary, error) {
		s = Summary{From: f.From, Name: f.Name, Note: f.Note, Week: f.Week, Day: f.Day, Minutes: f.Minutes, Takes: f.Takes, Passed: f.Passed, Confirmed: f.Confirmed, Rusty: f.Rusty}
		for _, d := range f.Drills {
			s.Drills = append(s.Drills, Item(d))
		}
		for _, c := range f.Changes {
			s.Changes = append(s.Changes, Change{c.Skill, Stat(c.Now), Stat(c.Before), c.Week})
		}
		return s.file()
	})
	if err != nil {
		return Summary{}, err
	}
	return s, nil
}
