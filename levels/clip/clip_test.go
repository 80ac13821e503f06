package clip

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"reedwell/audio/synth"
	"reedwell/levels/band"
	"reedwell/levels/harp"
	"reedwell/levels/lesson/lessontest"
	"reedwell/levels/player"
	"slices"
	"strings"
	"testing"

	"reedwell/audio/listen"
	"reedwell/levels/drill"
	"reedwell/levels/grade"
	"reedwell/levels/lesson"
)

func lickDrill(t testing.TB, l lesson.Lesson, i int, o Options) drill.Drill {
	t.Helper()
	d, err := l.Drill(i, o.play(l))
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func graded(t testing.TB, d drill.Drill, sound []float32) grade.Result {
	t.Helper()
	take, err := listen.Hear(grade.Ear(d, Rate), sound)
	if err != nil {
		t.Fatal(err)
	}
	return grade.Take(d, take)
}

// full reports a take that is anything but full marks.
func full(t testing.TB, name string, d drill.Drill, r grade.Result) {
	t.Helper()
	if r.Passed && r.Share == 1 && r.Extra == 0 && r.Missing == 0 {
		return
	}
	t.Errorf("%s: passed %v, %.0f %% right, %d missing, %d extra: %q %s", name, r.Passed, 100*r.Share, r.Missing, r.Extra, r.Summary, r.Problem)
	for _, m := range r.Marks {
		if m.Verdict != grade.Good {
			t.Logf("  %d %s %s asked %.3g heard %.4g window %.3g: %s", m.Target, m.Tab, m.Quantity, m.Asked, m.Heard, m.Window, m.Advice)
		}
	}
}

// marks is a lesson in which every mark meets every other one.
func marks(t testing.TB) lesson.Lesson {
	t.Helper()
	text, err := os.ReadFile("testdata/marks.txt")
	if err != nil {
		t.Fatal(err)
	}
	l, problems := lesson.Parse(string(text))
	if lesson.Failed(problems) {
		t.Fatal(problems)
	}
	return l
}

// Each demonstration of the demo lessons, at full and slow tempo and with the clicks of the
// count-in, gets full marks of our own grader; and so does every mark, on a middle, a low and a
// high harp and at a quicker tempo.
func TestDemonstrationsGetFullMarks(t *testing.T) {
	type played struct {
		lesson.Lesson
		options []Options
	}
	var all []played
	for _, l := range lessontest.Demos(t) {
		all = append(all, played{l, []Options{{CountIn: true}, {CountIn: true, Share: SlowShare}}})
	}
	for i, name := range []string{"C", "low D", "F#"} {
		key, err := harp.ParseKey(name)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, played{lesson.Transpose(marks(t), key), []Options{{CountIn: true, Play: lesson.Play{Tempo: 80 + 20*float64(i)}}}})
	}
	for _, l := range all {
		for i, k := range l.Licks {
			for _, o := range l.options {
				sound, err := Lick(l.Lesson, i, o)
				if err != nil {
					t.Fatal(err)
				}
				d := lickDrill(t, l.Lesson, i, o)
				full(t, fmt.Sprintf("%s, %s, %s at %g", l.Title, k.Title, l.Key, d.Tempo), d, graded(t, d, sound))
			}
		}
	}
}

// The whole chorus gets full marks too.
func TestChorusGetsFullMarks(t *testing.T) {
	if testing.Short() {
		t.Skip("long; it runs natively")
	}
	for _, l := range lessontest.Demos(t) {
		d, err := l.Chorus(lesson.Play{})
		if err != nil {
			t.Fatal(err)
		}
		sound, err := Chorus(l, Options{CountIn: true})
		if err != nil {
			t.Fatal(err)
		}
		full(t, l.Title, d, graded(t, d, sound))
	}
}

// A fault is a performance with one thing wrong, and what the first advice must say of it.
type fault struct {
	name   string
	faults player.Faults
	says   string
	fits   func(d drill.Drill) bool // the lick has what can go wrong
	// everywhere: it is in every note or in every one of a kind that must be right, so the take
	// does not pass. One repeat held in a lick of five notes may.
	everywhere bool
	adds       bool // more notes are squeezed in than a take may have
}

func always(drill.Drill) bool { return true }

func any(want func(d drill.Drill, i int) bool) func(drill.Drill) bool {
	return func(d drill.Drill) bool {
		for i := range d.Targets {
			if want(d, i) {
				return true
			}
		}
		return false
	}
}

