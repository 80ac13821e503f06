package stage_test

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"reedwell/audio/device"
	"reedwell/audio/listen"
	"reedwell/audio/synth"
	"reedwell/audio/wav"
	"reedwell/game/screen"
	"reedwell/levels/band"
	"reedwell/levels/drill"
	"reedwell/levels/grade"
	"reedwell/levels/player"
)

// has reports an item with words.
func (r *rig) has(words string) bool {
	for _, i := range r.screen.Items {
		if strings.Contains(i.Label, words) || strings.Contains(i.Detail, words) {
			return true
		}
	}
	return false
}

// never fails when an item has these words.
func (r *rig) never(words string) {
	r.Helper()
	if r.has(words) {
		r.Errorf("%q is said on the screen:\n%s", words, describe(r.screen))
	}
}

// saved grades the file of the take on the screen.
func (r *rig) saved() grade.Result {
	r.Helper()
	r.press("save-take")
	sound, err := wav.Read(bytes.NewReader(r.outside.file))
	if err != nil {
		r.Fatal(err)
	}
	d, err := drill.Build(r.spec)
	if err != nil {
		r.Fatal(err)
	}
	if want := int(math.Round(d.Seconds * float64(sound.Rate))); len(sound.Samples) != want {
		r.Fatalf("the file has %d samples, want %d", len(sound.Samples), want)
	}
	heard, err := listen.Hear(grade.Ear(d, sound.Rate), sound.Samples)
	if err != nil {
		r.Fatal(err)
	}
	return grade.Take(d, heard)
}

// swap goes on with a device whose round trip is another by so many frames.
func (r *rig) swap(frames int) {
	o := r.options
	o.First = r.fake.Now()
	o.RoundTrip += frames
	r.options.RoundTrip += frames
	r.player(&o)
	*r.fake = *device.NewFake(o)
}

// speaker is a rig that is ready, over a loudspeaker of that gain, on the screen of a drill.
func speaker(t *testing.T, loop float64, id string) *rig {
	r := newRig(t, "")
	r.options.Loop, r.air = loop, 0
	r.press("start")
	r.press("out-speaker")
	r.press("mic")
	r.wait(0.2)
	r.press("go-on")
	r.press("measure")
	r.wait(6)
	r.press("go-on")
	r.to(id)
	return r
}

// to goes from the path to a drill and has it played well.
func (r *rig) to(id string) {
	r.Helper()
	r.spec = drill.Spec{ID: id}
	r.perform = well(player.Faults{})
	family, _, _ := strings.Cut(id, "-")
	r.family(family)
	r.press("level-" + id)
}

// Each time a stream is opened the round trip can be another one. Over a loudspeaker it is
// measured again before the first take, and only then.
func TestDelayIsCheckedOnceAStream(t *testing.T) {
	for _, moved := range []int{-1440, 9600} { // 30 ms less, and 200 more
		r := speaker(t, 0.05, "turnaround-1")
		r.take()
		if r.checks != 0 {
			t.Errorf("%d checks on the stream the delay was measured on, want none", r.checks)
		}
		r.options.RoundTrip += moved
		r.start("")
		r.press("start")
		r.wait(0.1)
		r.press("level-turnaround-1")
		r.says("Two chirps before the count-in")
		r.press("play")
		r.wait(0.2)
		r.says("Checking the sound delay")
		r.until("result", 120)
		r.says("A good take")
		r.never("than measured before")
		if got, want := r.delay(), float64(roundTrip+moved)/48000; math.Abs(got-want) > 0.0002 {
			t.Errorf("moved by %d frames: the delay is %.2f ms, want %.2f", moved, got*1000, want*1000)
		}
		if b := r.saved().Bias; math.Abs(b) > 0.010 { // how closely a start can be heard
			t.Errorf("moved by %d frames: starts are %.1f ms late, want none", moved, b*1000)
		}
		r.press("again")
		r.until("result", 120)
		if r.checks != 1 {
			t.Errorf("%d checks in two takes of a stream, want 1", r.checks)
		}
	}
}

