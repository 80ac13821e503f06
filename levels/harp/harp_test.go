package harp

import (
	"errors"
	"math"
	"slices"
	"testing"
)

// Hz of the equal-tempered scale at A4 = 440 (ISO 16:1975), C3 to C7, in the hundredths
// that handbook tables print; from memory.
func equalTable() []float64 {
	return []float64{
		130.81, 138.59, 146.83, 155.56, 164.81, 174.61, 185.00, 196.00, 207.65, 220.00, 233.08, 246.94,
		261.63, 277.18, 293.66, 311.13, 329.63, 349.23, 369.99, 392.00, 415.30, 440.00, 466.16, 493.88,
		523.25, 554.37, 587.33, 622.25, 659.26, 698.46, 739.99, 783.99, 830.61, 880.00, 932.33, 987.77,
		1046.50, 1108.73, 1174.66, 1244.51, 1318.51, 1396.91, 1479.98, 1567.98, 1661.22, 1760.00, 1864.66, 1975.53,
		2093.00, 2217.46, 2349.32, 2489.02, 2637.02, 2793.83, 2959.96, 3135.96, 3322.44,
	}
}

func TestEqualTemperamentTable(t *testing.T) {
	table := equalTable()
	used := map[int]bool{}
	for _, k := range Keys() {
		h := New(k)
		for _, n := range Notes() {
			m := h.MIDI(n)
			used[m] = true
			if got := h.hz(n); math.Abs(got-table[m-48]) > 0.0055 { // the table is rounded to a hundredth
				t.Errorf("%s on %s, MIDI %d: %.4f Hz, want %.2f", n.Tab(), k, m, got, table[m-48])
			}
		}
	}
	if len(used) != len(table) {
		t.Errorf("%d of the table's %d pitches are on some harp", len(used), len(table))
	}
}

// The whole chain from a key's name and tab to Hz, against the same handbook table.
func TestHzByName(t *testing.T) {
	for _, c := range []struct {
		key, tab string
		hz       float64
	}{
		{"C", "+1", 261.63}, {"C", "-2", 392.00}, {"C", "+3", 392.00}, {"C", "-3'''", 415.30},
		{"C", "-4'", 554.37}, {"C", "+10", 2093.00}, {"C", "+10''", 1864.66}, {"C", "-10o", 2217.46},
		{"A", "-2''", 293.66}, {"A", "-4", 493.88}, {"G", "+1", 196.00}, {"low D", "+1", 146.83},
		{"low C", "+1", 130.81}, {"high G", "-10", 2637.02}, {"F#", "+1", 369.99}, {"high G", "-10o", 3322.44},
	} {
		got, err := New(mustKey(t, c.key)).Hz(must(t, c.tab))
		if err != nil || math.Abs(got-c.hz) > 0.0055 {
			t.Errorf("%s on %s = %.3f Hz, %v, want %.2f", c.tab, c.key, got, err, c.hz)
		}
	}
}

// 441 to 444 Hz lie 3.93, 7.85, 11.76 and 15.67 cents over 440: 1200 * log2(A4/440).
func TestReferencePitchMovesEveryNote(t *testing.T) {
	for a4, want := range map[float64]float64{441: 3.93, 442: 7.85, 443: 11.76, 444: 15.67, 0: 0} {
		for _, n := range Notes() {
			h := Harp{Key: mustKey(t, "Eb"), A4: a4}
			if got := Cents(h.hz(n), New(h.Key).hz(n)); math.Abs(got-want) > 0.0051 { // rounded to a hundredth
				t.Errorf("A4 = %g: %s moves %.3f cents, want %.2f", a4, n.Tab(), got, want)
			}
		}
	}
}

