package session

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"reedwell/game/screen"
	"reedwell/game/shelf"
	way "reedwell/levels/path"
	"reedwell/levels/week"
)

// A weekly is the player's own week as it is shown. What is costly to work out of the journal
// is kept here and made anew only when something has changed.
type weekly struct {
	monday  way.Day // of the week shown; 0: this week
	mondays []way.Day
	brief   string // this week in a line
	summary week.Summary
	plots   []screen.Item
	name    string // as typed; it is nowhere kept
	note    string
	known   bool // the day is known, so there is a week
}

// Bounds of what is shown, our choices.
const (
	plotWeeks = 8  // in a plot of a skill
	mostWeeks = 12 // back from this one, to choose from
	mostItems = 6  // drills that are named
)

// openDiary shows this week.
func (s *stepper) openDiary() {
	s.view, s.copied = diary, ""
	s.weekly.monday = 0
	s.tally()
}

// tally works out the week that is shown.
func (s *stepper) tally() {
	w := &s.weekly
	p := s.practised
	w.known = p.Today.Valid() && p.Journal.Source() != ""
	if !w.known {
		w.brief = "Minutes and takes by day."
		return
	}
	this := week.Monday(p.Today)
	w.mondays = []way.Day{this}
	for d := this - 7; d.Valid() && d > this-7*mostWeeks; d -= 7 {
		if played(p.Journal, d) {
			w.mondays = append(w.mondays, d)
		}
	}
	if !slices.Contains(w.mondays, w.monday) {
		w.monday = this
	}
	w.brief = brief(p.Journal, this)
	w.summary = s.summarise(w.monday)
	w.plots = s.skillPlots(w.monday)
}

func played(j week.Journal, monday way.Day) bool {
	return slices.ContainsFunc(j.Days(monday, monday+6), func(d week.Total) bool { return d.Takes > 0 })
}

// brief is a week in a line, with the minutes that its summary has.
func brief(j week.Journal, monday way.Day) string {
	takes, minutes := 0, 0
	for _, d := range j.Days(monday, monday+6) {
		takes, minutes = takes+d.Takes, minutes+int(math.Round(d.Minutes))
	}
	if takes == 0 {
		return "Nothing played yet this week."
	}
	return fmt.Sprintf("%s, %s.", plural(minutes, "minute"), plural(takes, "take"))
}

// summarise makes the summary of a week as it stands now. Whether a lick was passed is known
// of the lessons' own record.
func (s *stepper) summarise(monday way.Day) week.Summary {
	p := s.practised
	sum := week.Summarise(p.Journal, p.Progress, min(p.Today, monday+6))
	for i, d := range sum.Drills {
		if key, ok := shelf.JournalKey(d.Drill); ok && s.licks[key].Best.Passed {
			sum.Drills[i].Passed = true
		}
	}
	return sum
}

// drillTitle is what a drill of a journal is called. A lick is known by what it asks, so its
// name is known wherever its lesson is.
func (s *stepper) drillTitle(id string) string {
	if key, ok := shelf.JournalKey(id); ok {
		for _, b := range s.books {
			if i := slices.Index(b.keys, key); i >= 0 {
				if i == len(b.lesson.Licks) {
					return b.lesson.Title + ", the whole chorus"
				}
				return b.lesson.Title + ", " + b.lesson.Licks[i].Title
			}
		}
		return "A lick of a lesson"
	}
	if e := s.entry(id); e.ID != "" {
		return e.called()
	}
	return id
}

func (s *stepper) actDiary(a screen.Action) {
	w := &s.weekly
	switch a.ID {
	case "which-week":
		for _, d := range w.mondays {
			if s.weekName(d) == a.Value {
				w.monday = d
				s.copied = ""
				s.tally()
			}
		}
	case "your-name":
		w.name, s.copied = a.Value, ""
	case "note":
		w.note, s.copied = a.Value, ""
	case "give-link", "give-file":
		if w.known {
			s.give(a.ID == "give-link")
		}
	case "export-journal":
		s.do(Effect{Kind: ExportJournal})
	case "import-journal":
		s.do(Effect{Kind: ImportJournal, Bytes: a.Bytes})
	case "map":
		s.view = overview
	case "class":
		s.openClass()
	case "back":
		s.view = path
	}
}

