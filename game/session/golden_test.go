package session

import (
	"flag"
	"fmt"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"reedwell/audio/listen"
	"reedwell/game/paint"
	"reedwell/game/screen"
	"reedwell/game/screen/screentest"
	"reedwell/levels/drill"
	"reedwell/levels/grade"
	"reedwell/levels/harp"
)

var (
	update   = flag.Bool("update", false, "write the golden files anew; read them before they are kept")
	pictures = flag.String("pictures", "", "write pictures of the screens of which the words are tested into this `folder`, to be looked at")
)

// inWords writes a screen as text: every word the player can meet.
func inWords(s screen.Screen) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s | %s\n\n", s.Name, s.Title)
	for _, i := range s.Items {
		style := [...]string{"", "title ", "primary ", "quiet ", "good ", "off ", "warning ", "note "}[i.Style]
		fmt.Fprintf(&b, "%-11s %s%s:", i.ID, style, i.Role)
		if i.Group != "" {
			fmt.Fprintf(&b, " (%s)", i.Group)
		}
		fmt.Fprintf(&b, " %s\n", i.Label)
		if i.Detail != "" {
			fmt.Fprintf(&b, "            %s\n", i.Detail)
		}
		switch {
		case i.Role == screen.Area:
			for line := range strings.Lines(i.Value) {
				fmt.Fprintf(&b, "            > %s", line)
			}
		case i.Value != "":
			fmt.Fprintf(&b, "            = %s of %s\n", i.Value, strings.Join(i.Options, ", "))
		}
		if i.Writing != nil {
			fmt.Fprintf(&b, "            version %d, %d lines in sight\n", i.Writing.Version, i.Writing.Lines)
		}
		if i.Min != i.Max {
			fmt.Fprintf(&b, "            %g %s, %g to %g\n", i.Now, i.Unit, i.Min, i.Max)
		}
		if i.On {
			b.WriteString("            on\n")
		}
		if i.Disabled {
			b.WriteString("            can not be pressed now\n")
		}
	}
	fmt.Fprintf(&b, "\nsaid:  %s\nalert: %s\nfocus: %s\n", s.Live, s.Alert, s.Focus)
	return b.String()
}

// walk is a session that is walked through.
type walk struct {
	t      *testing.T
	state  State
	in     Input // of the next step; Actions and what is told once are cleared after it
	out    Output
	effect []EffectKind
	page   bool // there is a page around
}

func newWalk(t *testing.T, s Settings) *walk {
	w := &walk{t: t, state: Start(s)}
	w.in = Input{Width: 1000, Height: 700, Path: entries(nil)}
	w.step()
	return w
}

func (w *walk) step(actions ...screen.Action) {
	w.in.Actions, w.in.Page = actions, w.page
	w.state, w.out = Step(w.state, w.in)
	for _, e := range w.out.Effects {
		w.effect = append(w.effect, e.Kind)
	}
	w.in = Input{Width: w.in.Width, Height: w.in.Height, System: w.in.System, Sound: w.in.Sound, Now: w.in.Now, Run: w.in.Run, Work: w.in.Work}
	w.consistent()
}

func (w *walk) press(id string) {
	w.t.Helper()
	for _, i := range w.out.Screen.Items {
		if i.ID == id && !i.Disabled {
			w.step(screen.Action{ID: id})
			w.step() // what was done shows in the next step at the latest
			return
		}
	}
	w.t.Fatalf("there is no %q to press:\n%s", id, inWords(w.out.Screen))
}

