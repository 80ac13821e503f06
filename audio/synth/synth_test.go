package synth_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	. "reedwell/audio/synth"
)

const rate = 48000

// What follows measures sounds by other means than those that make them: a tone is
// multiplied with a complex sine and a window, and its frequency read from how the
// phase turns between two places.

// probe is the complex amplitude of x at hz in a Blackman window of width seconds
// around at seconds: magnitude (peak of the sine) and phase against absolute time.
func probe(x []float32, rate int, hz, at, width float64) (mag, phase float64) {
	var re, im, sum float64
	first := int(math.Ceil((at - width/2) * float64(rate)))
	last := int(math.Floor((at + width/2) * float64(rate)))
	for i := max(0, first); i <= min(last, len(x)-1); i++ {
		u := (float64(i)/float64(rate) - at) / width // -0.5..0.5
		w := 0.42 + 0.5*math.Cos(2*math.Pi*u) + 0.08*math.Cos(4*math.Pi*u)
		s, c := math.Sincos(2 * math.Pi * hz * float64(i) / float64(rate))
		re += w * c * float64(x[i])
		im -= w * s * float64(x[i])
		sum += w
	}
	return 2 * math.Hypot(re, im) / sum, math.Atan2(im, re)
}

// hzNear is the frequency around at, from the phase at two places gap apart. The
// guess has to be within 0.5/gap Hz.
func hzNear(x []float32, rate int, guess, at, width, gap float64) float64 {
	_, a := probe(x, rate, guess, at-gap/2, width)
	_, b := probe(x, rate, guess, at+gap/2, width)
	return guess + math.Remainder(b-a, 2*math.Pi)/(2*math.Pi*gap)
}

func cents(a, b float64) float64 { return 1200 * math.Log2(a/b) }

func rms(x []float32, from, to float64) float64 {
	a, b := int(from*rate), int(to*rate)
	sum := 0.0
	for _, v := range x[max(0, a):min(b, len(x))] {
		sum += float64(v) * float64(v)
	}
	return math.Sqrt(sum / float64(b-a))
}

func db(x float64) float64 { return 20 * math.Log10(x) }

// crossing is the first moment after from when the RMS over width seconds, around
// it, passes share, upward or downward.
func crossing(x []float32, from, width, share float64, up bool) float64 {
	for t := from; t < float64(len(x))/rate; t += 0.0002 {
		if r := rms(x, t-width/2, t+width/2); up && r >= share || !up && r <= share {
			return t
		}
	}
	return math.NaN()
}

// biggestStep is the greatest jump between neighbouring samples.
func biggestStep(x []float32) float64 {
	m := 0.0
	for i := 1; i < len(x); i++ {
		m = max(m, math.Abs(float64(x[i]-x[i-1])))
	}
	return m
}

func held(hz float64) Note {
	return Note{Start: 0.1, End: 0.9, Hz: Steady(hz), Breath: NoBreath}
}

func TestPitchIsExact(t *testing.T) {
	// 0.1 cent is a fiftieth of the smallest deviation the ear can hear in a tone
	// (about 5 cents, from memory), so a proof may take the asked pitch as the truth.
	for _, rate := range []int{16000, 44100, 48000, 96000} {
		for _, hz := range []float64{130.81, 196, 261.63, 440, 466.1637, 1046.5, 2093, 3322.4} {
			n := held(hz)
			n.Breath = 0
			x := Render(rate, 1, []Note{n}, 0)
			got := hzNear(x, rate, hz, 0.5, 0.2, 0.4)
			if d := cents(got, hz); math.Abs(d) > 0.1 {
				t.Errorf("rate %d, %g Hz: measured %g Hz, %+.3f cents off", rate, hz, got, d)
			}
		}
	}
}

func TestRoughReedStaysNear(t *testing.T) {
	for seed := uint64(1); seed <= 3; seed++ {
		n := held(440)
		n.End = 3.9
		x := Render(rate, 4, []Note{n}, seed)
		var sum, sq, k float64
		for at := 0.3; at < 3.7; at += 0.02 {
			c := cents(hzNear(x, rate, 440, at, 0.03, 0.01), 440)
			sum, sq, k = sum+c, sq+c*c, k+1
		}
		mean := sum / k
		sd := math.Sqrt(sq/k - mean*mean)
		// About 1 cent is documented; a drawn set of slow sines varies around it.
		if math.Abs(mean) > 1 || sd < 0.4 || sd > 1.8 {
			t.Errorf("seed %d: wanders by %.2f cents around %+.2f, want about 1 around 0", seed, sd, mean)
		}
	}
}

