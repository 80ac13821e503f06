package stage

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"reedwell/audio/synth"
	"reedwell/levels/band"
	"reedwell/levels/drill"
	"reedwell/levels/player"
)

// counted is a drill's backing and the frames of its count-in.
func counted(t *testing.T, id string, rate int) (drill.Drill, []float32, []int) {
	t.Helper()
	d, err := drill.Build(drill.Spec{ID: id})
	if err != nil {
		t.Fatal(err)
	}
	var clicks []int
	for k := range 4 { // one bar of four, as every drill is counted in
		clicks = append(clicks, int(math.Round(float64(k)*60/d.Tempo*float64(rate))))
	}
	return d, band.Render(d, rate), clicks
}

// room is what a microphone takes up: the sound late by so many frames at a gain, the room's
// echo and noise behind it.
type room struct {
	late   int
	gain   float64
	echo   float64 // energy of the echo in dB relative to the direct sound; 0 none
	noise  float64 // dBFS RMS; 0 none
	player []float32
}

func (r room) take(played []float32, zero, rate int) []float32 {
	random := rand.New(rand.NewPCG(uint64(r.late+1e6), 5))
	x := make([]float32, len(played)+2*zero)
	echo := []float64{1}
	if r.echo != 0 {
		// Noise that decays by 60 dB in half a second, a furnished room (common practice, no source).
		sum := 0.0
		for i := 1; i < rate/4; i++ {
			v := random.NormFloat64() * math.Pow(10, -3*float64(i)/(0.5*float64(rate)))
			echo = append(echo, v)
			sum += v * v
		}
		for i := range echo[1:] {
			echo[i+1] *= math.Sqrt(math.Pow(10, r.echo/10) / sum)
		}
	}
	for i, v := range played[:min(len(played), 6*rate)] {
		if v == 0 {
			continue
		}
		for k, e := range echo {
			if at := zero + i + r.late + k; at >= 0 && at < len(x) {
				x[at] += float32(r.gain * e * float64(v))
			}
		}
	}
	for i := range x {
		if r.noise != 0 {
			x[i] += float32(math.Pow(10, r.noise/20) * random.NormFloat64())
		}
		if k := i - zero - r.late; k >= 0 && k < len(r.player) {
			x[i] += r.player[k]
		}
	}
	return x
}

func TestFindClicks(t *testing.T) {
	for _, rate := range []int{16000, 44100, 96000} {
		zero := rate * 72 / 1000
		_, played, clicks := counted(t, "turnaround-1", rate)
		played = played[:5*rate]
		for _, c := range []struct {
			name string
			room room
		}{
			{"as expected", room{gain: 0.1}},
			{"20 ms late", room{late: rate / 50, gain: 0.1}},
			{"30 ms early", room{late: -rate * 30 / 1000, gain: 0.1}},
			{"59 ms late", room{late: rate * 59 / 1000, gain: 0.1}},
			{"upside down", room{late: rate / 100, gain: -0.1}},
			{"faint in noise", room{late: rate / 100, gain: 0.01, noise: -60}},
		} {
			got, gain, ok := findClicks(c.room.take(played, zero, rate), played, zero, clicks, rate)
			// 0.2 ms: a click is loudest within its first millisecond; the noise moves its place.
			if !ok || math.Abs(float64(got-c.room.late)) > 0.0002*float64(rate) {
				t.Errorf("rate %d, %s: found %v, %d frames late, want %d", rate, c.name, ok, got, c.room.late)
			}
			if ratio := gain / math.Abs(c.room.gain); ratio < 0.7 || ratio > 1.4 { // 3 dB
				t.Errorf("rate %d, %s: gain %.4f, want %.4f", rate, c.name, gain, c.room.gain)
			}
		}
	}
}

// In a room with as much energy in the echo as in the direct sound the clicks are still
// found where the direct sound is.
func TestFindClicksInAnEcho(t *testing.T) {
	const rate = 16000
	zero := rate * 72 / 1000
	_, played, clicks := counted(t, "turnaround-1", rate)
	r := room{late: 240, gain: 0.1, echo: -3, noise: -70}
	got, _, ok := findClicks(r.take(played[:5*rate], zero, rate), played[:5*rate], zero, clicks, rate)
	if !ok || math.Abs(float64(got-r.late)) > 0.001*rate {
		t.Errorf("found %v, %d frames late, want %d within 1 ms", ok, got, r.late)
	}
}

