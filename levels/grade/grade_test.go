package grade

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"reedwell/audio/listen"
	"reedwell/audio/synth"
	"reedwell/levels/band"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/player"
)

const rate = 48000

func build(t *testing.T, id, key string, tempo float64) drill.Drill {
	t.Helper()
	k, err := harp.ParseKey(key)
	if err != nil {
		t.Fatal(err)
	}
	d, err := drill.Build(drill.Spec{ID: id, Key: k, Tempo: tempo})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func gradeSound(t *testing.T, d drill.Drill, sound []float32) Result {
	t.Helper()
	take, err := listen.Hear(Ear(d, rate), sound)
	if err != nil {
		t.Fatal(err)
	}
	return Take(d, take)
}

func gradePlayed(t *testing.T, d drill.Drill, f player.Faults) Result {
	t.Helper()
	return gradeSound(t, d, synth.Render(rate, d.Seconds, player.Notes(d, f), f.Seed))
}

// Each drill played as asked passes with every note right, on a middle, a low and a
// high harp.
func TestPlayedAsAsked(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("long; it runs natively")
	}
	for i, s := range drill.List() {
		key := []string{"A", "low D", "F#"}[i%3] // each key meets each family and level
		d := build(t, s.ID, key, 0)
		if r := gradePlayed(t, d, player.Faults{}); !r.Passed || r.Share < 1 || r.Extra > 0 || r.Missing > 0 {
			t.Errorf("%s on %s: passed %v, %.0f %% right, %d missing, %d extra: %v", s.ID, key, r.Passed, 100*r.Share, r.Missing, r.Extra, r.Summary)
		}
	}
}

// values returns what was measured of one quantity at targets that want says.
func values(d drill.Drill, r Result, q Quantity, want func(drill.Target) bool) []float64 {
	var all []float64
	for _, m := range r.Marks {
		if m.Quantity == q && (m.Target < 0 || want == nil || want(d.Targets[m.Target])) {
			all = append(all, m.Heard)
		}
	}
	return all
}

func bent(t drill.Target) bool    { return t.Note.Bend > 0 }
func natural(t drill.Target) bool { return t.Note.Bend == 0 }

// What is sounded is what is reported. Tolerances: pitch 2 cents, what a reed voice and
// an ear without noise leave; time 10 ms, a free reed's attack; leak 3 dB, since the other
// reed's partials coincide with the note's own; shares and rates as stated.
func TestClosedLoops(t *testing.T) {
	t.Parallel()
	closed(t, []loop{
		{"30 cents sharp", "single-1", player.Faults{Cents: 30}, Pitch, nil, 30, 2},
		{"30 cents flat", "single-1", player.Faults{Cents: -30}, Pitch, nil, -30, 2},
		{"bends 20 too deep", "ladder-4d-1", player.Faults{Deep: 20}, Pitch, bent, -20, 2},
		{"bends 35 too high", "ladder-3d-4", player.Faults{Deep: -35}, Pitch, bent, 35, 2},
		{"bends 60 too deep, jumped", "ladder-6d-2", player.Faults{Deep: 60}, Pitch, bent, -60, 2},
		{"naturals as they are", "ladder-4d-1", player.Faults{Deep: 60}, Pitch, natural, 0, 2},
		{"80 ms late", "turnaround-1", player.Faults{Late: 0.080}, Start, nil, 0.080, 0.010},
		{"60 ms early", "turnaround-1", player.Faults{Late: -0.060}, Start, nil, -0.060, 0.010},
		{"half a second to find it", "single-2", player.Faults{Late: 0.5}, Find, nil, 0.5, 0.010},
		{"leak 8 dB under", "single-1", player.Faults{Leak: 8}, Leak, nil, -8, 3},
		{"leak 14 dB under", "single-1", player.Faults{Leak: 14}, Leak, nil, -14, 3},
		{"leak 20 dB under", "single-1", player.Faults{Leak: 20}, Leak, nil, -20, 3},
		{"half of the length", "turnaround-1", player.Faults{Short: 0.5}, Length, nil, 0.5, 0.04},
		{"60 cents past the rung", "ladder-4d-1", player.Faults{Overshoot: 60}, Overshoot, bent, 60, 8},
		{"glides of 120 ms", "ladder-4d-1", player.Faults{}, Settle, bent, 0.12, 0.05},
		{"glides of 500 ms", "ladder-4d-1", player.Faults{Glide: 0.5}, Settle, bent, 0.46, 0.06}, // settled 15 cents before the end of its 100
		{"first hole 65 %", "warble-2", player.Faults{Duty: 0.65}, Balance, nil, 0.65, 0.02},
		{"first hole 40 %", "warble-2", player.Faults{Duty: 0.40}, Balance, nil, 0.40, 0.02},
		{"warble even", "warble-2", player.Faults{}, Evenness, nil, 0, 0.03},
	})
}

