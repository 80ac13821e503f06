// Package player sounds a drill as a player would, with faults on request.
//
// It is the other half of every proof: ask for 30 cents sharp and 80 ms late, and the
// grader must say 30 cents and 80 ms. [Notes] turns the targets of a drill into notes
// of the reed voice; a faultless performance is also the demonstration. [Perform] adds
// a [Touch] to each note: scoop, vibrato, hand wah.
//
// Pure and deterministic for a seed.
package player

import (
	"fmt"
	"math"
	"math/rand/v2"

	"reedwell/audio/synth"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// Faults are what the player does wrong. The zero value plays as asked.
type Faults struct {
	Cents     float64 // every pitch, + sharp
	Deep      float64 // cents that every bend goes too deep
	Late      float64 // seconds, every start; negative is early
	Scatter   float64 // seconds, standard deviation of the starts
	Leak      float64 // dB of a neighbouring hole under the note; 0 none
	Short     float64 // share of each note's length left out at its end, 0..0.9
	Duty      float64 // warble: share of the time on the first hole; 0 means a half
	Jitter    float64 // warble, vibrato, hand: coefficient of variation of the gaps
	Overshoot float64 // cents that a glide goes past its rung before it settles
	Glide     float64 // seconds that a glide takes; 0 means DefaultGlide
	Held      bool    // tongued repeats of one note are held through
	Waver     float64 // cents, standard deviation of a slow wavering of the pitch
	Swell     float64 // dB, standard deviation of a slow coming and going of the level
	Fade      float64 // dB that each note is louder at its end than at its start
	Slow      float64 // seconds until a note is up to 3 dB under its level; 0 means as the reed speaks
	Break     int     // times that each note breaks off and begins anew
	Soft      float64 // dB that the level falls before a tongued repeat; 0 means a clean ta
	Depth     float64 // cents that every scoop starts too deep; what is left of it is at least 0
	Release   float64 // seconds that every scoop is let go too late
	Pace      float64 // vibrato and hand: so many times the asked speed; 0 means 1
	Extent    float64 // vibrato and hand: so many times the usual extent; 0 means 1
	Swap      bool    // the hand in place of the throat, and the throat in place of the hand
	Search    float64 // seconds in which a tone that was sounded is come down to from the natural reed
	Hunt      float64 // seconds of silence before the landing of each octave jump
	Graze     float64 // seconds for which the hole beside sounds before each landing
	Drop      int     // every Drop-th note is left out; 0 none
	Add       int     // after every Add-th note a wrong one is squeezed in; 0 none
	Seed      uint64
}

// DefaultGlide is how long a glide between rungs takes, in seconds. Our choice: quick
// enough to leave the rung most of its time, slow enough to be a glide.
const DefaultGlide = 0.12

// gap is the silence before a tongued repeat of the same reed, in seconds: a short
// "ta". Our choice.
const gap = 0.045

// breathing is how often a second an unsteady tone comes and goes, and breaking the silence in
// seconds where it breaks off. Our choice: slow beside a vibrato, and a quick gasp.
const (
	breathing = 1.0
	breaking  = 0.15
)

// upShare is the share of a rise in which a tone of package synth comes from its start, a
// quarter of its amplitude, to 3 dB under all of it. The rise is a raised cosine:
// (acos(1-2*sqrt(1/2)) - acos(1-2/4)) / pi.
const upShare = 0.30261

// Validate reports faults that cannot be played.
func (f Faults) Validate() error {
	for _, c := range []struct {
		name             string
		value, low, high float64
	}{
		{"cents", f.Cents, -200, 200}, {"deep", f.Deep, -200, 200}, {"late", f.Late, -1, 1},
		{"scatter", f.Scatter, 0, 0.5}, {"short", f.Short, 0, 0.9}, {"duty", f.Duty, 0, 0.95},
		{"jitter", f.Jitter, 0, 1}, {"overshoot", f.Overshoot, 0, 300}, {"glide", f.Glide, 0, 2},
		{"depth", f.Depth, -200, 200}, {"release", f.Release, 0, 2}, {"soft", f.Soft, 0, 40}, {"waver", f.Waver, 0, 100}, {"swell", f.Swell, 0, 10}, {"fade", f.Fade, -20, 20}, {"slow", f.Slow, 0, 0.5}, {"leak", f.Leak, -60, 60},
		{"pace", f.Pace, 0, 4}, {"extent", f.Extent, 0, 4}, {"search", f.Search, 0, 4}, {"hunt", f.Hunt, 0, 1}, {"graze", f.Graze, 0, 1},
	} {
		if !(c.value >= c.low && c.value <= c.high) {
			return fmt.Errorf("%s %g: lies from %g to %g", c.name, c.value, c.low, c.high)
		}
	}
	if f.Drop < 0 || f.Add < 0 || f.Break < 0 || f.Break > 5 {
		return fmt.Errorf("drop %d, add %d: 0 or more; break %d: 0 to 5", f.Drop, f.Add, f.Break)
	}
	return nil
}

// Notes returns what to sound for d with faults f, which must be valid. Times are drill
// time. Each note is plain and as loud as the others.
func Notes(d drill.Drill, f Faults) []synth.Note { return Perform(d, nil, f) }

// Perform is Notes with a touch for each target of d, and with the little rise and fall of
// level that a phrase has; without touches it is plain.
func Perform(d drill.Drill, touches []Touch, f Faults) []synth.Note {
	random := rand.New(rand.NewPCG(f.Seed, 0x5eed))
	starts, ends := times(d, f, random)
	order := counted(d)
	dropped := func(i int) bool { return f.Drop > 0 && order[i]%f.Drop == 0 }
	var notes []synth.Note
	for i, t := range d.Targets {
		if dropped(i) {
			continue
		}
		hz := sounded(t, f)
		if touches != nil && !touches[i].Hold && (i+1 == len(d.Targets) || d.Targets[i+1].Start-t.End > 1e-9) {
			ends[i] -= math.Min(letGo, letGoShare*(ends[i]-starts[i]))
		}
		n := synth.Note{Start: starts[i], End: ends[i], Hz: synth.Steady(hz)}
		if t.Scoop > 0 {
			n.Hz = scoop(n, hz, t, f)
		}
		if f.Search > 0 && d.Family == drill.Aim {
			n.Hz = f.search(d, t, n, hz)
		}
		chord(d, t, &n, f)
		before := i > 0 && len(notes) > 0 && !dropped(i-1)
		joined := before && math.Abs(notes[len(notes)-1].End-n.Start) < 1e-9
		switch {
		case t.Join == drill.Glide && joined:
			n.Legato = true
			n.Hz = glide(n.Start, sounded(d.Targets[i-1], f), hz, t, f)
		case t.Join == drill.Legato && joined:
			n.Legato = true
		case joined && d.Targets[i-1].Note == t.Note:
			if f.Held {
				notes[len(notes)-1].End = n.End
				continue
			}
			if f.Soft > 0 {
				n.Dip = f.Soft
				break
			}
			notes[len(notes)-1].End -= math.Min(gap, (notes[len(notes)-1].End-notes[len(notes)-1].Start)/3)
		}
		if jumps(d, i) {
			notes = f.hunt(notes, &n, d, i)
		}
		if f.Leak != 0 {
			n.Leaks = append(n.Leaks, synth.Leak{Hz: beside(d, t), Level: f.Leak})
		}
		if touches != nil {
			touches[i].colour(&n, t)
		}
		f.blow(&n)
		if t.Wave.By != drill.Nothing {
			notes = append(notes, f.wave(n, t.Wave, d.Tempo, random)...)
			continue
		}
		notes = append(notes, pieces(n, f.Break)...)
		if f.Add > 0 && order[i]%f.Add == 0 && !t.Warble {
			notes = squeeze(notes, d, t)
		}
	}
	return notes
}

// blow gives a note the faults of an unsteady breath.
func (f Faults) blow(n *synth.Note) {
	if f.Waver > 0 || f.Swell > 0 {
		n.Vibrato = synth.Vibrato{Rate: breathing, Cents: f.Waver * math.Sqrt2, DB: f.Swell * math.Sqrt2}
	}
	if f.Fade != 0 {
		n.LevelCurve = []synth.Point{{At: n.Start, Value: -f.Fade / 2}, {At: n.End, Value: f.Fade / 2}}
	}
	if f.Slow > 0 && !n.Legato {
		n.Attack = f.Slow / upShare
	}
}

// pieces breaks a note off so many times, at even distances.
func pieces(n synth.Note, breaks int) []synth.Note {
	length := (n.End - n.Start) / float64(breaks+1)
	var all []synth.Note
	for k := range breaks + 1 {
		piece := n
		piece.Start += float64(k) * length
		if k < breaks {
			piece.End = piece.Start + length - math.Min(breaking, length/3)
		}
		if k > 0 {
			piece.Legato = false
		}
		all = append(all, piece)
	}
	return all
}

// counted numbers the targets from 1 as a player counts notes: in a lick a warble is one, and
// so is a note with its glides.
func counted(d drill.Drill) []int {
	order := make([]int, len(d.Targets))
	n := 0
	for i := range d.Targets {
		if !within(d, i) && !(d.Family == drill.Lick && d.Targets[i].Join == drill.Glide && n > 0) {
			n++
		}
		order[i] = n
	}
	return order
}

// within reports whether target i goes on with the warble of the target before.
func within(d drill.Drill, i int) bool {
	return i > 0 && d.Targets[i].Warble && d.Targets[i-1].Warble && d.Targets[i].Join == drill.Legato
}

func sounded(t drill.Target, f Faults) float64 {
	cents := f.Cents
	if t.Note.Bend > 0 {
		cents -= f.Deep
	}
	return t.Hz * math.Exp2(cents/1200)
}

// times places the notes: late and scattered as asked, never crossing one another.
func times(d drill.Drill, f Faults, random *rand.Rand) (starts, ends []float64) {
	n := len(d.Targets)
	starts, ends = make([]float64, n), make([]float64, n)
	off, side := 0.0, 0
	for i, t := range d.Targets {
		if within(d, i) {
			side++ // the whole warble is off by as much as its first note
		} else {
			off, side = f.Scatter*random.NormFloat64(), 0
			if d.Family == drill.Warble {
				side = i
			}
		}
		starts[i] = t.Start + f.Late + off
		length := t.End - t.Start
		if d.Family == drill.Warble || t.Warble {
			if f.Duty != 0 && side%2 == 1 {
				starts[i] += (2*f.Duty - 1) * length // the first hole takes its share of the pair
			}
			// A gap is the difference of two starts: each has the jitter over the root of two.
			starts[i] += f.Jitter * length / math.Sqrt2 * random.NormFloat64()
		}
		if i > 0 {
			starts[i] = math.Max(starts[i], starts[i-1]+0.02)
		}
		starts[i] = math.Max(starts[i], 0)
	}
	for i, t := range d.Targets {
		ends[i] = starts[i] + (t.End - t.Start)
		if i+1 < n {
			next := d.Targets[i+1]
			if next.Start-t.End < 1e-9 || ends[i] > starts[i+1] {
				ends[i] = starts[i+1]
			}
			if next.Join != drill.Tongued {
				continue // one breath: no hole in it
			}
		}
		ends[i] -= f.Short * (ends[i] - starts[i])
	}
	return starts, ends
}

// A scoop stays under its pitch for scoopStay seconds, about as long as the reed takes to speak,
// and rises in scoopRise. Our choice, inside the 0.15 to 0.2 s in which scoops are over (common
// practice, no source).
const (
	scoopStay = 0.08
	scoopRise = 0.10
)

// scoop is the pitch of a note that starts under hz and rises to it.
func scoop(n synth.Note, hz float64, t drill.Target, f Faults) []synth.Point {
	low := hz * math.Exp2(-math.Max(0, t.Scoop+f.Depth)/1200)
	stay := math.Min(scoopStay+f.Release, 0.6*(n.End-n.Start))
	rise := math.Min(scoopRise, 0.2*(n.End-n.Start))
	return []synth.Point{{At: n.Start, Value: low}, {At: n.Start + stay, Value: low}, {At: n.Start + stay + rise, Value: hz}}
}

// glide moves from one pitch to the next, past it first where that is the fault.
func glide(start, from, to float64, t drill.Target, f Faults) []synth.Point {
	takes := f.Glide
	if takes == 0 {
		takes = DefaultGlide
	}
	takes = math.Min(takes, 0.8*(t.End-t.Start))
	points := []synth.Point{{At: start, Value: from}}
	if f.Overshoot > 0 && to < from {
		past := to * math.Exp2(-f.Overshoot/1200)
		points = append(points, synth.Point{At: start + 0.6*takes, Value: past}, synth.Point{At: start + 0.6*takes + 0.05, Value: past})
		takes += 0.05
	}
	return append(points, synth.Point{At: start + takes, Value: to})
}

// beside is a neighbouring hole with the same breath, the next higher one where there is one.
func beside(d drill.Drill, t drill.Target) float64 {
	hole := t.Note.Hole + 1 + len(t.Also)
	if hole > harp.Holes {
		hole = t.Note.Hole - 1
	}
	hz, err := d.Harp.Hz(harp.Note{Hole: hole, Breath: t.Note.Breath})
	if err != nil {
		panic("player: " + err.Error()) // every hole has both reeds
	}
	return hz
}

// squeeze takes the last third of the last note for a note two holes away.
func squeeze(notes []synth.Note, d drill.Drill, t drill.Target) []synth.Note {
	last := &notes[len(notes)-1]
	hole := t.Note.Hole + 2
	if hole > harp.Holes {
		hole = t.Note.Hole - 2
	}
	hz, err := d.Harp.Hz(harp.Note{Hole: hole, Breath: t.Note.Breath})
	if err != nil {
		panic("player: " + err.Error())
	}
	third := (last.End - last.Start) / 3
	silence := math.Min(0.03, third/3) // seconds either side: it is tongued
	wrong := synth.Note{Start: last.End - third, End: last.End - silence, Hz: synth.Steady(hz)}
	last.End = wrong.Start - silence
	return append(notes, wrong)
}
