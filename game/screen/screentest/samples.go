// Package screentest has screens for tests of layout and drawing: one of each kind, full
// of whatever is hard to place. The exercises on them are made up.
package screentest

import (
	"fmt"
	"math"
	"strings"

	"reedwell/game/screen"
)

// All returns the samples, unplaced.
func All(look screen.Look) []screen.Screen {
	all := []screen.Screen{settings(), path(), lesson(), Drill(), take(), steps(), result(), warble(), licks(), writing(0), writing(12), paper(), room(), reeds(), routes(), plots()}
	for i := range all {
		all[i].Look = look
	}
	return all
}

// Next is the one thing to do next on a screen, or what has the keyboard where nothing is primary.
func Next(s screen.Screen) string {
	for _, it := range s.Items {
		if it.Role == screen.Button && it.Style == screen.Primary {
			return it.ID
		}
	}
	return s.Focus
}

// Drill is a drill before it is played, with all that can be chosen.
func Drill() screen.Screen {
	comb := Comb()
	comb.Asked = screen.Spot{Hole: 3, Cents: 400, Draw: true, Tab: "-3"}
	return screen.Screen{Name: "ready", Title: "A drill", Focus: "play", Comb: comb, Chart: turnaround(), Items: []screen.Item{
		{ID: "title", Role: screen.Heading, Style: screen.Title, Label: "Walk down to the five"},
		{ID: "which", Role: screen.Text, Style: screen.Quiet, Label: "Turnaround, level 4. A harp, second position: key of E."},
		{ID: "words", Role: screen.Text, Label: "Let every bend come from the same place in the mouth, and land on the five with time to spare."},
		{ID: "chart", Role: screen.ChartView, Label: "Two bars with a pickup"},
		{ID: "comb", Role: screen.CombView, Label: "Find the first note: 3 draw"},
		{ID: "lately", Role: screen.Text, Label: "2 of the last 4 takes good, 4 needed, one of them without seeing what you play."},
		{ID: "tempo", Role: screen.Slider, Label: "Tempo", Detail: "57 beats a minute. Takes count from 72.", Min: 50, Max: 110, Step: 5, Now: 80, Unit: "%"},
		{ID: "from-bar", Role: screen.Select, Label: "From bar", Options: []string{"1", "2", "3"}, Value: "1", Row: 32},
		{ID: "to-bar", Role: screen.Select, Label: "To bar", Options: []string{"1", "2", "3"}, Value: "3", Row: 32},
		{ID: "live", Role: screen.Toggle, Label: "Show what I play while I play", Detail: "At least one good take has to be played without it.", On: true},
		{ID: "uncalibrated", Role: screen.Text, Style: screen.Note, Label: "Not calibrated: early and late may be off."},
		{ID: "play", Role: screen.Button, Style: screen.Primary, Label: "Play", Row: 30},
		{ID: "hear", Role: screen.Button, Label: "Hear it", Row: 30},
		{ID: "step", Role: screen.Button, Label: "One note at a time"},
		{ID: "link", Role: screen.Button, Style: screen.Quiet, Label: "Copy a link to this drill", Row: 31},
		{ID: "settings", Role: screen.Button, Style: screen.Quiet, Label: "Settings", Row: 31},
		{ID: "back", Role: screen.Button, Style: screen.Quiet, Label: "All drills", Row: 31},
	}}
}