// A bend hangs on its reed: the reed's own deviation, by tuning and profile, carries over.
func TestBendsAndOverbendsFollowTheirReed(t *testing.T) {
	h := Harp{Key: mustKey(t, "A"), Tuning: Just7, A4: 442}
	for i := range Holes {
		h.Profile.Blow[i], h.Profile.Draw[i] = float64(3*i-20), float64(17-5*i)
	}
	for _, n := range Notes() {
		natural, want := Note{Hole: n.Hole, Breath: n.Breath}, -100*float64(n.Bend)
		if n.Over { // counted from the other reed, the higher of the hole
			natural.Breath, want = n.Breath.Other(), 100
		}
		if got := Cents(h.hz(n), h.hz(natural)); math.Abs(got-want) > 1e-9 {
			t.Errorf("%s lies %.6f cents from %s, want %g", n.Tab(), got, natural.Tab(), want)
		}
	}
	if got := Cents(h.hz(must(t, "-5")), 442*math.Exp2((74-69)/12.0)); math.Abs(got-(-29.2191-3)) > 1e-9 {
		t.Errorf("5 draw deviates %.4f cents, want the tuning's -29.2191 and the profile's -3", got)
	}
}

func TestValidate(t *testing.T) {
	for _, c := range []struct {
		harp Harp
		want error
	}{
		{Harp{A4: 429.99}, ErrA4}, {Harp{A4: 450.01}, ErrA4}, {Harp{A4: -440}, ErrA4},
		{Harp{A4: math.NaN()}, ErrA4}, {Harp{A4: math.Inf(1)}, ErrA4},
		{Harp{Tuning: 99}, ErrTuning}, {Harp{Tuning: -1}, ErrTuning},
		{Harp{Profile: Profile{Blow: [Holes]float64{2: 60.5}}}, ErrProfile},
		{Harp{Profile: Profile{Draw: [Holes]float64{9: -61}}}, ErrProfile},
		{Harp{Profile: Profile{Draw: [Holes]float64{0: math.NaN()}}}, ErrProfile},
		{Harp{}, nil}, {Harp{A4: 430}, nil}, {Harp{A4: 450, Tuning: Compromise}, nil},
		{Harp{Profile: Profile{Draw: [Holes]float64{9: -60}}}, nil},
	} {
		if err := c.harp.Validate(); !errors.Is(err, c.want) {
			t.Errorf("Validate(%+v) = %v, want %v", c.harp, err, c.want)
		}
	}
}

// Every note of every key, tuning and reference pitch is found again from its pitch
// and from up to 40 cents beside it: the nearest notes of all tunings are 100 cents less
// 29 and 14 (5 blow to 7-limit 5 draw) apart, so only 29 is sure there.
func TestLocateFindsEveryNote(t *testing.T) {
	for _, k := range Keys() {
		for _, tuning := range Tunings() {
			offs := []float64{-40, -10, 0, 10, 40}
			if tuning != Equal {
				offs = []float64{-29, 0, 29}
			}
			for _, a4 := range []float64{430, 440, 443, 450} {
				h := Harp{Key: k, Tuning: tuning, A4: a4}
				for _, n := range Notes() {
					for _, off := range offs {
						for _, expect := range [][]Note{nil, {n}} {
							want := n
							if expect == nil && n == (Note{Hole: 3}) {
								want = Note{Hole: 2, Breath: Draw} // the same pitch
							}
							got, ok := h.Locate(up(h.hz(n), off), expect)
							if !ok || got.Note != want || math.Abs(got.Cents-off) > 1e-6 {
								t.Fatalf("%v %v A4 %g: Locate(%s %+g, %v) = %s %+.6f, %v", k, tuning, a4, n.Tab(), off, expect, got.Note.Tab(), got.Cents, ok)
							}
						}
					}
				}
			}
		}
	}
}

