package band_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"reedwell/audio/synth"
	. "reedwell/levels/band"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// seventh is a dominant seventh chord: root, third, fifth, flat seventh.
var seventh = []int{0, 4, 7, 10}

// blues is two bars of turnaround in E, an I IV | I V, after a bar of count-in.
func blues(tempo, swing float64) drill.Drill {
	return drill.Drill{
		ID: "test", Tempo: tempo, BeatsPerBar: 4, Bars: 2, Swing: swing, CountIn: 4,
		Harp: harp.Harp{A4: 440},
		Chords: []drill.Chord{
			{Beat: 0, Beats: 2, Name: "E7", Root: 4, Tones: seventh},
			{Beat: 2, Beats: 2, Name: "A7", Root: 9, Tones: seventh},
			{Beat: 4, Beats: 2, Name: "E7", Root: 4, Tones: seventh},
			{Beat: 6, Beats: 2, Name: "B7", Root: 11, Tones: seventh},
		},
		Seconds: 12*60/tempo + 0.7,
	}
}

// plain is a drill without chords.
func plain(tempo, countIn float64, beatsPerBar int) drill.Drill {
	return drill.Drill{ID: "plain", Tempo: tempo, BeatsPerBar: beatsPerBar, Bars: 2, Swing: 1, CountIn: countIn,
		Seconds: (countIn + 2*float64(beatsPerBar)) * 60 / tempo}
}

// magnitude of x at hz in a Hann window of width seconds around at, and its phase.
func probe(x []float32, rate int, hz, at, width float64) (mag, phase float64) {
	var re, im, sum float64
	for i := max(0, int((at-width/2)*float64(rate))); i < min(len(x), int((at+width/2)*float64(rate))); i++ {
		w := 0.5 + 0.5*math.Cos(2*math.Pi*(float64(i)/float64(rate)-at)/width)
		s, c := math.Sincos(2 * math.Pi * hz * float64(i) / float64(rate))
		re += w * c * float64(x[i])
		im -= w * s * float64(x[i])
		sum += w
	}
	return 2 * math.Hypot(re, im) / sum, math.Atan2(im, re)
}

// knocks are the samples where the level jumps after at least 20 ms of quiet.
func knocks(x []float32, rate int, level float32) []int {
	var at []int
	last := math.MinInt / 2
	for i, v := range x {
		if max(v, -v) < level {
			continue
		}
		if i-last > rate/50 {
			at = append(at, i)
		}
		last = i
	}
	return at
}

func TestClicksAtTheirSamples(t *testing.T) {
	for _, rate := range []int{16000, 44100, 48000} {
		for _, test := range []struct {
			tempo, countIn float64
			bar            int
			accents        []int // indices of clicks that are beat 1
		}{
			{60, 4, 4, []int{0, 4, 8}},
			{97, 4, 4, []int{0, 4, 8}},
			{131.7, 8, 4, []int{0, 4, 8, 12}},
			{97, 3, 3, []int{0, 3, 6}},
			{97, 2, 4, []int{2, 6}}, // two beats before bar 1 are three and four
			{97, 0, 4, []int{0, 4}},
		} {
			name := fmt.Sprintf("rate %d, tempo %g, count-in %g in %d", rate, test.tempo, test.countIn, test.bar)
			d := plain(test.tempo, test.countIn, test.bar)
			x := Render(d, rate)
			if want := int(math.Round(d.Seconds * float64(rate))); len(x) != want {
				t.Errorf("%s: %d samples, want %d", name, len(x), want)
			}
			got := knocks(x, rate, 0.005)
			if want := int(test.countIn) + 2*test.bar; len(got) != want {
				t.Errorf("%s: %d clicks, want %d", name, len(got), want)
				continue
			}
			for k, at := range got {
				want := float64(k) * 60 / test.tempo * float64(rate)
				// A click needs up to half a millisecond to pass the threshold, never less
				// than none.
				if late := float64(at) - want; late < -0.5 || late > 0.0006*float64(rate) {
					t.Errorf("%s: click %d is %.1f samples late", name, k, late)
				}
				when := float64(at)/float64(rate) + 0.005
				high, _ := probe(x, rate, synth.AccentHz, when, 0.010)
				low, _ := probe(x, rate, synth.PlainHz, when, 0.010)
				if accent := slices.Contains(test.accents, k); accent != (high > low) {
					t.Errorf("%s: click %d accented: %v, want %v", name, k, high > low, accent)
				}
			}
			// Exactly the click's own samples at the nearest sample: compared with the
			// first, wherever both are of the same kind.
			if test.countIn == 4 && test.bar == 4 {
				n := len(synth.Click(rate, false))
				a, b := int(math.Round(60/test.tempo*float64(rate))), int(math.Round(120/test.tempo*float64(rate)))
				if !slices.Equal(x[a:a+n], x[b:b+n]) {
					t.Errorf("%s: clicks 1 and 2 are not the same samples at %d and %d", name, a, b)
				}
			}
		}
	}
}

