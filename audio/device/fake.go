package device

import (
	"math"
	"slices"
)

// FakeOptions describe a Fake. The zero value is a 48000 Hz device in a silent room.
type FakeOptions struct {
	Rate      int     // Hz; 0 means 48000
	Block     int     // frames handed over at a time; 0 means 1024, as in the browser
	First     int64   // frame of the first sample; real devices do not start at 0
	Opening   int     // frames of Advance spent in Opening
	RoundTrip int     // frames from the output to its being heard in the input
	Loop      float64 // gain of the output in the input: 0 for headphones
	// Player answers what is played: called by each Play with what will sound (late parts
	// cut off, at moved on accordingly). What it returns is heard in the input at at+RoundTrip.
	Player func(at int64, played []float32) []float32
	Room   []float32 // heard in the input from frame First on, independent of what is played
	Gaps   []Gap     // frames the device loses, in order
	// DriftPPM is how much slower, in millionths, the input's clock runs than the output's: the
	// round trip grows by that part of the time since First.
	DriftPPM  float64
	FailAfter int64 // frames after First at which the device fails with Fault; 0 for never
	Fault     error // nil means Unplugged
	Refuse    error // fails with this instead of opening
	Info      Info  // what Info returns; Rate and Key are filled in
}

// A Gap is a run of frames [At, At+Frames) that is lost.
type Gap struct{ At, Frames int64 }

// A Fake has the methods of a Stream and no device: Advance moves its time on.
type Fake struct {
	o         FakeOptions
	st        State
	why       error
	opened    int
	frame     int64 // next frame to be captured
	next      int64 // frame after the last one captured and kept
	out       schedule
	player    schedule
	queue     []fakeBlock
	cur       fakeBlock
	lateCount int64
}

type fakeBlock struct {
	first, gap int64
	in         []float32
}

// NewFake opens a fake device. It panics when a number in o is negative.
func NewFake(o FakeOptions) *Fake {
	if o.Rate == 0 {
		o.Rate = 48000
	}
	if o.Block == 0 {
		o.Block = 1024
	}
	if o.Rate < 0 || o.Block < 0 || o.First < 0 || o.Opening < 0 || o.RoundTrip < 0 || o.FailAfter < 0 {
		panic("device: NewFake with a negative number")
	}
	if o.Fault == nil {
		o.Fault = Unplugged
	}
	o.Info.Rate = o.Rate
	if o.Info.InputLabel == "" {
		o.Info.InputLabel = "Fake microphone"
	}
	key := o.Info.Bluetooth
	o.Info = o.Info.finish(Options{})
	o.Info.Bluetooth = o.Info.Bluetooth || key
	f := &Fake{o: o, frame: o.First, next: o.First}
	switch {
	case o.Refuse != nil:
		f.st, f.why = Failed, o.Refuse
	case o.Opening == 0:
		f.st = Running
	}
	return f
}

// Advance lets the device run for a number of frames. It does nothing while the fake is
// suspended, failed or closed.
func (f *Fake) Advance(frames int) {
	if frames < 0 {
		panic("device: Fake.Advance backwards")
	}
	if f.st == Opening {
		n := min(frames, f.o.Opening-f.opened)
		f.opened += n
		frames -= n
		if f.opened < f.o.Opening {
			return
		}
		f.st = Running
	}
	for frames > 0 && f.st == Running {
		// Up to the next whole block, so that what is heard is worked out in runs.
		n := min(frames, f.o.Block-len(f.cur.in))
		if f.o.FailAfter > 0 {
			left := f.o.First + f.o.FailAfter - f.frame
			n = int(min(int64(n), left))
		}
		f.capture(n)
		frames -= n
		if f.o.FailAfter > 0 && f.frame >= f.o.First+f.o.FailAfter {
			f.flush()
			f.st, f.why = Failed, f.o.Fault
		}
	}
}

func (f *Fake) capture(n int) {
	heard := f.hear(f.frame, n)
	for i, x := range heard {
		at := f.frame + int64(i)
		if f.lost(at) {
			f.flush()
			continue
		}
		if len(f.cur.in) == 0 {
			f.cur.first, f.cur.gap = at, at-f.next
		}
		f.cur.in = append(f.cur.in, x)
		f.next = at + 1
		if len(f.cur.in) == f.o.Block {
			f.flush()
		}
	}
	f.frame += int64(n)
	oldest := f.frame - int64(math.Ceil(f.trip(f.frame))) - 2
	f.out.forget(oldest)
	f.player.forget(oldest)
}

func (f *Fake) lost(at int64) bool {
	return slices.ContainsFunc(f.o.Gaps, func(g Gap) bool { return at >= g.At && at < g.At+g.Frames })
}

