//go:build !js

package corpus

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"sync"

	"reedwell/audio/audiotest"
	"reedwell/audio/synth"
)

// A Half is one of the two halves of the corpus.
type Half string

// The halves.
const (
	Tuning  Half = "tuning"
	Figures Half = "figures"
)

// A Condition is what is added to the sound.
type Condition string

// The conditions.
const (
	Clean Condition = "clean"
	Hum   Condition = "hum"
	Room  Condition = "room"
	Pink  Condition = "pink"
	Noisy Condition = "room+pink"  // the room, and the noise of Pink in it
	Loud  Condition = "overdriven" // a microphone overdriven by loudOver at half of the sounds: their tops are cut off
)

// InRoom reports whether a condition has the room in it.
func (c Condition) InRoom() bool { return c == Room || c == Noisy }

// Conditions in the order of the tables.
func Conditions() []Condition { return []Condition{Clean, Hum, Room, Pink, Noisy, Loud} }

// A File is one harp played by one voice.
type File struct {
	Voice   string // name of the font, or "reed" for our own
	Harp    int    // MIDI pitch of 1 blow
	Seed    uint64
	Sounds  []Sound // in order of time
	Samples []float32
	second  []float32 // what sounds along in pairs, alone
}

// Rate of all files in Hz.
const Rate = audiotest.Rate

// The voices that are no sound font.
const (
	Reed = "reed" // the project's own
	Weak = "weak" // a fundamental 13 dB under the fifth harmonic, each attack scooped
)

// harps by 1 blow: low C, low D, low F, G, A, Bb, C, D, E, F, high G.
func plan(half Half, voice string) []int {
	switch {
	case half == Tuning && voice == "FluidR3", half == Figures && voice == "TimGM6mb":
		return []int{50, 57, 60, 64}
	case half == Tuning && voice == "TimGM6mb", half == Figures && voice == "FluidR3":
		return []int{48, 55, 58, 62, 67}
	case half == Tuning && voice == Reed:
		return []int{57, 60}
	case half == Figures && voice == Reed:
		return []int{50, 65}
	case half == Tuning && voice == Weak:
		return []int{48, 55}
	case half == Figures && voice == Weak:
		return []int{50, 53}
	}
	return nil
}

// A Pick takes a part of a half. Empty fields take all.
type Pick struct {
	Voice string
	Harps []int
	Kinds []Kind
	// Again counts times that the half is played anew: by another hand, in another room, in other noise. 0 is the corpus itself.
	Again int
}

// seedsApart keeps the seeds of one playing of a half from those of the next: more than any MIDI pitch and the hundred of the reed.
const seedsApart = 1000

// Files renders the clean files of a half.
func Files(half Half, pick Pick) ([]File, error) {
	var out []File
	take := func(voice string, render func(f *File) error) error {
		if pick.Voice != "" && pick.Voice != voice {
			return nil
		}
		for _, key := range plan(half, voice) {
			if len(pick.Harps) > 0 && !slices.Contains(pick.Harps, key) {
				continue
			}
			seed := uint64(key + seedsApart*pick.Again)
			f := File{Voice: voice, Harp: key, Seed: seed}
			switch voice {
			case Weak:
				f.Sounds = scooped(key)
			case Reed:
				f.Sounds = score(key, seed+100)
			default:
				f.Sounds = score(key, seed)
			}
			if len(pick.Kinds) > 0 {
				f.Sounds = only(f.Sounds, pick.Kinds)
			}
			if len(f.Sounds) == 0 {
				continue
			}
			if err := render(&f); err != nil {
				return err
			}
			f.refer()
			out = append(out, f)
		}
		return nil
	}
	for _, font := range audiotest.Fonts() {
		if err := take(font.Name, func(f *File) error {
			m, err := measure(font)
			if err != nil {
				return err
			}
			return f.sample(font, m)
		}); err != nil {
			return nil, err
		}
	}
	if err := take(Reed, func(f *File) error { f.reed(); return nil }); err != nil {
		return nil, err
	}
	return out, take(Weak, func(f *File) error { f.weak(); return nil })
}

// In returns the file's sound in a condition; the truth is the same.
func (f File) In(c Condition) []float32 {
	seconds := float64(len(f.Samples)) / Rate
	pink := func() []float32 { return audiotest.Pink(Rate, seconds, f.level()-10, f.Seed) }
	switch c {
	case Hum:
		return audiotest.Sum(f.Samples, audiotest.Hum(Rate, seconds, 50, f.level()-20))
	case Room:
		return audiotest.Room(Rate, f.Samples, roomDecay, roomWet, 5+f.Seed)
	case Pink:
		return audiotest.Sum(f.Samples, pink())
	case Noisy:
		return audiotest.Sum(f.In(Room), pink())
	case Loud:
		return f.loud()
	}
	return f.Samples
}

// loudOver is by how many dB half of the sounds overdrive the microphone, at their loudest. Our choice: more than a musician would hear at once.
const loudOver = 3.0

