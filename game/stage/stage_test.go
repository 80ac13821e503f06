package stage_test

import (
	"math"
	"testing"

	"reedwell/audio/device"
	"reedwell/audio/synth"
	"reedwell/game/screen"
	"reedwell/levels/band"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/link"
	"reedwell/levels/path"
	"reedwell/levels/player"
)

func TestFirstRunToResult(t *testing.T) {
	r := newRig(t, "")
	hz, err := harp.New(harp.Key{}).Hz(harp.Note{Hole: 4, Breath: harp.Draw})
	if err != nil {
		t.Fatal(err)
	}
	r.options.Room = synth.Render(48000, 2, []synth.Note{{Start: 0.4, End: 1.4, Hz: synth.Steady(hz)}}, 1)
	r.on("welcome")
	r.press("start")
	r.on("harp")
	if r.opened != 0 {
		t.Fatal("the microphone was opened before it was asked for")
	}
	r.press("mic")
	r.on("sound")
	r.wait(1)
	r.says("I hear 4 draw.")
	if r.screen.Comb == nil || len(r.screen.Comb.Beads) != 1 || r.screen.Comb.Beads[0].Hole != 4 || !r.screen.Comb.Beads[0].Draw {
		t.Errorf("comb = %+v, want one bead on 4 draw", r.screen.Comb)
	}
	r.press("go-on")
	r.on("calibrate")
	r.press("measure")
	r.wait(6)
	r.says("Your sound takes 65 ms")
	r.press("go-on")
	r.on("path")

	r.spec = drill.Spec{ID: "single-1"}
	r.perform = well(player.Faults{})
	r.press("level-single-1")
	r.on("drill")
	r.take()
	r.says("A good take")
	if r.screen.Chart == nil || len(r.screen.Chart.Trace) < 100 {
		t.Errorf("no trace on the result")
	}
	for i, n := range r.screen.Chart.Notes {
		if n.Outcome != screen.InWindow {
			t.Errorf("note %d: outcome %v, want in the window", i, n.Outcome)
		}
	}
	// Every note's marks can be reached one by one.
	seen := map[string]bool{}
	for range r.screen.Chart.Notes {
		head, _ := r.item("note")
		seen[head.Label] = true
		r.press("note-after")
	}
	if len(seen) != len(r.screen.Chart.Notes) {
		t.Errorf("%d notes reached, want %d: %v", len(seen), len(r.screen.Chart.Notes), seen)
	}
}

// A fake's round trip is exact, so what is found may only be a fraction of a frame off;
// the issue asks for 2 ms.
func TestCalibrationFindsTheRoundTrip(t *testing.T) {
	for _, frames := range []int{960, roundTrip, 12000} { // 20, 65 and 250 ms
		r := newRig(t, "")
		r.options.RoundTrip = frames
		r.ready()
		r.spec = drill.Spec{ID: "turnaround-1"}
		r.perform = well(player.Faults{})
		r.family("turnaround")
		r.press("level-turnaround-1")
		r.take()
		// The player plays on the beat as it is heard in the room. What the take says of the
		// start is what is left of the round trip.
		bias := r.stageBias()
		if math.Abs(bias) > 0.010 {
			t.Errorf("round trip of %d frames: starts are %.1f ms off, want none (10 ms: how closely a start can be heard)", frames, bias*1000)
		}
	}
}

// stageBias reads the mean start of the notes off the drawn line: the first point after
// each gap against the asked beat.
func (r *rig) stageBias() float64 {
	d, err := drill.Build(r.spec)
	if err != nil {
		r.Fatal(err)
	}
	first := d.Targets[0]
	for _, p := range r.screen.Chart.Trace {
		if d.Time(p.Beat) > first.Start-0.4 && p.Level > 0.3 {
			return d.Time(p.Beat) - first.Start
		}
	}
	r.Fatal("no trace near the first note")
	return 0
}

