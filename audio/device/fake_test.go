package device_test

import (
	"errors"
	"math"
	"slices"
	"testing"

	"reedwell/audio/device"
)

// tape reads everything a fake captured: the samples with gaps as zeros, the frame they
// begin at, and the gaps.
type tape struct {
	first int64
	x     []float32
	gaps  []device.Gap
}

func (p *tape) read(t *testing.T, f *device.Fake) {
	t.Helper()
	f.Read(func(b device.Block) {
		if p.x == nil {
			p.first = b.First - b.Gap
		}
		if at := p.first + int64(len(p.x)); b.First-b.Gap != at {
			t.Errorf("block at %d with gap %d after frame %d", b.First, b.Gap, at)
		}
		if b.Gap > 0 {
			p.gaps = append(p.gaps, device.Gap{At: b.First - b.Gap, Frames: b.Gap})
		}
		p.x = append(p.x, make([]float32, b.Gap)...)
		p.x = append(p.x, b.In...)
	})
}

func (p *tape) at(frame int64) float32 { return p.x[frame-p.first] }

// loud lists the frames whose sample is not 0.
func (p *tape) loud() (frames []int64) {
	for i, x := range p.x {
		if x != 0 {
			frames = append(frames, p.first+int64(i))
		}
	}
	return frames
}

func TestFakeRoundTrip(t *testing.T) {
	for _, block := range []int{1, 97, 128, 1024} {
		f := device.NewFake(device.FakeOptions{First: 6400, Block: block, RoundTrip: 3000, Loop: 0.5})
		var p tape
		f.Advance(500)
		f.Play(8000, []float32{1, -1})
		f.Play(8001, []float32{0.5}) // adds up
		f.Advance(2048)
		p.read(t, f)
		f.Advance(1024 * 5)
		p.read(t, f)
		if p.first != 6400 || f.Now() != p.first+int64(len(p.x)) {
			t.Fatalf("block %d: first %d, now %d, %d frames; want 6400 and all read", block, p.first, f.Now(), len(p.x))
		}
		if got := p.loud(); !slices.Equal(got, []int64{11000, 11001}) || p.at(11000) != 0.5 || p.at(11001) != -0.25 {
			t.Errorf("block %d: heard at %v, want 0.5 and -0.25 at 11000", block, got)
		}
	}
}

func TestFakePlayer(t *testing.T) {
	var asked []int64
	f := device.NewFake(device.FakeOptions{RoundTrip: 100, Player: func(at int64, played []float32) []float32 {
		asked = append(asked, at)
		answer := make([]float32, 31)
		answer[30] = played[0] // 30 frames late, longer than what was played
		return answer
	}})
	f.Advance(1000)
	f.Play(2000, []float32{0.25})
	f.Play(990, make([]float32, 5))    // all late: nobody answers
	f.Play(998, []float32{0, 0, 0.75}) // two frames late
	f.Advance(3000)
	var p tape
	p.read(t, f)
	if !slices.Equal(asked, []int64{2000, 1000}) {
		t.Errorf("player was asked at %v, want 2000 and 1000", asked)
	}
	if got := p.loud(); !slices.Equal(got, []int64{1130, 2130}) || p.at(1130) != 0.75 {
		t.Errorf("heard at %v, want 1130 and 2130", got)
	}
	if f.Late() != 7 {
		t.Errorf("late = %d frames, want 5 + 2", f.Late())
	}
}

func TestFakeQuiet(t *testing.T) {
	f := device.NewFake(device.FakeOptions{RoundTrip: 100, Loop: 1})
	ones := make([]float32, 1000)
	for i := range ones {
		ones[i] = 1
	}
	f.Play(500, ones)
	f.Play(5000, ones)
	f.Advance(1000)
	f.Quiet()
	f.Play(1200, []float32{1})
	f.Advance(9000)
	var p tape
	p.read(t, f)
	got := p.loud()
	if len(got) != 501 || got[0] != 600 || got[499] != 1099 || got[500] != 1300 {
		t.Errorf("heard %d frames from %d to %d, want 600 to 1099 and 1300", len(got), got[0], got[len(got)-1])
	}
}