func settings() screen.Screen {
	return screen.Screen{Name: "settings", Title: "Settings", Focus: "key", Items: []screen.Item{
		{ID: "title", Role: screen.Heading, Style: screen.Title, Label: "Your harp"},
		{ID: "warn", Role: screen.Text, Style: screen.Warning, Label: "The microphone is a Bluetooth one: its delay changes while you play. Use a cable."},
		{ID: "key", Role: screen.Select, Label: "Key of your harp", Detail: "It is stamped on the cover plate.", Options: []string{"low D", "A", "C"}, Value: "low D"},
		{ID: "tuning", Role: screen.Select, Label: "Tuning", Options: []string{"Just intonation with a raised fifth draw for second position", "Equal"}, Value: "Just intonation with a raised fifth draw for second position"},
		{ID: "a4", Role: screen.Slider, Label: "Reference pitch A4", Detail: "Most harps are tuned to 442 Hz.", Min: 430, Max: 450, Step: 1, Now: 442, Unit: "Hz"},
		{ID: "out-phones", Role: screen.Choice, Group: "How do you hear the band?", Label: "Headphones", Detail: "Best: only your harp reaches the microphone. With a cable.", On: true, Row: 2},
		{ID: "out-speaker", Role: screen.Choice, Group: "How do you hear the band?", Label: "Speaker", Detail: "Keep it lower than your playing.", Row: 2},
		{ID: "large", Role: screen.Toggle, Label: "Large text", On: true},
		{ID: "still", Role: screen.Toggle, Label: "Nothing moves but what must"},
		{ID: "name", Role: screen.Field, Label: "Name of the lesson", Value: "Tuesday's lick"},
		{ID: "level", Role: screen.Meter, Label: "Level", Min: -60, Max: 0, Now: -18, Unit: "dB"},
		{ID: "import", Role: screen.File, Label: "Bring progress from a file", Detail: "Drop the file here, or press."},
		{ID: "mic", Role: screen.Button, Style: screen.Primary, Label: "Turn the microphone on"},
		{ID: "back", Role: screen.Button, Style: screen.Quiet, Label: "Back"},
	}}
}

func path() screen.Screen {
	s := screen.Screen{Name: "path", Title: "Choose a drill", Items: []screen.Item{
		{ID: "title", Role: screen.Heading, Style: screen.Title, Label: "Choose a drill"},
	}}
	for i, f := range []string{"Single notes", "Bend ladder", "Warble", "Turnaround"} {
		s.Items = append(s.Items, screen.Item{ID: "family-" + f, Role: screen.Choice, Group: "What do you want to work on?", Label: f, Detail: "One hole at a time, clean and steady.", On: i == 1, Row: 1})
	}
	s.Items = append(s.Items,
		screen.Item{ID: "next", Role: screen.Button, Style: screen.Primary, Label: "Go on: Bend ladder 3, half step and back"},
		screen.Item{ID: "levels", Role: screen.Heading, Label: "Levels"})
	for i := range 5 {
		it := screen.Item{ID: fmt.Sprintf("level-%d", i), Role: screen.Button, Label: fmt.Sprintf("%d. Whole step on 3 draw", i+1), Detail: "Passed on two days. The last take: 9 of 10 notes in the window."}
		switch {
		case i < 2:
			it.Style = screen.Good
		case i > 3:
			it.Disabled, it.Detail = true, "Locked: pass level 4 twice, once without the live line."
		}
		s.Items = append(s.Items, it)
	}
	s.Items = append(s.Items, screen.Item{ID: "settings", Role: screen.Button, Style: screen.Quiet, Label: "Settings"})
	return s
}

// Comb is a C harp in equal temperament: Richter layout, OEIS A291810.
func Comb() *screen.Comb {
	layout := [10][2]float64{{0, 2}, {4, 7}, {7, 11}, {12, 14}, {16, 17}, {19, 21}, {24, 23}, {28, 26}, {31, 29}, {36, 33}}
	names := [10][2]string{{"C", "D"}, {"E", "G"}, {"G", "B"}, {"C", "D"}, {"E", "F"}, {"G", "A"}, {"C", "B"}, {"E", "D"}, {"G", "F"}, {"C", "A"}}
	c := new(screen.Comb)
	for i, l := range layout {
		low, high := math.Min(l[0], l[1]), math.Max(l[0], l[1])
		s := screen.Slot{Blow: (l[0] - low) * 100, Draw: (l[1] - low) * 100, Names: names[i]}
		for b := low + 1; b < high; b++ {
			s.Rungs = append(s.Rungs, screen.Rung{Cents: (b - low) * 100, Draw: l[1] > l[0]})
		}
		if i != 1 && i != 2 && i != 7 {
			s.Rungs = append(s.Rungs, screen.Rung{Cents: (high-low)*100 + 100, Draw: l[1] < l[0]})
		}
		c.Slots[i] = s
	}
	return c
}

