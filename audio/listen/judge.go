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
	f := e.plain(n, m)
	tonal := 0.0
	if m.F0 > 0 {
		tonal = e.tonal(n, m)
	}
	settled := e.settle(n, m, tonal)
	f.F0 = e.smooth(n, m)
	sure := tonal
	if m.F0 > 0 {
		sure = e.early(n, m, tonal)
	}
	reed := e.reed(n, m, tonal)
	if f.F0 > 0 && (settled || reed) {
		f.Confidence = confidence(sure)
	} else if f.F0 > 0 {
		f.Confidence = doubted(sure, e.gliding)
	}
	e.segmenter.Judge(tonal, settled)
	e.remember(n, m, tonal)
	if e.chords != nil {
		e.chord(n, &f)
		return f
	}
	for _, o := range m.Others {
		if level, ok := e.lasts(n, m, o); ok {
			o.Level = level
			if f.Others[0].F0 == 0 {
				f.Others[0] = Voice(o)
			} else {
				f.Others[1] = Voice(o)
			}
		}
	}
	if e.trace != nil && f.Others[0].F0 == 0 {
		e.faint(n, m, &f)
	}
	return f
}

// plain is what the window m around frame n holds by itself.
func (e *Ear) plain(n int, m *pitch.Estimate) Frame {
	f := Frame{At: int64(n) * int64(e.hop), F0: m.F0, Brightness: m.Centroid, Level: max(Floor, dsp.DB(m.Power))}
	f.drive(e.gauge.at(n))
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
			if swapped, ok := exchange(*m, before); ok {
				*m = swapped
				return
			}
			after := e.at(i).F0
			m.F0 = before * math.Exp2(dsp.Log2(after/before)/float64(i-n+1))
			m.Share = (e.at(n-1).Share + e.at(i).Share) / 2
			m.Others = [2]pitch.Voice{}
			return
		}
	}
}

// exchange makes the other voice near hz the main one: of two about as loud, now one and now the other is found to be the louder. ok is
// false when there is none.
func exchange(p pitch.Estimate, hz float64) (swapped pitch.Estimate, ok bool) {
	for i, o := range p.Others {
		if same(o.F0, hz) {
			p.Others[i] = pitch.Voice{F0: p.F0}
			p.F0, p.Tone = o.F0, p.Tone*dsp.Power(o.Level)
			for k := range p.Others {
				p.Others[k].Level -= o.Level
			}
			return p, true
		}
	}
	return p, false
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
	stay := max(left, right) / ahead
	return stay * stay * tone(m)
}

// tone is how much of the sound the tone of m is: 0 for half of it and less, 1 for nearly all.
func tone(m *pitch.Estimate) float64 {
	return min(1, max(0, (m.Share-0.5)/0.35))
}

