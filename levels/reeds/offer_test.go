package reeds

import (
	"math"
	"math/rand/v2"
	"testing"

	"reedwell/audio/audiotest"
	"reedwell/audio/listen"
	"reedwell/audio/synth"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// sloppy plays notes as a player does: all 10 cents flat, reeds within 10 cents of that and bends within 30 (standard deviations).
func sloppy(h harp.Harp, r *rand.Rand, notes ...harp.Note) []float64 {
	var hz []float64
	for _, n := range notes {
		f, err := h.Hz(n)
		if err != nil {
			panic(err)
		}
		spread := 10.0
		if n.Bend > 0 || n.Over {
			spread = 30
		}
		hz = append(hz, f*math.Exp2((-10+spread*r.NormFloat64())/1200))
	}
	return hz
}

// allKeys is a case with a harp of every key.
func allKeys(t testing.TB) Case {
	t.Helper()
	var c Case
	for _, key := range harp.Keys() {
		if err := c.Add(Kept{Name: key.String(), Harp: harp.Harp{Key: key, Tuning: harp.Compromise, A4: 442}}); err != nil {
			t.Fatal(err)
		}
	}
	return c
}

// In ordinary playing on the harp that is held nothing is offered: not in phrases with up to two bends in five, nor in any of the
// drills, on any key, with a case in which all other keys lie ready or with none. With
// bends in three of five, one phrase in two hundred at most.
func TestNoFalseOffer(t *testing.T) {
	full, empty := allKeys(t), Case{}
	r := rand.New(rand.NewPCG(11, 12))
	var naturals, bends []harp.Note
	for _, n := range harp.Notes() {
		switch {
		case n.Over:
		case n.Bend > 0:
			bends = append(bends, n)
		default:
			naturals = append(naturals, n)
		}
	}
	phrases := 100
	if testing.Short() {
		phrases = 10
	}
	for _, c := range []struct{ bent, most float64 }{{0, 0}, {0.2, 0}, {0.4, 0}, {0.6, 0.005}} {
		offers, total := 0, 0
		for _, key := range harp.Keys() {
			h := harp.Harp{Key: key, Tuning: harp.Compromise, A4: 442}
			for range phrases {
				low := 1 + r.IntN(6) // a phrase stays within five holes
				var phrase []harp.Note
				for len(phrase) < 12+r.IntN(30) {
					n := naturals[r.IntN(len(naturals))]
					if r.Float64() < c.bent {
						n = bends[r.IntN(len(bends))]
					}
					if n.Hole >= low && n.Hole < low+5 {
						phrase = append(phrase, n)
					}
				}
				p := sloppy(h, r, phrase...)
				total++
				if _, ok := Offer(p, &full, harp.New(key)); ok {
					offers++
				} else if _, ok := Offer(p, &empty, harp.New(key)); ok {
					offers++
				}
			}
		}
		t.Logf("%.0f %% of the notes bent: %d offers in %d phrases", c.bent*100, offers, total)
		if float64(offers) > c.most*float64(total) {
			t.Errorf("%.0f %% of the notes bent: %d false offers in %d phrases, want a share of %g", c.bent*100, offers, total, c.most)
		}
	}
	for _, d := range drill.List() {
		for i, key := range harp.Keys() {
			if testing.Short() && i%5 != 0 {
				continue
			}
			made, err := drill.Build(drill.Spec{ID: d.ID, Key: key, Tuning: harp.Compromise, A4: 442})
			if err != nil {
				t.Fatal(err)
			}
			var notes []harp.Note
			for _, target := range made.Targets {
				notes = append(notes, target.Note)
			}
			p := sloppy(made.Harp, r, notes...)
			for n := 4; n <= len(p); n += 3 {
				if got, ok := Offer(p[:n], &full, harp.New(key)); ok {
					t.Errorf("%s on %s: after %d notes %s is offered", d.ID, key, n, got.Key)
				}
			}
		}
	}
}

// Whoever holds another key than said, and runs over the holes or plays a phrase with bends after that, is asked: for all pairs of
// keys up to a fifth and at an octave apart. Never is a third key offered.
func TestWrongHarpIsOffered(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 14))
	full, empty := allKeys(t), Case{}
	lick := []harp.Note{draw(2), {Hole: 3, Breath: harp.Draw, Bend: 1}, draw(4), blow(4), draw(3), {Hole: 4, Breath: harp.Draw, Bend: 1}, draw(2), blow(2), draw(1), draw(5), blow(6), draw(6)}
	eight := append([]harp.Note{}, Plan()[:16]...) // holes 1 to 8
	for _, c := range []struct {
		name       string
		notes      []harp.Note
		kept, none float64 // share of pairs that are to be found, of a full case and of an empty one
	}{
		{"holes 1 to 8", eight, 0.85, 0.8},
		{"all holes", Plan(), 1, 1},
		{"a phrase, then all holes", append(append([]harp.Note{}, lick...), Plan()...), 0.95, 0.95},
		{"a phrase with bends", lick, 0.5, 0.4}, // waits for more
	} {
		asked := [2]int{}
		pairs := 0
		for i, key := range harp.Keys() {
			for j, said := range harp.Keys() {
				if d := max(i-j, j-i); d == 0 || d > 7 && d != 12 {
					continue
				}
				pairs++
				p := sloppy(harp.Harp{Key: key, Tuning: harp.Compromise, A4: 442}, r, c.notes...)
				for n, kept := range []*Case{&full, &empty} {
					got, ok := Offer(p, kept, harp.New(said))
					switch {
					case !ok:
					case got.Key != key || (got.Index >= 0) != (n == 0):
						t.Errorf("%s on %s, held as %s: %s, %d is offered", c.name, key, said, got.Key, got.Index)
					default:
						asked[n]++
					}
				}
			}
		}
		t.Logf("%s: of %d pairs %d are offered out of a full case, %d where none is kept", c.name, pairs, asked[0], asked[1])
		if float64(asked[0]) < c.kept*float64(pairs) || float64(asked[1]) < c.none*float64(pairs) {
			t.Errorf("%s: of %d pairs %d and %d are offered, want shares of %g and %g", c.name, pairs, asked[0], asked[1], c.kept, c.none)
		}
	}
}