// consistent checks what holds for every screen.
func (w *walk) consistent() {
	w.t.Helper()
	s := w.out.Screen
	seen := map[string]bool{}
	control := false
	for _, i := range s.Items {
		if i.ID == "" || seen[i.ID] {
			w.t.Errorf("screen %s: item %q is there twice or has no name", s.Name, i.ID)
		}
		seen[i.ID] = true
		if i.Label == "" {
			w.t.Errorf("screen %s: item %q has no words", s.Name, i.ID)
		}
		control = control || i.Role == screen.Button && !i.Disabled
		if i.Role == screen.CombView && s.Comb == nil || i.Role == screen.ChartView && s.Chart == nil {
			w.t.Errorf("screen %s: item %q has no picture", s.Name, i.ID)
		}
	}
	if s.Items[0].Role != screen.Heading || s.Items[0].Style != screen.Title {
		w.t.Errorf("screen %s does not begin with its title", s.Name)
	}
	if !control && w.in.Run.Kind != Grading && w.in.Run.Kind != Writing {
		w.t.Errorf("screen %s has no way on", s.Name)
	}
	if !seen[s.Focus] {
		w.t.Errorf("screen %s: focus on %q, which is not there", s.Name, s.Focus)
	}
	if (s.Name == "take" || s.Name == "room-take" || s.Name == "record" && w.in.Run.Kind == Recording) && s.Live != "" {
		w.t.Errorf("said %q in a take", s.Live)
	}
}

// golden compares the screen with testdata/name.golden.
func (w *walk) golden(name string) {
	w.t.Helper()
	w.inSight()
	if *pictures != "" {
		w.picture(name)
	}
	file := filepath.Join("testdata", name+".golden")
	got := inWords(w.out.Screen)
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			w.t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(file)
	if err != nil {
		w.t.Fatal(err)
	}
	if got != string(want) {
		w.t.Errorf("%s differs; read it and run the test with -update if it is right. Got:\n%s", file, got)
	}
}

// picture writes pictures of the whole screen on a laptop, on a phone, on one in large text, and in the dark. Where the content
// does not end with the window, the foot is at its lower end all the same.
func (w *walk) picture(name string) {
	fonts := paint.NewFonts()
	for _, v := range []struct {
		name          string
		width, height float64
		look          screen.Look
	}{
		{"laptop", 1280, 800, screen.Look{}}, {"phone", 360, 640, screen.Look{}},
		{"large", 360, 640, screen.Look{Large: true}}, {"dark", 360, 640, screen.Look{Dark: true}},
	} {
		s := w.out.Screen
		s.Look = v.look
		placed, height := screen.Place(s, v.width, v.height, fonts)
		f, err := os.Create(filepath.Join(*pictures, name+"-"+v.name+".png"))
		if err != nil {
			w.t.Fatal(err)
		}
		pic := paint.New(fonts, v.look, 1).Whole(placed, v.width, max(height, v.height), 0, s.Focus)
		if err := png.Encode(f, pic); err != nil {
			w.t.Fatal(err)
		}
		f.Close()
	}
}

// family goes from home to a family of drills.
func (w *walk) family(f drill.Family) {
	w.t.Helper()
	w.press("families")
	w.press("family-" + string(f))
}

// inSight wants the one thing to do next in sight when the screen comes up, as on all screens.
func (w *walk) inSight() {
	w.t.Helper()
	fonts := paint.NewFonts()
	for _, size := range [][2]float64{{360, 640}, {844, 390}, {1280, 800}} {
		for _, large := range []bool{false, true} {
			s := w.out.Screen
			s.Look.Large = large
			placed, _ := screen.Place(s, size[0], size[1], fonts)
			for _, it := range placed.Items {
				if r := it.Rect; it.ID == screentest.Next(s) && it.Role == screen.Button && r.Y+r.H > size[1] {
					w.t.Errorf("screen %s at %gx%g, large text %v: %s ends at %g px", s.Name, size[0], size[1], large, it.ID, r.Y+r.H)
				}
			}
		}
	}
}

// entries are all drills, the first of each family open, with changes.
func entries(change func(*Entry)) []Entry {
	var all []Entry
	for _, d := range drill.List() {
		e := Entry{ID: d.ID, Family: d.Family, Level: d.Level, Title: d.Title, Words: d.Words, Tempo: d.Tempo, Display: true}
		if d.Level == 1 && (d.Family != drill.Ladder || d.ID == "ladder-4d-1" || d.ID == "ladder-1d-1") {
			e.Standing = Open
			e.Next = d.ID != "ladder-1d-1"
		}
		if change != nil {
			change(&e)
		}
		all = append(all, e)
	}
	return all
}

func on() Sound {
	return Sound{State: SoundOn, Opened: 1, Rate: 48000, Label: "Built-in microphone", Key: "built-in"}
}

