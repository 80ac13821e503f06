package clip

import (
	"bytes"
	"math"
	"slices"
	"testing"

	"reedwell/audio/listen"
	"reedwell/audio/synth"
	"reedwell/audio/wav"
	"reedwell/levels/band"
	"reedwell/levels/drill"
	"reedwell/levels/grade"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/lesson/lessontest"
)

// must is the sound of what cannot fail.
func must(t testing.TB) func([]float32, error) []float32 {
	return func(x []float32, err error) []float32 {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
}

// one is a lesson of a single lick on a C harp at 60, straight: time is beats.
func one(notes ...lesson.Note) lesson.Lesson {
	bars := 0
	for _, n := range notes {
		bars = max(bars, int((n.End()+lesson.Bar-1)/lesson.Bar))
	}
	return lesson.Lesson{Title: "one", Position: 2, Tempo: 60, Form: lesson.Forms()[0],
		Licks: []lesson.Lick{{Title: "one", Bar: 1, Bars: bars, Notes: notes}}}
}

func draw(hole, bend int) []harp.Note {
	return []harp.Note{{Hole: hole, Breath: harp.Draw, Bend: bend}}
}

// heard is what the ear hears of lick 0 of l: frames by time in beats of bar 1.
func heard(t testing.TB, l lesson.Lesson) (drill.Drill, func(from, to float64) []listen.Frame) {
	t.Helper()
	d := lickDrill(t, l, 0, Options{})
	take, err := listen.Hear(grade.Ear(d, Rate), must(t)(Lick(l, 0, Options{CountIn: true})))
	if err != nil {
		t.Fatal(err)
	}
	return d, func(from, to float64) []listen.Frame {
		var all []listen.Frame
		for _, f := range take.Frames {
			if at := d.BeatAt(float64(f.At) / Rate); at >= from && at < to {
				all = append(all, f)
			}
		}
		return all
	}
}

// swing finds the strongest rate between 0.5 and 9 Hz of a value over frames of 5 ms, and half of
// its range.
func swing(frames []listen.Frame, value func(listen.Frame) float64) (rate, extent float64) {
	var v []float64
	mean := 0.0
	for _, f := range frames {
		v = append(v, value(f))
		mean += value(f) / float64(len(frames))
	}
	most := 0.0
	for hz := 0.5; hz < 9; hz += 0.1 {
		var re, im float64
		for i, x := range v {
			s, c := math.Sincos(2 * math.Pi * hz * float64(i) * 0.005)
			re, im = re+(x-mean)*c, im+(x-mean)*s
		}
		if m := math.Hypot(re, im); m > most {
			rate, most = hz, m
		}
	}
	return rate, (slices.Max(v) - slices.Min(v)) / 2
}

func level(f listen.Frame) float64      { return f.Level }
func brightness(f listen.Frame) float64 { return f.Brightness }

// A hand wah moves level and brightness together, at the asked rate: openings a beat are openings
// a second at 60. It is open on the beat and closed half way to the next opening.
func TestWah(t *testing.T) {
	for _, rate := range []float64{1, 2, 3} {
		_, frames := heard(t, one(lesson.Note{Length: 4 * lesson.Beat, Holes: draw(4, 0), Wah: rate}))
		held := frames(0.2, 3.8)
		for name, value := range map[string]func(listen.Frame) float64{"level": level, "brightness": brightness} {
			// 0.15 Hz: 3.6 s tell rates apart that differ by a quarter of a hertz.
			if got, _ := swing(held, value); math.Abs(got-rate) > 0.15 {
				t.Errorf("wah %g: %s moves at %.1f Hz", rate, name, got)
			}
		}
		// The ear's window of 43 ms takes the top off a quick hand: of 4.0 dB at 1 Hz, 3.0 are left at 3.
		open, closed := frames(2-0.05/rate, 2+0.05/rate), frames(2+0.45/rate, 2+0.55/rate)
		for i := range min(len(open), len(closed)) {
			if open[i].Level < closed[i].Level+2.5 || open[i].Brightness < 1.3*closed[i].Brightness {
				t.Errorf("wah %g: open %.1f dBFS %.0f Hz, closed %.1f dBFS %.0f Hz: want 2.5 dB and a third between", rate,
					open[i].Level, open[i].Brightness, closed[i].Level, closed[i].Brightness)
				break
			}
		}
	}
}

// Throat vibrato: 5.5 Hz, within the 4 to 7 Hz of harmonica players (common practice), to
// either side by some cents and well under half a semitone, and not from the first moment on.
func TestVibrato(t *testing.T) {
	d, frames := heard(t, one(lesson.Note{Length: 4 * lesson.Beat, Holes: draw(4, 0), Vibrato: true}))
	cents := func(f listen.Frame) float64 { return harp.Cents(f.F0, d.Targets[0].Hz) }
	rate, extent := swing(frames(1, 3.8), cents)
	if math.Abs(rate-5.5) > 0.2 || extent < 4 || extent > 20 {
		t.Errorf("vibrato of %.1f Hz and %.1f cents, want 5.5 Hz and 4 to 20 cents", rate, extent)
	}
	if _, extent := swing(frames(0.1, 0.25), cents); extent > 4 {
		t.Errorf("%.1f cents in its first quarter of a second, want it to come in later", extent)
	}
	plain, still := heard(t, one(lesson.Note{Length: 4 * lesson.Beat, Holes: draw(4, 0)}))
	if _, extent := swing(still(1, 3.8), func(f listen.Frame) float64 { return harp.Cents(f.F0, plain.Targets[0].Hz) }); extent > 4 {
		t.Errorf("without vibrato the pitch moves by %.1f cents", extent)
	}
}

// A scoop starts about 100 cents under the pitch and is there after 120 ms, within the 50 to
// 150 cents and 150 to 200 ms of players (common practice).
func TestScoop(t *testing.T) {
	d, frames := heard(t, one(lesson.Note{Length: 2 * lesson.Beat, Holes: draw(4, 0), Scoop: true}))
	cents := func(f listen.Frame) float64 { return harp.Cents(f.F0, d.Targets[0].Hz) }
	lowest, there := 0.0, 0.0
	for i, f := range frames(0.01, 1) {
		if c := cents(f); f.F0 > 0 && f.Confidence > 0.3 {
			lowest = math.Min(lowest, c)
			if c < -10 {
				there = 0.01 + float64(i+1)*0.005
			}
		}
	}
	// The ear's window of 43 ms sees the mean of what it holds, not the very first pitch.
	if lowest > -55 || lowest < -110 || there < 0.05 || there > 0.15 {
		t.Errorf("scoop from %.0f cents, over after %.0f ms; want from near -100, seen as -55 to -110, over after 50 to 150 ms", lowest, 1000*there)
	}
}

// A bend glides: between the natural reed and its half step every ten cents are passed through.
func TestBendGlides(t *testing.T) {
	d, frames := heard(t, one(
		lesson.Note{Length: lesson.Beat, Holes: draw(4, 0)},
		lesson.Note{Start: lesson.Beat, Length: 2 * lesson.Beat, Holes: draw(4, 1), Join: lesson.Glide}))
	steps := map[int]bool{}
	for _, f := range frames(0.5, 2) {
		steps[int(math.Round(harp.Cents(f.F0, d.Targets[0].Hz)/10))] = true
	}
	for k := -10; k <= 0; k++ {
		if !steps[k] {
			t.Errorf("no frame within 5 cents of %d: the bend jumps", 10*k)
		}
	}
}

// Hold keeps a note to its end; other notes before a rest let go a little sooner.
func TestHold(t *testing.T) {
	end := func(hold bool) float64 {
		d, _ := heard(t, one(lesson.Note{Length: 2 * lesson.Beat, Holes: draw(4, 0), Hold: hold}))
		take, err := listen.Hear(grade.Ear(d, Rate), must(t)(Lick(one(lesson.Note{Length: 2 * lesson.Beat, Holes: draw(4, 0), Hold: hold}), 0, Options{CountIn: true})))
		if err != nil || len(take.Notes) != 1 {
			t.Fatalf("%v, %d notes", err, len(take.Notes))
		}
		return float64(take.Notes[0].End)/Rate - d.Targets[0].End
	}
	// 10 ms: the ear's error at an end.
	if held, plain := end(true), end(false); math.Abs(held) > 0.010 || math.Abs(plain+0.040) > 0.010 {
		t.Errorf("held it ends %.0f ms after its end, else %.0f; want 0 and -40", 1000*held, 1000*plain)
	}
}

// A slow clip has the pitch of the full one and its notes at the slow places.
func TestSlowIsNotStretched(t *testing.T) {
	l := one(lesson.Note{Length: lesson.Beat, Holes: draw(4, 0)}, lesson.Note{Start: 2 * lesson.Beat, Length: lesson.Beat, Holes: draw(5, 0)})
	for _, share := range []float64{1, 0.6, 0.1} {
		o := Options{CountIn: true, Share: share}
		d := lickDrill(t, l, 0, o)
		if want := math.Max(drill.MinTempo, 60*share); math.Abs(d.Tempo-want) > 1e-9 {
			t.Errorf("share %g of 60 is %g, want %g", share, d.Tempo, want)
		}
		take, err := listen.Hear(grade.Ear(d, Rate), must(t)(Lick(l, 0, o)))
		if err != nil || len(take.Notes) != 2 {
			t.Fatalf("share %g: %v, %d notes", share, err, len(take.Notes))
		}
		// D5 = 587.33 Hz and F5 = 698.46 Hz: equal temperament table (ISO 16).
		for i, hz := range []float64{587.33, 698.46} {
			n := take.Notes[i]
			if c := harp.Cents(n.F0, hz); math.Abs(c) > 3 {
				t.Errorf("share %g: note %d is %.1f cents off", share, i, c)
			}
			if late := float64(n.Start)/Rate - d.Targets[i].Start; math.Abs(late) > 0.010 {
				t.Errorf("share %g: note %d is %.0f ms late", share, i, 1000*late)
			}
		}
	}
}

// The count-in is four clicks and then none; without it the lick begins after the lead.
func TestCountIn(t *testing.T) {
	for _, l := range lessontest.Demos(t) {
		for i, k := range l.Licks {
			d := lickDrill(t, l, i, Options{})
			with := must(t)(Lick(l, i, Options{CountIn: true}))
			alone := must(t)(Lick(l, i, Options{}))
			first := math.Min(0, d.Targets[0].Beat)
			from := int(math.Round((d.Time(first) - lead) * Rate))
			if len(alone) != len(with)-from {
				t.Errorf("%s, %s: %d samples alone, want %d", l.Title, k.Title, len(alone), len(with)-from)
				continue
			}
			// From bar 1 on, or from the last click's end where there is a pickup, they are the same.
			same := int(math.Round((d.Time(-1) + 0.031) * Rate))
			if !slices.Equal(alone[max(0, same-from):], with[max(same, from):]) {
				t.Errorf("%s, %s: with the count-in the lick itself sounds different", l.Title, k.Title)
			}
			for beat := -4.0; beat < 0; beat++ {
				at := int(math.Round(d.Time(beat) * Rate))
				if p := synth.Peak(with[at : at+Rate/100]); p < -12 {
					t.Errorf("%s, %s: click at beat %g peaks at %.1f dBFS", l.Title, k.Title, beat, p)
				}
			}
		}
	}
}

// A demonstration, the loop, and both at once keep under full scale, and the harmonica is not
// drowned: its level is at most 6 dB under that of the backing, which is mostly bass.
func TestLevels(t *testing.T) {
	for _, l := range append(lessontest.Demos(t), marks(t)) {
		both := must(t)(Chorus(l, Options{CountIn: true, Backing: true}))
		loop := must(t)(Backing(l, Options{}))
		reed := must(t)(Chorus(l, Options{}))
		if p := synth.Peak(reed); p > Ceiling+1e-3 || p < -16 {
			t.Errorf("%s: alone it peaks at %.2f dBFS, want at most %g and no whisper", l.Title, p, Ceiling)
		}
		if p := synth.Peak(loop); p > band.Ceiling+1e-3 {
			t.Errorf("%s: the loop peaks at %.2f dBFS", l.Title, p)
		}
		if p := synth.Peak(both); p >= 0 {
			t.Errorf("%s: with the backing it peaks at %.2f dBFS", l.Title, p)
		}
		// Whatever their places, the two never add up to full scale.
		if sum := math.Pow(10, synth.Peak(reed)/20) + math.Pow(10, synth.Peak(loop)/20); sum >= 1 {
			t.Errorf("%s: the peaks of demonstration and loop add up to %.3f", l.Title, sum)
		}
		if under := power(loop) - power(reed); under > 6 {
			t.Errorf("%s: the backing is %.1f dB over the harmonica", l.Title, under)
		}
		if again, err := Chorus(l, Options{CountIn: true, Backing: true}); err != nil || !slices.Equal(again, both) {
			t.Errorf("%s: a second rendering differs", l.Title)
		}
		if _, err := wav.Read(bytes.NewReader(wav.Bytes(Rate, both))); err != nil {
			t.Errorf("%s: %v", l.Title, err)
		}
	}
}

// power is the mean power in dBFS of what is louder than -50 dBFS: the rests do not count.
func power(x []float32) float64 {
	sum, n := 0.0, 0.0
	for i := 0; i+480 <= len(x); i += 480 {
		p := 0.0
		for _, v := range x[i : i+480] {
			p += float64(v) * float64(v) / 480
		}
		if p > 1e-5 {
			sum, n = sum+p, n+1
		}
	}
	return 10 * math.Log10(sum/n)
}

// The loop of a lesson lasts one chorus of its form at its tempo, in any key.
func TestBackingIsOneChorus(t *testing.T) {
	for _, l := range lessontest.Demos(t) {
		for _, rate := range []int{16000, 48000} {
			x := must(t)(Backing(lesson.Transpose(l, harp.Keys()[3]), Options{Rate: rate}))
			want := int(math.Round(float64(len(l.Form.Bars)*lesson.BeatsPerBar) * 60 / l.Tempo * float64(rate)))
			if got := len(x); got != want {
				t.Errorf("%s at %d Hz: %d samples, want %d", l.Title, rate, got, want)
			}
		}
	}
}

// What cannot be sounded is an error, not a panic.
func TestErrors(t *testing.T) {
	l := one(lesson.Note{Length: lesson.Beat, Holes: draw(4, 0)})
	if _, err := Lick(l, 1, Options{}); err == nil {
		t.Error("a lick that is not there: no error")
	}
	l.Tempo = 1000
	for name, f := range map[string]func() ([]float32, error){
		"lick":    func() ([]float32, error) { return Lick(l, 0, Options{}) },
		"chorus":  func() ([]float32, error) { return Chorus(l, Options{}) },
		"backing": func() ([]float32, error) { return Backing(l, Options{}) },
	} {
		if _, err := f(); err == nil {
			t.Errorf("%s at 1000 a minute: no error", name)
		}
	}
}
