package path_test

import (
	"fmt"
	"slices"
	"testing"

	"reedwell/levels/drill"
	"reedwell/levels/grade"
	"reedwell/levels/path"
)

// monday is the day on which most of these tests play.
func monday() path.Day { return path.Date(2026, 11, 23) }

// good is a good take at target tempo with the live display on, blind one with it off.
func good() path.Take {
	return path.Take{Graded: true, Share: 0.9, Passed: true, Display: true, AtTempo: true, Tempo: 60}
}

func blind() path.Take {
	t := good()
	t.Display = false
	return t
}

func poor() path.Take {
	return path.Take{Graded: true, Share: 0.5, Display: true, AtTempo: true, Tempo: 60}
}

// list is a list of drills like the program's own.
func list() []drill.Summary {
	var all []drill.Summary
	add := func(f drill.Family, chain string, levels int) {
		for n := range levels {
			all = append(all, drill.Summary{ID: fmt.Sprintf("%s-%d", chain, n+1), Family: f, Level: n + 1})
		}
	}
	add(drill.Single, "single", 6)
	for _, hole := range []string{"4d", "1d", "2d", "3d", "6d", "8b", "9b", "10b"} {
		add(drill.Ladder, "ladder-"+hole, 5)
	}
	add(drill.Warble, "warble", 6)
	add(drill.Turnaround, "turnaround", 6)
	return all
}

func play(p path.Progress, day path.Day, id string, takes ...path.Take) path.Progress {
	for _, t := range takes {
		p = p.Record(day, id, t)
	}
	return p
}

func passed(p path.Progress, id string) path.Progress {
	return play(p, monday(), id, good(), good(), good(), blind())
}

// with is a good blind take with one thing changed.
func with(change func(*path.Take)) path.Take {
	t := blind()
	change(&t)
	return t
}

func TestRule(t *testing.T) {
	g, b, x := good(), blind(), poor()
	four := func(t path.Take) []path.Take { return []path.Take{t, t, t, t} }
	for _, test := range []struct {
		name  string
		takes []path.Take
		want  path.State // of single-1
	}{
		{"nothing played", nil, path.Open},
		{"four good, one without display", []path.Take{g, g, g, b}, path.Passed},
		{"without display first", []path.Take{b, g, g, g}, path.Passed},
		{"four of five", []path.Take{g, x, b, g, g}, path.Passed},
		{"the share on its edge", four(with(func(t *path.Take) { t.Share = grade.PassShare })), path.Passed},
		{"bad ones before the last five", []path.Take{x, x, x, g, g, b, x, g}, path.Passed},
		{"slow and ungraded takes in between", []path.Take{g, g, with(func(t *path.Take) { t.AtTempo = false }),
			{}, {Passed: true, Share: 1, AtTempo: true}, g, b}, path.Passed},
		{"stays passed", []path.Take{g, g, g, b, x, x, x, x, x, x}, path.Passed},

		{"three good", []path.Take{g, g, b}, path.Open},
		{"three of five", []path.Take{g, x, g, x, b}, path.Open},
		{"four of six", []path.Take{g, x, g, x, g, b}, path.Open},
		{"always with the display", []path.Take{g, g, g, g, g, g, g, g}, path.Open},
		{"the one without display was bad", []path.Take{g, g, with(func(t *path.Take) { t.Share, t.Passed = 0.5, false }), g, g}, path.Open},
		{"the one without display is no longer among the last five", []path.Take{b, x, x, g, g, g, g}, path.Open},
		{"too slow", four(with(func(t *path.Take) { t.AtTempo = false })), path.Open},
		{"the one without display was too slow", []path.Take{g, g, g, g, with(func(t *path.Take) { t.AtTempo = false })}, path.Open},
		{"not passed by the grading", four(with(func(t *path.Take) { t.Passed = false })), path.Open},
		{"too small a share", four(with(func(t *path.Take) { t.Share = 0.7999 })), path.Open},
		{"not graded", four(with(func(t *path.Take) { t.Graded = false })), path.Open},
		{"a share that is none", four(with(func(t *path.Take) { t.Share = 1.5 })), path.Open},
	} {
		t.Run(test.name, func(t *testing.T) {
			way := path.For(list())
			p := play(path.New(), monday(), "single-1", test.takes...)
			if got := way.State(p, "single-1"); got != test.want {
				t.Errorf("single-1 is %v, want %v", got, test.want)
			}
			if got, want := way.Open(p, "single-2"), test.want == path.Passed; got != want {
				t.Errorf("single-2 open = %v, want %v", got, want)
			}
			if test.want != path.Passed {
				if opened := way.Opened(path.New(), p); len(opened) != 0 {
					t.Errorf("opened %v, want nothing", opened)
				}
			}
		})
	}
}

