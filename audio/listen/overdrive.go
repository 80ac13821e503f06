package listen

import "math"

// A gauge measures how far the input is driven, a hop at a time, before anything is done to it.
type gauge struct {
	hop, flat int // samples: of a hop, and in a row alike that are a flat top
	count     int // of the hop that is going on
	last      float64
	run       int // samples in a row alike
	peak      float64
	clipped   int
	hops      int // that are over
	kept      [kept]drive
}

// A drive is what a gauge gives for a hop.
type drive struct {
	peak    float64 // the largest amplitude, full scale 1
	clipped float64 // share of the samples at a limit
}

const (
	// limitAmp is the amplitude from which a sample stands at the converter's limit, -0.13 dB. Our choice.
	limitAmp = 0.985
	// flatSeconds is how long equal samples must go on to be a flat top, of flatAmp at the least: then something before the converter, or a level
	// turned down behind it, has cut the tops off. The top of a 125 Hz tone of that amplitude, the lowest listened for, is equal in 16 bits for less.
	flatSeconds = 125e-6
	flatLeast   = 3 // samples
	flatAmp     = 0.1
)

func newGauge(rate, hop int) gauge {
	return gauge{hop: hop, flat: max(flatLeast, int(math.Ceil(flatSeconds*float64(rate))))}
}

func (g *gauge) push(x float64) {
	amp := math.Abs(x)
	if amp > g.peak {
		g.peak = amp
	}
	if x == g.last {
		g.run++
	} else {
		g.run = 1
	}
	g.last = x
	switch {
	case amp >= limitAmp:
		g.clipped++
	case amp < flatAmp:
	case g.run == g.flat:
		g.clipped += g.flat
	case g.run > g.flat:
		g.clipped++
	}
	if g.count++; g.count == g.hop {
		// A flat top that reaches over from the hop before may count some of that.
		g.kept[g.hops%kept] = drive{g.peak, min(1, float64(g.clipped)/float64(g.hop))}
		g.hops++
		g.count, g.peak, g.clipped = 0, 0, 0
	}
}

// at is the drive of hop n, nothing if it is not over or forgotten.
func (g *gauge) at(n int) drive {
	if n < 0 || n >= g.hops || n < g.hops-kept {
		return drive{}
	}
	return g.kept[n%kept]
}

// Gauge gives the frames the Peak and Clipped of raw, the sound before something was taken out of it: what is left of a flat top
// then is not flat.
func (t Take) Gauge(raw []float32) {
	if len(t.Frames) < 2 {
		return
	}
	g := newGauge(t.Rate, int(t.Frames[1].At-t.Frames[0].At))
	for i := range t.Frames {
		for k := 0; k < g.hop; k++ {
			x := 0.0
			if n := i*g.hop + k; n < len(raw) {
				x = float64(raw[n])
			}
			g.push(x)
		}
		t.Frames[i].drive(g.at(i))
	}
}

func (f *Frame) drive(d drive) { f.Peak, f.Clipped = d.peak, d.clipped }

// Overdriven says that of frames as many samples stand at a limit that what the microphone gave is not what sounded. The pitch of one
// reed is as good as ever then, but two at once make tones that nobody plays, and a hand seems to close less. On the tuning half of
// audiotest/corpus, clean and cut off 1, 3, 6 dB under half of its sounds' peaks, octaves and chords are named whole in 92, 71, 62, 44 % of frames, the louder of two holes
// 6 dB apart in 100, 96.5, 95.3, 92.7, steady single notes in 100 throughout.
func Overdriven(frames []Frame) bool { return Clipped(frames) > maxClipped }

// Clipped is the share of the samples of frames that stand at a limit.
func Clipped(frames []Frame) float64 {
	sum := 0.0
	for _, f := range frames {
		sum += f.Clipped
	}
	return sum / float64(max(1, len(frames)))
}

// Overdriven says that what has a pitch in the take was overdriven, as a whole.
func (t Take) Overdriven() bool {
	sum, count := 0.0, 0
	for i := range t.Frames {
		if f := &t.Frames[i]; f.F0 > 0 {
			sum += f.Clipped
			count++
		}
	}
	return sum > maxClipped*float64(count)
}

// maxClipped is the share of samples at a limit from which a sound is overdriven. Our choice, see Overdriven.
const maxClipped = 0.01
