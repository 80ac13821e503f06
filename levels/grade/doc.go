// Package grade compares what was heard with what was asked: one mark for each measured
// quantity, with the number, its unit, a verdict and one instruction, and a summary of
// at most three things to work on.
//
// Heard notes are matched to asked ones one to one and in order, at the least total
// cost of distance in time and pitch; what is left over counts as missing or extra. A
// constant lateness and scatter are told apart. The windows are the drill's.
//
// What sounded beside the player, and what was too loud for the microphone, is not judged where it could be told as a fault; nor
// is a take better for either.
//
// Grading is pure: the same take gives the same marks on every platform.
package grade

import (
	"reedwell/audio/listen"
	"reedwell/levels/drill"
)

// Ear returns how to listen for a drill: the harp's range and the holes beside each.
func Ear(d drill.Drill, rate int) listen.Config {
	c := listen.Config{Rate: rate}
	for _, s := range d.Harp.Spans() {
		c.Spans = append(c.Spans, listen.Span(s))
	}
	return c
}
