//go:build !js

package write

import (
	"math"
	"math/rand/v2"
	"testing"

	"reedwell/audio/audiotest"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
)

// A take is a lick as somebody plays it.
type playing struct {
	tempo   float64 // beats a minute
	zero    float64 // seconds: bar 1 beat 1
	scatter float64 // seconds, standard deviation of the starts
	cents   float64 // standard deviation of the pitches
	drift   float64 // share by which the tempo rises from the first note to the last
	seed    uint64
}

// An event is one reed sounding, from breath to breath: notes of a lick that glide
// into one another are one event.
type event struct {
	start, end float64
	notes      []harp.Note       // lowest first; a chord
	pitch      []audiotest.Point // seconds; semitones over the first note's natural pitch, bend and all
	legato     bool
	scoop      bool
	vibrato    bool
	wah        float64 // Hz
}

// events plays a lick. Warbles scatter by a third of a beat's scatter, as their notes
// hang together: 13 pianists' scales at 8 notes a second scatter by 8 ms (Jabusch 2006).
func events(k lesson.Lick, feel lesson.Feel, p playing) []event {
	random := rand.New(rand.NewPCG(p.seed, 11))
	last := feel.Beat(k.Notes[len(k.Notes)-1].End())
	at := func(beat float64) float64 {
		u := beat + p.drift*beat*beat/2/math.Max(1, last) // beats of an even pulse
		if p.drift != 0 {
			u = beat * (1 - p.drift*beat/2/math.Max(1, last))
		}
		return p.zero + u*60/p.tempo
	}
	starts := make([]float64, len(k.Notes))
	for i, n := range k.Notes {
		starts[i] = at(feel.Beat(n.Start)) + p.scatter*random.NormFloat64()
		if i > 0 {
			starts[i] = math.Max(starts[i], starts[i-1]+0.05)
		}
	}
	var all []event
	for i, n := range k.Notes {
		end := starts[i] + at(feel.Beat(n.End())) - at(feel.Beat(n.Start))
		if i+1 < len(k.Notes) && (k.Notes[i+1].Start == n.End() || end > starts[i+1]) {
			end = starts[i+1]
			if m := k.Notes[i+1]; m.Join == lesson.Tongued && m.Holes[0].Hole == n.Holes[0].Hole && m.Holes[0].Breath == n.Holes[0].Breath {
				end -= math.Min(0.045, (end-starts[i])/3)
			}
		}
		bend := -float64(n.Holes[0].Bend) + p.cents/100*random.NormFloat64()
		if n.Join == lesson.Glide && len(all) > 0 {
			e := &all[len(all)-1]
			takes := math.Min(0.12, 0.6*(end-starts[i]))
			e.pitch = append(e.pitch, audiotest.Point{At: starts[i], Pitch: e.pitch[len(e.pitch)-1].Pitch}, audiotest.Point{At: starts[i] + takes, Pitch: bend})
			e.end = end
			continue
		}
		if n.Warbles() {
			turns := int(math.Round(n.Length.Beats() * float64(n.Rate)))
			for t := range turns {
				h := n.Holes[0]
				if t%2 == 1 {
					h = n.Warble
				}
				edge := func(t int) float64 {
					x := starts[i] + (end-starts[i])*float64(t)/float64(turns)
					if t > 0 && t < turns {
						x += p.scatter / 3 * random.NormFloat64()
					}
					return x
				}
				e := event{start: edge(t), end: edge(t + 1), notes: []harp.Note{h}, legato: t > 0 || n.Join == lesson.Slurred}
				if t > 0 {
					e.start = all[len(all)-1].end
				}
				e.pitch = []audiotest.Point{{At: e.start, Pitch: -float64(h.Bend)}}
				all = append(all, e)
			}
			continue
		}
		e := event{start: starts[i], end: end, notes: n.Holes, legato: n.Join == lesson.Slurred, vibrato: n.Vibrato, wah: n.Wah * p.tempo / 60,
			pitch: []audiotest.Point{{At: starts[i], Pitch: bend}}}
		if n.Scoop {
			e.scoop = true
			e.pitch = []audiotest.Point{{At: starts[i], Pitch: bend - 0.9}, {At: starts[i] + 0.12, Pitch: bend}}
		}
		all = append(all, e)
	}
	return all
}

// natural is the reed that a note is counted from.
func natural(n harp.Note) harp.Note { return harp.Note{Hole: n.Hole, Breath: n.Breath} }

// sampled sounds events with a sound font's harmonica.
func sampled(t testing.TB, font audiotest.Font, h harp.Harp, all []event) []float32 {
	t.Helper()
	var notes []audiotest.Played
	for i, e := range all {
		for _, n := range e.notes {
			key := h.MIDI(natural(n))
			p := audiotest.Played{Start: e.start, End: e.end, Key: key}
			if i+1 < len(all) && !all[i+1].legato && all[i+1].start-e.end < 0.01 {
				p.End -= 0.03 // the tongue; the sample rings on by itself
			}
			for _, c := range e.pitch {
				p.Bend = append(p.Bend, audiotest.Point{At: c.At, Pitch: float64(key) + c.Pitch})
			}
			notes = append(notes, p)
		}
	}
	return audiotest.Play(t, font, notes)
}

// owned is the harp whose reeds are the font's: measured, as a player's are.
func owned(t testing.TB, font audiotest.Font, h harp.Harp) harp.Harp {
	t.Helper()
	for hole := 1; hole <= harp.Holes; hole++ {
		for _, b := range []harp.Breath{harp.Blow, harp.Draw} {
			n := harp.Note{Hole: hole, Breath: b}
			cents := audiotest.Offset(t, font, h.MIDI(n)) - h.Tuning.Deviation(hole, b)
			if b == harp.Draw {
				h.Profile.Draw[hole-1] = cents
			} else {
				h.Profile.Blow[hole-1] = cents
			}
		}
	}
	return h
}
