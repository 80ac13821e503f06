package lesson_test

import (
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"reedwell/levels/lesson"
)

// demos reads the demo lessons by name.
func demos(t testing.TB) map[string]string {
	t.Helper()
	files, err := filepath.Glob("../../testdata/lessons/*.txt")
	if err != nil || len(files) != 3 {
		t.Fatalf("demo lessons %v, %v, want three", files, err)
	}
	all := map[string]string{}
	for _, f := range files {
		b, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		all[filepath.Base(f)] = string(b)
	}
	return all
}

// The demo lessons have nothing to be said against them, and can be played.
func TestDemos(t *testing.T) {
	for name, text := range demos(t) {
		l, problems := lesson.Parse(text)
		for _, p := range problems {
			t.Errorf("%s: %v", name, p)
		}
		if n := len(l.Licks); n < 4 || n > 6 {
			t.Errorf("%s: %d licks, want 4 to 6", name, n)
		}
		for i := range l.Licks {
			if _, err := l.Drill(i, lesson.Play{}); err != nil {
				t.Errorf("%s: %v", name, err)
			}
		}
		if _, err := l.Chorus(lesson.Play{}); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		again, problems := lesson.Parse(lesson.Format(l))
		if len(problems) > 0 || !reflect.DeepEqual(placeless(again), placeless(l)) {
			t.Errorf("%s: formatted it is another lesson: %v\n%s", name, problems, lesson.Format(l))
		}
	}
}

// placeless is a lesson without the places of its notes, for comparing.
func placeless(l lesson.Lesson) lesson.Lesson {
	licks := append([]lesson.Lick(nil), l.Licks...)
	for i := range licks {
		notes := append([]lesson.Note(nil), licks[i].Notes...)
		for j := range notes {
			notes[j].At = lesson.Place{}
		}
		licks[i].Notes = notes
	}
	l.Licks = licks
	return l
}
