// Package band sounds the backing of a drill: the count-in, a click, and, where the
// drill has chords, a bass that walks into the next chord, soft comping, and drums with
// brushes, all in the drill's feel: straight, shuffle with its ratio, or 12/8.
//
// In [Render] the first sample is drill time 0, the first click of the count-in; a click's
// first sample is the sample nearest to its beat. The band starts on bar 1 beat 1, follows
// the drill's chords and swing, and ends with its last bar; what is left of the
// drill's length is silence. [Loop] is the form alone, without a seam.
//
// The harmonica's register is kept clear, so that the player hears the own reeds and
// an ear that hears the backing too is not misled: the bass stays at or under
// [BassTop], the comping sounds in the octave above it with hardly any overtones,
// and nothing pitched is sustained. Clicks and drums are short and have no pitch
// a reed could be taken for. The calls of a drill, which the player answers, are the exception: they
// sound in the reed's own voice and register, while the player is silent, whatever else is left out.
//
// Rendering is pure: the same drill gives the same samples. Nothing is kept; the
// result belongs to the caller. A drill without a tempo or with an impossible length
// is the caller's bug and panics with a text that starts "band:".
package band

import (
	"fmt"
	"math"

	"reedwell/audio/synth"
	"reedwell/levels/drill"
)

// Ceiling is the highest peak of a backing in dBFS. Our choice: a demonstration can
// be mixed on top without clipping.
const Ceiling = -6.0

// Options leave parts out. The zero value sounds everything.
type Options struct {
	NoCountIn bool // the count-in is silent
	NoBeat    bool // from bar 1 on, no click on the beats; the drums stay
	NoClick   bool // from bar 1 on, no click and no drums; the count-in stays
	NoBand    bool // no bass and no comping
}

// Render sounds the backing of d: round(d.Seconds*rate) mono samples, rate in Hz.
func Render(d drill.Drill, rate int) []float32 { return RenderWith(d, rate, Options{}) }

// Gains in dB on the kit's peak of -6 dBFS. Our choice: the count-in leads, in
// the form the bass carries and the click stays under it.
const (
	countGain = -2.0
	clickGain = -20.0 // with a band
	aloneGain = -14.0 // without
	brushGain = -19.0
	rideGain  = -22.0
	kickGain  = -15.0
	bassGain  = -6.0
	compGain  = -16.0 // each tone: three of them and the bass stay under Ceiling
	softer    = -6.0  // what leads to another note
	leads     = 6.0   // the drums, where there is no click and they keep the time
)

// The bass has its roots in the octave from bassRoot, A1 (55 Hz at A4 = 440 Hz), up to G#2
// (104 Hz): low enough to leave the harmonica free, and high enough for a laptop's speaker to
// hint at. From there it walks no lower than bassLow, E1, the lowest string of a double bass.
const (
	bassLow  = 28
	bassRoot = 33
	bassHigh = bassRoot + 11
)

// BassTop is over the highest pitch of the bass in Hz, with A4 up to 450 Hz.
const BassTop = 110.0

// compLow is the lowest comping tone, D3 (147 Hz); the others lie within the octave.
const compLow = 50

// eps is a beat difference that only rounding makes.
const eps = 1e-6

// RenderWith is Render with parts left out.
func RenderWith(d drill.Drill, rate int, o Options) []float32 {
	b := newBand(d, rate, d.Seconds)
	if !o.NoCountIn {
		b.countIn()
	}
	b.form(o)
	b.calls()
	fadeEnd(b.out, rate)
	synth.Limit(rate, b.out, Ceiling)
	return b.out
}

// Loop sounds the bars of d, without the count-in, to be played round and round: the tails of
// the last bar lie over the first, and the last chord leads to the first. It has as many
// samples as the bars last, rounded; a drill without bars has none.
func Loop(d drill.Drill, rate int, o Options) []float32 {
	d.CountIn = 0
	b := newBand(d, rate, float64(d.Bars*d.BeatsPerBar)*60/d.Tempo)
	if len(b.out) == 0 {
		return b.out
	}
	b.loop = true
	b.form(o)
	// One gain throughout: a limiter would work at one end and not at the other.
	if synth.Peak(b.out) > Ceiling {
		synth.Normalise(b.out, Ceiling)
	}
	return b.out
}

func newBand(d drill.Drill, rate int, seconds float64) *band {
	if !(d.Tempo > 0) || !(d.Seconds >= 0 && d.Seconds <= 3600) || !(seconds >= 0 && seconds <= 3600) || d.CountIn < 0 || d.BeatsPerBar < 1 {
		panic(fmt.Sprintf("band: drill %q cannot be sounded: %g beats a minute, %d beats a bar, count-in of %g beats, %g s",
			d.ID, d.Tempo, d.BeatsPerBar, d.CountIn, d.Seconds))
	}
	b := &band{Drill: d, rate: rate, out: make([]float32, int(math.Round(seconds*float64(rate)))), tones: map[tone][]float32{}}
	b.end = float64(d.Bars * d.BeatsPerBar)
	if d.Bars < 1 { // no form: the click goes on to the end
		b.end = math.Floor(d.BeatAt(d.Seconds))
	}
	return b
}