// A loop is a fault that is played and what must be heard of it.
type loop struct {
	name, id  string
	faults    player.Faults
	quantity  Quantity
	at        func(drill.Target) bool
	want, tol float64
}

func closed(t *testing.T, loops []loop) {
	t.Helper()
	for _, c := range loops {
		d := build(t, c.id, "C", 0)
		got := values(d, gradePlayed(t, d, c.faults), c.quantity, c.at)
		if len(got) == 0 {
			t.Errorf("%s: no mark for %s", c.name, c.quantity)
		}
		for _, v := range got {
			if math.Abs(v-c.want) > c.tol {
				t.Errorf("%s: %s = %.4g, want %.4g within %.2g", c.name, c.quantity, v, c.want, c.tol)
			}
		}
	}
}

// Rates of both parts of a warble at two tempi: notes a second are tempo times notes in
// a beat over 60.
func TestWarbleRate(t *testing.T) {
	for _, tempo := range []float64{60, 100} {
		d := build(t, "warble-1", "C", tempo)
		r := gradePlayed(t, d, player.Faults{})
		got := values(d, r, Rate, nil)
		if len(got) != 2 {
			t.Fatalf("%d rates, want 2", len(got))
		}
		for i, inBeat := range []float64{2, 3} {
			if want := inBeat * tempo / 60; math.Abs(got[i]/want-1) > 0.02 {
				t.Errorf("tempo %g: %.3f notes a second, want %.3f", tempo, got[i], want)
			}
		}
	}
}

// Constant lateness and scatter are told apart, each as large as it was made: on the
// mean of many takes, since a dozen notes scatter their own scatter by a fifth.
func TestBiasAndScatterApart(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("long; it runs natively")
	}
	d := build(t, "turnaround-6", "C", 0)
	const takes = 12
	for _, c := range []struct{ late, scatter float64 }{{0, 0.025}, {0.060, 0.015}, {-0.040, 0.025}} {
		var bias, power float64
		for seed := range uint64(takes) {
			r := gradePlayed(t, d, player.Faults{Late: c.late, Scatter: c.scatter, Seed: seed + 1})
			bias += r.Bias / takes
			power += r.Scatter * r.Scatter / takes
		}
		// 22 notes in each of 12 takes: the standard error of the mean is under 2 ms.
		if math.Abs(bias-c.late) > 0.010 || math.Abs(math.Sqrt(power)-c.scatter) > 0.005 {
			t.Errorf("late %.0f ms, scatter %.0f ms: heard %.1f and %.1f", 1000*c.late, 1000*c.scatter, 1000*bias, 1000*math.Sqrt(power))
		}
	}
}

// Unevenness as it was made, on the mean of several takes.
func TestWarbleEvenness(t *testing.T) {
	t.Parallel()
	d := build(t, "warble-3", "C", 0)
	for _, jitter := range []float64{0.08, 0.15, 0.25} {
		sum, n := 0.0, 0.0
		for seed := range uint64(6) {
			for _, v := range values(d, gradePlayed(t, d, player.Faults{Jitter: jitter, Seed: seed + 1}), Evenness, nil) {
				sum, n = sum+v, n+1
			}
		}
		if got := sum / n; math.Abs(got-jitter) > 0.15*jitter+0.01 {
			t.Errorf("jitter %.2f: evenness %.3f", jitter, got)
		}
	}
}

// Fast but uneven scores below slow and even.
func TestFastUnevenIsWorseThanSlowEven(t *testing.T) {
	slow := build(t, "warble-1", "C", 0)
	even := gradePlayed(t, slow, player.Faults{Seed: 1})
	for _, id := range []string{"warble-3", "warble-5", "warble-6"} {
		d := build(t, id, "C", 0)
		for seed := range uint64(3) {
			uneven := gradePlayed(t, d, player.Faults{Jitter: 0.3, Seed: seed + 1})
			if uneven.Share >= even.Share || uneven.Passed {
				t.Errorf("%s uneven: %.2f, passed %v; slow and even: %.2f", id, uneven.Share, uneven.Passed, even.Share)
			}
		}
	}
}

