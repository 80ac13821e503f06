package session

import (
	progress "reedwell/levels/path"
)

// A try is how the last two takes of a lick went, for the tempo of the next. It is not kept from
// one day to the next: a lick that went badly yesterday is begun as the teacher wrote it.
type try struct {
	key          string
	before, last progress.Take
}

// tried takes note of a take of a lick.
func (s *stepper) tried(t *Take) {
	key := s.lickKey()
	if key == "" || s.part.only() || t.Result.Problem != "" || !t.Counted {
		return
	}
	if s.try.key != key {
		s.try = try{key: key}
	}
	s.try.before, s.try.last = s.try.last, progress.FromResult(t.Result, t.Drill.Tempo, s.target, false)
}

// advised is the tempo to try next in quarter notes a minute, and whether it is slower (-1) or
// quicker (1) than the last; 0 for no other. It is a suggestion: every tempo can be chosen.
func (s *stepper) advised() (tempo float64, change int) {
	if s.lick == noLick {
		e := s.entry(s.drill.ID)
		return e.Advised, e.Change
	}
	if s.try.key != s.lickKey() {
		return 0, 0
	}
	return progress.Advise(s.try.before, s.try.last, s.target)
}
