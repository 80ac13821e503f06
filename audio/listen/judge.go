package listen

import (
	"math"

	"reedwell/audio/internal/dsp"
	"reedwell/audio/pitch"
)

// at is the measured frame n; an empty one before the start.
func (e *Ear) at(n int) *pitch.Estimate {
	if n < 0 || n < e.count-kept || n >= e.count {
		return &e.none
	}
	return &e.measured[n%kept]
}

// judge makes the frame n, knowing those up to n+ahead, and tells the segmenter.
func (e *Ear) judge(n int) Frame {
	e.repair(n)
	m := e.at(n)
	f := Frame{At: int64(n) * int64(e.hop), F0: m.F0, Brightness: m.Centroid,
		Level: math.Max(Floor, dsp.DB(m.Power))}
	tonal := 0.0
	if m.F0 > 0 {
		tonal = e.tonal(n, m)
	}
	settled := e.settle(n, m, tonal)
	f.F0 = e.smooth(n, m)
	f.Confidence = tonal
	if !settled {
		f.Confidence *= unsettled
	}
	e.segmenter.Judge(tonal, settled)
	e.remember(n, m, tonal)
	for _, o := range m.Others {
		if o.F0 > 0 && e.lasts(n, m, o) {
			if f.Others[0].F0 == 0 {
				f.Others[0] = Voice(o)
			} else {
				f.Others[1] = Voice(o)
			}
		}
	}
	return f
}

// repair puts right a frame whose pitch jumps away from one that holds before it and is
// back within 15 ms: no reed does that, but in noise a strong harmonic may be read as
// the pitch for a frame or two.
func (e *Ear) repair(n int) {
	m, before := e.at(n), e.at(n-1).F0
	near := func(i int) bool {
		f := e.at(i).F0
		return f > 0 && math.Abs(dsp.Cents(f, before)) < 50
	}
	if before <= 0 || near(n) || !near(n-2) || !near(n-3) {
		return
	}
	for i := n + 1; i < n+ahead; i++ {
		if near(i) && near(i+1) {
			after := e.at(i).F0
			m.F0 = before * math.Exp2(dsp.Log2(after/before)/float64(i-n+1))
			m.Share = (e.at(n-1).Share + e.at(i).Share) / 2
			m.Others = [2]pitch.Voice{}
			return
		}
	}
}

const (
	// smoothCents, smoothNoisy: how far the pitches around a frame may lie from its own to be
	// averaged with it, at a share of 1 and more for each unit less. Vibrato of 10
	// cents and any glide lie outside and are left as they are.
	smoothCents, smoothNoisy = 0.7, 60.0
)

// smooth is the pitch of frame n, averaged with those around it where they differ by
// no more than noise makes them. The windows overlap, so this doubles the time
// listened to and halves the error rather than taking the root of nine.
func (e *Ear) smooth(n int, m *pitch.Estimate) float64 {
	limit := smoothCents + smoothNoisy*(1-m.Share)
	sum, weights := 0.0, 0.0
	for i := -ahead; i <= ahead; i++ {
		f := e.at(n + i).F0
		if f <= 0 {
			return m.F0
		}
		c := dsp.Cents(f, m.F0)
		if math.Abs(c) > limit {
			return m.F0
		}
		w := float64(ahead + 1)
		if i < 0 {
			w += float64(i) / 2
		} else {
			w -= float64(i) / 2
		}
		sum += w * c
		weights += w
	}
	return m.F0 * math.Exp2(sum/weights/1200)
}

// tonal is how sure it is that frame n holds the tone found: how much of the sound the tone is,
// and whether its pitch is the same on one side at least.
func (e *Ear) tonal(n int, m *pitch.Estimate) float64 {
	var left, right float64
	for i := 1; i <= ahead; i++ {
		if o := e.at(n - i).F0; o > 0 && math.Abs(dsp.Cents(o, m.F0)) < 30+20*float64(i) {
			left++
		}
		if o := e.at(n + i).F0; o > 0 && math.Abs(dsp.Cents(o, m.F0)) < 30+20*float64(i) {
			right++
		}
	}
	stay := math.Max(left, right) / ahead
	tone := math.Min(1, math.Max(0, (m.Share-0.5)/0.35))
	return stay * stay * tone
}