// Any profile that Validate lets pass, however odd: each expected note is found at
// its own pitch.
func TestLocateFindsWhatIsExpectedInAnyProfile(t *testing.T) {
	x := uint32(1) // a fixed linear congruential sequence (Numerical Recipes' constants): the same profiles each run
	for range 200 {
		h := Harp{Key: mustKey(t, "D"), Tuning: Just7, A4: 445}
		for i := range Holes {
			for _, reeds := range []*[Holes]float64{&h.Profile.Blow, &h.Profile.Draw} {
				x = x*1664525 + 1013904223
				reeds[i] = float64(x)/(1<<32)*2*MaxProfile - MaxProfile
			}
		}
		for _, n := range Notes() {
			got, ok := h.Locate(h.hz(n), []Note{n})
			if !ok || got.Note != n || math.Abs(got.Cents) > 1e-6 {
				t.Fatalf("%+v: Locate(%s) = %s %+.3f, %v", h.Profile, n.Tab(), got.Note.Tab(), got.Cents, ok)
			}
		}
	}
}

// Down a bend in one-cent steps: the hole and breath stay, the depth is what was bent,
// the rung is the nearest. Their ranges do not overlap (from the layout), so no
// expectation is needed.
func TestLocateFollowsABendAllTheWay(t *testing.T) {
	for _, tuning := range []Tuning{Equal, Just, Compromise} {
		h := Harp{Key: mustKey(t, "A"), Tuning: tuning, A4: 441}
		for hole := 1; hole <= Holes; hole++ {
			b, rungs := Bends(hole)
			if rungs == 0 {
				continue
			}
			natural := Note{Hole: hole, Breath: b}
			for depth := 0.0; depth <= 100*float64(rungs)+30; depth++ {
				got, ok := h.Locate(up(h.hz(natural), -depth), nil)
				want := natural
				want.Bend = min(int(math.Round(depth/100)), rungs)
				if math.Mod(depth, 100) == 50 {
					want.Bend = got.Note.Bend // half way either rung is right
				}
				if !ok || got.Note != want || math.Abs(got.Depth-depth) > 1e-6 ||
					math.Abs(got.Cents-(100*float64(want.Bend)-depth)) > 1e-6 {
					t.Fatalf("%v: %g cents under %s: %s, %+.2f cents, depth %.2f, %v; want %s", tuning, depth, natural.Tab(),
						got.Note.Tab(), got.Cents, got.Depth, ok, want.Tab())
				}
			}
		}
	}
}

func TestTwoDrawOrThreeBlow(t *testing.T) {
	two, three := Note{Hole: 2, Breath: Draw}, Note{Hole: 3}
	apart := New(Key{})
	apart.Profile.Draw[1], apart.Profile.Blow[2] = -15, 15
	far := New(Key{})
	far.Profile.Draw[1], far.Profile.Blow[2] = 40, -40
	for _, c := range []struct {
		name   string
		harp   Harp
		cents  float64 // over the equal-tempered pitch
		expect []Note
		want   Note
	}{
		{"nothing expected", New(Key{}), 0, nil, two},
		{"3 blow expected", New(Key{}), 0, []Note{three}, three},
		{"2 draw expected", New(Key{}), 0, []Note{two}, two},
		{"among others", New(Key{}), 0, []Note{{Hole: 4}, three}, three},
		{"both, the first listed", New(Key{}), 0, []Note{three, two}, three},
		{"both, the first listed", New(Key{}), 0, []Note{two, three}, two},
		{"3 blow played 45 flat", New(Key{}), -45, []Note{three}, three},
		{"2 draw bent 60: 3 blow does not bend", New(Key{}), -60, []Note{three}, Note{Hole: 2, Breath: Draw, Bend: 1}},
		{"impossible notes expected", New(Key{}), 0, []Note{{Hole: 99}, {Hole: 3, Bend: 1}}, two},
		{"set apart, near 2 draw", apart, -15, nil, two},
		{"set apart, nearer 3 blow by 10", apart, 5, nil, two},
		{"set apart, nearer 3 blow by 30", apart, 15, nil, three},
		{"set apart, both expected", apart, 5, []Note{two, three}, three},
		{"set apart, 2 draw expected", apart, 15, []Note{two}, two},
		{"set far apart, not what is expected", far, 40, []Note{three}, two},
	} {
		hz := up(New(Key{}).hz(two), c.cents)
		got, ok := c.harp.Locate(hz, c.expect)
		if !ok || got.Note != c.want || math.Abs(up(c.harp.hz(c.want), got.Cents)-hz) > 1e-6 {
			t.Errorf("%s: %s %+.1f cents, want %s", c.name, got.Note.Tab(), got.Cents, c.want.Tab())
		}
	}
}

