package drill

// aims are tones to bend to: one bar of the tone, one for the answer. What is asked may lie between
// two rungs. There are four in a drill: eight bars stand on every screen at once.
func aims() []sketch {
	return []sketch{
		{id: "aim-1", grade: Beginner, tempo: 60, call: 4, title: "4 draw: up here or down there",
			words: "A tone is sounded; then play it on 4 draw, as it is or bent. Hum it first, silently, and let the mouth go where the hum is.",
			text:  "-4':3 r:1 | -4:3 r:1 | -4':3 r:1 | -4':3 r:1"},
		{id: "aim-2", grade: Beginner, tempo: 60, call: 4, title: "3 draw: four places",
			words: "All tones lie on 3 draw: the whole note, or one of its three bends. Listen to the end before you breathe.",
			text:  "-3':3 r:1 | -3'':3 r:1 | -3:3 r:1 | -3''':3 r:1"},
		{id: "aim-3", grade: Beginner, tempo: 60, call: 4, title: "2 draw: three places",
			words: "All tones lie on 2 draw, bent or not. The deepest one wants the tongue far back and low.",
			text:  "-2'':3 r:1 | -2':3 r:1 | -2:3 r:1 | -2'':3 r:1"},
		{id: "aim-4", grade: Steady, tempo: 60, call: 4, title: "3 draw: between the places",
			words: "On 3 draw, but the tones need not be any note of a piano. Only the ear helps now.",
			text:  "-3'@40:3 r:1 | -3''@50:3 r:1 | -3'@-30:3 r:1 | -3'''@35:3 r:1"},
		{id: "aim-5", grade: Steady, tempo: 66, call: 4, title: "1, 4 and 6 draw",
			words: "First tone on 4 draw, then 1 draw, 6 draw, 4 draw. Half way down or all of it: listen.",
			text:  "-4'@45:3 r:1 | -1':3 r:1 | -6'@40:3 r:1 | -4':3 r:1"},
		{id: "aim-6", grade: Strong, tempo: 72, call: 4, title: "Low, high, between",
			words: "In this order: 2 draw, 3 draw, 8 blow, 4 draw. High bends are small: hardly a thought.",
			text:  "-2'@-40:3 r:1 | -3''@-45:3 r:1 | +8':3 r:1 | -4'@30:3 r:1"},
	}
}