// loud is the sound as a converter gives it whose full scale lies loudOver under the median of the sounds' peaks.
func (f File) loud() []float32 {
	var peaks []float32
	for _, s := range f.Sounds {
		peaks = append(peaks, audiotest.Peak(f.Samples[at(s.Start):at(s.Off)]))
	}
	slices.Sort(peaks)
	return audiotest.CutOff(f.Samples, peaks[len(peaks)/2]*float32(math.Pow(10, -loudOver/20)))
}

// Under is how many dB the second hole of a pair lies under the note in a condition. A room
// has a gain of its own for every line, so there both are measured, each alone in the room.
func (f File) Under(s Sound, c Condition) float64 {
	if !c.InRoom() {
		return s.Under
	}
	from, to := at(s.On), at(s.Off)
	note := append([]float32(nil), f.Samples[from:to]...)
	second := f.second[from:to]
	for i, v := range second {
		note[i] -= v
	}
	held := func(x []float32) float64 {
		return audiotest.Level(audiotest.Room(Rate, x, roomDecay, roomWet, 5+f.Seed)[at(0.1):len(x)])
	}
	return held(note) - held(second)
}

const roomDecay, roomWet = 0.5, -8 // seconds, dB: a living room; our choice

// level is the quartile of the levels of the naturals in dBFS: noise that lies 10 dB
// under it lies less than that under a quarter of them.
func (f File) level() float64 {
	var all []float64
	for _, s := range f.Sounds {
		if s.Kind == Natural {
			all = append(all, audiotest.Level(f.Samples[at(s.Start+0.05):at(s.Off)]))
		}
	}
	if len(all) == 0 {
		for _, s := range f.Sounds {
			// A turn of a quick warble is over 50 ms after it has come up.
			from := min(s.Start+0.05, (s.On+s.Off)/2)
			all = append(all, audiotest.Level(f.Samples[at(from):at(s.Off)]))
		}
	}
	slices.Sort(all)
	return all[len(all)/4]
}

func at(seconds float64) int { return int(seconds * Rate) }

// measured is what was measured of a font's keys.
type measured struct {
	cents, rise, fall map[int]float64
}

// memory keeps what was measured: it takes seconds and every half asks for it.
var memory = struct {
	sync.Mutex
	fonts map[string]measured
}{fonts: map[string]measured{}}

// measure renders every key once and measures its tuning, its rise and its fall.
func measure(font audiotest.Font) (measured, error) {
	memory.Lock()
	defer memory.Unlock()
	if m, ok := memory.fonts[font.Name]; ok {
		return m, nil
	}
	const every, on, off = 1.5, 0.1, 1.1
	var notes []audiotest.Played
	for k := audiotest.Lowest; k <= highest; k++ {
		t := float64(k-audiotest.Lowest) * every
		notes = append(notes, audiotest.Played{Start: t + on, End: t + off, Key: k})
	}
	all, err := audiotest.Render(font, notes)
	if err != nil {
		return measured{}, err
	}
	m := measured{map[int]float64{}, map[int]float64{}, map[int]float64{}}
	for k := audiotest.Lowest; k <= highest; k++ {
		from := at(float64(k-audiotest.Lowest) * every)
		x := all[from : from+at(every)]
		want := audiotest.Hz(float64(k))
		m.cents[k] = 1200 * math.Log2(audiotest.Period(x[at(0.4):at(1.05)], Rate, want)/want)
		if math.Abs(m.cents[k]) > 60 {
			return m, fmt.Errorf("%s, key %d is %.0f cents off: not the font this was written for", font.Name, k, m.cents[k])
		}
		start, end := audiotest.Edges(x, Rate, on, off, want)
		m.rise[k], m.fall[k] = start-on, end-off
	}
	memory.fonts[font.Name] = m
	return m, nil
}

// sample plays the score with a font: the notes, what sounds along with them, and the hand.
func (f *File) sample(font audiotest.Font, m measured) error {
	var main, second, third []audiotest.Played
	for i := range f.Sounds {
		s := &f.Sounds[i]
		s.Cents, s.Start, s.End = m.cents[s.Key], s.On+m.rise[s.Key], s.Off+m.fall[s.Key]
		if s.Kind == Scoop {
			s.Curve = f.scoop(*s)
		}
		main = append(main, audiotest.Played{Start: s.On, End: s.Off, Key: s.Key, Bend: s.Curve, Velocity: s.Velocity})
		if s.Second > 0 {
			s.SecondCents = m.cents[s.Second]
			second = append(second, audiotest.Played{Start: s.On, End: s.Off, Key: s.Second, Velocity: s.Velocity})
		}
		if s.Third > 0 {
			s.ThirdCents = m.cents[s.Third]
			third = append(third, audiotest.Played{Start: s.On, End: s.Off, Key: s.Third, Velocity: s.Velocity})
		}
	}
	var err error
	if f.Samples, err = audiotest.Render(font, main); err != nil {
		return err
	}
	f.Samples = append([]float32(nil), f.Samples...)
	f.second = make([]float32, len(f.Samples))
	for i, notes := range [][]audiotest.Played{second, third} {
		x, err := audiotest.Render(font, notes)
		if err != nil {
			return err
		}
		for _, s := range f.Sounds {
			if i == 0 && s.Second == 0 || i == 1 && s.Third == 0 {
				continue
			}
			held := func(y []float32) float64 { return audiotest.Level(y[at(s.On+0.1):at(s.Off)]) }
			// The third lies as far under the two before it together.
			g := float32(math.Pow(10, (held(f.Samples)-s.Under-held(x))/20))
			for n := at(s.On); n < min(at(s.Off+0.2), len(x), len(f.Samples)); n++ {
				f.Samples[n] += g * x[n]
				if s.Kind == Pair {
					f.second[n] = g * x[n]
				}
			}
		}
	}
	for _, s := range f.Sounds {
		if s.Kind == Wah {
			f.hand(s)
		}
	}
	return nil
}

