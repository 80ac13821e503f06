package session

import (
	"math"
	"slices"
	"strings"
	"testing"

	"reedwell/audio/listen"
	"reedwell/game/screen"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/lesson/lessontest"
	days "reedwell/levels/path"
	"reedwell/levels/reeds"
)

func aKey(t testing.TB, name string) harp.Key {
	t.Helper()
	k, err := harp.ParseKey(name)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// caseOf is a case with a measured C, a measured A and a D that is not measured.
func caseOf(t testing.TB) reeds.Case {
	t.Helper()
	var c reeds.Case
	for _, k := range []reeds.Kept{
		{Name: "Old C", Harp: harp.Harp{Key: aKey(t, "C"), Tuning: harp.Compromise, A4: 442, Profile: harp.Profile{Draw: [10]float64{2: -18, 3: 4}, Blow: [10]float64{3: 6.5}}},
			Measured: days.Date(2026, 11, 20), Found: reeds.Faults{5: 1 << reeds.Off, 0: 1 << reeds.Slow, 12: 1 << reeds.NotHeard, 13: 1 << reeds.Leaks}},
		{Name: "Blue A", Harp: harp.Harp{Key: aKey(t, "A"), Tuning: harp.Just7, A4: 443.25, Profile: harp.Profile{Draw: [10]float64{3: -9}}}, Measured: days.Date(2026, 11, 21)},
		{Name: "D harp", Harp: harp.New(aKey(t, "D"))},
	} {
		if err := c.Add(k); err != nil {
			t.Fatal(err)
		}
	}
	return c
}

// withHarps is a walk on the path with these harps and the microphone on.
func withHarps(t *testing.T, c reeds.Case) *walk {
	w := newWalk(t, known())
	w.press("start")
	w.in.Sound, w.in.Harps = on(), &c
	w.step()
	return w
}

// obey carries out what the session asks for with the harps, as the stage does, and hands them back.
func (w *walk) obey(c *reeds.Case) {
	w.t.Helper()
	for _, e := range w.out.Effects {
		var err error
		switch e.Kind {
		case AddHarp:
			err = c.Add(e.Harp)
		case RenameHarp:
			err = c.Rename(e.ID, e.Name)
		case ForgetHarp:
			err = c.Delete(e.ID)
		case HoldHarp:
			err = c.SetDefault(e.ID)
		default:
			continue
		}
		if err != nil {
			w.t.Error(err)
		}
		now := *c
		w.in.Harps = &now
	}
	w.step()
}

func (w *walk) did(kind EffectKind) bool {
	return slices.ContainsFunc(w.out.Effects, func(e Effect) bool { return e.Kind == kind })
}

func TestWordsOfMyHarps(t *testing.T) {
	var c reeds.Case
	w := withHarps(t, c)
	w.press("harps")
	w.golden("harps-none")
	w.press("add")
	w.step(screen.Action{ID: "key", Value: "Bb"})
	w.golden("harp-new")
	w.step(screen.Action{ID: "name", Value: "  "})
	w.step(screen.Action{ID: "add"})
	if w.did(AddHarp) || w.state.view != adding {
		t.Error("a harp without a name is kept")
	}
	w.golden("harp-new-no-name")
	w.step(screen.Action{ID: "name", Value: "Silver\nBb"})
	w.step(screen.Action{ID: "add"})
	w.obey(&c)
	if k, ok := c.Find("Silver Bb"); !ok || k.Harp.Key != aKey(t, "Bb") || w.state.Settings().Own != "Silver Bb" || w.state.Harp().Key != k.Harp.Key {
		t.Fatalf("added %+v, in hand %q of %s", k, w.state.Settings().Own, w.state.Harp().Key)
	}

	c = caseOf(t)
	w = withHarps(t, c)
	w.press("harps")
	w.step(screen.Action{ID: "own-1"})
	w.obey(&c)
	w.golden("harps")
	if h := w.state.Harp(); h.Profile.Draw[2] != -18 || h.A4 != 442 || h.Tuning != harp.Compromise {
		t.Errorf("in hand %+v, want the measured C", h)
	}
	w.press("rename")
	w.golden("harps-rename")
	w.step(screen.Action{ID: "new-name", Value: "blue a"})
	w.step(screen.Action{ID: "rename-now"})
	if w.did(RenameHarp) || !strings.Contains(inWords(w.out.Screen), "another harp has this name") && !strings.Contains(inWords(w.out.Screen), "Another harp has this name") {
		t.Errorf("a name that is taken:\n%s", inWords(w.out.Screen))
	}
	w.step(screen.Action{ID: "new-name", Value: "Oak"})
	w.step(screen.Action{ID: "rename-now"})
	w.obey(&c)
	if w.state.Settings().Own != "Oak" || w.state.Harp().Profile.Draw[2] != -18 {
		t.Errorf("after renaming %q is in hand", w.state.Settings().Own)
	}
	w.press("forget")
	w.golden("harps-forget")
	w.press("keep-it")
	w.press("forget")
	w.step(screen.Action{ID: "really-forget"})
	w.obey(&c)
	if _, ok := c.Find("Oak"); ok || w.state.Settings().Own != "" || w.state.Harp().Profile != (harp.Profile{}) || w.state.Harp().Key != aKey(t, "C") {
		t.Errorf("forgotten, and in hand %q, %+v", w.state.Settings().Own, w.state.Harp())
	}
	// Another window forgets the harp in hand.
	w.step(screen.Action{ID: "own-1"})
	w.obey(&c)
	if w.state.Settings().Own != "Blue A" {
		t.Fatalf("in hand %q", w.state.Settings().Own)
	}
	if err := c.Delete("Blue A"); err != nil {
		t.Fatal(err)
	}
	now := c
	w.in.Harps = &now
	w.step()
	if w.state.Settings().Own != "" || w.state.Harp().Profile != (harp.Profile{}) {
		t.Error("a harp that is gone is still in hand")
	}
}

// passAt is a pass over the reeds that has got so far.
func passAt(name string, key harp.Key, done int, change func(*Pass)) *Pass {
	p := &Pass{Name: name, Key: key, On: true, State: reeds.State{Heard: done, Time: 1}}
	plan := reeds.Plan()
	for _, n := range plan[:done] {
		p.State.Have[2*(n.Hole-1)+int(n.Breath)] = true
		p.State.Took = n
	}
	if done < len(plan) {
		p.State.Ask = plan[done]
	} else {
		p.State.Done, p.On = true, false
	}
	if change != nil {
		change(p)
	}
	return p
}

func TestWordsOfAPass(t *testing.T) {
	c := caseOf(t)
	w := withHarps(t, c)
	w.press("harps")
	w.step(screen.Action{ID: "own-3"})
	w.obey(&c)
	w.press("measure")
	w.golden("pass-intro")
	w.step(screen.Action{ID: "begin"})
	if i := slices.IndexFunc(w.out.Effects, func(e Effect) bool { return e.Kind == BeginPass }); i < 0 || w.out.Effects[i].ID != "D harp" || w.out.Effects[i].Key != aKey(t, "D") {
		t.Fatalf("effects %+v, want a pass of the D harp", w.out.Effects)
	}
	var p *Pass
	at := func(done int, change func(*Pass)) {
		p = passAt("D harp", aKey(t, "D"), done, change)
		w.in.Pass = p
		w.step()
	}
	at(0, nil)
	w.golden("pass-first")
	f := listen.Frame{F0: 587.33 * math.Exp2(20.0/1200), Confidence: 0.9, Level: -20} // 4 blow of a D harp
	w.in.Now = 48000
	w.in.Frames, w.in.Pass = []listen.Frame{f}, passAt("D harp", aKey(t, "D"), 0, func(p *Pass) { p.State.Held = 0.42 })
	w.step()
	if b := w.out.Screen.Comb.Beads; len(b) != 1 || b[0].Hole != 4 || b[0].Draw || !math.IsNaN(b[0].OffCents) {
		t.Errorf("beads %+v, want 4 blow and nothing of how far it is off", b)
	}
	at(7, func(p *Pass) { p.State.Cents, p.State.Problem = 8.4, reeds.TooShort })
	w.golden("pass-problem")
	if m := w.out.Screen.Comb.Slots[3].Marks; m != [2]screen.Mark{screen.Measured, screen.Measured} {
		t.Errorf("marks of hole 4 %v, want both measured", m)
	}
	at(8, func(p *Pass) { p.State.Rest = true; p.State.Cents = -12.2 })
	w.golden("pass-rest")
	w.in.Pass = p
	w.step(screen.Action{ID: "skip"})
	if !w.did(SkipReed) {
		t.Error("a reed can not be left out")
	}
	w.in.Pass = p
	w.step(screen.Action{ID: "stop"})
	if !w.did(PausePass) || w.state.view != harps {
		t.Errorf("stopped: %v on %s", w.out.Effects, w.state.view)
	}
	report := reeds.Report{Key: aKey(t, "D"), Heard: 9, Fit: reeds.Fit{Found: true, A4: 441}}
	at(8, func(p *Pass) { p.On, p.Report = false, &report })
	w.golden("harps-half")
	w.in.Pass = p
	w.step(screen.Action{ID: "measure"})
	w.in.Pass = p
	w.step()
	w.golden("pass-half")
	w.in.Pass = p
	w.step(screen.Action{ID: "begin"})
	if !w.did(GoOnPass) {
		t.Error("a pass can not be gone on with")
	}
	// Anything that leads away pauses it.
	w.in.Pass = passAt("D harp", aKey(t, "D"), 9, nil)
	w.in.Link = &Link{Spec: drill.Spec{ID: "ladder-4d-2", Key: aKey(t, "A")}}
	w.step()
	w.in.Pass = passAt("D harp", aKey(t, "D"), 9, nil)
	w.step()
	if !w.did(PausePass) || w.state.view != practice {
		t.Errorf("with a link: %v on %s", w.out.Effects, w.state.view)
	}
}

func TestWordsOfTheReport(t *testing.T) {
	c := caseOf(t)
	w := withHarps(t, c)
	w.press("harps")
	w.step(screen.Action{ID: "own-1"})
	w.obey(&c)
	w.press("report")
	w.golden("reeds-kept")
	comb := w.out.Screen.Comb
	if !comb.Figures || comb.Slots[2].Names[1] != "\u221218" || comb.Slots[2].Marks[1] != screen.FlatReed || comb.Slots[0].Marks[0] != screen.SlowReed ||
		comb.Slots[6].Marks != [2]screen.Mark{screen.Unheard, screen.LeakReed} || comb.Slots[6].Names != [2]string{"", "0"} || comb.Slots[3].Names[0] != "+7" {
		t.Errorf("comb %+v", comb.Slots)
	}
	// A pass that is done is kept by itself, once, and told.
	w.press("done")
	w.press("measure")
	w.in.Pass = passAt("Old C", aKey(t, "C"), 19, nil)
	w.step()
	k, _ := c.Find("Old C")
	r, _ := k.Report()
	done := func() { w.in.Pass = passAt("Old C", aKey(t, "C"), 20, func(p *Pass) { p.Report = &r }) }
	done()
	w.step()
	if !w.did(KeepPass) || w.state.view != telling {
		t.Fatalf("done: %v on %s", w.out.Effects, w.state.view)
	}
	done()
	w.step()
	if w.did(KeepPass) {
		t.Error("kept twice")
	}
	w.golden("reeds")
	done()
	w.step(screen.Action{ID: "again-3-draw"})
	if i := slices.IndexFunc(w.out.Effects, func(e Effect) bool { return e.Kind == RepeatReed }); i < 0 || w.out.Effects[i].Note != (harp.Note{Hole: 3, Breath: harp.Draw}) || w.state.view != passing {
		t.Errorf("again: %+v on %s", w.out.Effects, w.state.view)
	}
}

// Wherever a harp is built from the settings, it is the player's own, as measured; of another key the one in the case.
func TestTheProfileIsUsedEverywhere(t *testing.T) {
	c := caseOf(t)
	old, _ := c.Find("Old C")
	blue, _ := c.Find("Blue A")
	w := withHarps(t, c)
	w.press("settings")
	w.step(screen.Action{ID: "key", Value: "C"})
	w.obey(&c)
	if w.state.Settings().Own != "" {
		t.Errorf("choosing the key that is set takes up %q", w.state.Settings().Own)
	}
	w.step(screen.Action{ID: "key", Value: "A"})
	w.obey(&c)
	w.step(screen.Action{ID: "key", Value: "C"})
	w.obey(&c)
	w.golden("settings-own")
	w.press("back")
	if w.state.Harp() != old.Harp {
		t.Fatalf("in hand %+v, want Old C", w.state.Harp())
	}
	same := func(what string, h harp.Harp, d drill.Drill) {
		t.Helper()
		if d.Harp != h {
			t.Errorf("%s: harp %+v, want %+v", what, d.Harp, h)
		}
		for _, g := range d.Targets {
			if hz, err := h.Hz(g.Note); err != nil || hz != g.Hz {
				t.Errorf("%s: %s asked at %g Hz, the reed gives %g", what, g.Note.Tab(), g.Hz, hz)
			}
		}
	}
	// Drills, bends among them: targets, comb, take and demonstration.
	w.family(drill.Ladder)
	w.step(screen.Action{ID: "level-ladder-3d-3"})
	same("ladder", old.Harp, w.state.drill)
	bent := harp.Note{Hole: 3, Breath: harp.Draw, Bend: 1}
	if hz := pitch(w.state.Harp(), bent); math.Abs(harp.Cents(hz, 440*math.Exp2(1.0/12))-(-18+harp.Compromise.Deviation(3, harp.Draw)+harp.Cents(442, 440))) > 1e-6 {
		t.Errorf("the half step on 3 draw lies at %g Hz, not 100 cents under the measured reed", hz) // 3 draw of a C harp is B4, bent Bb4 = A#4
	}
	if i := w.out.Screen.Comb.Slots[2]; math.Abs(i.Draw-i.Blow-(harp.Cents(pitch(old.Harp, harp.Note{Hole: 3, Breath: harp.Draw}), pitch(old.Harp, harp.Note{Hole: 3})))) > 1e-9 {
		t.Errorf("the comb draws hole 3 as %+v", i)
	}
	for kind, act := range map[EffectKind]string{PlayDemo: "hear", StartTake: "play"} {
		w.step(screen.Action{ID: act})
		i := slices.IndexFunc(w.out.Effects, func(e Effect) bool { return e.Kind == kind })
		if i < 0 {
			t.Fatalf("%s: effects %+v", act, w.out.Effects)
		}
		same(act, old.Harp, w.out.Effects[i].Drill)
		w.state.view, w.state.demo = practice, false
	}
	w.step(screen.Action{ID: "link"})
	if i := slices.IndexFunc(w.out.Effects, func(e Effect) bool { return e.Kind == CopyLink }); i < 0 || w.out.Effects[i].Spec.Profile != (harp.Profile{}) || w.out.Effects[i].Spec.A4 != 0 {
		t.Errorf("a link carries the player's own reeds: %+v", w.out.Effects)
	}
	// A link for another key: the A harp of the case, though the link asks for equal temperament.
	w.in.Link = &Link{Spec: drill.Spec{ID: "ladder-4d-2", Key: aKey(t, "A")}, Title: "Week 2"}
	w.step()
	same("link", blue.Harp, w.state.drill)
	// Lessons: as written, for an A harp, and moved to the one in hand.
	l := lessontest.Demo(t, "shoes")
	w.in.Link = &Link{Lesson: &lesson.Address{Lesson: l, Lick: 1}}
	w.step()
	want, _ := w.state.HarpOf(l.Key)
	same("lick", want, w.state.drill)
	key := aKey(t, "A")
	w.in.Link = &Link{Lesson: &lesson.Address{Lesson: l, Lick: 1, Key: &key}}
	w.step()
	same("lick on A", blue.Harp, w.state.drill)
	w.step(screen.Action{ID: "my-harp"})
	same("lick on mine", old.Harp, w.state.drill)
	// A key that no kept harp has: tuned as the one in hand, nobody's reeds.
	key = aKey(t, "F")
	if h, measured := w.state.HarpOf(key); measured || h.Profile != (harp.Profile{}) || h.Tuning != old.Harp.Tuning {
		t.Errorf("an F harp that is not kept: %+v, %v", h, measured)
	}
	// What is written down.
	w.state.view = writing
	w.state.draft = draft{part: chorus}
	if d := w.state.Harp(); d != old.Harp {
		t.Errorf("written down on %+v", d)
	}
}

// played hands the walk the pitches of notes on a harp.
func (w *walk) played(h harp.Harp, notes ...harp.Note) {
	for _, n := range notes {
		w.in.Pitches = append(w.in.Pitches, pitch(h, n))
	}
	w.in.Now += 48000
	w.step()
}

func TestAHarpIsOffered(t *testing.T) {
	c := caseOf(t)
	old, _ := c.Find("Old C")
	blue, _ := c.Find("Blue A")
	begin := func() *walk {
		w := withHarps(t, c)
		w.step(screen.Action{ID: "harps"})
		w.step(screen.Action{ID: "own-1"})
		w.step(screen.Action{ID: "back"})
		return w
	}
	offered := func(w *walk) bool {
		return slices.ContainsFunc(w.out.Screen.Items, func(i screen.Item) bool { return i.ID == "take-offer" })
	}
	w := begin()
	w.played(old.Harp, reeds.Plan()...)
	if offered(w) {
		t.Errorf("on the right harp:\n%s", inWords(w.out.Screen))
	}
	w.in.Now += 61 * 48000 // the notes before are forgotten
	w.played(blue.Harp, reeds.Plan()...)
	if !offered(w) {
		t.Fatalf("on another harp of the case nothing is offered:\n%s", inWords(w.out.Screen))
	}
	w.golden("path-offer")
	if w.state.Settings().Own != "Old C" {
		t.Error("it was taken without a word")
	}
	w.press("take-offer")
	if w.state.Settings().Own != "Blue A" || offered(w) {
		t.Errorf("taken: %q in hand", w.state.Settings().Own)
	}

	// Said no, it is not asked again for that key.
	w = begin()
	w.played(blue.Harp, reeds.Plan()...)
	w.press("no-offer")
	w.played(blue.Harp, reeds.Plan()...)
	if offered(w) || w.state.Settings().Own != "Old C" {
		t.Error("asked again after no")
	}

	// A key that is not kept, at a drill's start.
	w = begin()
	w.family(drill.Ladder)
	w.step(screen.Action{ID: "level-ladder-4d-2"})
	bb := harp.Harp{Key: aKey(t, "Bb"), Tuning: harp.Compromise, A4: 442}
	w.played(bb, reeds.Plan()...)
	w.golden("drill-offer")
	w.press("take-offer")
	if w.state.drill.Harp.Key != bb.Key || w.state.Settings().Own != "" || w.state.Settings().Key != bb.Key || w.state.view != practice || w.state.drill.ID != "ladder-4d-2" {
		t.Errorf("taken: drill %s on %s", w.state.drill.ID, w.state.drill.Harp.Key)
	}

	// Never in a take, and what sounds there is not counted.
	w = begin()
	w.step(screen.Action{ID: "level-single-1"})
	w.step(screen.Action{ID: "play"})
	w.in.Run = Run{Kind: Recording, Seconds: 1}
	w.played(blue.Harp, reeds.Plan()...)
	if offered(w) || w.state.offer.found != nil || w.state.offer.pitches != nil {
		t.Error("offered in a take")
	}
	w.in.Run = Run{}

	// In a pass over a harp of another key than said.
	w = begin()
	w.step(screen.Action{ID: "harps"})
	w.step(screen.Action{ID: "measure"})
	keep := func() { w.in.Pass = passAt("Old C", old.Harp.Key, 2, nil) }
	keep()
	w.step()
	keep()
	w.played(bb, reeds.Plan()...)
	if !offered(w) {
		t.Fatal("nothing is offered in a pass")
	}
	w.golden("pass-offer")
	keep()
	w.step(screen.Action{ID: "take-offer"})
	if i := slices.IndexFunc(w.out.Effects, func(e Effect) bool { return e.Kind == BeginPass }); i < 0 || w.out.Effects[i].Key != bb.Key || w.out.Effects[i].ID != "Old C" {
		t.Errorf("taken in a pass: %+v", w.out.Effects)
	}
}

// Settings keep the harp in hand, and refuse one that can not be.
func TestSettingsKeepTheHarp(t *testing.T) {
	s := known()
	s.Own, s.Profile.Draw[3] = "Old C", -12.5
	got, err := DecodeSettings(s.Encode())
	if err != nil || got.Harp() != s.Harp() || got.Own != "Old C" {
		t.Errorf("read as %+v, %v", got.Harp(), err)
	}
	if strings.Contains(string(known().Encode()), "profile") || strings.Contains(string(known().Encode()), "own") {
		t.Error("settings without a kept harp are written with one")
	}
	for _, bad := range []func(*Settings){func(s *Settings) { s.Own = strings.Repeat("x", 41) }, func(s *Settings) { s.Profile.Blow[0] = 61 }} {
		s := known()
		bad(&s)
		if _, err := DecodeSettings(s.Encode()); err == nil {
			t.Errorf("%+v is read", s)
		}
	}
}
