package write

import (
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"

	"reedwell/audio/audiotest"
	"reedwell/audio/listen"
	"reedwell/audio/synth"
	"reedwell/levels/clip"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/lesson/lessontest"
	"reedwell/levels/player"
)

const rate = 48000

// sound is notes of our voice.
func sound(notes ...synth.Note) []float32 {
	return synth.Render(rate, notes[len(notes)-1].End+0.4, notes, 1)
}

// tone is a note of the harp, some cents off.
func tone(t testing.TB, h harp.Harp, tab string, cents, start, end float64) synth.Note {
	t.Helper()
	n, err := harp.ParseNote(tab)
	if err != nil {
		t.Fatal(err)
	}
	hz, err := h.Hz(n)
	if err != nil {
		t.Fatal(err)
	}
	return synth.Note{Start: start, End: end, Hz: synth.Steady(hz * math.Exp2(cents/1200))}
}

// What is not sure is said at its note, and nothing is said of the others.
func TestDoubts(t *testing.T) {
	h := harp.New(keyOf(t, "C"))
	straight := lesson.Feel{}
	plain := func() []synth.Note {
		// Beats at 60 to the minute from 1 s on.
		return []synth.Note{tone(t, h, "-4", 0, 1, 1.9), tone(t, h, "-3", 0, 2, 2.9), tone(t, h, "+4", 0, 3, 3.9), tone(t, h, "-4", 0, 4, 4.9)}
	}
	hz := func(tab string) float64 { return tone(t, h, tab, 0, 0, 1).Hz[0].Value }
	for _, c := range []struct {
		name   string
		change func([]synth.Note)
		about  About
		words  string // "" : no doubt at all
	}{
		{"as it should be", func([]synth.Note) {}, 0, ""},
		{"half way between two rungs", func(n []synth.Note) { n[1] = tone(t, h, "-3", -145, 2, 2.9) }, Bend, "between a half step and a whole step bend"},
		{"a bend too shallow", func(n []synth.Note) { n[1] = tone(t, h, "-3", -55, 2, 2.9) }, Bend, "between the natural note and a half step bend"},
		{"a little flat is no bend", func(n []synth.Note) { n[1] = tone(t, h, "-3", -20, 2, 2.9) }, 0, ""},
		{"2 draw after blow", func(n []synth.Note) {
			n[0], n[1], n[2] = tone(t, h, "+2", 0, 1, 2), tone(t, h, "-2", 0, 2, 3), tone(t, h, "+4", 0, 3, 3.9)
		}, Hole, "2 draw or 3 blow"},
		{"another hole 10 dB under", func(n []synth.Note) { n[1].Leaks = []synth.Leak{{Hz: hz("-4"), Level: 10}} }, Second, "hole 4 sounds along"},
		{"another hole 24 dB under is a leak", func(n []synth.Note) { n[1].Leaks = []synth.Leak{{Hz: hz("-4"), Level: 24}} }, 0, ""},
		{"another hole 2 dB under is a chord", func(n []synth.Note) { n[1].Leaks = []synth.Leak{{Hz: hz("-4"), Level: 2}} }, 0, ""},
		{"faint", func(n []synth.Note) { n[0].End, n[1].Level = 1.5, synth.DefaultLevel-24 }, Heard, "faint"},
	} {
		notes := plain()
		c.change(notes)
		k, doubts, _, err := Lick(hear(t, h, sound(notes...), rate), Options{Harp: h, Position: 2, Tempo: 60, Beat0: 1, Feel: &straight})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if len(k.Notes) != len(notes) {
			t.Errorf("%s: %d notes, want %d: %s", c.name, len(k.Notes), len(notes), show(k.Notes))
		}
		found := c.words == ""
		for _, d := range doubts {
			if d.About == c.about && strings.Contains(d.Words, c.words) && d.Note == 1 && c.words != "" {
				found = true
			} else {
				t.Errorf("%s: also %v", c.name, d)
			}
		}
		if !found {
			t.Errorf("%s: no doubt %q at note 2; %s, %v", c.name, c.words, show(k.Notes), doubts)
		}
	}
}

// A lick that was too loud for the microphone is written down, and that it was is said once.
func TestDoubtWhereOverdriven(t *testing.T) {
	h := harp.New(keyOf(t, "C"))
	straight := lesson.Feel{}
	x := sound(tone(t, h, "-4", 0, 1, 1.9), tone(t, h, "-3", 0, 2, 2.9), tone(t, h, "+4", 0, 3, 3.9), tone(t, h, "-4", 0, 4, 4.9))
	for _, over := range []float32{0.9, 2} {
		loud := audiotest.CutOff(x, audiotest.Peak(x)/over)
		k, doubts, _, err := Lick(hear(t, h, loud, rate), Options{Harp: h, Position: 2, Tempo: 60, Beat0: 1, Feel: &straight})
		if err != nil || len(k.Notes) != 4 {
			t.Fatalf("%g times full scale: %s, %v", over, show(k.Notes), err)
		}
		said := len(doubts) == 1 && doubts[0].Note == -1 && strings.Contains(doubts[0].Words, "too loud")
		if said != (over > 1) || !said && len(doubts) > 0 {
			t.Errorf("%g times full scale: doubts %v", over, doubts)
		}
	}
}

