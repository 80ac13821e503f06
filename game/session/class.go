package session

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"reedwell/game/screen"
	"reedwell/levels/week"
)

// A Sent is a file that was opened from outside: what a student has sent a teacher.
type Sent struct {
	Name  string
	Bytes []byte // empty: it could not be read
}

// A students is what a teacher has opened. It is kept nowhere.
type students struct {
	all     []week.Summary
	table   week.Table
	refused []string // files that are no week, and why
	who     string   // the source of the student who is looked at
	from    view     // where the teacher came from
}

// Bounds of what a teacher is shown at once, our choices.
const (
	mostRefused = 5
	mostLooked  = 8 // weeks of one student
)

// openClass goes to the table of all students.
func (s *stepper) openClass() {
	if s.view != class && s.view != pupil {
		s.students.from = s.view
	}
	s.view = class
}

// openSent takes in a file. It goes to the table, where it is seen what came of it.
func (s *stepper) openSent(f Sent) {
	sum, err := week.Decode(f.Bytes)
	if err != nil {
		s.refuse(fmt.Sprintf("%s: %s.", fileName(f.Name), whyRefused(err)))
		s.openClass()
		return
	}
	s.takeIn(sum)
	s.openClass()
}

// openWeek takes in the week of a link, and shows its student.
func (s *stepper) openWeek(sum week.Summary) {
	if s.takeIn(sum) {
		s.openClass()
		s.students.who, s.view = sum.From, pupil
		return
	}
	s.openClass()
}

// takeIn adds a week to those that are open, unless they are too many.
func (s *stepper) takeIn(sum week.Summary) bool {
	t := &s.students
	all := append(slices.Clone(t.all), sum)
	table, err := week.Compare(all)
	if err != nil {
		s.refuse(capital(err.Error()) + ".")
		return false
	}
	if table.Repeated > 0 { // it is open already
		return true
	}
	t.all, t.table = all, table
	return true
}

// refuse notes what could not be opened.
func (s *stepper) refuse(why string) {
	if !slices.Contains(s.students.refused, why) {
		s.students.refused = append(slices.Clone(s.students.refused), why)
	}
}

// whyRefused is why a file is no week, for a teacher.
func whyRefused(err error) string {
	switch {
	case errors.Is(err, week.ErrSummaryNewer):
		return "it was written by a newer version of Reedwell; load the newest version and open it again"
	case errors.Is(err, week.ErrSummaryLarge):
		return "it is too large for a student's week; check that it is the right file"
	}
	return "it is no whole file of a student's week; ask for it to be sent again"
}

// fileName is a file's name as it can be shown.
func fileName(name string) string {
	name = strings.ToValidUTF8(name, "?")
	if r := []rune(name); len(r) > 60 {
		name = string(r[:60]) + " ..."
	}
	if strings.TrimSpace(name) == "" {
		return "A file"
	}
	return name
}

func (s *stepper) actClass(a screen.Action) {
	if who, ok := strings.CutPrefix(a.ID, "student-"); ok {
		if slices.ContainsFunc(s.students.table.Rows, func(r week.Row) bool { return r.From == who }) {
			s.students.who, s.view = who, pupil
		}
		return
	}
	switch a.ID {
	case "open-weeks":
		s.openSent(Sent{a.Name, a.Bytes})
	case "close-weeks":
		s.students = students{from: s.students.from}
	case "back":
		s.view = s.students.from
		if s.view == "" {
			s.view = path
		}
	}
}

