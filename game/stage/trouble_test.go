package stage_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"reedwell/audio/device"
	"reedwell/audio/listen"
	"reedwell/audio/synth"
	"reedwell/audio/wav"
	"reedwell/game/screen"
	"reedwell/game/session"
	"reedwell/game/stage"
	"reedwell/levels/drill"
	"reedwell/levels/grade"
	"reedwell/levels/player"
)

// delay is the stored round trip in seconds.
func (r *rig) delay() float64 {
	r.Helper()
	s, err := session.DecodeSettings(r.store.data["settings"])
	if err != nil {
		r.Fatal(err)
	}
	d, ok := s.Delays[r.fake.Info().Key]
	if !ok {
		r.Fatalf("no delay is stored: %s", r.store.data["settings"])
	}
	return d.Seconds
}

func TestStoredDelayIsTheRoundTrip(t *testing.T) {
	for _, frames := range []int{960, roundTrip, 12000} { // 20, 65 and 250 ms
		r := newRig(t, "")
		r.options.RoundTrip = frames
		r.ready()
		want := float64(frames) / 48000
		// The issue asks for 2 ms; a fake's round trip is exact, so a tenth of a frame is enough.
		if got := r.delay(); math.Abs(got-want) > 0.1/48000 {
			t.Errorf("round trip %.3f ms, want %.3f ms", got*1000, want*1000)
		}
	}
}

func TestCalibrationFailsAndIsRedone(t *testing.T) {
	r := newRig(t, "")
	r.air = 0
	r.press("start")
	r.press("mic")
	r.wait(0.1)
	r.press("go-on")
	r.press("measure")
	r.wait(6)
	r.says("did not hear the chirps")
	r.air = 0.4
	r.press("measure")
	r.wait(1)
	r.press("stop")
	r.press("measure")
	r.wait(6)
	r.says("65 ms")
}

// Somebody who hears each click plays a short note right on it: what is found is the
// round trip and how long a note takes to be heard as begun. 20 ms is what people are
// told it is good for.
func TestCalibrationByPlayingOnClicks(t *testing.T) {
	r := newRig(t, "")
	r.press("start")
	r.press("mic")
	r.wait(0.1)
	r.press("go-on")
	o := r.options
	o.Player = func(at int64, played []float32) []float32 {
		var notes []synth.Note
		for i := range 8 {
			on := float64(i) * 0.8
			notes = append(notes, synth.Note{Start: on, End: on + 0.25, Hz: synth.Steady(587.33)}) // 4 draw on a C harp, D5 of an equal-temperament table
		}
		return synth.Render(48000, 8, notes, 3)
	}
	*r.fake = *device.NewFake(o)
	r.press("clicks")
	r.wait(9)
	r.says("Measured with your own playing")
	if got, want := r.delay(), float64(roundTrip)/48000; math.Abs(got-want) > 0.020 {
		t.Errorf("round trip %.1f ms, want %.1f within 20 ms", got*1000, want*1000)
	}
}

// faulty is a fake that can be paused, be late, slip and lose sound.
type faulty struct {
	*device.Fake
	held       bool
	late, slip int64
	lose, gap  int64 // frames to be lost, and those that were since the last block
}

func (f *faulty) Read(read func(device.Block)) {
	f.Fake.Read(func(b device.Block) {
		if f.lose > 0 {
			f.lose, f.gap = f.lose-int64(len(b.In)), f.gap+int64(len(b.In))
			return
		}
		b.Gap, f.gap = b.Gap+f.gap, 0
		read(b)
	})
}

func (f *faulty) State() device.State {
	if f.held {
		return device.Suspended
	}
	return f.Fake.State()
}

func (f *faulty) Err() error {
	if f.held {
		return device.Interrupted
	}
	return f.Fake.Err()
}

func (f *faulty) Resume()     { f.held = false }
func (f *faulty) Late() int64 { return f.late }
func (f *faulty) Slip() int64 { return f.slip }

// bad puts a faulty device under a rig that is ready.
func bad(t *testing.T) (*rig, *faulty) {
	r := newRig(t, "")
	f := new(faulty)
	r.stage = stage.New(stage.Options{Store: r.store, Outside: r.outside, Open: func(o device.Options) stage.Device {
		r.open(o)
		f.Fake = r.fake
		return f
	}})
	r.poll()
	r.ready()
	r.spec = drill.Spec{ID: "single-1"}
	r.perform = well(player.Faults{})
	r.press("level-single-1")
	return r, f
}