// The usual fault of a ladder: the first rung is already too deep. It is named on that
// rung, and the second rung, which is right, is not blamed.
func TestFirstRungTooDeep(t *testing.T) {
	d := build(t, "ladder-3d-3", "C", 0)
	notes := player.Notes(d, player.Faults{})
	first := d.Targets[1] // 3 draw, half step
	for i := range notes {
		for k := range notes[i].Hz {
			if math.Abs(harp.Cents(notes[i].Hz[k].Value, first.Hz)) < 1 {
				notes[i].Hz[k].Value *= math.Exp2(-70.0 / 1200)
			}
		}
	}
	r := gradeSound(t, d, synth.Render(rate, d.Seconds, notes, 0))
	for _, m := range r.Marks {
		if m.Quantity != Pitch || m.Target < 0 {
			continue
		}
		want := 0.0
		if d.Targets[m.Target].Note == first.Note {
			want = -70
		}
		if math.Abs(m.Heard-want) > 5 { // the shallow move to the next rung blurs the edge of the stretch
			t.Errorf("target %d, %s: %.1f cents off, want %.0f", m.Target, m.Tab, m.Heard, want)
		}
	}
	if len(r.Summary) == 0 || !strings.Contains(r.Summary[0], "too deep") || !strings.Contains(r.Summary[0], "3 draw, half step") {
		t.Errorf("summary %q does not name the half step as too deep", r.Summary)
	}
}

// noise like speech: a voice at 90 to 160 Hz through moving resonances, in syllables.
func speech(seconds float64) []float32 {
	x := make([]float32, int(seconds*rate))
	phase := 0.0
	for i := range x {
		s := float64(i) / rate
		f0 := 125 + 30*math.Sin(2*math.Pi*0.7*s) + 10*math.Sin(2*math.Pi*2.3*s)
		phase += f0 / rate
		resonance := 600 * (1 + 0.5*math.Sin(2*math.Pi*1.3*s))
		sin, cos := math.Sincos(2 * math.Pi * phase)
		sk, ck := sin, cos // of k times that, by addition of angles
		v := 0.0
		for k := 1.0; k < 14; k++ {
			if off := (k*f0 - resonance) / 400; off*off < 20 { // beyond it is under -170 dB
				v += sk * math.Exp(-off*off)
			}
			sk, ck = sk*cos+ck*sin, ck*cos-sk*sin
		}
		x[i] = float32(0.2 * v * math.Max(0, math.Sin(2*math.Pi*3.1*s)))
	}
	return x
}

func white(seconds float64) []float32 {
	random := rand.New(rand.NewPCG(1, 2))
	x := make([]float32, int(seconds*rate))
	for i := range x {
		x[i] = float32(0.1 * random.NormFloat64())
	}
	return x
}

