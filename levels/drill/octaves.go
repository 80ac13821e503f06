package drill

func octaves() []sketch {
	return []sketch{
		{id: "octaves-1", grade: Beginner, tempo: 60, title: "Blow, three holes up",
			words: "1 blow and 4 blow are the same note an octave apart, and so are 4 and 7. Keep the breath; let the harp move on the beat.",
			text:  "+1:2 +4:2 +1:2 r:2 | +4:2 +7:2 +4:2 r:2"},
		{id: "octaves-2", grade: Beginner, tempo: 60, title: "Draw: three holes, then four",
			words: "1 draw to 4 draw is three holes, 4 draw to 8 draw is four. Look at nothing: let the lips count.",
			text:  "-1:2 -4:2 -1:2 r:2 | -4:2 -8:2 -4:2 r:2"},
		{id: "octaves-3", grade: Beginner, tempo: 60, title: "The root, high and low",
			words: "2 draw, or 3 blow, then 6 blow, then 9 blow: the root three times. From 2 draw the breath turns on the way.",
			text:  "-2:2 +6:2 -2:2 r:2 | +6:2 +9:2 +6:2 r:2"},
		{id: "octaves-4", grade: Steady, tempo: 66, title: "All four blow notes",
			words: "1, 4, 7, 10 blow and back. The higher you go, the less air.",
			text:  "+1:1 +4:1 +7:1 +10:1 +7:1 +4:1 +1:1 r:1 | +1:1 +4:1 +7:1 +10:1 +7:1 +4:1 +1:1 r:1"},
		{id: "octaves-5", grade: Steady, tempo: 72, title: "Wider and crosswise",
			words: "3 and 7 draw, 5 and 9 draw, 6 and 10 draw: four holes each. 2, 5 and 8 blow: three.",
			text:  "-3:2 -7:2 -5:2 -9:2 | -6:2 -10:2 r:4 | +2:1 +5:1 +8:1 +5:1 +2:2 r:2"},
		{id: "octaves-6", grade: Strong, tempo: 84, title: "There and back on every beat",
			words: "One beat for each. Hear the note you jump to before you leave.",
			text:  "-1:1 -4:1 -8:1 -4:1 | +4:1 +7:1 +4:1 +1:1 | -2:1 +6:1 +9:1 +6:1 | -2:1 +6:1 -2:2"},
	}
}
