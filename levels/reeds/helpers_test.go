package reeds

import (
	"math"
	"testing"

	"reedwell/audio/audiotest"
	"reedwell/audio/listen"
	"reedwell/audio/synth"
	"reedwell/levels/harp"
)

const rate = 48000

// A fault is planted in one reed.
type fault struct {
	attack, breath float64
	flat           []float64 // cents under the reed, by the time it is played
}

// perform sounds each reed twice, as asked, on a harp; notes of 1.8 s with 0.7 s between.
func perform(h harp.Harp, plan []harp.Note, faults map[harp.Note]fault, seed uint64, times int) []float32 {
	var notes []synth.Note
	at := 0.5
	for _, n := range plan {
		hz, err := h.Hz(n)
		if err != nil {
			panic(err)
		}
		f := faults[n]
		for i := range max(times, len(f.flat)) {
			flat := 0.0
			if i < len(f.flat) {
				flat = f.flat[i]
			}
			notes = append(notes, synth.Note{Start: at, End: at + 1.8 + f.attack/2, Hz: synth.Steady(hz * math.Exp2(-flat/1200)),
				Attack: f.attack, Breath: f.breath})
			at += 2.5 + f.attack/2
		}
	}
	return synth.Render(rate, at+0.3, notes, seed)
}

func mustKey(t testing.TB, s string) harp.Key {
	t.Helper()
	k, err := harp.ParseKey(s)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// run feeds a sound through an ear into a pass, in blocks of a tenth of a second.
func run(t testing.TB, key harp.Key, x []float32) *Pass {
	t.Helper()
	p, err := NewPass(key, rate)
	if err != nil {
		t.Fatal(err)
	}
	ear, err := listen.New(p.Config())
	if err != nil {
		t.Fatal(err)
	}
	for len(x) > 0 {
		n := min(len(x), rate/10)
		ear.Process(x[:n])
		x = x[n:]
		p.Hear(ear.Frames(nil))
		ear.Notes(nil)
	}
	ear.Flush()
	p.Hear(ear.Frames(nil))
	p.End()
	return p
}

// heardIn is the sound in a place: clean, in a room, with a fan or noise.
func heardIn(place string, x []float32) []float32 {
	switch place {
	case "room":
		return audiotest.Room(rate, x, 0.4, -10, 5)
	case "noise":
		return audiotest.Sum(x, audiotest.Pink(rate, float64(len(x))/rate, -45, 3))
	}
	return x
}