// Where no click can be heard none is found, whatever else sounds.
func TestFindClicksFindsNone(t *testing.T) {
	const rate = 16000
	zero := rate * 72 / 1000
	for _, id := range []string{"turnaround-1", "turnaround-6", "warble-6", "single-1"} {
		d, played, clicks := counted(t, id, rate)
		notes := player.Notes(d, player.Faults{Scatter: 0.02, Seed: 4})
		early := synth.Render(rate, d.Seconds, notes, 9)[clicks[3]:] // plays into the count-in
		taps := make([]float32, 6*rate)                              // a foot, not quite with the clicks
		random := rand.New(rand.NewPCG(3, 3))
		for _, c := range clicks {
			synth.Mix(taps, synth.Brush(rate, 0.05, 2), c+int(0.02*rate*random.Float64()), 0)
		}
		for name, r := range map[string]room{
			"silence": {}, "noise": {noise: -30}, "playing": {player: early, noise: -60}, "taps": {player: taps, noise: -60},
			"an eighth of a second off": {late: rate / 8, gain: 0.1, noise: -60},
		} {
			if late, gain, ok := findClicks(r.take(played, zero, rate), played, zero, clicks, rate); ok {
				t.Errorf("%s, %s: clicks found %d frames late with gain %g", id, name, late, gain)
			}
		}
	}
	_, played, clicks := counted(t, "turnaround-1", rate)
	// Two of four are too few.
	x := room{gain: 0.1}.take(played, zero, rate)
	clear(x[zero+clicks[1]-zero : zero+clicks[2]+zero])
	if late, _, ok := findClicks(x, played, zero, clicks, rate); ok {
		t.Errorf("found by two clicks, %d frames late", late)
	}
	if _, _, ok := findClicks(nil, nil, 0, clicks, rate); ok {
		t.Error("found in nothing")
	}
}

// None of many noises passes for a count-in.
func TestFindClicksInManyNoises(t *testing.T) {
	const rate = 16000
	zero := rate * 72 / 1000
	_, played, clicks := counted(t, "turnaround-1", rate)
	played = played[:5*rate]
	for i := range 40 {
		x := room{late: i, noise: -30}.take(played, zero, rate)
		if _, _, ok := findClicks(x, played, zero, clicks, rate); ok {
			t.Errorf("noise %d passes for a count-in", i)
		}
	}
}

func TestDisturbs(t *testing.T) {
	for _, c := range []struct {
		gain, player float64
		known, want  bool
	}{
		{0, -20, true, false},    // headphones
		{0.1, -20, true, false},  // band at -40
		{0.2, -20, true, false},  // band at -34: taken out of the take
		{1.2, -20, true, false},  // band at -18.4
		{2, -20, true, true},     // band at -14
		{0.015, 0, false, false}, // band at -56.5, nobody heard yet
		{0.002, -50, true, false},
		{0.1, 0, false, false}, // band at -40
		{0.3, 0, false, true},  // band at -30.5
	} {
		t.Run(fmt.Sprintf("%g %g", c.gain, c.player), func(t *testing.T) {
			if got := (balance{c.gain, c.player, c.known}).disturbs(0); got != c.want {
				t.Errorf("disturbs = %v, want %v", got, c.want)
			}
		})
	}
}

// The level that bandLevel states, over all drills with chords.
func TestBandLevel(t *testing.T) {
	const rate = 16000
	for _, s := range drill.List() {
		if s.Family != drill.Turnaround {
			continue
		}
		d, x, _ := counted(t, s.ID, rate)
		sum, form := 0.0, x[int(d.Time(0)*rate):]
		for _, v := range form {
			sum += float64(v) * float64(v)
		}
		if db := 10 * math.Log10(sum/float64(len(form))); db > bandLevel || db < bandLevel-2 {
			t.Errorf("%s: the band has %.1f dBFS, want %g or up to 2 dB less", s.ID, db, bandLevel)
		}
	}
}
