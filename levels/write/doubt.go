package write

import "fmt"

// A Doubt is something that is not sure about a note.
type Doubt struct {
	Lick  int // index in the lesson's licks; 0 where there is one lick
	Note  int // index in the lick's notes; -1: the lick as a whole
	About About
	Words string // for the player: "between a half and a whole step bend: 3 draw, half step bend?"
}

// String is the doubt as it is shown beside the lick.
func (d Doubt) String() string {
	if d.Note < 0 {
		return d.Words
	}
	return fmt.Sprintf("note %d: %s", d.Note+1, d.Words)
}

// About says what a doubt is about.
type About int

// What may be in doubt.
const (
	Bend   About = iota // the pitch lies between two rungs
	Start               // the start lies between two places
	Hole                // 2 draw or 3 blow
	Second              // another hole sounded along, perhaps meant as a chord
	Heard               // faint, or not heard well
	Rate                // a warble or a hand whose speed fits no whole number a beat
	Trill               // a warble, or notes written out
	Length              // the end lies between two places
	Tempo               // half or double the tempo is as likely
	BarOne              // where bar one begins
	Feel                // nothing tells the feel
)
