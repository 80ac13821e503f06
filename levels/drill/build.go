package drill

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"reedwell/levels/harp"
)

// The slowest and quickest tempo a drill is built for, in quarters a minute: slow
// blues starts near 50, jump tunes end near 190 (common practice, no source).
const (
	MinTempo = 30.0
	MaxTempo = 240.0
)

// What may be wrong with a Spec.
var (
	ErrUnknown  = errors.New("there is no such drill")
	ErrTempo    = fmt.Errorf("the tempo lies from %g to %g", MinTempo, MaxTempo)
	ErrPosition = errors.New("this drill is written for second position")
)

const (
	beatsPerBar = 4
	countIn     = 4.0 // beats: one bar
	tail        = 0.8 // seconds after the last note, so that its end is heard
)

// List tells all drills, family by family, easiest first.
func List() []Summary {
	var all []Summary
	for _, s := range material() {
		all = append(all, s.summary())
	}
	return all
}

// material is sketches with family and level filled in.
func material() []sketch {
	all := sketches()
	for i := range all {
		s := &all[i]
		if s.family != "" {
			continue
		}
		for _, f := range Families() {
			var level int
			if n, _ := fmt.Sscanf(s.id, string(f)+"-%d", &level); n == 1 {
				s.family, s.level = f, level
			}
		}
		s.chords = s.family == Turnaround
	}
	return all
}

// Build makes a drill for a harp, a position and a tempo.
func Build(spec Spec) (Drill, error) {
	s, ok := find(spec.ID)
	if !ok {
		return Drill{}, fmt.Errorf("drill %q: %w", spec.ID, ErrUnknown)
	}
	d, err := s.build(spec)
	if err != nil {
		return Drill{}, fmt.Errorf("drill %q: %w", spec.ID, err)
	}
	return d, nil
}

// About tells what a drill is, also of one that is not in [List]; it reports false where there is none.
func About(id string) (Summary, bool) {
	s, ok := find(id)
	return s.summary(), ok
}

// find is asked on every frame that a drill is shown: it writes the whole material only where that is needed.
func find(id string) (sketch, bool) {
	if strings.HasPrefix(id, sungPrefix) {
		return sung(id)
	}
	for _, s := range material() {
		if s.id == id {
			return s, true
		}
	}
	return sketch{}, false
}

func (s sketch) summary() Summary {
	return Summary{ID: s.id, Family: s.family, Level: s.level, Title: s.title, Words: s.words, Tempo: s.tempo}
}

func (s sketch) build(spec Spec) (Drill, error) {
	if spec.A4 == 0 {
		spec.A4 = 440
	}
	if spec.Position == 0 {
		spec.Position = 2
	}
	if spec.Tempo == 0 {
		spec.Tempo = s.tempo
	}
	d := Drill{
		ID: s.id, Family: s.family, Level: s.level, Title: s.title, Words: s.words,
		Harp:     harp.Harp{Key: spec.Key, Tuning: spec.Tuning, A4: spec.A4, Profile: spec.Profile},
		Position: spec.Position, Tempo: spec.Tempo,
		BeatsPerBar: beatsPerBar, Swing: 1, CountIn: countIn,
		Windows: WindowsFor(s.grade),
	}
	if err := d.Harp.Validate(); err != nil {
		return Drill{}, err
	}
	if !(d.Tempo >= MinTempo && d.Tempo <= MaxTempo) {
		return Drill{}, fmt.Errorf("tempo %g: %w", d.Tempo, ErrTempo)
	}
	if !d.Position.Valid() {
		return Drill{}, fmt.Errorf("position %d: positions are 1 to 5 and 12", d.Position)
	}
	if (s.chords || s.family == Blue) && d.Position != 2 {
		return Drill{}, fmt.Errorf("position %d: %w", d.Position, ErrPosition)
	}
	line, err := steps(s.text)
	if err == nil && s.call > 0 {
		line, err = echo(line, s.call)
	}
	if err != nil {
		return Drill{}, err
	}
	d.ByEar, d.Unseen = s.call > 0, s.family == Aim
	at := -s.pickup
	for _, p := range line {
		if !p.rest {
			hz, err := d.Harp.Hz(p.note)
			if err != nil {
				return Drill{}, err
			}
			t := Target{
				Start: d.Time(at), End: d.Time(at + p.beats), Beat: at, Beats: p.beats,
				Note: p.note, Hz: hz * math.Exp2(p.off/1200), Join: p.join, Scoop: p.scoop,
			}
			if p.call {
				d.Calls = append(d.Calls, t)
				at += p.beats
				continue
			}
			t.Wave = p.wave.at(d.Tempo)
			if p.blue {
				t.Hz, t.Zone = blueThird(d.Harp, d.Windows)
			}
			d.Targets = append(d.Targets, t)
		}
		at += p.beats
	}
	last := d.Targets[len(d.Targets)-1]
	// Thirds of a beat do not add up exactly; a bar that is full to a thousandth is full.
	d.Bars = int(math.Ceil((last.Beat+last.Beats)/beatsPerBar - 1e-3))
	d.Seconds = d.Time(float64(d.Bars*beatsPerBar)) + tail
	if s.chords {
		d.Swing = 2 // a triplet shuffle, as slow blues is taught (common practice, no source)
		d.Chords = turnaroundChords(d)
	}
	return d, nil
}

// turnaroundChords are bars eleven and twelve of a slow blues, I IV | I V, and the
// first bar of the next chorus.
func turnaroundChords(d Drill) []Chord {
	tonic := (d.Harp.Key.MIDI() + d.Position.Root()) % 12
	var all []Chord
	for i, degree := range []int{0, 5, 0, 7, 0} {
		c := Chord{Beat: float64(2 * i), Beats: 2, Root: (tonic + degree) % 12, Tones: []int{0, 4, 7, 10}}
		if i == 4 {
			c.Beats = beatsPerBar
		}
		c.Name = d.Harp.Key.Spell(c.Root) + "7"
		all = append(all, c)
	}
	return all
}
