//go:build browser

package main

import (
	"encoding/base64"
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"

	"reedwell/audio/listen"
	"reedwell/audio/synth"
	"reedwell/levels/drill"
	"reedwell/levels/grade"
	"reedwell/levels/grade/gradetest"
	"reedwell/levels/player"
)

// roundTrip is how many frames later the room of this test hears what is played, of the direct
// way; the last quantum of them, 128 frames, is what a way round the graph takes.
const roundTrip = 4096 + 128

// roomOfNodes puts a loudspeaker, a room and a player in place of the microphone: what the page plays
// comes back through the filters of a small loudspeaker, direct and through a room that falls by 60
// dB in 0.4 s, and the player joins in on the first frame of the next take, without any of that.
// It is all one graph of audio nodes, so a busy computer can not move one against the other, as it
// does with a sound server (TestBandInTheMicrophone of game/stage goes through one). The sound of a
// take is handed over in parts of a second; the check of the delay before it is shorter than one.
const roomOfNodes = `
window.player = null;
window.playedAt = 0;
window.air = [];
let microphone = null, soundEnd = -1;
AudioContext.prototype.createMediaStreamSource = function () {
	const late = this.createDelay(1), low = this.createBiquadFilter(), high = this.createBiquadFilter();
	late.delayTime.value = (%d - 128) / this.sampleRate;
	low.type = "highpass";
	low.frequency.value = 200;
	high.type = "lowpass";
	high.frequency.value = 7000;
	const response = this.createBuffer(1, Math.round(0.4 * this.sampleRate), this.sampleRate);
	const taps = response.getChannelData(0);
	let dice = 1, energy = 0;
	for (let i = Math.round(0.003 * this.sampleRate); i < taps.length; i++) {
		dice = (dice * 48271) %% 2147483647; // Park & Miller 1988
		taps[i] = (dice / 1073741823.5 - 1) * Math.pow(10, -3 * i / taps.length);
		energy += taps[i] * taps[i];
	}
	for (let i = 0; i < taps.length; i++) taps[i] *= Math.pow(10, -6 / 20) / Math.sqrt(energy); // 6 dB under the direct sound
	taps[0] += 1;
	const hall = this.createConvolver();
	hall.normalize = false;
	hall.buffer = response;
	microphone = this.createGain();
	late.connect(low).connect(high).connect(hall).connect(microphone);
	microphone.loudspeaker = late;
	return microphone;
};
const post = MessagePort.prototype.postMessage;
MessagePort.prototype.postMessage = function (m, transfer) {
	if (m?.pcm instanceof ArrayBuffer && typeof m.at === "number") {
		const context = microphone.context;
		if (m.at !== soundEnd && player && m.pcm.byteLength === 4 * context.sampleRate) {
			playedAt = m.at;
			air = [];
			const source = context.createBufferSource();
			source.buffer = context.createBuffer(1, player.length, context.sampleRate);
			source.buffer.copyToChannel(player, 0);
			source.connect(microphone);
			source.start((m.at + %d) / context.sampleRate);
			player = null;
		}
		soundEnd = m.at + m.pcm.byteLength / 4;
	}
	return post.call(this, m, transfer);
};
window.AudioWorkletNode = class extends AudioWorkletNode {
	constructor(...all) {
		super(...all);
		this.connect(microphone.loudspeaker);
		this.port.addEventListener("message", (e) => {
			if (e.data?.pcm) air.push({ first: e.data.first, pcm: e.data.pcm.slice(0, 4 * e.data.n) });
		});
	}
};
window.heard = () => {
	const last = air[air.length - 1];
	const all = new Float32Array(last.first + last.pcm.byteLength / 4 - playedAt);
	for (const p of air) {
		const skip = Math.max(0, playedAt - p.first);
		if (4 * skip < p.pcm.byteLength) all.set(new Float32Array(p.pcm).subarray(skip), p.first + skip - playedAt);
	}
	const bytes = new Uint8Array(all.buffer);
	let text = "";
	for (let i = 0; i < bytes.length; i += 0x8000) text += String.fromCharCode(...bytes.subarray(i, i + 0x8000));
	return btoa(text);
};
window.floats = (text) => new Float32Array(Uint8Array.from(atob(text), (c) => c.charCodeAt(0)).buffer);
`

