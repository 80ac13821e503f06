package stage_test

import (
	"bytes"
	"math"
	"testing"

	"reedwell/audio/device"
	"reedwell/audio/listen"
	"reedwell/audio/synth"
	"reedwell/audio/wav"
	"reedwell/game/screen"
	"reedwell/levels/band"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/player"
	"reedwell/levels/room"
)

// strolled is the setting of these tests, and its drill with four bars of our own to play.
func strolled(t testing.TB, choruses int) (room.Setting, drill.Drill) {
	t.Helper()
	form, err := room.FormNamed("quick")
	if err != nil {
		t.Fatal(err)
	}
	s := room.Setting{Harp: harp.Harp{A4: 440}, Position: 2, Form: form, Feel: lesson.Feel{Kind: lesson.Straight}, Tempo: 120, Choruses: choruses}
	d := s.Drill()
	for i, tab := range []string{"-2", "-3'", "-3", "-4", "+4", "-3'", "-2", "+4", "-4", "-5", "-4", "-3", "-2", "-3", "-4", "-2"} {
		n, err := harp.ParseNote(tab)
		if err != nil {
			t.Fatal(err)
		}
		hz, err := d.Harp.Hz(n)
		if err != nil {
			t.Fatal(err)
		}
		beat := float64(i)
		d.Targets = append(d.Targets, drill.Target{Beat: beat, Beats: 0.7, Start: d.Time(beat), End: d.Time(beat + 0.7), Note: n, Hz: hz})
	}
	return s, d
}

// inRoom is a rig in the room, set as strolled, with somebody who plays that with faults.
func inRoom(t testing.TB, choruses int, f player.Faults) (*rig, room.Setting, drill.Drill) {
	s, d := strolled(t, choruses)
	r := newRig(t, "")
	r.ready()
	r.press("room")
	r.act(screen.Action{ID: "form", Value: "Quick change"})
	r.act(screen.Action{ID: "feel", Value: "Straight"})
	r.act(screen.Action{ID: "tempo", Now: 120})
	r.act(screen.Action{ID: "choruses", Now: float64(choruses)})
	r.lick, r.perform = &d, well(f)
	return r, s, d
}

// A chorus that is played comes back as the picture of what was played, as late as it was; it is saved sample for
// sample, and looked at again it gives the same. Nothing of it enters the progress.
func TestRoom(t *testing.T) {
	r, s, d := inRoom(t, 1, player.Faults{Late: 0.05})
	progress := len(r.store.data["progress-a"]) + len(r.store.data["progress-b"])
	r.press("play")
	r.wait(8)
	r.on("room-take")
	r.says("Bar ")
	if r.screen.Live != "" {
		t.Errorf("%q is said while somebody plays", r.screen.Live)
	}
	if len(r.screen.Chart.Trace) == 0 {
		t.Error("what is played is not shown")
	}
	r.until("room-picture", 60)
	r.says("You lean behind the beat")
	r.says("Bar 1, G7: 1 -2 root")
	r.says("2 -3' blue third")
	if n := len(r.screen.Chart.Notes); n != 16 {
		t.Errorf("%d notes on the chart, 16 were played", n)
	}
	for _, n := range r.screen.Chart.Notes {
		if math.Abs(n.Late-0.05) > 0.010 {
			t.Errorf("the note on beat %.2f is %.1f ms late, played 50", n.Beat, 1000*n.Late)
		}
	}
	r.press("save-take")
	if r.outside.name != "reedwell-room.wav" {
		t.Errorf("saved as %q", r.outside.name)
	}
	sound, err := wav.Read(bytes.NewReader(r.outside.file))
	if err != nil {
		t.Fatal(err)
	}
	take, err := listen.Hear(s.Listen(sound.Rate), sound.Samples)
	if err != nil {
		t.Fatal(err)
	}
	again, err := room.Look(take, s)
	if err != nil {
		t.Fatal(err)
	}
	for _, words := range again.Words() {
		r.says(words)
	}
	if after := len(r.store.data["progress-a"]) + len(r.store.data["progress-b"]); after != progress {
		t.Error("playing freely changed the progress")
	}
	if len(r.store.data["take"]) != 0 {
		t.Error("a take is noted as going on")
	}
	if days := r.journal().Days(r.today(), r.today()); math.Abs(60*days[0].Minutes-d.Seconds) > 1 {
		t.Errorf("the journal has %.1f s of playing for a chorus of %.1f s", 60*days[0].Minutes, d.Seconds)
	}
}

// It can be stopped at any time, and what there is is looked at.
func TestRoomIsStopped(t *testing.T) {
	r, _, d := inRoom(t, 2, player.Faults{})
	r.press("play")
	for r.screen.Chart.Cursor < 9.5 {
		r.wait(0.04)
	}
	r.press("stop")
	r.until("room-picture", 5)
	if n := len(r.screen.Chart.Notes); n < 9 || n > 10 {
		t.Errorf("%d notes until beat 9.5 of one a beat", n)
	}
	if _, ok := r.item("chorus"); ok {
		t.Error("a chorus that was not reached can be chosen")
	}
	r.press("save-take")
	sound, err := wav.Read(bytes.NewReader(r.outside.file))
	if err != nil {
		t.Fatal(err)
	}
	if beats := d.BeatAt(sound.Seconds()); beats < 9.4 || beats > 9.8 {
		t.Errorf("the sound ends on beat %.2f, stopped on 9.5", beats)
	}
	// Once more, and away: nothing is left running.
	r.press("again")
	r.wait(3)
	r.press("leave")
	r.on("room")
	r.wait(1)
	r.press("back")
	r.on("path")
}

