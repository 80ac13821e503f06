//go:build !js

package device

import (
	"slices"
	"sync"
	"testing"
)

// step lets an engine capture and play as many frames.
func step(e *engine, in []float32) []float32 {
	out := make([]float32, 2*len(in))
	e.capture(in)
	e.sound(out)
	return out
}

func TestEngine(t *testing.T) {
	for _, period := range []int{1, 97, 256, 1000, 2000} {
		var e engine
		step(&e, make([]float32, 100)) // the count of the output begins at 100
		e.play(1000, []float32{0.5, 0.5, 0.5})
		e.play(1002, []float32{0.25})
		e.play(50, make([]float32, 60)) // 50 of them late
		e.play(20000, []float32{1})
		var heard []float32
		var out []float32
		for n := 0; n < 4000; n += period {
			in := make([]float32, period)
			for i := range in {
				in[i] = float32(100 + n + i)
			}
			out = append(out, step(&e, in)...)
			e.drain(func(b Block) {
				if b.Gap != 0 || b.First != int64(len(heard)) {
					t.Errorf("period %d: block at %d, gap %d, want %d, 0", period, b.First, b.Gap, len(heard))
				}
				heard = append(heard, b.In...)
			})
		}
		for i, x := range heard[100:] {
			if x != float32(100+i) {
				t.Fatalf("period %d: frame %d = %v", period, 100+i, x)
			}
		}
		// The first 100 frames were played before the count of what is captured was known to it.
		for i := 0; i < len(out); i += 2 {
			frame, want := 200+i/2, float32(0)
			switch frame {
			case 1000, 1001:
				want = 0.5
			case 1002:
				want = 0.75
			}
			if out[i] != want || out[i+1] != want {
				t.Fatalf("period %d: output frame %d = %v, %v, want %v", period, frame, out[i], out[i+1], want)
			}
		}
		if got := e.late.Load(); got != 60 {
			t.Errorf("period %d: late = %d frames, want all 60", period, got)
		}
		if e.n != 1 {
			t.Errorf("period %d: %d sounds are kept, want the one to come", period, e.n)
		}
	}
}

func TestEngineQuiet(t *testing.T) {
	var e engine
	step(&e, make([]float32, 256)) // the output's count begins at 256 and is now 512
	e.play(1000, []float32{1})
	step(&e, make([]float32, 256)) // taken over, not yet sounding
	e.play(1001, []float32{1})     // still in the queue
	e.quiet()
	e.play(1002, []float32{1})
	out := step(&e, make([]float32, 2000))
	if i := slices.Index(out, 1); i != 2*(1002-768) {
		t.Errorf("sounds at output sample %d, want %d", i, 2*(1002-768))
	}
	if n := len(slices.DeleteFunc(out, func(x float32) bool { return x == 0 })); n != 2 {
		t.Errorf("%d samples sound after Quiet, want one frame of two channels", n)
	}
}

func TestEngineOverflow(t *testing.T) {
	var e engine
	in := make([]float32, slotFrames)
	for range slotCount + 3 { // nobody reads
		e.capture(in)
	}
	frames := 0
	e.drain(func(b Block) { frames += len(b.In) })
	if frames != slotCount*slotFrames {
		t.Errorf("kept %d frames, want %d", frames, slotCount*slotFrames)
	}
	e.capture(in)
	e.drain(func(b Block) {
		if b.Gap != 3*slotFrames || b.First != (slotCount+3)*slotFrames {
			t.Errorf("block after the loss at %d, gap %d, want %d, %d", b.First, b.Gap, (slotCount+3)*slotFrames, 3*slotFrames)
		}
	})

	// More sounds than there is room for wait, and those that come too late are counted.
	e = engine{}
	step(&e, make([]float32, 256)) // the output is at 512
	for range partCount + 5 {
		e.play(520, []float32{1})
	}
	for range 5 {
		e.play(2000, []float32{1})
	}
	played := float32(0)
	for range 200 {
		e.hand()
		for _, x := range step(&e, make([]float32, 16)) {
			played += x / 2
		}
	}
	if played != partCount+5 || e.late.Load() != 5 {
		t.Errorf("played %v sounds, %d late, want %d and 5", played, e.late.Load(), partCount+5)
	}
}

func TestEngineAllocatesNothing(t *testing.T) {
	var e engine
	in, out := make([]float32, 256), make([]float32, 512)
	e.capture(in)
	e.play(0, make([]float32, 1<<20))
	if n := testing.AllocsPerRun(100, func() { e.capture(in); e.sound(out) }); n != 0 {
		t.Errorf("a callback allocates %v times, want 0", n)
	}
}

// TestEngineThreads is for the race detector: capture, sound and the owner at once.
func TestEngineThreads(t *testing.T) {
	const runs = slotCount // so that nothing is lost however late the owner reads
	var e engine
	var threads sync.WaitGroup
	threads.Add(2)
	go func() {
		defer threads.Done()
		for range runs {
			e.capture(make([]float32, 64))
		}
	}()
	go func() {
		defer threads.Done()
		for range runs {
			e.sound(make([]float32, 128))
		}
	}()
	done := make(chan struct{})
	go func() { threads.Wait(); close(done) }()
	next := int64(0)
	for running := true; running; {
		select {
		case <-done:
			running = false // one more pass takes what is left
		default:
		}
		e.play(next+500, make([]float32, 100))
		e.drain(func(b Block) {
			if b.First != next+b.Gap {
				t.Errorf("block at %d with gap %d after %d", b.First, b.Gap, next)
			}
			next = b.First + int64(len(b.In))
		})
		if next%7 == 0 {
			e.quiet()
		}
	}
	if next == 0 || next > 3000*64 {
		t.Errorf("%d frames came out of %d", next, 3000*64)
	}
}

// What moved is told whole after a second and a quarter, and nothing before it moves.
func TestSlips(t *testing.T) {
	var s slips
	const moved = 250 // callbacks of 20 ms: the output ran dry after five seconds
	told := 0
	for n := range 400 {
		distance := int64(1000 + n*131%256) // steps of callbacks that do not fit each other
		if n >= moved {
			distance += 342
		}
		slip, ok := s.add(distance, 960)
		if !ok {
			continue
		}
		switch {
		case n < moved && (slip < -15 || slip > 15):
			t.Errorf("slip %d before anything moved, want 0 +-15", slip)
		case n >= moved+63 && (slip < 342-15 || slip > 342+15):
			t.Errorf("slip %d, %.2f s after it moved by 342, want that +-15", slip, float64(n-moved)*0.02)
		}
		if n >= moved {
			told++
		}
	}
	if told < 10 {
		t.Errorf("told %d times in three seconds, want four a second", told)
	}
}

// What an output asks for is counted from the first call on, whether anything sounds or not.
func TestPlayedIsCounted(t *testing.T) {
	e := &engine{}
	for range 3 {
		e.sound(make([]float32, 2*960))
	}
	if got := e.played.Load(); got != 3*960 {
		t.Errorf("%d frames, want 2880", got)
	}
}
