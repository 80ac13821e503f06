package week_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"
	"time"

	"reedwell/levels/drill"
	"reedwell/levels/grade"
	"reedwell/levels/harp"
	"reedwell/levels/path"
	"reedwell/levels/week"
)

// monday is the day on which most of these tests play.
func monday() path.Day { return path.Date(2026, 11, 23) }

const (
	phone  = "00000000000000aa"
	laptop = "00000000000000bb"
)

func bend() week.Skill { return week.BendOn(3, harp.Draw) }

func take(cents float64) week.Take {
	return week.Take{Drill: "ladder-3d-1", Seconds: 30, Share: 0.5, Measured: map[week.Skill]float64{bend(): cents}}
}

// some plays takes that follow from the bytes: each three say drill, day and take.
func some(source string, script []byte) week.Journal {
	j, day := week.New(source), monday()
	ids := []string{"single-1", "ladder-3d-1", "warble-1", "lick-7"}
	skills := []week.Skill{week.Hold, bend(), week.Late, week.Leak, "no-skill"}
	for ; len(script) >= 3; script = script[3:] {
		day += path.Day(script[1] % 16)
		j = j.Add(day-path.Day(script[1]/64), week.Take{
			Drill: ids[int(script[0])%len(ids)], Seconds: float64(script[2]), Share: float64(script[2]) / 255, Good: script[2] > 200,
			Measured: map[week.Skill]float64{skills[int(script[0]/4)%len(skills)]: float64(script[2]) - 100.04},
		})
	}
	return j
}

func random(source string, seed uint64, takes int) week.Journal {
	r := rand.New(rand.NewPCG(seed, 2))
	script := make([]byte, 3*r.IntN(takes))
	for i := range script {
		script[i] = byte(r.Uint32())
	}
	return some(source, script)
}

func sum(j week.Journal) (takes int, minutes float64) {
	for _, d := range j.Days(monday()-10, monday()+week.MaxSpan-20) {
		takes, minutes = takes+d.Takes, minutes+d.Minutes
	}
	return takes, minutes
}

// The calendar of the standard library is the outside check (its ISOWeek follows ISO 8601).
func TestMonday(t *testing.T) {
	for d := path.Date(1970, 1, 5); d < path.Date(2040, 1, 1); d++ {
		m := week.Monday(d)
		at := time.Unix(int64(m)*86400, 0).UTC()
		year, n := time.Unix(int64(d)*86400, 0).UTC().ISOWeek()
		if y, k := at.ISOWeek(); at.Weekday() != time.Monday || y != year || k != n || m > d || d-m > 6 {
			t.Fatalf("the week of %v begins on %v", d, m)
		}
	}
}

func TestStat(t *testing.T) {
	j := week.New(phone)
	for _, c := range []float64{18, 22, 26, 30} {
		j = j.Add(monday(), take(c))
	}
	// Worked by hand: mean 24; squared distances 36+4+4+36 = 80, over 3, root 5.164.
	got := j.Weeks(bend(), monday(), monday())[0]
	if got.N != 4 || got.Mean != 24 || math.Abs(got.SD-5.164) > 0.001 || got.Week != monday() {
		t.Errorf("%+v, want 4 takes of mean 24, spread 5.164", got)
	}
}

func TestGapsAreGaps(t *testing.T) {
	j := week.New(phone).Add(monday(), take(20)).Add(monday()+14, take(10))
	points := j.Weeks(bend(), monday(), monday()+20)
	if len(points) != 3 || points[0].N != 1 || points[1].Stat != (week.Stat{}) || points[2].Mean != 10 {
		t.Errorf("weeks %+v, want a gap in the middle", points)
	}
	for _, p := range j.Weeks(week.Hold, monday(), monday()+20) {
		if p.N != 0 {
			t.Errorf("never measured, and yet %+v", p)
		}
	}
	days := j.Days(monday(), monday()+14)
	if len(days) != 15 || days[0].Takes != 1 || days[0].Minutes != 0.5 || days[1].Takes != 0 || days[1].Day != monday()+1 {
		t.Errorf("days %+v", days)
	}
}

func TestWhatMeasuresNothing(t *testing.T) {
	bad := week.Take{Drill: "single-1", Seconds: math.NaN(), Share: math.Inf(1), Measured: map[week.Skill]float64{
		week.Hold: math.NaN(), week.Late: math.Inf(-1), week.Leak: 1e9, "bend-11d": 3, "": 1}}
	j := week.New(phone).Add(monday(), bad)
	if len(j.Skills()) != 0 {
		t.Errorf("measured %v", j.Skills())
	}
	if takes, minutes := sum(j); takes != 1 || minutes != 0 {
		t.Errorf("%d takes, %g minutes, want 1 and 0", takes, minutes)
	}
	if _, err := week.DecodeJournal(j.Encode()); err != nil {
		t.Error(err)
	}
}

