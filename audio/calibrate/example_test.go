package calibrate_test

import (
	"fmt"

	"reedwell/audio/calibrate"
	"reedwell/audio/device"
)

func ExampleFind() {
	// A room in which the output comes back 3120 frames later, half as loud.
	d := device.NewFake(device.FakeOptions{RoundTrip: 3120, Loop: 0.5})
	rate := d.Info().Rate
	signal := calibrate.Signal(rate)
	from := d.Now() + d.Lead()
	d.Play(from, signal)
	d.Advance(5 * rate)
	captured := make([]float32, calibrate.Frames(signal, rate))
	d.Read(func(b device.Block) {
		for i, x := range b.In {
			if k := b.First + int64(i) - from; k >= 0 && k < int64(len(captured)) {
				captured[k] = x
			}
		}
	})
	r, err := calibrate.Find(captured, rate)
	fmt.Printf("%.1f frames, %d bursts, %v\n", r.Frames, r.Bursts, err)
	// Output: 3120.0 frames, 5 bursts, <nil>
}