func licks() screen.Screen {
	s := screen.Screen{Name: "lesson", Title: "A lesson", Focus: "play-1", Items: []screen.Item{
		{ID: "title", Role: screen.Heading, Style: screen.Title, Label: "Rain on the tin roof"},
		{ID: "which", Role: screen.Text, Style: screen.Quiet, Label: "Low F harp, 2nd position: key of C. Shuffle, 84 beats a minute."},
		{ID: "h-licks", Role: screen.Heading, Label: "Practise"},
	}}
	for i, title := range []string{"In", "A lick with a title of eighty letters, as long as any title of a lick may ever be", "Out"} {
		row := 100 + i
		s.Items = append(s.Items,
			screen.Item{ID: fmt.Sprintf("play-%d", i+1), Role: screen.Button, Style: screen.Good, Label: fmt.Sprintf("%d. %s", i+1, title), Detail: "Bars 1 and 2. Last: 70 % at 96. Best good take: 95 % at 96.", Row: row},
			screen.Item{ID: fmt.Sprintf("hear-%d", i+1), Role: screen.Button, Style: screen.Quiet, Label: fmt.Sprintf("Hear %d", i+1), Row: row, Narrow: true})
	}
	return s
}

// writing is a text with problems; lines in sight, or 0 for all of it.
func writing(lines int) screen.Screen {
	return screen.Screen{Name: fmt.Sprintf("write-%d", lines), Title: "Write", Focus: "title", Items: []screen.Item{
		{ID: "title", Role: screen.Heading, Style: screen.Title, Label: "Write a lesson"},
		{ID: "text", Role: screen.Area, Label: "The lesson", Detail: "Plain text: lines with a name and a colon, then tab.",
			Value: "title: Rain\nharp: A\ntempo: 60\n\nlick: In\nbars: 1\n-2:2 -3 -4 z:2 " + strings.Repeat("-4", 60) + " |\n", Writing: &screen.Writing{Version: 1, Lines: lines}},
		{ID: "state", Role: screen.Text, Style: screen.Off, Label: "1 mistake to put right."},
		{ID: "problem-1", Role: screen.Button, Style: screen.Off, Label: "Mistake, line 7, column 16: -4-4-4-4-4-4-4-4-4-4-4-4-4-4-4-4-4-4-4-4 ...", Detail: "Right would be: neighbouring holes."},
		{ID: "record", Role: screen.Button, Label: "Record a lick", Row: 70},
		{ID: "keep", Role: screen.Button, Label: "Keep among my lessons", Disabled: true, Row: 70},
		{ID: "tempo", Role: screen.Slider, Label: "Tempo", Detail: "Beats a minute.", Min: 30, Max: 240, Step: 1, Now: 96},
		{ID: "work", Role: screen.Meter, Label: "Making the files", Max: 26, Now: 3, Step: 1, Unit: "of 26"},
		{ID: "back", Role: screen.Button, Style: screen.Quiet, Label: "All lessons"},
	}}
}

func paper() screen.Screen {
	page := &screen.Picture{Width: 595, Height: 842, Letters: []screen.Line{{Text: "Rain on the tin roof", X: 40, Y: 70, Size: 22, Bold: true}},
		Shapes: []screen.Shape{{Width: 1, Pieces: [][]screen.Dot{{{X: 40, Y: 100}, {X: 555, Y: 100}}}}, {Pieces: [][]screen.Dot{{{X: 40, Y: 120}, {X: 80, Y: 120}, {X: 60, Y: 160}}}}}}
	return screen.Screen{Name: "sheet", Title: "Sheet", Focus: "title", Items: []screen.Item{
		{ID: "title", Role: screen.Heading, Style: screen.Title, Label: "The sheet of Rain on the tin roof"},
		{ID: "print", Role: screen.Button, Style: screen.Primary, Label: "Print it", Row: 63},
		{ID: "back", Role: screen.Button, Style: screen.Quiet, Label: "Back", Row: 63},
		{ID: "page-1", Role: screen.Image, Label: "Page 1 of 1 of the sheet", Picture: page},
	}}
}