func faults() []fault {
	bends := any(func(d drill.Drill, i int) bool { return d.Targets[i].Note.Bend > 0 })
	warbles := any(func(d drill.Drill, i int) bool { return d.Targets[i].Warble })
	repeats := any(func(d drill.Drill, i int) bool {
		return i > 0 && d.Targets[i].Join == drill.Tongued && d.Targets[i].Note == d.Targets[i-1].Note && d.Targets[i].Start-d.Targets[i-1].End < 1e-9
	})
	return []fault{
		{"bends not reached", player.Faults{Deep: -65}, "too high", bends, true, false},
		{"bends too deep", player.Faults{Deep: 65}, "too deep", bends, true, false},
		{"late", player.Faults{Late: 0.170}, "late throughout", always, true, false},
		{"early", player.Faults{Late: -0.170}, "early throughout", always, true, false},
		{"scattered", player.Faults{Scatter: 2, Seed: 6}, "scatter", always, false, false}, // of the window of a start
		{"a note missing", player.Faults{Drop: 3}, "was not played", always, false, false},
		{name: "notes too many", says: "more than asked", fits: always, everywhere: true, adds: true},
		{"two holes", player.Faults{Leak: 6}, "second hole", always, true, false},
		{"repeats held", player.Faults{Held: true}, "held through", repeats, false, false},
		{"short notes", player.Faults{Short: 0.7}, "of its time", always, true, false},
		{"uneven warble", player.Faults{Jitter: 0.35, Seed: 4}, "uneven", warbles, true, false},
		{"limping warble", player.Faults{Duty: 0.75}, "of the time", warbles, true, false},
	}
}

// One fault added to a demonstration is what the first advice names.
func TestOneFaultIsNamedFirst(t *testing.T) {
	if testing.Short() {
		t.Skip("long; it runs natively")
	}
	for _, l := range lessontest.Demos(t) {
		for i, k := range l.Licks {
			d := lickDrill(t, l, i, Options{})
			touches := LickTouches(l, d, i)
			for _, f := range faults() {
				if !f.fits(d) {
					continue
				}
				f.faults.Scatter *= d.Windows.Start
				notes := player.Perform(d, touches, f.faults)
				if f.adds {
					notes = crowded(d, notes)
				}
				r := graded(t, d, synth.Render(Rate, d.Seconds, notes, steadyHand))
				says := f.says
				if f.faults.Scatter > 0 {
					// A handful of starts scatters around a mean of its own, which may be the larger fault.
					if mean, deviation := starts(notes, player.Perform(d, touches, player.Faults{})); math.Abs(mean) > deviation {
						says = "throughout"
					}
				}
				if len(r.Summary) == 0 || !strings.Contains(r.Summary[0], says) {
					t.Errorf("%s, %s, %s: %q, want %q first", l.Title, k.Title, f.name, r.Summary, says)
				}
				if r.Passed && f.everywhere {
					t.Errorf("%s, %s, %s: passed with %.0f %%", l.Title, k.Title, f.name, 100*r.Share)
				}
			}
		}
	}
}

// crowded takes the last quarter of the longest notes for wrong ones, two holes away: of one note
// in five, rounded up, and one more, which is more than a take may have.
func crowded(d drill.Drill, notes []synth.Note) []synth.Note {
	var order []int // those that end with their breath
	for i, n := range notes {
		if (i+1 == len(notes) || !notes[i+1].Legato) && n.End-n.Start > 0.3 {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(notes[b].End-notes[b].Start, notes[a].End-notes[a].Start) })
	all := slices.Clone(notes)
	for _, i := range order[:min(len(order), len(notes)/5+2)] {
		n := &all[i]
		quarter := (n.End - n.Start) / 4
		hz := n.Hz[len(n.Hz)-1].Value * math.Exp2(7.0/12) // a fifth up is two holes or more
		if hz > d.Harp.High() {
			hz = n.Hz[len(n.Hz)-1].Value * math.Exp2(-7.0/12)
		}
		all = append(all, synth.Note{Start: n.End - quarter, End: n.End - 0.01, Hz: synth.Steady(hz)})
		n.End -= quarter + 0.02
	}
	return all
}

// starts is mean and standard deviation of how late the breaths of one performance begin
// against another one.
func starts(a, b []synth.Note) (mean, deviation float64) {
	n := 0.0
	for i := range a {
		if a[i].Legato {
			continue
		}
		late := a[i].Start - b[i].Start
		mean, deviation, n = mean+late, deviation+late*late, n+1
	}
	mean /= n
	return mean, math.Sqrt(deviation/n - mean*mean)
}

