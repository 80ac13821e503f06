package onset

import (
	"math"
	"math/rand/v2"
	"testing"

	"reedwell/audio/internal/dsp"
)

const rate = 12000.0

// reed is a tone at hz of six harmonics, each 1/k, with a phase that depends on the number only.
func reed(hz, t float64) float64 {
	v := 0.0
	for k := 1.0; k <= 6 && k*hz < 5000; k++ {
		v += math.Sin(2*math.Pi*hz*k*t+k*k) / k
	}
	return v
}

// A change at a known sample is found within 2 ms, with noise 20 dB under.
func TestChangeFindsTheMoment(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for _, c := range [][2]float64{{165, 220}, {220, 165}, {392, 494}, {587, 659}, {1568, 1319}} {
		for _, at := range []int{330, 420, 511} {
			x := make([]float64, 840)
			for i := range x {
				f := c[0]
				if i >= at {
					f = c[1]
				}
				x[i] = reed(f, float64(i)/rate) + 0.08*rng.NormFloat64()
			}
			got := change(x, c[0]/rate, c[1]/rate, 180, 660, 20)
			if math.Abs(got-float64(at)) > 24 {
				t.Errorf("%g to %g Hz at sample %d: found %.0f, want within 24 (2 ms)", c[0], c[1], at, got)
			}
		}
	}
}

// A tone that grows out of another one is seen where it starts to, before it takes over.
func TestEmergeFindsTheBeginning(t *testing.T) {
	hann := make([]float64, shortWindow)
	for i := range hann {
		hann[i] = 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/shortWindow)
	}
	const start, rise = 360, 240 // samples: 20 ms of rise
	x := make([]float64, 840)
	for i := range x {
		u := math.Max(0, math.Min(1, float64(i-start)/rise))
		g := math.Sin(u * math.Pi / 2)
		x[i] = (1-u)*reed(494, float64(i)/rate) + g*reed(587, float64(i)/rate)
	}
	at, ok := emerge(x, rate, 494, 587, start+rise/2, hann)
	// 18 dB under the top is an eighth of the rise, 20 samples, after the start; the window
	// spreads by half its length.
	if !ok || math.Abs(at-start-20) > shortWindow/2 {
		t.Errorf("emerge = %.0f, %v, want %d within %d", at, ok, start+20, shortWindow/2)
	}
	if _, ok := emerge(x, rate, 200, 205, 400, hann); ok {
		t.Error("emerge tells two tones apart that lie 5 Hz from each other")
	}
}

// A tone that grows out of another one is found where it passes the middle of the shares that tell it, near and far, up and down, with what a
// room leaves of both, and when it speaks flat at first.
func TestCrossfadeFindsTheStart(t *testing.T) {
	fade := newCrossfade(rate)
	const start, rise = 400, 240 // samples: 20 ms of rise
	for _, c := range []struct{ before, after, ring, flat float64 }{
		{494, 587, 0, 0}, {587, 494, 0, 0}, {247, 294, 0, 0}, {294, 247, 0, 0}, {196, 262, 0, 0}, {988, 1175, 0, 0},
		{494, 587, 0.2, 0}, {587, 494, 0.2, 0}, {262, 330, 0.2, 0}, {988, 1175, 0, 60}, {494, 587, 0.2, 40},
	} {
		x := make([]float64, 840)
		phase := 0.0
		for i := range x {
			u := math.Max(0, math.Min(1, float64(i-start)/rise))
			phase += c.after / rate * math.Exp2(-c.flat/1200*(1-u))
			now := float64(i) / rate
			x[i] = (1-u)*reed(c.before, now) + u*reed(1, phase) + c.ring*reed(c.after, now+0.3/c.after) + c.ring*u*reed(c.before, now+0.4/c.before)
		}
		want := start + risen[len(risen)/2]*rise
		ok := fade.change(x, c.before/rate, c.after/rate, c.after/rate, start+rise/2, 1000)
		at := fade.came.start.at - 1000
		if !ok || math.Abs(at-want) > 24 {
			t.Errorf("%+v: starts at %.0f, %v, want %.0f within 24 (2 ms)", c, at, ok, want)
		}
	}
	if fade.change(make([]float64, 840), 494/rate, 587/rate, 587/rate, 420, 0) {
		t.Errorf("a tone starts in silence at %.0f", fade.came.start.at)
	}
	if fade.change(make([]float64, 300), 494/rate, 587/rate, 587/rate, 200, 0) {
		t.Error("a tone starts where too little is known")
	}
}