func TestLevel(t *testing.T) {
	for _, hz := range []float64{147, 440, 2000} {
		for _, level := range []float64{0, -14, -20, -26, -40} {
			n := held(hz)
			n.Level = level
			want := level
			if level == 0 {
				want = DefaultLevel
			}
			x := Render(rate, 1, []Note{n}, 0)
			// 0.2 dB: a fifth of the least change of level one can hear.
			if got := db(rms(x, 0.3, 0.8)); math.Abs(got-want) > 0.2 {
				t.Errorf("%g Hz at %g dBFS: RMS %.2f dBFS, want %g", hz, level, got, want)
			}
		}
	}
	n := held(440)
	n.LevelCurve = []Point{{0.3, 0}, {0.7, -12}}
	x := Render(rate, 1, []Note{n}, 0)
	for _, test := range []struct{ at, want float64 }{{0.25, -20}, {0.5, -26}, {0.8, -32}} {
		if got := db(rms(x, test.at-0.02, test.at+0.02)); math.Abs(got-test.want) > 0.3 {
			t.Errorf("level curve at %g s: %.2f dBFS, want %g", test.at, got, test.want)
		}
	}
}

func TestStartAndEnd(t *testing.T) {
	for _, hz := range []float64{147, 262, 440, 880, 2093} {
		for _, start := range []float64{0.1, 0.2513} {
			n := held(hz)
			n.Start = start
			x := Render(rate, 1.1, []Note{n}, 0)
			full := rms(x, 0.5, 0.8)
			width := math.Max(1/hz, 0.002)
			// 1.5 ms: the window that measures the level is up to 7 ms long.
			if got := crossing(x, 0.02, width, StartShare*full, true); math.Abs(got-start) > 0.0015 {
				t.Errorf("%g Hz asked to start at %g s passes a quarter of its level at %.4f s", hz, start, got)
			}
			if got := crossing(x, 0.7, width, StartShare*full, false); math.Abs(got-n.End) > 0.0015 {
				t.Errorf("%g Hz asked to end at %g s passes a quarter of its level at %.4f s", hz, n.End, got)
			}
		}
	}
	// Wherever between -15 and -6 dB one hears the start (Vos & Rasch 1981, from
	// memory), it is near: half the level comes a sixth of the attack after Start.
	for _, test := range []struct{ hz, within float64 }{{147, 0.0085}, {700, 0.006}, {1500, 0.005}} {
		x := Render(rate, 1.1, []Note{held(test.hz)}, 0)
		full := rms(x, 0.5, 0.8)
		for _, share := range []float64{0.178, 0.5} {
			if got := crossing(x, 0.02, math.Max(1/test.hz, 0.002), share*full, true); math.Abs(got-0.1) > test.within {
				t.Errorf("%g Hz passes %.0f dB at %.4f s, want 0.1 within %g", test.hz, db(share), got, test.within)
			}
		}
	}
}

func TestNothingBeforeTheBreath(t *testing.T) {
	n := held(440)
	n.Start, n.Breath = 0.5, 0
	x := Render(rate, 1, []Note{n}, 3)
	for i, v := range x[:int(0.45*rate)] {
		if v != 0 {
			t.Fatalf("sample %d of a note from 0.5 s is %g, want silence", i, v)
		}
	}
}