// heard is what the microphone has heard from the first frame on that the last take played.
func (b tab) heard() []float32 {
	b.Helper()
	data, err := base64.StdEncoding.DecodeString(ask[string](b, "heard()"))
	if err != nil {
		b.Fatal(err)
	}
	x := make([]float32, len(data)/4)
	for i := range x {
		x[i] = math.Float32frombits(binary.LittleEndian.Uint32(data[4*i:]))
	}
	return x
}

// TestBrowserBandInTheMicrophone plays a drill in a room in which the band is as loud in the
// microphone as the player: the marks are those of the player alone, within 5 cents and 10 ms, and
// they are not when the band is left in. A take in which the page says that sound was lost proves
// nothing and is done again.
func TestBrowserBandInTheMicrophone(t *testing.T) {
	const id = "turnaround-4"
	d, err := drill.Build(drill.Spec{ID: id})
	if err != nil {
		t.Fatal(err)
	}
	b := start(t, silence(t))
	b.before(fmt.Sprintf(roomOfNodes, roundTrip, roundTrip))
	run1(b, chromedp.EmulateViewport(320, 480)) // smaller yet: here not a frame may be lost
	run1(b, chromedp.Navigate(served(t)))
	rate := ask[int](b, "new AudioContext().sampleRate") // the browser's choice
	alone := synth.Render(rate, d.Seconds, player.Notes(d, player.Faults{Cents: 5, Scatter: 0.015, Seed: 1}), 1)
	marks := func(sound []float32) grade.Result {
		t.Helper()
		heard, err := listen.Hear(grade.Ear(d, rate), sound)
		if err != nil {
			t.Fatal(err)
		}
		return grade.Take(d, heard)
	}
	dry := marks(alone)
	var floats []byte
	for _, x := range alone {
		floats = binary.LittleEndian.AppendUint32(floats, math.Float32bits(x))
	}
	ask[bool](b, `(window.whole = floats("`+base64.StdEncoding.EncodeToString(floats)+`"), true)`)
	b.press("start")
	b.press("out-speaker")
	b.press("mic")
	b.press("go-on")
	if trip := b.measured() * float64(rate); math.Abs(trip-roundTrip) > 0.002*float64(rate) {
		t.Errorf("round trip %.0f frames, want %d within 2 ms", trip, roundTrip)
	}
	b.press("go-on")
	b.family("turnaround")
	b.press("level-" + id)
	file := filepath.Join(b.downloads(), "reedwell-"+id+".wav")
	take := func(press string) (band bool) {
		ask[bool](b, `(player = whole, true)`)
		b.press(press)
		b.until("counted in", `document.getElementById("item-count")?.textContent.startsWith("Count-in")`)
		band = !b.has("click-only")
		b.until("the result", `document.getElementById("item-save-take")`)
		return band
	}
	take("play") // only the click sounds as long as the player is not known
	for range 3 {
		if !take("again") {
			t.Fatal("the band did not sound, though it is no louder than the player")
		}
		if b.has("lost") || b.has("cut") {
			t.Logf("the computer was too busy: %s", ask[string](b, "document.body.innerText"))
			continue
		}
		b.shot("result")
		os.Remove(file)
		b.press("save-take")
		saved(file)
		sound, err := readWAV(file)
		if err != nil {
			t.Fatal(err)
		}
		got := gradetest.Between(dry, marks(sound.Samples))
		untreated := gradetest.Between(dry, marks(b.heard()[roundTrip:][:len(alone)]))
		t.Logf("%d Hz; %s; marks moved by %v; with the band left in by %v", rate, b.words("score"), got, untreated)
		gradetest.Removed(t, got, untreated)
		return
	}
	t.Error("the computer was too busy in each of three takes, so nothing was proved")
}