func known() Settings {
	s := DefaultSettings()
	s.Ready = true
	s.Delays = map[string]Delay{"built-in": {Seconds: 0.065, SpreadMS: 0.1}}
	return s
}

// note is a frame in which a note sounds.
func note(tab string) listen.Frame {
	n, err := harp.ParseNote(tab)
	if err != nil {
		panic(err)
	}
	hz, err := harp.New(harp.Key{}).Hz(n)
	if err != nil {
		panic(err)
	}
	return listen.Frame{F0: hz, Confidence: 0.9, Level: -20}
}

func TestWordsOfTheFirstRun(t *testing.T) {
	w := newWalk(t, DefaultSettings())
	w.golden("welcome")
	w.press("start")
	w.golden("harp")
	w.press("mic")
	w.in.Sound = Sound{State: SoundOpening, Opened: 1}
	w.step()
	w.golden("sound-waiting")
	w.in.Sound, w.in.Now = on(), 48000
	w.step()
	w.golden("sound-nothing-yet")
	w.in.Now, w.in.Frames = 60000, []listen.Frame{note("-4")}
	w.step()
	w.golden("sound-heard")
	w.press("go-on")
	w.golden("calibrate")
	w.press("out-speaker")
	w.golden("calibrate-speaker")
	w.press("measure")
	w.in.Run = Run{Kind: Measuring, Seconds: 1.2, Length: 3.4}
	w.step()
	w.golden("calibrate-running")
	w.in.Run = Run{}
	w.in.Calibration = &Calibration{Problem: "The microphone did not hear the chirps."}
	w.step()
	w.golden("calibrate-failed")
	w.in.Calibration = &Calibration{Seconds: 0.0653, SpreadMS: 0.2}
	w.step()
	w.golden("calibrate-done")
	if d := w.state.Settings().Delays["built-in"]; d.Seconds != 0.0653 {
		t.Errorf("stored delay %g s, want 0.0653", d.Seconds)
	}
	w.press("go-on")
	w.golden("path")
	if !w.state.Settings().Ready {
		t.Error("the first run is not noted as done")
	}
	want := []EffectKind{OpenMic, SaveSettings, Calibrate, SaveSettings, SaveSettings}
	if fmt.Sprint(w.effect) != fmt.Sprint(want) {
		t.Errorf("effects %v, want %v", w.effect, want)
	}
}

func TestWordsOfADrill(t *testing.T) {
	w := newWalk(t, known())
	w.golden("welcome-back")
	w.press("start")
	w.in.Sound = on()
	w.step()
	w.press("families")
	w.golden("families")
	w.press("family-ladder")
	w.golden("path-ladder")
	w.step(screen.Action{ID: "hole", Value: "8 blow"})
	w.golden("path-ladder-8")
	w.family(drill.Turnaround)
	w.press("next")
	w.golden("drill")
	w.step(screen.Action{ID: "tempo", Now: 73})
	w.golden("drill-slower")
	w.step(screen.Action{ID: "hear"})
	w.in.Run = Run{Kind: Demo, Seconds: 5, Length: 17}
	w.step()
	w.golden("drill-demonstration")
	w.in.Run = Run{}
	w.step()
	w.press("link")
	w.press("play")
	w.in.Run = Run{Kind: Preparing, Seconds: -1}
	w.step()
	w.golden("take-preparing")
	w.in.Run = Run{Kind: Recording, Seconds: 1.5, Length: 17}
	w.step()
	w.golden("take-count-in")
	w.in.Run.Seconds = 9
	w.step()
	w.golden("take")
	w.in.Run.Kind = Grading
	w.step()
	w.golden("take-over")
	w.in.Run = Run{}
	w.in.Take = &Take{Cut: "The sound stopped in the middle of it. This take is not counted; everything before it is kept."}
	w.step()
	w.golden("drill-cut")
}

