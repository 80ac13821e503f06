package stage

import (
	"errors"

	"reedwell/audio/voice"
	"reedwell/game/session"
)

// sungEnough is for how long a note has to be held before the listening ends early, in seconds, and sungAgain how often it is
// looked at whether it was. Our choices.
const (
	sungEnough = 1.5
	sungAgain  = 0.25
)

// sing begins to listen to a note that the player sings.
func (s *Stage) sing() { s.run = run{kind: session.Singing} }

// awaitSong goes on with it.
func (s *Stage) awaitSong(rate int) {
	r := &s.run
	if !r.begun {
		r.voice = voice.NewHold(rate)
		r.start = s.dev.Now()
		r.zero, r.length, r.begun = r.start, int64(session.SungLength*float64(rate)), true
		r.wanted = r.length
		return
	}
	again := int64(sungAgain * float64(rate))
	if r.got < r.wanted && r.got/again == r.looked {
		return
	}
	r.looked = r.got / again
	held, err := r.voice.Held()
	if r.got < r.wanted && (err != nil || held.Seconds < sungEnough) {
		return
	}
	s.run = run{}
	s.sung = &session.Sung{Held: held, Problem: sungProblem(err)}
}

// sungProblem says what was wrong with a note that was sung.
func sungProblem(err error) string {
	switch {
	case err == nil:
		return ""
	case errors.Is(err, voice.ErrQuiet):
		return "Nothing was heard. Sing a little louder, or nearer to the microphone."
	case errors.Is(err, voice.ErrRoom):
		return "Something sounded before you sang. Wait until it says Sing now, in a quiet room."
	case errors.Is(err, voice.ErrNoPitch):
		return "There was sound, but no pitch in it. Sing ah or hum, on one note."
	case errors.Is(err, voice.ErrShort):
		return "That was too short. Hold one note for two seconds."
	}
	return "The note slid. Choose one and stay on it."
}