// Silence, noise or the backing alone give a result with a problem, whatever the rest
// of it says: it is not recorded.
func TestResultWithProblemIsNotRecorded(t *testing.T) {
	r := grade.Result{Passed: true, Share: 1, Problem: "no harmonica heard"}
	p := path.New()
	for range 8 {
		p = p.Record(monday(), "single-1", path.FromResult(r, 60, 60, false))
	}
	if takes, _ := p.Takes("single-1"); len(takes) != 0 || len(p.Drills()) != 0 {
		t.Errorf("%d takes recorded, want none", len(takes))
	}
	r.Problem = ""
	if got := path.FromResult(r, 59, 60, false); got.AtTempo || !got.Graded || !got.Good() {
		t.Errorf("a good take at 59 of 60 = %+v, want good and under the tempo", got)
	}
}

func TestMastered(t *testing.T) {
	way, id := path.For(list()), "warble-1"
	for _, test := range []struct {
		name string
		day  path.Day
		take path.Take
		want path.State
	}{
		{"same day", monday(), blind(), path.Passed},
		{"next day", monday() + 1, good(), path.Mastered},
		{"much later", monday() + 400, good(), path.Mastered},
		{"next day, bad", monday() + 1, poor(), path.Passed},
		{"next day, slow", monday() + 1, with(func(t *path.Take) { t.AtTempo = false }), path.Passed},
		{"next day, not graded", monday() + 1, path.Take{}, path.Passed},
		{"the clock ran back", monday() - 1, good(), path.Passed},
	} {
		p := passed(path.New(), id).Record(test.day, id, test.take)
		if got := way.State(p, id); got != test.want {
			t.Errorf("%s: %v, want %v", test.name, got, test.want)
		}
		if got := p.Passed(id); got != monday() {
			t.Errorf("%s: passed on %v, want %v", test.name, got, monday())
		}
	}
}

func TestOpenFromTheStart(t *testing.T) {
	way := path.For(list())
	var open []string
	for _, s := range list() {
		if way.Open(path.New(), s.ID) {
			open = append(open, s.ID)
		}
	}
	want := []string{"single-1", "ladder-4d-1", "ladder-1d-1", "warble-1", "turnaround-1"}
	if !slices.Equal(open, want) {
		t.Errorf("open at the start: %v, want %v", open, want)
	}
	if way.Open(path.New(), "single-99") || way.State(path.New(), "single-99") != path.Locked {
		t.Error("a drill that is not on the path is open")
	}
}

func TestPassingOpens(t *testing.T) {
	otherHoles := []string{"ladder-2d-1", "ladder-3d-1", "ladder-6d-1", "ladder-8b-1", "ladder-9b-1", "ladder-10b-1"}
	for _, test := range []struct {
		pass string
		want []string
	}{
		{"single-1", []string{"single-2"}},
		{"single-6", []string{"single-6"}}, // played from a link: the last of its chain
		{"warble-3", []string{"warble-3", "warble-4"}},
		{"ladder-4d-1", append([]string{"ladder-4d-2"}, otherHoles...)},
		{"ladder-1d-1", append([]string{"ladder-1d-2"}, otherHoles...)},
		{"ladder-1d-2", []string{"ladder-1d-2", "ladder-1d-3"}},
		{"lick-of-a-lesson-1", nil},
	} {
		way := path.For(list())
		got := way.Opened(path.New(), passed(path.New(), test.pass))
		slices.Sort(got)
		slices.Sort(test.want)
		if !slices.Equal(got, test.want) {
			t.Errorf("passing %s opened %v, want %v", test.pass, got, test.want)
		}
	}
}