func (f *Fake) flush() {
	if len(f.cur.in) > 0 {
		f.queue = append(f.queue, f.cur)
		f.cur = fakeBlock{}
	}
}

// trip is the round trip in frames of what is heard at a frame.
func (f *Fake) trip(at int64) float64 {
	return float64(f.o.RoundTrip) + f.o.DriftPPM*1e-6*float64(at-f.o.First)
}

// hear works out n input samples from a frame on.
func (f *Fake) hear(at int64, n int) []float32 {
	dst := make([]float32, n)
	if f.o.DriftPPM == 0 {
		f.air(dst, at-int64(f.o.RoundTrip))
	} else {
		// Between two samples the air is a straight line: enough for a slowly moving delay.
		from := int64(math.Floor(float64(at) - f.trip(at)))
		air := make([]float32, n+3)
		f.air(air, from)
		for i := range dst {
			x := float64(at+int64(i)) - f.trip(at+int64(i)) - float64(from)
			k := min(max(int(math.Floor(x)), 0), n+1)
			part := float32(x - float64(k))
			dst[i] = air[k]*(1-part) + air[k+1]*part
		}
	}
	for i := range dst {
		if k := at + int64(i) - f.o.First; k < int64(len(f.o.Room)) {
			dst[i] += f.o.Room[k]
		}
	}
	return dst
}

// air is what sounds in the room from the output frame at on.
func (f *Fake) air(dst []float32, at int64) {
	if f.o.Loop != 0 {
		f.out.mix(dst, at)
		for i := range dst {
			dst[i] *= float32(f.o.Loop)
		}
	}
	f.player.mix(dst, at)
}

// Suspend holds the device as a call on a telephone does, until Resume.
func (f *Fake) Suspend() {
	if f.st == Running {
		f.st, f.why = Suspended, Interrupted
	}
}

// Fail ends the stream with a fault, as pulling the plug does.
func (f *Fake) Fail(fault error) {
	if f.st < Failed {
		f.flush()
		f.st, f.why = Failed, fault
	}
}

// State is as a Stream's.
func (f *Fake) State() State { return f.st }

// Err is as a Stream's.
func (f *Fake) Err() error { return f.why }

// Info is as a Stream's.
func (f *Fake) Info() Info {
	if f.st == Opening {
		return Info{}
	}
	return f.o.Info
}

// Read is as a Stream's. Blocks are handed over whole.
func (f *Fake) Read(g func(Block)) {
	for len(f.queue) > 0 {
		b := f.queue[0]
		f.queue = f.queue[1:]
		g(Block{First: b.first, Gap: b.gap, In: b.in})
		// A caller that kept the buffer finds it spoilt, as with a real device.
		for i := range b.in {
			b.in[i] = float32(math.NaN())
		}
	}
}

// Now is as a Stream's: the frame after the newest block.
func (f *Fake) Now() int64 { return f.frame - int64(len(f.cur.in)) }

// Lead is as a Stream's.
func (f *Fake) Lead() int64 { return lead(f.o.Info) }

// Play is as a Stream's.
func (f *Fake) Play(at int64, samples []float32) {
	if f.st >= Failed || len(samples) == 0 {
		return
	}
	if late := min(f.frame-at, int64(len(samples))); late > 0 {
		f.lateCount += late
		at, samples = at+late, samples[late:]
	}
	if len(samples) == 0 {
		return
	}
	f.out.parts = append(f.out.parts, part{at, slices.Clone(samples)})
	if f.o.Player != nil {
		if answer := f.o.Player(at, samples); len(answer) > 0 {
			f.player.parts = append(f.player.parts, part{at, slices.Clone(answer)})
		}
	}
}

// Quiet is as a Stream's. The player stops with the band.
func (f *Fake) Quiet() {
	f.out.cut(f.frame)
	f.player.cut(f.frame)
}

// Late is as a Stream's.
func (f *Fake) Late() int64 { return f.lateCount }

// Slip is as a Stream's: what DriftPPM has come to.
func (f *Fake) Slip() int64 { return int64(math.Round(f.trip(f.frame) - f.trip(f.o.First))) }

// Hidden is as a Stream's.
func (f *Fake) Hidden() bool { return false }

// Resume is as a Stream's.
func (f *Fake) Resume() {
	if f.st == Suspended {
		f.st, f.why = Running, nil
	}
}

// Close is as a Stream's.
func (f *Fake) Close() { f.st, f.why = Closed, nil }

// Poll is as a Stream's and finds no stall: a fake's time stands still between Advances.
func (f *Fake) Poll(float64) {}
