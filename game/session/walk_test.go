package session

import (
	"math"
	"math/rand/v2"
	"testing"

	"reedwell/audio/listen"
	"reedwell/game/screen"
	"reedwell/game/shelf"
	"reedwell/levels/drill"
	"reedwell/levels/grade"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/lesson/lessontest"
	"reedwell/levels/reeds"
	"reedwell/levels/room"
	"reedwell/levels/write"
	demotexts "reedwell/testdata/lessons"
)

// Whatever is pressed, whatever the device does: no panic, and every screen keeps what
// holds for all (see walk.consistent).
func TestAnyOrder(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	w := newWalk(t, DefaultSettings())
	seen := map[string]int{}
	shoes := lessontest.Demo(t, "shoes")
	practice, grown := months(t)
	files := []Sent{sent(t, source, "Ana", 20), sent(t, source, "", 3), {"x", []byte("x")}}
	texts := []string{demotexts.Text("kettle"), "title: half", "", "lick: no head\n-4 |"}
	for step := 0; step < 30000 && !t.Failed(); step++ {
		if step%500 == 499 {
			w = newWalk(t, DefaultSettings()) // another player
		}
		var actions []screen.Action
		if items := w.out.Screen.Items; random.IntN(3) > 0 {
			i := items[random.IntN(len(items))]
			a := screen.Action{ID: i.ID, Now: i.Min + random.Float64()*(i.Max-i.Min), On: random.IntN(2) == 0}
			if len(i.Options) > 0 {
				a.Value = i.Options[random.IntN(len(i.Options))]
			}
			if i.Role == screen.Area { // a text with something cut out of it
				from := random.IntN(len(texts[0]))
				a.Value = texts[random.IntN(len(texts))]
				if from < len(a.Value) && random.IntN(2) == 0 {
					a.Value = a.Value[:from] + a.Value[min(len(a.Value), from+random.IntN(20)):]
				}
			}
			if i.Role == screen.File {
				f := files[random.IntN(len(files))]
				a.Name, a.Bytes = f.Name, f.Bytes
			}
			actions = append(actions, a)
		}
		w.in.Now += 4800
		if random.IntN(40) == 0 {
			w.in.Sound = on()
			w.in.Sound.Opened = 1 + random.IntN(3)
			w.in.Sound.State = SoundState(random.IntN(5))
			w.in.Sound.Fault = []string{"refused", "unplugged", "other", ""}[random.IntN(4)]
			w.in.Sound.Sentence = "Something happened."
			w.in.Sound.Bluetooth = random.IntN(4) == 0
		}
		if random.IntN(4) == 0 {
			w.in.Run = Run{Kind: RunKind(random.IntN(10)), Seconds: random.Float64()*30 - 3, Length: 20}
			if w.in.Run.Kind == Preparing {
				w.in.Run.Seconds = math.Inf(-1)
			}
		}
		w.page = random.IntN(2) == 0
		if step%500 == 0 || random.IntN(300) == 0 {
			w.in.Shelf = demos(map[string]shelf.Record{shelf.LickKey(shoes, 1): {Takes: 2, Last: shelf.Mark{Share: 1, Tempo: 60, Passed: true}}},
				Lesson{ID: "a", Text: texts[1]}, Lesson{ID: "b", Text: texts[0]})
			w.in.Kept = []string{"", "a", "b"}[random.IntN(3)]
		}
		switch random.IntN(100) {
		case 0:
			w.in.Sheet = &Sheet{Pages: []*screen.Picture{{Width: 1, Height: 1}}}
			if random.IntN(3) == 0 {
				w.in.Sheet = &Sheet{Problem: "It is too long."}
			}
		case 1:
			w.in.Loaded = &Loaded{Text: texts[random.IntN(len(texts))], From: []string{"", "x.txt"}[random.IntN(2)], Problem: []string{"", "No."}[random.IntN(2)]}
		case 2:
			w.in.Link = &Link{Lesson: &lesson.Address{Lesson: shoes, Lick: random.IntN(len(shoes.Licks) + 1), Tempo: []float64{0, 70}[random.IntN(2)]}}
		case 3:
			w.in.Work = Work{What: "Making the files", Done: random.IntN(5), Of: 4}
		case 4:
			w.in.Work = Work{}
		case 5:
			c := caseOf(t)
			if random.IntN(3) == 0 {
				_ = c.Delete("Old C")
			}
			w.in.Harps = &c
			w.in.Practice, w.in.Path = &practice, grown
		case 6:
			w.in.Sent = files[:random.IntN(len(files)+1)]
		}
		if w.state.view == passing || w.state.view == telling || random.IntN(50) == 0 {
			name := w.state.settings.Own
			if random.IntN(5) == 0 {
				name = "Blue A"
			}
			w.in.Pass = passAt(name, harp.Keys()[random.IntN(20)], random.IntN(21), func(p *Pass) {
				p.On = p.On && random.IntN(2) == 0
				p.State.Held, p.State.Cents, p.State.Rest, p.State.Problem = random.Float64(), 60*random.NormFloat64(), random.IntN(4) == 0, reeds.Problem(random.IntN(5))
				if !p.On {
					r, _ := (reeds.Kept{Harp: harp.New(p.Key), Measured: 1, Found: reeds.Faults{3: uint8(random.IntN(32)), 8: uint8(random.IntN(32))}}).Report()
					r.Fit.Found = random.IntN(3) > 0
					p.Report = &r
				}
			})
		}
		for range random.IntN(2) * random.IntN(30) {
			w.in.Pitches = append(w.in.Pitches, pitch(harp.New(harp.Keys()[3]), reeds.Plan()[random.IntN(20)]))
		}
		if w.state.waiting && random.IntN(4) == 0 {
			w.in.Written = &Written{Lick: shoes.Licks[random.IntN(len(shoes.Licks))], Doubts: []write.Doubt{{Note: random.IntN(40) - 1, Words: "Is it?"}}}
			if random.IntN(3) == 0 {
				w.in.Written.Problem = "Nothing was heard."
			}
		}
		if step%500 == 200 { // the way there is long for who presses anything
			st := stepper{State: w.state}
			st.enter()
			w.state, w.in.Sound, w.in.Run = st.State, on(), Run{}
		}
		if w.state.view == jamming && random.IntN(4) == 0 {
			r := sat(t, w.state.setting0())
			switch random.IntN(4) {
			case 0:
				r.Problem, r.Report = "Nothing was heard.", room.Report{}
			case 1:
				r.Cut = "It was cut off."
			case 2:
				r.Report.Until = random.Float64() * r.Report.Until
			}
			w.in.Roomed = &r
		}
		w.in.Hidden = random.IntN(200) == 0
		w.in.Width = []float64{0, 320, 1200}[random.IntN(3)]
		if random.IntN(10) == 0 {
			w.in.Frames = []listen.Frame{{At: int64(random.IntN(1e6)), F0: 100 * math.Exp2(5*random.Float64()), Confidence: random.Float64(), Level: -120 * random.Float64(),
				Others: [2]listen.Voice{{F0: 100 * math.Exp2(5*random.Float64()), Level: -30 * random.Float64()}}}}
		}
		if w.state.view == playing && random.IntN(4) == 0 {
			r := grade.Result{Share: random.Float64(), Passed: random.IntN(2) == 0}
			for i, g := range w.state.drill.Targets {
				r.Notes = append(r.Notes, grade.Note{Target: i, Tab: g.Note.Tab(), Good: random.IntN(2) == 0})
				if random.IntN(2) == 0 {
					r.Marks = append(r.Marks, grade.Mark{Target: i, Quantity: grade.Pitch, Heard: 90 * random.NormFloat64(), Verdict: grade.Off})
				}
			}
			if random.IntN(5) == 0 {
				r = grade.Result{Problem: "Nothing was heard."}
			}
			w.in.Take = &Take{Drill: w.state.drill, Rate: 48000, Result: r, Lost: float64(random.IntN(2))}
		}
		if random.IntN(300) == 0 {
			w.in.Link = &Link{Spec: drill.Spec{ID: drill.List()[random.IntN(len(drill.List()))].ID, Key: harp.Keys()[random.IntN(20)]}}
		}
		if random.IntN(20) == 0 {
			w.in.Calibration = &Calibration{Seconds: 0.07}
			if random.IntN(2) == 0 {
				w.in.Calibration.Problem = "Not heard."
			}
		}
		w.step(actions...)
		seen[w.out.Screen.Name]++
	}
	for _, name := range []string{"welcome", "harp", "sound", "calibrate", "path", "drill", "steps", "take", "result", "settings", "fault-refused",
		"lessons", "lesson", "sheet", "write", "record", "room", "room-take", "room-picture", "harps", "harp-new", "pass", "pass-on", "reeds",
		"map", "week", "class", "student"} {
		if seen[name] == 0 {
			t.Errorf("screen %q never came up: the walk proves nothing about it; seen %v", name, seen)
		}
	}
}