func TestGlide(t *testing.T) {
	// A 3 draw of a C harp, bent by a whole tone and let go. The 30 ms the window
	// sees of a glide of 200 cents in 0.4 s are 15 cents, evenly to both sides.
	n := held(493.88)
	low := 493.88 * math.Exp2(-200.0/1200)
	n.Start, n.End = 0.1, 1.9
	n.Hz = []Point{{0.4, 493.88}, {0.8, low}, {1.2, low}, {1.3, 493.88}}
	x := Render(rate, 2, []Note{n}, 0)
	for _, test := range []struct{ at, cents float64 }{
		{0.3, 0}, {0.5, -50}, {0.6, -100}, {0.7, -150}, {1, -200}, {1.25, -100}, {1.6, 0},
	} {
		want := 493.88 * math.Exp2(test.cents/1200)
		got := hzNear(x, rate, want, test.at, 0.03, 0.005)
		if d := cents(got, want); math.Abs(d) > 1 {
			t.Errorf("glide at %g s: %+.2f cents from the %+g asked", test.at, d, test.cents)
		}
	}
	if s, steady := biggestStep(x), biggestStep(Render(rate, 2, []Note{held(493.88)}, 0)); s > 1.1*steady {
		t.Errorf("glide: biggest step %g, %g in a steady tone: a click", s, steady)
	}
}

func TestScoop(t *testing.T) {
	n := held(440)
	n.Scoop = Scoop{Cents: 80, Seconds: 0.2}
	x := Render(rate, 1, []Note{n}, 0)
	// Cents under: 80*(1-u)^2.
	for _, test := range []struct{ at, cents float64 }{{0.15, -45}, {0.2, -20}, {0.35, 0}, {0.7, 0}} {
		got := cents(hzNear(x, rate, 440, test.at, 0.03, 0.005), 440)
		// 3 cents: within the window the curve bends.
		if math.Abs(got-test.cents) > 3 {
			t.Errorf("scoop at %g s: %+.1f cents, want %+g", test.at, got, test.cents)
		}
	}
}

func TestLeak(t *testing.T) {
	for _, under := range []float64{6, 20, -20, 35} {
		n := held(587.33) // 4 draw of a C harp, with 5 draw
		clean := Render(rate, 1, []Note{n}, 0)
		n.Leaks = []Leak{{Hz: 698.46, Level: under}}
		mixed := Render(rate, 1, []Note{n}, 0)
		leak := make([]float32, len(mixed))
		for i := range leak {
			leak[i] = mixed[i] - clean[i]
		}
		got := db(rms(clean, 0.3, 0.8) / rms(leak, 0.3, 0.8))
		if math.Abs(got-math.Abs(under)) > 0.2 {
			t.Errorf("leak asked %g dB under: measured %.2f", under, got)
		}
		if hz := hzNear(mixed, rate, 698.46, 0.5, 0.2, 0.3); math.Abs(cents(hz, 698.46)) > 0.1 {
			t.Errorf("leak at 698.46 Hz measured at %g", hz)
		}
	}
	n := held(587.33)
	n.Leaks = []Leak{{Hz: 698.46, Level: 12, Start: 0.4, End: 0.6}}
	x := Render(rate, 1, []Note{n}, 0)
	during, _ := probe(x, rate, 698.46, 0.5, 0.1)
	before, _ := probe(x, rate, 698.46, 0.3, 0.1)
	after, _ := probe(x, rate, 698.46, 0.7, 0.1)
	if db(before/during) > -40 || db(after/during) > -40 {
		t.Errorf("a leak from 0.4 to 0.6 s: %.1f dB before, %.1f dB after", db(before/during), db(after/during))
	}
}

// repeats are tongued starts on one reed, half a second apart, without a gap.
func repeats(hz, dip float64) []Note {
	var notes []Note
	for i := range 4 {
		s := 0.2 + 0.3*float64(i)
		notes = append(notes, Note{Start: s, End: s + 0.3, Hz: Steady(hz), Dip: dip, Breath: NoBreath})
	}
	return notes
}