// play brings a walk to the result of a take of a drill.
func play(t *testing.T, id string, r grade.Result, path []Entry) *walk {
	w := newWalk(t, known())
	w.press("start")
	w.in.Sound = on()
	w.step()
	w.state.settings.Family = drill.Turnaround
	d, err := drill.Build(drill.Spec{ID: id})
	if err != nil {
		t.Fatal(err)
	}
	w.state.settings.Family = d.Family
	w.step()
	w.press("level-" + id)
	w.press("play")
	w.in.Take = &Take{Drill: d, Rate: 48000, Result: r, Counted: true}
	w.in.Path = path
	w.step()
	w.step()
	return w
}

func TestWordsOfAResult(t *testing.T) {
	tabs := []string{"-3", "-4", "+4", "-2", "-1", "-2"} // turnaround-1
	r := grade.Result{Drill: "turnaround-1", Share: 4.0 / 6, Missing: 1, Bias: 0.031, Scatter: 0.012,
		Summary: []string{"Start 4 blow earlier.", "Play the last note.", "Keep the other holes out of 1 draw."}}
	for i, tab := range tabs {
		r.Notes = append(r.Notes, grade.Note{Target: i, Tab: tab, Heard: tab, Good: i != 2 && i != 5, Sure: true})
	}
	r.Notes[2].Heard = "+5"
	r.Notes[5].Heard = ""
	r.Marks = []grade.Mark{
		{Target: 0, Tab: "-3", Quantity: grade.Pitch, Heard: 4, Window: 30, Verdict: grade.Good},
		{Target: 2, Tab: "+4", Quantity: grade.Start, Heard: 0.11, Window: 0.06, Unit: "s", Verdict: grade.Off, Advice: "Begin it with the click."},
		{Target: 2, Tab: "+4", Quantity: grade.Leak, Heard: -11, Window: -16, Unit: "dB", Verdict: grade.Off, Advice: "Narrow the lips."},
		{Target: 5, Tab: "-2", Quantity: grade.Played, Verdict: grade.Missing, Advice: "Play 2 draw here."},
	}
	for i, tab := range tabs {
		if i != 0 && i != 2 && i != 5 {
			r.Marks = append(r.Marks, grade.Mark{Target: i, Tab: tab, Quantity: grade.Length, Heard: 0.93, Window: 0.7, Verdict: grade.Good})
		}
	}
	w := play(t, "turnaround-1", r, entries(func(e *Entry) {
		if e.ID == "turnaround-1" {
			e.Lately, e.Advised, e.Change = "0 of the last 2 takes good, 4 needed, one of them without seeing what you play.", 52, -1
		}
	}))
	w.golden("result-not-yet")
	w.press("note-after")
	w.golden("result-missing-note")
	w.press("advised")
	w.golden("drill-advised")

	for i := range r.Notes {
		r.Notes[i].Good, r.Notes[i].Heard = true, r.Notes[i].Tab
	}
	r.Share, r.Passed, r.Summary, r.Marks = 1, true, nil, nil
	w = play(t, "turnaround-1", r, entries(func(e *Entry) {
		switch e.ID {
		case "turnaround-1":
			e.Standing, e.Lately = Passed, "Play it well once more on another day to confirm it."
		case "turnaround-2":
			e.Standing, e.Next = Open, true
		}
	}))
	w.golden("result-passed")

	w = play(t, "turnaround-1", grade.Result{Problem: "Nothing was heard. Check that the right microphone is chosen and not muted, and play a little louder."}, nil)
	w.golden("result-no-judgement")
}

// The check tells of a note that is about to overdrive the microphone, and not of a knock, until it is over; a result tells of one that did.
func TestTooLoud(t *testing.T) {
	w := newWalk(t, DefaultSettings())
	w.press("start")
	w.press("mic")
	w.in.Sound = on()
	at := func(seconds int64, f listen.Frame, told bool) {
		t.Helper()
		w.in.Now, w.in.Frames = seconds*48000, []listen.Frame{f}
		w.step()
		if it := w.item("loud"); told != (it != nil) {
			t.Errorf("after %d s, peak %g and confidence %g: told of %v, want %v", seconds, f.Peak, f.Confidence, it != nil, told)
		}
	}
	quiet, loud, knock := note("-4"), note("-4"), listen.Frame{Level: -12, Peak: 1}
	quiet.Peak, loud.Peak = 0.6, 0.8
	at(1, quiet, false)
	at(2, knock, false)
	at(3, loud, true)
	at(5, quiet, true)
	at(9, quiet, false)
	at(10, loud, true)
	w.golden("sound-loud")

	w = play(t, "turnaround-1", grade.Result{Share: 1, Passed: true, Overdriven: true}, nil)
	if w.item("overdriven") == nil {
		t.Error("the result does not say that the microphone was overdriven")
	}
	w = play(t, "turnaround-1", grade.Result{Overdriven: true, Problem: "The microphone was overdriven."}, nil)
	if w.item("overdriven") != nil {
		t.Error("the result says twice that the microphone was overdriven")
	}
}

