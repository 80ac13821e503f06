package session

import (
	"slices"
	"strings"
	"testing"

	"reedwell/game/screen"
	"reedwell/levels/lesson"
	"reedwell/levels/lesson/lessontest"
	demotexts "reedwell/testdata/lessons"
)

func (w *walk) item(id string) *screen.Item {
	if i := slices.IndexFunc(w.out.Screen.Items, func(it screen.Item) bool { return it.ID == id }); i >= 0 {
		return &w.out.Screen.Items[i]
	}
	return nil
}

// The loudspeaker is chosen by name, kept, opened again each time, and left to the system
// again; without a list there is no choice.
func TestChoosingALoudspeaker(t *testing.T) {
	w := newWalk(t, known())
	w.press("start")
	w.in.Sound = on()
	w.step()
	w.press("settings")
	if w.item("loudspeaker") != nil {
		t.Error("a loudspeaker can be chosen where there is no list")
	}
	w.in.Sound.Speakers = []Mic{{"x", "Monitor"}, {"y", "Phones"}, {"z", "Phones"}, {"", ""}}
	w.step()
	it := w.item("loudspeaker")
	if it == nil || it.Value != systemSpeaker || strings.Join(it.Options, ", ") != systemSpeaker+", Monitor, Phones, Phones (2), Loudspeaker 4" {
		t.Fatalf("loudspeaker %+v, want the system's choice of five", it)
	}
	w.step(screen.Action{ID: "loudspeaker", Value: "Phones (2)"})
	if e := w.out.Effects; len(e) != 2 || e[1].Kind != OpenMic || e[1].Output != "z" || w.state.Settings().Out != "z" {
		t.Errorf("effects %+v, want one that opens z", e)
	}
	w.in.Sound.Speaker = "z"
	w.step()
	if it := w.item("loudspeaker"); it.Value != "Phones (2)" {
		t.Errorf("loudspeaker %+v, want the second Phones", it)
	}
	for _, stray := range []string{"Phones (2)", "nonsense", ""} {
		w.step(screen.Action{ID: "loudspeaker", Value: stray})
		if len(w.out.Effects) != 0 {
			t.Errorf("%q: effects %+v, want none", stray, w.out.Effects)
		}
	}
	w.step(screen.Action{ID: "loudspeaker", Value: systemSpeaker})
	if e := w.out.Effects; len(e) != 2 || e[1].Output != "" || w.state.Settings().Out != "" {
		t.Errorf("effects %+v, want one that opens the system's choice", e)
	}
	again, err := DecodeSettings(Settings{Version: 1, A4: 440, Family: "single", Out: "z"}.Encode())
	if err != nil || again.Out != "z" {
		t.Errorf("read back %q, %v, want z", again.Out, err)
	}
	if _, err := DecodeSettings(Settings{Version: 1, A4: 440, Family: "single", Out: strings.Repeat("z", maxMic+1)}.Encode()); err == nil {
		t.Error("a loudspeaker's name without an end is taken")
	}
}

// When the microphone goes away in a take, what was recorded can be saved, and another
// microphone opens from the same screen.
func TestUnpluggedAndAnother(t *testing.T) {
	w := newWalk(t, known())
	w.press("start")
	w.in.Sound = on()
	w.in.Sound.Input = "a"
	w.in.Sound.Inputs = []Mic{{"a", "Built-in microphone"}, {"b", "USB microphone"}, {"", ""}}
	w.step()
	w.press("level-single-1")
	w.press("play")
	w.in.Take = &Take{Drill: w.state.drill, Cut: "The sound stopped in the middle of it.", Kept: true}
	w.in.Sound.State, w.in.Sound.Fault, w.in.Sound.Sentence = SoundFailed, "unplugged", "The microphone or the loudspeaker went away."
	w.step()
	w.golden("fault-unplugged-in-a-take")
	w.step(screen.Action{ID: "save-spared"})
	if e := w.out.Effects; len(e) != 1 || e[0].Kind != SaveTake {
		t.Errorf("effects %+v, want the recording saved", e)
	}
	w.step(screen.Action{ID: "use-1"})
	if e := w.out.Effects; len(e) != 2 || e[1].Kind != OpenMic || e[1].Input != "b" || w.state.Settings().Mic != "b" {
		t.Errorf("effects %+v, want the USB microphone opened", e)
	}
	w.in.Sound.State, w.in.Sound.Input, w.in.Sound.Opened = SoundOn, "b", w.in.Sound.Opened+1
	w.step()
	if w.out.Screen.Name != "drill" || w.item("save-spared") == nil {
		t.Errorf("screen %q, want the drill, with the recording still to be had", w.out.Screen.Name)
	}
	w.press("play")
	w.press("stop")
	if w.item("save-spared") != nil {
		t.Error("after another take the old recording is still offered")
	}
}

