package listen

import (
	"math"

	"reedwell/audio/internal/dsp"
	"reedwell/audio/pitch"
)

// A chords hears voices that sound together, when the spans ask for octaves or chords: in windows twice as long, of
// 85 ms, around every longEvery-th frame, which end with the last sample known when that frame is given, so without further delay. The
// frames up to the next have the same voices as long as their own pitch is one of them or stays.
type chords struct {
	detector *pitch.Detector
	binHz    float64              // of the short windows
	window   [kept]pitch.Estimate // around every longEvery-th frame, 1.3 ms early
	drift    [kept]drift
	// short are the powers of the ear's own windows around the frames from nowBack before the one judged to ahead
	// after it: they tell two voices together from two that follow each other within a long window.
	short  [nowBack + ahead + 1][]float64
	voices [3]Voice   // those of the window last judged
	count  int        // how many they are
	pitch  float64    // the frame's own then, in Hz
	since  int        // windows in a row that have one voice, or its octave too
	held   int        // windows in a row that have one voice, or its octave too, of one pitch
	apart  [kept]bool // the even lines' pitch is not the odd ones', see apartCents
	run    int        // windows in a row whose drift asks for an octave
	proven bool       // driftProven did
	told   int        // the last window whose evidence asked for an octave, -1 for none
}

func newChords(rate, low, high float64) *chords {
	c := &chords{detector: pitch.NewLong(rate, low, high), binHz: rate / pitch.Size, told: -1}
	for i := range c.short {
		c.short[i] = make([]float64, pitch.Size/2+1)
	}
	return c
}

// drift is how far the even and the odd lines of a voice have turned since driftLong, driftLag or driftShort windows before, see
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

// longEvery is how many frames, 25 ms, lie between the middles of the long windows, which overlap by 70 in 100 then. Times of what is told from
// them are counted in windows.
const longEvery = 5

const (
	// neighbour is farther than the next hole of any breath: five semitones and a half.
	neighbour = 1.374
	// togetherWindows in a row must hold a voice. Our choice.
	togetherWindows = 3
	// sameCents is how near pitches lie that are one voice's: as package pitch looks for them.
	sameCents = 60.0
	// chordDB is how far apart in dB voices of a chord may lie unless they are neighbours, which may leak: farther off,
	// what is quieter is hum. Our choice.
	chordDB = 20.0
	// driftLong, driftLag or, early in a note, driftShort are the windows over which drift is measured: an octave 0.5 cents out of tune at 130 Hz
	// turns its second line by 0.1 rad in 100 ms.
	driftLong, driftLag, driftShort = 8, 4, 2
	// driftWindows is how many drifts are added up, driftLeast how many at least.
	driftWindows, driftLeast = 3, 2
	// Chosen on the tuning half of the corpus: driftNoise, in radians, is added to the drift of the odd lines. The even ones must drift by driftOver times that.
	driftNoise, driftOver = 0.05, 3.1
	// standsOver is enough where the even lines stand over the odd ones by standsDB.
	standsDB, standsOver = 2.5, 1.9
	// driftHold: for so many windows an octave once told stays, since beats come and go; for provenHold once
	// driftProven windows in a row have asked for it.
	driftHold, provenHold, driftProven = 8, 24, 4
	// nowLines of a voice are asked, nowClear bins from the other's, nowBack frames back, and by swingDB their levels
	// may change: a room that lets 60 dB die in half a second takes 7 dB in that time.
	nowLines, nowClear, nowBack, swingDB = 6, 2.0, 8, 6.0
	// octaveLeast is the lowest level given, in dB, of an octave that only its beats tell of: one window says little of
	// it, and much less would not beat so.
	octaveLeast = -12.0
	// driftCents: the pitch may move by so much from window to window, and driftDB the level over the lag, or the attack
	// is still going on, whose lines come up one after the other; so many windows of it are passed over.
	driftCents, driftDB, driftRise = 5.0, 3.0, 1
	// driftBuild is as many for driftLong, over which a room that still fills shows more.
	driftBuild = 4
	// An octave that is wider or narrower than apartCents pulls the pitch of the even lines off; apartWindows in a row must
	// show it, none more than apartDB under the loudest of them, nor within apartRise
	// of the attack, in which the lines of one reed do not rise alike, nor one whose pitch is apartMoves cents away, as in a
	// bend. Chosen on the tuning half.
	apartCents, apartWindows, apartDB = 4.0, 4, 6.0
	apartRise, apartMoves             = 4, 15.0
	// driftFew is by what driftOver is raised where there are no two odd locks to compare with.
	driftFew = 1.7
)

