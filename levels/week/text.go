package week

import (
	"fmt"
	"strings"
	"text/tabwriter"

	"reedwell/levels/path"
)

// Student is what a row's student is called: as last typed, and of those who typed nothing
// the end of the source, by which two of them are told apart.
func (r Row) Student() string { return called(r.Name, r.From) }

// Student is what the summary's student is called, as in a [Row].
func (s Summary) Student() string { return called(s.Name, s.From) }

func called(name, from string) string {
	if name != "" {
		return name
	}
	return "No name (" + from[max(0, len(from)-4):] + ")"
}

// Knows reports whether something is known of a day of the week, 0 to 6: one that was still to
// come when the summary was made is no day without a take.
func (s Summary) Knows(i int) bool { return s.Week+path.Day(i) <= s.Day || s.Takes[i] > 0 }

// Practised says how much was played in the week.
func (s Summary) Practised() string {
	days, minutes, takes := s.practised()
	if takes == 0 {
		return "No takes this week."
	}
	return fmt.Sprintf("%s played on %s, %s. Pauses and listening are not counted.", capital(whole(minutes)), count(days, "day"), count(takes, "take"))
}

// whole is a number of rounded minutes in which something was played.
func whole(minutes int) string {
	if minutes == 0 {
		return "less than a minute"
	}
	return count(minutes, "minute")
}

func capital(words string) string { return strings.ToUpper(words[:1]) + words[1:] }

// Words tells of a drill in a week, without its name.
func (i Item) Words() string {
	words := fmt.Sprintf("%s, %d good, %s", count(i.Takes, "take"), i.Good, whole(i.Minutes))
	if i.Passed {
		words += ", passed"
	}
	return words + "."
}

// Practised says how much the student played in the weeks of the row.
func (r Row) Practised() string {
	if r.Takes == 0 {
		return "No takes."
	}
	words := fmt.Sprintf("%s on %s, %s", capital(whole(r.Minutes)), count(r.Days, "day"), count(r.Takes, "take"))
	if n := len(r.Weeks); n > 1 {
		words += fmt.Sprintf(" in %d weeks", n)
	}
	return words + "."
}

// mostNamed is how many things of a kind a row names; a student who has more has one
// trouble only: too much at once. Our choice.
const mostNamed = 4

// named joins some names and says how many more there are.
func named(all []string) string {
	if n := len(all) - mostNamed; n > 0 {
		all = append(all[:mostNamed:mostNamed], fmt.Sprintf("and %d more", n))
	}
	return strings.Join(all, "; ")
}

// stuckOn names what the student is stuck on, with the takes that went into it.
func (r Row) stuckOn(title func(id string) string) []string {
	var all []string
	for _, d := range r.Stuck {
		all = append(all, fmt.Sprintf("%s (%s, %d good)", title(d.Drill), count(d.Takes, "take"), d.Good))
	}
	return all
}

func titled(ids []string, title func(id string) string) []string {
	var all []string
	for _, id := range ids {
		all = append(all, title(id))
	}
	return all
}

func skills(all []Change) []string {
	var names []string
	for _, c := range all {
		names = append(names, c.Skill.Name())
	}
	return names
}

// Lines says what there is to know of the student, a line for each kind of thing, the most
// pressing first; none for one with whom all is well. The names of drills come from title.
func (r Row) Lines(title func(id string) string) []string {
	var lines []string
	switch {
	case r.Missing:
		lines = append(lines, fmt.Sprintf("No summary of the last week; the last is of the week from %s.", r.Weeks[len(r.Weeks)-1].Words()))
	case r.Idle:
		lines = append(lines, "No takes in the last week.")
	}
	for _, kind := range []struct {
		what string
		all  []string
	}{
		{"Stuck on", r.stuckOn(title)},
		{"Gone rusty", titled(r.Rusty, title)},
		{"Not as close as before", skills(r.Worse)},
		{"Better", skills(r.Improved)},
		{"Passed", titled(r.Passed, title)},
		{"Confirmed on a later day", titled(r.Confirmed, title)},
	} {
		if len(kind.all) > 0 {
			lines = append(lines, kind.what+": "+named(kind.all)+".")
		}
	}
	if r.Note != "" {
		lines = append(lines, "From the student: "+strings.ReplaceAll(r.Note, "\n", " / "))
	}
	return lines
}

// Heads says in a sentence or two what the table is of.
func (t Table) Heads() string {
	if len(t.Rows) == 0 {
		return "No summaries."
	}
	words := fmt.Sprintf("%s, last week from Monday %s. Who needs you most comes first.", count(len(t.Rows), "student"), t.Last.Words())
	if t.Repeated > 0 {
		words += fmt.Sprintf(" %s opened twice.", count(t.Repeated, "summary was", "summaries were"))
	}
	if t.Replaced > 0 {
		words += fmt.Sprintf(" %s left out for a fuller one of the same week.", count(t.Replaced, "summary was", "summaries were"))
	}
	return words
}

// Text sets the table as text, in columns of a fixed-width font.
func (t Table) Text(title func(id string) string) string {
	var b strings.Builder
	fmt.Fprintln(&b, t.Heads())
	if len(t.Rows) == 0 {
		return b.String()
	}
	fmt.Fprintln(&b)
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "student\tminutes\tdays\ttakes\tstuck on\tgone rusty")
	for _, r := range t.Rows {
		stuck, rusty := r.stuckOn(title), titled(r.Rusty, title)
		who, minutes, days, takes := r.Student(), fmt.Sprint(r.Minutes), fmt.Sprint(r.Days), fmt.Sprint(r.Takes)
		for i := range max(1, len(stuck), len(rusty)) {
			at := func(all []string) string {
				if i < len(all) {
					return all[i]
				}
				return ""
			}
			line := strings.Join([]string{who, minutes, days, takes, at(stuck), at(rusty)}, "\t")
			fmt.Fprintln(w, strings.TrimRight(line, "\t"))
			who, minutes, days, takes = "", "", "", ""
		}
	}
	_ = w.Flush() // a Builder takes everything
	for _, r := range t.Rows {
		lines := r.Lines(title)
		if len(lines) == 0 {
			continue
		}
		fmt.Fprintf(&b, "\n%s: %s\n", r.Student(), r.Practised())
		for _, l := range lines {
			fmt.Fprintln(&b, "  "+l)
		}
	}
	return b.String()
}
