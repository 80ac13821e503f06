package drill

// answers are phrases of our own, each sounded and then asked for.
func answers() []sketch {
	return []sketch{
		{id: "answer-1", grade: Beginner, tempo: 60, call: 4, title: "Two notes",
			words: "Listen for a bar, play it back in the next. Only 4 draw and 4 blow; each phrase begins on 4 draw.",
			text:  "-4:1 +4:1 r:2 | -4:1 -4:1 r:2 | -4:2 +4:1 r:1 | -4:1 +4:1 -4:1 r:1"},
		{id: "answer-2", grade: Beginner, tempo: 60, call: 4, title: "Three notes",
			words: "Now 3 draw, 4 blow and 4 draw. Sing along inside while you listen; the fingers of one hand may count.",
			text:  "-3:1 +4:1 -4:1 r:1 | -4:1 +4:1 -3:1 r:1 | +4:1 -3:1 +4:1 r:1 | -4:2 -3:1 r:1"},
		{id: "answer-3", grade: Beginner, tempo: 66, call: 4, title: "One note, many rhythms",
			words: "All on 4 draw: only the rhythm changes. Tap it with your foot while it is called.",
			text:  "-4:1 -4:1/2 -4:1/2 -4:1 r:1 | -4:1/2 -4:1/2 -4:1 -4:1 r:1 | -4:1/2 -4:1 -4:1/2 -4:1 r:1 | -4:1 r:1/2 -4:1/2 -4:1 r:1"},
		{id: "answer-4", grade: Steady, tempo: 66, call: 4, title: "Around the root",
			words: "Phrases over 2, 3, 4 and 5 draw and 4 blow. Most come home to 2 draw; one does not.",
			text:  "-2:1 -3:1/2 +4:1/2 -4:1 r:1 | -4:1/2 +4:1/2 -3:1 -2:1 r:1 | -5:1 -4:1/2 +4:1/2 -4:1 r:1 | -3:1/2 +4:1/2 -3:1/2 -2:1/2 -2:1 r:1"},
		{id: "answer-5", grade: Steady, tempo: 60, call: 4, title: "Triplets and a bend",
			words: "A bend hides in some of the phrases, and three notes may share a beat. Hear where it leans.",
			text:  "-4:1/3 +4:1/3 -3':1/3 -2:2 r:1 | -3':1 -3:1 -2:1 r:1 | -4:1/3 -5:1/3 -4:1/3 +4:1 -3:1 r:1 | -4':1 +4:1 -2:1 r:1"},
		{id: "answer-6", grade: Strong, tempo: 80, call: 8, title: "Two bars each",
			words: "Longer phrases: two bars to listen, two to answer. Remember where they begin and where they end; the middle follows.",
			text:  "-4:1/2 -5:1/2 -4:1 +4:1 -3':1 -2:1 -2:1 r:2 | -2:1 -3:1/2 +4:1/2 -4:1 +6:1 -5:1/2 -4:1/2 -3:1 r:2 | -4':1 +4:1 -3:1/2 -2:1/2 -1:1 -2:2 r:2"},
	}
}