// A start that wanders from the second triplet to the and is in doubt where the choice
// between them turns, and not at either place.
func TestBetweenPlaces(t *testing.T) {
	h := harp.New(keyOf(t, "C"))
	var last lesson.Ticks
	turned := false
	doubted := map[int]bool{}
	for ms := 330; ms <= 500; ms += 10 {
		at := 1 + float64(ms)/1000
		notes := []synth.Note{tone(t, h, "-4", 0, 1, at-0.05), tone(t, h, "-3", 0, at, 1.95), tone(t, h, "+4", 0, 2, 2.9), tone(t, h, "-4", 0, 3, 3.9), tone(t, h, "-3", 0, 4, 4.9), tone(t, h, "+4", 0, 5, 5.9)}
		k, doubts, _, err := Lick(hear(t, h, sound(notes...), rate), Options{Harp: h, Position: 2, Tempo: 60, Beat0: 1, Feel: &lesson.Feel{}})
		if err != nil || len(k.Notes) != len(notes) {
			t.Fatalf("%d ms: %v, %s", ms, err, show(k.Notes))
		}
		for _, d := range doubts {
			if d.Note == 1 && d.About == Start {
				doubted[ms] = true
			}
		}
		if ms > 330 && k.Notes[1].Start != last {
			turned = true
			if !doubted[ms] && !doubted[ms-10] {
				t.Errorf("the place turns from %d to %d at %d ms without a doubt", last, k.Notes[1].Start, ms)
			}
		}
		last = k.Notes[1].Start
	}
	if !turned || doubted[500] {
		t.Errorf("place turned: %v; in doubt: %v", turned, doubted)
	}
}

// performed is lick i of a lesson as our voice plays it, without fault.
func performed(t testing.TB, l lesson.Lesson, i int) (take listen.Take, d drill.Drill) {
	t.Helper()
	d, err := l.Drill(i, lesson.Play{})
	if err != nil {
		t.Fatal(err)
	}
	x := synth.Render(rate, d.Seconds, player.Perform(d, clip.LickTouches(l, d, i), player.Faults{}), 1)
	return hear(t, l.Harp(), x, rate), d
}

// plain takes out where a note stood in a text.
func unplaced(k lesson.Lick) lesson.Lick {
	k.Notes = append([]lesson.Note(nil), k.Notes...)
	for i := range k.Notes {
		k.Notes[i].At = lesson.Place{}
	}
	return k
}

// What is written is a lesson: checked without an error, and the same when its text is read
// back.
func TestLessonIsOne(t *testing.T) {
	for _, l := range append(lessontest.Demos(t), ownLicks(t)) {
		for i, k := range l.Licks {
			take, d := performed(t, l, i)
			for _, o := range []Options{
				{Harp: l.Harp(), Position: l.Position, Tempo: l.Tempo, Beat0: d.Time(0), Feel: &l.Feel, Bar: k.Bar},
				{Harp: l.Harp(), Position: l.Position},
			} {
				got, _, _, err := Lesson(take, o, l.Form)
				if err != nil {
					t.Errorf("%s %d: %v", l.Title, i+1, err)
					continue
				}
				for _, p := range lesson.Check(got) {
					if p.Severity == lesson.Error {
						t.Errorf("%s %d: %v\n%s", l.Title, i+1, p, lesson.Format(got))
					}
				}
				text := lesson.Format(got)
				again, problems := lesson.Parse(text)
				if lesson.Failed(problems) {
					t.Errorf("%s %d: %v\n%s", l.Title, i+1, problems, text)
					continue
				}
				for n := range again.Licks {
					again.Licks[n] = unplaced(again.Licks[n])
				}
				if !reflect.DeepEqual(again, got) {
					t.Errorf("%s %d: read back it is another lesson:\n%s\n%+v\n%+v", l.Title, i+1, text, got, again)
				}
			}
		}
	}
}