// Through the ear: neighbouring keys sounded as notes, and what is no harp.
func TestOfferByEar(t *testing.T) {
	c := allKeys(t)
	hear := func(x []float32) []float64 {
		take, err := listen.Hear(listen.Config{Rate: rate}, x)
		if err != nil {
			t.Fatal(err)
		}
		return Pitches(take.Notes, rate)
	}
	for _, pair := range [][2]string{{"C", "Db"}, {"Bb", "A"}, {"G", "C"}, {"F", "C"}, {"low F", "F"}} {
		h := harp.Harp{Key: mustKey(t, pair[0]), Tuning: harp.JustSecondThird, A4: 443}
		var notes []synth.Note
		at := 0.3
		for _, n := range Plan() {
			hz, _ := h.Hz(n)
			notes = append(notes, synth.Note{Start: at, End: at + 0.4, Hz: synth.Steady(hz)})
			at += 0.5
		}
		p := hear(synth.Render(rate, at, notes, 3))
		if got, ok := Offer(p, &c, harp.New(mustKey(t, pair[1]))); !ok || got.Key != h.Key {
			t.Errorf("%s held as %s: offered %s, %v", pair[0], pair[1], got.Key, ok)
		}
		if got, ok := Offer(p, &c, harp.New(h.Key)); ok {
			t.Errorf("%s held as itself: offered %s", pair[0], got.Key)
		}
	}
	for seed := range uint64(4) {
		p := hear(audiotest.Babble(rate, 20, -25, seed))
		for _, key := range []string{"C", "low F", "A"} {
			if got, ok := Offer(p, &c, harp.New(mustKey(t, key))); ok {
				t.Errorf("speech %d, %d pitches, held %s: offered %s", seed, len(p), key, got.Key)
			}
		}
	}
	for _, p := range [][]float64{nil, {440, 440, 440, 440, 440, 440}, {math.NaN(), math.Inf(1), -1, 0, 1e300, 1e-300, 5, 7}} {
		if got, ok := Offer(p, &c, harp.Harp{}); ok {
			t.Errorf("%v: offered %s", p, got.Key)
		}
	}
}
