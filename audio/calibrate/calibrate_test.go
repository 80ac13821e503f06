package calibrate

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// heard is x delayed by a fractional number of frames, by a windowed sinc: the delay line of
// the textbooks (Laakso et al. 1996), which shares nothing with how Find interpolates.
func heard(x []float32, delay float64, n int) []float64 {
	y := make([]float64, n)
	whole := math.Floor(delay)
	const half = 32
	var taps [2*half + 1]float64
	for k := -half; k <= half; k++ {
		t := float64(k) - (delay - whole)
		s := 1.0
		if t != 0 {
			s = math.Sin(math.Pi*t) / (math.Pi * t)
		}
		taps[k+half] = s * (0.5 + 0.5*math.Cos(math.Pi*t/(half+1)))
	}
	for i, v := range x {
		if v == 0 {
			continue
		}
		for k, tap := range taps {
			if j := i + int(whole) + k - half; j >= 0 && j < n {
				y[j] += float64(v) * tap
			}
		}
	}
	return y
}

func samples(x []float64) []float32 {
	y := make([]float32, len(x))
	for i, v := range x {
		y[i] = float32(min(max(v, -1), 1))
	}
	return y
}

func room(x []float32, delay float64, rate int) []float64 {
	return heard(x, delay, Frames(x, rate)+rate/10)
}

// Half a sample of 48 kHz is 0.01 ms; the finest thing the round trip is used for is 5 ms.
const closeFrames = 0.05

func TestFindKnownDelay(t *testing.T) {
	for _, rate := range []int{16000, 22050, 24000, 32000, 44100, 48000, 96000} {
		for _, ms := range []float64{-2, 0, 12.34, 64.5, 187.6, 300.01, 599} {
			t.Run(fmt.Sprintf("%d Hz %v ms", rate, ms), func(t *testing.T) {
				want := ms / 1000 * float64(rate)
				got, err := Find(samples(room(Signal(rate), want, rate)), rate)
				if err != nil {
					t.Fatal(err)
				}
				if math.Abs(got.Frames-want) > closeFrames || got.Bursts != len(places) || got.Spread > 0.01 {
					t.Errorf("Find = %+v, want %.3f frames, %d bursts", got, want, len(places))
				}
				got, err = FindCheck(samples(room(Check(rate), want, rate)), rate)
				if err != nil || math.Abs(got.Frames-want) > closeFrames || got.Bursts != 2 {
					t.Errorf("FindCheck = %+v, %v, want %.3f frames, 2 bursts", got, err, want)
				}
			})
		}
	}
}

