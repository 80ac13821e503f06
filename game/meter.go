package game

import (
	"time"

	"reedwell/game/pace"
	"reedwell/game/session"
)

// Pressed notes when the player pressed something, for the figures of this device.
func (g *Game) Pressed(at time.Time) { g.meter.Press(at.Sub(g.begun).Seconds()) }

// Figures tell how the last take was drawn.
func (g *Game) Figures() pace.Figures { return g.meter.Last() }

// drawn notes a picture whose drawing began at a time.
func (g *Game) drawn(from time.Time) {
	now := time.Now()
	f := pace.Frame{At: now.Sub(g.begun).Seconds(), Work: (g.worked + now.Sub(from)).Seconds(), Sound: -1, Take: g.asked.Name == "take"}
	g.worked = 0
	if g.o.Lag != nil {
		f.Sound = g.o.Lag()
	}
	g.meter.Frame(f)
}

// drawing is what the session tells the player of the figures.
func (g *Game) drawing() session.Drawing {
	f := g.meter.Last()
	return session.Drawing{
		Pictures: f.Pictures, Usual: f.Usual, Slow: f.Slow, Work: f.Work, Sound: f.Sound, Slower: f.SlowSound, Press: f.Press,
	}
}
