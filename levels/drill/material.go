package drill

import (
	"fmt"
	"strings"

	"reedwell/levels/harp"
)

// A sketch is a drill before key and tempo: our own material.
type sketch struct {
	id     string
	family Family
	level  int
	grade  Grade
	title  string
	words  string
	tempo  float64 // quarters a minute
	pickup float64 // beats before bar 1
	text   string  // see steps
	chords bool    // two-bar turnaround backing
}

// holeName is how a hole is called in a ladder's id: "4d".
func holeName(hole int, b harp.Breath) string {
	return fmt.Sprintf("%d%s", hole, b.String()[:1])
}

// LadderHoles returns the holes that bend, in the order they are learnt: the draw
// bends that come easily first, the blow bends last. Common practice, no source.
func LadderHoles() []int { return []int{4, 1, 6, 3, 2, 8, 9, 10} }

// sketches returns all material, family by family, easiest first.
func sketches() []sketch {
	var all []sketch
	all = append(all, singles()...)
	for _, hole := range LadderHoles() {
		all = append(all, ladder(hole)...)
	}
	all = append(all, warbles()...)
	return append(all, turnarounds()...)
}

func singles() []sketch {
	return []sketch{
		{id: "single-1", grade: Beginner, tempo: 60, title: "Two holes, held",
			words: "Play 4 blow and 4 draw, four beats each. Pucker so that one hole sounds and breathe as if through a straw.",
			text:  "+4:4 r:2 -4:4 r:2 | +4:4 r:2 -4:4 r:2"},
		{id: "single-2", grade: Beginner, tempo: 66, title: "Blow up and down",
			words: "One blow note at a time from hole 3 to hole 6 and back. Move the harp, not your head.",
			text:  "+3:3 r:1 +4:3 r:1 +5:3 r:1 +6:3 r:1 | +5:3 r:1 +4:3 r:1 +3:3 r:1"},
		{id: "single-3", grade: Beginner, tempo: 66, title: "Draw notes, low holes",
			words: "Draw holes 1 to 5. 2 and 3 draw want an open throat: if the note sinks, relax the tongue.",
			text:  "-1:3 r:1 -2:3 r:1 -3:3 r:1 -4:3 r:1 | -5:3 r:1 -4:3 r:1 -3:3 r:1 -2:3 r:1"},
		{id: "single-4", grade: Steady, tempo: 72, title: "Neighbours in one breath",
			words: "Slide from hole to hole without stopping the breath, and let no two holes sound together.",
			text:  "-3:2 _-4:2 _-5:2 _-4:2 r:2 | +4:2 _+5:2 _+6:2 _+5:2 _+4:2 r:2"},
		{id: "single-5", grade: Steady, tempo: 76, title: "Leaps",
			words: "Jump over holes and land on one. Hear the note before you move.",
			text:  "-1:2 r:1 -4:2 r:1 -2:2 r:1 -5:2 r:1 | +3:2 r:1 +6:2 r:1 +4:2 r:1 +1:2 r:1"},
		{id: "single-6", grade: Strong, tempo: 84, title: "The whole harp",
			words: "Low holes, high holes, blow and draw. Less air up high.",
			text:  "-2:1 r:1 +6:1 r:1 -8:1 r:1 +9:1 r:1 | +7:1 r:1 -6:1 r:1 -3:1 r:1 +1:1 r:1 | +8:1 r:1 -9:1 r:1 -4:1 r:1 -2:1 r:1"},
	}
}

// ladder returns the levels for one hole. r1 is the half step, r2 the whole step ...
func ladder(hole int) []sketch {
	breath, rungs := harp.Bends(hole)
	natural := harp.Note{Hole: hole, Breath: breath}
	rung := func(n int) string { m := natural; m.Bend = n; return m.Tab() }
	name := natural.Words()

	// Down through the rungs and back, gliding.
	var down, back []string
	for r := 1; r <= rungs; r++ {
		down = append(down, "~"+rung(r)+":2")
	}
	for r := rungs - 1; r >= 0; r-- {
		back = append(back, "~"+rung(r)+":2")
	}
	third := natural.Tab() + ":2 " + strings.Join(down, " ") + " ~" + natural.Tab() + ":2 r:2"
	thirdTitle, thirdWords := "Light, then deeper",
		"Stop at the half step first, lightly. Only then go deeper. The first rung must not be too deep already."
	if rungs == 1 {
		third = natural.Tab() + ":1 ~" + rung(1) + ":3 ~" + natural.Tab() + ":1 ~" + rung(1) + ":3 r:2"
		thirdTitle, thirdWords = "Half step, held", "Hold the half step for three beats, let go, and find the same place again."
	}
	fourth := natural.Tab() + ":2 " + strings.Join(append(down, back...), " ") + " r:2"

	// Every rung by itself, deepest and lightest in turn.
	var jumps []string
	for _, r := range [][]int{{0, 1, 0, 1, 1, 0}, {0, 2, 1, 2, 0, 1}, {1, 3, 2, 0, 3, 1}}[rungs-1] {
		jumps = append(jumps, rung(r)+":2 r:1")
	}
	made := []sketch{
		{grade: Beginner, tempo: 60, title: "Glide and land",
			words: "From " + name + " glide down to the half step, stay there, and let it rise again in the same breath.",
			text:  strings.Repeat(natural.Tab()+":2 ~"+rung(1)+":3 ~"+natural.Tab()+":2 r:1 ", 2)},
		{grade: Beginner, tempo: 60, title: "Straight to the half step",
			words: "Start on the half step itself: shape the mouth first, then breathe.",
			text:  strings.Repeat(rung(1)+":3 r:1 "+natural.Tab()+":2 r:2 ", 2)},
		{grade: Beginner, tempo: 60, title: thirdTitle, words: thirdWords, text: third + " " + third},
		{grade: Steady, tempo: 66, title: "Down the ladder and back", text: fourth,
			words: "Each rung for two beats, down and up again, in one breath if you can."},
		{grade: Strong, tempo: 72, title: "Any rung, any order", text: strings.Join(jumps, " "),
			words: "Tongue each note and have it in tune at once."},
	}
	for i := range made {
		made[i].title = name + ": " + strings.ToLower(made[i].title[:1]) + made[i].title[1:]
		made[i].id = fmt.Sprintf("ladder-%s-%d", holeName(hole, breath), i+1)
		made[i].family, made[i].level = Ladder, i+1
	}
	return made
}

