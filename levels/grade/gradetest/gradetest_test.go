package gradetest

import (
	"testing"

	"reedwell/levels/grade"
)

func TestBetween(t *testing.T) {
	mark := func(target int, q grade.Quantity, heard float64, v grade.Verdict) grade.Mark {
		return grade.Mark{Target: target, Quantity: q, Heard: heard, Verdict: v}
	}
	a := grade.Result{Passed: true, Marks: []grade.Mark{mark(0, grade.Pitch, 3, grade.Good), mark(0, grade.Start, 0.010, grade.Good), mark(1, grade.Pitch, 0, grade.Good)}}
	if d := Between(a, a); d != (Distance{}) || !d.Near() {
		t.Errorf("the same: %v", d)
	}
	b := grade.Result{Marks: []grade.Mark{mark(0, grade.Pitch, -1, grade.Good), mark(0, grade.Start, -0.010, grade.Good), mark(1, grade.Pitch, 0, grade.Unheard), mark(-1, grade.Extra, 1, grade.Off)}}
	if d, want := Between(a, b), (Distance{Cents: 4, MS: 20, Verdicts: 2, Outcome: true}); d != want || d.Near() {
		t.Errorf("got %v, want %v", d, want)
	}
}