const (
	voiceHz = 400.0 // up to where speech has its pitch, about
	// steadyCents is how little a reed's pitch moves in 10 ms once it has settled,
	// noisyCents what noise adds to that for each unit of share it takes. Sampled
	// harmonicas move by 0.0 to 0.3 cents, with pink noise 10 dB under them by 2 (medians);
	// of a speech synthesiser's voiced frames 95 in a hundred move by more than 3.
	steadyCents, noisyCents = 1.2, 8.0
	steadySpan              = 2 // frames
	// returns is how often the pitch must come back, by a jump, to where it was two jumps
	// ago for the whole to count as settled: a warble may leave no pitch the time to
	// stand still. returnCents is how near it must come. A slow reed is left before it has come so near; then what is left
	// must be within leaveCents of what was left two jumps ago, and as far from what was left at the last as one hole is from the
	// next, from holeLeast to holeMost: a speaker's pitch comes back by chance. Between two holes a window may read an octave of
	// either, so what jumps again within changeFrames is one change. Chosen on the tuning half and on speech.
	returns             = 2
	returnCents         = 35.0
	leaveCents          = 15.0
	holeLeast, holeMost = 130.0, 600.0
	changeFrames        = 7 // 35 ms: half a note of a warble of fourteen a second
	// vibrato from the first moment on never stands still, but it swings about one place: the pitch
	// must turn round vibratoTurns times, by vibratoLeast each time, in the time of half a period of 3 to 12
	// Hz, within a range of 120 cents. A speech synthesiser's voice does so by chance in 2 % of its frames when
	// 6 cents are enough and time does not matter.
	vibratoTurns              = 5
	vibratoLeast              = 1.007 // 12 cents
	vibratoRange              = 1.0718
	vibratoQuick, vibratoSlow = 8, 34 // frames
	broken                    = 3     // frames without a tone that end a sound
	// A voice that has gone on gliding makes wary: for every glidesPer frames of it, paid off
	// by half as many of a settled tone, the pitch must stand for one frame more, up to standMost. Chosen
	// so that speech passes least while scoops and notes of a tenth of a second still settle: low sampled reeds that are
	// tongued again and again come to 64 such frames, so more than 8 must not be asked for then.
	glidesPer, standMost = 8, 20
	// Since a window may read the first formant of a voice as its pitch, from glidesWary such frames on a tone up to formantHz, as
	// high as that formant comes, must stand still too. From 12 to 56 speech passes nearly alike.
	glidesWary = 57
	formantHz  = 750.0
)

// settle looks whether the pitch around frame n stands still, and forgets that it did
// when the sound breaks off.
func (e *Ear) settle(n int, m *pitch.Estimate, tonal float64) bool {
	if tonal < 0.3 {
		if e.broken++; e.broken >= broken {
			e.settled, e.returned, e.left, e.leftBefore, e.lowest, e.standing = false, 0, 0, 0, 0, 0
		}
		return e.settled
	}
	e.broken = 0
	if from, to := e.at(n-3).F0, e.at(n+2).F0; n >= e.jumped+5 && from > 0 && to > 0 && math.Abs(dsp.Cents(to, from)) > 90 {
		e.jumped = n
		if n >= e.changed+changeFrames {
			if near(to, e.left, returnCents) || near(from, e.leftBefore, leaveCents) && hole(from, e.left) {
				e.returned++
			} else {
				e.returned, e.settled = 0, false
			}
			e.leftBefore, e.left, e.changed = e.left, from, n
		}
	}
	e.swing(m.F0)
	if e.still(n) {
		e.standing++
	} else {
		e.standing = 0
	}
	e.settled = e.settled || e.turns >= vibratoTurns || e.returned >= returns || e.standing > e.gliding/glidesPer
	high := m.F0 >= voiceHz
	if e.settled {
		e.gliding = max(0, e.gliding-2)
	} else if !high && e.glides(n) {
		e.gliding = min(e.gliding+1, glidesPer*standMost)
	}
	return e.settled || high && (m.F0 > formantHz || e.gliding < glidesWary)
}

// near says that f is within so many cents of a pitch before, if there was one.
func near(f, before, cents float64) bool {
	return before > 0 && math.Abs(dsp.Cents(f, before)) < cents
}

// hole says that two pitches are as far apart as one hole and the next.
func hole(f, g float64) bool {
	if f <= 0 || g <= 0 {
		return false
	}
	c := math.Abs(dsp.Cents(f, g))
	return c > holeLeast && c < holeMost
}

// swing counts how often the pitch, f Hz now, has turned round.
func (e *Ear) swing(f float64) {
	lo, hi := min(e.lowest, f), max(e.highest, f)
	if e.lowest == 0 || hi/lo > vibratoRange {
		e.lowest, e.highest, e.extreme, e.turns, e.rising, e.since = f, f, f, 0, false, 0
		return
	}
	e.since++
	e.lowest, e.highest = lo, hi
	switch {
	case e.rising == (f > e.extreme):
		e.extreme = f
	case max(f, e.extreme)/min(f, e.extreme) > vibratoLeast:
		if e.since < vibratoQuick || e.since > vibratoSlow {
			e.turns = 0
		}
		e.rising, e.extreme, e.since = !e.rising, f, 0
		e.turns++
	}
}