// give hands the week that is shown to the player, as a link or as a file.
func (s *stepper) give(asLink bool) {
	sum := s.weekly.summary
	sum.Name, sum.Note = strings.TrimSpace(s.weekly.name), strings.TrimSpace(s.weekly.note)
	var fragment string
	data, err := sum.Encode()
	if err == nil && asLink {
		fragment, err = week.Link(sum)
	}
	switch {
	case errors.Is(err, week.ErrName):
		s.tell(Notice{"give", fmt.Sprintf("A name is at most %d letters on one line.", week.MaxName)})
	case errors.Is(err, week.ErrNote):
		s.tell(Notice{"give", fmt.Sprintf("The words for your teacher are at most %d letters.", week.MaxNote)})
	case errors.Is(err, week.ErrLinkLong):
		s.tell(Notice{"give", "There is too much in this week for a link. Save the file and send that."})
	case err != nil:
		s.tell(Notice{"give", "This week can not be written: " + err.Error() + "."})
	case asLink:
		s.forget("give")
		s.copied = "Link copied."
		s.do(Effect{Kind: CopyWeek, Text: fragment})
	default:
		s.forget("give")
		s.copied = "File saved."
		name := "reedwell-week-" + sum.Week.String()
		if sum.Name != "" {
			name += "-" + fileWord(sum.Name)
		}
		s.do(Effect{Kind: SaveFile, Name: name + ".json", Bytes: data})
	}
}

// fileWord is a name as a part of the name of a file.
func fileWord(name string) string {
	return strings.Trim(strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return '-'
	}, strings.ToLower(name)), "-")
}

// weekName is what a week is called in the choice of weeks.
func (s *stepper) weekName(monday way.Day) string {
	name := fmt.Sprintf("From Monday %s", monday.Words())
	if monday == week.Monday(s.practised.Today) {
		name = "This week, from Monday " + monday.Words()
	}
	return name
}

func (s *stepper) showDiary(p *page) {
	w := s.weekly
	p.Title = "Your week - Reedwell"
	p.title("Your week")
	s.notes(p)
	p.Focus = "title"
	if !w.known {
		p.styled("no-day", screen.Warning, "The date of this device can not be read, so there is no week to show.")
		p.quiet("back", home)
		return
	}
	if len(w.mondays) > 1 {
		var names []string
		for _, d := range w.mondays {
			names = append(names, s.weekName(d))
		}
		p.add(screen.Item{ID: "which-week", Role: screen.Select, Label: "Week", Options: names, Value: s.weekName(w.monday)})
	} else {
		p.styled("which", screen.Quiet, s.weekName(w.monday))
	}
	p.text("sum", w.summary.Practised())
	p.add(dayPlot("days", w.summary))
	if len(w.summary.Drills) > 0 {
		p.heading("h-drills", "What you played")
		for i, d := range w.summary.Drills {
			if i == mostItems {
				p.text("more-drills", fmt.Sprintf("And %d more.", len(w.summary.Drills)-mostItems))
				break
			}
			p.add(s.playedItem(fmt.Sprintf("drill-%d", i+1), d))
		}
	}
	for i, line := range w.summary.WorkOn(s.drillTitle) {
		if i == 0 {
			p.heading("h-work", "To work on")
		}
		p.text(fmt.Sprintf("work-%d", i+1), line)
	}
	p.heading("h-skills", "Progress, week by week")
	if len(w.plots) == 0 {
		p.text("no-skills", "Nothing was measured yet. Play a few takes, and what they tell is drawn here.")
	} else {
		p.styled("skills-what", screen.Quiet, "Each point is the mean of a week's takes, the stroke through it how much they differ, the number under it how many there were. A hollow point is from one or two takes. A week without takes is left empty.")
	}
	for _, it := range w.plots {
		p.add(it)
	}
	s.showGive(p)
	s.showJournal(p)
	from := len(p.Items)
	p.button("map", "Map of drills")
	p.quiet("class", "For teachers: students' weeks")
	p.quiet("back", home)
	p.row(65, from)
}

// showGive is how the week gets to a teacher.
func (s *stepper) showGive(p *page) {
	p.heading("h-give", "Give it to my teacher")
	p.text("give-what", "The week shown here as a link or a file: which drills you played, for how long and how it went. There is no sound in it, and no name unless you write one. It goes nowhere until you send it.")
	p.add(screen.Item{ID: "your-name", Role: screen.Field, Label: "Your name", Detail: "If you like.", Value: s.weekly.name})
	p.add(screen.Item{ID: "note", Role: screen.Field, Label: "A word to your teacher", Detail: "If you like.", Value: s.weekly.note})
	from := len(p.Items)
	p.button("give-link", "Copy a link")
	p.button("give-file", "Save a file")
	p.row(64, from)
	s.showCopied(p)
	p.styled("give-sound", screen.Quiet, "To let your teacher hear you, save the sound of a take after you have played it, and send that file along.")
}

