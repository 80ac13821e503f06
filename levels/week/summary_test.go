package week_test

import (
	"bytes"
	"compress/flate"
	"encoding/base64"
	"errors"
	"flag"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"reedwell/levels/link"
	"reedwell/levels/path"
	"reedwell/levels/week"
)

var update = flag.Bool("update", false, "rewrite the .golden files")

// twoWeeks is a made-up student: last week bends about 25 cents off, this week 18.
func twoWeeks() (week.Journal, path.Progress) {
	j, p := week.New(phone), path.New()
	good := path.Take{Graded: true, Share: 0.9, Passed: true, AtTempo: true, Tempo: 60}
	for i, c := range []float64{20, 30, 24, 26, 22, 28, 25, 25, 21, 29, 25, 25} {
		j = j.Add(monday()-path.Day(1+i%3), take(c))
	}
	for i, c := range []float64{18, 15, 21, 17, 19, 18, 16, 20, 18, 18, 14, 22, 18, 18, 17, 19} {
		j = j.Add(monday()+path.Day(i%4), take(c))
		p = p.Record(monday()+path.Day(i%4), "ladder-3d-1", path.Take{Graded: true, Share: 0.5, AtTempo: true, Tempo: 60})
	}
	for i := range 5 {
		t := week.Take{Drill: "single-1", Seconds: 40, Share: 0.9, Good: true, Measured: map[week.Skill]float64{week.Late: 30 - float64(i), week.Leak: -34}}
		j = j.Add(monday()+path.Day(i/4), t)
		p = p.Record(monday()+path.Day(i/4), "single-1", good)
	}
	return j, p
}

func titles(id string) string {
	return map[string]string{"single-1": "One hole at a time", "ladder-3d-1": "Bend ladder on 3 draw"}[id]
}