func TestSoundIsPausedInATake(t *testing.T) {
	r, f := bad(t)
	r.press("play")
	r.wait(3)
	f.held = true
	r.wait(0.1)
	r.on("fault-interrupted")
	r.says("not counted")
	r.press("resume")
	r.wait(0.1)
	r.on("drill")
	r.take()
	r.says("A good take")
}

// A take that the device spoiled is not graded: the player is told why, it is no failed one, and what was earned stays. One that is good
// all the same counts.
func TestDeviceSpoilsATake(t *testing.T) {
	for _, c := range []struct {
		name   string
		faults player.Faults
		spoil  func(f *faulty)
		says   string
		good   bool
	}{
		{"the delay moves by 20 ms", player.Faults{Drop: 2}, func(f *faulty) { f.slip = 960 }, "The sound delay changed in the middle of it", false},
		{"the delay moves by 20 ms the other way", player.Faults{Drop: 2}, func(f *faulty) { f.slip = -960 }, "The sound delay changed in the middle of it", false},
		{"a gap of 0.3 s", player.Faults{Drop: 2}, func(f *faulty) { f.lose = 14400 }, "0.3 seconds of sound were lost", false},
		{"the delay moves by 6 ms", player.Faults{Drop: 2}, func(f *faulty) { f.slip = 288 }, "Not yet", false},
		{"a good take, the delay moves by 20 ms", player.Faults{}, func(f *faulty) { f.slip = 960 }, "A good take", true},
	} {
		r, f := bad(t)
		r.take()
		r.says("1 take of 1 good")
		r.perform = well(c.faults)
		r.press("again")
		r.wait(8)
		c.spoil(f)
		r.until("result", 120)
		r.says(c.says)
		if spoilt := !c.good && c.says != "Not yet"; spoilt {
			r.says("nothing you have earned is lost")
			r.never("Not yet")
			r.press("change")
			r.says("1 take of 1 good")
		} else {
			r.never("could not be judged")
			r.press("change")
			r.says(map[bool]string{true: "2 of the last 2 takes good", false: "1 of the last 2 takes good"}[c.good])
		}
	}
}

// A band that comes too late is begun anew, further ahead, before anybody has played; where that never helps the take is stopped.
func TestBandComesTooLate(t *testing.T) {
	for _, c := range []struct {
		times int
		says  string
	}{{1, "A good take"}, {3, "A good take"}, {4, "too slow to start the band"}} {
		r, f := bad(t)
		r.press("play")
		r.wait(0.5)
		for i := range c.times {
			f.late += 100
			r.wait(0.1)
			if i < 3 {
				r.on("take")
			}
		}
		if c.times > 3 {
			r.on("drill")
		} else {
			r.until("result", 120)
		}
		r.says(c.says)
	}
}

// One that comes too late when somebody plays already is not begun anew under the player's hands.
func TestBandTooLateInATake(t *testing.T) {
	r, f := bad(t)
	r.press("play")
	r.wait(6)
	f.late = 100
	r.wait(0.1)
	r.on("drill")
	r.says("too slow to start the band")
}

func TestTestSoundsComeTooLate(t *testing.T) {
	for _, c := range []struct {
		times int
		says  string
	}{{1, "65 ms"}, {3, "65 ms"}, {4, "too slow to play the test sounds"}} {
		r, f := bad(t)
		r.press("settings")
		r.press("calibrate")
		r.press("measure")
		r.wait(0.5)
		for range c.times {
			f.late += 100
			r.wait(0.1)
		}
		r.wait(8)
		r.says(c.says)
		if c.times <= 3 {
			r.never("too slow")
		}
	}
}

// Where the sound keeps standing still a take is not played to an end that is minutes away: it is stopped, with the reason, and the
// next one counts.
func TestSoundStandsStill(t *testing.T) {
	r, f := bad(t)
	r.press("play")
	r.wait(6)
	r.on("take")
	f.slip = 52800 // 1.1 s
	r.wait(0.1)
	r.on("drill")
	r.says("sound stood still for more than a second")
	r.says("everything before it is kept")
	r.take()
	r.says("A good take")
}