// Wrong playing must not pass, whatever the family, and its first advice names the fault.
func TestWrongPlayingFails(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("long; it runs natively")
	}
	ids := map[drill.Family]string{drill.Single: "single-2", drill.Long: "long-1", drill.Repeats: "repeats-3", drill.Scoop: "scoop-1", drill.Ladder: "ladder-3d-3", drill.Warble: "warble-3", drill.Turnaround: "turnaround-5"}
	for _, c := range []struct {
		name   string
		faults player.Faults
		only   drill.Family // "" all
		says   string
	}{
		{"flat", player.Faults{Cents: -60}, "", ""},
		{"sharp", player.Faults{Cents: 60}, "", ""},
		{"too deep", player.Faults{Deep: 60}, drill.Ladder, "too deep"},
		{"too deep", player.Faults{Deep: 60}, drill.Turnaround, "too deep"},
		{"too shallow", player.Faults{Deep: -55}, drill.Ladder, "too high"},
		{"overshoots", player.Faults{Overshoot: 90}, drill.Ladder, "past"},
		{"creeps", player.Faults{Glide: 1.2}, drill.Ladder, ""},
		{"two holes", player.Faults{Leak: 6}, "", "hole"},
		{"late", player.Faults{Late: 0.170}, drill.Turnaround, "late throughout"},
		{"far too late", player.Faults{Late: 0.45}, drill.Turnaround, "late throughout"},
		{"early", player.Faults{Late: -0.170}, drill.Turnaround, "early throughout"},
		{"much too late", player.Faults{Late: 1}, drill.Single, "to find"},
		{"uneven", player.Faults{Scatter: 0.130, Seed: 4}, drill.Turnaround, "scatter"},
		{"uneven", player.Faults{Jitter: 0.35, Seed: 4}, drill.Warble, "uneven"},
		{"limping", player.Faults{Duty: 0.72}, drill.Warble, "of the time"},
		{"missing", player.Faults{Drop: 3}, "", ""},
		{"extra", player.Faults{Add: 2}, drill.Single, "more than asked"},
		{"extra", player.Faults{Add: 2}, drill.Turnaround, "more than asked"},
		{"clipped short", player.Faults{Short: 0.75}, drill.Turnaround, "of its time"},
		{"not scooped", player.Faults{Depth: -100}, drill.Scoop, "not scooped"},
		{"scooped too lightly", player.Faults{Depth: -75}, drill.Scoop, "starts only"},
		{"scooped too deep", player.Faults{Depth: 90}, drill.Scoop, "begin lighter"},
		{"let go too late", player.Faults{Release: 0.4}, drill.Scoop, "spring forward"},
		{"much too late", player.Faults{Late: 1}, drill.Scoop, "to find"},
		{"wavering", player.Faults{Waver: 30}, drill.Long, "wavers"},
		{"swelling", player.Faults{Swell: 6.5}, drill.Long, "swells"},
		{"fading", player.Faults{Fade: -9}, drill.Long, "fades"},
		{"growing", player.Faults{Fade: 9}, drill.Long, "grows"},
		{"slow to speak", player.Faults{Slow: 0.4}, drill.Long, "come up"},
		{"out of breath", player.Faults{Short: 0.4}, drill.Long, "of its time"},
		{"broken off", player.Faults{Break: 1}, drill.Long, "breaks off once"},
		{"broken off", player.Faults{Break: 3}, drill.Long, "breaks off 3 times"},
		{"much too late", player.Faults{Late: 1}, drill.Long, "to find"},
		{"late", player.Faults{Late: 0.150}, drill.Repeats, "late throughout"},
		{"early", player.Faults{Late: -0.150}, drill.Repeats, "early throughout"},
		{"uneven", player.Faults{Scatter: 0.090, Seed: 4}, drill.Repeats, "scatter"},
		{"hardly tongued", player.Faults{Soft: 3}, drill.Repeats, "ta"},
		{"clipped short", player.Faults{Short: 0.7}, drill.Repeats, "of its time"},
		{"extra", player.Faults{Add: 2}, drill.Repeats, "more than asked"},
		{"held through", player.Faults{Held: true}, drill.Repeats, "held through"},
		{"held through", player.Faults{Held: true}, drill.Turnaround, "held through"},
	} {
		for family, id := range ids {
			if c.only != "" && c.only != family {
				continue
			}
			if c.name == "held through" && c.only == drill.Turnaround {
				id = "turnaround-2" // its repeats are most of it
			}
			r := gradePlayed(t, build(t, id, "A", 0), c.faults)
			if r.Passed {
				t.Errorf("%s, %s: passed with %.0f %%", id, c.name, 100*r.Share)
			}
			if len(r.Summary) == 0 || len(r.Summary) > 3 || !strings.Contains(strings.Join(r.Summary[:1], ""), c.says) {
				t.Errorf("%s, %s: summary %q, want %q first", id, c.name, r.Summary, c.says)
			}
		}
	}
}

// What is no playing passes nothing.
func TestNoPlayingFails(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("long; it runs natively")
	}
	for _, id := range []string{"single-1", "single-3", "ladder-4d-1", "warble-1", "turnaround-1", "turnaround-2"} {
		for _, key := range []string{"low D", "G", "C"} {
			d := build(t, id, key, 0)
			for name, sound := range map[string][]float32{
				"silence": make([]float32, int(d.Seconds*rate)), "noise": white(d.Seconds), "speech": speech(d.Seconds),
				"the backing alone": band.Render(d, rate),
			} {
				r := gradeSound(t, d, sound)
				if r.Passed || r.Share > 0.4 || len(r.Summary) == 0 {
					t.Errorf("%s on %s, %s: passed %v with %.0f %%, %q", id, key, name, r.Passed, 100*r.Share, r.Summary)
				}
			}
		}
	}
}