func TestTonguedRepeats(t *testing.T) {
	const hz = 880
	for _, dip := range []float64{6, 10, 20, 30} {
		x := Render(rate, 1.6, repeats(hz, dip), 0)
		full := rms(x, 0.3, 0.4)
		for _, start := range []float64{0.5, 0.8, 1.1} {
			low := math.Inf(1)
			for at := start - 0.06; at < start+0.03; at += 0.0005 {
				low = min(low, rms(x, at-0.5/hz, at+0.5/hz))
			}
			// 1 dB: the bottom is 4 ms long, the window 1.1.
			if got := db(full / low); math.Abs(got-dip) > 1 {
				t.Errorf("dip asked %g dB at %g s: measured %.2f", dip, start, got)
			}
			rise := low + StartShare*(full-low)
			// From the bottom on, which ends a third of the attack before Start.
			bottom := start - DefaultAttack(hz)/3 - 0.002
			if got := crossing(x, bottom, 1.0/hz, rise, true); math.Abs(got-start) > 0.0015 {
				t.Errorf("dip of %g dB: the repeat asked at %g s starts at %.4f s", dip, start, got)
			}
		}
		if s, steady := biggestStep(x), biggestStep(Render(rate, 1, []Note{held(hz)}, 0)); s > 1.1*steady {
			t.Errorf("repeats: biggest step %g, %g in a steady tone: a click", s, steady)
		}
	}
	// A gap that is long enough is silent, on the same reed as on another.
	for _, second := range []float64{440, 494} {
		a, b := held(440), held(second)
		a.End, b.Start = 0.4, 0.5
		x := Render(rate, 1, []Note{a, b}, 0)
		if r := rms(x, 0.44, 0.46); r != 0 {
			t.Errorf("gap before %g Hz is not silent: %.1f dBFS", second, db(r))
		}
	}
}

func TestAnotherReedIsTonguedInTime(t *testing.T) {
	// Touching notes on two reeds: the first is closed before the second is heard.
	a, b := held(587.33), held(698.46)
	a.End, b.Start = 0.5, 0.5
	x := Render(rate, 1, []Note{a, b}, 0)
	full := rms(x, 0.7, 0.8)
	low, lowAt := math.Inf(1), 0.0
	for at := 0.45; at < 0.51; at += 0.0005 {
		if r := rms(x, at-0.001, at+0.001); r < low {
			low, lowAt = r, at
		}
	}
	if db(low/full) > -20 {
		t.Errorf("between two tongued notes the level falls by %.1f dB only", -db(low/full))
	}
	if got := crossing(x, lowAt, 1/698.46, StartShare*full, true); math.Abs(got-0.5) > 0.0015 {
		t.Errorf("the second reed starts at %.4f s, want 0.5", got)
	}
}

// warble alternates two holes n times at rate changes a second, in one breath.
func warble(a, b, perSecond float64, n int) []Note {
	var notes []Note
	for i := range n {
		hz := a
		if i%2 == 1 {
			hz = b
		}
		s := 0.2 + float64(i)/perSecond
		notes = append(notes, Note{Start: s, End: s + 1/perSecond, Hz: Steady(hz), Legato: i > 0, Breath: NoBreath})
	}
	return notes
}

func TestWarble(t *testing.T) {
	const a, b, per = 587.33, 698.46, 10
	notes := warble(a, b, per, 12)
	x := Render(rate, 1.6, notes, 0)
	for i, n := range notes {
		want, other := a, b
		if i%2 == 1 {
			want, other = b, a
		}
		mid := (n.Start + n.End) / 2
		mine, _ := probe(x, rate, want, mid, 0.05)
		theirs, _ := probe(x, rate, other, mid, 0.05)
		// A window of 50 ms alone lets neighbours 111 Hz away through at -58 dB.
		if db(theirs/mine) > -40 {
			t.Errorf("alternation %d: the other hole only %.1f dB under", i, -db(theirs/mine))
		}
		if i == 0 {
			continue
		}
		// The change: both holes equally strong at Start, within 1 ms of fade.
		p, _ := probe(x, rate, want, n.Start, 0.03)
		q, _ := probe(x, rate, other, n.Start, 0.03)
		full, _ := probe(x, rate, want, mid, 0.05)
		fullOther, _ := probe(x, rate, other, mid-1.0/per, 0.05)
		if d := db(p/full) - db(q/fullOther); math.Abs(d) > 1 {
			t.Errorf("change %d: the holes differ by %.2f dB at its middle", i, d)
		}
	}
	// One breath: the level does not fall at the changes.
	full := rms(x, 0.3, 1.2)
	for at := 0.25; at < 1.3; at += 0.002 {
		if d := db(rms(x, at-0.01, at+0.01) / full); d < -2 {
			t.Errorf("warble: level falls by %.1f dB at %.3f s", -d, at)
		}
	}
	if s, steady := biggestStep(x), biggestStep(Render(rate, 1, []Note{held(b)}, 0)); s > 1.5*steady {
		t.Errorf("warble: biggest step %g, %g in a steady tone: a click", s, steady)
	}
}