func TestDelayMovesAfterItWasMeasured(t *testing.T) {
	r, f := bad(t)
	r.press("play")
	r.wait(10)
	f.slip = 480 // 10 ms
	r.until("result", 120)
	r.says("changed in the middle of this take")
	r.press("change")
	r.says("has changed since it was measured")
	r.press("calibrate")
	r.on("calibrate")
	r.press("measure")
	r.wait(6)
	r.press("go-on")
	r.on("drill")
	for _, i := range r.screen.Items {
		if i.ID == "slipped" {
			t.Error("still warned after it was measured again")
		}
	}
}

// A device in another place is another device: its own delay is asked for.
func TestAnotherDeviceIsNotCalibrated(t *testing.T) {
	r := newRig(t, "")
	r.ready()
	r.options.Info.InputLabel = "Other microphone"
	r.start("")
	r.press("start")
	r.wait(0.1)
	r.press("level-single-1")
	r.says("Not calibrated")
}

func TestSettingsAreKept(t *testing.T) {
	r := newRig(t, "")
	r.ready()
	r.press("settings")
	r.act(screen.Action{ID: "key", Value: "low D"})
	r.act(screen.Action{ID: "a4", Now: 443})
	r.act(screen.Action{ID: "large", On: true})
	r.press("paper-dark")
	r.start("")
	if l := r.screen.Look; !l.Large || !l.Dark {
		t.Errorf("look %+v, want large and dark", l)
	}
	var kept struct{ Key string }
	if err := json.Unmarshal(r.store.data["settings"], &kept); err != nil || kept.Key != "low D" {
		t.Errorf("stored key %q, %v", kept.Key, err)
	}
	r.press("start")
	r.press("level-single-1")
	r.says("Low D harp, 2nd position: key of A. A = 443 Hz.")
}

// Nonsense from outside changes nothing.
func TestStrayActions(t *testing.T) {
	r := newRig(t, "")
	for _, s := range []func(){func() {}, r.ready, func() { r.press("level-single-1") }} {
		s()
		name := r.screen.Name
		for _, a := range []screen.Action{
			{ID: ""}, {ID: "nothing"}, {ID: "level-"}, {ID: "key", Value: "H"}, {ID: "tempo", Now: math.NaN()},
			{ID: "a4", Now: math.Inf(1)}, {ID: "hole", Value: "11 draw"}, {ID: "family-juggling"}, {ID: "note-after"}, {ID: "import"},
		} {
			r.poll(a)
			r.on(name)
		}
	}
	r.act(screen.Action{ID: "tempo", Now: 1e9})
	r.says("66 beats a minute")
}

// What is saved of a take is what was graded: from the file the same notes come out.
func TestSavedTakeIsTheGradedOne(t *testing.T) {
	r := newRig(t, "")
	r.ready()
	r.spec = drill.Spec{ID: "single-1"}
	r.perform = well(player.Faults{Drop: 2})
	r.press("level-single-1")
	r.take()
	score, _ := r.item("score")
	r.press("save-take")
	sound, err := wav.Read(bytes.NewReader(r.outside.file))
	if err != nil {
		t.Fatal(err)
	}
	d, err := drill.Build(r.spec)
	if err != nil {
		t.Fatal(err)
	}
	heard, err := listen.Hear(grade.Ear(d, sound.Rate), sound.Samples)
	if err != nil {
		t.Fatal(err)
	}
	good := 0
	for _, n := range grade.Take(d, heard).Notes {
		if n.Good {
			good++
		}
	}
	if want := fmt.Sprintf("Not yet: %d of %d notes right", good, len(d.Targets)); good != 2 || !strings.HasPrefix(score.Label, want) {
		t.Errorf("the screen says %q, the file %q; half the notes were left out", score.Label, want)
	}
}