func loudest(x []float32, rate int, from, to float64) float64 {
	return synth.Peak(x[max(0, int(from*float64(rate))):min(len(x), int(to*float64(rate)))])
}

func TestSilences(t *testing.T) {
	const rate = 48000
	d := blues(60, 2)
	full := Render(d, rate)
	form, over := d.Time(0), d.Time(8)
	if p := loudest(full, rate, 0.05, 0.95); !math.IsInf(p, -1) {
		t.Errorf("between the clicks of the count-in: %.1f dBFS, want silence", p)
	}
	if p := loudest(full, rate, over+0.01, d.Seconds); !math.IsInf(p, -1) {
		t.Errorf("after the last bar: %.1f dBFS, want silence", p)
	}
	x := RenderWith(d, rate, Options{NoClick: true, NoBand: true})
	if p := loudest(x, rate, form-0.5, d.Seconds); !math.IsInf(p, -1) {
		t.Errorf("count-in only: %.1f dBFS in the form, want silence", p)
	}
	if p := loudest(x, rate, 0, form); p < -12 {
		t.Errorf("count-in only: the count-in peaks at %.1f dBFS, want it heard", p)
	}
	// Without chords there is a click, quieter than the count-in, and nothing else.
	y := Render(plain(60, 4, 4), rate)
	if a, b := loudest(y, rate, 0, 3.9), loudest(y, rate, 4, 12); b > a-6 {
		t.Errorf("without chords the click peaks at %.1f dBFS, the count-in at %.1f", b, a)
	}
	if p := loudest(y, rate, 4.05, 4.95); !math.IsInf(p, -1) {
		t.Errorf("without chords, between clicks: %.1f dBFS, want silence", p)
	}
}

func TestPeak(t *testing.T) {
	for _, tempo := range []float64{40, 90, 220} {
		for _, swing := range []float64{1, 2, 3} {
			for _, rate := range []int{16000, 48000} {
				x := Render(blues(tempo, swing), rate)
				// 1e-3 dB: float32.
				if p := synth.Peak(x); p > Ceiling+1e-3 || math.IsNaN(p) {
					t.Errorf("tempo %g, swing %g, rate %d: peak %.2f dBFS, want at most %g", tempo, swing, rate, p, Ceiling)
				}
			}
		}
	}
}

func TestBassPlaysTheRoots(t *testing.T) {
	const rate = 48000
	for _, a4 := range []float64{430, 440, 450} {
		d := blues(60, 2)
		d.Harp.A4 = a4
		x := RenderWith(d, rate, Options{NoClick: true})
		// E2 82.407, A1 55, B1 61.735 Hz: equal temperament at A4 = 440 Hz (ISO 16; table
		// values from memory, as in any handbook).
		for i, want := range []float64{82.407, 55, 82.407, 61.735} {
			want *= a4 / 440
			at := d.Time(d.Chords[i].Beat) + 0.45
			_, a := probe(x, rate, want, at-0.1, 0.5)
			_, b := probe(x, rate, want, at+0.1, 0.5)
			got := want + math.Remainder(b-a, 2*math.Pi)/(2*math.Pi*0.2)
			// 3 cents: the comping and the decay lean on the phase a little.
			if c := 1200 * math.Log2(got/want); math.Abs(c) > 3 {
				t.Errorf("A4 %g, chord %d (%s): bass %.2f Hz, %+.1f cents from its root", a4, i, d.Chords[i].Name, got, c)
			}
			// It is the strongest of the twelve pitches of the octave.
			mine, _ := probe(x, rate, want, at, 0.8)
			for k := 1; k < 12; k++ {
				hz := 55 * a4 / 440 * math.Exp2(math.Mod(math.Round(12*math.Log2(want*440/a4/55))+float64(k), 12)/12)
				if m, _ := probe(x, rate, hz, at, 0.8); m > mine/2 {
					t.Errorf("A4 %g, chord %d: %.1f Hz is as strong as the root %.1f Hz", a4, i, hz, want)
				}
			}
		}
	}
}