// Two licks with a bar of silence between them are two licks, in their bars, the second with its pickup; doubts
// are told by lick and note.
func TestPhrases(t *testing.T) {
	l := ownLicks(t)
	a, b := l.Licks[0], l.Licks[2] // two bars each, the second with a pickup
	both := a
	both.Bars = 5
	for _, n := range b.Notes {
		n.Start += 3*lesson.Bar + lesson.Bar // behind an empty bar 3, in bar 5
		both.Notes = append(append([]lesson.Note(nil), both.Notes...), n)
	}
	both.Bars = 6
	l.Licks = []lesson.Lick{both}
	take, d := performed(t, l, 0)
	got, doubts, _, err := Lesson(take, Options{Harp: l.Harp(), Position: 2, Tempo: l.Tempo, Beat0: d.Time(0), Feel: &l.Feel, Bar: 3}, l.Form)
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Licks) != 2 {
		t.Fatalf("%d licks, want 2:\n%s", len(got.Licks), lesson.Format(got))
	}
	for i, want := range []lesson.Lick{{Bar: 3, Bars: 2, Notes: a.Notes}, {Bar: 7, Bars: 2, Pickup: lesson.Beat / 2, Notes: b.Notes}} {
		k := got.Licks[i]
		if k.Bar != want.Bar || k.Bars != want.Bars || k.Pickup != want.Pickup || show(k.Notes) != show(want.Notes) {
			t.Errorf("lick %d: bar %d, %d bars, pickup %d, %s\nwant bar %d, %d bars, pickup %d, %s", i+1, k.Bar, k.Bars, k.Pickup, show(k.Notes), want.Bar, want.Bars, want.Pickup, show(want.Notes))
		}
	}
	for _, d := range doubts {
		if d.Lick < 0 || d.Lick > 1 || d.Note >= len(got.Licks[d.Lick].Notes) {
			t.Errorf("%+v lies nowhere", d)
		}
	}
}

// The swing that is played is the swing that is told, and a constant lateness is told and
// does not move a note. Off-beat eighths at 90: a tenth of ratio is 5 ms at 2:1, about the ear's own error.
func TestSwingAndOffset(t *testing.T) {
	l := ownLicks(t)
	l.Tempo, l.Licks = 90, l.Licks[1:2]
	for _, ratio := range []float64{1.5, 2, 2.5, 3} {
		l.Feel = lesson.Feel{Kind: lesson.Shuffle, Ratio: ratio}
		take, d := performed(t, l, 0)
		for _, late := range []float64{-0.06, 0, 0.09} {
			for _, feel := range []*lesson.Feel{nil, {Kind: lesson.Shuffle, Ratio: 2}} {
				k, _, r, err := Lick(take, Options{Harp: l.Harp(), Position: 2, Tempo: 90, Beat0: d.Time(0) - late, Feel: feel})
				if err != nil {
					t.Fatal(err)
				}
				if math.Abs(r.Swing-ratio) > 0.25 || r.Feel.Kind != lesson.Shuffle {
					t.Errorf("swing %g:1 told as %.2f:1 in %v", ratio, r.Swing, r.Feel)
				}
				if math.Abs(r.Offset-late) > 0.015 {
					t.Errorf("%.0f ms late told as %.1f ms", 1000*late, 1000*r.Offset)
				}
				if got, want := show(k.Notes), show(l.Licks[0].Notes); got != want {
					t.Errorf("swing %g:1, %.0f ms late:\ngot  %s\nwant %s", ratio, 1000*late, got, want)
				}
			}
		}
	}
}

// A free tempo may drift: 6 % from the first note to the last.
func TestDrift(t *testing.T) {
	h := harp.New(keyOf(t, "A"))
	want := lick(t, "0 -2:2 -3:1 -4:1 +5:2 -4:2 -4:1 +4:1 -3:2 -2:4 -2:1 -3:1 -4:2 +5:1 -5:1 -4:2 +4:2 -3:2 -2:4")
	for _, drift := range []float64{-0.06, 0.06} {
		var notes []synth.Note
		at, period := 1.0, 60.0/84
		for i, n := range want.Notes {
			length := n.Length.Beats() * period * (1 + drift*(float64(i)/float64(len(want.Notes))-0.5))
			x := tone(t, h, n.Holes[0].Tab(), 0, at, at+length)
			if i+1 < len(want.Notes) && want.Notes[i+1].Holes[0] == n.Holes[0] {
				x.End -= 0.045
			}
			notes = append(notes, x)
			at += length
		}
		k, _, r, err := Lick(hear(t, h, sound(notes...), rate), Options{Harp: h, Position: 2, Feel: &lesson.Feel{}})
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(r.Tempo-84) > 3 || show(k.Notes) != show(want.Notes) {
			t.Errorf("drift %g: tempo %.1f\ngot  %s\nwant %s", drift, r.Tempo, show(k.Notes), show(want.Notes))
		}
	}
}