func TestLegatoOnOneReedIsUnbroken(t *testing.T) {
	// The same sound asked as one note and as three joined ones.
	whole := held(440)
	whole.Hz = []Point{{0.3, 440}, {0.5, 415.3}, {0.7, 440}}
	var cut []Note
	for i, s := range []float64{0.1, 0.35, 0.6} {
		n := whole
		n.Start, n.End, n.Legato = s, []float64{0.35, 0.6, 0.9}[i], i > 0
		cut = append(cut, n)
	}
	x, y := Render(rate, 1, []Note{whole}, 0), Render(rate, 1, cut, 0)
	for i := range x {
		if math.Abs(float64(x[i]-y[i])) > 1e-6 {
			t.Fatalf("sample %d: %g in one note, %g in three joined ones", i, x[i], y[i])
		}
	}
}

func TestVibrato(t *testing.T) {
	n := held(440)
	n.End = 3.9
	n.Vibrato = Vibrato{Rate: 5, Cents: 20, DB: 2, Delay: 0.3}
	x := Render(rate, 4, []Note{n}, 0)
	var rise []float64 // where the pitch passes the middle upward
	lo, hi, sum, k := math.Inf(1), math.Inf(-1), 0.0, 0.0
	loud, soft := 0.0, math.Inf(1)
	last := 0.0
	for at := 1.0; at < 3.0; at += 0.001 {
		c := cents(hzNear(x, rate, 440, at, 0.02, 0.004), 440)
		lo, hi, sum, k = min(lo, c), max(hi, c), sum+c, k+1
		if last < 0 && c >= 0 {
			rise = append(rise, at)
		}
		last = c
		r := rms(x, at-5/440.0/2, at+5/440.0/2)
		loud, soft = max(loud, r), min(soft, r)
	}
	// 20 ms of window take about 2 % off a swing of 5 Hz.
	if math.Abs(hi-20) > 1 || math.Abs(lo+20) > 1 {
		t.Errorf("vibrato of 20 cents: from %.2f to %.2f", lo, hi)
	}
	if mean := sum / k; math.Abs(mean) > 0.1 {
		t.Errorf("vibrato: mean pitch %+.3f cents off", mean)
	}
	if len(rise) < 9 {
		t.Fatalf("vibrato: %d periods in 2 s, want 10", len(rise))
	}
	if got := float64(len(rise)-1) / (rise[len(rise)-1] - rise[0]); math.Abs(got-5) > 0.02 {
		t.Errorf("vibrato of 5 Hz: measured %.3f", got)
	}
	if got := db(loud / soft); math.Abs(got-4) > 0.3 {
		t.Errorf("vibrato of 2 dB to either side: %.2f dB in all", got)
	}
	if c := cents(hzNear(x, rate, 440, 0.25, 0.05, 0.05), 440); math.Abs(c) > 0.1 {
		t.Errorf("before its delay the vibrato moves the pitch by %.2f cents", c)
	}
}

// centroid is the mean frequency of the partials of hz, weighted by power.
func centroid(x []float32, hz, at float64) float64 {
	var num, den float64
	for k := 1; float64(k)*hz < 15000; k++ {
		m, _ := probe(x, rate, float64(k)*hz, at, 0.03)
		num += m * m * float64(k) * hz
		den += m * m
	}
	return num / den
}