func TestCompingGivesTheThird(t *testing.T) {
	// On beat 2 of bar 1 (E7): G#3, D4 and B3 sound, the minor third G3 does not.
	const rate = 48000
	d := blues(60, 2)
	x := RenderWith(d, rate, Options{NoClick: true})
	at := d.Time(1) + 0.25
	wrong, _ := probe(x, rate, 196.00, at, 0.5)
	for _, hz := range []float64{207.65, 293.66, 246.94} {
		if m, _ := probe(x, rate, hz, at, 0.5); m < 4*wrong {
			t.Errorf("chord tone %.1f Hz on beat 2 is only %.1f dB over a tone that is not in the chord", hz, 20*math.Log10(m/wrong))
		}
	}
}

// bands splits the power of x at hz, with a slow and plain Fourier sum over blocks.
func bands(x []float32, rate int, hz float64) (under, over float64) {
	const n = 4096
	cos := make([]float64, n)
	for i := range cos {
		cos[i] = math.Cos(2 * math.Pi * float64(i) / n)
	}
	for start := 0; start+n <= len(x); start += 4 * n {
		// Up to 4 kHz: nothing of the band lies higher.
		for k := 1; k < n && float64(k)*float64(rate)/n < 4000; k++ {
			var re, im float64
			for i := range n {
				v := float64(x[start+i]) * (0.5 - 0.5*cos[i])
				re += v * cos[i*k%n]
				im += v * cos[(i*k+n/4)%n]
			}
			if float64(k)*float64(rate)/n < hz {
				under += re*re + im*im
			} else {
				over += re*re + im*im
			}
		}
	}
	return under, over
}

func TestRegisterIsClear(t *testing.T) {
	const rate = 16000
	for root := range 12 {
		d := blues(100, 2)
		for i := range d.Chords {
			d.Chords[i].Root = (d.Chords[i].Root + root) % 12
		}
		x := RenderWith(d, rate, Options{NoClick: true})
		form := x[int(d.Time(0)*rate):]
		under, over := bands(form, rate, 400)
		if db := 10 * math.Log10(over/under); db > -12 {
			t.Errorf("chords %d up: above 400 Hz only %.1f dB under the rest, want 12", root, -db)
		}
	}
}

func TestSwing(t *testing.T) {
	const rate = 48000
	for _, test := range []struct{ swing, share float64 }{{0, 0.5}, {1, 0.5}, {1.5, 0.6}, {2, 2.0 / 3}, {3, 0.75}} {
		d := blues(60, test.swing)
		x := Render(d, rate)
		for i, v := range RenderWith(d, rate, Options{NoClick: true}) {
			x[i] -= v
		}
		// Brushes alone: between the click of a beat, over after 0.2 s, and the next.
		for beat := range 7 {
			from, want := d.Time(float64(beat))+0.2, d.Time(float64(beat)+test.share)
			at := knocks(x[int(from*rate):int((from+0.75)*rate)], rate, 0.003)
			if len(at) == 0 {
				t.Errorf("swing %g, beat %d: no second eighth", test.swing, beat)
				continue
			}
			// A brush rises within 4 ms.
			if got := from + float64(at[0])/rate; got < want-0.0002 || got > want+0.004 {
				t.Errorf("swing %g, beat %d: second eighth at %.4f s, want %.4f", test.swing, beat, got, want)
			}
		}
	}
}

// form is a twelve-bar in the key with the given pitch class, quick change.
func form(key int, tempo, swing float64, triplets bool) drill.Drill {
	d := drill.Drill{ID: "form", Tempo: tempo, BeatsPerBar: 4, Bars: 12, Swing: swing, Triplets: triplets, CountIn: 4,
		Harp: harp.Harp{A4: 440}, Seconds: 52*60/tempo + 0.7}
	for bar, degree := range []int{0, 5, 0, 0, 5, 5, 0, 0, 7, 5, 0, 7} {
		d.Chords = append(d.Chords, drill.Chord{Beat: float64(4 * bar), Beats: 4, Root: (key + degree) % 12, Tones: seventh})
	}
	return d
}

// feels are the feels a lesson can have.
var feels = []struct {
	name     string
	swing    float64
	triplets bool
}{{"straight", 1, false}, {"shuffle", 2, false}, {"hard shuffle", 3, false}, {"12/8", 2, true}}

