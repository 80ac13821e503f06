package listen

import (
	"math"
	"slices"

	"reedwell/audio/internal/dsp"
)

// A Wave is a vibrato or a hand that opens and closes.
type Wave struct {
	Rate float64 // Hz
	// Extent: of a vibrato, cents to either side; of a hand, dB from open to closed.
	Extent float64
}

// within are the frames of n from head seconds after its start to tail seconds before its end.
func (t Take) within(n Note, head, tail float64) []Frame {
	from := n.Start + int64(head*float64(t.Rate))
	to := n.End - int64(tail*float64(t.Rate))
	first := max(0, min(n.First, len(t.Frames)))
	fr := t.Frames[first:max(first, min(n.Last, len(t.Frames)))]
	for len(fr) > 0 && fr[0].At < from {
		fr = fr[1:]
	}
	for len(fr) > 0 && fr[len(fr)-1].At >= to {
		fr = fr[:len(fr)-1]
	}
	return fr
}

const (
	waveLow, waveHigh = 1.5, 10.0 // Hz: hands are slower than throats, nobody is quicker; our choice
	waveLeast         = 1.8       // periods that must be heard, our choice
	// windowSpread is the standard deviation in seconds of the time that one frame's pitch or level
	// speaks of, under which a wave of that length looks smaller than it is: a Hann window squared
	// over 43 ms has 0.1414 of that.
	windowSpread = 0.1414 * 0.0427
)

// Vibrato measures the movement of the pitch over the held part of n. ok is false when the
// note is too short to tell or moves by less than a cent.
func (t Take) Vibrato(n Note) (w Wave, ok bool) {
	fr := t.within(n, 0.06, 0.04)
	x := make([]float64, len(fr))
	last := 0.0
	for i, f := range fr {
		if f.F0 > 0 && math.Abs(dsp.Cents(f.F0, n.F0)) < 150 {
			last = dsp.Cents(f.F0, n.F0)
		}
		x[i] = last
	}
	w, ok = t.wave(x, fr)
	return w, ok && w.Extent >= 1
}

// Wah measures the movement of the level over the held part of n, from open to closed. ok is false when
// the note is too short to tell or moves by less than 2 dB.
func (t Take) Wah(n Note) (w Wave, ok bool) {
	fr := t.within(n, 0.06, 0.04)
	x := make([]float64, len(fr))
	for i, f := range fr {
		x[i] = f.Level
	}
	w, ok = t.wave(x, fr)
	w.Extent *= 2
	return w, ok && w.Extent >= 2
}

// wave fits a slow drift and a sine to x, one value for each of the frames fr, and returns the sine
// that takes most out of it.
func (t Take) wave(x []float64, fr []Frame) (Wave, bool) {
	if len(fr) < 20 {
		return Wave{}, false
	}
	hop := float64(fr[1].At-fr[0].At) / float64(t.Rate)
	length := float64(len(x)) * hop
	rest := newUndrifted(x)
	best, bestGain, bestAmp := 0.0, 0.0, 0.0
	try := func(rate float64) {
		if gain, amp := rest.sine(rate * hop); gain > bestGain {
			best, bestGain, bestAmp = rate, gain, amp
		}
	}
	for rate := math.Max(waveLow, waveLeast/length); rate <= waveHigh; rate += 0.25 / length {
		try(rate)
	}
	if best == 0 {
		return Wave{}, false
	}
	for step := 0.125 / length; step > 0.002; step /= 2 {
		middle := best
		try(middle - step)
		try(middle + step)
	}
	k := 2 * math.Pi * best * windowSpread
	return Wave{best, bestAmp * math.Exp(k*k/2)}, true
}

// undrifted is a row of values less the parabola that fits it best, under a Hann window, so that what begins
// and ends between two periods of a wave does not count.
type undrifted struct {
	window []float64
	sum    float64      // of the window
	drift  [3][]float64 // 1, t and t^2, orthogonal to each other under the window and of length 1 there, times the window
	rest   []float64    // the values less the parabola, times the window
}