// The same decisions natively and as WebAssembly: what the golden text says holds on both.
func TestSameEverywhere(t *testing.T) {
	l := lessontest.Demos(t)[0]
	take, d := performed(t, l, 0)
	a, doubts, r, err := Lick(take, Options{Harp: l.Harp(), Position: 2, Tempo: l.Tempo, Beat0: d.Time(0), Feel: &l.Feel})
	if err != nil {
		t.Fatal(err)
	}
	if got, want := show(a.Notes), show(l.Licks[0].Notes); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	b, again, s, _ := Lick(take, Options{Harp: l.Harp(), Position: 2, Tempo: l.Tempo, Beat0: d.Time(0), Feel: &l.Feel})
	if !reflect.DeepEqual(a, b) || !reflect.DeepEqual(doubts, again) || r != s {
		t.Error("written twice, it is not the same")
	}
}

func TestOptions(t *testing.T) {
	good := listen.Take{Rate: rate}
	long := listen.Take{Rate: rate, Frames: []listen.Frame{{At: rate * 301}}}
	for _, c := range []struct {
		name string
		take listen.Take
		o    Options
		want error // nil: any error but ErrNothing
	}{
		{"nothing heard", good, Options{}, ErrNothing},
		{"tempo too quick", good, Options{Tempo: 500}, drill.ErrTempo},
		{"tempo not a number", good, Options{Tempo: math.NaN()}, drill.ErrTempo},
		{"no such position", good, Options{Position: 7}, harp.ErrPosition},
		{"no such harp", good, Options{Harp: harp.Harp{A4: 300}}, harp.ErrA4},
		{"no such shuffle", good, Options{Feel: &lesson.Feel{Kind: lesson.Shuffle, Ratio: 9}}, nil},
		{"no such feel", good, Options{Feel: &lesson.Feel{Kind: 9}}, nil},
		{"beat 0 nowhere", good, Options{Tempo: 90, Beat0: math.Inf(1)}, nil},
		{"no rate", listen.Take{}, Options{}, nil},
		{"too long", long, Options{}, ErrLong},
	} {
		_, _, _, err := Lick(c.take, c.o)
		if err == nil || c.want != nil && !errors.Is(err, c.want) || c.want == nil && errors.Is(err, ErrNothing) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
}

// Whatever an ear may tell, what is written is a lesson that can be checked, and holds no more notes than were told and
// chords that were not.
func FuzzLick(f *testing.F) {
	f.Add([]byte("a lick of some notes, told by nobody"), 80.0)
	f.Add([]byte{10, 40, 3, 10, 40, 9, 10, 41, 3, 10, 44, 3, 10, 41, 3, 10, 44, 3, 10, 41, 3, 10, 44, 3}, 0.0)
	f.Fuzz(func(t *testing.T, data []byte, tempo float64) {
		if len(data) > 600 {
			return
		}
		take := listen.Take{Rate: rate}
		const hop = rate / 200
		for i := 0; i+2 < len(data); i += 3 {
			length, pitch, more := int(data[i]%60), float64(data[i+1]%60)+55, data[i+2]
			first := len(take.Frames)
			hz := 440 * math.Exp2((pitch-69+float64(more%8)/8)/12)
			for k := range length {
				fr := listen.Frame{At: int64(len(take.Frames)) * hop, F0: hz * math.Exp2(float64(int(more%5)-2)*float64(k)/1200), Confidence: float64(more%4) / 3, Level: -20 - float64(more%32), Brightness: 900}
				if more%16 == 3 {
					fr.Others[0] = listen.Voice{F0: hz * 1.26, Level: -4}
				}
				take.Frames = append(take.Frames, fr)
			}
			if more%7 != 0 && length > 0 {
				take.Notes = append(take.Notes, listen.Note{Start: int64(first) * hop, End: int64(len(take.Frames)) * hop, F0: hz, Dip: float64(more % 40), First: first, Last: len(take.Frames)})
			}
			for range int(more % 3 * 8) {
				take.Frames = append(take.Frames, listen.Frame{At: int64(len(take.Frames)) * hop, Level: listen.Floor})
			}
		}
		l, doubts, _, err := Lesson(take, Options{Tempo: tempo, Beat0: 0.5}, lesson.Forms()[0])
		if err != nil {
			return
		}
		notes := 0
		for _, p := range lesson.Check(l) {
			if p.Severity == lesson.Error {
				t.Errorf("%v\n%s", p, lesson.Format(l))
			}
		}
		for _, k := range l.Licks {
			notes += len(k.Notes)
		}
		if most := 4*len(take.Notes) + len(data)/3; notes > most {
			t.Errorf("%d notes of %d heard", notes, len(take.Notes))
		}
		for _, d := range doubts {
			if d.Lick < 0 || d.Lick >= len(l.Licks) || d.Note >= len(l.Licks[d.Lick].Notes) {
				t.Errorf("%+v lies nowhere", d)
			}
		}
	})
}