// In the count-in there is nothing to look at yet.
func TestRoomIsStoppedInTheCountIn(t *testing.T) {
	r, _, _ := inRoom(t, 1, player.Faults{})
	r.press("play")
	r.wait(1)
	r.press("stop")
	r.on("room")
}

// The band goes round without a seam: what sounds in the room is, chorus by chorus, the loop of the form, and the
// count-in is where a drill's is.
func TestRoomBandGoesRound(t *testing.T) {
	r, s, d := inRoom(t, 3, player.Faults{})
	var sounded []float32
	r.perform = nil
	r.played = func(x []float32) { sounded = x }
	r.press("play")
	r.wait(2)
	if want := int(math.Round(d.Seconds * 48000)); len(sounded) != want {
		t.Fatalf("%d frames sound, want %d", len(sounded), want)
	}
	one := s
	one.Choruses = 1
	loop := band.Loop(one.Drill(), 48000, band.Options{})
	for k := range 3 {
		at := int(math.Round(d.Time(float64(k*48)) * 48000))
		if a := alike(sounded[at:at+len(loop)], loop); a < 0.9999 {
			t.Errorf("chorus %d is like the form by %.5f", k+1, a)
		}
	}
	whole := band.Render(d, 48000)
	if a := alike(sounded[:int(d.Time(0)*48000)], whole[:int(d.Time(0)*48000)]); a < 0.9999 {
		t.Errorf("the count-in is like a drill's by %.5f", a)
	}
	if a := alike(sounded[:int(d.Time(140)*48000)], whole); a < 0.99 {
		t.Errorf("three choruses are like the band of a drill by %.5f", a)
	}
	if p := synth.Peak(sounded); p > band.Ceiling+0.01 {
		t.Errorf("peak %.1f dBFS, want at most %g", p, band.Ceiling)
	}
}

// What was played is heard again over the band: both are in what sounds.
func TestRoomIsHeardAgain(t *testing.T) {
	r, s, d := inRoom(t, 1, player.Faults{})
	r.press("play")
	r.until("room-picture", 60)
	r.press("save-take")
	own, err := wav.Read(bytes.NewReader(r.outside.file))
	if err != nil {
		t.Fatal(err)
	}
	var sounded []float32
	r.perform, r.loose = nil, true
	r.played = func(x []float32) { sounded = x }
	r.press("hear-own")
	r.wait(3)
	r.says("Listen: this is you.")
	if c := r.screen.Chart.Cursor; c < -1 || c > 8 {
		t.Errorf("cursor on beat %g after 3 s", c)
	}
	from := int(math.Round(d.Time(-1) * 48000))
	backing := band.Render(s.Drill(), 48000)
	n := min(len(sounded), int(10*48000))
	if a := alike(sounded[:n], own.Samples[from:from+n]); a < 0.3 {
		t.Errorf("the player is in what sounds by %.3f", a)
	}
	if a := alike(sounded[:n], backing[from:from+n]); a < 0.3 {
		t.Errorf("the band is in what sounds by %.3f", a)
	}
	r.press("hear-stop")
	r.says("with the band")
	r.press("again")
	r.on("room-take")
}

// Silence, and a stream that breaks off: each is told, and the room stays open.
func TestRoomTrouble(t *testing.T) {
	r, _, _ := inRoom(t, 1, player.Faults{})
	r.perform = nil
	r.press("play")
	r.until("room-picture", 60)
	r.says("could not hear any playing")
	r.press("again")
	r.wait(5)
	r.fake.Fail(device.Unplugged)
	r.wait(0.2)
	r.press("retry")
	r.wait(0.3)
	r.on("room")
	r.says("The sound stopped in the middle of it.")
}

// On a computer that is behind with listening, all that was played until the press is still listened to.
func TestRoomIsStoppedWhileListeningLags(t *testing.T) {
	r, _, d := inRoom(t, 1, player.Faults{})
	r.press("play")
	for r.screen.Chart.Cursor < 4.9 {
		r.wait(0.04)
	}
	r.fake.Advance(2 * 48000) // four beats, with no Poll in them
	r.press("stop")
	r.until("room-picture", 10)
	if n := len(r.screen.Chart.Notes); n < 9 || n > 10 {
		t.Errorf("%d notes until beat 9 of one a beat", n)
	}
	r.press("save-take")
	sound, err := wav.Read(bytes.NewReader(r.outside.file))
	if err != nil {
		t.Fatal(err)
	}
	if beats := d.BeatAt(sound.Seconds()); beats < 8.7 || beats > 9.4 {
		t.Errorf("the sound ends on beat %.2f, stopped about 9", beats)
	}
}