// Over a loudspeaker the microphone hears the band too, here 20 dB down as from across a
// table: good playing still passes, and the band alone still does not.
func TestOverALoudspeaker(t *testing.T) {
	r := newRig(t, "")
	r.options.Loop, r.air = 0.1, 0
	r.ready()
	if got, want := r.delay(), float64(roundTrip)/48000; math.Abs(got-want) > 0.002 {
		t.Errorf("round trip %.1f ms, want %.1f", got*1000, want*1000)
	}
	r.spec = drill.Spec{ID: "turnaround-1"}
	r.perform = well(player.Faults{})
	r.family("turnaround")
	r.press("level-turnaround-1")
	r.take()
	r.says("A good take")
	r.perform = nil
	r.press("again")
	r.until("take", 1)
	r.until("result", 120)
	if i, _ := r.item("score"); i.Style == screen.Good {
		t.Errorf("the band alone passed:\n%s", describe(r.screen))
	}
}

// outputs are two loudspeakers.
func outputs() []device.DeviceInfo {
	return []device.DeviceInfo{{ID: "x", Label: "Monitor"}, {ID: "y", Label: "Phones"}}
}

// When the microphone goes away in a take, the devices are listed again, what was recorded
// until then can be saved, and another microphone is opened.
func TestAnotherMicrophoneAfterOneWentAway(t *testing.T) {
	r := newRig(t, "")
	m := new(microphones)
	r.inputs = m
	r.options.Info = device.Info{InputID: "a", InputLabel: "Built-in"}
	r.start("")
	r.ready()
	r.press("level-single-1")
	r.press("play")
	r.wait(8)
	listed := m.refreshed
	r.fake.Fail(device.Unplugged)
	r.wait(0.1)
	r.on("fault-unplugged")
	if m.refreshed != listed+1 {
		t.Errorf("listed %d times when it went away, want once", m.refreshed-listed)
	}
	r.wait(10)
	if m.refreshed < listed+4 {
		t.Errorf("listed %d times in ten seconds of waiting for another, want every two", m.refreshed-listed)
	}
	r.press("save-spared")
	sound, err := wav.Read(bytes.NewReader(r.outside.file))
	// Of the 8 s the count-in's lead and the round trip are not part of the take.
	if err != nil || r.outside.name != "reedwell-single-1.wav" || sound.Rate != 48000 || sound.Seconds() < 6 || sound.Seconds() > 8 {
		t.Errorf("saved %s of %.1f s at %d Hz, %v; want some seven seconds", r.outside.name, sound.Seconds(), sound.Rate, err)
	}
	r.press("use-2")
	r.wait(0.1)
	r.on("drill")
	if got := r.asked[len(r.asked)-1]; got != "c" {
		t.Errorf("asked for %q, want c", got)
	}
	r.perform, r.spec = well(player.Faults{}), drill.Spec{ID: "single-1"}
	r.take()
	r.says("A good take")
}

// Another loudspeaker is another device with a delay of its own, and is asked for again the
// next time.
func TestChoosingALoudspeaker(t *testing.T) {
	r := newRig(t, "")
	r.outputs = outputs
	r.start("")
	r.ready()
	r.press("settings")
	r.says("Measured delay")
	r.act(screen.Action{ID: "loudspeaker", Value: "Phones"})
	r.wait(0.1)
	r.on("settings")
	r.says("Not calibrated")
	if it, _ := r.item("loudspeaker"); it.Value != "Phones" || r.fake.Info().OutputID != "y" {
		t.Errorf("loudspeaker %+v on %+v, want Phones", it, r.fake.Info())
	}
	r.start("")
	r.press("start")
	r.wait(0.1)
	if r.fake.Info().OutputID != "y" {
		t.Errorf("opened again on %q, want y", r.fake.Info().OutputID)
	}
}

// Where pictures come seldom, listening keeps up all the same: no more sound waits in the middle of a take than came in since the
// Poll before, at four Polls a second and at one in three seconds.
func TestListeningKeepsUpWithFewPictures(t *testing.T) {
	for _, every := range []float64{0.25, 3} {
		r := newRig(t, "")
		r.ready()
		r.press("level-single-1")
		r.press("play")
		r.wait(2)
		r.on("take")
		for r.screen.Name == "take" {
			r.fake.Advance(int(every * 48000))
			r.seconds += every
			r.poll()
			if lag := r.stage.Lag(); r.screen.Name == "take" && lag > every {
				t.Fatalf("a Poll every %g s: %.2f s of sound wait to be listened to", every, lag)
			}
			if r.seconds > 300 {
				t.Fatalf("a Poll every %g s: no end of the take after five minutes", every)
			}
		}
	}
}