func TestWahAndBrightness(t *testing.T) {
	n := held(440)
	n.End = 1.9
	n.Wah = Wah{Rate: 2, Depth: 1} // open at Start, closed a quarter of a second later
	x := Render(rate, 2, []Note{n}, 0)
	open, closed := centroid(x, 440, 0.6), centroid(x, 440, 0.85)
	if open < 1.3*closed {
		t.Errorf("wah: centroid %.0f Hz open, %.0f Hz closed", open, closed)
	}
	if d := db(rms(x, 0.58, 0.62) / rms(x, 0.83, 0.87)); d < 2 {
		t.Errorf("wah: closing takes %.1f dB only", d)
	}
	if d := cents(hzNear(x, rate, 440, 1.1, 0.05, 1), 440); math.Abs(d) > 0.1 {
		t.Errorf("wah moves the pitch by %.2f cents", d)
	}
	soft, loud := held(440), held(440)
	soft.Level, loud.Level = -35, -12
	a, b := centroid(Render(rate, 1, []Note{soft}, 0), 440, 0.5), centroid(Render(rate, 1, []Note{loud}, 0), 440, 0.5)
	if b < 1.2*a {
		t.Errorf("centroid %.0f Hz soft, %.0f Hz loud: want brighter when louder", a, b)
	}
	dark, bright := Reed{Bright: -0.5}, Reed{Bright: 0.5}
	a, b = centroid(dark.Render(rate, 1, []Note{held(440)}), 440, 0.5), centroid(bright.Render(rate, 1, []Note{held(440)}), 440, 0.5)
	if b < 1.2*a {
		t.Errorf("centroid %.0f Hz of a dark reed, %.0f Hz of a bright one", a, b)
	}
	y := Render(rate, 1, []Note{held(440)}, 0)
	if a, b := centroid(y, 440, 0.108), centroid(y, 440, 0.5); b < 1.05*a {
		t.Errorf("centroid %.0f Hz in the attack, %.0f Hz held: want it to open", a, b)
	}
}

func TestBreathNoise(t *testing.T) {
	for _, level := range []float64{-30, -50} {
		n := held(440)
		clean := Render(rate, 1, []Note{n}, 0)
		n.Breath = level
		x := Render(rate, 1, []Note{n}, 0)
		for i := range x {
			x[i] -= clean[i]
		}
		// 0.5 dB: half a second of noise varies that much.
		if got := db(rms(x, 0.3, 0.8)) - DefaultLevel; math.Abs(got-level) > 0.5 {
			t.Errorf("breath asked at %g dB under the tone: %.2f", level, got)
		}
	}
}

// Partials of sampled harmonicas, in dB under the tone: program 23 of the General
// MIDI sound fonts FluidR3_GM and TimGM6mb (Debian), velocity 100, measured 0.4 to
// 0.65 s after the start.
var sampled = []struct {
	hz       float64
	partials [2][]float64
}{
	{196, [2][]float64{
		{-3, -9, -10, -25, -17, -10, -18, -15, -18, -19, -18, -33, -23, -38, -18, -34},
		{-4, -25, -11, -13, -4, -17, -24, -25, -27, -21, -35, -32, -45, -34, -42, -39}}},
	{392, [2][]float64{
		{-3, -9, -9, -13, -16, -13, -29, -30, -28, -17, -18, -14, -27, -23, -35, -34},
		{-6, -6, -4, -34, -10, -22, -27, -39, -31, -47, -23, -32, -48, -50, -39, -36}}},
	{784, [2][]float64{
		{-9, -2, -7, -28, -16, -18, -15, -27, -26, -41, -34, -47, -34, -49, -62, -54},
		{-5, -3, -21, -20, -11, -35, -28, -38, -45, -51, -55, -56, -74, -63, -85, -105}}},
}

func TestSpectrumAgainstSampledHarmonicas(t *testing.T) {
	group := func(p []float64, from, to int) float64 { // power of partials from..to in dB
		sum := 0.0
		for k := from; k <= to; k++ {
			sum += math.Pow(10, p[k-1]/10)
		}
		return 10 * math.Log10(sum)
	}
	for _, s := range sampled {
		x := Render(rate, 1, []Note{held(s.hz)}, 0)
		var p []float64
		for k := 1; k <= 16; k++ {
			m, _ := probe(x, rate, float64(k)*s.hz, 0.5, 0.2)
			p = append(p, db(m/math.Sqrt2)-DefaultLevel)
		}
		for _, g := range []struct{ from, to int }{{1, 3}, {4, 6}, {7, 10}, {11, 15}} {
			a, b := group(s.partials[0], g.from, g.to), group(s.partials[1], g.from, g.to)
			got := group(p, g.from, g.to)
			// 6 dB: two sampled instruments differ by as much within a group.
			if got < min(a, b)-6 || got > max(a, b)+6 {
				t.Errorf("%g Hz, partials %d to %d: %.1f dB; sampled %.1f and %.1f", s.hz, g.from, g.to, got, a, b)
			}
		}
	}
}