// confidence is how often a frame that sure is right when its tone has settled, as counted on the tuning half of the corpus (command
// earbench) with what is no instrument beside it, where every pitch is wrong and each frame counts twice: half a minute of speech, noise,
// hum, drums and the like to every three minutes. Straight lines between the counts. Frames under a sureness of 0.475 are right in 83 to
// 91 of 100, since what fades out has the right pitch, but there is too little of the tone to grade by: they stay under MinConfidence.
func confidence(sure float64) float64 {
	return along([][2]float64{{0, 0.69}, {0.45, 0.69}, {0.475, MinConfidence}, {0.5, 0.88}, {0.58, 0.89}, {0.65, 0.955}, {0.95, 0.972}, {1, 0.993}}, sure)
}

// doubted is the same of a frame whose tone may be somebody's who speaks, after so many frames of glides. A clear tone is right in 93 of 100 such
// frames until 48 of them have gone by, but the first syllables after a rest are among those, so it stays just under MinConfidence.
// From 129 frames of glides on there is no harmonica any more, and speech has 14000.
func doubted(sure float64, gliding int) float64 {
	plain := along([][2]float64{{0, 0.14}, {0.035, 0.28}, {0.075, 0.43}, {0.15, 0.66}, {0.25, 0.69}, {1, 0.69}}, sure)
	return plain * along([][2]float64{{0, 1}, {48, 1}, {64, 0.75}, {112, 0.65}, {136, 0.02}, {glidesPer * standMost, 0.02}}, float64(gliding))
}

// along is the height at x of the straight lines between points, which rise in x from no more than x to no less.
func along(points [][2]float64, x float64) float64 {
	for i := 1; i < len(points); i++ {
		if a, b := points[i-1], points[i]; x <= b[0] {
			return a[1] + (x-a[0])/(b[0]-a[0])*(b[1]-a[1])
		}
	}
	return points[len(points)-1][1]
}

// glides says that the pitch around frame n goes one way all the time, and no leap.
func (e *Ear) glides(n int) bool {
	up := 0
	for i := -ahead; i < ahead; i += 2 {
		from, to := e.at(n+i).F0, e.at(n+i+2).F0
		if from <= 0 || to <= 0 {
			return false
		}
		c := dsp.Cents(to, from)
		switch {
		case c > glideLeast && c < glideMost:
			up++
		case -c > glideLeast && -c < glideMost:
			up--
		}
	}
	return up == ahead || up == -ahead
}

// A glide in cents in 10 ms, four times in a row: more than noise makes of a held tone, less than a
// change of hole. Our choice.
const glideLeast, glideMost = 1.5, 60.0

// still says that from frame n on as far as is known the pitch moves by no more than a settled
// reed's does in any steadySpan frames.
func (e *Ear) still(n int) bool {
	for i := n; i <= n+ahead-steadySpan; i++ {
		m := e.at(i)
		lo, hi := m.F0, m.F0
		for j := i + 1; j <= i+steadySpan; j++ {
			f := e.at(j).F0
			lo, hi = min(lo, f), max(hi, f)
		}
		if lo <= 0 || dsp.Cents(hi, lo) > steadyCents+noisyCents*(1-m.Share) {
			return false
		}
	}
	return true
}

// late says that a voice was the main one a moment ago, before m, and is no louder than a room may still let it ring.
func (e *Ear) late(n int, m *pitch.Estimate, o pitch.Voice) bool {
	level := dsp.DB(m.Tone) + o.Level
	for _, h := range e.heard {
		if near(o.F0, h.f0, heldCents) && !near(m.F0, h.f0, heldCents) && level < h.rings(n)+ringOver {
			return true
		}
	}
	return false
}