// In white noise a start, quick or slow, is off by no more than it is told to be. In loud noise that is not much too large: one share's error is told,
// and the start is the mean of five. In little noise it is, since how the tones change within a window is not explained either.
func TestCrossfadeTellsHowFarOff(t *testing.T) {
	fade := newCrossfade(rate)
	rng := rand.New(rand.NewPCG(8, 1))
	for _, c := range []struct {
		rise  float64 // samples
		noise float64 // dB
	}{{120, -30}, {120, -10}, {120, -6}, {300, -30}, {300, -10}, {300, -6}} {
		const start, count = 400, 200
		var x [840]float64
		var ats []float64
		told := 0.0
		for range count {
			for i := range x {
				u := math.Max(0, math.Min(1, float64(i-start)/c.rise))
				now := float64(i) / rate
				x[i] = (1-u)*reed(494, now) + u*reed(587, now)
			}
			power := 0.0
			for _, v := range x {
				power += v * v / float64(len(x))
			}
			for i := range x {
				x[i] += math.Sqrt(power*dsp.Power(c.noise)) * rng.NormFloat64()
			}
			if fade.change(x[:], 494/rate, 587/rate, 0, start+c.rise/2, 0) {
				ats = append(ats, fade.came.start.at)
				told += fade.came.start.err * fade.came.start.err
			}
		}
		mean, off := 0.0, 0.0
		for _, at := range ats {
			mean += at / float64(len(ats))
		}
		for _, at := range ats {
			off += (at - mean) * (at - mean)
		}
		ratio := math.Sqrt(told / off)
		t.Logf("rise %.0f samples, noise %.0f dB: %d starts, off by %.2f samples, told %.2f", c.rise, c.noise, len(ats), math.Sqrt(off/float64(len(ats))), math.Sqrt(told/float64(len(ats))))
		if len(ats) < count*9/10 || ratio < 1 || c.noise >= -10 && ratio > 1.8 {
			t.Errorf("rise %.0f samples, noise %.0f dB: %d starts, told to be off by %.2f times what they are", c.rise, c.noise, len(ats), ratio)
		}
	}
}

// A reed that turns out twice as loud as it was at first has started where it had twice the share; one that turns out no louder, or gets
// quieter, where it was found.
func TestGrownToneStartsLater(t *testing.T) {
	r := rise{last: 1000, power: 1}
	for r.count = range 21 { // rises by 0.05 every fadeStep samples
		r.shares[r.count], r.errs[r.count] = 1-0.05*float64(r.count), 0.02
	}
	r.start, _ = r.at(1)
	const perShare = fadeStep / 0.05
	middle := risen[len(risen)/2]
	for _, c := range []struct{ power, share float64 }{{1, middle}, {0.25, middle}, {2.25, 1.5 * middle}, {4, 2 * middle}, {9, grownMost * middle}} {
		if got, want := r.grown(c.power), 1000-(1-c.share)*perShare; math.Abs(got.at-want) > 0.01 || math.Abs(got.err-0.02*perShare) > 0.01 {
			t.Errorf("power %g: starts at %.2f, want %.2f", c.power, got, want)
		}
	}
	if _, ok := (&rise{}).at(1); ok {
		t.Error("a tone starts of which nothing is known")
	}
}