// Adding changes nothing but what the take says, and never takes anything away.
func TestAddIsMonotone(t *testing.T) {
	for seed := range uint64(20) {
		j := random(phone, seed, 200)
		day := max(j.Newest(), monday()) + path.Day(seed*9)
		before, minutes := sum(j)
		next := j.Add(day, take(12))
		after, more := sum(next)
		if after != before+1 || math.Abs(more-minutes-0.5) > 1e-9 {
			t.Fatalf("seed %d: %d takes after %d, %g minutes after %g", seed, after, before, more, minutes)
		}
		for _, s := range j.Skills() {
			was, is := j.Weeks(s, monday()-14, day), next.Weeks(s, monday()-14, day)
			for i := range was {
				if is[i].N < was[i].N || s != bend() && is[i] != was[i] {
					t.Fatalf("seed %d: %s was %+v and is %+v", seed, s, was[i], is[i])
				}
			}
		}
	}
}

func merged(t *testing.T, a, b week.Journal) week.Journal {
	t.Helper()
	m, err := week.Merge(a, b)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func TestMergeLaws(t *testing.T) {
	for seed := range uint64(60) {
		a, b := random(phone, seed, 150), random(laptop, seed+1000, 150)
		if seed%3 == 0 {
			b = random(phone, seed+1000, 150) // two windows that ran apart
		}
		ab := merged(t, a, b)
		for name, other := range map[string]week.Journal{"again with a": merged(t, ab, a), "again with b": merged(t, ab, b), "with itself": merged(t, ab, ab)} {
			if !reflect.DeepEqual(other, ab) {
				t.Fatalf("seed %d: %s differs", seed, name)
			}
		}
		ba := merged(t, b, a)
		if x, y := merged(t, week.New(phone), ab), merged(t, week.New(phone), ba); !reflect.DeepEqual(x, y) {
			t.Fatalf("seed %d: the order matters", seed)
		}
		if seed%3 != 0 {
			na, _ := sum(a)
			nb, _ := sum(b)
			if n, _ := sum(ab); n != na+nb {
				t.Fatalf("seed %d: %d takes of %d and %d", seed, n, na, nb)
			}
		}
	}
}

// A journal that went on from an export is not doubled by importing the export.
func TestMergeWithOwnPast(t *testing.T) {
	past := random(phone, 5, 300)
	now := past
	for i := range 300 {
		now = now.Add(monday()+path.Day(i*3), take(float64(i)))
	}
	if got := merged(t, now, past); !reflect.DeepEqual(got, now) {
		t.Error("the past counts twice")
	}
}

// Weeks add up to the same whether they were kept by day or by week.
func TestOldWeeksKeepTheirNumbers(t *testing.T) {
	j := week.New(phone)
	for i := range 7 {
		j = j.Add(monday()+path.Day(i), take(float64(10+i)))
	}
	before := j.Weeks(bend(), monday(), monday())[0]
	drills := j.Drills(monday())
	size := len(j.Encode())
	j = j.Add(monday()+week.FineWeeks*7+7, week.Take{Drill: "single-1"})
	if after := j.Weeks(bend(), monday(), monday())[0]; after != before || before.N != 7 {
		t.Errorf("%+v became %+v", before, after)
	}
	if !slices.Equal(j.Drills(monday()+3), drills) || drills[0].Takes != 7 || drills[0].Minutes != 3.5 || drills[0].Share != 0.5 {
		t.Errorf("drills %+v became %+v", drills, j.Drills(monday()))
	}
	if len(j.Encode()) >= size {
		t.Errorf("%d bytes became %d", size, len(j.Encode()))
	}
	if d := j.Days(monday(), monday()+6); d[3].Takes != 1 {
		t.Errorf("the days are gone: %+v", d)
	}
}

// However long and much is played, the file stays within its bounds and is read again.
func TestYearsFit(t *testing.T) {
	// 5 days a week, 6 drills a day, 4 measures each.
	j := week.New(phone)
	full := map[week.Skill]float64{week.Hold: 7.3, week.Leak: -31.4, week.Late: 12.8, week.Scatter: 28.1}
	years := 0.0
	for w := 0; years == 0 && w < 52*12; w++ {
		one := week.New(phone)
		for d := range 5 {
			for i := range 6 {
				one = one.Add(monday()+path.Day(7*w+d), week.Take{Drill: fmt.Sprintf("ladder-3d-%d", (w+i)%9), Seconds: 35, Share: 0.8, Measured: full})
			}
		}
		j = merged(t, j, one)
		if j.Since() != 0 {
			years = float64(w) / 52
		}
	}
	data := j.Encode()
	t.Logf("forgets after %.1f years, %d bytes", years, len(data))
	if years < 3 {
		t.Errorf("forgets after %.1f years, want 3 at least", years)
	}
	if back, err := week.DecodeJournal(data); err != nil || !reflect.DeepEqual(back, j) {
		t.Errorf("not read again: %v", err)
	}
	if got := merged(t, j, j); !reflect.DeepEqual(got, j) {
		t.Error("merging a full journal with itself changes it")
	}
	if got := j.Add(monday(), take(3)); !reflect.DeepEqual(got, j) {
		t.Error("a take in a forgotten week changes something")
	}
}

func TestSources(t *testing.T) {
	all := week.New(phone)
	for i := range week.MaxSources {
		all = merged(t, all, week.New(fmt.Sprintf("%016x", i+1000)).Add(monday(), take(1)))
	}
	if _, err := week.Merge(all, week.New(laptop).Add(monday(), take(1))); err == nil {
		t.Error("17 devices were merged")
	}
	if s, err := week.NewSource(bytes.NewReader([]byte("12345678"))); err != nil || s != "3132333435363738" {
		t.Errorf("source %q, %v", s, err)
	}
	if _, err := week.NewSource(bytes.NewReader(nil)); err == nil {
		t.Error("a source of nothing")
	}
}

func TestFromResult(t *testing.T) {
	d, err := drill.Build(drill.Spec{ID: "ladder-3d-1", Key: mustKey(t, "C")})
	if err != nil {
		t.Fatal(err)
	}
	bent, natural := -1, -1
	for i, target := range d.Targets {
		if target.Note.Bend > 0 {
			bent = i
		} else {
			natural = i
		}
	}
	mark := func(i int, q grade.Quantity, heard float64, v grade.Verdict) grade.Mark {
		return grade.Mark{Target: i, Quantity: q, Heard: heard, Verdict: v}
	}
	r := grade.Result{Share: 0.9, Passed: true, Bias: 0.030, Scatter: 0.020, Marks: []grade.Mark{
		mark(bent, grade.Pitch, -30, grade.Off), mark(bent, grade.Pitch, 10, grade.Good), mark(bent, grade.Pitch, 400, grade.Missing),
		mark(natural, grade.Pitch, 25, grade.Off), mark(natural, grade.Spread, 4, grade.Good), mark(bent, grade.Spread, 99, grade.Unheard),
		mark(natural, grade.Leak, -40, grade.Good), mark(bent, grade.Leak, -20, grade.Off), mark(0, grade.Evenness, 0.25, grade.Off), mark(0, grade.Steady, 2, grade.Good),
		mark(0, grade.Start, 0, grade.Good), mark(1, grade.Start, 0, grade.Off),
	}}
	entry := path.FromResult(r, 60, 60, false)
	// 20 cents is the mean of 30 and 10; two starts are too few for timing.
	want := week.Take{Drill: "ladder-3d-1", Seconds: 20, Share: 0.9, Good: true,
		Measured: map[week.Skill]float64{bend(): 20, week.Hold: 4, week.Leak: -30, week.Repeats: 25, week.Breath: 2}}
	if got := week.FromResult(d, r, entry, 20); !reflect.DeepEqual(got, want) {
		t.Errorf("%+v, want %+v", got, want)
	}
	r.Marks = append(r.Marks, mark(2, grade.Start, 0, grade.Good))
	want.Measured[week.Late], want.Measured[week.Scatter] = 30, 20
	entry.AtTempo, want.Good = false, false
	if got := week.FromResult(d, r, entry, 20); !reflect.DeepEqual(got, want) {
		t.Errorf("%+v, want %+v", got, want)
	}
}

// A warble's gaps and those of tongued repeats are two skills.
func TestEvennessOfWhat(t *testing.T) {
	for id, want := range map[string]week.Skill{"warble-1": week.Uneven, "repeats-1": week.Repeats} {
		d, err := drill.Build(drill.Spec{ID: id, Key: mustKey(t, "C")})
		if err != nil {
			t.Fatal(err)
		}
		r := grade.Result{Marks: []grade.Mark{{Target: 0, Quantity: grade.Evenness, Heard: 0.25, Verdict: grade.Off}}}
		got := week.FromResult(d, r, path.Take{}, 20).Measured
		if len(got) != 1 || got[want] != 25 {
			t.Errorf("%s: %v, want 25 %% of %s", id, got, want)
		}
	}
}

// Practice that belongs to no drill counts in its day and nowhere else.
func TestOnlyTheTime(t *testing.T) {
	j := week.New(phone).Add(monday(), week.Take{Seconds: 90, Share: 1, Good: true, Measured: map[week.Skill]float64{week.Hold: 3}})
	if takes, minutes := sum(j); takes != 1 || minutes != 1.5 {
		t.Errorf("%d takes, %g minutes, want 1 and 1.5", takes, minutes)
	}
	if len(j.Drills(monday())) != 0 || len(j.Skills()) != 0 {
		t.Errorf("drills %v, skills %v, want none", j.Drills(monday()), j.Skills())
	}
	if back, err := week.DecodeJournal(j.Encode()); err != nil || !reflect.DeepEqual(back, j) {
		t.Errorf("%+v, %v, want %+v", back, err, j)
	}
}

func mustKey(t *testing.T, s string) harp.Key {
	t.Helper()
	k, err := harp.ParseKey(s)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func TestSkills(t *testing.T) {
	for s, want := range map[week.Skill]bool{"bend-3d": true, "bend-10b": true, "bend-0d": false, "bend-11b": false, "bend-03d": false,
		"repeats": true, "breath": true, "bend-3": false, "bend-": false, "bend-d": false, "bend-+3d": false, "hold": true, "Hold": false, "": false} {
		if s.Valid() != want {
			t.Errorf("%q valid: %v, want %v", s, s.Valid(), want)
		}
	}
}
