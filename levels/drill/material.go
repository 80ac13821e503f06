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
	call   float64 // beats of a phrase: each is sounded first, and asked after that; 0 none is
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
	all = append(all, longs()...)
	all = append(all, repeats()...)
	for _, hole := range LadderHoles() {
		all = append(all, ladder(hole)...)
	}
	all = append(all, scoops()...)
	all = append(all, blues()...)
	all = append(all, octaves()...)
	all = append(all, vibratos()...)
	all = append(all, wahs()...)
	all = append(all, warbles()...)
	all = append(all, aims()...)
	all = append(all, answers()...)
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

func longs() []sketch {
	return []sketch{
		{id: "long-1", grade: Beginner, tempo: 66, title: "Six beats",
			words: "4 draw and 4 blow, six beats each in one breath. Start it and leave it alone.",
			text:  "-4:6 r:2 | +4:6 r:2 | -4:6 r:2"},
		{id: "long-2", grade: Beginner, tempo: 66, title: "Eight beats",
			words: "Two whole bars on one breath. Begin with less air than you think: it has to last.",
			text:  "-4:8 r:4 | +5:8 r:4 | -3:8 r:4"},
		{id: "long-3", grade: Beginner, tempo: 60, title: "Low draw notes",
			words: "1, 2 and 3 draw, eight beats. The low reeds take more air; keep the throat open so that they do not sink.",
			text:  "-1:8 r:4 | -2:8 r:4 | -3:8 r:4"},
		{id: "long-4", grade: Steady, tempo: 60, title: "The root and its octaves",
			words: "2 draw, 6 blow and 1 blow, eight beats each, as loud at the end as at the start.",
			text:  "-2:8 r:4 | +6:8 r:4 | +1:8 r:4"},
		{id: "long-5", grade: Steady, tempo: 60, title: "High and light",
			words: "8 draw, 7 blow and 9 draw. High reeds want little air: too much chokes them.",
			text:  "-8:8 r:4 | +7:8 r:4 | -9:8 r:4"},
		{id: "long-6", grade: Strong, tempo: 60, title: "Three bars",
			words: "Twelve beats in one breath on 2 draw and 4 draw. Stop if you get dizzy, and breathe as usual for a while.",
			text:  "-2:12 r:4 | -4:12 r:4"},
	}
}

// again writes one note tongued n times in each of so many beats, and held for a beat.
func again(tab string, n, beats int) string {
	return strings.Repeat(fmt.Sprintf("%s:1/%d ", tab, n), n*beats) + tab + ":1"
}

func repeats() []sketch {
	return []sketch{
		{id: "repeats-1", grade: Beginner, tempo: 66, title: "One to the beat",
			words: "4 draw on every beat, then 4 blow. Say ta for each; the breath goes on behind the tongue.",
			text:  again("-4", 1, 6) + " r:1 | " + again("+4", 1, 6)},
		{id: "repeats-2", grade: Beginner, tempo: 60, title: "Two to the beat",
			words: "Straight eighths: ta ta, ta ta, all the same length. The last one is held.",
			text:  again("-4", 2, 3) + " | " + again("+4", 2, 3) + " | " + again("-4", 2, 3)},
		{id: "repeats-3", grade: Beginner, tempo: 60, title: "Three to the beat",
			words: "Triplets: ta ta ta, the first of the three on the click. Keep the three alike.",
			text:  again("-4", 3, 3) + " | " + again("-3", 3, 3) + " | " + again("+4", 3, 3)},
		{id: "repeats-4", grade: Steady, tempo: 66, title: "From two to three",
			words: "Two beats of eighths, two of triplets, on one note. The beat stays where it is.",
			text: strings.Repeat("-4:1/2 ", 4) + strings.Repeat("-4:1/3 ", 6) + "| " +
				strings.Repeat("-2:1/2 ", 4) + strings.Repeat("-2:1/3 ", 6) + "| -2:2"},
		{id: "repeats-5", grade: Steady, tempo: 76, title: "Triplets that travel",
			words: "Three on each hole, then the next hole. The tongue goes on as if nothing had changed.",
			text: strings.Repeat("-2:1/3 ", 6) + strings.Repeat("-3:1/3 ", 6) + "| " +
				strings.Repeat("-4:1/3 ", 6) + strings.Repeat("-5:1/3 ", 6) + "| -4:2"},
		{id: "repeats-6", grade: Strong, tempo: 72, title: "Four to the beat",
			words: "Sixteenths: ta ka ta ka, lightly, with the tip and the back of the tongue in turn.",
			text:  again("-4", 4, 3) + " | " + again("-4", 3, 3) + " | " + again("+4", 4, 3)},
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

func scoops() []sketch {
	return []sketch{
		{id: "scoop-1", grade: Beginner, tempo: 60, title: "Scoop up to 4 draw",
			words: "Have the mouth in the shape of the half step, breathe, and let go at once: oy-ee. Each note, up to its full pitch.",
			text:  "^-4:3 r:1 ^-4:3 r:1 | ^-4:3 r:1 ^-4:3 r:1"},
		{id: "scoop-2", grade: Beginner, tempo: 60, title: "Bend and release",
			words: "4 draw, dip to the half step for a beat and let it spring back, all in one breath.",
			text:  "-4:2 ~-4':1 ~-4:2 r:1 | -4:2 ~-4':1 ~-4:2 r:1"},
		{id: "scoop-3", grade: Beginner, tempo: 66, title: "Scoop the low holes",
			words: "Scoop every note on 1, 2 and 3 draw. The lower the reed, the further back the tongue begins.",
			text:  "^-1:3 r:1 ^-2:3 r:1 | ^-3:3 r:1 ^-2:3 r:1"},
		{id: "scoop-4", grade: Steady, tempo: 66, title: "Two dips in a breath",
			words: "Down and up and down and up on one reed. The top is in tune each time before you dip again.",
			text:  "-4:2 ~-4':1 ~-4:1 ~-4':1 ~-4:2 r:1 | -3:2 ~-3':1 ~-3:1 ~-3':1 ~-3:2 r:1"},
		{id: "scoop-5", grade: Steady, tempo: 72, title: "Scoop from hole to hole",
			words: "Every note scooped, on 3, 4 and 6 draw. Short and the same each time: the ear should notice the note, not the way to it.",
			text:  "^-3:2 r:1 ^-4:2 r:1 ^-6:2 r:2 | ^-4:2 r:1 ^-3:2 r:1"},
		{id: "scoop-6", grade: Strong, tempo: 80, title: "Scooped, then dipped",
			words: "On each hole first a scooped note by itself, then a plain one that dips to the half step and comes back.",
			text:  "^-4:2 r:1 -4:2 ~-4':1 ~-4:2 r:1 | ^-6:2 r:1 -6:2 ~-6':1 ~-6:2 r:1"},
	}
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