func (s *stepper) showClass(p *page) {
	t := s.students
	p.Title = "Students' weeks - Reedwell"
	p.title("Students' weeks")
	s.notes(p)
	p.Focus = "title"
	if len(t.all) == 0 {
		p.text("what", "A student gives you a link or a file of a week. Open the files here, several at once, to see who is stuck where. Nothing of them is kept when this window is closed, and nothing is sent anywhere.")
	} else {
		p.text("heads", t.table.Heads())
	}
	for i, why := range t.refused {
		if i == mostRefused {
			p.styled("more-refused", screen.Warning, fmt.Sprintf("And %d more files could not be opened.", len(t.refused)-mostRefused))
			break
		}
		p.styled(fmt.Sprintf("refused-%d", i+1), screen.Warning, why)
		p.Alert = why
	}
	for _, r := range t.table.Rows {
		it := screen.Item{ID: "student-" + r.From, Role: screen.Button, Label: r.Student(), Detail: strings.Join(append([]string{r.Practised()}, r.Lines(s.drillTitle)...), "\n")}
		switch {
		case len(r.Stuck) > 0 || r.Idle:
			it.Style = screen.Off
		case !r.Missing:
			it.Style = screen.Good
		}
		p.add(it)
	}
	p.add(screen.Item{ID: "open-weeks", Role: screen.File, Label: "Open files of weeks", Detail: "Several at once, or drop them here.", Many: true})
	if len(t.all)+len(t.refused) > 0 {
		p.button("close-weeks", "Close them all")
	}
	p.quiet("back", "Back")
}

func (s *stepper) actPupil(a screen.Action) {
	switch a.ID {
	case "class", "back":
		s.openClass()
	case "open-weeks":
		s.openSent(Sent{a.Name, a.Bytes})
	}
}

// showPupil shows a student's weeks, the last first.
func (s *stepper) showPupil(p *page) {
	var weeks []week.Summary
	for _, sum := range s.students.all {
		if sum.From == s.students.who {
			weeks = append(weeks, sum)
		}
	}
	weeks = fullest(weeks)
	last := weeks[0] // who is looked at has at least one
	p.Title = last.Student() + " - Reedwell"
	p.title(last.Student())
	s.notes(p)
	p.Focus = "title"
	for i, sum := range weeks {
		if i == mostLooked {
			p.text("more-weeks", fmt.Sprintf("And %d weeks before.", len(weeks)-mostLooked))
			break
		}
		id := sum.Week.String()
		head := "Week from Monday " + sum.Week.Words()
		if sum.Day < sum.Week+6 {
			head += ", as it stood on " + sum.Day.Words()
		}
		p.heading("week-"+id, head)
		lines := sum.Lines(s.drillTitle)[1:] // the first is the heading
		p.text(id+"-sum", lines[0])
		p.add(dayPlot(id+"-days", sum))
		for k, line := range lines[1:] {
			p.text(fmt.Sprintf("%s-%d", id, k+1), capital(line))
		}
		for k, d := range sum.Drills {
			if k == mostItems {
				p.text(id+"-more", fmt.Sprintf("And %s more.", plural(len(sum.Drills)-mostItems, "drill")))
				break
			}
			p.add(s.playedItem(fmt.Sprintf("%s-drill-%d", id, k+1), d))
		}
	}
	p.styled("no-sound", screen.Quiet, "There is no sound in a student's week. To hear the student, ask for the sound of a take as a file of its own.")
	p.add(screen.Item{ID: "open-weeks", Role: screen.File, Label: "Open more files of weeks", Detail: "Several at once, or drop them here.", Many: true})
	from := len(p.Items)
	p.button("class", "All students' weeks")
	p.quiet("back", "Back")
	p.row(66, from)
}

// fullest are the weeks of one student, the last first, of each week the one with the most
// takes, which was made last.
func fullest(weeks []week.Summary) []week.Summary {
	takes := func(s week.Summary) (n int) {
		for _, k := range s.Takes {
			n += k
		}
		return n
	}
	weeks = slices.Clone(weeks)
	slices.SortStableFunc(weeks, func(a, b week.Summary) int {
		if a.Week != b.Week {
			return int(b.Week - a.Week)
		}
		return takes(b) - takes(a)
	})
	return slices.CompactFunc(weeks, func(a, b week.Summary) bool { return a.Week == b.Week })
}