// reeds is a report with every mark there is.
func reeds() screen.Screen {
	c := Comb()
	c.Figures = true
	for i := range c.Slots {
		c.Slots[i].Names = [2]string{"+3", "\u221218"}
		c.Slots[i].Marks = [2]screen.Mark{screen.Mark(1 << (i % 7)), screen.Mark(1<<((i+3)%7) | 1<<((i+5)%7))}
		if i%5 == 4 {
			c.Slots[i].Names = [2]string{"\u2212107", ""}
		}
	}
	return screen.Screen{Name: "reeds", Title: "Reeds", Comb: c, Focus: "done", Items: []screen.Item{
		{ID: "title", Role: screen.Heading, Style: screen.Title, Label: "The one with forty letters in its long name: how its reeds are"},
		{ID: "sum", Role: screen.Text, Label: "Your harp is tuned like this: just with 5 and 9 draw low, for a smooth draw chord (7-limit); A4 near 442 Hz. 12 reeds deserve a look."},
		{ID: "comb", Role: screen.CombView, Label: "The ten holes with what was found of each reed"},
		{ID: "held", Role: screen.Meter, Label: "Held", Max: 100, Now: 40, Step: 1, Unit: "%", Row: 74},
		{ID: "progress", Role: screen.Meter, Label: "Reeds", Max: 20, Now: 7, Step: 1, Unit: "of 20", Row: 74},
		{ID: "reed-10-blow", Role: screen.Text, Style: screen.Off, Label: "10 blow is 107 cents flat of its tuning (98 cents flat of the reeds around it).", Detail: "Let the harp dry and measure it again.", Row: 200},
		{ID: "again-10-blow", Role: screen.Button, Style: screen.Quiet, Label: "Again: 10 blow", Narrow: true, Row: 200},
		{ID: "hole-10", Role: screen.Text, Label: "Hole 10: blow \u2212107 (off, slow); draw not heard."},
		{ID: "done", Role: screen.Button, Style: screen.Primary, Label: "My harps", Row: 71},
		{ID: "measure", Role: screen.Button, Label: "Measure it again", Row: 71},
	}}
}

func lesson() screen.Screen {
	return screen.Screen{Name: "drill", Title: "Drill", Comb: Comb(), Chart: turnaround(), Items: []screen.Item{
		{ID: "title", Role: screen.Heading, Style: screen.Title, Label: "Walk down to the five"},
		{ID: "which", Role: screen.Text, Style: screen.Quiet, Label: "Turnaround, level 3. A harp, second position: key of E."},
		{ID: "words", Role: screen.Text, Label: "Start on the second beat of the pickup. Keep the triplets as even as steps, and let the last note ring for its whole length."},
		{ID: "chart", Role: screen.ChartView, Label: "Two bars with a pickup"},
		{ID: "comb", Role: screen.CombView, Label: "Comb"},
		{ID: "tempo", Role: screen.Slider, Label: "Tempo", Detail: "72 quarter notes a minute", Min: 50, Max: 110, Step: 5, Now: 90, Unit: "%"},
		{ID: "from-bar", Role: screen.Select, Label: "From bar", Options: []string{"1", "12"}, Value: "1", Row: 32},
		{ID: "to-bar", Role: screen.Select, Label: "To bar", Options: []string{"1", "12"}, Value: "12", Row: 32},
		{ID: "part", Role: screen.Text, Label: "Part of a drill is free practice: it opens nothing and costs nothing."},
		{ID: "round", Role: screen.Toggle, Label: "Keep going round", Detail: "After each result the next round begins by itself."},
		{ID: "all-bars", Role: screen.Button, Label: "All 12 bars again"},
		{ID: "live", Role: screen.Toggle, Label: "Show my line while I play", On: true},
		{ID: "play", Role: screen.Button, Style: screen.Primary, Label: "Play"},
		{ID: "hear", Role: screen.Button, Label: "Hear it first", Row: 1},
		{ID: "link", Role: screen.Button, Label: "Copy a link", Row: 1},
		{ID: "back", Role: screen.Button, Style: screen.Quiet, Label: "Back"},
	}}
}