// What this device can do is told when a take has run, and not before.
func TestAboutThisDevice(t *testing.T) {
	w := newWalk(t, known())
	w.press("start")
	w.in.Sound = on()
	w.step()
	w.press("settings")
	if w.item("drawing") != nil {
		t.Error("figures are shown before a take")
	}
	w.in.Drawing = Drawing{Pictures: 900, Usual: 0.0167, Slow: 0.021, Work: 0.008, Sound: 0.012, Slower: 0.031, Press: 0.018}
	w.step()
	it := w.item("drawing")
	want := "In your last take it drew 900 pictures, one every 17 ms as a rule and at the slowest every 21 ms, of which it worked 8 ms." +
		" A sound was seen 12 ms after the device handed it over, at the slowest 31 ms. Your last press was seen after 18 ms."
	if it == nil || it.Label != want {
		t.Errorf("it says %+v, want %q", it, want)
	}
}

// In the window a lesson is edited outside: it goes out, and comes back each time it is saved.
func TestEditingOutside(t *testing.T) {
	w := newWalk(t, known())
	w.in.Shelf = demos(nil)
	w.step()
	w.press("look")
	w.press("lessons")
	w.press("write")
	w.step(screen.Action{ID: "edit"})
	e := w.out.Effects
	if k := len(e) - 1; k < 0 || e[k].Kind != EditDraft || e[k].Text != template {
		t.Fatalf("effects %+v, want a new lesson edited", e)
	}
	shoes := demotexts.Text("shoes")
	w.in.Edited = &shoes
	w.step()
	w.in.Edited = nil
	if got := w.item("text").Value; got != shoes {
		t.Errorf("the lesson is %q, want what was saved", got)
	}
	broken := strings.Replace(shoes, "tempo:", "tempo: fast ", 1)
	w.in.Edited = &broken
	w.step()
	w.in.Edited = nil
	lines := strings.Split(w.item("text").Writing.Shown, "\n")
	k := slices.IndexFunc(lines, func(l string) bool { return strings.HasPrefix(l, "tempo:") })
	if !strings.Contains(lines[k+1], "^ mistake at column") {
		t.Errorf("under the broken tempo stands %q, want the mistake", lines[k+1])
	}
	w.press("undo")
	if got := w.item("text").Value; got != shoes {
		t.Errorf("brought back is %q, want the lesson before", got)
	}
	nonsense := "title: \xff"
	w.in.Edited = &nonsense
	w.step()
	if w.item("text").Value != shoes || w.item("notice-editor") == nil {
		t.Error("a file that is no text was taken, or nothing was said of it")
	}
	w.in.Edited = nil
	// Another lesson is begun: what is saved of the first does not run over it.
	w.press("begin-1")
	before := w.item("text").Value
	w.in.Edited = &shoes
	w.step()
	if w.item("text").Value != before || w.item("notice-editor") == nil {
		t.Error("a lesson was run over by the one before, or nothing was said of it")
	}
}

func TestAnnotatedKeepsEveryLine(t *testing.T) {
	for _, text := range []string{"", "\n", "title: x", demotexts.Text("kettle"), "lick: no head\n-4 |\n-99 |"} {
		_, problems := lesson.Parse(text)
		var back []string
		for _, l := range strings.Split(annotated(text, problems), "\n") {
			if !strings.HasPrefix(l, "    ^ mistake") {
				back = append(back, l)
			}
		}
		if got := strings.Join(back, "\n"); got != text {
			t.Errorf("without the mistakes it is %q, want %q", got, text)
		}
	}
	l := lessontest.Demo(t, "kettle")
	if text := lesson.Format(l); annotated(text, nil) != text {
		t.Error("a lesson without mistakes is shown otherwise")
	}
}