// A chord of which one hole sounds is told so, with the hole that is missing.
func TestMissingHoleOfAChord(t *testing.T) {
	l := marks(t)
	d := lickDrill(t, l, 0, Options{})
	thin := d
	thin.Targets = nil
	for _, target := range d.Targets {
		target.Also = nil
		thin.Targets = append(thin.Targets, target)
	}
	r := graded(t, d, synth.Render(Rate, d.Seconds, player.Notes(thin, player.Faults{}), steadyHand))
	if r.Passed || len(r.Summary) == 0 || !strings.Contains(r.Summary[0], "only 4 blow sounded, 5 blow was missing") {
		t.Errorf("passed %v, %q; want 5 blow told missing", r.Passed, r.Summary)
	}
	r = graded(t, d, synth.Render(Rate, d.Seconds, player.Perform(d, LickTouches(l, d, 0), player.Faults{Held: true}), steadyHand))
	if len(r.Summary) == 0 || !strings.Contains(r.Summary[0], "hardly starts anew") {
		t.Errorf("a chord held through its repeat: %q", r.Summary)
	}
}

// Advice names bar and beat: the first lick of the shuffle begins with a pickup of two eighths,
// then 3 draw on beat 1 in the same breath, 4 draw on beat 2 and after it, and after the rest
// 5 draw after beat 3 and 4 draw on beat 4.
func TestAdviceNamesBarAndBeat(t *testing.T) {
	for _, l := range lessontest.Demos(t) {
		if l.Title != "Wet shoes shuffle" {
			continue
		}
		d := lickDrill(t, l, 0, Options{})
		r := graded(t, d, synth.Render(Rate, d.Seconds, player.Perform(d, nil, player.Faults{}), steadyHand))
		var places []string
		for _, m := range r.Marks {
			if place, _, _ := strings.Cut(m.Advice, ":"); m.Quantity == grade.Start {
				places = append(places, place)
			}
		}
		want := []string{"Pickup, beat 4", "Pickup, after beat 4", "Bar 1, beat 2", "Bar 1, after beat 2", "Bar 1, after beat 3", "Bar 1, beat 4"}
		if len(places) < len(want) || !slices.Equal(places[:len(want)], want) {
			t.Errorf("places %q, want them to begin %q", places, want)
		}
	}
}

// What is no playing passes no lick: silence, and the backing alone.
func TestNoPlayingFails(t *testing.T) {
	if testing.Short() {
		t.Skip("long; it runs natively")
	}
	for _, l := range append(lessontest.Demos(t), marks(t)) {
		for i, k := range l.Licks {
			d := lickDrill(t, l, i, Options{})
			for name, sound := range map[string][]float32{
				"silence": make([]float32, int(d.Seconds*Rate)), "the backing alone": band.Render(d, Rate),
			} {
				if r := graded(t, d, sound); r.Passed || r.Share > 0.4 || len(r.Summary) == 0 {
					t.Errorf("%s, %s, %s: passed %v with %.0f %%, %q", l.Title, k.Title, name, r.Passed, 100*r.Share, r.Summary)
				}
			}
		}
	}
}

// People are not exact: starts that scatter by 10 ms, half of what a free reed lets anyone hear, a
// warble uneven by 4 % and a little noise pass at the strictest level.
func TestHumanSizeScatterPasses(t *testing.T) {
	if testing.Short() {
		t.Skip("long; it runs natively")
	}
	random := rand.New(rand.NewPCG(1, 2))
	for _, l := range append(lessontest.Demos(t), marks(t)) {
		for i, k := range l.Licks {
			l.Licks[i].Level = lesson.Strong
			d := lickDrill(t, l, i, Options{})
			notes := player.Perform(d, LickTouches(l, d, i), player.Faults{Scatter: 0.010, Jitter: 0.04, Seed: uint64(i) + 1})
			x := synth.Render(Rate, d.Seconds, notes, uint64(i)+1)
			for j := range x {
				x[j] += float32(0.003 * random.NormFloat64()) // -50 dBFS, 30 dB under the reed
			}
			if r := graded(t, d, x); !r.Passed {
				t.Errorf("%s, %s: %.0f %%, %q", l.Title, k.Title, 100*r.Share, r.Summary)
			}
		}
	}
}