// A step to another hole is seen across frames that show neither hole and where the first frames after it are unsure, but what speaks
// flat after a break is the same reed.
func TestStepAcrossUnsureFrames(t *testing.T) {
	for _, c := range []struct {
		held   float64
		hz     []float64
		unsure int // how many of them
		want   bool
	}{
		{293, []float64{883, 881, 237, 0, 238}, 4, true},
		{247, []float64{287, 286, 287}, 2, true},
		{247, []float64{287, 286, 287, 287, 288, 288, 288}, 6, false}, // too long ago
		{247, []float64{235, 235}, 1, false},
		{247, []float64{0, 0, 235}, 2, true}, // it broke off: flat by 86 cents, but a step
		{294, []float64{220, 220, 220, 220, 220, 220}, 4, true},
		{294, []float64{147, 147, 147, 147, 147, 147}, 4, false}, // an octave is often the same tone
		{261, []float64{258, 255, 252, 249, 246, 243}, 4, false},
	} {
		s := NewSegmenter(rate, dsp.NewRing(2048))
		push := func(hz float64) { s.f0.Push(hz) }
		for range 20 {
			push(c.held)
		}
		for _, hz := range c.hz {
			push(hz)
		}
		for range Ahead {
			push(c.hz[len(c.hz)-1])
		}
		s.start(0, c.held, 0, 0)
		got := false
		for i, hz := range c.hz {
			got = s.jumped(20+i, hz, i >= c.unsure) || got
		}
		if got != c.want {
			t.Errorf("%g Hz, then %v, %d unsure: step %v, want %v", c.held, c.hz, c.unsure, got, c.want)
		}
	}
}

// The envelope of a steady tone does not ripple at the widths its pitch asks for.
func TestEnvelopeIsSmooth(t *testing.T) {
	for _, hz := range []float64{131, 147, 151, 196, 249, 251, 500, 2000} {
		e := NewEnvelope()
		lo, hi := math.Inf(1), math.Inf(-1)
		for i := range 12000 {
			e.Push(0.1 * reed(hz, float64(i)/rate))
			if i > 2000 && i%Block == Block-1 {
				v := e.db(e.last(smoothing(hz)), smoothing(hz))
				lo, hi = math.Min(lo, v), math.Max(hi, v)
			}
		}
		if hi-lo > 2 {
			t.Errorf("%g Hz: level ripples by %.2f dB, want 2", hz, hi-lo)
		}
	}
}

func TestEnvelopeLevel(t *testing.T) {
	e := NewEnvelope()
	for range 3000 {
		e.Push(0.5)
	}
	for w := range 3 {
		if got := e.db(50, w); math.Abs(got+6.02) > 0.01 {
			t.Errorf("width %d: %.2f dBFS, want -6.02", w, got)
		}
		if got := e.db(-5, w); got != floorDB {
			t.Errorf("width %d: %.2f dBFS before the start, want the floor", w, got)
		}
	}
}

// play feeds a sound with its true pitch, as a perfect pitch detector would.
func play(seconds float64, sound, pitch func(t float64) float64) []Note {
	ring := dsp.NewRing(2048)
	s := NewSegmenter(rate, ring)
	frames := 0
	n := int(seconds * rate)
	for i := range n + 600 {
		x := 0.0
		if i < n {
			x = sound(float64(i) / rate)
		}
		ring.Push(x)
		s.Push(x)
		if i+1 == frames*FrameHop+256 {
			s.Hop(pitch(float64(frames) * FrameHop / rate))
			if frames >= Ahead {
				tonal := 0.0
				if pitch(float64(frames-Ahead)*FrameHop/rate) > 0 {
					tonal = 1
				}
				s.Judge(tonal, true)
			}
			frames++
		}
	}
	s.Flush(float64(n))
	return s.Notes(nil)
}