func TestWordsOfAWarbleResult(t *testing.T) {
	d, err := drill.Build(drill.Spec{ID: "warble-1"})
	if err != nil {
		t.Fatal(err)
	}
	r := grade.Result{Drill: d.ID, Share: 0.75, Summary: []string{"Even comes before quick: slow down until both holes last the same."}}
	for i, g := range d.Targets {
		r.Notes = append(r.Notes, grade.Note{Target: i, Tab: g.Note.Tab()})
	}
	r.Marks = []grade.Mark{
		{Target: -1, Quantity: grade.Played, Asked: 20, Heard: 19, Verdict: grade.Good},
		{Target: 0, Quantity: grade.Rate, Asked: 2, Heard: 2.1, Verdict: grade.Good},
		{Target: 0, Quantity: grade.Evenness, Heard: 0.08, Window: 0.15, Verdict: grade.Good},
		{Target: 8, Quantity: grade.Rate, Asked: 3, Heard: 3.0, Verdict: grade.Good},
		{Target: 8, Quantity: grade.Evenness, Heard: 0.22, Window: 0.15, Verdict: grade.Off, Advice: "Slower, until it is even."},
		{Target: -1, Quantity: grade.Balance, Asked: 0.5, Heard: 0.58, Window: 0.1, Verdict: grade.Good},
		{Target: -1, Quantity: grade.Clean, Heard: 0.9, Window: 0.8, Verdict: grade.Good},
		{Target: -1, Quantity: grade.Ramp, Heard: 0.04, Window: 0.1, Verdict: grade.Good},
	}
	w := play(t, "warble-1", r, nil)
	w.golden("result-warble")
	if c := w.out.Screen.Chart; c.Notes[0].Outcome != screen.InWindow || c.Notes[8].Outcome != screen.OutOfWindow || c.Notes[1].Outcome != screen.Open {
		t.Errorf("outcomes %v %v %v, want in, out and open", c.Notes[0].Outcome, c.Notes[8].Outcome, c.Notes[1].Outcome)
	}
}

func TestWordsOfTheSettings(t *testing.T) {
	w := newWalk(t, known())
	w.press("settings")
	w.golden("settings-no-sound")
	w.in.Sound = on()
	w.step()
	w.golden("settings")
	w.press("large")
}

