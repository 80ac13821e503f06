package lesson

import (
	"fmt"
	"slices"
)

// Severity says what a problem means for the lesson.
type Severity int

// The severities.
const (
	Error  Severity = iota // the lesson cannot be used until it is put right
	Remark                 // worth a look; the lesson works
)

// String returns "error" or "remark".
func (s Severity) String() string { return [...]string{"error", "remark"}[s] }

// A Problem is something in a lesson that a teacher should see.
type Problem struct {
	Place // the zero Place: the lesson was not read from a text
	Severity
	Got  string // what was read
	Want string // what would be right
}

// String is the problem in one line: "line 7, column 12: -5'; right is -5: hole 5 has no
// half-step bend", and for a remark "line 7, column 12: remark: ...; perhaps ...".
func (p Problem) String() string {
	text := p.Got + "; right is " + p.Want
	if p.Severity == Remark {
		text = "remark: " + p.Got + "; perhaps " + p.Want
	}
	if p.Line == 0 {
		return text
	}
	return fmt.Sprintf("line %d, column %d: %s", p.Line, p.Column, text)
}

// Failed reports whether an Error is among the problems.
func Failed(problems []Problem) bool {
	return slices.ContainsFunc(problems, func(p Problem) bool { return p.Severity == Error })
}
