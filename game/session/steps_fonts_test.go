//go:build !js

package session

import (
	"slices"
	"testing"

	"reedwell/audio/audiotest"
	"reedwell/audio/listen"
	"reedwell/levels/drill"
	"reedwell/levels/grade"
	"reedwell/levels/harp"
)

// Drills played on the sampled harmonicas of audiotest, reeds that nobody here made, are gone
// through to their end, each note where it is played; with one hole taken for its neighbour it
// stops there.
func TestStepsOnSampledHarmonicas(t *testing.T) {
	const apart, length = 1.0, 0.6 // seconds from note to note, and of a note
	for _, font := range audiotest.Fonts() {
		for _, id := range []string{"single-2", "turnaround-1"} {
			d, err := drill.Build(drill.Spec{ID: id})
			if err != nil {
				t.Fatal(err)
			}
			if slices.ContainsFunc(d.Targets, func(g drill.Target) bool { return g.Note.Bend > 0 || g.Note.Over }) {
				t.Fatalf("%s has bends: the samples have none of their own", id)
			}
			for _, wrong := range []int{-1, 2} {
				var notes []audiotest.Played
				for i, g := range d.Targets {
					n := g.Note
					if i == wrong {
						n = harp.Note{Hole: n.Hole + 1, Breath: n.Breath}
					}
					at := 0.5 + float64(i)*apart
					notes = append(notes, audiotest.Played{Start: at, End: at + length, Key: d.Harp.MIDI(n)})
				}
				take, err := listen.Hear(grade.Ear(drill.Drill{Harp: d.Harp}, 48000), audiotest.Play(t, font, notes))
				if err != nil {
					t.Fatal(err)
				}
				w := newWalker(d)
				off := 0
				for _, f := range take.Frames {
					w.hear(d, 48000, f)
				}
				for _, o := range w.off {
					if o {
						off++
					}
				}
				if wrong < 0 && (!w.done() || off > 0) || wrong >= 0 && (w.done() || !w.off[wrong]) {
					t.Errorf("%s, %s, wrong %d: %d of %d notes found, %d not at once; said %q", font, id, wrong, w.at, len(d.Targets), off, w.said)
				}
			}
		}
	}
}