// A check that is not heard leaves the stored delay alone and is told once a stream.
func TestCheckIsNotHeard(t *testing.T) {
	r := newRig(t, "")
	r.ready()
	r.press("settings")
	r.press("out-speaker")
	r.press("back")
	before := r.delay()
	r.air = 0 // the speaker is off
	for opening := range 2 {
		r.start("")
		r.press("start")
		r.wait(0.1)
		r.to("turnaround-1")
		r.take()
		r.says("A good take")
		r.says("chirps did not reach the microphone, so early and late may be off")
		r.press("put-away-check")
		r.press("again")
		r.until("result", 120)
		r.never("chirps did not reach")
		if r.checks != opening+1 || r.delay() != before {
			t.Errorf("opening %d: %d checks, delay %g s; want one each and %g s", opening+1, r.checks, r.delay(), before)
		}
	}
}

func TestStoppedInTheCheck(t *testing.T) {
	r := speaker(t, 0.05, "turnaround-1")
	r.start("")
	r.press("start")
	r.wait(0.1)
	r.press("level-turnaround-1")
	for range 2 {
		r.press("play")
		r.wait(1)
		r.says("Checking the sound delay")
		r.press("stop")
		r.on("drill")
		r.wait(0.2)
	}
	r.fake.Fail(device.Unplugged)
	r.wait(0.1)
	r.on("fault-unplugged")
	r.press("retry")
	r.wait(0.1)
	r.press("play")
	r.wait(1)
	r.fake.Fail(device.Unplugged)
	r.wait(0.1)
	r.on("fault-unplugged")
	r.says("not counted")
	r.press("retry")
	r.wait(0.1)
	r.take()
	r.says("A good take")
}

// With headphones the stored delay is used and told to be an earlier one, once a stream.
func TestEarlierDelayIsTold(t *testing.T) {
	const words = "measured at an earlier opening"
	r := newRig(t, "")
	r.ready()
	r.to("turnaround-1")
	r.never(words)
	for range 2 {
		r.start("")
		r.press("start")
		r.wait(0.1)
		r.press("level-turnaround-1")
		r.says(words)
		r.take()
		r.press("change")
		r.never(words)
	}
	if r.checks != 0 {
		t.Errorf("%d checks with headphones, want none", r.checks)
	}
	r.start("")
	r.press("start")
	r.wait(0.1)
	r.press("level-turnaround-1")
	r.press("calibrate")
	r.press("measure")
	r.wait(6)
	r.press("go-on")
	r.on("drill")
	r.never(words)
}

// The count-in tells of a round trip that has moved within a stream: the take is shifted,
// told of, and the new round trip is used from then on.
func TestClicksFindAMovedDelay(t *testing.T) {
	for _, c := range []struct {
		frames int
		told   string
	}{
		{2640, "55 ms later than measured before"}, {-576, "12 ms earlier than measured before"},
		{144, ""}, // 3 ms are within what a calibration may be off
	} {
		r := speaker(t, 0.05, "turnaround-1")
		r.take()
		r.never("than measured before")
		steady := r.saved().Bias
		r.swap(c.frames)
		r.press("again")
		r.until("take", 1)
		r.until("result", 120)
		r.says("A good take")
		want := float64(roundTrip+c.frames) / 48000
		if c.told == "" {
			r.never("than measured before")
			want = float64(roundTrip) / 48000
			steady += float64(c.frames) / 48000
		} else {
			r.says(c.told)
		}
		if got := r.delay(); math.Abs(got-want) > 0.0002 {
			t.Errorf("%d frames: the delay is %.2f ms, want %.2f", c.frames, got*1000, want*1000)
		}
		// The ear's hop begins elsewhere, which moves starts by some tenths of a millisecond; 2
		// ms is what the round trip has to be known to.
		if got := r.saved().Bias; math.Abs(got-steady) > 0.002 {
			t.Errorf("%d frames: starts are %.1f ms late, want %.1f as before", c.frames, got*1000, steady*1000)
		}
		r.press("again")
		r.until("take", 1)
		r.until("result", 120)
		r.never("than measured before")
		if r.checks != 0 {
			t.Errorf("%d checks, want none: the clicks told", r.checks)
		}
	}
}

// Marks on the screen are those of the shifted sound.
func TestShiftedTakeIsTheSavedOne(t *testing.T) {
	r := speaker(t, 0.05, "turnaround-1")
	r.perform = well(player.Faults{Drop: 2})
	r.swap(1200)
	r.take()
	r.says("25 ms later")
	good := 0
	for _, n := range r.saved().Notes {
		if n.Good {
			good++
		}
	}
	score, _ := r.item("score")
	if !strings.HasPrefix(score.Label, "Not yet: 3 of 6 notes") || good != 3 {
		t.Errorf("the screen says %q, the file has %d good notes; want 3 of 6", score.Label, good)
	}
}

