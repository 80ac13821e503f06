// Package lessontest gives tests the demo lessons.
package lessontest

import (
	"slices"
	"testing"

	"reedwell/levels/lesson"
	"reedwell/testdata/lessons"
)

// Demos are the demo lessons by the names of their files.
func Demos(t testing.TB) []lesson.Lesson {
	t.Helper()
	var all []lesson.Lesson
	for _, name := range slices.Sorted(slices.Values(lessons.Names())) {
		all = append(all, Demo(t, name))
	}
	return all
}

// Demo is the demo lesson of a name.
func Demo(t testing.TB, name string) lesson.Lesson {
	t.Helper()
	l, problems := lesson.Parse(lessons.Text(name))
	if lesson.Failed(problems) {
		t.Fatalf("%s: %v", name, problems)
	}
	return l
}
