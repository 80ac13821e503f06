package harp_test

import (
	"fmt"

	"reedwell/levels/harp"
)

// A player on an A harp tuned to 442 Hz tries the half step on 4 draw and stays a
// little high.
func Example() {
	key, err := harp.ParseKey("A")
	if err != nil {
		fmt.Println(err)
		return
	}
	h := harp.Harp{Key: key, Tuning: harp.Compromise, A4: 442}

	asked, _ := harp.ParseNote("-4'")
	hz, _ := h.Hz(asked)
	fmt.Printf("%s: %.1f Hz\n", asked.Words(), hz)

	s, _ := h.Locate(475, []harp.Note{asked})
	fmt.Printf("heard %s, %+.0f cents from it, %.0f under the reed\n", s.Note.Words(), s.Cents, s.Depth)
	fmt.Printf("2nd position on the %s harp: a song in %s\n", h.Key, h.Key.Song(2))
	// Output:
	// 4 draw, half step bend: 468.8 Hz
	// heard 4 draw, half step bend, +23 cents from it, 77 under the reed
	// 2nd position on the A harp: a song in E
}

// 2 draw and 3 blow sound the same note; what is expected decides.
func ExampleHarp_Locate() {
	h := harp.New(harp.Key{}) // C
	for _, expect := range [][]harp.Note{nil, {{Hole: 3, Breath: harp.Blow}}} {
		s, _ := h.Locate(392, expect)
		fmt.Println(s.Note.Tab())
	}
	// Output:
	// -2
	// +3
}
