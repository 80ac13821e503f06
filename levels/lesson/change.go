package lesson

import (
	"fmt"

	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// Transpose is the lesson for a harp of another key: the tab stays, and all else follows
// from it, also the teacher's own chords.
func Transpose(l Lesson, k harp.Key) Lesson {
	l.Key = k
	return l
}

// WithTempo is the lesson at another tempo, in beats a minute.
func WithTempo(l Lesson, tempo float64) (Lesson, error) {
	if !(tempo >= drill.MinTempo && tempo <= drill.MaxTempo) {
		return Lesson{}, fmt.Errorf("lesson %q: tempo %g: %w", l.Title, tempo, drill.ErrTempo)
	}
	l.Tempo = tempo
	return l, nil
}

// Only is the lesson with lick i, from 0, alone.
func Only(l Lesson, i int) (Lesson, error) {
	if i < 0 || i >= len(l.Licks) {
		return Lesson{}, fmt.Errorf("lesson %q: there is no lick %d", l.Title, i+1)
	}
	l.Licks = []Lick{l.Licks[i]}
	return l, nil
}
