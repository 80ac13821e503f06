//go:build sound && cgo

package stage_test

import (
	"bytes"
	"testing"
	"time"

	"reedwell/audio/audiotest"
	"reedwell/audio/device"
	"reedwell/audio/synth"
	"reedwell/audio/wav"
	"reedwell/game/stage"
	"reedwell/levels/drill"
	"reedwell/levels/grade/gradetest"
	"reedwell/levels/player"
)

// airVolume is how loud the loudspeaker is turned up for band and player: together they would clip
// at full volume, which a room does not do.
const airVolume = 0.5

// An air is the real device in a room where a player sounds out of the loudspeaker that the band
// comes from, from the first frame of what is played and is as long as the drill.
type air struct {
	*device.Stream
	alone []float32

	at            int64     // frame of the last take's begin
	played, heard []float32 // from there on, both as the room has them
}

func (a *air) Play(at int64, samples []float32) {
	sum := make([]float32, len(samples))
	take := len(samples) == len(a.alone)
	for i, v := range samples {
		sum[i] = airVolume * v
		if take {
			sum[i] += airVolume * a.alone[i]
		}
	}
	if take {
		a.at, a.played, a.heard = at, sum, a.heard[:0]
	}
	a.Stream.Play(at, sum)
}

func (a *air) Read(f func(device.Block)) {
	a.Stream.Read(func(b device.Block) {
		if end := b.First + int64(len(b.In)); a.at > 0 && end > a.at {
			from := max(b.First, a.at)
			a.heard = append(a.heard, make([]float32, int(from-a.at)-len(a.heard))...) // what was lost
			a.heard = append(a.heard, b.In[from-b.First:]...)
		}
		f(b)
	})
}

// TestBandInTheMicrophone plays a drill on the desktop's device in a room in which the band is as
// loud in the microphone as the player: the marks are those of the player alone, within 5 cents and
// 10 ms, and they are not when the band is left in. Where the computer was too busy and lost some of
// the sound, as what the room heard beside what was played tells, the take proves nothing and is
// done again.
func TestBandInTheMicrophone(t *testing.T) {
	if !audiotest.InRoom(t, "../../audio/device/testdata/looped-sound", 5*time.Minute) {
		return
	}
	const id, rate = "turnaround-4", 48000 // the desktop device's
	d, err := drill.Build(drill.Spec{ID: id})
	if err != nil {
		t.Fatal(err)
	}
	room := &air{alone: synth.Render(rate, d.Seconds, player.Notes(d, player.Faults{Cents: 5, Scatter: 0.015, Seed: 1}), 1)}
	dry := marksOf(t, d, rate, room.alone)

	r := &rig{TB: t, store: &memory{data: map[string][]byte{}}, outside: &around{today: "2026-11-25"}}
	r.tick = stage.Tick{Width: 1000, Height: 700}
	r.stage = stage.New(stage.Options{Store: r.store, Outside: r.outside, Open: func(o device.Options) stage.Device {
		room.Stream = device.Open(o)
		return room
	}})
	defer func() { room.Close() }()
	begin := time.Now()
	until := func(what string, seconds int, ok func() bool) {
		t.Helper()
		for range 100 * seconds {
			r.seconds = time.Since(begin).Seconds()
			if r.poll(); ok() {
				return
			}
			time.Sleep(10 * time.Millisecond)
		}
		t.Fatalf("not %s after %d s or more:\n%s", what, seconds, describe(r.screen))
	}
	there := func(id string) func() bool {
		return func() bool { _, ok := r.item(id); return ok }
	}
	press := func(id string) {
		t.Helper()
		until("on screen: "+id, 20, there(id))
		r.press(id)
	}
	r.poll()
	for _, id := range []string{"start", "out-speaker", "mic", "go-on"} {
		press(id)
	}
	for tries := 1; !there("delay")(); tries++ {
		if tries > 4 {
			t.Fatal("the computer lost sound in each of four measurements of the delay, so nothing was proved")
		}
		press("measure")
		until("measuring", 20, there("hush"))
		until("measured", 20, there("measure"))
	}
	press("go-on")
	press("families")
	press("family-turnaround")
	press("level-" + id)
	take := func(button string) {
		t.Helper()
		press(button)
		until("in the take", 20, func() bool { return r.screen.Name == "take" })
		until("the result", 120, func() bool { return r.screen.Name == "result" })
	}
	take("play") // only the click sounds as long as the player is not known
	for range 5 {
		take("again")
		late, left, at := audiotest.Unexplained(room.heard, room.played, rate)
		if left > audiotest.HeardWhole {
			t.Logf("sound was lost %.2f s into the take: %.1f dB are not what was played; the screen says so: %v", at, left, there("moved")())
			continue
		}
		press("save-take")
		sound, err := wav.Read(bytes.NewReader(r.outside.file))
		if err != nil {
			t.Fatal(err)
		}
		got := gradetest.Between(dry, marksOf(t, d, rate, sound.Samples))
		untreated := gradetest.Between(dry, marksOf(t, d, rate, room.heard[late:late+len(room.alone)]))
		t.Logf("marks moved by %v; with the band left in by %v; round trip %.1f ms", got, untreated, 1000*float64(late)/rate)
		gradetest.Removed(t, got, untreated)
		return
	}
	t.Error("the computer lost sound in each of five takes, so nothing was proved")
}