// warble writes two holes in alternation: for each part, notes in a beat and beats.
func warble(a, b string, parts ...[2]int) string {
	var text []string
	n := 0
	for _, p := range parts {
		for range p[0] * p[1] {
			tab := [2]string{a, b}[n%2]
			if n > 0 {
				tab = "_" + tab
			}
			text = append(text, fmt.Sprintf("%s:1/%d", tab, p[0]))
			n++
		}
	}
	return strings.Join(text, " ")
}

func warbles() []sketch {
	return []sketch{
		{id: "warble-1", grade: Beginner, tempo: 60, title: "4 and 5 draw, slowly",
			words: "Rock between 4 and 5 draw in one breath, two to the beat, then three. Both holes the same length.",
			text:  warble("-4", "-5", [2]int{2, 4}, [2]int{3, 4})},
		{id: "warble-2", grade: Beginner, tempo: 66, title: "3 and 4 draw",
			words: "The same one hole lower. Keep the breath steady and let the hands or the head do the moving.",
			text:  warble("-3", "-4", [2]int{2, 4}, [2]int{3, 4})},
		{id: "warble-3", grade: Beginner, tempo: 60, title: "Slow to quick",
			words: "Two, three, four to the beat. If it gets ragged, it is too fast: even comes before quick.",
			text:  warble("-4", "-5", [2]int{2, 4}, [2]int{3, 4}, [2]int{4, 4})},
		{id: "warble-4", grade: Steady, tempo: 66, title: "Blow warble",
			words: "5 and 6 blow, three, four, six to the beat.",
			text:  warble("+5", "+6", [2]int{3, 4}, [2]int{4, 4}, [2]int{6, 4})},
		{id: "warble-5", grade: Steady, tempo: 72, title: "Full warble",
			words: "Three, four, six to the beat on 4 and 5 draw, speeding up without a bump.",
			text:  warble("-4", "-5", [2]int{3, 4}, [2]int{4, 4}, [2]int{6, 4})},
		{id: "warble-6", grade: Strong, tempo: 84, title: "Quick and even",
			words: "Four, six, eight to the beat. Relax the jaw; stop if it aches.",
			text:  warble("-4", "-5", [2]int{4, 4}, [2]int{6, 4}, [2]int{8, 4})},
	}
}

func turnarounds() []sketch {
	return []sketch{
		{id: "turnaround-1", grade: Beginner, tempo: 60, title: "Walk home",
			words: "Bars eleven and twelve in plain beats, then land on the root. Start each note on the click.",
			text:  "-3:1 -4:1 +4:2 | -2:2 -1:2 | -2:3"},
		{id: "turnaround-2", grade: Beginner, tempo: 66, title: "Pickup and repeats", pickup: 1,
			words: "One note before the bar. Say ta for each repeat on 4 draw, do not hold it through.",
			text:  "-4:1 | -4:1 -4:1 +4:1 +4:1 | -2:1 -2:1 -1:2 | -2:3"},
		{id: "turnaround-3", grade: Beginner, tempo: 60, title: "First triplets",
			words: "Three even notes to the beat where they are written, then hold.",
			text:  "-4:1/3 -5:1/3 -4:1/3 +4:1 -3:1/3 +4:1/3 -3:1/3 -2:1 | -2:1/3 -2:1/3 -2:1/3 -3:1 -1:2 | -2:3"},
		{id: "turnaround-4", grade: Steady, tempo: 66, title: "Triplet pickup", pickup: 1,
			words: "Two triplet notes lead in. Long notes last to their end.",
			text:  "r:1/3 -3:1/3 +4:1/3 | -4:2 +4:1 -5:1/3 -4:1/3 +4:1/3 | -3:1 -2:1/3 -2:1/3 -2:1/3 -1:2 | -2:3"},
		{id: "turnaround-5", grade: Steady, tempo: 72, title: "With the blue third", pickup: 1,
			words: "The half step on 3 draw belongs to the tune. Keep the repeats apart.",
			text:  "r:1/3 -2:1/3 -3':1/3 | +4:1 -4:1/3 +4:1/3 -3':1/3 -2:1 +4:1 | -3:1/3 -2:1/3 -2':1/3 -2:1 -1:1/3 -1:1/3 -1:1/3 -1:1 | -2:3"},
		{id: "turnaround-6", grade: Strong, tempo: 84, title: "All of it", pickup: 1,
			words: "Pickup, triplets, bends and repeats. The last note lands with the band.",
			text:  "-4:1/3 -5:1/3 +6:1/3 | -5:1/3 -4:1/3 +4:1/3 -4':1 +4:1/3 -3':1/3 -2:1/3 +4:1 | -3:1/3 +4:1/3 -3:1/3 -2:1/3 -2'':1/3 -2:1/3 -1:1/3 -1:1/3 -1:1/3 -1:1 | -2:3"},
	}
}
