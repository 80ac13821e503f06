package grade

import (
	"strings"
	"testing"

	"reedwell/levels/band"
	"reedwell/levels/player"
)

// fault is a way to play a drill wrong, and a part of what is said of it first.
type fault struct {
	name   string
	faults player.Faults
	says   string
}

// wrong checks that none of the faults passes any of the drills and that the first advice names it.
func wrong(t *testing.T, ids []string, faults []fault) {
	t.Helper()
	if testing.Short() {
		t.Skip("long; it runs natively")
	}
	for _, c := range faults {
		for _, id := range ids {
			r := gradePlayed(t, build(t, id, "A", 0), c.faults)
			if r.Passed {
				t.Errorf("%s, %s: passed with %.0f %%", id, c.name, 100*r.Share)
			}
			if len(r.Summary) == 0 || len(r.Summary) > 3 || !strings.Contains(r.Summary[0], c.says) {
				t.Errorf("%s, %s: summary %q, want %q first", id, c.name, r.Summary, c.says)
			}
		}
	}
}

// nothing checks that what is no playing passes none of the drills, on a low and a middle harp.
func nothing(t *testing.T, ids []string) {
	t.Helper()
	if testing.Short() {
		t.Skip("long; it runs natively")
	}
	for i, id := range ids {
		d := build(t, id, []string{"low D", "C"}[i%2], 0)
		for name, sound := range map[string][]float32{
			"silence": make([]float32, int(d.Seconds*rate)), "noise": white(d.Seconds), "speech": speech(d.Seconds),
			"the backing alone": band.Render(d, rate),
		} {
			r := gradeSound(t, d, sound)
			if r.Passed || r.Share > 0.4 || len(r.Summary) == 0 {
				t.Errorf("%s, %s: passed %v with %.0f %%, %q", id, name, r.Passed, 100*r.Share, r.Summary)
			}
		}
	}
}
