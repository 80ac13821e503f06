package listen

import (
	"encoding/binary"
	"math"
	"testing"
)

// Any samples at all: no panic, finite and ordered results, and the same for one block
// and for many.
func FuzzEar(f *testing.F) {
	f.Add([]byte{0, 0, 0x80, 0x7f, 1, 2, 3, 4}, uint16(48000), uint8(3))
	f.Add([]byte{0xff, 0xff, 0xff, 0xff}, uint16(16000), uint8(0))
	f.Add([]byte("a tone that is none, as bytes of float32"), uint16(44100), uint8(200))
	f.Fuzz(func(t *testing.T, data []byte, rate uint16, gain uint8) {
		if len(data) < 4 || len(data) > 1<<12 {
			return
		}
		r := MinRate + int(rate)%(MaxRate-MinRate)
		// The bytes as samples, over and over, with a pulse train under them.
		x := make([]float32, r/3)
		for i := range x {
			k := i * 4 % (len(data) &^ 3)
			x[i] = math.Float32frombits(binary.LittleEndian.Uint32(data[k:]))
			if gain > 0 && i%(int(gain)+7) == 0 {
				x[i] = float32(gain) / 100
			}
		}
		c := Config{Rate: r, Spans: spans(55)}
		take, err := Hear(c, x)
		if err != nil {
			t.Fatal(err)
		}
		if want := (len(x) + take.hop() - 1) / take.hop(); len(take.Frames) != want {
			t.Fatalf("%d frames of %d samples, want %d", len(take.Frames), len(x), want)
		}
		for _, fr := range take.Frames {
			for _, v := range []float64{fr.F0, fr.Confidence, fr.Level, fr.Brightness, fr.Others[0].F0, fr.Others[0].Level, fr.Others[1].F0, fr.Others[1].Level} {
				if math.IsNaN(v) || math.IsInf(v, 0) {
					t.Fatalf("frame %+v", fr)
				}
			}
			if fr.Confidence < 0 || fr.Confidence > 1 || fr.F0 < 0 || fr.Level < Floor {
				t.Fatalf("frame %+v", fr)
			}
		}
		last := int64(0)
		for _, n := range take.Notes {
			if n.Start < last || n.End <= n.Start || n.End > int64(len(x)) || math.IsNaN(n.F0) || math.IsNaN(n.Dip) || math.IsInf(n.Dip, 0) || !(n.F0 > 0) {
				t.Fatalf("note %+v after %d in %d samples", n, last, len(x))
			}
			last = n.End
		}
	})
}
