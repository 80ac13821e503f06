package screentest

import (
	"math"

	"reedwell/game/screen"
)

// room is what free playing over a form came to: every sign, early and late, crowded and sparse.
func room() screen.Screen {
	c := Twelve(4)
	c.Notes = nil
	signs := screen.Signs()
	tabs := []string{"-2", "-3'", "-3", "-4", "-4-5", "-4~-5", "+6"}
	for bar := range 12 {
		for k := range 1 + bar*5%7 {
			beat := float64(4*bar) + 4*float64(k)/float64(1+bar*5%7)
			i := (bar + 3*k) % len(signs)
			n := screen.ChartNote{Beat: beat, Beats: 0.5, Cents: 700 + 100*float64((bar*k)%6), Tab: tabs[i], Sign: signs[i]}
			if (bar+k)%3 > 0 {
				n.Late = 0.04*float64((bar+k)%5-2) + 0.001
			}
			c.Notes = append(c.Notes, n)
			for b := 0.0; b < n.Beats; b += 0.03 {
				c.Trace = append(c.Trace, screen.TracePoint{Beat: beat + b, Cents: n.Cents + 20*math.Sin(9*b), Level: 0.7, Gap: b == 0})
			}
		}
	}
	return screen.Screen{Name: "room-picture", Title: "How it sat", Chart: c, Focus: "again", Items: []screen.Item{
		{ID: "title", Role: screen.Heading, Style: screen.Title, Label: "How it sat"},
		{ID: "said-1", Role: screen.Text, Label: "On beats one and three you struck a tone of the chord 11 times out of 14, and a blue note 3 times; as the chord changed, what you played was of the new chord 6 times out of 6."},
		{ID: "said-2", Role: screen.Text, Label: "You lean behind the beat: in the middle your notes start 38 ms after their places, most of them within 10 ms of that."},
		{ID: "again", Role: screen.Button, Style: screen.Primary, Label: "Play again", Row: 83},
		{ID: "change", Role: screen.Button, Label: "Change the band", Row: 83},
		{ID: "back", Role: screen.Button, Style: screen.Quiet, Label: "All drills", Row: 83},
		{ID: "chart", Role: screen.ChartView, Label: "Twelve bars of what you played"},
		{ID: "h-time", Role: screen.Heading, Label: "About the beat"},
		{ID: "columns", Role: screen.Columns, Label: "How early or late notes start", Counted: &screen.Counted{
			Counts: []int{0, 1, 0, 2, 5, 9, 14, 8, 3, 0, 12}, Middle: 5, Words: [3]string{"100 ms early", "on the beat", "100 ms late"}}},
		{ID: "bar-1", Role: screen.Text, Label: "Bar 1, E7: 1 -2 root; 2 -3' blue third (40 cents over the flat one); 2 and -3 third; 3 -4 fifth, 35 ms early."},
		{ID: "bar-2", Role: screen.Text, Label: "Bars 2 to 4: rest."},
	}}
}