// The device's hint of a slip is overruled by the clicks up to the count-in, and counts
// after it, from the first note on.
func TestSlipBeforeTheClicksIsNoMatter(t *testing.T) {
	r, f := bad(t)
	r.options.Loop = 0.05
	r.swap(0)
	for _, c := range []struct {
		at    float64 // seconds after Play; the count-in ends near 4.7
		moved bool
	}{{3, false}, {5.2, true}, {12, true}} {
		r.press("play")
		r.wait(c.at)
		f.slip += 480
		r.until("result", 120)
		if got := r.has("changed in the middle"); got != c.moved {
			t.Errorf("slip %g s after Play: told %v, want %v", c.at, got, c.moved)
		}
		r.press("change")
		if got := r.has("has changed since"); got != c.moved {
			t.Errorf("slip %g s after Play: before the next take told %v, want %v", c.at, got, c.moved)
		}
	}
}

// microphones are three inputs.
type microphones struct{ refreshed int }

func (m *microphones) All() []device.DeviceInfo {
	return []device.DeviceInfo{{ID: "a", Label: "Built-in", Default: true}, {ID: "b", Label: "USB"}, {ID: "c", Label: "USB"}}
}
func (m *microphones) Refresh() { m.refreshed++ }

func TestChoosingAMicrophone(t *testing.T) {
	r := newRig(t, "")
	m := new(microphones)
	r.inputs = m
	r.options.Info = device.Info{InputID: "a", InputLabel: "Built-in"}
	r.start("")
	r.ready()
	if m.refreshed != 1 {
		t.Errorf("the list was asked for %d times on a stream, want once", m.refreshed)
	}
	r.press("settings")
	select1 := func(want string) {
		t.Helper()
		i, ok := r.item("microphone")
		if !ok || i.Value != want || strings.Join(i.Options, ", ") != "Built-in, USB, USB (2)" {
			t.Errorf("microphone %+v, want %s of three", i, want)
		}
	}
	select1("Built-in")
	r.act(screen.Action{ID: "microphone", Value: "Built-in"})
	if r.opened != 1 {
		t.Error("the same one was opened again")
	}
	r.act(screen.Action{ID: "microphone", Value: "USB (2)"})
	r.wait(0.1)
	r.on("settings")
	select1("USB (2)")
	if r.opened != 2 || r.asked[1] != "c" {
		t.Errorf("opened %v, want c last", r.asked)
	}
	r.says("Not calibrated.") // another microphone, another delay
	r.act(screen.Action{ID: "microphone", Value: "nonsense"})
	if m.refreshed != 2 || r.opened != 2 {
		t.Errorf("listed %d and opened %d times, want twice each", m.refreshed, r.opened)
	}
	r.tick.Hidden = true
	r.poll()
	r.tick.Hidden = false
	r.poll()
	if m.refreshed != 3 {
		t.Error("not listed again when the page was back in view")
	}

	// It is kept; a microphone that can not be opened is not the end.
	r.options.Refuse = device.Busy
	r.start("")
	r.press("start")
	r.on("fault-busy")
	r.press("retry")
	r.on("fault-busy")
	if got := r.asked[len(r.asked)-1]; got != "c" {
		t.Errorf("asked for %q, want c", got)
	}
	r.options.Refuse = nil
	r.press("system-mic")
	r.wait(0.1)
	r.on("path")
	if got := r.asked[len(r.asked)-1]; got != "" {
		t.Errorf("asked for %q, want the system's choice", got)
	}
}

// Five minutes without a take or a note close the microphone; the count is the device's.
func TestMicrophoneClosesWhenNobodyPlays(t *testing.T) {
	r := newRig(t, "")
	r.ready()
	rest := func(seconds int) {
		for range seconds {
			r.fake.Advance(48000)
			r.poll()
		}
	}
	const told = "no note for five minutes"
	r.to("turnaround-1")
	rest(290)
	r.press("hear") // it goes on for 17 s
	rest(40)
	if _, ok := r.item("play"); !ok {
		t.Fatalf("no way to play after a demonstration:\n%s", describe(r.screen))
	}
	rest(270)
	r.never(told)
	rest(40)
	r.says(told)
	if r.fake.State() != device.Closed {
		t.Errorf("the device is %v, want closed", r.fake.State())
	}
	r.seconds += 1e5 // a clock says nothing
	r.poll()
	r.press("mic")
	r.wait(0.1)
	r.never(told)
	if r.opened != 2 {
		t.Errorf("opened %d times, want twice", r.opened)
	}
	r.take()
	r.says("A good take")
	rest(310)
	r.on("result")
	r.says(told)
	r.press("mic")
	r.wait(0.1)
	r.never(told)
}