// Whoever passes what is open can reach every drill, in the program's own list too.
func TestEveryDrillCanBeReached(t *testing.T) {
	for name, all := range map[string][]drill.Summary{"like ours": list(), "ours": drill.List(), "none": nil} {
		way, p := path.For(all), path.New()
		for range all {
			for _, s := range all {
				if way.State(p, s.ID) == path.Open {
					p = passed(p, s.ID)
				}
			}
		}
		for _, s := range all {
			if got := way.State(p, s.ID); got != path.Passed {
				t.Errorf("%s: %s ends %v", name, s.ID, got)
			}
			if way.State(path.New(), s.ID) == path.Locked && len(way.Needs(s.ID)) == 0 {
				t.Errorf("%s: %s is locked and does not say by what", name, s.ID)
			}
		}
		if next := way.Next(p, "single-1"); next != "" {
			t.Errorf("%s: after everything comes %s", name, next)
		}
	}
}

func TestNext(t *testing.T) {
	way := path.For(list())
	p := passed(path.New(), "single-1")
	for after, want := range map[string]string{
		"single-1":     "single-2",     // opened by passing
		"single-2":     "ladder-4d-1",  // not passed: the next level is shut
		"ladder-1d-1":  "warble-1",     //
		"turnaround-1": "single-2",     // round to the start
		"nowhere":      "single-2",     // the first that is open
		"ladder-9b-2":  "warble-1",     // played from a link
		"warble-6":     "turnaround-1", //
	} {
		if got := way.Next(p, after); got != want {
			t.Errorf("after %s comes %q, want %q", after, got, want)
		}
	}
}

func TestListMustBeInOrder(t *testing.T) {
	for name, bad := range map[string][]drill.Summary{
		"id twice":    {{ID: "single-1", Level: 1}, {ID: "single-1", Level: 2}},
		"level twice": {{ID: "single-1", Level: 1}, {ID: "single-2", Level: 1}},
		"bad id":      {{ID: "Single 1", Level: 1}},
		"no id":       {{}},
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: accepted", name)
				}
			}()
			path.For(bad)
		}()
	}
}

func TestStanding(t *testing.T) {
	p := play(path.New(), monday(), "single-1", good(), poor(), blind(), good())
	got := p.Standing("single-1")
	if !slices.Equal(got.Last, []bool{true, false, true, true}) || got.Good != 3 || got.Needed != 4 || !got.Blind {
		t.Errorf("standing %+v, want 3 of 4 good, one of them without display", got)
	}
	got = play(p, monday(), "single-1", poor(), poor(), poor(), good()).Standing("single-1")
	if len(got.Last) != 5 || got.Good != 2 || got.Blind {
		t.Errorf("standing %+v, want 2 good in the last 5, none without display", got)
	}
}

func TestSuggest(t *testing.T) {
	at := func(tempo, share float64) path.Take {
		return path.Take{Graded: true, Share: share, Passed: share >= grade.PassShare, AtTempo: tempo >= 80, Tempo: tempo}
	}
	for _, test := range []struct {
		name   string
		takes  []path.Take
		tempo  float64
		change int
	}{
		{"nothing played", nil, 80, 0},
		{"one poor", []path.Take{at(80, 0.3)}, 80, 0},
		{"two poor", []path.Take{at(80, 0.3), at(80, 0.59)}, 70, -1},
		{"on the edge", []path.Take{at(80, 0.3), at(80, 0.6)}, 80, 0},
		{"not in a row", []path.Take{at(80, 0.3), at(80, 0.7), at(80, 0.3)}, 80, 0},
		{"an ungraded one in between does not count", []path.Take{at(80, 0.3), {}, at(80, 0.3)}, 70, -1},
		{"first poor one slower", []path.Take{at(80, 0.3), at(80, 0.3), at(70, 0.3)}, 70, 0},
		{"slower once more", []path.Take{at(70, 0.3), at(70, 0.3)}, 61, -1},
		{"not without end", []path.Take{at(30, 0.3), at(30, 0.3)}, 30, 0},
		{"one good", []path.Take{at(70, 0.9)}, 70, 0},
		{"two good", []path.Take{at(61, 0.9), at(61, 0.9)}, 70, +1},
		{"back at the target", []path.Take{at(75, 0.9), at(75, 0.9)}, 80, +1},
		{"never over the target", []path.Take{at(80, 0.9), at(80, 0.9)}, 80, 0},
	} {
		p := play(path.New(), monday(), "single-1", test.takes...)
		if tempo, change := p.Suggest("single-1", 80); tempo != test.tempo || change != test.change {
			t.Errorf("%s: %v, %+d, want %v, %+d", test.name, tempo, change, test.tempo, test.change)
		}
	}
	// From 36 up a whole number lies 10 to 15 % lower.
	for tempo := 36.0; tempo <= 240; tempo++ {
		p := play(path.New(), monday(), "single-1", at(tempo, 0), at(tempo, 0))
		if got, _ := p.Suggest("single-1", 240); got < tempo*0.85 || got > tempo*0.9 {
			t.Errorf("from %v down to %v: not 10 to 15 %% lower", tempo, got)
		}
	}
}

