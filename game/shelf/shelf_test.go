package shelf_test

import (
	"errors"
	"reflect"
	"strings"
	"testing"

	"reedwell/game/shelf"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/lesson/lessontest"
	"reedwell/testdata/lessons"
)

func keep(t testing.TB, s shelf.Shelf, id, text string) (shelf.Shelf, string) {
	t.Helper()
	s, id, err := s.Keep(id, text)
	if err != nil {
		t.Fatal(err)
	}
	return s, id
}

func TestKeep(t *testing.T) {
	s, a := keep(t, shelf.Shelf{}, "", "title: one")
	s, b := keep(t, s, "", "title: two")
	if again, id := keep(t, s, "", "title: one"); id != a || len(again.Lessons) != 2 {
		t.Errorf("the same text again is lesson %q of %d, want %q of 2", id, len(again.Lessons), a)
	}
	changed, id := keep(t, s, a, "title: one, changed")
	if k, _ := changed.Find(a); id != a || k.Text != "title: one, changed" || len(changed.Lessons) != 2 {
		t.Errorf("changed: %q, %+v", id, changed)
	}
	// The first text once more is another lesson now.
	third, c := keep(t, changed, "", "title: one")
	if c == a || c == b || len(third.Lessons) != 3 {
		t.Errorf("after the change the first text is lesson %q, want a third beside %q and %q", c, a, b)
	}
	if k, _ := s.Find(a); k.Text != "title: one" {
		t.Error("Keep changed the shelf it was called on")
	}
	if s = s.Drop(a); len(s.Lessons) != 1 || s.Lessons[0].ID != b {
		t.Errorf("after dropping: %+v", s)
	}
	for i := 0; ; i++ {
		next, _, err := s.Keep("", strings.Repeat("x", i+1))
		if err != nil {
			if !errors.Is(err, shelf.ErrFull) || len(s.Lessons) != shelf.MaxLessons {
				t.Errorf("with %d lessons: %v", len(s.Lessons), err)
			}
			break
		}
		s = next
	}
}

// What was played stays with the lick whatever it is called and on whatever harp it is
// played, and leaves it when its notes, tempo or feel become others.
func TestLickKey(t *testing.T) {
	l := lessontest.Demo(t, "shoes")
	same := lessontest.Demo(t, "shoes")
	same.Title, same.Words, same.Licks[1].Title, same.Licks[1].Words = "Other", "other", "Other", ""
	same = lesson.Transpose(same, harp.Keys()[3])
	if shelf.LickKey(same, 1) != shelf.LickKey(l, 1) || shelf.ChorusKey(same) != shelf.ChorusKey(l) {
		t.Error("another title and key make another lick")
	}
	seen := map[string]bool{shelf.ChorusKey(l): true}
	for i := range l.Licks {
		seen[shelf.LickKey(l, i)] = true
	}
	quick, err := lesson.WithTempo(l, l.Tempo+1)
	if err != nil {
		t.Fatal(err)
	}
	seen[shelf.LickKey(quick, 1)] = true
	other := lessontest.Demo(t, "shoes")
	other.Licks[1].Notes[0].Holes = []harp.Note{{Hole: 4}}
	seen[shelf.LickKey(other, 1)] = true
	if want := len(l.Licks) + 3; len(seen) != want {
		t.Errorf("%d names for %d things", len(seen), want)
	}
}

func TestPlayed(t *testing.T) {
	var s shelf.Shelf
	for _, m := range []shelf.Mark{{0.5, 60, false}, {0.85, 60, true}, {0.9, 90, false}, {0.8, 75, true}, {1, 70, true}} {
		s = s.Played("k", m)
	}
	if r := s.Licks["k"]; r.Takes != 5 || r.Best != (shelf.Mark{0.8, 75, true}) || r.Last != (shelf.Mark{1, 70, true}) {
		t.Errorf("record %+v, want the good take at 75 as the best", r)
	}
}

// Two windows: what the other one kept and played is taken in, what this one dropped is not.
func TestJoin(t *testing.T) {
	s, a := keep(t, shelf.Shelf{}, "", "one")
	other, b := keep(t, s, "", "two")
	other = other.Played("k", shelf.Mark{0.9, 60, true})
	mine := s.Drop(a)
	got := mine.Join(other, []string{a})
	if len(got.Lessons) != 1 || got.Lessons[0].ID != b || got.Licks["k"].Takes != 1 {
		t.Errorf("joined: %+v", got)
	}
}

func sample(t testing.TB) shelf.Shelf {
	s, _ := keep(t, shelf.Shelf{}, "", lessons.Text("kettle"))
	s, _ = keep(t, s, "", "not \"whole\" yet é")
	return s.Played("k", shelf.Mark{0.5, 60, false}).Played("l", shelf.Mark{1, 72.5, true})
}

func TestDecodeRefuses(t *testing.T) {
	good := string(sample(t).Encode())
	for _, c := range []struct {
		name, data string
		want       error
	}{
		{"nothing", "", shelf.ErrDamaged},
		{"another file", `{"reedwell-progress":1}`, shelf.ErrDamaged},
		{"a version to come", `{"reedwell-lessons":2,"x":1}`, shelf.ErrNewer},
		{"a letter changed", strings.Replace(good, "Kettle", "Settle", 1), shelf.ErrDamaged},
		{"cut short", good[:len(good)/2], shelf.ErrDamaged},
		{"blanks", good + "\n", shelf.ErrDamaged},
		{"too large", strings.Repeat(" ", shelf.MaxBytes+1), shelf.ErrDamaged},
	} {
		if _, err := shelf.Decode([]byte(c.data)); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
}

// Law: what is read is written as the same bytes.
func FuzzDecode(f *testing.F) {
	f.Add(sample(f).Encode())
	f.Add(shelf.Shelf{}.Encode())
	f.Add([]byte(`{"reedwell-lessons":1,"sha256":"","lessons":[{"id":"a","text":""}],"licks":{}}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := shelf.Decode(data)
		if err != nil {
			return
		}
		if string(s.Encode()) != string(data) {
			t.Errorf("%q is written as %q", data, s.Encode())
		}
	})
}

func TestRoundTrip(t *testing.T) {
	s := sample(t)
	back, err := shelf.Decode(s.Encode())
	if err != nil || !reflect.DeepEqual(back, s) {
		t.Errorf("%+v, %v, want %+v", back, err, s)
	}
}
