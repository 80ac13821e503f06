package drill

import (
	"fmt"
	"strconv"
	"strings"
)

// Means is what moves in a wave.
type Means int

// The means.
const (
	Nothing Means = iota
	Throat        // moves the pitch, and the level a little
	Hand          // moves level and brightness; the pitch stays
)

// String returns the word used in the JSON of targets, nothing for nothing.
func (m Means) String() string { return [...]string{"", "throat", "hand"}[m] }

// A Wave is a vibrato of the throat or a hand that opens and closes.
type Wave struct {
	By      Means
	PerBeat float64 // swings in a quarter beat; 0 is free
}

// Rate is how many swings a second are asked for, 0 when that is free.
func (w Wave) Rate(tempo float64) float64 { return w.PerBeat * tempo / 60 }

// A wave is asked for between these speeds, in swings a second. Under 1.5 a second the ear takes it
// for unsteady breath, and over 9 nobody swings; a beginner's fifth lies between.
const (
	slowestWave = 1.9
	quickest    = 7.6
)

// at is the wave at a tempo: where the speed would be out of reach it is halved or doubled.
func (w Wave) at(tempo float64) Wave {
	for w.PerBeat > 0 && w.Rate(tempo) > quickest {
		w.PerBeat /= 2
	}
	for w.PerBeat > 0 && w.Rate(tempo) < slowestWave {
		w.PerBeat *= 2
	}
	return w
}

// Words says how many swings there are in a beat.
func (w Wave) Words() string {
	switch {
	case w.By == Nothing:
		return ""
	case w.PerBeat == 0:
		return "free"
	case w.PerBeat == float64(int(w.PerBeat)):
		return fmt.Sprintf("%g a beat", w.PerBeat)
	}
	return fmt.Sprintf("%g in two beats", 2*w.PerBeat)
}

// waves takes the wave off the end of a length.
func waves(length string) (rest string, w Wave, ok bool) {
	at := strings.IndexAny(length, "vw")
	if at < 0 {
		return length, w, true
	}
	w.By = Throat
	if length[at] == 'w' {
		w.By = Hand
	}
	if many := length[at+1:]; many != "" {
		var err error
		if w.PerBeat, err = strconv.ParseFloat(many, 64); err != nil || !(w.PerBeat >= 1 && w.PerBeat <= 12) {
			return "", w, false
		}
	}
	return length[:at], w, true
}

func vibratos() []sketch {
	return []sketch{
		{id: "vibrato-1", grade: Beginner, tempo: 60, title: "Let it swing",
			words: "Hold the note and let the throat go as in a quiet laugh: a-a-a-a. As quick as it comes by itself; only even.",
			text:  "-4:6v r:2 | +4:6v r:2"},
		{id: "vibrato-2", grade: Beginner, tempo: 72, title: "Three to the beat",
			words: "Three swings on every click, the first of the three with it. The breath goes on underneath.",
			text:  "-4:4v3 r:4 | -4:4v3 r:4"},
		{id: "vibrato-3", grade: Beginner, tempo: 60, title: "Four to the beat",
			words: "Four swings on every click, on 4 draw and on 3 draw. Small and even is better than wide.",
			text:  "-4:4v4 r:4 | -3:4v4 r:4"},
		{id: "vibrato-4", grade: Steady, tempo: 66, title: "Three, four, five",
			words: "One speed on each note, each quicker than the last. The notes are far enough apart to hear the new one first.",
			text:  "-4:4v3 r:4 | -4:4v4 r:4 | -4:4v5 r:4"},
		{id: "vibrato-5", grade: Steady, tempo: 72, title: "On the low reeds",
			words: "4 to the beat on 1, 2 and 3 draw. Low reeds answer slowly: move less, and from further back.",
			text:  "-2:4v4 r:4 | -1:4v4 r:4 | -3:4v4 r:4"},
		{id: "vibrato-6", grade: Strong, tempo: 66, title: "Any speed you are asked for",
			words: "Five, three, six, four: blow and draw, at the speed that is written, at once.",
			text:  "-4:4v5 r:2 | -5:4v3 r:2 | +4:4v6 r:2 | -2:4v4 r:4"},
	}
}

func wahs() []sketch {
	return []sketch{
		{id: "wah-1", grade: Beginner, tempo: 60, title: "Open and close",
			words: "Hold the note. The right hand opens like a door and closes again, slowly and always as far. The throat stays as it is.",
			text:  "-4:6w r:2 | +4:6w r:2"},
		{id: "wah-2", grade: Beginner, tempo: 66, title: "Two to the beat",
			words: "Open on the click and open once between: wah wah, wah wah. Close all the way each time.",
			text:  "-4:4w2 r:4 | -4:4w2 r:4"},
		{id: "wah-3", grade: Beginner, tempo: 60, title: "Three to the beat",
			words: "Triplets with the hand, on 4 and 3 draw. From the wrist: the fingers stay together.",
			text:  "-4:4w3 r:4 | -3:4w3 r:4"},
		{id: "wah-4", grade: Steady, tempo: 66, title: "Two, three, four",
			words: "One speed on each note, each quicker than the last, and the hand opens as far as before.",
			text:  "-4:4w2 r:4 | -4:4w3 r:4 | -4:4w4 r:4"},
		{id: "wah-5", grade: Steady, tempo: 72, title: "On low and high reeds",
			words: "4 to the beat on 2 draw, 3 draw and 6 blow. A high note gives the hand less to take away: cup it closer.",
			text:  "-2:4w4 r:4 | -3:4w4 r:4 | +6:4w4 r:4"},
		{id: "wah-6", grade: Strong, tempo: 72, title: "Any speed you are asked for",
			words: "Four, two, five, three: at the speed that is written, at once.",
			text:  "-4:4w4 r:2 | -5:4w2 r:2 | +4:4w5 r:2 | -2:4w3 r:4"},
	}
}