// form sounds what comes after the count-in.
func (b *band) form(o Options) {
	if !o.NoClick {
		if !o.NoBeat {
			b.click()
		}
		if len(b.Chords) > 0 {
			gain := 0.0
			if o.NoBeat {
				gain = leads
			}
			b.drums(gain)
		}
	}
	if o.NoBand {
		return
	}
	last := bassRoot
	for i, c := range b.Chords {
		next := c // nobody knows what comes after the end
		if i+1 < len(b.Chords) {
			next = b.Chords[i+1]
		} else if b.loop {
			next = b.Chords[0]
		}
		last = b.bass(c, next, last)
		b.comp(c)
	}
}

// band is a backing being sounded.
type band struct {
	drill.Drill
	rate  int
	loop  bool // what goes beyond the end begins again at the beginning
	out   []float32
	end   float64 // beat on which the form is over
	tones map[tone][]float32
}

// tone is a sound of the band that comes back.
type tone struct {
	comp    bool
	midi    int
	seconds float64
}

// put mixes x in on a beat of the form.
func (b *band) put(x []float32, beat, gain float64) {
	at := int(math.Round(b.Time(beat) * float64(b.rate)))
	if b.loop {
		at %= len(b.out)
		for len(x) > len(b.out)-at {
			synth.Mix(b.out, x[:len(b.out)-at], at, gain)
			x, at = x[len(b.out)-at:], 0
		}
	}
	synth.Mix(b.out, x, at, gain)
}

// first reports whether beat is the first of a bar; a count-in is counted in bars
// that end on bar 1.
func (b *band) first(beat float64) bool { return math.Abs(b.inBar(beat)) < eps }

// inBar is the place of beat in its bar, from 0.
func (b *band) inBar(beat float64) float64 {
	n := float64(b.BeatsPerBar)
	p := beat - n*math.Floor(beat/n+eps)
	return math.Max(0, p)
}

// backbeat reports whether beat is two or four; in a bar of three, two or three.
func (b *band) backbeat(beat float64) bool {
	p := int(math.Round(b.inBar(beat)))
	return p != 0 && (b.BeatsPerBar == 3 || p%2 == 1)
}

func (b *band) countIn() {
	accent, plain := synth.Click(b.rate, true), synth.Click(b.rate, false)
	for k := 0.0; k < b.CountIn-eps; k++ {
		beat := k - b.CountIn
		if b.first(beat) {
			b.put(accent, beat, countGain)
		} else {
			b.put(plain, beat, countGain)
		}
	}
}

// click marks the beats of the form.
func (b *band) click() {
	accent, plain := synth.Click(b.rate, true), synth.Click(b.rate, false)
	gain := aloneGain
	if len(b.Chords) > 0 {
		gain = clickGain
	}
	for beat := 0.0; beat < b.end-eps; beat++ {
		if b.first(beat) {
			b.put(accent, beat, gain)
		} else {
			b.put(plain, beat, gain)
		}
	}
}

// drums are a ride cymbal in the feel, brushes on the backbeat, and a soft bass drum on one
// and three. The brush answers on the off-beat, so that the feel is heard on a small speaker too.
func (b *band) drums(gain float64) {
	parts := b.parts()
	shortest := 1.0
	for i, p := range parts {
		end := 1.0
		if i+1 < len(parts) {
			end = parts[i+1]
		}
		shortest = math.Min(shortest, end-p)
	}
	room := 0.9 * shortest * 60 / b.Tempo // seconds: one stroke is over before the next
	rings := math.Min(0.16, room)
	if b.loop {
		rings = 0.4 // a cymbal that nothing has to follow in silence
	}
	kick := synth.Kick(b.rate)
	for beat := 0.0; beat < b.end-eps; beat++ {
		seed := uint64(b.inBar(beat)) + 1 // four strokes that differ: one alone sounds like a machine
		ride, brush := synth.Ride(b.rate, rings, seed), synth.Brush(b.rate, math.Min(0.12, room), seed)
		for i, p := range parts {
			switch {
			case i == 0:
				b.put(ride, beat, gain+rideGain)
			case i < len(parts)-1:
				b.put(ride, beat+p, gain+rideGain+softer)
			default:
				b.put(ride, beat+p, gain+rideGain+softer/2)
				b.put(brush, beat+p, gain+brushGain-3)
			}
		}
		if b.backbeat(beat) {
			b.put(brush, beat, gain+brushGain)
		} else if math.Min(room, 60/b.Tempo) > 0.05 {
			b.put(kick, beat, gain+kickGain)
		}
	}
}

// offBeat is where the second eighth of a beat falls, as a share of the beat; in 12/8 the
// third.
func (b *band) offBeat() float64 {
	if b.Triplets {
		return 2.0 / 3
	}
	if !(b.Swing > 0) {
		return 0.5
	}
	return b.Swing / (1 + b.Swing)
}

