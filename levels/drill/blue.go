package drill

import (
	"math"

	"reedwell/levels/harp"
)

// blueReed is the reed of the blue third in second position, 3 draw, bent by so many half steps.
func blueReed(bend int) harp.Note { return harp.Note{Hole: 3, Breath: harp.Draw, Bend: bend} }

// The blue third is never nearer than offRung cents to the natural reed or to its half step, and
// never narrower than leastZone, however the player's reeds lie: it is neither of the two. Our
// choice: settled pitches are measured to 2 cents.
const (
	offRung   = 10.0
	leastZone = 20.0
)

// blueThird is the zone of the blue third on a harp: its middle in Hz, and how many cents it
// reaches to either side. It is an interval over the root, 2 draw, as the player's reed has it, and
// lies between 3 draw and its half step.
func blueThird(h harp.Harp, w Windows) (hz, half float64) {
	hertz := func(n harp.Note) float64 {
		v, err := h.Hz(n)
		if err != nil {
			panic("drill: " + err.Error()) // every harp has both reeds
		}
		return v
	}
	root := hertz(harp.Note{Hole: 2, Breath: harp.Draw})
	natural, rung := harp.Cents(hertz(blueReed(0)), root), harp.Cents(hertz(blueReed(1)), root)
	low := math.Min(math.Max(w.ZoneLow, rung+offRung), natural-offRung-leastZone)
	high := math.Max(math.Min(w.ZoneHigh, natural-offRung), low+leastZone)
	return root * math.Exp2((low+high)/2/1200), (high - low) / 2
}

// Tab is the target as tab: a blue third has its half step in brackets, since it goes only part
// of the way.
func (t Target) Tab() string {
	if t.Zone > 0 {
		natural := t.Note
		natural.Bend = 0
		return natural.Tab() + "(')"
	}
	return t.Note.Tab()
}

// Words names the target as a teacher says it.
func (t Target) Words() string {
	if t.Zone > 0 {
		natural := t.Note
		natural.Bend = 0
		return natural.Words() + ", blue third"
	}
	return t.Note.Words()
}

func blues() []sketch {
	return []sketch{
		{id: "blue-1", grade: Beginner, tempo: 60, title: "Lean on it",
			words: "From 3 draw let the pitch sink a little, less than the half step, and stay there: neither sweet nor sad. Anywhere in the zone is right.",
			text:  "-3:2 ~b3:4 r:2 | -3:2 ~b3:4 r:2"},
		{id: "blue-2", grade: Beginner, tempo: 60, title: "Straight into it",
			words: "Play 2 draw, the root, and keep it in your ear. Then start on the blue third itself, with the mouth already in shape.",
			text:  "-2:2 r:1 b3:3 r:2 | -2:2 r:1 b3:3 r:2"},
		{id: "blue-3", grade: Beginner, tempo: 60, title: "Not this one, not that one",
			words: "The whole note, the half step, and then what lies between the two. Three sounds; make the difference plain.",
			text:  "-3:2 r:1 -3':2 r:1 b3:3 r:3 | -3:2 r:1 -3':2 r:1 b3:3 r:3"},
		{id: "blue-4", grade: Steady, tempo: 66, title: "In and out in one breath",
			words: "Sink into the zone, let it rise, sink again. It is the same place each time, and the top is clear.",
			text:  "-3:2 ~b3:2 ~-3:2 ~b3:2 r:2 | -3:2 ~b3:2 ~-3:2 ~b3:2 r:2"},
		{id: "blue-5", grade: Steady, tempo: 72, title: "Home from the blue third",
			words: "Each blue third by itself, straight in, then home to the root. It leans on the root; it does not rest by itself.",
			text:  "b3:2 r:1 -2:2 r:1 | b3:2 r:1 +4:2 r:1 | b3:2 r:1 -2:3 r:1"},
		{id: "blue-6", grade: Strong, tempo: 80, title: "Wherever it comes from",
			words: "From above, from silence, after the root, after the half step: one zone, found at once.",
			text:  "-3:2 ~b3:2 r:1 b3:2 r:1 | -2:2 r:1 b3:2 r:1 | -3':2 r:1 b3:2 r:1 | -3:2 ~b3:2 r:2"},
	}
}
