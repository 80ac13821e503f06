package mirror

import (
	"strings"
	"testing"

	"reedwell/game/screen"
)

// The numbers of a plot reach the page as words; several files may be chosen where the item
// says so.
func TestPlotIsRead(t *testing.T) {
	s := sample()
	s.Items = append(s.Items,
		screen.Item{ID: "days", Role: screen.PlotView, Label: "Minutes", Detail: "By day.", Plot: &screen.Plot{Bars: true, High: 10,
			Points: []screen.PlotPoint{{Words: "Monday 5 minutes"}, {}, {Words: "Wednesday 7 minutes"}}}},
		screen.Item{ID: "open", Role: screen.File, Label: "Open", Many: true})
	text, _ := new(Mirror).Next(s, 500, even{}, 0)
	for _, want := range []string{`"detail":"By day.\nMonday 5 minutes; Wednesday 7 minutes"`, `"many":true`} {
		if strings.Count(text, want) != 1 {
			t.Errorf("%s does not stand in %s once", want, text)
		}
	}
}