func TestFindInBadRooms(t *testing.T) {
	const rate, delay = 48000, 3456.4
	r := rand.New(rand.NewPCG(7, 11))
	white := func(rms float64) func([]float64) {
		return func(x []float64) {
			for i := range x {
				x[i] += rms * r.NormFloat64()
			}
		}
	}
	for _, c := range []struct {
		name  string
		spoil func(x []float64)
		far   float64 // frames
	}{
		// -40 dBFS of noise under bursts heard at -15 dBFS RMS, a loud fan; then far more.
		{"noise 25 dB under", white(0.01), 0.2},
		{"noise as loud as the bursts", white(0.18), 1},
		{"attenuated by 50 dB, noise -75 dBFS", func(x []float64) {
			for i := range x {
				x[i] *= 0.00316
			}
			white(0.000178)(x)
		}, 0.2},
		{"upside down", func(x []float64) {
			for i := range x {
				x[i] = -x[i]
			}
		}, closeFrames},
		// A small room: reflections after 1 to 40 ms, the strongest 3 dB under the direct sound.
		{"reflections", func(x []float64) {
			dry := append([]float64(nil), x...)
			for k := 1; k <= 40; k++ {
				gain := 0.7 * math.Exp(-float64(k-1)/12) * (1 - 2*float64(k%2))
				d := k*48 + (k*k*7)%41
				for i := d; i < len(x); i++ {
					x[i] += gain * dry[i-d]
				}
			}
		}, 1},
		{"clipped at a quarter", func(x []float64) {
			for i := range x {
				x[i] = min(max(4*x[i], -0.25), 0.25)
			}
		}, 0.5},
		// A harmonica's draw chord rings on while it is measured: three notes with eight harmonics
		// falling by 3 dB, 10 dB louder together than the bursts.
		{"a chord played on top", func(x []float64) {
			for i := range x {
				for _, f := range []float64{392, 493.9, 587.3} {
					for h := 1.0; h <= 8; h++ {
						x[i] += 0.25 * math.Pow(10, -3*(h-1)/20) * math.Sin(2*math.Pi*f*h*float64(i)/rate+h*h)
					}
				}
			}
		}, 1},
		// The laptop loudspeaker that has nothing under 1 kHz, a first-order slope.
		{"thin loudspeaker", func(x []float64) {
			a, last, y := math.Exp(-2*math.Pi*1000/rate), 0.0, 0.0
			for i, v := range x {
				y = a * (y + v - last)
				last, x[i] = v, y
			}
		}, 3}, // its own phase is part of the delay: 1/(2 pi 1 kHz) of lead at 1 kHz, 8 frames, fading upward
		{"one burst drowned in a door's bang", func(x []float64) {
			for i := range rate / 4 {
				x[3456+start(places[1], rate)-rate/20+i] += 0.9 * r.NormFloat64()
			}
		}, 0.2},
		{"lost frames filled with zeros", func(x []float64) { clear(x[start(places[2], rate) : start(places[2], rate)+9000]) }, 0.2},
	} {
		t.Run(c.name, func(t *testing.T) {
			x := room(Signal(rate), delay, rate)
			c.spoil(x)
			got, err := Find(samples(x), rate)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(got.Frames-delay) > c.far {
				t.Errorf("Find = %+v, want %v +-%v frames", got, delay, c.far)
			}
		})
	}
}

func TestFindRefuses(t *testing.T) {
	const rate = 48000
	n := Frames(Signal(rate), rate)
	r := rand.New(rand.NewPCG(3, 5))
	// Syllables: noise through two resonances whose pitch and loudness move four times a second.
	speech := func() []float64 {
		x := make([]float64, n)
		var a, b [2]float64
		f1, f2, loud := 500.0, 1500.0, 0.0
		for i := range x {
			if i%(rate/4) == 0 {
				f1, f2, loud = 300+600*r.Float64(), 900+1600*r.Float64(), r.Float64()
			}
			pulse := 0.02 * r.NormFloat64()
			if i%(rate/120) == 0 {
				pulse += 1
			}
			for k, f := range []float64{f1, f2} {
				const radius = 0.99
				y := pulse + 2*radius*math.Cos(2*math.Pi*f/rate)*a[k] - radius*radius*b[k]
				b[k], a[k] = a[k], y
				x[i] += 0.02 * loud * y
			}
		}
		return x
	}
	scattered := make([]float64, n)
	for k, ms := range []float64{60, 130, 70, 160, 100} {
		one := heard(burst(rate), ms/1000*rate, rate/2)
		for i, v := range one {
			scattered[start(places[k], rate)+i] += v
		}
	}
	noise := make([]float64, n)
	for i := range noise {
		noise[i] = 0.2 * r.NormFloat64()
	}
	for _, c := range []struct {
		name string
		in   []float64
		want error
	}{
		{"nothing", nil, ErrQuiet},
		{"silence", make([]float64, n), ErrQuiet},
		{"noise", noise, ErrQuiet},
		{"speech", speech(), ErrQuiet},
		{"later than the window", room(Signal(rate), 0.9*rate, rate), ErrScattered},
		{"two bursts only", room(Check(rate), 2000, rate), ErrQuiet},
		{"every burst elsewhere", scattered, ErrScattered},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got, err := Find(samples(c.in), rate); !errors.Is(err, c.want) {
				t.Errorf("Find = %+v, %v, want %v", got, err, c.want)
			}
		})
	}
}