const (
	voiceHz = 400.0 // up to where speech has its pitch, about
	// steadyCents is how little a reed's pitch moves in 10 ms once it has settled,
	// noisyCents what noise adds to that for each unit of share it takes. Sampled
	// harmonicas move by 0.0 to 0.3 cents, with pink noise 10 dB under them by 2 (medians);
	// of a speech synthesiser's voiced frames 95 in a hundred move by more than 3.
	steadyCents, noisyCents = 1.2, 8.0
	steadySpan              = 2 // frames
	// unsettled is the confidence of a clean tone in the voice's range before its pitch has
	// stood still once since the sound began: a scoop, or somebody who speaks.
	unsettled = 0.45
	// returns is how often the pitch must come back, by a jump, to where it was two jumps
	// ago for the whole to count as settled: a warble may leave no pitch the time to
	// stand still. returnCents is how near it must come.
	returns     = 2
	returnCents = 35.0
	// vibrato from the first moment on never stands still, but it stays where it is: for
	// vibratoRun frames, 0.2 s, within a range of 120 cents.
	vibratoRun   = 40
	vibratoRange = 1.0718
	broken       = 3 // frames without a tone that end a sound
)

// settle looks whether the pitch around frame n stands still, and forgets that it did
// when the sound breaks off.
func (e *Ear) settle(n int, m *pitch.Estimate, tonal float64) bool {
	if tonal < 0.3 {
		if e.broken++; e.broken >= broken {
			e.settled, e.returned, e.left, e.long = false, 0, 0, 0
		}
		return e.settled
	}
	e.broken = 0
	if from, to := e.at(n-3).F0, e.at(n+2).F0; n >= e.jumped+5 && from > 0 && to > 0 && math.Abs(dsp.Cents(to, from)) > 90 {
		if e.left > 0 && math.Abs(dsp.Cents(to, e.left)) < returnCents {
			e.returned++
		} else {
			e.returned, e.settled = 0, false
		}
		e.left, e.jumped = from, n
	}
	if e.long == 0 || math.Max(e.highest, m.F0)/math.Min(e.lowest, m.F0) > vibratoRange {
		e.long, e.lowest, e.highest = 0, m.F0, m.F0
	}
	e.long++
	e.lowest, e.highest = math.Min(e.lowest, m.F0), math.Max(e.highest, m.F0)
	e.settled = e.settled || e.long >= vibratoRun || e.still(n) || e.returned >= returns
	return e.settled || m.F0 >= voiceHz
}

// still says that from frame n on as far as is known the pitch moves by no more than a settled
// reed's does in any steadySpan frames.
func (e *Ear) still(n int) bool {
	for i := n; i <= n+ahead-steadySpan; i++ {
		m := e.at(i)
		lo, hi := m.F0, m.F0
		for j := i + 1; j <= i+steadySpan; j++ {
			f := e.at(j).F0
			lo, hi = math.Min(lo, f), math.Max(hi, f)
		}
		if lo <= 0 || dsp.Cents(hi, lo) > steadyCents+noisyCents*(1-m.Share) {
			return false
		}
	}
	return true
}

// lasts says that voice o is there beside the same main voice in all frames within
// ahead of n: what one window holds may be two notes one after the other. A pitch that was
// the main voice a moment ago must be steady too, since a room lets it ring on, dying
// away and wavering, where a hole that leaks keeps its level.
func (e *Ear) lasts(n int, m *pitch.Estimate, o pitch.Voice) bool {
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := n - ahead; i <= n+ahead; i++ {
		p := e.at(i)
		if p.F0 == 0 || math.Abs(dsp.Cents(p.F0, m.F0)) > 80 {
			return false
		}
		found := false
		for _, q := range p.Others {
			if q.F0 > 0 && math.Abs(dsp.Cents(q.F0, o.F0)) < 60 {
				found = true
				level := dsp.DB(p.Tone) + q.Level
				lo, hi = math.Min(lo, level), math.Max(hi, level)
			}
		}
		if !found {
			return false
		}
	}
	if hi-lo < leakWaver {
		return true
	}
	for _, h := range e.heard {
		if h.f0 > 0 && n-h.last < ringFrames && math.Abs(dsp.Cents(h.f0, o.F0)) < 80 && math.Abs(dsp.Cents(h.f0, m.F0)) > 80 {
			return false
		}
	}
	return true
}

const (
	// leakWaver is how far, in dB, a leak's level may move in 40 ms: a room that lets 60 dB die in
	// 1.5 s takes 1.6.
	leakWaver = 1.0
	// ringFrames: after 2 s no room rings.
	ringFrames = 400
)

// remembered is a main voice of late.
type remembered struct {
	f0   float64 // Hz
	last int     // the last frame it was the main voice
}

func (e *Ear) remember(n int, m *pitch.Estimate, tonal float64) {
	if tonal < MinConfidence {
		return
	}
	oldest := 0
	for i := range e.heard {
		h := &e.heard[i]
		if h.f0 > 0 && math.Abs(dsp.Cents(h.f0, m.F0)) < 80 {
			h.f0, h.last = m.F0, n
			return
		}
		if h.last < e.heard[oldest].last {
			oldest = i
		}
	}
	e.heard[oldest] = remembered{m.F0, n}
}