func summary() week.Summary {
	j, p := twoWeeks()
	return week.Summarise(j, p, monday()+4)
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	file := filepath.Join("testdata", name+".golden")
	if *update {
		if err := os.MkdirAll("testdata", 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, got, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil || !bytes.Equal(got, want) {
		t.Errorf("%s differs, %v:\n%s", file, err, got)
	}
}

func TestSummary(t *testing.T) {
	s := summary()
	s.Name, s.Note = "Ana", "Thursday was hard.\nThe 3 hole will not go down."
	golden(t, "words", []byte(strings.Join(s.Lines(titles), "\n")+"\n"))
	data, err := s.Encode()
	if err != nil {
		t.Fatal(err)
	}
	golden(t, "file", append(data, '\n'))
	j, _ := twoWeeks()
	golden(t, "journal", j.Encode())
	fragment, err := week.Link(s)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d bytes of file, %d of link", len(data), len(fragment))
	none := week.Summarise(week.New(phone), path.New(), monday())
	golden(t, "nothing", []byte(strings.Join(none.Lines(titles), "\n")+"\n"))
}

// Links of version 1 that are out stay readable: testdata/link-v1.txt was made when the
// version began and is not rewritten.
func TestOldLinkIsRead(t *testing.T) {
	text, err := os.ReadFile("testdata/link-v1.txt")
	if err != nil {
		t.Fatal(err)
	}
	want := summary()
	want.Name, want.Note = "Ana", "Thursday was hard.\nThe 3 hole will not go down."
	if s, err := week.FromLink("#" + strings.TrimSpace(string(text))); err != nil || !reflect.DeepEqual(s, want) {
		t.Errorf("%+v, %v, want %+v", s, err, want)
	}
}

func TestNoNameUnlessTyped(t *testing.T) {
	if s := summary(); s.Name != "" || s.Note != "" {
		t.Errorf("a name or note nobody typed: %+v", s)
	}
}

func TestVerdict(t *testing.T) {
	at := func(n int, mean, sd float64) week.Stat { return week.Stat{N: n, Mean: mean, SD: sd} }
	for _, test := range []struct {
		name string
		c    week.Change
		want week.Verdict
	}{
		{"clear", week.Change{Skill: bend(), Now: at(14, 18, 3), Before: at(12, 25, 3)}, week.Better},
		{"clear the other way", week.Change{Skill: bend(), Now: at(14, 25, 3), Before: at(12, 18, 3)}, week.Worse},
		{"within the spread", week.Change{Skill: bend(), Now: at(4, 18, 10), Before: at(4, 25, 10)}, week.Same}, // 2 SE = 14.1
		{"under what is heard", week.Change{Skill: bend(), Now: at(100, 18, 0.1), Before: at(100, 20.9, 0.1)}, week.Same},
		{"just what is heard", week.Change{Skill: bend(), Now: at(100, 18, 0.1), Before: at(100, 21.1, 0.1)}, week.Better},
		{"7 ms early for 1 late", week.Change{Skill: week.Late, Now: at(16, -7, 1), Before: at(16, 1, 1)}, week.Same},
		{"two takes", week.Change{Skill: bend(), Now: at(2, 18, 1), Before: at(12, 25, 3)}, week.Unclear},
		{"nothing before", week.Change{Skill: bend(), Now: at(20, 18, 1)}, week.Unclear},
		{"less early", week.Change{Skill: week.Late, Now: at(9, -10, 3), Before: at(9, -60, 3)}, week.Better},
		{"late as it was early", week.Change{Skill: week.Late, Now: at(9, 40, 3), Before: at(9, -40, 3)}, week.Same},
		{"next hole lower", week.Change{Skill: week.Leak, Now: at(9, -40, 3), Before: at(9, -20, 3)}, week.Better},
	} {
		if got := test.c.Verdict(); got != test.want {
			t.Errorf("%s: %v, want %v", test.name, got, test.want)
		}
	}
}

func TestWordsAreBounded(t *testing.T) {
	for name, change := range map[string]struct {
		do   func(*week.Summary)
		want error
	}{
		"long name":      {func(s *week.Summary) { s.Name = strings.Repeat("n", week.MaxName+1) }, week.ErrName},
		"two lines":      {func(s *week.Summary) { s.Name = "a\nb" }, week.ErrName},
		"not UTF-8":      {func(s *week.Summary) { s.Name = "\xff" }, week.ErrName},
		"turned around":  {func(s *week.Summary) { s.Name = "a\u202eb" }, week.ErrName},
		"long note":      {func(s *week.Summary) { s.Note = strings.Repeat("é", week.MaxNote+1) }, week.ErrNote},
		"bell":           {func(s *week.Summary) { s.Note = "\a" }, week.ErrNote},
		"blank":          {func(s *week.Summary) { s.Note = " x" }, week.ErrNote},
		"minutes":        {func(s *week.Summary) { s.Minutes[1] = 1441 }, week.ErrSummaryDamaged},
		"a Tuesday":      {func(s *week.Summary) { s.Week++ }, week.ErrSummaryDamaged},
		"another week":   {func(s *week.Summary) { s.Day += 7 }, week.ErrSummaryDamaged},
		"never measured": {func(s *week.Summary) { s.Changes = slices.Clone(s.Changes); s.Changes[0].Now = week.Stat{} }, week.ErrSummaryDamaged},
	} {
		s := summary()
		change.do(&s)
		if _, err := s.Encode(); !errors.Is(err, change.want) {
			t.Errorf("%s: %v, want %v", name, err, change.want)
		}
		if _, err := week.Link(s); !errors.Is(err, change.want) {
			t.Errorf("%s in a link: %v, want %v", name, err, change.want)
		}
	}
}

func TestSummariesRefused(t *testing.T) {
	data, err := summary().Encode()
	if err != nil {
		t.Fatal(err)
	}
	for i := range data {
		bad := bytes.Clone(data)
		bad[i] ^= 1
		if _, err := week.Decode(bad); err == nil {
			t.Fatalf("byte %d changed and not noticed", i)
		}
	}
	for name, test := range map[string]struct {
		data []byte
		want error
	}{
		"nothing":   {nil, week.ErrSummaryDamaged},
		"a journal": {week.New(phone).Encode(), week.ErrSummaryDamaged},
		"newer":     {[]byte(`{"reedwell-week":2}`), week.ErrSummaryNewer},
		"too large": {make([]byte, week.MaxSummary+1), week.ErrSummaryLarge},
	} {
		if _, err := week.Decode(test.data); !errors.Is(err, test.want) {
			t.Errorf("%s: %v, want %v", name, err, test.want)
		}
	}
}

func TestLinksRefused(t *testing.T) {
	fragment, err := week.Link(summary())
	if err != nil {
		t.Fatal(err)
	}
	if got := link.KindOf("#" + fragment); got != link.Week {
		t.Errorf("the link is of kind %v, want a week's", got)
	}
	// A letter that was changed on the way is noticed, or changes nothing that is read.
	for i := len("v=1&week="); i < len(fragment); i++ {
		bad := []byte(fragment)
		bad[i] = map[bool]byte{true: 'A', false: 'B'}[bad[i] != 'A']
		if s, err := week.FromLink(string(bad)); err == nil && !reflect.DeepEqual(s, summary()) {
			t.Fatalf("letter %d changed, and another week is read: %+v", i, s)
		}
	}
	squeeze := func(text string) string {
		var b bytes.Buffer
		w, err := flate.NewWriter(&b, flate.BestCompression)
		if err != nil {
			t.Fatal(err)
		}
		_, _ = w.Write([]byte(text))
		_ = w.Close()
		return base64.RawURLEncoding.EncodeToString(b.Bytes())
	}
	for name, test := range map[string]struct {
		fragment string
		want     error
	}{
		"nothing":    {"", nil},
		"no week":    {"v=1", link.ErrMissing},
		"newer":      {"v=2&week=x", link.ErrVersion},
		"long":       {"v=1&week=" + strings.Repeat("A", week.MaxLink), week.ErrLinkLong},
		"cut":        {fragment[:len(fragment)-9], week.ErrLinkDamaged},
		"no base64":  {"v=1&week=*", week.ErrLinkDamaged},
		"more after": {fragment + "AAAA", week.ErrLinkDamaged},
		"unknown":    {fragment + "&x=1", week.ErrLinkUnknown},
		"twice":      {fragment + "&" + fragment, link.ErrTwice},
		"bomb":       {"v=1&week=" + squeeze(strings.Repeat("{", 5_000_000)), week.ErrSummaryLarge},
		"no JSON":    {"v=1&week=" + squeeze("hello"), week.ErrSummaryDamaged},
	} {
		_, err := week.FromLink(test.fragment)
		var refused *link.Error
		if !errors.As(err, &refused) || test.want != nil && !errors.Is(err, test.want) {
			t.Errorf("%s: %v, want %v", name, err, test.want)
		}
	}
}

// The fullest summary a player can get still goes into a file; whether into a link is
// for Link to say.
func TestFullSummary(t *testing.T) {
	j, p := week.New(phone), path.New()
	for i := range 60 {
		id := strings.Repeat("x", 60) + "-" + string(rune('a'+i%26)) + string(rune('a'+i/26))
		skills := map[week.Skill]float64{}
		for h := 1; h <= 10; h++ {
			skills[week.BendOn(h, 0)], skills[week.BendOn(h, 1)] = float64(h)+0.3, float64(h)+0.7
		}
		j = j.Add(monday(), week.Take{Drill: id, Measured: skills}).Add(monday()-7, week.Take{Drill: id, Measured: skills})
		for range 5 {
			p = p.Record(monday(), id, path.Take{Graded: true, Share: 0.9, Passed: true, AtTempo: true, Tempo: 60})
		}
	}
	s := week.Summarise(j, p, monday())
	s.Note = strings.Repeat("é", week.MaxNote)
	data, err := s.Encode()
	if err != nil {
		t.Fatal(err)
	}
	_, err = week.Link(s)
	t.Logf("%d bytes of file; link: %v", len(data), err)
}

func FuzzSummary(f *testing.F) {
	data, err := summary().Encode()
	if err != nil {
		f.Fatal(err)
	}
	fragment, err := week.Link(summary())
	if err != nil {
		f.Fatal(err)
	}
	f.Add(data, fragment)
	f.Add([]byte(`{"reedwell-week":1}`), "v=1&week=AA")
	f.Fuzz(func(t *testing.T, data []byte, fragment string) {
		one, err := week.Decode(data)
		if err == nil {
			if again, err := one.Encode(); err != nil || !bytes.Equal(again, data) {
				t.Errorf("Encode(Decode(data)) is not data, %v", err)
			}
		}
		two, err := week.FromLink(fragment)
		if err == nil {
			back, err := week.Link(two)
			if err != nil {
				t.Fatal(err)
			}
			if again, err := week.FromLink(back); err != nil || !reflect.DeepEqual(again, two) {
				t.Errorf("FromLink(Link(s)) is not s, %v", err)
			}
		}
		if one.From != "" && two.From != "" {
			if _, err := week.Compare([]week.Summary{one, two, one}); err != nil {
				t.Errorf("Compare refuses what Decode took: %v", err)
			}
		}
		j := some(phone, data[:min(len(data), 240)])
		s := week.Summarise(j, path.New(), max(j.Newest(), 1000))
		file, err := s.Encode()
		if err != nil {
			t.Fatal(err)
		}
		if back, err := week.Decode(file); err != nil || !reflect.DeepEqual(back, s) {
			t.Errorf("Decode(Encode(s)) is not s, %v", err)
		}
	})
}

// student is a summary with takes of one drill.
func student(from, name string, day path.Day, takes int, passed bool) week.Summary {
	j := week.New(from)
	for range takes {
		j = j.Add(day, take(20))
	}
	s := week.Summarise(j, path.New(), day)
	s.Name = name
	if passed {
		s.Drills[0].Passed, s.Passed = true, []string{"ladder-3d-1"}
	}
	return s
}

func TestCompare(t *testing.T) {
	id := func(n int) string { return "00000000000000" + string(rune('a'+n)) + "0" }
	all := []week.Summary{
		student(id(0), "Fine", monday(), 20, true),
		student(id(1), "Stuck", monday(), 30, false),
		student(id(2), "Idle", monday(), 0, false),
		student(id(3), "Slowly stuck", monday()-7, 8, false),
		student(id(3), "Slowly stuck", monday(), 8, false),
		student(id(4), "Gone", monday()-7, 40, false),
		student(id(5), "Early", monday(), 3, false),
		student(id(5), "Early", monday(), 9, false),
		student(id(1), "Stuck", monday(), 30, false),
		student(id(0), "Fine", monday()-7, 30, false),
	}
	table, err := week.Compare(all)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, r := range table.Rows {
		names = append(names, r.Name)
	}
	if want := []string{"Idle", "Stuck", "Slowly stuck", "Early", "Fine", "Gone"}; !slices.Equal(names, want) {
		t.Errorf("rows %v, want %v", names, want)
	}
	if table.Repeated != 1 || table.Replaced != 1 || table.Last != monday() {
		t.Errorf("%d repeated, %d replaced, last %v", table.Repeated, table.Replaced, table.Last)
	}
	if r := table.Rows[2]; len(r.Stuck) != 1 || r.Stuck[0].Takes != 16 || len(r.Weeks) != 2 {
		t.Errorf("two weeks of 8 takes: %+v", r)
	}
	if r := table.Rows[3]; r.Takes != 9 {
		t.Errorf("%d takes, want those of the fuller file", r.Takes)
	}
	if r := table.Rows[4]; len(r.Stuck) != 0 || len(r.Passed) != 1 {
		t.Errorf("passed and yet stuck: %+v", r)
	}
	if r := table.Rows[5]; !r.Missing || r.Idle {
		t.Errorf("no file of this week is not an idle week: %+v", r)
	}
	all[0].Note = "One line.\nAnother."
	table, err = week.Compare(all)
	if err != nil {
		t.Fatal(err)
	}
	golden(t, "table", []byte(table.Text(titles)))
	r := rand.New(rand.NewPCG(1, 1))
	for range 20 {
		r.Shuffle(len(all), func(i, k int) { all[i], all[k] = all[k], all[i] })
		if again, err := week.Compare(all); err != nil || !reflect.DeepEqual(again, table) {
			t.Fatalf("another order gives another table, %v", err)
		}
	}
	if _, err := week.Compare(make([]week.Summary, week.MaxFiles+1)); !errors.Is(err, week.ErrFiles) {
		t.Errorf("too many: %v", err)
	}
	if _, err := week.Compare([]week.Summary{{}}); !errors.Is(err, week.ErrSummaryDamaged) {
		t.Errorf("an empty summary: %v", err)
	}
	if empty, err := week.Compare(nil); err != nil || len(empty.Rows) != 0 {
		t.Errorf("nothing: %+v, %v", empty, err)
	}
}

func TestImproved(t *testing.T) {
	table, err := week.Compare([]week.Summary{summary()})
	if err != nil {
		t.Fatal(err)
	}
	r := table.Rows[0]
	if len(r.Improved) != 1 || r.Improved[0].Skill != bend() || len(r.Stuck) != 1 || r.Stuck[0].Drill != "ladder-3d-1" {
		t.Errorf("%+v, want a better bend and a stuck ladder", r)
	}
}
