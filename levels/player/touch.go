package player

import (
	"math"

	"reedwell/audio/synth"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// A Touch colours a target beyond its hole, bend and time. The zero Touch is plain.
type Touch struct {
	Scoop   bool    // starts under its pitch and rises to it
	Vibrato bool    // of the throat
	Wah     float64 // openings of the hands a second; 0 none
	Hold    bool    // to the very end of its time
}

// The size of what a touch does. Where no source stands behind it, it is our choice.
const (
	// A scoop recovers from 50 to 150 cents within 150 to 200 ms (common practice). A reed that
	// has no rung left under its pitch gives less.
	scoopCents, scoopLess = 100.0, 45.0
	scoopTime             = 0.12 // seconds
	scoopShare            = 0.45 // of the note at the most

	// Throat vibrato of 4 to 7 Hz, small in pitch (common practice); 6 Hz and a little under is
	// judged most pleasant with singers (Journal of Voice 26(6), 2012).
	vibratoRate, vibratoCents, vibratoDB = 5.5, 8.0, 1.2
	vibratoDelay                         = 0.25 // seconds, at most a third of the note

	wahDepth = 0.85 // a hand does not seal

	// What is not held ends a little before a rest, so that it breathes.
	letGo, letGoShare = 0.040, 0.06 // seconds, share of the note

	// A long note swells and comes down, and notes off the beat are softer: nobody plays a line
	// at one level.
	swellUp, swellDown, swellFrom = 0.8, -1.2, 0.4 // dB, dB, seconds
	offBeat                       = -1.0           // dB

	// The melody lies on top of a chord: the other holes are softer, by chordUnder dB each.
	chordUnder = 3.0
	chordLevel = -1.5 // dB for each further hole: they share one breath
)

// chord sounds the target's other holes along with it, the highest on top.
func chord(d drill.Drill, t drill.Target, n *synth.Note, f Faults) {
	top := sounded(t, f)
	var under []float64
	for _, also := range t.Also {
		hz, err := d.Harp.Hz(also)
		if err != nil {
			panic("player: " + err.Error()) // a drill's targets lie on its harp
		}
		hz *= math.Exp2(f.Cents / 1200)
		top, hz = math.Max(top, hz), math.Min(top, hz)
		under = append(under, hz)
	}
	if len(under) == 0 {
		return
	}
	n.Hz = synth.Steady(top)
	n.Level = synth.DefaultLevel + chordLevel*float64(len(under))
	for k, hz := range under {
		n.Leaks = append(n.Leaks, synth.Leak{Hz: hz, Level: chordUnder * (1 + 0.5*float64(k))})
	}
}

// colour gives a note its touch.
func (c Touch) colour(n *synth.Note, t drill.Target) {
	length := n.End - n.Start
	if c.Scoop && t.Join != drill.Glide {
		n.Scoop = synth.Scoop{Cents: scoopLess, Seconds: math.Min(scoopTime, scoopShare*length)}
		if breath, rungs := harp.Bends(t.Note.Hole); breath == t.Note.Breath && t.Note.Bend < rungs {
			n.Scoop.Cents = scoopCents
		}
	}
	if c.Vibrato {
		n.Vibrato = synth.Vibrato{Rate: vibratoRate, Cents: vibratoCents, DB: vibratoDB, Delay: math.Min(vibratoDelay, length/3)}
	}
	if c.Wah > 0 {
		n.Wah = synth.Wah{Rate: c.Wah, Depth: wahDepth}
	}
	level := 0.0
	if in := t.Beat - math.Floor(t.Beat+1e-6); in > 1e-6 && !t.Warble && t.Join == drill.Tongued {
		level = offBeat
	}
	n.LevelCurve = []synth.Point{{At: n.Start, Value: level}}
	if length > swellFrom && !c.Hold {
		n.LevelCurve = append(n.LevelCurve, synth.Point{At: n.Start + 0.35*length, Value: level + swellUp}, synth.Point{At: n.End, Value: level + swellDown})
	}
}