func newUndrifted(x []float64) *undrifted {
	n := len(x)
	v := &undrifted{window: make([]float64, n), rest: slices.Clone(x)}
	for i := range v.window {
		v.window[i] = 0.5 + 0.5*math.Cos(math.Pi*(2*float64(i)/float64(n-1)-1))
		v.sum += v.window[i]
	}
	take := func(from, power, weighted []float64) {
		d := 0.0
		for i, w := range weighted {
			d += w * from[i]
		}
		for i, p := range power {
			from[i] -= d * p
		}
	}
	var powers [3][]float64
	for k := range powers { // Gram-Schmidt
		power, weighted := make([]float64, n), make([]float64, n)
		for i := range power {
			power[i] = math.Pow(2*float64(i)/float64(n-1)-1, float64(k))
		}
		for j := range k {
			take(power, powers[j], v.drift[j])
		}
		square := 0.0
		for i, p := range power {
			square += v.window[i] * p * p
		}
		for i := range power {
			power[i] /= math.Sqrt(square)
			weighted[i] = v.window[i] * power[i]
		}
		powers[k], v.drift[k] = power, weighted
		take(v.rest, power, weighted)
	}
	for i, w := range v.window {
		v.rest[i] *= w
	}
	return v
}

// sine is how much a sine of f cycles a value takes out of the sum of squares under the window, with a parabola of its own
// beside it, and its amplitude: least squares.
func (v *undrifted) sine(f float64) (gain, amp float64) {
	sin, cos := math.Sincos(2 * math.Pi * f)
	c, s := 1.0, 0.0
	var cc, cs, cx, sx float64
	var cd, sd [3]float64
	d0, d1, d2, rest := v.drift[0][:len(v.window)], v.drift[1][:len(v.window)], v.drift[2][:len(v.window)], v.rest[:len(v.window)]
	for i, w := range v.window {
		cc, cs = cc+w*c*c, cs+w*c*s
		cx, sx = cx+rest[i]*c, sx+rest[i]*s
		cd[0], sd[0] = cd[0]+d0[i]*c, sd[0]+d0[i]*s
		cd[1], sd[1] = cd[1]+d1[i]*c, sd[1]+d1[i]*s
		cd[2], sd[2] = cd[2]+d2[i]*c, sd[2]+d2[i]*s
		c, s = c*cos-s*sin, s*cos+c*sin
	}
	ss := v.sum - cc
	for k := range cd { // what a parabola can do as well
		cc -= cd[k] * cd[k]
		cs -= cd[k] * sd[k]
		ss -= sd[k] * sd[k]
	}
	det := cc*ss - cs*cs
	if !(det > 0) {
		return 0, 0
	}
	a, b := (cx*ss-sx*cs)/det, (sx*cc-cx*cs)/det
	return a*cx + b*sx, math.Hypot(a, b)
}

// held is the pitch that n comes to: the median from 0.2 s after its start on, or of its
// second half.
func (t Take) held(n Note) float64 {
	length := float64(n.End-n.Start) / float64(t.Rate)
	var v []float64
	for _, f := range t.within(n, math.Min(0.2, length/2), 0.03) {
		if f.F0 > 0 {
			v = append(v, f.F0)
		}
	}
	if len(v) == 0 {
		return n.F0
	}
	slices.Sort(v)
	return v[len(v)/2]
}

// Scoop measures by how many cents n starts under the pitch it comes to, 0 when it starts
// where it stays: the deepest point from 50 to 200 ms after its start. Before that a reed
// is still finding its pitch: sampled harmonicas start 15 to 110 cents flat by themselves.
func (t Take) Scoop(n Note) float64 {
	to := t.held(n)
	from := float64(n.Start)/float64(t.Rate) + scoopFrom
	contour := t.contour(n)
	depth := depthAt(contour, from, to)
	var last [3]float64
	count := 0
	for _, p := range contour {
		c := -dsp.Cents(p.hz, to)
		if p.at < from || c > misread {
			continue
		}
		if p.at > from-scoopFrom+scoopUntil {
			break
		}
		last[count%3] = c
		if count++; count >= 3 {
			// The middle of three: one frame may err.
			a, b, c := last[0], last[1], last[2]
			depth = math.Max(depth, math.Max(math.Min(a, b), math.Min(math.Max(a, b), c)))
		}
	}
	return depth
}