// Over a loudspeaker, with the delay checked, moved and unheard.
func TestWordsOverALoudspeaker(t *testing.T) {
	settings := known()
	settings.Phones, settings.Family = false, drill.Turnaround
	w := newWalk(t, settings)
	w.press("start")
	w.in.Sound = on()
	w.step()
	w.press("level-turnaround-1")
	w.golden("drill-speaker")
	w.in.Sound.Loud = true
	w.step(screen.Action{ID: "play"})
	w.in.Run = Run{Kind: Checking, Seconds: 0.4, ClickOnly: true}
	w.step()
	w.golden("take-checking")
	w.in.Run.Kind = Recording
	w.in.Checked = &Checked{}
	w.step()
	w.in.Run = Run{}
	w.in.Take = &Take{Drill: w.state.drill, Rate: 48000, Counted: true, Result: grade.Result{Share: 1, Passed: true, Notes: []grade.Note{{Tab: "-3", Heard: "-3", Good: true, Sure: true}}}}
	w.step()
	w.golden("result-check-unheard")
	w.step(screen.Action{ID: "again"})
	w.in.Take = &Take{Drill: w.state.drill, Rate: 48000, Counted: true, Clicks: true, Trip: 0.083, Shift: 0.018,
		Result: grade.Result{Share: 1, Passed: true, Notes: []grade.Note{{Tab: "-3", Heard: "-3", Good: true, Sure: true}}}}
	w.step()
	w.golden("result-shifted")
	if d := w.state.Settings().Delays["built-in"]; d.Seconds != 0.083 {
		t.Errorf("stored delay %g s, want 0.083", d.Seconds)
	}
	w.press("change")
	w.golden("drill-click-only")
	w.in.Sound.Slip = 0.02 // a hint that it has moved again
	w.step()
	w.golden("drill-speaker-slipped")
	w.effect = nil
	w.step(screen.Action{ID: "play"})
	if e := w.out.Effects; len(e) != 1 || !e[0].Check || !e[0].Speaker || e[0].RoundTrip != 0.083 {
		t.Errorf("effects %+v, want a take with a check and 0.083 s", e)
	}
	w.in.Sound.Slip = 0.02
	w.in.Checked = &Checked{Heard: true, Seconds: 0.101}
	w.step()
	w.press("stop")
	w.step(screen.Action{ID: "play"})
	if e := w.out.Effects; len(e) != 1 || e[0].Check || e[0].RoundTrip != 0.101 {
		t.Errorf("effects %+v, want a take without a check and 0.101 s", e)
	}
	// A take in which sound was lost and the clicks were not heard asks for another check.
	w.in.Take = &Take{Drill: w.state.drill, Rate: 48000, Lost: 0.2}
	w.step()
	w.step(screen.Action{ID: "again"})
	if e := w.out.Effects; len(e) != 1 || !e[0].Check {
		t.Errorf("effects %+v, want a take with a check", e)
	}
}

// The microphone that is chosen, and the one that is closed because nobody plays.
func TestWordsOfTheMicrophone(t *testing.T) {
	w := newWalk(t, known())
	w.press("start")
	w.in.Sound = on()
	w.in.Sound.Input, w.in.Sound.Label = "b", "USB microphone"
	w.in.Sound.Inputs = []Mic{{"a", "Built-in microphone"}, {"b", "USB microphone"}, {"c", ""}}
	w.step()
	w.press("settings")
	w.golden("settings-microphones")
	w.step(screen.Action{ID: "microphone", Value: "Microphone 3"})
	if e := w.out.Effects; len(e) != 2 || e[1].Kind != OpenMic || e[1].Input != "c" || w.state.Settings().Mic != "c" {
		t.Errorf("effects %+v, want one that opens c", e)
	}
	w.in.Sound = Sound{State: SoundFailed, Opened: 2, Fault: "busy", Sentence: "What happened and what to do."}
	w.step()
	w.golden("fault-chosen-microphone")
	w.press("system-mic")
	w.in.Sound = on()
	w.in.Sound.Opened, w.in.Now = 3, 1000
	w.step()
	w.press("back")

	second := int64(48000)
	closed := func() bool {
		for _, e := range w.out.Effects {
			if e.Kind == CloseMic {
				return true
			}
		}
		return false
	}
	w.in.Now += 299 * second
	w.in.Frames = []listen.Frame{note("-4")}
	w.step()
	w.in.Now += 299 * second
	w.in.Frames = []listen.Frame{{Level: -30}} // loud, but no note
	w.step()
	if closed() {
		t.Error("closed before five minutes without a note")
	}
	w.in.Now += 2 * second
	w.step()
	if !closed() {
		t.Error("still open after five minutes without a note")
	}
	w.in.Sound = Sound{Opened: 3}
	w.in.Now = 0
	w.step()
	w.golden("path-asleep")
	w.press("level-single-1")
	w.golden("drill-asleep")
	w.press("mic")
	if w.out.Screen.Name != "drill" || w.effect[len(w.effect)-1] != OpenMic {
		t.Errorf("screen %q, effects %v; want the drill and the microphone opened", w.out.Screen.Name, w.effect)
	}
}