func TestSignal(t *testing.T) {
	const rate = 48000
	x := Signal(rate)
	peak := 0.0
	for _, v := range x {
		peak = max(peak, math.Abs(float64(v)))
	}
	if db := 20 * math.Log10(peak); math.Abs(db+12) > 0.1 {
		t.Errorf("peak = %.2f dBFS, want -12", db)
	}
	for i := 1; i < len(places); i++ {
		gap := places[i] - places[i-1]
		if gap <= windowBefore+windowAfter {
			t.Errorf("burst %d follows after %v s, within the window of the one before", i, gap)
		}
		for j := 1; j < i; j++ {
			if math.Abs(gap-(places[j]-places[j-1])) < 0.01 {
				t.Errorf("bursts %d and %d stand equally far from their neighbours", i, j)
			}
		}
	}
	// The frequency at a burst's middle, by zero crossings over 4 ms: (500+6000)/2 Hz.
	b := burst(rate)
	m, crossings := len(b)/2, 0
	for i := m - 96; i < m+96; i++ {
		if b[i] < 0 != (b[i+1] < 0) {
			crossings++
		}
	}
	if hz := float64(crossings) / 2 / 0.004; math.Abs(hz-3250) > 130 {
		t.Errorf("middle of the burst = %v Hz, want 3250 +-130 (one crossing)", hz)
	}
}

func TestTap(t *testing.T) {
	const rate = 48000
	clicks := make([]int64, 8)
	for i := range clicks {
		clicks[i] = 10000 + int64(i)*36000 // 0.75 s
	}
	tap := func(ms ...float64) (heard []int64) {
		for i, m := range ms {
			if !math.IsNaN(m) {
				heard = append(heard, clicks[i]+int64(m*rate/1000))
			}
		}
		return heard
	}
	none := math.NaN()
	for _, c := range []struct {
		name   string
		heard  []int64
		ms     float64
		spread float64
		n      int
		err    error
	}{
		{"even", tap(80, 80, 80, 80, 80, 80, 80, 80), 80, 0, 8, nil},
		// Median of 60 70 75 80 80 85 90 100 is 80; distances 20 10 5 0 0 5 10 20, median 7.5.
		{"human", tap(60, 100, 75, 80, 85, 70, 90, 80), 80, 7.5, 8, nil},
		{"one missed, one slip", tap(80, none, 80, 80, 350, 80, 80, 80), 80, 0, 6, nil},
		{"ahead of the click", tap(-40, -40, -40, -40, -40, -40, -40, -40), -40, 0, 8, nil},
		{"wireless", tap(390, 400, 410, 400, 400, 390, 410, 400), 400, 5, 8, nil},
		{"four answers", tap(80, 80, 80, 80), 0, 0, 0, ErrFewTaps},
		{"none", nil, 0, 0, 0, ErrFewTaps},
		{"anywhere", tap(0, 300, 100, 420, 500, 200, 50, 350), 0, 0, 0, ErrUneven},
		{"wild", tap(20, 140, 30, 135, 80, 25, 130, 85), 0, 0, 0, ErrUneven},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := Tap(c.heard, clicks, rate)
			if !errors.Is(err, c.err) {
				t.Fatalf("Tap = %+v, %v, want error %v", got, err, c.err)
			}
			if err == nil && (math.Abs(got.Frames-c.ms*rate/1000) > 1 || math.Abs(got.Spread-c.spread) > 0.05 || got.Bursts != c.n) {
				t.Errorf("Tap = %+v, want %v ms, spread %v ms, %d taps", got, c.ms, c.spread, c.n)
			}
		})
	}
	// Two notes on one click: the first counts.
	twice := []int64{}
	for _, c := range clicks {
		twice = append(twice, c+4000, c+9000)
	}
	if got, err := Tap(twice, clicks, rate); err != nil || got.Frames != 4000 || got.Bursts != 8 {
		t.Errorf("Tap of double notes = %+v, %v, want 4000 frames, 8 taps", got, err)
	}
}

func BenchmarkFind(b *testing.B) {
	const rate = 48000
	x := samples(room(Signal(rate), 3000, rate))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Find(x, rate); err != nil {
			b.Fatal(err)
		}
	}
}
