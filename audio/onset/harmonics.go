package onset

import (
	"math"

	"reedwell/audio/internal/dsp"
)

const (
	lines     = 6  // harmonics followed; our choice
	lineSpan  = 64 // frames remembered: 0.32 s
	lineAhead = 6  // frames after the judged one that are measured: 30 ms, of the 41 that are known
	// lineRange is how far under the strongest harmonic, in dB, one may lie and still count; lineDepth
	// how far down, in dB, each is followed: under it noise makes it jump. Our choice.
	lineRange, lineDepth = 30.0, 26.0
	// A line counts down to noiseOver over the noise at its place, in dB, so that a hand which takes a tone into noise has a wide flat
	// bottom in place of the noise's own dips, and not at all if it stands by less than lineLeast over that. Chosen on the tuning half.
	noiseOver, lineLeast = 5.0, 6.0
	unheard              = 2 * floorDB // the level of a line over what is followed
	longWindow           = 240         // samples, 20 ms: tells harmonics under longUnder apart
	longUnder            = 250.0       // Hz
	lineTop              = 0.42        // cycles a sample: 5 kHz, what the resampler before passes
	// What lies more than begunBefore samples, 10 ms, before the level tells of a tone is noise, when there are begunLeast blocks of
	// it. Its harmonics are there from begunOver times the mean of it on, 5 dB, over which noise seldom comes. Our choice.
	begunBefore = 120.0
	begunLeast  = 4
	begunOver   = 3.2
)

// harmonics follows how loud each harmonic of one tone is, frame by frame. Noise and hum
// between the harmonics have no part in it, and a note that rings on in a room only where a line falls on
// one of its own; and where a room makes one harmonic dip, it seldom makes all dip at once.
type harmonics struct {
	ring        *dsp.Ring
	rate        float64
	short, long []float64                // windows
	db          [lines][lineSpan]float64 // as a short window has them
	noise       noise
	floor       [lines]float64 // dB: the noise at the newest frame's lines
	from, to    int            // frames known: from <= n < to
	level       [lineSpan]float64
	power       [lines]float64 // of the harmonics in the window last listened to
}

func newHarmonics(rate float64, ring *dsp.Ring) *harmonics {
	short := window(shortWindow)
	return &harmonics{ring: ring, rate: rate, short: short, long: window(longWindow), noise: noise{window: short}}
}

// window is a Hann window of n samples without its zeros.
func window(n int) []float64 {
	w := make([]float64, n)
	for i := range w {
		w[i] = 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(n))
	}
	return w
}

// restart forgets all and goes on at frame n.
func (h *harmonics) restart(n int) { h.from, h.to = n, n }

// window is the one that tells the harmonics of hz apart.
func (h *harmonics) window(hz float64) []float64 {
	if hz < longUnder {
		return h.long
	}
	return h.short
}

// measure takes the next frame, in which the tone's pitch is hz. The ring must hold longWindow/2
// samples more than that frame.
func (h *harmonics) measure(hz float64) {
	w := h.window(hz)
	x := h.ring.Window(h.to*FrameHop-len(w)/2, len(w))
	longer := dsp.DB(float64(len(w)) / shortWindow) // by which noise is louder in it; a tone by twice that
	count := h.listen(x, w, hz)
	for k := range lines {
		db := unheard
		if k < count {
			db = max(floorDB, dsp.DB(h.power[k])-2*longer)
		}
		h.db[k][h.to%lineSpan] = db
		h.floor[k] = h.noise.at(hz*float64(k+1)) - longer
	}
	h.to++
	h.from = max(h.from, h.to-lineSpan)
}

// begun is when, in samples, a tone of hz came up between blocks from and to, as its harmonics alone tell: most of a noise lies
// beside them. level is when its level says so, which is told where too little is known of what was before.
func (h *harmonics) begun(hz float64, from, to int, level float64) float64 {
	w := h.window(hz)
	var sums [64]float64
	first := max(from, (len(w)/2+Block-1)/Block)
	count, top := 0, 0.0
	for i := first; i <= to && count < len(sums) && i*Block+Block/2+len(w)/2 <= h.ring.Count(); i++ {
		x := h.ring.Window(i*Block+Block/2-len(w)/2, len(w))
		for _, p := range h.power[:h.listen(x, w, hz)] {
			sums[count] += p
		}
		top = max(top, sums[count])
		count++
	}
	noise, before := 0.0, 0
	for ; before < count && float64((first+before)*Block) < level-begunBefore; before++ {
		noise += sums[before]
	}
	if before < begunLeast {
		return level
	}
	noise /= float64(before)
	high := before // the first near the top
	for high < count-1 && sums[high] < top*dsp.Power(-1) {
		high++
	}
	limit := max(noise+(top-noise)*dsp.Power(-riseDB), min(noise*begunOver, top/4))
	for i := high; i > 0; i-- {
		if sums[i-1] < limit {
			u, v := dsp.DB(sums[i-1]), dsp.DB(sums[i])
			return (float64(first+i-1)+min(1, (dsp.DB(limit)-u)/max(v-u, 1e-9)))*Block + Block/2
		}
	}
	return level
}

// listen fills power for the harmonics of hz in x under the window w and returns how many there are.
func (h *harmonics) listen(x, w []float64, hz float64) int {
	var fs [lines]float64
	f := multiples(fs[:], hz/h.rate)
	powers(h.power[:], f, x, w)
	return len(f)
}