func TestNextDrillUnlocks(t *testing.T) {
	r := newRig(t, "")
	r.ready()
	r.spec = drill.Spec{ID: "single-1"}
	r.perform = well(player.Faults{})
	r.press("level-single-1")
	r.press("play")
	for take := 1; ; take++ {
		r.until("result", 120)
		open := false
		for _, i := range r.screen.Items {
			open = open || i.ID == "next"
		}
		if open != (take == 4) {
			t.Fatalf("after take %d the next drill is open: %v, want after 4 good ones:\n%s", take, open, describe(r.screen))
		}
		if open {
			break
		}
		r.press("change")
		r.act(screen.Action{ID: "live", On: false})
		r.press("play")
	}
	r.says("Open now: Single notes 2")
	if focus := r.screen.Focus; focus != "next" {
		t.Errorf("focus on %q, want next", focus)
	}
	r.press("next")
	r.on("drill")
	r.says("Blow up and down")

	// A new page knows it.
	r.start("")
	r.press("start")
	r.on("path")
	if i, _ := r.item("level-single-1"); i.Stop != screen.PassedStop {
		t.Errorf("after a reload single-1 is %+v, want passed", i)
	}
	r.outside.today = "2026-11-26"
	r.family("single")
	r.says("Play it well once more to confirm it.")
}

func TestWrongPlayingDoesNotCount(t *testing.T) {
	backing := func(d drill.Drill) []float32 { return band.Render(d, 48000) }
	for _, c := range []struct {
		name    string
		perform func(drill.Drill) []float32
	}{
		{"silence", nil},
		{"the backing alone", backing},
		{"half the notes", well(player.Faults{Drop: 2})},
		{"a quarter of a second late", well(player.Faults{Late: 0.25})},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := newRig(t, "")
			r.ready()
			r.spec = drill.Spec{ID: "turnaround-1"}
			r.perform = c.perform
			r.family("turnaround")
			r.press("level-turnaround-1")
			r.take()
			if i, _ := r.item("score"); i.Style == screen.Good {
				t.Errorf("passed:\n%s", describe(r.screen))
			}
		})
	}
}

func TestFaults(t *testing.T) {
	for _, c := range []struct {
		fault error
		name  string
	}{
		{device.Refused, "fault-refused"}, {device.Missing, "fault-missing"}, {device.Busy, "fault-busy"},
		{device.Unplugged, "fault-unplugged"}, {device.Insecure, "fault-insecure"}, {device.Stalled, "fault-stalled"},
		{device.NoCapture, "fault-nocapture"}, {device.Other, "fault-other"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := newRig(t, "")
			r.options.Refuse = c.fault
			r.press("start")
			r.press("mic")
			r.on(c.name)
			r.says(c.fault.Error())
			if r.screen.Alert == "" {
				t.Error("the fault is not said at once")
			}
			// One way on is to try again, the other to go on without.
			r.press("look")
			r.on("path")
			r.press("mic")
			r.on(c.name)
			r.options.Refuse = nil
			r.press("retry")
			r.wait(0.1)
			r.on("path")
		})
	}
}

func TestUnpluggedInATake(t *testing.T) {
	r := newRig(t, "")
	r.options.FailAfter = 48000 * 20
	r.ready()
	r.spec = drill.Spec{ID: "single-1"}
	r.press("level-single-1")
	r.press("play")
	r.until("fault-unplugged", 30)
	r.says("not counted")
	r.options.FailAfter = 0
	r.press("retry")
	r.wait(0.1)
	r.on("drill")
	r.perform = well(player.Faults{})
	r.take()
	r.says("A good take")
}

