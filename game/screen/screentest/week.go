package screentest

import (
	"fmt"

	"reedwell/game/screen"
)

// routes is a map of drills with each kind of stop.
func routes() screen.Screen {
	s := screen.Screen{Name: "map", Title: "Map", Focus: "title", Items: []screen.Item{
		{ID: "title", Role: screen.Heading, Style: screen.Title, Label: "The map"},
		{ID: "due-1", Role: screen.Button, Style: screen.Off, Label: "Single notes 3: Draw notes, low holes", Detail: "Rusty. Last played well on 3 October."},
	}}
	words := []string{"", "shut", "open", "passed", "confirmed", "due", "rusty"}
	for f, n := range []int{6, 5} {
		s.Items = append(s.Items, screen.Item{ID: fmt.Sprintf("map-%d", f), Role: screen.Heading, Label: []string{"Single notes", "Bend ladder"}[f]})
		for i := range n {
			kind := screen.Stop(1 + (6-i+f)%6)
			s.Items = append(s.Items, screen.Item{ID: fmt.Sprintf("stop-%d-%d", f, i+1), Role: screen.Button, Stop: kind,
				Label: []string{"", "10 blow, "}[f] + fmt.Sprint(i+1), Detail: words[kind], Row: 200 + f})
		}
	}
	return s
}

// plots are a week's bars and a skill with a gap.
func plots() screen.Screen {
	days := &screen.Plot{Bars: true, High: 105, Unit: "minutes"}
	for i, n := range []float64{105, 3, 0, 42, 7, 0, 0} {
		days.Points = append(days.Points, screen.PlotPoint{Name: "MTWTFSS"[i : i+1], Under: "128", Value: n, Text: fmt.Sprint(n), Known: i < 5, Words: "Monday 105 minutes, 128 takes"})
	}
	weeks := &screen.Plot{Low: 0, High: 40, Unit: "cents, lower is better"}
	for i, v := range []float64{34, 31, 0, 0, 27, 24, 25, 18} {
		q := screen.PlotPoint{Under: "12", Value: v, Spread: 4, Known: i != 2 && i != 3, Few: i == 4}
		if !q.Known {
			q.Under = "\u2013"
		}
		if i == 0 || i == 7 {
			q.Text, q.Name = fmt.Sprint(v), []string{"5 Oct", "23 Nov"}[i/7]
		}
		weeks.Points = append(weeks.Points, q)
	}
	late := &screen.Plot{Low: -60, High: 60, Unit: "ms, nearer to 0 is better", Points: []screen.PlotPoint{
		{Name: "16 Nov", Under: "9", Value: -42, Spread: 10, Text: "\u221242", Known: true}, {Name: "23 Nov", Under: "14", Value: 12, Spread: 30, Text: "12", Known: true}}}
	return screen.Screen{Name: "week", Title: "Week", Focus: "title", Items: []screen.Item{
		{ID: "title", Role: screen.Heading, Style: screen.Title, Label: "Your week"},
		{ID: "days", Role: screen.PlotView, Label: "Minutes of takes by day", Detail: "Over each bar its minutes, under each day its takes.", Plot: days},
		{ID: "skill", Role: screen.PlotView, Label: "Bend on 3 draw", Detail: "18 cents off on average, 16 takes; last week 25 cents off, 12 takes; better", Plot: weeks},
		{ID: "late", Role: screen.PlotView, Label: "On the beat", Detail: "12 ms late on average, 14 takes.", Plot: late},
		{ID: "open", Role: screen.File, Label: "Open files", Many: true},
	}}
}
