package onset

import (
	"reedwell/audio/internal/dsp"
)

// Our choices: the noise is looked at in bands of 200 Hz up to where lines are followed; every 10 ms, as windows are 12.5 ms long; and told
// from the mean of five looks in three bands, which strays by 1.5 dB.
const (
	noiseBands = 25
	noiseStep  = 200.0 // Hz
	noiseEvery = 2     // frames
	noiseLooks = 5
	// noiseRise is how fast, in dB a frame, it may be found louder than before: 4 dB a second. A room's tail is no noise. Our choice.
	noiseRise = 0.02
)

// noise is how loud, by frequency, what sounds when no note does is in a window of shortWindow samples.
type noise struct {
	window []float64
	db     [noiseBands]float64
	sums   [noiseBands]float64
	looks  int
	known  bool
}

// listen looks at frame n, in which no note is open.
func (v *noise) listen(ring *dsp.Ring, rate float64, n int) {
	if n%noiseEvery != 0 {
		return
	}
	x := ring.Window(n*FrameHop-len(v.window)/2, len(v.window))
	var f, power [noiseBands]float64
	for b := range f {
		f[b] = (float64(b) + 0.5) * noiseStep / rate
	}
	powers(power[:], f[:], x, v.window)
	for b, p := range power {
		v.sums[b] += p
	}
	if v.looks++; v.looks < noiseLooks {
		return
	}
	for b, sum := range v.sums {
		around := sum + v.sums[max(b-1, 0)] + v.sums[min(b+1, noiseBands-1)]
		db := max(floorDB, dsp.DB(around/(3*noiseLooks)))
		if v.known {
			db = min(db, v.db[b]+noiseRise*noiseEvery*noiseLooks)
		}
		v.db[b] = db
	}
	v.known = true
	v.rest()
}

// rest forgets the looks that are too few yet.
func (v *noise) rest() { v.sums, v.looks = [noiseBands]float64{}, 0 }

// at is the level at hz; floorDB as long as it is not known.
func (v *noise) at(hz float64) float64 {
	if !v.known {
		return floorDB
	}
	u := min(max(hz/noiseStep-0.5, 0), noiseBands-1)
	i := min(int(u), noiseBands-2)
	return v.db[i] + (u-float64(i))*(v.db[i+1]-v.db[i])
}
