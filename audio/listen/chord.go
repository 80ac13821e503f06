package listen

import (
	"math"

	"reedwell/audio/internal/dsp"
	"reedwell/audio/pitch"
)

// A chords hears voices that sound together, when the spans ask for octaves or chords: in windows twice as long, of
// 85 ms, which end with the last sample known when the frame is given, so without further delay.
type chords struct {
	detector *pitch.Detector
	binHz    float64              // of the short windows
	window   [kept]pitch.Estimate // around the frames, 1.3 ms early
	drift    [kept]drift
	// short are the powers of the ear's own windows around the frames from nowBack before the one judged to ahead
	// after it: they tell two voices together from two that follow each other within a long window.
	short  [nowBack + ahead + 1][]float64
	since  int        // frames in a row whose window has one voice, or its octave too
	held   int        // frames in a row whose window has one voice, or its octave too, of one pitch
	apart  [kept]bool // the even lines' pitch is not the odd ones', see apartCents
	run    int        // frames in a row whose drift asks for an octave
	proven bool       // driftProven did
	told   int        // the last frame whose evidence asked for an octave
}

func newChords(rate, low, high float64) *chords {
	c := &chords{detector: pitch.NewLong(rate, low, high), binHz: rate / pitch.Size}
	for i := range c.short {
		c.short[i] = make([]float64, pitch.Size/2+1)
	}
	return c
}

// drift is how far the even and the odd lines of a voice have turned since driftLong, driftLag or driftShort frames before, see
// pitch.Locks.Drift; even is negative where that is not known.
type drift struct {
	even, odd float64
	odds      int // locks that odd is the mean of
}

// asksChords says that the spans name reeds farther from them than any neighbouring hole's.
func asksChords(spans []Span) bool {
	for _, s := range spans {
		for _, b := range s.Beside {
			if b > s.High*neighbour || b < s.Low/neighbour {
				return true
			}
		}
	}
	return false
}

const (
	// neighbour is farther than the next hole of any breath: five semitones and a half.
	neighbour = 1.374
	// togetherFrames of the windows up to a frame's must hold a voice, all but togetherMissing of them. Our choice.
	togetherFrames, togetherMissing = 9, 2
	// sameCents is how near pitches lie that are one voice's: as package pitch looks for them.
	sameCents = 60.0
	// chordDB is how far apart in dB voices of a chord may lie unless they are neighbours, which may leak: farther off,
	// what is quieter is hum. Our choice.
	chordDB = 20.0
	// driftLong, driftLag or, early in a note, driftShort are the frames over which drift is measured: an octave 0.5 cents out of tune at 130 Hz
	// turns its second line by 0.1 rad in 100 ms.
	driftLong, driftLag, driftShort = 40, 20, 10
	// driftFrames is how many drifts are added up, driftLeast how many at least.
	driftFrames, driftLeast = 10, 5
	// Chosen on the tuning half of the corpus: driftNoise, in radians, is added to the drift of the odd lines. The even ones must drift by driftOver times that.
	driftNoise, driftOver = 0.05, 3.1
	// standsOver is enough where the even lines stand over the odd ones by standsDB.
	standsDB, standsOver = 2.5, 1.9
	// driftRun: so many frames in a row must ask for an octave: in a room single ones do by chance.
	driftRun = 5
	// driftHold: for so many frames an octave once told stays, since beats come and go; for provenHold once
	// driftProven frames in a row have asked for it.
	driftHold, provenHold, driftProven = 40, 120, 12
	// nowLines of a voice are asked, nowClear bins from the other's, nowBack frames back, and by swingDB their levels
	// may change: a room that lets 60 dB die in half a second takes 7 dB in that time.
	nowLines, nowClear, nowBack, swingDB = 6, 2.0, 8, 6.0
	// octaveLeast is the lowest level given, in dB, of an octave that only its beats tell of: one window says little of
	// it, and much less would not beat so.
	octaveLeast = -12.0
	// driftCents: the pitch may move by so much from window to window, and driftDB the level over the lag, or the attack
	// is still going on, whose lines come up one after the other; so many windows of it are passed over.
	driftCents, driftDB, driftRise = 2.5, 3.0, 6
	// driftBuild is as many for driftLong, over which a room that still fills shows more.
	driftBuild = 20
	// An octave that is wider or narrower than apartCents pulls the pitch of the even lines off; apartLeast of the last
	// apartFrames windows must show it, none more than apartDB under the loudest of them, nor within apartRise
	// of the attack, in which the lines of one reed do not rise alike, nor one whose pitch is apartMoves cents away, as in a
	// bend. Chosen on the tuning half.
	apartCents, apartFrames, apartLeast, apartDB = 4.0, 16, 10, 6.0
	apartRise, apartMoves                        = 18, 15.0
	// driftFew is by what driftOver is raised where there are no two odd locks to compare with.
	driftFew = 1.7
)