// over hears a drill played well while its backing comes back from a loudspeaker.
func over(t *testing.T, d drill.Drill, o band.Options, loop float64) grade.Result {
	t.Helper()
	const rate = 48000
	p := synth.Render(rate, d.Seconds, player.Notes(d, player.Faults{Cents: 5, Scatter: 0.015, Seed: 1}), 1)
	f := device.NewFake(device.FakeOptions{Rate: rate, First: 1000, RoundTrip: roundTrip, Loop: loop,
		Player: func(int64, []float32) []float32 { return p }})
	at := f.Now() + f.Lead()
	f.Play(at, band.RenderWith(d, rate, o))
	f.Advance(int(at-f.Now()) + roundTrip + len(p) + 4096)
	sound := make([]float32, len(p))
	f.Read(func(b device.Block) {
		for i, x := range b.In {
			if k := b.First + int64(i) - at - roundTrip; k >= 0 && k < int64(len(sound)) {
				sound[k] = x
			}
		}
	})
	heard, err := listen.Hear(grade.Ear(d, rate), sound)
	if err != nil {
		t.Fatal(err)
	}
	return grade.Take(d, heard)
}

// What the band in the microphone does to marks, by how far it stands under the player. This
// is what the limit in loud.go rests on.
func TestBandOverALoudspeaker(t *testing.T) {
	type key struct {
		note int
		q    grade.Quantity
	}
	changed := map[string]int{}
	for _, id := range []string{"turnaround-4", "turnaround-6"} {
		d, err := drill.Build(drill.Spec{ID: id})
		if err != nil {
			t.Fatal(err)
		}
		alone := over(t, d, band.Options{}, 0)
		for _, c := range []struct {
			name string
			o    band.Options
			db   float64 // band under player; both have -21 dBFS, so it is the gain of the air
		}{
			{"band 6 dB under", band.Options{}, -6},
			{"band 20 dB under", band.Options{}, -20}, {"click as loud as with a band 6 dB under", band.Options{NoBand: true}, -6},
		} {
			with := over(t, d, c.o, math.Pow(10, c.db/20))
			marks := map[key]grade.Mark{}
			for _, m := range with.Marks {
				marks[key{m.Target, m.Quantity}] = m
			}
			for _, m := range alone.Marks {
				n := marks[key{m.Target, m.Quantity}]
				if n.Verdict != m.Verdict {
					changed[c.name]++
				}
				if off := math.Abs(n.Heard - m.Heard); c.db == -20 && (m.Quantity == grade.Pitch && off > 5 || m.Quantity == grade.Start && off > 0.015) {
					t.Errorf("%s, %s: note %d, %s moved by %g %s", id, c.name, m.Target, m.Quantity, off, m.Unit)
				}
			}
		}
	}
	t.Logf("verdicts changed: %v", changed)
	if changed["band 20 dB under"] > 0 || changed["click as loud as with a band 6 dB under"] > 0 || changed["band 6 dB under"] == 0 {
		t.Errorf("verdicts changed: %v; want some with the band at 6 dB and none else", changed)
	}
}

// Over a loud speaker only the click sounds, and the drill screen says so; over a quiet one
// the band does.
func TestBandIsLeftOutWhenItDisturbs(t *testing.T) {
	for _, c := range []struct {
		loop float64
		out  bool
	}{{2, true}, {0.5, false}, {0.04, false}} {
		r := speaker(t, c.loop, "turnaround-6")
		r.take() // the first take may leave it out to be safe
		r.says("A good take")
		r.press("change")
		if got := r.has("only the click sounds"); got != c.out {
			t.Errorf("gain %g: band left out: %v, want %v", c.loop, got, c.out)
		}
		r.press("play")
		r.wait(1)
		if got := r.has("only the click sounds"); got != c.out {
			t.Errorf("gain %g: in the take band left out: %v, want %v", c.loop, got, c.out)
		}
		r.until("result", 120)
		r.says("A good take")
		if c.out {
			r.press("change")
			r.press("settings")
			r.press("out-phones")
			r.press("back")
			r.never("only the click sounds")
		}
	}
}