// An expectation chooses between ways to play one pitch; it does not bend the verdict.
func TestExpectationDoesNotMoveAPitch(t *testing.T) {
	h := New(Key{})
	got, _ := h.Locate(h.hz(must(t, "-4")), []Note{must(t, "-4'"), must(t, "+4"), must(t, "-5")})
	if got.Note != must(t, "-4") {
		t.Errorf("4 draw with other notes expected: %s", got.Note.Tab())
	}
	if got, _ := h.Locate(h.hz(must(t, "+2o")), []Note{must(t, "+2o")}); got.Note != must(t, "+2o") || got.Depth != 0 {
		t.Errorf("2 overblow expected: %s, depth %g", got.Note.Tab(), got.Depth)
	}
	if got, _ := h.Locate(h.hz(must(t, "+2o")), nil); got.Note != must(t, "-3'''") {
		t.Errorf("the pitch of 2 overblow, nothing expected: %s, want -3'''", got.Note.Tab())
	}
}

func TestDepthIsMeasuredFromThePlayersReed(t *testing.T) {
	h := New(Key{})
	h.Profile.Draw[3] = -25
	for _, c := range []struct {
		tab          string
		from         float64 // cents from the reed played
		want         string
		cents, depth float64
	}{
		{"-4", -80, "-4'", 20, 80},
		{"-4", 12, "-4", 12, -12},
		{"-3", -149, "-3'", -49, 149},
		{"+10", -210, "+10''", -10, 210},
		{"+6o", 15, "+6o", 15, 0},
		{"-5", -30, "-5", -30, 30},
	} {
		got, ok := h.Locate(up(h.hz(must(t, c.tab)), c.from), nil)
		if !ok || got.Note.Tab() != c.want || math.Abs(got.Depth-c.depth) > 1e-6 || math.Abs(got.Cents-c.cents) > 1e-6 {
			t.Errorf("%s %+g cents: %s %+.2f, depth %.2f, want %s %+g, depth %g", c.tab, c.from,
				got.Note.Tab(), got.Cents, got.Depth, c.want, c.cents, c.depth)
		}
	}
}

// Within its range every pitch has a note, in the wide steps of a just tuning too; the
// widest is 5 blow to 5 draw in 5-limit, 1200 * log2(27/25) = 133.24 cents. Outside none
// has.
func TestLocateCoversTheHarpAndNoMore(t *testing.T) {
	for _, tuning := range Tunings() {
		h := Harp{Key: mustKey(t, "low C"), Tuning: tuning, A4: 440}
		last := math.Inf(-1)
		for hz := h.Low(); hz <= h.High(); hz = up(hz, 1) {
			got, ok := h.Locate(hz, nil)
			if !ok || math.Abs(got.Cents) > 66.63 { // half the widest step
				t.Fatalf("%v: Locate(%.2f) = %s %+.1f, %v", tuning, hz, got.Note.Tab(), got.Cents, ok)
			}
			if at := h.hz(got.Note); at < last-1e-9 {
				t.Fatalf("%v: at %.2f Hz the note falls to %s", tuning, hz, got.Note.Tab())
			} else {
				last = at
			}
		}
		for _, hz := range []float64{0, -1, math.NaN(), math.Inf(1), up(h.Low(), -0.01), up(h.High(), 0.01)} {
			if got, ok := h.Locate(hz, []Note{{Hole: 1}}); ok {
				t.Errorf("%v: Locate(%g) = %s, want nothing", tuning, hz, got.Note.Tab())
			}
		}
	}
}