// at is the long window of frame n; an empty one before the start.
func (c *chords) at(n int, none *pitch.Estimate) *pitch.Estimate {
	if n < 0 {
		return none
	}
	return &c.window[n%kept]
}

func same(a, b float64) bool {
	return a > 0 && b > 0 && math.Abs(dsp.Cents(a, b)) < sameCents
}

// holds says that a window holds a voice near hz.
func holds(p *pitch.Estimate, hz float64) bool {
	return same(p.F0, hz) || same(p.Others[0].F0, hz) || same(p.Others[1].F0, hz)
}

// chord gives frame n its other voices.
func (e *Ear) chord(n int, f *Frame) {
	c := e.chords
	p := c.at(n, &e.none)
	c.beat(n)
	if p.F0 == 0 || f.F0 == 0 {
		return
	}
	voices := [3]Voice{{F0: p.F0}}
	count := 1
	for _, o := range p.Others {
		if o.F0 > 0 && (math.Abs(o.Level) < chordDB || max(o.F0/p.F0, p.F0/o.F0) < neighbour) && e.together(n, o.F0) && e.together(n, p.F0) && c.now(n, p, o) {
			voices[count] = Voice(o)
			count++
		}
	}
	if count == 1 && c.told > 0 && (c.proven && n-c.told < provenHold || n-c.told < driftHold) && e.octaveOver(p.F0) {
		voices[count] = Voice{F0: 2 * p.F0, Level: max(octaveLeast, p.Locks.Above)}
		count++
	}
	if count == 1 {
		return
	}
	// The frame's own pitch is the main voice when it is one of them.
	main := 0
	for i, v := range voices[:count] {
		if same(v.F0, f.F0) {
			main = i
		}
	}
	if !same(voices[main].F0, f.F0) {
		f.F0 = voices[main].F0
	}
	k := 0
	for i, v := range voices[:count] {
		if i != main {
			f.Others[k] = Voice{F0: v.F0, Level: v.Level - voices[main].Level}
			k++
		}
	}
	if f.Others[1].F0 > 0 && f.Others[1].Level > f.Others[0].Level {
		f.Others[0], f.Others[1] = f.Others[1], f.Others[0]
	}
}

// together says that the voice near hz has been there in the long windows up to frame n.
func (e *Ear) together(n int, hz float64) bool {
	c := e.chords
	missing := 0
	for i := n - togetherFrames + 1; i <= n; i++ {
		if !holds(c.at(i, &e.none), hz) {
			missing++
		}
	}
	return missing <= togetherMissing
}

// now says that o and the main voice of the long window p sound at the same time: in the short windows across it
// the lines of each that are clear of the other's keep their levels, where those of notes that follow each other
// change places and what a room lets ring falls.
func (c *chords) now(n int, p *pitch.Estimate, o pitch.Voice) bool {
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := n - nowBack; i <= n+ahead; i += 4 {
		pow := c.short[(i+len(c.short))%len(c.short)]
		its, main := c.clearPower(pow, o.F0, p.F0), c.clearPower(pow, p.F0, o.F0)
		if its == 0 || main == 0 {
			return true // an octave: it has no clear lines
		}
		d := dsp.DB(its) - dsp.DB(main)
		lo, hi = min(lo, d), max(hi, d)
	}
	return hi-lo < swingDB
}

