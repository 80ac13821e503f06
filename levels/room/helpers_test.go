package room

import (
	"math"
	"testing"

	"reedwell/audio/listen"
	"reedwell/audio/synth"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/player"
)

const rate = 48000

// setting is a form on a harp; feel as it is written in a lesson.
func setting(t testing.TB, key, form, feel string, tempo float64, choruses int) Setting {
	t.Helper()
	k, err := harp.ParseKey(key)
	if err != nil {
		t.Fatal(err)
	}
	f, err := FormNamed(form)
	if err != nil {
		t.Fatal(err)
	}
	l, err := FeelNamed(feel)
	if err != nil {
		t.Fatal(err)
	}
	s := Setting{Harp: harp.New(k), Position: 2, Form: f, Feel: l, Tempo: tempo, Choruses: choruses}
	if err := s.Validate(); err != nil {
		t.Fatal(err)
	}
	return s
}

// A told is a note that is played: on a written place of the form, in ticks, so many ticks long.
type told struct {
	at, length lesson.Ticks
	tab        string
	flat       float64 // cents
}

// asked is the setting's drill with these notes to play.
func asked(t testing.TB, s Setting, notes []told) drill.Drill {
	t.Helper()
	d := s.Drill()
	for _, n := range notes {
		note, err := harp.ParseNote(n.tab)
		if err != nil {
			t.Fatal(err)
		}
		hz, err := s.Harp.Hz(note)
		if err != nil {
			t.Fatal(err)
		}
		from, to := s.Feel.Beat(n.at), s.Feel.Beat(n.at+n.length)
		d.Targets = append(d.Targets, drill.Target{Beat: from, Beats: to - from, Start: d.Time(from), End: d.Time(to), Note: note, Hz: hz * math.Exp2(-n.flat/1200)})
	}
	return d
}

// played sounds notes with faults by the project's own voice.
func played(t testing.TB, s Setting, notes []told, f player.Faults) []float32 {
	t.Helper()
	d := asked(t, s, notes)
	return synth.Render(rate, d.Seconds, player.Notes(d, f), f.Seed+1)
}

// looked is the report on a sound.
func looked(t testing.TB, s Setting, x []float32) (Report, error) {
	t.Helper()
	take, err := listen.Hear(s.Listen(rate), x)
	if err != nil {
		t.Fatal(err)
	}
	return Look(take, s)
}

const (
	q = lesson.Beat
	e = lesson.Beat / 2
	b = lesson.Bar
)

// stroll is a chorus of our own over any twelve bars in second position: notes of every relation, on and off the
// beat, with rests.
func stroll() []told {
	var all []told
	phrase := func(bar int) {
		at := lesson.Ticks(bar) * b
		all = append(all, told{at, q, "-2", 0}, told{at + q, e, "-3'", 0}, told{at + q + e, e, "-3", 0}, told{at + 2*q, q, "-4", 0})
	}
	phrase(0)
	all = append(all, told{2 * b, q, "+4", 0}, told{2*b + q + e, e, "-4", 0}, told{2*b + 2*q, 2 * q, "-2", 0})
	phrase(4)
	all = append(all, told{6 * b, q, "+3", 0}, told{6*b + q + e, e, "-4'", 0}, told{6*b + 2*q, q, "+4", 0},
		told{8 * b, q, "-4", 0}, told{8*b + q + e, e, "-5", 0}, told{8*b + 2*q, q, "-4", 0},
		told{9 * b, q, "+4", 0}, told{9*b + q + e, e, "-3", 0}, told{9*b + 2*q, q, "-2", 0},
		told{10 * b, 2 * q, "-2", 0}, told{11*b + 2*q, q, "-1", 0})
	return all
}