func turnaround() *screen.Chart {
	c := &screen.Chart{Bars: 2, BeatsPerBar: 4, PerRow: 2, Pickup: 1, Cursor: math.Inf(-1), LowCents: 0, HighCents: 1300,
		Chords: []screen.ChartChord{{Beat: 0, Name: "E7"}, {Beat: 2, Name: "A7"}, {Beat: 4, Name: "E7"}, {Beat: 6, Name: "B7"}}}
	put := func(beat, beats, cents float64, tab string, join int) {
		c.Notes = append(c.Notes, screen.ChartNote{Beat: beat, Beats: beats, Cents: cents, Tab: tab, Join: join})
	}
	put(-2.0/3, 1.0/3, 1400-200, "-4", 0)
	put(-1.0/3, 1.0/3, 1100, "-3", 1)
	for i, n := range []struct {
		cents float64
		tab   string
	}{{1100, "-3"}, {1000, "-3'"}, {700, "-2"}, {1100, "-3"}, {1000, "-3'"}, {700, "-2"}, {600, "-2'"}, {500, "-2''"}, {400, "+2"}} {
		put(float64(i)/3, 1.0/3, n.cents, n.tab, []int{0, 2, 1}[i%3])
	}
	put(4, 1, 200, "-1", 0)
	put(5, 1, 200, "-1", 0)
	put(6, 2, 700, "-2", 0)
	return c
}

func take() screen.Screen {
	c := Comb()
	c.Asked = screen.Spot{Hole: 3, Cents: 200, Draw: true, Tab: "-3''"}
	c.Next = screen.Spot{Hole: 4, Cents: 200, Draw: true, Tab: "-4"}
	c.Beads = []screen.Bead{
		{Spot: screen.Spot{Hole: 3, Cents: 165, Draw: true, Tab: "-3''"}, Strength: 0.9, OffCents: -35},
		{Spot: screen.Spot{Hole: 4, Cents: 205, Draw: true, Tab: "-4"}, Strength: 0.4, Leak: true, OffCents: math.NaN()},
	}
	chart := Twelve(4)
	chart.Cursor = 18.4
	for b := 0.0; b < 18.4; b += 0.03 {
		n := chart.Notes[0]
		for _, o := range chart.Notes {
			if o.Beat <= b {
				n = o
			}
		}
		chart.Trace = append(chart.Trace, screen.TracePoint{Beat: b, Cents: n.Cents + 25*math.Sin(b*2) - 60*math.Exp(-(b-n.Beat)*8), Level: 0.5 + 0.4*math.Sin(b), Gap: b-n.Beat < 0.03})
	}
	return screen.Screen{Name: "take", Title: "Take", Comb: c, Chart: chart, Items: []screen.Item{
		{ID: "title", Role: screen.Heading, Style: screen.Title, Label: "Round the twelve"},
		{ID: "chart", Role: screen.ChartView, Label: "Twelve bars"},
		{ID: "comb", Role: screen.CombView, Label: "Comb"},
		{ID: "stop", Role: screen.Button, Style: screen.Primary, Label: "Stop"},
	}}
}

// Twelve is a twelve-bar form with two notes a bar.
func Twelve(perRow int) *screen.Chart {
	c := &screen.Chart{Bars: 12, BeatsPerBar: 4, PerRow: perRow, LowCents: 200, HighCents: 1500}
	for i, name := range []string{"E7", "E7", "E7", "E7", "A7", "A7", "E7", "E7", "B7", "A7", "E7", "B7"} {
		c.Chords = append(c.Chords, screen.ChartChord{Beat: float64(4 * i), Name: name})
	}
	steps := []struct {
		cents float64
		tab   string
	}{{700, "-2"}, {900, "-3''"}, {1100, "-3"}, {1400, "-4"}, {1200, "+4"}}
	for i := range 24 {
		n := steps[i*i%5]
		c.Notes = append(c.Notes, screen.ChartNote{Beat: float64(2 * i), Beats: 1.75, Cents: n.cents, Tab: n.tab})
	}
	return c
}

func steps() screen.Screen {
	chart := turnaround()
	chart.Notes[3].Chosen = true
	return screen.Screen{Name: "steps", Title: "One note at a time", Focus: "skip", Comb: Comb(), Chart: chart, Items: []screen.Item{
		{ID: "title", Role: screen.Heading, Style: screen.Title, Label: "Walk down to the five, bars 10 to 12 of 12"},
		{ID: "ask", Role: screen.Heading, Label: "Note 10 of 17: play 3 draw, step and a half bend."},
		{ID: "hint", Role: screen.Text, Label: "You are on 2 draw, whole step bend."},
		{ID: "comb", Role: screen.CombView, Label: "Where the asked note lies, and what you play"},
		{ID: "one-back", Role: screen.Button, Label: "One back", Row: 45},
		{ID: "skip", Role: screen.Button, Label: "Skip it", Row: 45},
		{ID: "back", Role: screen.Button, Label: "Stop", Row: 45},
		{ID: "chart", Role: screen.ChartView, Label: "Two bars with a pickup"},
	}}
}