func TestHiddenPageEndsATake(t *testing.T) {
	r := newRig(t, "")
	r.ready()
	r.press("level-single-1")
	r.press("play")
	r.wait(2)
	r.on("take")
	r.tick.Hidden = true
	r.wait(0.1)
	r.tick.Hidden = false
	r.wait(0.1)
	r.on("drill")
	r.says("The page was hidden")
	r.press("put-away-hidden")
	if len(r.screen.Alert) > 0 {
		t.Errorf("alert %q after it was put away", r.screen.Alert)
	}
}

func TestGapsAreReportedAndNotHeldAgainstThePlayer(t *testing.T) {
	r := newRig(t, "")
	r.options.Gaps = []device.Gap{{At: 77777 + 48000*22, Frames: 9600}}
	r.ready()
	r.spec = drill.Spec{ID: "single-1"}
	r.perform = well(player.Faults{})
	r.press("level-single-1")
	r.take()
	r.says("The device lost 200 ms of sound")
	r.says("The take is not counted.")
}

func TestPageDiesInATake(t *testing.T) {
	r := newRig(t, "")
	r.ready()
	r.spec = drill.Spec{ID: "single-1"}
	r.perform = well(player.Faults{})
	r.press("level-single-1")
	r.take()
	r.press("again")
	r.wait(5)
	r.on("take")

	r.start("") // the old Stage is gone without a word
	r.on("welcome")
	r.says("was cut off before it ended")
	r.press("start")
	r.wait(0.1)
	r.press("level-single-1")
	r.says("1 take of 1 good")
	r.start("")
	for _, i := range r.screen.Items {
		if i.ID == "notice-lost-take" {
			t.Error("told twice")
		}
	}
}

func TestStoreIsFull(t *testing.T) {
	r := newRig(t, "")
	r.ready()
	r.store.full = true
	r.spec = drill.Spec{ID: "single-1"}
	r.perform = well(player.Faults{})
	r.press("level-single-1")
	r.take()
	r.says("storage is full")
	// What is in memory can be saved as a file, and it is whole.
	r.press("back")
	r.press("settings")
	r.press("export")
	p, err := path.Decode(r.outside.file)
	if err != nil {
		t.Fatal(err)
	}
	if takes, _ := p.Takes("single-1"); len(takes) != 1 {
		t.Errorf("%d takes in the exported copy, want 1", len(takes))
	}

	// And it can be read on another machine.
	other := newRig(t, "")
	other.ready()
	other.press("settings")
	other.act(screen.Action{ID: "import", Bytes: r.outside.file})
	other.says("was read and added")
	other.press("back")
	other.press("level-single-1")
	other.says("1 take of 1 good")
	other.press("settings")
	other.act(screen.Action{ID: "import", Bytes: []byte("GIF89a")})
	other.says("not a whole copy")
}

func TestStoredProgressThatCannotBeRead(t *testing.T) {
	for _, c := range []struct{ name, data, says string }{
		{"damaged", `{"reedwell-progress":1,"sha`, "was damaged"},
		{"newer", `{"reedwell-progress":99}`, "newer version"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := newRig(t, "")
			r.store.data["progress-a"] = []byte(c.data)
			r.start("")
			r.says(c.says)
			kept := false
			for name, data := range r.store.data {
				kept = kept || name != "progress-a" && string(data) == c.data
			}
			if !kept {
				t.Error("it was not put aside")
			}
		})
	}
	r := newRig(t, "")
	r.store.data["settings"] = []byte(`{"version":7}`)
	r.start("")
	r.says("newer version")
	if string(r.store.data["settings-aside"]) != `{"version":7}` {
		t.Error("newer settings were not put aside")
	}
}