// scoop is the curve of a scoop: under the note until a little after the tone has
// come up, then straight up to it.
func (f *File) scoop(s Sound) []audiotest.Point {
	k := float64(s.Key)
	from := s.Start + scoopHold
	return []audiotest.Point{{At: from, Pitch: k - s.Depth/100}, {At: from + s.Seconds, Pitch: k}}
}

// scoopHold is how long a scoop stays down once it is heard, in seconds. Our choice: longer than
// the time in which the samples, of themselves, find their pitch.
const scoopHold = 0.08

// hand closes and opens over the sound, as a low-pass whose corner moves would at a distance:
// the level goes down by Extent dB, the upper partials by twice as much.
func (f *File) hand(s Sound) {
	low := 0.0
	a := 1 - math.Exp(-2*math.Pi*1500/Rate)
	for n := at(s.On); n < min(at(s.Off+0.2), len(f.Samples)); n++ {
		t := float64(n)/Rate - s.On
		u := 0.5 - 0.5*math.Cos(2*math.Pi*s.Rate*t) // 0 open, 1 closed
		v := float64(f.Samples[n])
		low += a * (v - low)
		dark := low + (v-low)*math.Pow(10, -s.Extent*u/20)
		f.Samples[n] = float32(dark * math.Pow(10, -s.Extent*u/20))
	}
}

// reed plays the score with the project's own reed: irregular breath, reeds out of tune.
func (f *File) reed() {
	rng := rand.New(rand.NewPCG(f.Seed, 77))
	cents := map[int]float64{}
	tuned := func(k int) float64 {
		if _, ok := cents[k]; !ok {
			cents[k] = math.Max(-12, math.Min(12, 6*rng.NormFloat64()))
		}
		return cents[k]
	}
	var notes []synth.Note
	end := 0.0
	for i := range f.Sounds {
		s := &f.Sounds[i]
		s.Cents, s.Start, s.End = tuned(s.Key), s.On, s.Off
		n := synth.Note{Start: s.On, End: s.Off, Level: -20 - 4*rng.Float64(), Breath: -42 + 8*rng.Float64()}
		if s.Kind == Scoop {
			s.Curve = f.scoop(*s)
		}
		if len(s.Curve) == 0 {
			n.Hz = synth.Steady(s.Hz(s.On))
		}
		for _, p := range s.Curve {
			n.Hz = append(n.Hz, synth.Point{At: p.At, Value: audiotest.Hz(p.Pitch + s.Cents/100)})
		}
		switch s.Kind {
		case Warble:
			n.Level = -21
			n.Legato = i > 0 && f.Sounds[i-1].Group == s.Group
		case Repeat:
			n.Level = -21
		default:
			// An irregular breath.
			for t := s.On; t < s.Off; t += 0.12 + 0.1*rng.Float64() {
				n.LevelCurve = append(n.LevelCurve, synth.Point{At: t, Value: 0.8 * rng.NormFloat64()})
			}
		}
		if s.Second > 0 {
			s.SecondCents = tuned(s.Second)
			n.Leaks = append(n.Leaks, synth.Leak{Hz: s.SecondHz(), Level: math.Max(0.01, s.Under)})
		}
		if s.Third > 0 {
			s.ThirdCents = tuned(s.Third)
			n.Leaks = append(n.Leaks, synth.Leak{Hz: s.ThirdHz(), Level: math.Max(0.01, s.Under)})
		}
		notes = append(notes, n)
		end = s.Off
	}
	voice := synth.Reed{Rough: 1.5, Seed: f.Seed}
	f.Samples = voice.Render(Rate, end+0.6, notes)
	for i := range notes {
		notes[i].Leaks = nil
	}
	f.second = voice.Render(Rate, end+0.6, notes)
	for i, v := range f.Samples {
		f.second[i] = v - f.second[i]
	}
	for _, s := range f.Sounds {
		if s.Kind == Wah {
			f.hand(s)
		}
	}
}
