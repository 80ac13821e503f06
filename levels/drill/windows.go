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
	// Find is the longest time in seconds to find the hole.
	Find float64
	// Dip is the least fall in level, in dB, that makes a tongued repeat.
	Dip float64
	// Evenness is the largest coefficient of variation of the gaps in a warble.
	Evenness float64
	// Balance is the largest distance of the time share of a hole from one half.
	Balance float64
	// Clean is the least share of alternations that are clean.
	Clean float64
	// Rate is the largest relative distance of alternations a second from what is asked.
	Rate float64
	// Ramp is the largest root-mean-square distance of the rate from a smooth line,
	// relative to the mean rate.
	Ramp float64
}