func TestLinks(t *testing.T) {
	key, err := harp.ParseKey("A")
	if err != nil {
		t.Fatal(err)
	}
	spec := drill.Spec{ID: "ladder-4d-2", Key: key, Tempo: 50, A4: 442}
	fragment, err := link.Encode(spec, "First bend")
	if err != nil {
		t.Fatal(err)
	}
	r := newRig(t, "")
	r.ready()
	r.start(fragment)
	r.says("First bend")
	r.press("start")
	r.on("drill")
	r.says("Take an A harp.")
	r.wait(0.1)
	r.press("link")
	if r.outside.link != fragment {
		t.Errorf("copied %q, want %q", r.outside.link, fragment)
	}
	r.spec = spec
	r.perform = well(player.Faults{})
	r.take()
	r.says("A good take")
	r.says("Takes count from 60")

	// Opened in a running program it goes straight to the drill.
	r.press("back")
	r.tick.Link = fragment
	r.poll()
	r.on("drill")

	for _, hostile := range []string{"v=1&drill=single-1&harp=H", "<script>", "v=9", "v=1&drill=nothing-9&harp=C", "v=1&drill=single-1&harp=C&tempo=1e9"} {
		r.start(hostile)
		r.on("welcome")
		r.says("The link can not be opened")
	}
}

func TestWarnings(t *testing.T) {
	r := newRig(t, "")
	r.options.Info = device.Info{Bluetooth: true, InputRate: 16000, EchoCancellation: true, AutoGain: true}
	r.press("start")
	r.press("mic")
	r.wait(3)
	r.says("looks like Bluetooth")
	r.says("16 kHz")
	r.says("echo cancellation, automatic gain")
	r.says("Nothing arrives from")
	r.press("go-on")
	r.press("skip")
	r.press("level-single-1")
	r.says("Not calibrated")
}

// A take is not described aloud while it runs: it would be heard by the microphone.
func TestNothingIsSaidInATake(t *testing.T) {
	r := newRig(t, "")
	r.ready()
	r.press("level-single-1")
	r.press("play")
	cursor := math.Inf(-1)
	counted := map[string]bool{}
	for range 200 {
		r.wait(0.04)
		if r.screen.Name == "take" && r.screen.Live != "" {
			t.Fatalf("said %q in a take", r.screen.Live)
		}
		if r.screen.Chart.Cursor < cursor {
			t.Fatalf("the cursor went back from %g to %g", cursor, r.screen.Chart.Cursor)
		}
		cursor = r.screen.Chart.Cursor
		i, _ := r.item("count")
		counted[i.Label] = true
	}
	for _, words := range []string{"Count-in: 4", "Count-in: 3", "Count-in: 2", "Count-in: 1", "Play."} {
		if !counted[words] {
			t.Errorf("%q was not shown; shown were %v", words, counted)
		}
	}
}

func TestDemonstration(t *testing.T) {
	r := newRig(t, "")
	r.ready()
	r.press("level-single-1")
	r.press("hear")
	r.wait(3)
	r.on("drill")
	if r.screen.Chart.Cursor < -4 {
		t.Error("no cursor in a demonstration")
	}
	r.press("stop")
	r.says("Two holes")
	r.press("play")
	r.wait(1)
	r.press("stop")
	r.on("drill")
}

// The bead is there within 60 ms of the sound, the reed's attack and the blocks of the device included.
func TestBeadIsSoon(t *testing.T) {
	r := newRig(t, "")
	hz, err := harp.New(harp.Key{}).Hz(harp.Note{Hole: 5, Breath: harp.Draw})
	if err != nil {
		t.Fatal(err)
	}
	const at = 1.0
	r.options.Room = synth.Render(48000, 2, []synth.Note{{Start: at, End: 1.8, Hz: synth.Steady(hz)}}, 1)
	r.press("start")
	r.press("mic")
	now := func() float64 { return float64(r.fake.Now()-r.options.First) / 48000 }
	for now() < at+0.3 {
		r.fake.Advance(240)
		r.seconds += 0.005
		r.poll()
		if r.screen.Comb != nil && len(r.screen.Comb.Beads) > 0 {
			break
		}
	}
	if late := now() - at; late > 0.060 || late < 0 {
		t.Errorf("the bead came after %.0f ms, want 60 at most", 1000*late)
	}
}