func TestFakeGaps(t *testing.T) {
	want := []device.Gap{{At: 1500, Frames: 128}, {At: 4096, Frames: 2048}}
	room := make([]float32, 9000)
	for i := range room {
		room[i] = float32(i)
	}
	f := device.NewFake(device.FakeOptions{Gaps: want, Room: room})
	f.Advance(9 * 1024)
	var p tape
	p.read(t, f)
	if !slices.Equal(p.gaps, want) {
		t.Errorf("gaps = %v, want %v", p.gaps, want)
	}
	if p.at(1400) != 1400 || p.at(1550) != 0 || p.at(1700) != 1700 || p.at(8000) != 8000 {
		t.Error("samples are not in their places")
	}
}

func TestFakeDrift(t *testing.T) {
	// 100 ppm over 10 s at 48 kHz is 48 frames.
	f := device.NewFake(device.FakeOptions{RoundTrip: 1000, Loop: 1, DriftPPM: 100})
	f.Play(480000-1048, []float32{1})
	f.Advance(490000)
	var p tape
	p.read(t, f)
	sum, moment := 0.0, 0.0
	for _, at := range p.loud() {
		sum += float64(p.at(at))
		moment += float64(p.at(at)) * float64(at)
	}
	if got := moment / sum; math.Abs(got-480000) > 0.1 {
		t.Errorf("heard at %.2f, want 480000 +-0.1", got)
	}
	if s := f.Slip(); s != 49 {
		t.Errorf("slip = %d frames after 490000, want 49", s)
	}
}

func TestFakeLife(t *testing.T) {
	f := device.NewFake(device.FakeOptions{Opening: 2000, FailAfter: 5000})
	if f.State() != device.Opening || f.Info().Rate != 0 {
		t.Fatalf("state = %v, info = %+v, want opening and nothing known", f.State(), f.Info())
	}
	f.Advance(1999)
	if f.State() != device.Opening {
		t.Errorf("state = %v before the time, want opening", f.State())
	}
	f.Advance(1 + 1024)
	if f.State() != device.Running || f.Now() != 1024 || f.Info().Rate != 48000 || f.Info().Key == "" {
		t.Errorf("state = %v, now %d, info %+v, want running at 1024", f.State(), f.Now(), f.Info())
	}
	f.Suspend()
	f.Advance(1000)
	if f.State() != device.Suspended || !errors.Is(f.Err(), device.Interrupted) || f.Now() != 1024 {
		t.Errorf("state = %v, err %v, now %d, want suspended at 1024", f.State(), f.Err(), f.Now())
	}
	f.Resume()
	if f.State() != device.Running || f.Err() != nil {
		t.Errorf("state = %v, err %v after Resume", f.State(), f.Err())
	}
	f.Advance(10000)
	var p tape
	p.read(t, f)
	if f.State() != device.Failed || !errors.Is(f.Err(), device.Unplugged) || len(p.x) != 5000 {
		t.Errorf("state = %v, err %v after %d frames, want unplugged after 5000", f.State(), f.Err(), len(p.x))
	}
	f.Close()
	if f.State() != device.Closed || f.Err() != nil {
		t.Errorf("state = %v, err %v after Close", f.State(), f.Err())
	}

	f = device.NewFake(device.FakeOptions{Refuse: device.Missing})
	f.Advance(5000)
	if f.State() != device.Failed || !errors.Is(f.Err(), device.Missing) {
		t.Errorf("state = %v, err %v, want missing", f.State(), f.Err())
	}
	f = device.NewFake(device.FakeOptions{})
	f.Fail(device.Busy)
	if f.State() != device.Failed || !errors.Is(f.Err(), device.Busy) {
		t.Errorf("state = %v, err %v, want busy", f.State(), f.Err())
	}
}

// Both are what a consumer may ask for.
type duplex interface {
	Read(func(device.Block))
	Play(int64, []float32)
	Quiet()
	Now() int64
	Lead() int64
	Late() int64
	Slip() int64
	Info() device.Info
	State() device.State
	Err() error
	Hidden() bool
	Resume()
	Close()
	Poll(float64)
}

var (
	_ duplex = (*device.Stream)(nil)
	_ duplex = (*device.Fake)(nil)
)