const scoopFrom, scoopUntil = 0.050, 0.200 // seconds, see Scoop

// depthAt is how many cents under hz the contour lies at a moment, by a line through what is
// within scoopLine of it: a reed that still rises there is deepest at the very first moment, which the
// middle of three frames misses. 0 without three frames to go by.
func depthAt(contour []moment, at, hz float64) float64 {
	var n, st, sc, stt, stc float64
	for _, p := range contour {
		d, c := p.at-at, -dsp.Cents(p.hz, hz)
		if math.Abs(d) > scoopLine || c > misread {
			continue
		}
		n, st, sc, stt, stc = n+1, st+d, sc+c, stt+d*d, stc+d*c
	}
	det := n*stt - st*st
	if n < 3 || det <= 0 {
		return 0
	}
	return max(0, (sc*stt-st*stc)/det)
}

// scoopLine in seconds, see depthAt: five frames in all, short against a scoop. Our choice.
const scoopLine = 0.0125

// misread is how far off its pitch, in cents, no note goes: what is farther away is read from one of its harmonics. Four semitones,
// as the deepest bend is three.
const misread = 400.0

// A moment is a pitch and the time in seconds it speaks of.
type moment struct{ at, hz float64 }

// contour is the pitch over n's frames, each at the time that its window speaks of: where the level rises
// that is later than the window's middle. For a window with a spread of s seconds, taken as a bell, the middle
// of what it holds is moved by s^2 times the slope of the logarithm of the power it holds.
func (t Take) contour(n Note) []moment {
	var out []moment
	for i := max(1, n.First-4); i < min(n.Last, len(t.Frames)-1); i++ {
		f := t.Frames[i]
		if f.F0 == 0 {
			continue
		}
		hop := float64(t.Frames[i+1].At-f.At) / float64(t.Rate)
		slope := (t.Frames[i+1].Level - t.Frames[i-1].Level) * math.Ln10 / 10 / (2 * hop)
		out = append(out, moment{float64(f.At)/float64(t.Rate) + windowSpread*windowSpread*slope, f.F0})
	}
	return out
}

// Settle is how long after its start, in seconds, the pitch of n has come to within cents of hz to
// stay, but for its last 50 ms; its whole length when it never does.
func (t Take) Settle(n Note, hz, cents float64) float64 {
	fr := t.within(n, 0, 0.05)
	off := make([]float64, len(fr)) // cents from hz
	for i, f := range fr {
		off[i] = math.Inf(1)
		if i > 0 {
			off[i] = off[i-1] // until it is known again
		}
		if c := math.Abs(dsp.Cents(f.F0, hz)); f.F0 > 0 && c < misread {
			off[i] = c
		}
	}
	off = medians(off)
	last := len(off) - 1
	for last >= 0 && off[last] <= cents {
		last--
	}
	switch {
	case last < 0:
		return 0
	case last == len(off)-1:
		return float64(n.End-n.Start) / float64(t.Rate)
	}
	// Between two frames, as far as the line between them goes.
	in := 1.0
	if !math.IsInf(off[last], 1) {
		in = (off[last] - cents) / (off[last] - off[last+1])
	}
	at := float64(fr[last].At) + in*float64(fr[last+1].At-fr[last].At)
	return (at - float64(n.Start)) / float64(t.Rate)
}

// medianFrames to either side: as long as a window, over which what noise does to one frame it does to its neighbours too.
const medianFrames = 4

// medians is the running median of x, over fewer values near both ends. What only rises or falls stays as it is.
func medians(x []float64) []float64 {
	out := make([]float64, len(x))
	for i := range x {
		k := min(i, len(x)-1-i, medianFrames)
		v := slices.Clone(x[i-k : i+k+1])
		slices.Sort(v)
		out[i] = v[k]
	}
	return out
}
