package session

import (
	"math"

	"reedwell/audio/listen"
	"reedwell/game/screen"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// lower returns the pitch of the lower reed of a hole: the blow reed up to 6, then
// the draw reed.
func lower(h harp.Harp, hole int) float64 {
	return math.Min(pitch(h, harp.Note{Hole: hole}), pitch(h, harp.Note{Hole: hole, Breath: harp.Draw}))
}

// pitch is the pitch of a note the harp has.
func pitch(h harp.Harp, n harp.Note) float64 {
	hz, err := h.Hz(n)
	if err != nil {
		panic("session: " + err.Error())
	}
	return hz
}

// comb draws the holes of a harp with nothing sounding.
func comb(h harp.Harp) *screen.Comb {
	c := new(screen.Comb)
	for i := range c.Slots {
		hole := i + 1
		low := lower(h, hole)
		blow, draw := harp.Note{Hole: hole}, harp.Note{Hole: hole, Breath: harp.Draw}
		c.Slots[i] = screen.Slot{
			Blow:  harp.Cents(pitch(h, blow), low),
			Draw:  harp.Cents(pitch(h, draw), low),
			Names: [2]string{h.Key.Spell(h.MIDI(blow)), h.Key.Spell(h.MIDI(draw))},
		}
	}
	for _, n := range harp.Notes() {
		if n.Bend > 0 || n.Over {
			slot := &c.Slots[n.Hole-1]
			slot.Rungs = append(slot.Rungs, screen.Rung{
				Cents: harp.Cents(pitch(h, n), lower(h, n.Hole)), Draw: n.Breath == harp.Draw, Tab: n.Tab(),
			})
		}
	}
	return c
}

// spot places a note on the comb.
func spot(h harp.Harp, n harp.Note) screen.Spot {
	return screen.Spot{Hole: n.Hole, Cents: harp.Cents(pitch(h, n), lower(h, n.Hole)), Draw: n.Breath == harp.Draw, Tab: n.Tab()}
}

// loudestLeak is the level of a second hole in dB under the note from which it is shown:
// the limit of clean play for a beginner lies nearby (drill.Windows.Leak).
const loudestLeak = -25.0

// sameSound is how far in cents the pitch may have moved in the 20 ms by which a frame lags behind the newest window: a quick bend
// does 30 (our choice); the next hole is 200 away or more.
const sameSound = 80.0

// soonest is what sounds as far as is known: the newest window where it is sure, with the other voices of the frame where it goes on;
// else the frame where that is, or what the newest window may hold.
func soonest(f, latest listen.Frame) listen.Frame {
	switch {
	case latest.Confidence >= listen.MinConfidence:
	case f.Confidence < listen.MinConfidence && latest.Confidence >= listen.HintConfidence:
		return latest
	default:
		return f
	}
	if f.F0 > 0 && math.Abs(harp.Cents(latest.F0, f.F0)) < sameSound {
		latest.Others = f.Others
	}
	return latest
}

// beads are the sounds of a frame: the note and a hole that sounds along. How far off a note is, and what sounds along, is told
// only when it is sure.
func beads(h harp.Harp, f listen.Frame, asked *harp.Note) []screen.Bead {
	if f.F0 <= 0 || f.Confidence < listen.HintConfidence {
		return nil
	}
	var expect []harp.Note
	if asked != nil {
		expect = []harp.Note{*asked}
	}
	main, ok := h.Locate(f.F0, expect)
	if !ok {
		return nil
	}
	off := math.NaN()
	if f.Confidence < listen.MinConfidence {
		return []screen.Bead{{Spot: at(h, main.Note, f.F0), Strength: strength(f.Level), Unsure: true, OffCents: off}}
	}
	if asked != nil {
		off = harp.Cents(f.F0, pitch(h, *asked))
	}
	all := []screen.Bead{{Spot: at(h, main.Note, f.F0), Strength: strength(f.Level), OffCents: off}}
	for _, v := range f.Others {
		if v.F0 <= 0 || v.Level < loudestLeak {
			continue
		}
		beside := []harp.Note{
			{Hole: main.Note.Hole - 1, Breath: main.Note.Breath}, {Hole: main.Note.Hole + 1, Breath: main.Note.Breath},
		}
		for _, n := range beside {
			if n.Valid() == nil && math.Abs(harp.Cents(v.F0, pitch(h, n))) < 50 {
				all = append(all, screen.Bead{Spot: at(h, n, v.F0), Strength: strength(f.Level + v.Level), Leak: true, OffCents: math.NaN()})
				break
			}
		}
	}
	return all
}

func at(h harp.Harp, n harp.Note, hz float64) screen.Spot {
	s := spot(h, n)
	s.Cents = harp.Cents(hz, lower(h, n.Hole))
	return s
}

// strength is how strongly a level is drawn: from nothing at -60 dBFS to full at -12,
// what a harmonica an arm's length away comes to (our choice).
func strength(level float64) float64 { return math.Min(1, math.Max(0, (level+60)/48)) }

// around finds the target that is due at drill time t, the one after it, or -1.
func around(d drill.Drill, t float64) (now, next int) {
	for i, g := range d.Targets {
		if t < g.End {
			if i+1 < len(d.Targets) {
				return i, i + 1
			}
			return i, -1
		}
	}
	return -1, -1
}
