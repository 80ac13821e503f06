package lesson_test

import (
	"os"
	"reflect"
	"strings"
	"testing"

	"reedwell/levels/lesson"
)

// The examples in FORMAT.md are lessons.
func TestFormatExamples(t *testing.T) {
	b, err := os.ReadFile("FORMAT.md")
	if err != nil {
		t.Fatal(err)
	}
	parts := strings.Split(string(b), "```lesson\n")
	if len(parts) != 4 {
		t.Fatalf("%d examples, want 3", len(parts)-1)
	}
	for _, part := range parts[1:] {
		text, _, _ := strings.Cut(part, "```")
		l, problems := lesson.Parse(text)
		if len(problems) > 0 {
			t.Errorf("%v in\n%s", problems, text)
			continue
		}
		if _, err := l.Chorus(lesson.Play{}); err != nil {
			t.Errorf("%v in\n%s", err, text)
		}
		if again, problems := lesson.Parse(lesson.Format(l)); len(problems) > 0 || !reflect.DeepEqual(placeless(again), placeless(l)) {
			t.Errorf("%v in\n%s", problems, lesson.Format(l))
		}
	}
}