// A loop has no seam: one chorus twice is the same as two choruses that were written out and
// looped, sample by sample, so what follows the seam is what follows any other bar line, and the
// tails of the last bar lie over the first.
func TestLoopHasNoSeam(t *testing.T) {
	if testing.Short() {
		t.Skip("long; it runs natively")
	}
	const rate = 48000
	for _, feel := range feels {
		d := form(4, 90, feel.swing, feel.triplets) // 32000 samples a beat
		two := d
		two.Bars, two.Chords = 24, slices.Clone(d.Chords)
		for _, c := range d.Chords {
			c.Beat += 48
			two.Chords = append(two.Chords, c)
		}
		for name, o := range map[string]Options{"all": {}, "without click": {NoBeat: true}} {
			x, y := Loop(d, rate, o), Loop(two, rate, o)
			if len(x) != 48*32000 || len(y) != 2*len(x) {
				t.Fatalf("%s, %s: %d and %d samples", feel.name, name, len(x), len(y))
			}
			for i, v := range y {
				// 1e-6: float32 sums in another order.
				if math.Abs(float64(v-x[i%len(x)])) > 1e-6 {
					t.Errorf("%s, %s: sample %d is %g, in two choruses %g", feel.name, name, i, x[i%len(x)], v)
					break
				}
			}
			step := func(i int) float64 { return math.Abs(float64(x[(i+1)%len(x)] - x[i])) }
			largest := 0.0
			for i := range len(x) - 1 {
				largest = math.Max(largest, step(i))
			}
			if s := step(len(x) - 1); s > largest {
				t.Errorf("%s, %s: a step of %g at the seam, at most %g elsewhere", feel.name, name, s, largest)
			}
		}
	}
}

// At a tempo that does not divide the rate a loop is the nearest whole number of samples long.
func TestLoopLength(t *testing.T) {
	d := form(0, 97, 2, false)
	if got, want := len(Loop(d, 44100, Options{})), int(math.Round(48*60/97.0*44100)); got != want {
		t.Errorf("%d samples, want %d", got, want)
	}
	if got := len(Loop(drill.Drill{Tempo: 60, BeatsPerBar: 4}, 44100, Options{})); got != 0 {
		t.Errorf("a loop of no bars has %d samples", got)
	}
}

// In every key and feel a loop keeps its ceiling, and so half of full scale is free.
func TestLoopPeak(t *testing.T) {
	for key := range 12 {
		feel := feels[key%len(feels)]
		for _, tempo := range []float64{50, 140} {
			if p := synth.Peak(Loop(form(key, tempo, feel.swing, feel.triplets), 16000, Options{NoBeat: true})); p > Ceiling+1e-3 || p < Ceiling-6 {
				t.Errorf("key %d, %s at %g: peak %.2f dBFS, want little under %g", key, feel.name, tempo, p, Ceiling)
			}
		}
	}
}

// Nothing sustained lies in the harmonica's register. From 350 Hz up, in bands of a semitone,
// nothing stays within 30 dB of a demonstration's note (-20 dBFS) for longer than 0.3 s; down to
// its lowest reed (131 Hz, C3) nothing within 20 dB of it stays for longer than three quarters of a beat.
func TestNothingSustainedInTheRegister(t *testing.T) {
	const rate, step, width = 8000, 0.05, 0.1
	for _, feel := range feels {
		d := form(9, 60, feel.swing, feel.triplets)
		x := Loop(d, rate, Options{NoBeat: true})[:8*rate] // two bars, two chords
		for hz := 130.8; hz < 3400; hz *= math.Exp2(1.0 / 12) {
			limit, most := -50.0, 0.3
			if hz < 350 {
				limit, most = -40, 0.75
			}
			run := 0.0
			for at := width; at < 8-width; at += step {
				m, _ := probe(x, rate, hz, at, width)
				if 20*math.Log10(m/math.Sqrt2) > limit {
					run += step
				} else {
					run = 0
				}
				if run > most {
					t.Errorf("%s: %.0f Hz stays over %g dBFS for more than %g s at %.1f s", feel.name, hz, limit, most, at)
					break
				}
			}
		}
	}
}

// In 12/8 the drums strike all three eighths of a beat, in a straight feel two even ones.
func TestFeels(t *testing.T) {
	const rate = 48000
	for _, test := range []struct {
		name     string
		swing    float64
		triplets bool
		want     []float64
	}{
		{"straight", 1, false, []float64{0, 0.5}},
		{"shuffle", 2, false, []float64{0, 2.0 / 3}},
		{"12/8", 2, true, []float64{0, 1.0 / 3, 2.0 / 3}},
	} {
		d := form(0, 60, test.swing, test.triplets)
		x := RenderWith(d, rate, Options{NoBeat: true, NoBand: true})
		for _, beat := range []float64{1, 3, 6} {
			from := d.Time(beat) - 0.01
			at := knocks(x[int(from*rate):int((from+1)*rate)], rate, 0.002)
			if len(at) != len(test.want) {
				t.Errorf("%s, beat %g: %d strokes, want %d", test.name, beat, len(at), len(test.want))
				continue
			}
			for i, want := range test.want {
				if got := from + float64(at[i])/rate - d.Time(beat); math.Abs(got-want) > 0.004 {
					t.Errorf("%s, beat %g: stroke %d at %.4f, want %.4f", test.name, beat, i, got, want)
				}
			}
		}
	}
}