// parts is where the eighths of a beat fall, as shares of the beat.
func (b *band) parts() []float64 {
	if b.Triplets {
		return []float64{0, 1.0 / 3, 2.0 / 3}
	}
	return []float64{0, b.offBeat()}
}

// straight reports whether the eighths are even.
func (b *band) straight() bool { return !b.Triplets && b.offBeat() < 0.53 }

// bass walks through the chord's tones in quarters, with the root on its first beat and on the
// first beat of each bar, and on its last beat steps into the next chord's root from a semitone
// beside it. A straight feel strikes each tone twice; a shuffle and 12/8 lead over with a short
// note. It starts near the pitch last and returns where it ended.
func (b *band) bass(c, next drill.Chord, last int) int {
	until := math.Min(c.Beat+c.Beats, b.end)
	off := b.offBeat()
	step := 0
	for beat := c.Beat; beat < until-eps; beat++ {
		if beat < -eps {
			continue
		}
		if b.first(beat) {
			step = 0
		}
		length := math.Min(1, until-beat)
		leads := until-beat <= 1+eps && step > 0
		midi := b.walk(c, next, step, leads, last)
		strike := func(midi int, at, length, gain float64) {
			b.put(b.tone(tone{midi: midi, seconds: length * 60 / b.Tempo}), at, bassGain+gain)
		}
		switch {
		case length <= off+eps:
			strike(midi, beat, 0.94*length, 0)
		case b.straight():
			strike(midi, beat, 0.94*off, 0)
			strike(midi, beat+off, 0.85*(length-off), softer/2)
		case leads || b.Triplets && step%2 == 0:
			strike(midi, beat, 0.94*off, 0)
			strike(midi, beat+off, 0.85*(length-off), softer)
		default:
			strike(midi, beat, 0.94*length, 0)
		}
		last = midi
		step++
	}
	return last
}

// walk is the bass note of a step of the bar, 0 the root, as near to last as it can be.
func (b *band) walk(c, next drill.Chord, step int, leads bool, last int) int {
	root := inRange(c.Root, bassRoot)
	if step%4 == 0 {
		return root
	}
	if leads && next.Root != c.Root {
		goal := inRange(next.Root, bassRoot)
		if last > goal && goal < bassHigh || goal == bassLow {
			return goal + 1
		}
		return goal - 1
	}
	over := 0
	if n := len(c.Tones); n > 0 {
		// Root, third, fifth, third: up and back.
		over = c.Tones[min([]int{0, 1, 2, 1}[step%4], n-1)]
	}
	if leads && step == 1 && len(c.Tones) > 2 {
		over = c.Tones[2] // a chord of two beats: root, fifth
	}
	midi := root + over
	for midi > bassHigh || midi-last > 6 && midi-12 >= bassLow {
		midi -= 12
	}
	return midi
}

// comp strikes the chord short and soft, without the root, which the bass has: on the
// backbeat, and softer before it. A shuffle leads in from the off-beat, a straight feel
// answers on the off-beat, 12/8 fills the beat.
func (b *band) comp(c drill.Chord) {
	until := math.Min(c.Beat+c.Beats, b.end)
	strike := func(at, length, gain float64) {
		if length = math.Min(length, until-at); at < -eps || length < 0.05 {
			return
		}
		for _, over := range c.Tones {
			if over%12 == 0 {
				continue
			}
			b.put(b.tone(tone{comp: true, midi: inRange(c.Root+over, compLow), seconds: length * 60 / b.Tempo}), at, compGain+gain)
		}
	}
	off := b.offBeat()
	for beat := c.Beat; beat < until-eps; beat++ {
		back := b.backbeat(beat)
		switch {
		case b.Triplets:
			if back {
				strike(beat, 0.3, 0)
			}
			strike(beat+1.0/3, 0.15, 1.3*softer) // short: three in a beat must not become one long chord
			strike(beat+2.0/3, 0.15, 1.3*softer)
		case back && b.straight():
			strike(beat, 0.4, 0)
			strike(beat+off, 0.3, softer)
		case back:
			strike(beat, 0.6, 0)
		case !b.straight():
			strike(beat+off, 0.8*(1-off), softer)
		}
	}
}

// inRange moves a pitch class into the octave from low up.
func inRange(pitch, low int) int { return low + ((pitch-low)%12+12)%12 }

func (b *band) tone(t tone) []float32 {
	if x, ok := b.tones[t]; ok {
		return x
	}
	a4 := b.Harp.A4
	if a4 == 0 {
		a4 = 440 // ISO 16
	}
	hz := a4 * math.Exp2(float64(t.midi-69)/12)
	var x []float32
	if t.comp {
		x = synth.Comp(b.rate, hz, t.seconds)
	} else {
		x = synth.Bass(b.rate, hz, t.seconds)
	}
	b.tones[t] = x
	return x
}

// fadeEnd lets nothing break off at the end of the sound.
func fadeEnd(x []float32, rate int) {
	n := min(len(x), rate/200) // 5 ms
	for i := range n {
		x[len(x)-1-i] *= float32(i) / float32(n)
	}
}
