package drill

// A Grade is how strictly a level is judged.
type Grade int

// The grades.
const (
	Beginner Grade = iota
	Steady
	Strong
)

// String returns the word shown to the player.
func (g Grade) String() string { return [...]string{"beginner", "steady", "strong"}[g] }

// Windows says how close is close enough. A measured value on the edge is inside.
type Windows struct {
	Grade Grade

	// Start is the largest distance in seconds of a note's start from the beat.
	Start float64
	// Offset is how much of a constant lateness or earliness, in seconds, is taken out
	// before single starts are judged.
	Offset float64
	// Length is the shortest and longest sounded share of a note's length.
	LengthMin, LengthMax float64
	// Pitch is the largest distance in cents of a bend from its rung.
	Pitch float64
	// Natural is the largest distance in cents of an unbent note from its reed: it
	// only catches an unwanted bend, since the reed decides the rest.
	Natural float64
	// Spread is the largest standard deviation in cents while a note is held.
	Spread float64
	// Overshoot is how far in cents a bend may go past its rung before it settles.
	Overshoot float64
	// Settle is the longest time in seconds from the target's start to a held pitch.
	Settle float64
	// Leak is the loudest other hole allowed, in dB relative to the note.
	Leak float64
	// Depth is the largest distance in cents of where a scoop starts from where it is asked to.
	Depth float64
	// Release is the longest time in seconds from the start of a scooped note until it is
	// where it stays.
	Release float64
	// Breath is the least sounded share of a long tone.
	Breath float64
	// Attack is the longest time in seconds from the start of a long tone until it is as
	// loud as it is going to be, but for 3 dB.
	Attack float64
	// Fade is how many dB a long tone may be softer or louder at its end than at its start.
	Fade float64
	// Level is the largest standard deviation of the level, in dB, while a note is held.
	Level float64
	// Find is the longest time in seconds to find the hole.
	Find float64
	// Dip is the least fall in level, in dB, that makes a tongued repeat.
	Dip float64
	// Evenness is the largest coefficient of variation of the gaps in a warble, or between
	// tongued repeats.
	Evenness float64
	// Balance is the largest distance of the time share of a hole from one half.
	Balance float64
	// Clean is the least share of alternations that are clean.
	Clean float64
	// Rate is the largest relative distance of alternations a second from what is asked.
	Rate float64
	// ZoneLow and ZoneHigh are the edges of the blue third, in cents over the root.
	ZoneLow, ZoneHigh float64
	// Inside is the least share of a blue third, from where it lands on, that stays in its zone.
	Inside float64
	// Land is the longest time in seconds from the end of one note to the start of the one that
	// is jumped to.
	Land float64
	// Touched is how many wrong holes may sound on the way.
	Touched int
	// Swing is the least extent of a throat vibrato in cents to either side.
	Swing float64
	// Cup is how many dB the hands must at least take off and give back.
	Cup float64
	// Seek is the longest time in seconds from the start of a note until it is on the tone that was
	// sounded, to stay.
	Seek float64
	// Ramp is the largest root-mean-square distance of the rate from a smooth line,
	// relative to the mean rate.
	Ramp float64
}