func TestDisplayFades(t *testing.T) {
	p := path.New()
	for i, step := range []struct {
		take path.Take
		want bool // shown in the take after
	}{{poor(), true}, {good(), false}, {with(func(t *path.Take) { t.Share = 0.4 }), true}, {good(), false}, {path.Take{}, false}} {
		p = p.Record(monday(), "single-1", step.take)
		if got := p.Display("single-1"); got != step.want {
			t.Errorf("after take %d display %v, want %v", i+1, got, step.want)
		}
	}
	if !path.New().Display("single-1") {
		t.Error("the first take is without display")
	}
}

func TestReviews(t *testing.T) {
	way, id := path.For(list()), "single-1"
	p := path.New()
	if p.Review(id) != 0 || way.Due(p, monday()+100) != nil {
		t.Error("a review before passing")
	}
	p = passed(p, id)
	for _, after := range []path.Day{1, 3, 7, 21} {
		due := monday() + after
		if got := p.Review(id); got != due {
			t.Fatalf("next review on %v, want %v", got, due)
		}
		if way.Due(p, due-1) != nil || !slices.Equal(way.Due(p, due), []string{id}) {
			t.Errorf("not due from %v on", due)
		}
		if early := p.Record(due-1, id, good()); after > 1 && early.Review(id) != due {
			t.Errorf("a take on %v did for the review of %v", due-1, due)
		}
		if bad := p.Record(due, id, poor()); bad.Review(id) != due {
			t.Errorf("a bad take did for the review of %v", due)
		}
		p = p.Record(due, id, good())
	}
	if got := p.Review(id); got != 0 {
		t.Errorf("a fifth review on %v", got)
	}
	// A late one moves those after it: two days lie between the first and the second.
	if late := passed(path.New(), id).Record(monday()+10, id, good()); late.Review(id) != monday()+12 {
		t.Errorf("after a late first review the second is on %v, want %v", late.Review(id), monday()+12)
	}
}

func TestDay(t *testing.T) {
	for _, s := range []string{"1970-01-02", "2024-02-29", "2026-11-25", "9999-12-31"} {
		d, err := path.ParseDay(s)
		if err != nil || d.String() != s || !d.Valid() {
			t.Errorf("ParseDay(%q) = %v, %v", s, d, err)
		}
	}
	for _, s := range []string{"", "2026-02-29", "2026-11-31", "26-11-25", "2026-11-25T00:00", "1970-01-01", "1969-12-31", "10000-01-01"} {
		if d, err := path.ParseDay(s); err == nil {
			t.Errorf("ParseDay(%q) = %v, want an error", s, d)
		}
	}
	// 2000-03-01 is day 11017: 10957 days to 2000-01-01 by the POSIX formula for seconds
	// since the epoch (IEEE Std 1003.1, 4.19), and 31 + 29.
	if got := path.Date(2000, 3, 1); got != 11017 {
		t.Errorf("2000-03-01 is day %d, want 11017", got)
	}
}

func TestRecordRefusesWhatTheCallerGotWrong(t *testing.T) {
	for name, f := range map[string]func(){
		"no day":    func() { path.New().Record(0, "single-1", good()) },
		"no id":     func() { path.New().Record(monday(), "", good()) },
		"an odd id": func() { path.New().Record(monday(), "single 1", good()) },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: accepted", name)
				}
			}()
			f()
		}()
	}
}