func TestNothingBetweenThePartials(t *testing.T) {
	// Folded partials and interpolation errors stay 70 dB under the tone: under the
	// breath noise of any real player.
	for _, rate := range []int{16000, 44100, 48000} {
		for _, hz := range []float64{147, 467, 1245, 3100} {
			x := Render(rate, 1, []Note{held(hz)}, 0)
			for f := 90.0; f < float64(rate)/2-100; f += 41 {
				if math.Abs(math.Remainder(f, hz)) < 40 {
					continue
				}
				if m, _ := probe(x, rate, f, 0.5, 0.2); db(m)-DefaultLevel > -70 {
					t.Errorf("rate %d, %g Hz: %.1f dB at %g Hz", rate, hz, db(m)-DefaultLevel, f)
				}
			}
		}
	}
}

// storm asks for everything at once.
func storm() []Note {
	notes := warble(587.33, 698.46, 11, 12)
	notes = append(notes, repeats(880, 12)...)
	n := held(300)
	n.Level = -6
	n.Leaks = []Leak{{Hz: 400, Level: 6}, {Hz: 500, Level: 3}}
	n.Vibrato = Vibrato{Rate: 6, Cents: 40, DB: 3}
	n.Wah = Wah{Rate: 3, Depth: 0.8}
	n.Scoop = Scoop{Cents: 100, Seconds: 0.1}
	n.Breath = 0
	short := Note{Start: 0.3, End: 0.301, Hz: Steady(2000), Level: -10}
	edge := Note{Start: -0.5, End: 5, Hz: Steady(250), Level: -8}
	return append(notes, n, short, edge)
}

func TestBounds(t *testing.T) {
	x := Render(rate, 1.5, storm(), 9)
	if len(x) != 1.5*rate {
		t.Errorf("%d samples, want %d", len(x), int(1.5*rate))
	}
	top := math.Pow(10, Ceiling/20)
	for i, v := range x {
		if v != v || math.Abs(float64(v)) > top+1e-6 {
			t.Fatalf("sample %d is %g, want at most %.4f", i, v, top)
		}
	}
	if s := biggestStep(x); s > 0.5 {
		t.Errorf("biggest step %g: a click", s)
	}
	if got := Render(rate, 0, nil, 1); len(got) != 0 {
		t.Errorf("0 s has %d samples", len(got))
	}
	// The voice alone keeps well away from full scale at an ordinary level.
	n := held(196)
	n.Level = -12
	if p := Peak(Render(rate, 1, []Note{n}, 0)); p > -2 {
		t.Errorf("a note at -12 dBFS peaks at %.1f dBFS: crest over 10 dB", p)
	}
}

// Whatever notes are asked, in whatever order and overlap, the sound is finite,
// under the ceiling and free of clicks.
func TestAnyNotes(t *testing.T) {
	for seed := uint64(1); seed <= 40; seed++ {
		r := rand.New(rand.NewPCG(seed, 0))
		pick := func(values ...float64) float64 { return values[r.IntN(len(values))] }
		var notes []Note
		at := 0.05
		for range 1 + r.IntN(12) {
			n := Note{Start: at, End: at + pick(0.002, 0.03, 0.1, 0.3), Hz: Steady(pick(200, 440, 445, 600)), Level: -30,
				Legato: r.IntN(2) == 0, Dip: pick(0, 3, 20), Attack: pick(0, 0, 0.02, 0.2), Release: pick(0, 0, 0.02, 0.2),
				Breath: NoBreath}
			if r.IntN(3) == 0 {
				n.Leaks = []Leak{{Hz: 500, Level: 10}}
			}
			notes = append(notes, n)
			at = n.End + pick(0, 0, 0, 0.004, 0.02, 0.1, -0.02, -0.1)
		}
		r.Shuffle(len(notes), func(i, j int) { notes[i], notes[j] = notes[j], notes[i] })
		x := Render(rate, 2, notes, 0)
		// The fastest step a tone of 600 Hz at -30 dBFS makes is 0.008, its leak adds a
		// third; up to four may overlap.
		if s := biggestStep(x); !(s < 0.024) {
			t.Errorf("seed %d: biggest step %g: a click in %+v", seed, s, notes)
		}
		for i, v := range x {
			if v != v {
				t.Fatalf("seed %d: sample %d is not a number in %+v", seed, i, notes)
			}
		}
	}
}