// WindowsFor returns the windows of a grade. Where a figure has a source it stands
// behind it; the rest is our choice in the spirit of the row.
//
//   - Start: 100 ms for a beginner; 50 ms, the field's convention for a matching start
//     (MIREX) and the scatter of wind trios (Rasch 1979); 30 ms, the best trios. Nothing
//     under 20 ms means anything on a free reed.
//   - Offset: 25 ms, about the slowest attack of a reed and the detector's error.
//   - Pitch: 40, 25, 15 cents; 50 is the hard limit, where the next rung is nearer; 25 is the
//     border of "in tune" for sung melodies (Larrouy-Maestri 2018).
//   - Spread: 20, 12, 8 cents.
//   - Natural: 45 cents: less than half a semitone. The reed decides the pitch; further down
//     the player bends it.
//   - Leak: a second hole 12 dB under is plain to hear, 20 dB under is a clean single note.
//   - Dip: 6 dB, the least that is heard as a new start (common practice, no source).
//   - Level: 5, 4, 3 dB; sampled harmonicas held without doing anything swell by 2 to 2.5 dB.
//   - Evenness: 0.20, 0.12, 0.08; thirteen professional pianists reach 0.065 to 0.071 in scales
//     (Jabusch 2006).
//   - Depth: 60, 50, 40 cents around 100: scoops of 50 to 150 cents are usual (common practice,
//     no source), and the ear measures them to 5.
//   - Release: 0.35, 0.27, 0.22 s. Scoops recover within 0.15 to 0.2 s (common practice, no
//     source).
//   - Breath: 0.80, 0.88, 0.94: the length is what a long tone is about, so its window is
//     narrower than that of a note in a line.
//   - Attack: 0.25, 0.18, 0.12 s. A reed is up within 0.05 s by itself (common practice, no
//     source), and twice that is still a clean start.
//   - Fade: 6, 5, 4 dB. Half as loud is 10 dB (the sone scale, ISO 532, from memory); 6 dB is
//     half the pressure and plain to hear.
//   - Zone: 320 to 360 cents over the root for the strong: between the minor third at 300 and the
//     major one at 400, and a zone and no point. Fifteen early blues recordings have the third in a
//     cluster about 319 cents and a neutral one over it (Cutting, Empirical Musicology Review 13,
//     abstract); 267 to 350 is what has been guessed (an encyclopedia). A beginner gets 10 cents more
//     at either edge, the steady 5: half a quarter tone (25 cents) is the border of "in tune" for
//     sung melodies, and no edge may come nearer than that to the whole note above.
//   - Inside: 0.80, 0.88, 0.94, as the length of a long tone: staying is what it is about.
//   - Land: 0.40, 0.25, 0.15 s: four holes are 30 mm (a hole is about 7.5 mm from the next, from
//     memory), which a hand moves in a fifth of a second without haste. Our choice.
//   - Touched: 1, 0, 0: a beginner may hear where the hole is not.
//   - Swing: 4, 5, 6 cents at the least, and MostSwing at the most. A harmonica's vibrato is small
//     (common practice, no source); a held reed moves by 1 to 2 cents by itself.
//   - Cup: 3, 4, 5 dB: more than a held reed swells, in a quarter of the time. Our choice.
//   - Seek: 1.5, 1.0, 0.6 s: looking for a tone by ear is allowed; a bend that is known settles in half
//     of it (Settle). Our choice.
//   - Length: a beginner's note sounds for at least half of its time; shorter is staccato.
func WindowsFor(g Grade) Windows {
	w := Windows{
		Grade: g, Start: 0.100, Offset: 0.025, LengthMin: 0.50, LengthMax: 1.40,
		Pitch: 40, Natural: 45, Spread: 20, Overshoot: 50, Settle: 0.60,
		Leak: -12, Find: 0.80, Dip: 6, Level: 5,
		Depth: 60, Release: 0.35, Breath: 0.80, Attack: 0.25, Fade: 6,
		Evenness: 0.20, Balance: 0.15, Clean: 0.80, Rate: 0.20, Ramp: 0.20,
		ZoneLow: 310, ZoneHigh: 370, Inside: 0.80, Land: 0.40, Touched: 1,
		Swing: 4, Cup: 3, Seek: 1.5,
	}
	switch g {
	case Steady:
		w.Start, w.LengthMin, w.LengthMax = 0.050, 0.60, 1.30
		w.Pitch, w.Spread, w.Overshoot, w.Settle = 25, 12, 35, 0.40
		w.Leak, w.Find, w.Level = -16, 0.50, 4
		w.Depth, w.Release = 50, 0.27
		w.Breath, w.Attack, w.Fade = 0.88, 0.18, 5
		w.Evenness, w.Balance, w.Clean, w.Rate, w.Ramp = 0.12, 0.10, 0.88, 0.12, 0.14
		w.ZoneLow, w.ZoneHigh, w.Inside, w.Land, w.Touched = 315, 365, 0.88, 0.25, 0
		w.Swing, w.Cup, w.Seek = 5, 4, 1.0
	case Strong:
		w.Swing, w.Cup, w.Seek = 6, 5, 0.6
		w.ZoneLow, w.ZoneHigh, w.Inside, w.Land, w.Touched = 320, 360, 0.94, 0.15, 0
		w.Start, w.LengthMin, w.LengthMax = 0.030, 0.65, 1.20
		w.Pitch, w.Spread, w.Overshoot, w.Settle = 15, 8, 25, 0.25
		w.Leak, w.Find, w.Level = -20, 0.30, 3
		w.Depth, w.Release = 40, 0.22
		w.Breath, w.Attack, w.Fade = 0.94, 0.12, 4
		w.Evenness, w.Balance, w.Clean, w.Rate, w.Ramp = 0.08, 0.07, 0.92, 0.08, 0.10
	}
	return w
}

// MostSwing is the largest extent of a throat vibrato in cents to either side: over it, it is no
// vibrato of a harmonica any more (under 50 cents is common practice, no source).
const MostSwing = 50.0

// FreeRate is the range in swings a second in which a free vibrato or hand is good: 4 to 7 for the
// throat, with a fifth to either side, and 1 to 8 for the hand as far as it is heard (both common
// practice, no source; singers' vibrato is liked best near 6: Journal of Voice 26, 2012).
func FreeRate(by Means) (low, high float64) {
	if by == Hand {
		return slowestWave, 8
	}
	return 3.2, 8.4
}
