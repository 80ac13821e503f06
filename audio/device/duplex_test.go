//go:build !js

package device_test

import (
	"encoding/json"
	"os/exec"
	"testing"

	"reedwell/audio/audiotest"
)

// drive runs the worklet through quanta of 128 frames, each told a count and holding samples which are the frames they belong to; from frame
// 12800 on 64 quanta are to be played that are the same. It prints the blocks that it hands over, their buffers sent back at once, and how
// many frames of what sounded were wrong.
const drive = `
globalThis.AudioWorkletProcessor = class { constructor() { this.port = { postMessage: (m) => {
  const x = new Float32Array(m.pcm);
  blocks.push({ First: m.first, Gap: m.gap, N: m.n, Right: x.subarray(0, m.n).every((v, i) => v === m.first + i) });
  this.port.onmessage({ data: m.pcm });
} }; } };
globalThis.registerProcessor = (name, c) => { worklet = new c(); };
const blocks = [], from = 12800, to = from + 64 * 128;
let worklet, wrong = 0;
require("vm").runInThisContext(require("fs").readFileSync("../../web/duplex.js"));
worklet.port.onmessage({ data: { at: from, pcm: Float32Array.from({ length: to - from }, (_, i) => from + i).buffer } });
for (const [told, at] of JSON.parse(process.argv[1])) {
  const out = new Float32Array(128);
  globalThis.currentFrame = told;
  worklet.process([[Float32Array.from(out, (_, i) => at + i)]], [[out]]);
  wrong += out.filter((v, i) => v !== (at + i < from || at + i >= to ? 0 : at + i)).length;
}
console.log(JSON.stringify({ Blocks: blocks, Wrong: wrong }));
`

// Where the count leaps for good sound is missing, and the block after it says how much; where it stands still for a while the sound goes on,
// and nothing is missing, taken or played twice.
func TestBlocksFollowTheCount(t *testing.T) {
	audiotest.Need(t, "node")
	// still gives quanta of the sound the count of the first of them.
	still := func(quanta ...int) func(q int) (told, at int) {
		return func(q int) (int, int) {
			for _, first := range quanta {
				if q >= first && q < first+5 {
					return 128 * first, 128 * q
				}
			}
			return 128 * q, 128 * q
		}
	}
	leap := func(at, frames int) func(q int) (int, int) {
		return func(q int) (int, int) {
			frame := 128*q + frames*min(1, q/at)
			return frame, frame
		}
	}
	for _, c := range []struct {
		name  string
		count func(q int) (told, at int)
		gap   int
	}{
		{"even", still(), 0},
		{"stands still for five quanta, five times", still(70, 98, 103, 150, 220), 0},
		{"stays behind", func(q int) (int, int) { return 128 * (q - 3*min(1, q/103)), 128 * q }, 0},
		{"half a quantum missing", leap(103, 64), 64},
		{"seven quanta missing", leap(110, 7*128), 7 * 128},
		{"leaps before it is steady", leap(20, 4096), 0},
		{"stands still, then quanta are missing", func(q int) (int, int) {
			told, at := still(120)(q)
			return told + 512*min(1, q/125), at + 512*min(1, q/125)
		}, 512},
	} {
		var quanta [][2]int
		for q := range 300 {
			told, at := c.count(q)
			quanta = append(quanta, [2]int{told, at})
		}
		asked, err := json.Marshal(quanta)
		if err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command("node", "-e", drive, string(asked)).Output()
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		var got struct {
			Blocks []struct {
				First, Gap, N int
				Right         bool
			}
			Wrong int
		}
		if err := json.Unmarshal(out, &got); err != nil {
			t.Fatalf("%s: %v in %q", c.name, err, out)
		}
		if got.Wrong > 0 {
			t.Errorf("%s: %d frames sounded wrong", c.name, got.Wrong)
		}
		if len(got.Blocks) < 20 {
			t.Errorf("%s: %d blocks", c.name, len(got.Blocks))
		}
		gap := 0
		for i, b := range got.Blocks {
			if b.Gap < 0 || b.N < 1 || !b.Right {
				t.Errorf("%s: block %d is %+v", c.name, i, b)
			}
			if i > 0 && b.First-b.Gap != got.Blocks[i-1].First+got.Blocks[i-1].N {
				t.Errorf("%s: block %d begins at %d after a gap of %d, the one before ended at %d", c.name, i, b.First, b.Gap, got.Blocks[i-1].First+got.Blocks[i-1].N)
			}
			gap += b.Gap
		}
		if gap != c.gap {
			t.Errorf("%s: %d frames missing, want %d", c.name, gap, c.gap)
		}
	}
}