func TestSegmenterCountsNotes(t *testing.T) {
	gate := func(t, from, to float64) float64 { // 8 ms edges
		return math.Max(0, math.Min(1, math.Min((t-from)/0.008, (to-t)/0.008)))
	}
	const f = 440.0
	for _, c := range []struct {
		name  string
		level func(t float64) float64
		pitch func(t float64) float64
		want  []float64
	}{
		{"one held note", func(t float64) float64 { return gate(t, 0.2, 1) }, nil, []float64{0.2}},
		{"a repeat after 30 ms", func(t float64) float64 { return gate(t, 0.2, 0.5) + gate(t, 0.53, 1) }, nil, []float64{0.2, 0.53}},
		{"a dip of 10 dB", func(t float64) float64 { return gate(t, 0.2, 1) * (1 - 0.7*gate(t, 0.5, 0.54)) }, nil, []float64{0.2, 0.535}},
		{"a slow wave of 12 dB", func(t float64) float64 {
			return gate(t, 0.2, 1) * math.Pow(10, -0.3+0.3*math.Sin(2*math.Pi*5*t))
		}, nil, []float64{0.2}},
		{"another pitch", func(t float64) float64 { return gate(t, 0.2, 1) }, func(t float64) float64 {
			if t > 0.6 {
				return f * 1.26
			}
			return f
		}, []float64{0.2, 0.6}},
		{"silence", func(float64) float64 { return 0 }, nil, nil},
	} {
		pitch := c.pitch
		if pitch == nil {
			pitch = func(float64) float64 { return f }
		}
		phase := 0.0
		notes := play(1.2, func(t float64) float64 {
			phase += pitch(t) / rate
			return 0.1 * c.level(t) * (math.Sin(2*math.Pi*phase) + 0.5*math.Sin(4*math.Pi*phase+1))
		}, func(t float64) float64 {
			if c.level(t-0.01)+c.level(t+0.01) == 0 {
				return 0
			}
			return pitch(t)
		})
		if len(notes) != len(c.want) {
			t.Errorf("%s: notes %v, want starts %v", c.name, notes, c.want)
			continue
		}
		for i, n := range notes {
			if s := n.Start / rate; math.Abs(s-c.want[i]) > 0.010 { // the goal
				t.Errorf("%s: note %d starts at %.3f s, want %.3f", c.name, i, s, c.want[i])
			}
		}
	}
}

func TestContourMedianAndThinning(t *testing.T) {
	c := contour{values: make([]float64, 0, contourSize), sorted: make([]float64, contourSize)}
	c.reset()
	if c.median() != 0 {
		t.Error("median of nothing is not 0")
	}
	for i := range 50000 { // 250 s: thins out several times
		v := 440.0
		if i < 10 {
			v = 430
		}
		c.add(v)
	}
	if got := c.median(); got != 440 {
		t.Errorf("median %g, want 440", got)
	}
	if n := testing.AllocsPerRun(100, func() { c.add(440) }); n != 0 {
		t.Errorf("add allocates %v times, want 0", n)
	}
}

// The powers are those of the definition, for any number of frequencies.
func TestPowersAreTheDefinition(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 1))
	for _, n := range []int{shortWindow, longWindow} {
		w, x := window(n), make([]float64, n)
		for i := range x {
			x[i] = rng.NormFloat64()
		}
		for count := range 8 {
			f, got := make([]float64, count), make([]float64, count)
			for k := range f {
				f[k] = 60/rate + rng.Float64()*(lineTop-60/rate)
			}
			powers(got, f, x, w)
			for k := range f {
				var re, im float64
				for i, v := range x {
					s, c := math.Sincos(2 * math.Pi * f[k] * float64(i))
					re, im = re+v*w[i]*c, im+v*w[i]*s
				}
				if want := re*re + im*im; math.Abs(got[k]-want) > 1e-9*float64(n) { // rounding over n steps of values near 1
					t.Errorf("%d samples, %g cycles a sample: %g, want %g", n, f[k], got[k], want)
				}
			}
		}
	}
}