// The ends of the search range on all keys fit what the ear searches by default,
// 125 to 3400 Hz, but for reference pitches at the edge.
func TestSearchRange(t *testing.T) {
	low, high := New(mustKey(t, "low C")).Low(), New(mustKey(t, "high G")).High()
	if math.Abs(Cents(130.81, low)-50) > 0.1 || math.Abs(Cents(high, 3322.44)-50) > 0.1 { // 0.1: table rounding
		t.Errorf("range %.2f to %.2f Hz, want a quarter tone beyond 130.81 and 3322.44", low, high)
	}
	for _, k := range Keys() {
		h := Harp{Key: k, Tuning: Just5, A4: 448}
		for _, n := range Notes() {
			if hz := h.hz(n); hz <= h.Low() || hz >= h.High() {
				t.Errorf("%s on %s: %.1f Hz is outside %.1f to %.1f", n.Tab(), k, hz, h.Low(), h.High())
			}
		}
	}
}

func TestLocateDoesNotAllocate(t *testing.T) {
	h := Harp{Key: mustKey(t, "A"), Tuning: Compromise, A4: 442}
	expect := []Note{{Hole: 3}, {Hole: 2, Breath: Draw}}
	if n := testing.AllocsPerRun(100, func() { h.Locate(330, expect) }); n != 0 {
		t.Errorf("Locate allocates %v times, want 0: it runs for every frame heard", n)
	}
}

// Semitones between neighbouring holes of the same breath: from the OEIS layout.
func TestSpansNameTheNeighbours(t *testing.T) {
	between := [2][]float64{Blow: {4, 3, 5, 4, 3, 5, 4, 3, 5}, Draw: {5, 4, 3, 3, 4, 2, 3, 3, 4}}
	h := New(mustKey(t, "A"))
	spans := h.Spans()
	if len(spans) != 27 {
		t.Fatalf("%d spans, want 20 reeds and 7 overbends", len(spans))
	}
	at := 0
	for hole := 1; hole <= Holes; hole++ {
		bending, rungs := Bends(hole)
		kinds := []Note{{Hole: hole}, {Hole: hole, Breath: Draw}}
		if fills(hole) {
			kinds = append(kinds, Note{Hole: hole, Breath: bending.Other(), Over: true})
		}
		for _, n := range kinds {
			s := spans[at]
			at++
			width := 100.0
			if n.Breath == bending && !n.Over {
				width += 100 * float64(rungs)
			}
			if over := Cents(s.High, h.hz(n)); math.Abs(over-50) > 1e-6 || math.Abs(Cents(s.High, s.Low)-width) > 1e-6 {
				t.Errorf("%s: %.1f to %.1f Hz, %.1f cents wide and %.1f over; want %g and 50", n.Tab(), s.Low, s.High, Cents(s.High, s.Low), over, width)
			}
			var want []float64 // semitones from this hole's natural reed of the breath
			if hole > 1 {
				want = append(want, -between[n.Breath][hole-2])
			}
			if hole < Holes {
				want = append(want, between[n.Breath][hole-1])
			}
			var got []float64
			for _, hz := range s.Beside {
				got = append(got, math.Round(Cents(hz, h.hz(Note{Hole: hole, Breath: n.Breath}))*1e6/100)/1e6)
			}
			if !slices.Equal(got, want) {
				t.Errorf("beside %s: %v semitones away, want %v", n.Tab(), got, want)
			}
		}
	}
}

// Each note lies in its own hole's span and, but for 2 draw and 3 blow, in no other;
// so a bead's hole tells which leaks to listen for.
func TestSpansHoldOneHoleEach(t *testing.T) {
	for _, k := range Keys() {
		for _, tuning := range Tunings() {
			h := Harp{Key: k, Tuning: tuning, A4: 440}
			for _, n := range Notes() {
				want := 1
				if n.Semitones() == 7 {
					want = 2
				}
				hz, got := h.hz(n), 0
				for _, s := range h.Spans() {
					if hz >= s.Low && hz <= s.High {
						got++
					}
				}
				if got != want {
					t.Errorf("%s on %s, %v: in %d spans, want %d", n.Tab(), k, tuning, got, want)
				}
			}
		}
	}
}