// at is the long window w; an empty one before the start.
func (c *chords) at(w int, none *pitch.Estimate) *pitch.Estimate {
	if w < 0 {
		return none
	}
	return &c.window[w%kept]
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
	if n%longEvery == 0 {
		e.gather(n)
		c.pitch = f.F0
	}
	if f.F0 == 0 || c.count < 2 {
		return
	}
	// The frame's own pitch is the main voice when it is one of them.
	main, known := 0, same(c.pitch, f.F0)
	for i, v := range c.voices[:c.count] {
		if same(v.F0, f.F0) {
			main, known = i, true
		}
	}
	if !known {
		return
	}
	if !same(c.voices[main].F0, f.F0) {
		f.F0 = c.voices[main].F0
	}
	k := 0
	for i, v := range c.voices[:c.count] {
		if i != main {
			f.Others[k] = Voice{F0: v.F0, Level: v.Level - c.voices[main].Level}
			k++
		}
	}
	if f.Others[1].F0 > 0 && f.Others[1].Level > f.Others[0].Level {
		f.Others[0], f.Others[1] = f.Others[1], f.Others[0]
	}
}

// gather finds the voices of the long window around frame n.
func (e *Ear) gather(n int) {
	c := e.chords
	w := n / longEvery
	p := c.at(w, &e.none)
	c.beat(w)
	c.count = 0
	if p.F0 == 0 {
		return
	}
	c.voices[0], c.count = Voice{F0: p.F0}, 1
	for _, o := range p.Others {
		if o.F0 > 0 && (math.Abs(o.Level) < chordDB || max(o.F0/p.F0, p.F0/o.F0) < neighbour) && e.together(w, o.F0) && e.together(w, p.F0) && c.now(n, p, o) {
			c.voices[c.count] = Voice(o)
			c.count++
		}
	}
	if c.count == 1 && c.told >= 0 && (c.proven && w-c.told < provenHold || w-c.told < driftHold) && e.octaveOver(p.F0) {
		c.voices[1], c.count = Voice{F0: 2 * p.F0, Level: max(octaveLeast, p.Locks.Above)}, 2
	}
}

// together says that the voice near hz has been there in the long windows up to w.
func (e *Ear) together(w int, hz float64) bool {
	for i := range togetherWindows {
		if !holds(e.chords.at(w-i, &e.none), hz) {
			return false
		}
	}
	return true
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

// loudest is the highest power of the apartWindows up to w.
func (c *chords) loudest(w int) float64 {
	p := 0.0
	for i := range min(apartWindows, w+1) {
		p = max(p, c.window[(w-i)%kept].Power)
	}
	return p
}

// beat looks whether the even lines drift against the odd ones.
func (c *chords) beat(w int) {
	p := &c.window[w%kept]
	before := &c.window[(w+kept-1)%kept]
	octave := same(p.Others[0].F0, 2*p.F0) && p.Others[1].F0 == 0
	switch {
	case p.F0 == 0 || p.Others[0].F0 > 0 && !octave || w > 0 && !same(p.F0, before.F0):
		c.held, c.told, c.proven, c.since = 0, -1, false, 0
	case w > 0 && math.Abs(dsp.Cents(p.F0, before.F0)) > driftCents:
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
		if q := &c.window[(w-lag)%kept]; math.Abs(dsp.DB(p.Power)-dsp.DB(q.Power)) < driftDB {
			d.even, d.odd, d.odds = p.Locks.Drift(&q.Locks)
		}
	}
	c.drift[w%kept] = d
	off := p.Locks.Apart
	if octave && p.Others[0].Level > octaveLeast {
		off = dsp.Cents(p.Others[0].F0, 2*p.F0)
	}
	c.apart[w%kept] = c.since > apartRise && math.Abs(off) > apartCents && p.Power > c.loudest(w)*dsp.Power(-apartDB)
	wide := w+1 >= apartWindows
	for i := range min(apartWindows, w+1) {
		wide = wide && c.apart[(w-i)%kept] && math.Abs(dsp.Cents(c.window[(w-i)%kept].F0, p.F0)) < apartMoves
	}
	if wide {
		c.told = w
	}
	var even, odd float64
	count := 0
	for i := range min(driftWindows, c.held) {
		if d := c.drift[(w-i)%kept]; d.even >= 0 && d.odd >= 0 {
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
		c.run++
		c.told = w
		c.proven = c.proven || c.run >= driftProven
	} else {
		c.run = 0
	}
}
