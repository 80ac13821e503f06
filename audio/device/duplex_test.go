//go:build !js

package device_test

import (
	"encoding/json"
	"os/exec"
	"testing"

	"reedwell/audio/audiotest"
)

// drive runs the worklet through quanta of 128 frames that begin at the counts given, with every sample its own count, and prints the
// blocks that it hands over, their buffers sent back at once.
const drive = `
globalThis.AudioWorkletProcessor = class { constructor() { this.port = { postMessage: (m) => {
  const x = new Float32Array(m.pcm);
  blocks.push({ First: m.first, Gap: m.gap, N: m.n, Right: x.subarray(0, m.n).every((v, i) => v === m.first + i) });
  this.port.onmessage({ data: m.pcm });
} }; } };
globalThis.registerProcessor = (name, c) => { worklet = new c(); };
const blocks = [];
let worklet;
require("vm").runInThisContext(require("fs").readFileSync("../../web/duplex.js"));
for (const at of JSON.parse(process.argv[1])) {
  globalThis.currentFrame = at;
  worklet.process([[Float32Array.from({ length: 128 }, (_, i) => at + i)]], [[new Float32Array(128)]]);
}
console.log(JSON.stringify(blocks));
`

// Whatever a browser's count does, a block goes on where the one before it ended or tells what is missing, and holds what belongs at its place.
func TestBlocksFollowTheCount(t *testing.T) {
	audiotest.Need(t, "node")
	for name, change := range map[string]func(quantum, at int) int{
		"even":                      func(_, at int) int { return at },
		"one count for two quanta":  func(q, at int) int { return at - 128*min(1, q/103) },
		"back by three quanta":      func(q, at int) int { return at - 128*3*min(1, q/103) },
		"ahead by half a quantum":   func(q, at int) int { return at + 64*min(1, q/103) },
		"ahead, back, ahead":        func(q, at int) int { return at + 128*[]int{0, 4, 2, 7}[min(3, q/70)] },
		"jumps before it is steady": func(q, at int) int { return at + 4096*min(1, q/20) },
	} {
		var counts []int
		for q := range 300 {
			counts = append(counts, change(q, 128*q))
		}
		asked, err := json.Marshal(counts)
		if err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command("node", "-e", drive, string(asked)).Output()
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		var blocks []struct {
			First, Gap, N int
			Right         bool
		}
		if err := json.Unmarshal(out, &blocks); err != nil {
			t.Fatalf("%s: %v in %q", name, err, out)
		}
		if len(blocks) < 20 {
			t.Errorf("%s: %d blocks", name, len(blocks))
		}
		for i, b := range blocks {
			if b.Gap < 0 || b.N < 1 || !b.Right {
				t.Errorf("%s: block %d is %+v", name, i, b)
			}
			if i > 0 && b.First-b.Gap != blocks[i-1].First+blocks[i-1].N {
				t.Errorf("%s: block %d begins at %d after a gap of %d, the one before ended at %d", name, i, b.First, b.Gap, blocks[i-1].First+blocks[i-1].N)
			}
		}
	}
}