// The bass leads into the next chord: on the last beat before it, it stands a semitone beside
// its root. C to F: F#2 92.50 or E2 82.41 Hz; F to C: B1 61.74 or Db2 69.30 Hz (equal temperament
// table, ISO 16).
func TestBassLeadsOn(t *testing.T) {
	const rate = 48000
	d := form(0, 60, 1, false)
	x := RenderWith(d, rate, Options{NoClick: true})
	for _, test := range []struct {
		beat float64
		want [2]float64
	}{{3, [2]float64{82.41, 92.50}}, {7, [2]float64{61.74, 69.30}}} {
		at := d.Time(test.beat) + 0.25
		best, most := 0.0, 0.0
		for k := range 17 {
			hz := 41.203 * math.Exp2(float64(k)/12)
			if m, _ := probe(x, rate, hz, at, 0.45); m > most {
				best, most = hz, m
			}
		}
		if math.Abs(best-test.want[0]) > 1 && math.Abs(best-test.want[1]) > 1 {
			t.Errorf("beat %g: %.2f Hz, want one of %v", test.beat, best, test.want)
		}
	}
}

func TestSameAgain(t *testing.T) {
	if !slices.Equal(Render(blues(90, 2), 48000), Render(blues(90, 2), 48000)) {
		t.Error("the same drill gave other samples")
	}
}

func TestOddDrills(t *testing.T) {
	d := blues(120, 2)
	d.Chords = []drill.Chord{{Beat: -4, Beats: 5, Root: 4}, {Beat: 1, Beats: 0.5, Root: 9, Tones: []int{0}}, {Beat: 1.5, Beats: 100, Root: 11, Tones: []int{0, 3}}}
	x := Render(d, 16000)
	if p := loudest(x, 16000, d.Time(8)+0.01, d.Seconds); !math.IsInf(p, -1) {
		t.Errorf("a chord beyond the form sounds after it: %.1f dBFS", p)
	}
	if p := loudest(RenderWith(d, 16000, Options{NoClick: true}), 16000, d.Time(-1)+0.05, d.Time(0)-0.01); !math.IsInf(p, -1) {
		t.Errorf("a chord in the pickup sounds before bar 1: %.1f dBFS", p)
	}
	cut := blues(60, 2)
	cut.Seconds = 5.25 // in the middle of a bass note
	y := Render(cut, 16000)
	if v := y[len(y)-1]; v != 0 {
		t.Errorf("a backing cut short ends on %g, want it faded", v)
	}
	if n := len(Render(drill.Drill{Tempo: 60, BeatsPerBar: 4}, 48000)); n != 0 {
		t.Errorf("a drill of 0 s has %d samples", n)
	}
	noForm := plain(60, 4, 4)
	noForm.Bars, noForm.Seconds = 0, 10
	if got := len(knocks(Render(noForm, 16000), 16000, 0.005)); got != 10 {
		t.Errorf("without a form, 10 s at 60 a minute give %d clicks, want 10", got)
	}
}

func TestCallersBugsPanic(t *testing.T) {
	for name, d := range map[string]drill.Drill{
		"no tempo":  {BeatsPerBar: 4, Seconds: 1},
		"no bar":    {Tempo: 60, Seconds: 1},
		"an hour":   {Tempo: 60, BeatsPerBar: 4, Seconds: 48000},
		"no length": {Tempo: 60, BeatsPerBar: 4, Seconds: math.NaN()},
	} {
		func() {
			defer func() {
				if s, _ := recover().(string); !strings.HasPrefix(s, "band: ") {
					t.Errorf("%s: panic %q, want one that starts \"band: \"", name, s)
				}
			}()
			Render(d, 48000)
		}()
	}
}

func BenchmarkRender(b *testing.B) {
	d := blues(90, 2)
	d.Bars, d.Seconds = 12, 52*60/90.0
	d.Chords = nil
	for bar := range 12 {
		d.Chords = append(d.Chords, drill.Chord{Beat: float64(4 * bar), Beats: 4, Root: bar % 12, Tones: seventh})
	}
	b.ReportAllocs()
	for b.Loop() {
		Render(d, 48000)
	}
	b.ReportMetric(d.Seconds*float64(b.N)/b.Elapsed().Seconds(), "x-real-time")
}
