package synth_test

import (
	"fmt"

	"reedwell/audio/synth"
)

// A 3 draw of a C harp, bent by a half step and let go, with some 2 draw leaking in.
func ExampleRender() {
	const b4, bent, g4 = 493.88, 466.16, 392.00
	note := synth.Note{
		Start: 0.5, End: 2.5,
		Hz:    []synth.Point{{At: 1.0, Value: b4}, {At: 1.3, Value: bent}, {At: 1.9, Value: bent}, {At: 2.0, Value: b4}},
		Leaks: []synth.Leak{{Hz: g4, Level: 25}},
	}
	sound := synth.Render(48000, 3, []synth.Note{note}, 1)
	fmt.Println(len(sound), "samples, peak under full scale:", synth.Peak(sound) < 0)
	// Output: 144000 samples, peak under full scale: true
}