// lasts says that voice o is there beside the same main voice in the frames within
// ahead of n, all but lastsMissing: what one window holds may be two notes one after the other. A pitch that was
// the main voice a moment ago must be steady too, and for longer, since a room lets it ring on, dying
// away and wavering, where a hole that leaks keeps its level. level is the mean of those within ahead of n, in dB.
func (e *Ear) lasts(n int, m *pitch.Estimate, o pitch.Voice) (level float64, ok bool) {
	if o.F0 <= 0 {
		return 0, false
	}
	late := e.late(n, m, o)
	from := n - ahead
	if late {
		from = n - ringBack
	}
	missing, early, ending := 0, 0, 0
	sum, count := 0.0, 0
	lo, hi := math.Inf(1), math.Inf(-1)
	var fall float64        // of the summed levels from the first four frames to the last four
	var first, last float64 // summed levels under the main voice, of the first and last four frames
	for i := from; i <= n+ahead; i++ {
		p := e.at(i)
		if !near(m.F0, p.F0, heldCents) {
			swapped, ok := exchange(*p, m.F0)
			if !ok || i < from+2 || i > n+ahead-2 {
				return 0, false // at either end two notes that follow each other would show
			}
			p = &swapped
		}
		found := false
		for _, q := range p.Others {
			if same(q.F0, o.F0) {
				found = true
				if i >= n-ahead {
					sum += q.Level
					count++
				}
				level := dsp.DB(p.Tone) + q.Level
				lo, hi = min(lo, level), max(hi, level)
				if i < from+4 {
					first += q.Level
					fall += level
				} else if i > n+ahead-4 {
					last += q.Level
					fall -= level
				}
			}
		}
		if !found {
			// At either end it must be there, as above.
			if i < from+2 {
				early++
			} else if i > n+ahead-2 {
				ending++
			}
			if missing++; missing > lastsMissing || late || early == 2 || ending == 2 {
				return 0, false
			}
		}
	}
	return min(0, sum/float64(max(1, count))), !late || hi-lo < leakWaver && (first-last)/4 < leakFall && fall/4 < ringFall && last/4 > ringMost
}

const (
	// heldCents is how far a main voice may move and still be the same, as in package pitch's Trace.
	heldCents = 80.0
	// lastsMissing is how many frames of nine may lack the voice: in noise it comes and goes. Chosen on the tuning half:
	// with 4 it is claimed in 0.8 % of frames of single notes in pink noise.
	lastsMissing = 3
	// leakWaver is how far, in dB, a leak's level may move in 60 ms, leakFall how far it may fall in 45 more than the main voice does,
	// ringFall how far at all: a
	// room that lets 60 dB die in 1.5 s takes 1.8, one that does it in 0.5 s 5.4.
	leakWaver, leakFall, ringFall = 3.0, 0.6, 1.0
	// ringMost is the level in dB under which what rings is not told from what leaks. Our choice.
	ringMost = -24.0
	// ringBack is how many frames back a voice that may ring must have been steady: 40 ms.
	ringBack = 8
	// ringDies is by how many dB in a frame a room that lets 60 dB die in 1.5 s lets a voice die, so what is ringOver louder than
	// that is heard anew. Our choice.
	ringDies, ringOver = 0.2, 4.5
)

// sureEnough is how sure a frame must be for its pitch to be remembered. Our choice.
const sureEnough = 0.5

// remembered is a main voice of late.
type remembered struct {
	f0    float64 // Hz
	last  int     // the last frame it was the main voice
	level float64 // dBFS then, or what a room may have let ring of it before
}

// rings is the most, in dBFS, that a room lets ring of h in frame n.
func (h remembered) rings(n int) float64 { return h.level - ringDies*float64(n-h.last) }

func (e *Ear) remember(n int, m *pitch.Estimate, tonal float64) {
	if tonal < sureEnough {
		return
	}
	level := dsp.DB(m.Tone)
	oldest := 0
	for i := range e.heard {
		h := &e.heard[i]
		if near(m.F0, h.f0, heldCents) {
			*h = remembered{m.F0, n, max(level, h.rings(n))}
			return
		}
		if h.last < e.heard[oldest].last {
			oldest = i
		}
	}
	e.heard[oldest] = remembered{m.F0, n, level}
}