// tops are the highest levels of the harmonics in the frames from..to-1, unheard for one that was not followed in all of
// them, and the highest of all.
func (h *harmonics) tops(from, to int) (top [lines]float64, strongest float64) {
	strongest = floorDB
	for k := range lines {
		top[k] = floorDB
		for n := from; n < to; n++ {
			v := h.db[k][n%lineSpan]
			if v == unheard {
				top[k] = unheard
				break
			}
			top[k] = max(top[k], v)
		}
		strongest = max(strongest, top[k])
	}
	return top, strongest
}

// common fills level for the frames from..to-1 with the mean over the harmonics of how far each lies
// under the highest it reaches among them.
func (h *harmonics) common(from, to int) []float64 {
	level := h.level[:to-from]
	clear(level)
	top, strongest := h.tops(from, to)
	count := 0.0
	for k := range lines {
		low := max(-lineDepth, h.floor[k]+noiseOver-top[k])
		if top[k] <= floorDB || top[k] < strongest-lineRange || low > -lineLeast {
			continue
		}
		count++
		for i := range level {
			level[i] += max(low, h.db[k][(from+i)%lineSpan]-top[k])
		}
	}
	for i := range level {
		level[i] /= max(count, 1)
	}
	return level
}

// A dip is a place where a tone goes down and comes back.
type dip struct {
	bottom int     // its frame
	depth  float64 // dB under the lower of its two sides
	side   float64 // dB by which it comes back to less than it was
	fall   float64 // dB, the steepest within riseFrames on the way down
	rise   float64 // dB, the same on the way up
	width  int     // frames, at half of what it falls: what comes back but in part is down longer
	still  float64 // dB by which it still goes up at the end of what is known, within riseFrames
	known  int     // frames for which the tone was followed before the bottom
}

const (
	riseFrames = 3  // 15 ms
	dipFrames  = 24 // 120 ms: how far before the judged frame a dip is looked for
	// sideFrames, 220 ms, is how far before the judged frame what was before the dip is looked for: the slowest
	// hand that looks like a tongue, of 5 Hz, opened that long ago.
	sideFrames = 44
)

// dipBefore describes the lowest place in frames from..n-1 as it is known when frame n is judged. ok is
// false when too little is known.
func (h *harmonics) dipBefore(n, from int) (d dip, ok bool) {
	from = max(from, h.from, n-sideFrames)
	if n-from < riseFrames || h.to <= n {
		return d, false
	}
	level := h.common(from, h.to)
	low := max(0, n-dipFrames-from)
	for i := low; i < n-from; i++ {
		if level[i] <= level[low] {
			low = i
		}
	}
	before, after := -lineDepth, -lineDepth
	for i, v := range level[:low+1] {
		before = max(before, v)
		if j := i + riseFrames; j <= low {
			d.fall = max(d.fall, v-level[j])
		}
	}
	for i, v := range level[low:] {
		after = max(after, v)
		if j := low + i + riseFrames; j < len(level) {
			d.rise = max(d.rise, level[j]-v)
		}
	}
	d.bottom = from + low
	d.known = d.bottom - h.from
	d.still = level[len(level)-1] - level[len(level)-1-riseFrames]
	d.depth = min(before, after) - level[low]
	d.side = max(0, before-after)
	half := (level[low] + before) / 2
	for i := low; i >= 0 && level[i] < half; i-- {
		d.width++
	}
	for i := low + 1; i < len(level) && level[i] < half; i++ {
		d.width++
	}
	return d, true
}

// What a tongue's dip is like. Chosen on the tuning half, for one note of each hand, bend and vibrato and for repeats, dry, in a
// room, in noise and in both.
const (
	tongueDepth = 7.0 // dB
	tongueRise  = 4.5 // dB within riseFrames
	leastGap    = 3   // frames
	// Its edges are steep: rise and fallShare of the fall make tongueEdge dB at the least, shortGap more for each frame that the dip is narrower
	// than gapFrom, which a room makes too, longGap more for each that it is wider than gapTo, as a hand's is, and newTone more for each frame
	// that the tone was followed for less than oldTone before: what a tone comes up to is not known yet then.
	tongueEdge, fallShare = 10.5, 1.3
	shortGap, longGap     = 2.2, 0.6 // dB a frame
	gapFrom, gapTo        = 6, 10    // frames
	newTone               = 0.2      // dB a frame
	oldTone               = 30       // frames
	// A dip can be judged once the level is back to sideDB under what it was, or rises no more than by
	// stillShare of the steepest rise.
	sideDB     = 3.0
	stillShare = 0.7
)

// tongued says that the dip is a tongue's and not a hand's or the room's.
func (d dip) tongued() bool {
	switch {
	case d.depth < tongueDepth || d.width < leastGap || d.rise < tongueRise:
		return false
	case d.side > sideDB && d.still > stillShare*d.rise:
		return false // wait for the end of the rise
	}
	least := tongueEdge + shortGap*float64(max(0, gapFrom-d.width)) + longGap*float64(max(0, d.width-gapTo)) + newTone*float64(max(0, oldTone-d.known))
	return d.rise+fallShare*d.fall >= least
}