// Law: what is read is written and read again as the same; what is refused gives the default.
func FuzzDecodeSettings(f *testing.F) {
	f.Add(DefaultSettings().Encode())
	f.Add(known().Encode())
	f.Add([]byte(`{"version":2}`))
	f.Add([]byte(`{"version":1,"key":"H"}`))
	f.Add([]byte(`{"version":1,"a4":1e9,"delays":{"x":{"seconds":-1}}}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := DecodeSettings(data)
		if err != nil {
			if string(s.Encode()) != string(DefaultSettings().Encode()) {
				t.Errorf("refused with %v, but not the default: %+v", err, s)
			}
			return
		}
		again, err := DecodeSettings(s.Encode())
		if err != nil || string(again.Encode()) != string(s.Encode()) {
			t.Errorf("%+v was read, written and read as %+v, %v", s, again, err)
		}
	})
}

func TestDecodeSettings(t *testing.T) {
	for _, c := range []struct {
		name, data string
		ok         bool
	}{
		{"nothing", "", false},
		{"a version to come", `{"version":2}`, false},
		{"no version", `{}`, false},
		{"no such key", `{"version":1,"key":"H"}`, false},
		{"a pitch no harp has", `{"version":1,"a4":500}`, false},
		{"a volume there is not", `{"version":1,"volume":"deafening"}`, false},
		{"a volume", `{"version":1,"volume":"quiet"}`, true},
		{"a delay nobody has", `{"version":1,"delays":{"x":{"seconds":3}}}`, false},
		{"least", `{"version":1}`, true},
	} {
		if _, err := DecodeSettings([]byte(c.data)); (err == nil) != c.ok {
			t.Errorf("%s: DecodeSettings(%q) = %v, want ok %v", c.name, c.data, err, c.ok)
		}
	}
}

// Heights on the comb, against the layout as it is printed on packages and in OEIS
// A291810: on a C harp 4 draw (D) lies two semitones over 4 blow (C), 10 blow (C) three
// over 10 draw (A); 3 draw has three bends, 5 draw none.
func TestComb(t *testing.T) {
	c := comb(harp.New(harp.Key{}))
	for _, x := range []struct {
		hole       int
		blow, draw float64
		names      [2]string
		bends      int
	}{
		{3, 0, 400, [2]string{"G", "B"}, 3}, {4, 0, 200, [2]string{"C", "D"}, 1},
		{5, 0, 100, [2]string{"E", "F"}, 0}, {10, 300, 0, [2]string{"C", "A"}, 2},
	} {
		s := c.Slots[x.hole-1]
		bends := 0
		for _, r := range s.Rungs {
			if r.Tab[len(r.Tab)-1] == '\'' {
				bends++
			}
		}
		if math.Abs(s.Blow-x.blow) > 1e-6 || math.Abs(s.Draw-x.draw) > 1e-6 || s.Names != x.names || bends != x.bends {
			t.Errorf("hole %d: blow %.1f draw %.1f cents, %v, %d bends; want %v", x.hole, s.Blow, s.Draw, s.Names, bends, x)
		}
	}
}

// The newest window goes before the newest frame where it is sure; a second voice stays while the note does.
func TestSoonest(t *testing.T) {
	f := note("-4")
	f.Others[0] = listen.Voice{F0: note("-5").F0, Level: -12}
	same, other, doubtful, hint := note("-4"), note("-3"), note("-3"), note("-3")
	same.F0 *= 1.01
	doubtful.Confidence, hint.Confidence = 0.5, 0.65
	for _, c := range []struct {
		name     string
		f        listen.Frame
		latest   listen.Frame
		hz, with float64
	}{
		{"it goes on", f, same, same.F0, note("-5").F0},
		{"another note", f, other, other.F0, 0},
		{"after nothing", listen.Frame{Level: -80}, same, same.F0, 0},
		{"in doubt", f, doubtful, f.F0, note("-5").F0},
		{"not sure yet, after what is", f, hint, f.F0, note("-5").F0},
		{"not sure yet, after nothing", listen.Frame{Level: -80}, hint, hint.F0, 0},
		{"in doubt, after nothing", listen.Frame{Level: -80}, doubtful, 0, 0},
		{"none asked", f, listen.Frame{}, f.F0, note("-5").F0},
	} {
		if got := soonest(c.f, c.latest); got.F0 != c.hz || got.Others[0].F0 != c.with {
			t.Errorf("%s: %g Hz with %g, want %g with %g", c.name, got.F0, got.Others[0].F0, c.hz, c.with)
		}
	}
}

// A bead lies on its hole at its own height; a neighbour that sounds along is a leak.
func TestBeads(t *testing.T) {
	h := harp.New(harp.Key{})
	f := note("-4")
	f.F0 *= math.Exp2(-40.0 / 1200)
	f.Others[0] = listen.Voice{F0: note("-5").F0, Level: -12}
	f.Others[1] = listen.Voice{F0: note("-3").F0, Level: -40} // too quiet to matter
	asked := harp.Note{Hole: 4, Breath: harp.Draw}
	all := beads(h, f, &asked)
	if len(all) != 2 {
		t.Fatalf("%d beads, want the note and one leak: %+v", len(all), all)
	}
	if b := all[0]; b.Hole != 4 || math.Abs(b.Cents-160) > 1e-6 || math.Abs(b.OffCents+40) > 1e-6 || b.Leak {
		t.Errorf("note %+v, want hole 4 at 160 cents, 40 flat", b)
	}
	if b := all[1]; b.Hole != 5 || !b.Leak || math.Abs(b.Cents-100) > 1e-6 {
		t.Errorf("leak %+v, want hole 5 at 100 cents", b)
	}
	f.Confidence = listen.HintConfidence
	if all := beads(h, f, &asked); len(all) != 1 || !all[0].Unsure || all[0].Hole != 4 || !math.IsNaN(all[0].OffCents) {
		t.Errorf("not sure yet: %+v, want one unsure bead in hole 4 and nothing said of it", all)
	}
	f.Confidence = 0.59
	if all := beads(h, f, nil); len(all) != 0 {
		t.Errorf("%d beads of what could not be heard", len(all))
	}
}

func TestChart(t *testing.T) {
	d, err := drill.Build(drill.Spec{ID: "turnaround-4"})
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []struct {
		width float64
		row   int
	}{{360, 2}, {1200, 3}} { // three bars fit one row on a laptop
		if c := chart(d, x.width); c.PerRow != x.row {
			t.Errorf("%g px: %d bars in a row, want %d", x.width, c.PerRow, x.row)
		}
	}
	c := chart(d, 1200)
	if c.Pickup <= 0 || c.Pickup > 1 || len(c.Chords) != len(d.Chords) || len(c.Notes) != len(d.Targets) {
		t.Errorf("pickup %g, %d chords, %d notes", c.Pickup, len(c.Chords), len(c.Notes))
	}
	for _, x := range []struct {
		beat float64
		left int
	}{{-4, 4}, {-3.01, 4}, {-3, 3}, {-0.5, 1}, {0, 0}, {3, 0}} {
		if got := countIn(d, x.beat); got != x.left {
			t.Errorf("countIn at beat %g = %d, want %d", x.beat, got, x.left)
		}
	}
	// A held tone is one line, a pause breaks it.
	frame := note("-3")
	var points []screen.TracePoint
	for i := range 100 {
		if i >= 40 && i < 60 {
			continue
		}
		frame.At = int64(i) * 480
		points = appendTrace(points, d, 48000, frame)
	}
	gaps := 0
	for _, p := range points {
		if p.Gap {
			gaps++
		}
	}
	if len(points) != 80 || gaps != 2 {
		t.Errorf("%d points, %d beginnings; want 80 and 2", len(points), gaps)
	}
}