func result() screen.Screen {
	chart := turnaround()
	for i := range chart.Notes {
		chart.Notes[i].Outcome = screen.Outcome(1 + i%3)
		n := chart.Notes[i]
		for b := 0.02; b < n.Beats-0.04 && i%3 != 2; b += 0.03 {
			chart.Trace = append(chart.Trace, screen.TracePoint{Beat: n.Beat + b, Cents: n.Cents + 30*math.Sin(b*9), Level: 0.7, Gap: b < 0.03})
		}
	}
	chart.Notes[7].Chosen = true
	return screen.Screen{Name: "result", Title: "Result", Chart: chart, Items: []screen.Item{
		{ID: "title", Role: screen.Heading, Style: screen.Title, Label: "Not yet: 9 of 14 notes"},
		{ID: "chart", Role: screen.ChartView, Label: "Two bars with a pickup"},
		{ID: "work", Role: screen.Heading, Label: "Work on this"},
		{ID: "work-1", Role: screen.Text, Label: "The half step on 2 draw is 40 cents too deep. Raise the back of your tongue a little earlier and stop there."},
		{ID: "work-2", Role: screen.Text, Label: "You are 35 ms late throughout. Lean into the beat."},
		{ID: "note", Role: screen.Heading, Label: "\u22122'', beat 4"},
		{ID: "mark-1", Role: screen.Text, Style: screen.Off, Label: "Pitch: 40 cents flat", Detail: "Up to 25 is in the window. Bend a little less."},
		{ID: "mark-2", Role: screen.Text, Style: screen.Good, Label: "Start: 12 ms late", Detail: "Up to 60 is in the window."},
		{ID: "note-before", Role: screen.Button, Label: "Note before", Row: 3},
		{ID: "note-after", Role: screen.Button, Label: "Note after", Row: 3},
		{ID: "replay", Role: screen.Heading, Label: "Hear it again", Under: true},
		{ID: "replay-what", Role: screen.Text, Label: "Hear your take beside the model. Only the harp sounds.", Under: true},
		{ID: "hear-own", Role: screen.Button, Label: "Hear yourself", Row: 42, Under: true},
		{ID: "hear-model", Role: screen.Button, Label: "Hear the model", Row: 42, Under: true},
		{ID: "hear-note", Role: screen.Button, Label: "This note: you, then the model", Row: 43, Under: true},
		{ID: "hear-stop", Role: screen.Button, Label: "Stop", Disabled: true, Row: 43, Under: true},
		{ID: "again", Role: screen.Button, Style: screen.Primary, Label: "Again"},
		{ID: "back", Role: screen.Button, Style: screen.Quiet, Label: "Back to the drills"},
	}}
}

func warble() screen.Screen {
	c := &screen.Chart{Bars: 4, BeatsPerBar: 4, PerRow: 4, Cursor: -0.5, Pickup: 1, CountIn: 1, LowCents: 1200, HighCents: 1900}
	for i := range 64 {
		cents, tab := 1400.0, "-4"
		if i%2 == 1 {
			cents, tab = 1700, "-5"
		}
		c.Notes = append(c.Notes, screen.ChartNote{Beat: float64(i) / 4, Beats: 0.25, Cents: cents, Tab: tab, Join: min(i, 1), Outcome: screen.Outcome(i % 4)})
	}
	return screen.Screen{Name: "warble", Title: "Warble", Focus: "stop", Chart: c, Items: []screen.Item{
		{ID: "title", Role: screen.Heading, Style: screen.Title, Label: "Even sixteenths"},
		{ID: "chart", Role: screen.ChartView, Label: "Four bars of a warble"},
		{ID: "stop", Role: screen.Button, Label: "Stop"},
	}}
}