func TestSameAgain(t *testing.T) {
	notes := storm()
	a := Render(rate, 1.5, notes, 9)
	if b := Render(rate, 1.5, notes, 9); !slices.Equal(a, b) {
		t.Error("the same call gave other samples")
	}
	if b := Render(rate, 1.5, notes, 10); slices.Equal(a, b) {
		t.Error("another seed gave the same samples")
	}
	// A sound is the beginning of the same sound asked longer.
	if b := Render(rate, 2.5, repeats(440, 0), 9)[:rate]; !slices.Equal(Render(rate, 1, repeats(440, 0), 9), b) {
		t.Error("the length asked changes the samples")
	}
}

// Samples as this test first gave them on linux/amd64. js/wasm has to give the same
// within 2e-6 of full scale (six steps of the highest float32 bit); so has any later
// version, since drills and lessons are heard by students who know them.
func TestSameEverywhere(t *testing.T) {
	x := Render(rate, 1.5, storm(), 9)
	got := ""
	for i := 9600; i < len(x); i += 7919 {
		got += fmt.Sprintf("%.7f ", x[i])
	}
	var a, b float64
	wants := strings.Fields(regress)
	gots := strings.Fields(got)
	if len(wants) != len(gots) {
		t.Fatalf("got %s", got)
	}
	for i := range gots {
		fmt.Sscan(gots[i], &a)
		fmt.Sscan(wants[i], &b)
		if math.Abs(a-b) > 2e-6 {
			t.Errorf("sample %d = %s, want %s\nall: %s", 9600+7919*i, gots[i], wants[i], got)
		}
	}
}

const regress = `0.4045807 0.1400496 0.5207784 0.5162128 0.0877109 -0.3607917 0.9147472 0.0155717 `

func TestCallersBugsPanic(t *testing.T) {
	ok := held(440)
	for name, f := range map[string]func(){
		"rate":         func() { Render(100, 1, nil, 0) },
		"length":       func() { Render(rate, 48000, nil, 0) },
		"length NaN":   func() { Render(rate, math.NaN(), nil, 0) },
		"no pitch":     func() { Render(rate, 1, []Note{{Start: 0, End: 1}}, 0) },
		"pitch 0":      func() { Render(rate, 1, []Note{{Start: 0, End: 1, Hz: Steady(0)}}, 0) },
		"end first":    func() { n := ok; n.End = n.Start; Render(rate, 1, []Note{n}, 0) },
		"level":        func() { n := ok; n.Level = 3; Render(rate, 1, []Note{n}, 0) },
		"curve order":  func() { n := ok; n.Hz = []Point{{1, 440}, {0, 440}}; Render(rate, 1, []Note{n}, 0) },
		"leak":         func() { n := ok; n.Leaks = []Leak{{Hz: -1}}; Render(rate, 1, []Note{n}, 0) },
		"bass":         func() { Bass(rate, 0, 1) },
		"click's rate": func() { Click(0, true) },
	} {
		func() {
			defer func() {
				if s, _ := recover().(string); !strings.HasPrefix(s, "synth: ") {
					t.Errorf("%s: panic %q, want one that starts \"synth: \"", name, s)
				}
			}()
			f()
		}()
	}
}

func BenchmarkRender(b *testing.B) {
	// 20 s: a warble of two reeds with a leak, as a drill would ask.
	var notes []Note
	for i := range 200 {
		n := Note{Start: 0.1 * float64(i), End: 0.1 * float64(i+1), Hz: Steady([]float64{587.33, 698.46}[i%2]), Legato: i > 0}
		n.Leaks = []Leak{{Hz: []float64{698.46, 587.33}[i%2], Level: 25}}
		notes = append(notes, n)
	}
	b.ReportAllocs()
	for b.Loop() {
		Render(rate, 20, notes, 1)
	}
	b.ReportMetric(20*float64(b.N)/b.Elapsed().Seconds(), "x-real-time")
}
