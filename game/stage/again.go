package stage

import (
	"math"

	"reedwell/audio/listen"
	"reedwell/audio/spill"
	"reedwell/game/session"
)

// An again is a take that is over and is heard once more before it is graded: from where its
// count-in was found, and without what a loudspeaker put into it. It is done in pieces, some a
// Poll, so that the page never stands still.
type again struct {
	take  session.Take // what the count-in tells of the round trip
	sound []float32    // from drill time 0 on
	raw   []float32    // the same as the microphone gave it, where something was taken out of it
	heard listen.Take
	rate  int

	spill    *spill.Removal // not nil: what was played is taken out first
	response spill.Response // of loudspeaker, room and microphone, as far as it is known
	ear      *listen.Ear    // not nil: the sound is to be heard anew
	at       int            // frames that it has heard
}

// How much is done in one Poll: some 20 ms natively either way (audio/spill/FIGURES.md,
// audio/BENCHMARKS.md), several times that in a browser.
const (
	spillPieces  = 64
	againSeconds = 0.5
)

// spillShare is about how much of the work is taking out, as a share.
const spillShare = 0.7

// align looks for the count-in in a take, notes what it tells of the round trip, and
// begins to hear it again where that changes anything.
func (s *Stage) align(r *run, rate int) *again {
	var clicks []int
	for k := 0.0; k < r.drill.CountIn; k++ {
		clicks = append(clicks, int(math.Round(r.drill.Time(k-r.drill.CountIn)*float64(rate))))
	}
	late, gain, ok := findClicks(r.sound, r.made, int(r.before), clicks, rate)
	from := int(r.before)
	a := &again{heard: listen.Take{Rate: rate, Frames: r.heard, Notes: r.notes}, rate: rate, response: s.response}
	if ok {
		s.level.gain = gain
		a.take.Clicks, a.take.Trip = true, r.trip+float64(late)/float64(rate)
		if math.Abs(float64(late)) > clickMoved*float64(rate) {
			a.take.Shift = float64(late) / float64(rate)
			from += late
		}
	}
	a.sound = r.sound[from : from+int(r.length)]
	if (ok || r.speaker) && s.level.spills(r.heard, len(r.drill.Chords) > 0 && !r.clickOnly, s.volume()) {
		a.spill = spill.New(a.sound, r.made, rate, spill.Options{Known: a.response})
	}
	if a.take.Shift != 0 {
		a.listen(r)
	}
	return a
}

// listen begins to hear the sound anew.
func (a *again) listen(r *run) {
	ear, err := listen.New(r.ears(a.rate))
	if err != nil {
		panic("stage: " + err.Error()) // the same ear has heard it already
	}
	a.ear, a.at, a.heard = ear, 0, listen.Take{Rate: a.rate}
}

// step does some of it and reports whether there is more to do.
func (a *again) step(r *run) bool {
	if a.spill != nil {
		for range spillPieces {
			if !a.spill.Step() {
				if rest, report := a.spill.Rest(); report.Confident {
					a.response = a.spill.Response()
					a.sound, a.raw = rest, a.sound
					a.listen(r)
				}
				a.spill = nil
				break
			}
		}
		return true
	}
	if a.ear == nil {
		return false
	}
	end := min(len(a.sound), a.at+int(againSeconds*float64(a.rate)))
	a.ear.Process(a.sound[a.at:end])
	if a.at = end; end == len(a.sound) {
		a.ear.Flush()
	}
	a.heard.Frames, a.heard.Notes = a.ear.Frames(a.heard.Frames), a.ear.Notes(a.heard.Notes)
	if end == len(a.sound) {
		if a.raw != nil {
			a.heard.Gauge(a.raw)
		}
		a.ear = nil
	}
	return true
}

// done is the share of the work that is done, 0 to 1.
func (a *again) done() float64 {
	switch {
	case a == nil:
		return 0
	case a.spill != nil:
		return spillShare * a.spill.Done()
	case a.ear != nil:
		return spillShare + (1-spillShare)*float64(a.at)/float64(len(a.sound))
	}
	return 1
}