// clearPower sums the power at the lines of one voice that are clear of the other's.
func (c *chords) clearPower(pow []float64, of, beside float64) float64 {
	total := 0.0
	for k := 1.0; k <= nowLines; k++ {
		nu := k * of / c.binHz
		b := int(nu + 0.5)
		if b+1 >= len(pow) {
			break
		}
		if j := math.Floor(nu*c.binHz/beside + 0.5); j < 1 || math.Abs(nu-j*beside/c.binHz) > nowClear {
			total += max(pow[b], max(pow[b-1], pow[b+1]))
		}
	}
	return total
}

// octaveOver says that the spans name the octave over hz.
func (e *Ear) octaveOver(hz float64) bool {
	for _, b := range e.beside(hz) {
		if same(b, 2*hz) {
			return true
		}
	}
	return false
}

// loudest is the highest power of the apartFrames windows up to frame n's.
func (c *chords) loudest(n int) float64 {
	p := 0.0
	for i := range min(apartFrames, n+1) {
		p = max(p, c.window[(n-i)%kept].Power)
	}
	return p
}

// beat looks whether the even lines drift against the odd ones.
func (c *chords) beat(n int) {
	p := &c.window[n%kept]
	before := &c.window[(n+kept-1)%kept]
	octave := same(p.Others[0].F0, 2*p.F0) && p.Others[1].F0 == 0
	switch {
	case p.F0 == 0 || p.Others[0].F0 > 0 && !octave || n > 0 && !same(p.F0, before.F0):
		c.held, c.told, c.proven, c.since = 0, 0, false, 0
	case n > 0 && math.Abs(dsp.Cents(p.F0, before.F0)) > driftCents:
		c.held = 0
	default:
		c.held++
	}
	c.since++
	d := drift{even: -1, odd: -1}
	lag := 0
	switch {
	case c.held > driftLong+driftBuild:
		lag = driftLong
	case c.held > driftLag+driftRise:
		lag = driftLag
	case c.held > driftShort+driftRise:
		lag = driftShort
	}
	if lag > 0 {
		if q := &c.window[(n-lag)%kept]; math.Abs(dsp.DB(p.Power)-dsp.DB(q.Power)) < driftDB {
			d.even, d.odd, d.odds = p.Locks.Drift(&q.Locks)
		}
	}
	c.drift[n%kept] = d
	off := p.Locks.Apart
	if octave && p.Others[0].Level > octaveLeast {
		off = dsp.Cents(p.Others[0].F0, 2*p.F0)
	}
	c.apart[n%kept] = c.since > apartRise && math.Abs(off) > apartCents && p.Power > c.loudest(n)*dsp.Power(-apartDB)
	wide := 0
	for i := range min(apartFrames, n+1) {
		if c.apart[(n-i)%kept] && math.Abs(dsp.Cents(c.window[(n-i)%kept].F0, p.F0)) < apartMoves {
			wide++
		}
	}
	if wide >= apartLeast {
		c.told = n
	}
	var even, odd float64
	count := 0
	for i := range min(driftFrames, c.held) {
		if d := c.drift[(n-i)%kept]; d.even >= 0 && d.odd >= 0 {
			even += d.even
			odd += d.odd
			count++
		}
	}
	over := driftOver
	if p.Locks.Stands > standsDB {
		over = standsOver
	}
	if d.odds < 2 {
		over *= driftFew
	}
	if count >= driftLeast && even > over*(driftNoise*float64(count)+odd) {
		if c.run++; c.run >= driftRun {
			c.told = n
			c.proven = c.proven || c.run >= driftProven
		}
	} else {
		c.run = 0
	}
}
