package stage

import (
	"errors"
	"math"
	"reflect"
	"slices"

	"reedwell/audio/synth"
	"reedwell/game/session"
	"reedwell/levels/band"
	free "reedwell/levels/room"
)

// accompany is the band for a run. In the room one chorus is made and goes round: several would
// take a browser ten seconds.
func accompany(r *run, rate int, o band.Options) []float32 {
	if r.room == nil {
		return band.RenderWith(r.drill, rate, o)
	}
	one := *r.room
	one.Choruses = 1
	d := one.Drill()
	chorus := band.Loop(d, rate, o)
	lead := d
	lead.Bars, lead.Chords, lead.Seconds = 0, nil, d.Time(0)
	out := make([]float32, frames(r.drill.Seconds, rate))
	copy(out, band.RenderWith(lead, rate, o))
	for k := range r.room.Choruses {
		copy(out[frames(r.drill.Time(float64(k*one.Beats())), rate):], chorus)
	}
	return out
}

// band is the band for a run, kept for the next time.
func (s *Stage) band(r *run, rate int, click bool) []float32 {
	if b := &s.backing; b.sound == nil || !reflect.DeepEqual(b.drill, r.drill) || b.rate != rate || b.click != click {
		*b = backing{r.drill, rate, click, accompany(r, rate, band.Options{NoBand: click})}
	}
	return s.backing.sound
}

// overBand is what was played with the whole band under it, both as loud.
func (s *Stage) overBand(own []float32, r *run, rate int) []float32 {
	out := slices.Clone(s.band(r, rate, false))
	synth.Mix(out, own, 0, 20*math.Log10(float64(lift(own, rate))))
	return out
}

// endTake ends free playing before the form does: what was captured until now is still listened to. What was
// played before bar 1 is nothing to look at.
func (s *Stage) endTake() {
	r := &s.run
	if r.kind != session.Recording || r.room == nil || s.dev == nil {
		return
	}
	length := s.dev.Now() - r.zero
	if length <= int64(frames(r.drill.Time(0), s.dev.Info().Rate)) {
		s.stop()
		return
	}
	s.dev.Quiet()
	if length >= r.length { // over by itself, or ended already
		return
	}
	r.length, r.wanted = length, length+2*r.before
	if r.got >= r.before+length {
		r.ear.Flush()
		r.heard, r.notes = r.ear.Frames(r.heard), r.ear.Notes(r.notes)
	}
}

// lookAt looks at free playing that is over.
func (s *Stage) lookAt(rate int) {
	if !s.heardAgain(rate) {
		return
	}
	r := s.run
	s.run = run{}
	heard, t := r.again.heard, r.again.take
	out := &session.Roomed{Setting: *r.room, Rate: rate, Frames: heard.Frames, Lost: float64(r.lost) / float64(rate)}
	if t.Clicks {
		s.take = &session.Take{Drill: r.drill, Clicks: true, Trip: t.Trip, Shift: t.Shift}
	}
	out.Moved = s.moved(&r, rate) > clickMoved
	report, err := free.Look(heard, *r.room)
	switch {
	case errors.Is(err, free.ErrNothing):
		out.Problem = "I could not hear any playing. Check that the right microphone is chosen, come closer to it, and see that the key of your harp is right."
	case err != nil:
		out.Problem = "This could not be looked at: " + err.Error() + "."
	default:
		s.spend(float64(r.length) / float64(rate))
	}
	out.Report = report
	s.roomed = out
	s.kept = recording{free.ID, rate, r.again.sound}
}