// Two empty takes that say why: nothing at all, and something that is no harmonica.
func TestProblems(t *testing.T) {
	d := build(t, "single-1", "C", 0)
	if r := gradeSound(t, d, make([]float32, 48000*5)); !strings.Contains(r.Problem, "Nothing was heard") {
		t.Errorf("silence: %q", r.Problem)
	}
	if r := gradeSound(t, d, white(5)); !strings.Contains(r.Problem, "no harmonica") {
		t.Errorf("noise: %q", r.Problem)
	}
	if r := Take(d, listen.Take{Rate: rate}); r.Passed || r.Problem == "" {
		t.Errorf("an empty take: %+v", r)
	}
}

// Bends are measured on the player's own harp: on one whose 4 draw is 20 cents flat, the
// half step is 20 cents lower too, and playing it there is right.
func TestProfileMovesTheTargets(t *testing.T) {
	spec := drill.Spec{ID: "ladder-4d-1"}
	plain, err := drill.Build(spec)
	if err != nil {
		t.Fatal(err)
	}
	spec.Profile.Draw[3] = -20
	own, err := drill.Build(spec)
	if err != nil {
		t.Fatal(err)
	}
	sound := synth.Render(rate, own.Seconds, player.Notes(own, player.Faults{}), 0)
	for _, v := range values(own, gradeSound(t, own, sound), Pitch, nil) {
		if math.Abs(v) > 2 {
			t.Errorf("on the own harp %.1f cents off, want 0", v)
		}
	}
	for _, v := range values(plain, gradeSound(t, plain, sound), Pitch, nil) {
		if math.Abs(v+20) > 2 {
			t.Errorf("against a harp without profile %.1f cents off, want -20", v)
		}
	}
}

// Matching is one to one and the best there is: it agrees with trying everything.
func TestMatchIsOptimal(t *testing.T) {
	d := build(t, "turnaround-1", "C", 0)
	heads := headsOf(d)[:4]
	random := rand.New(rand.NewPCG(7, 7))
	for range 300 {
		var notes []sounded
		at := d.Targets[0].Start - 0.3
		for range 1 + random.IntN(5) {
			at += random.Float64()
			of := d.Targets[random.IntN(4)]
			notes = append(notes, sounded{start: at, end: at + 0.5, hz: of.Hz * math.Exp2(random.NormFloat64()*60/1200)})
		}
		for _, shift := range []float64{0, 0.3} {
			pairs, cost := align(d, heads, notes, shift)
			want := best(d, heads, notes, 0, 0, shift)
			if got := total(d, heads, notes, pairs, shift); math.Abs(got-want) > 1e-9 || math.Abs(cost-want) > 1e-9 {
				t.Fatalf("match costs %g and says %g, the best is %g", got, cost, want)
			}
		}
	}
}

func total(d drill.Drill, heads []head, notes []sounded, pairs []int, shift float64) float64 {
	sum, used := 0.0, 0
	for i, p := range pairs {
		if p < 0 {
			sum += leftOut
			continue
		}
		used++
		sum += apart(d, heads[i], notes[p], shift)
	}
	return sum + leftOut*float64(len(notes)-used)
}

// best tries every pairing in order.
func best(d drill.Drill, heads []head, notes []sounded, i, j int, shift float64) float64 {
	if i == len(heads) || j == len(notes) {
		return leftOut * float64(len(heads)-i+len(notes)-j)
	}
	return min(apart(d, heads[i], notes[j], shift)+best(d, heads, notes, i+1, j+1, shift),
		leftOut+best(d, heads, notes, i+1, j, shift), leftOut+best(d, heads, notes, i, j+1, shift))
}

func TestResultIsPlainJSON(t *testing.T) {
	d := build(t, "warble-1", "C", 0)
	for _, f := range []player.Faults{{}, {Drop: 2}} {
		if _, err := json.Marshal(gradePlayed(t, d, f)); err != nil { // NaN and Inf would be refused
			t.Error(err)
		}
	}
}

func BenchmarkGrade(b *testing.B) {
	d, err := drill.Build(drill.Spec{ID: "turnaround-6"})
	if err != nil {
		b.Fatal(err)
	}
	take, err := listen.Hear(Ear(d, rate), synth.Render(rate, d.Seconds, player.Notes(d, player.Faults{}), 1))
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		Take(d, take)
	}
}