// showJournal is how the journal is taken to another device.
func (s *stepper) showJournal(p *page) {
	p.heading("h-journal", "Your practice journal")
	p.text("journal-what", "It is kept on this device only, beside your progress. Save a copy now and then; on another device, read it there.")
	p.button("export-journal", "Save a copy of the journal")
	p.add(screen.Item{ID: "import-journal", Role: screen.File, Label: "Read a copy of the journal"})
}

// playedItem tells of one drill of a week.
func (s *stepper) playedItem(id string, d week.Item) screen.Item {
	it := screen.Item{ID: id, Role: screen.Text, Label: s.drillTitle(d.Drill), Detail: d.Words()}
	if d.Passed {
		it.Style = screen.Good
	}
	return it
}

// dayPlot draws the minutes of each day of a week.
func dayPlot(id string, sum week.Summary) screen.Item {
	plot := &screen.Plot{Bars: true, High: 10} // a week of short days does not look like one of long ones
	for i, name := range []string{"Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"} {
		q := screen.PlotPoint{Name: name[:2], Known: sum.Knows(i)}
		if q.Known {
			q.Value, q.Text, q.Under = float64(sum.Minutes[i]), fmt.Sprint(sum.Minutes[i]), fmt.Sprint(sum.Takes[i])
			q.Words = fmt.Sprintf("%s %s, %s", name, plural(sum.Minutes[i], "minute"), plural(sum.Takes[i], "take"))
		}
		plot.High = math.Max(plot.High, q.Value)
		plot.Points = append(plot.Points, q)
	}
	return screen.Item{ID: id, Role: screen.PlotView, Label: "Minutes by day", Detail: "Over each bar its minutes, under each day its takes.", Plot: plot}
}

// skillPlots draws each skill that was measured in the week that begins on monday, over the
// weeks up to it.
func (s *stepper) skillPlots(monday way.Day) []screen.Item {
	var all []screen.Item
	for _, c := range s.weekly.summary.Changes {
		points := s.practised.Journal.Weeks(c.Skill, max(1, monday-7*(plotWeeks-1)), monday)
		words := strings.TrimPrefix(c.Words(monday), c.Skill.Name()+": ")
		all = append(all, screen.Item{ID: "skill-" + string(c.Skill), Role: screen.PlotView, Label: capital(c.Skill.Name()), Detail: capital(words) + ".",
			Plot: skillPlot(c.Skill, points)})
	}
	return all
}

// fewTakes is how many takes of a week tell little by themselves: a change needs three a week,
// see week.Change.
const fewTakes = 2

func skillPlot(skill week.Skill, points []week.Point) *screen.Plot {
	plot := &screen.Plot{Unit: skill.Unit() + ", " + skill.Aim()}
	first, last := -1, -1
	low, high := 0.0, 0.0 // 0 is always on the scale: nothing looks larger than it is
	for i, w := range points {
		q := screen.PlotPoint{Under: "\u2013", Words: fmt.Sprintf("week from %s nothing", w.Week.Words())}
		if w.N > 0 {
			q = screen.PlotPoint{Value: skill.Shown(w.Mean), Spread: w.SD, Under: fmt.Sprint(w.N), Known: true, Few: w.N <= fewTakes,
				Words: fmt.Sprintf("week from %s %s, %s", w.Week.Words(), skill.Say(w.Mean), plural(w.N, "take"))}
			low, high = math.Min(low, q.Value-q.Spread), math.Max(high, q.Value+q.Spread)
			if first < 0 {
				first = i
			}
			last = i
		}
		plot.Points = append(plot.Points, q)
	}
	for _, i := range []int{first, last} {
		if i >= 0 {
			plot.Points[i].Text = strings.Replace(fmt.Sprintf("%.0f", plot.Points[i].Value), "-", "\u2212", 1)
		}
	}
	for _, i := range []int{0, len(points) - 1} {
		plot.Points[i].Name = shortDay(points[i].Week)
	}
	plot.Low, plot.High = ends(skill, low, high)
	return plot
}

// ends rounds the ends of a scale outward, so that the same skill has the same scale from week
// to week. A skill that is best at 0 has as much on either side.
func ends(skill week.Skill, low, high float64) (float64, float64) {
	round := func(x float64) float64 {
		for _, end := range []float64{5, 10, 20, 40, 60, 100, 200, 400, 1000, 2000} {
			if x <= end {
				return end
			}
		}
		return math.Ceil(x/1000) * 1000
	}
	if skill == week.Late {
		most := round(math.Max(-low, high))
		return -most, most
	}
	return 0, round(high)
}

// shortDay is a day with the first letters of its month: "23 Nov".
func shortDay(d way.Day) string {
	day, month, _ := strings.Cut(d.Words(), " ")
	return day + " " + month[:3]
}

func capital(words string) string { return strings.ToUpper(words[:1]) + words[1:] }