// Nobody is torn from what they write: trouble with the sound waits until sound is wanted, and is told at once where it was asked for.
func TestTroubleWaits(t *testing.T) {
	failed := Sound{State: SoundFailed, Opened: 1, Fault: "stalled", Sentence: "What happened and what to do."}
	w := newWalk(t, known())
	w.press("start")
	w.in.Sound = on()
	w.step()
	w.press("lessons")
	w.press("write")
	for _, trouble := range []Sound{failed, {State: SoundHeld, Opened: 1, Fault: "interrupted", Sentence: "The system has paused the sound."}} {
		w.in.Sound = trouble
		w.step()
		if w.out.Screen.Name != "write" {
			t.Errorf("%s: the screen is %q, want the text that is written", trouble.Fault, w.out.Screen.Name)
		}
		w.press("back")
		w.press("back")
		if want := "fault-" + trouble.Fault; w.out.Screen.Name != want {
			t.Errorf("where sound is wanted the screen is %q, want %q", w.out.Screen.Name, want)
		}
		w.in.Sound = on()
		w.step()
		w.press("lessons")
		w.press("write")
	}
	w.in.Sound = Sound{Opened: 1}
	w.step()
	w.step(screen.Action{ID: "mic"})
	w.in.Sound = failed
	w.in.Sound.Opened = 2
	w.step()
	if w.out.Screen.Name != "fault-stalled" {
		t.Errorf("where the microphone was asked for the screen is %q, want what is wrong", w.out.Screen.Name)
	}
}

func TestWordsOfTrouble(t *testing.T) {
	for _, fault := range []string{"refused", "missing", "busy", "unplugged", "insecure", "stalled", "nocapture", "other"} {
		w := newWalk(t, known())
		w.press("start")
		w.in.Sound = Sound{State: SoundFailed, Opened: 1, Fault: fault, Sentence: "What happened and what to do."}
		w.step()
		w.golden("fault-" + fault)
		w.press("look")
		if w.out.Screen.Name != "path" {
			t.Errorf("%s: without the microphone the screen is %q, want path", fault, w.out.Screen.Name)
		}
	}
	w := newWalk(t, known())
	w.press("start")
	w.in.Sound = Sound{State: SoundHeld, Opened: 1, Fault: "interrupted", Sentence: "The system has paused the sound."}
	w.step()
	w.golden("fault-interrupted")
	w.press("resume")
	w.in.Sound = on()
	w.step()
	if w.out.Screen.Name != "path" {
		t.Errorf("after a pause the screen is %q, want path", w.out.Screen.Name)
	}

	w = newWalk(t, DefaultSettings())
	w.press("start")
	w.press("mic")
	w.in.Sound = on()
	w.in.Sound.Bluetooth, w.in.Sound.InputRate, w.in.Sound.Processing = true, 16000, "echo cancellation"
	w.in.Frames = []listen.Frame{{Level: -120}}
	w.step()
	w.in.Now = 3 * 48000
	w.in.Frames = []listen.Frame{{Level: -120}}
	w.step()
	w.golden("sound-doubts")
	w.press("go-on")
	w.press("skip")
	w.press("next")
	w.golden("drill-not-calibrated")

	w = newWalk(t, known())
	w.in.Link = &Link{Reason: "drill: there is no such drill"}
	w.step()
	w.golden("link-refused")
}

func TestWordsOfALink(t *testing.T) {
	key, err := harp.ParseKey("A")
	if err != nil {
		t.Fatal(err)
	}
	w := newWalk(t, DefaultSettings())
	w.in.Link = &Link{Spec: drill.Spec{ID: "ladder-4d-2", Key: key, Tempo: 50}, Title: "Lesson 3: the first bend"}
	w.step()
	w.golden("link")
	w.press("start")
	if w.out.Screen.Name != "drill" {
		t.Fatalf("the link leads to %q, want the drill", w.out.Screen.Name)
	}

	w = newWalk(t, known())
	w.in.Sound = on()
	w.step()
	w.in.Link = &Link{Spec: drill.Spec{ID: "ladder-4d-2", Key: key, Tempo: 50}, Title: "Lesson 3: the first bend"}
	w.step()
	w.golden("drill-from-a-link")
	w.press("my-harp")
	if got := w.state.Harp().Key.String(); got != "C" {
		t.Errorf("played on %s, want my own C", got)
	}
}
