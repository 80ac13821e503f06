// Package band sounds the backing of a drill: the count-in, a click, and, where the
// drill has chords, a plucked bass, soft comping and brushes.
//
// The first sample is drill time 0, the first click of the count-in; a click's first
// sample is the sample nearest to its beat. The band starts on bar 1 beat 1, follows
// the drill's chords and swing, and ends with its last bar; what is left of the
// drill's length is silence.
//
// The harmonica's register is kept clear, so that the player hears the own reeds and
// an ear that hears the backing too is not misled: the bass stays at or under
// [BassTop], the comping sounds in the octave above it with hardly any overtones,
// and nothing pitched is sustained. Clicks and brushes are short and have no pitch
// a reed could be taken for.
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
	NoClick bool // from bar 1 on, no click and no brushes; the count-in stays
	NoBand  bool // no bass and no comping
}

// Render sounds the backing of d: round(d.Seconds*rate) mono samples, rate in Hz.
func Render(d drill.Drill, rate int) []float32 { return RenderWith(d, rate, Options{}) }

// Gains in dB on the kit's peak of -6 dBFS. Our choice: the count-in leads, in
// the form the bass carries and the click stays under it.
const (
	countGain = -2.0
	clickGain = -20.0 // with a band
	aloneGain = -14.0 // without
	brushGain = -22.0
	bassGain  = -6.0
	compGain  = -16.0 // each tone: three of them and the bass stay under Ceiling
)

// bassLow is the lowest bass note as a MIDI number, A1 (55 Hz at A4 = 440 Hz); the
// others lie within the octave, up to G#2 (104 Hz): low enough to leave the harmonica
// free, and high enough for a laptop's speaker to hint at.
const bassLow = 33

// BassTop is over the highest pitch of the bass in Hz, with A4 up to 450 Hz.
const BassTop = 110.0

// compLow is the lowest comping tone, D3 (147 Hz); the others lie within the octave.
const compLow = 50

// eps is a beat difference that only rounding makes.
const eps = 1e-6

// RenderWith is Render with parts left out.
func RenderWith(d drill.Drill, rate int, o Options) []float32 {
	if !(d.Tempo > 0) || !(d.Seconds >= 0 && d.Seconds <= 3600) || d.CountIn < 0 || d.BeatsPerBar < 1 {
		panic(fmt.Sprintf("band: drill %q cannot be sounded: %g beats a minute, %d beats a bar, count-in of %g beats, %g s",
			d.ID, d.Tempo, d.BeatsPerBar, d.CountIn, d.Seconds))
	}
	b := band{Drill: d, rate: rate, out: make([]float32, int(math.Round(d.Seconds*float64(rate)))), tones: map[tone][]float32{}}
	b.end = float64(d.Bars * d.BeatsPerBar)
	if d.Bars < 1 { // no form: the click goes on to the end
		b.end = math.Floor(d.BeatAt(d.Seconds))
	}
	b.countIn()
	if !o.NoClick {
		b.click()
	}
	if !o.NoBand {
		for _, c := range d.Chords {
			b.bass(c)
			b.comp(c)
		}
	}
	fadeEnd(b.out, rate)
	synth.Limit(rate, b.out, Ceiling)
	return b.out
}

// band is a backing being sounded.
type band struct {
	drill.Drill
	rate  int
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
	synth.Mix(b.out, x, int(math.Round(b.Time(beat)*float64(b.rate))), gain)
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

// click marks the beats of the form, and with a band brushes the eighths in its feel.
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
	if len(b.Chords) == 0 {
		return
	}
	long := b.offBeat()
	eighth := 60 / b.Tempo * math.Min(long, 1-long)
	brush := synth.Brush(b.rate, math.Min(0.12, 0.9*eighth), 1)
	for beat := 0.0; beat < b.end-eps; beat++ {
		b.put(brush, beat+long, brushGain)
		if p := int(math.Round(b.inBar(beat))); p%2 == 1 { // the backbeat
			b.put(brush, beat, brushGain+3)
		}
	}
}

// offBeat is where the second eighth of a beat falls, as a share of the beat.
func (b *band) offBeat() float64 {
	if !(b.Swing > 0) {
		return 0.5
	}
	return b.Swing / (1 + b.Swing)
}

// bass walks through the chord's tones in quarters, with the root on its first beat
// and on the first beat of each bar, and leads on with a short root before it ends.
func (b *band) bass(c drill.Chord) {
	until := math.Min(c.Beat+c.Beats, b.end)
	step := 0
	for beat := c.Beat; beat < until-eps; beat++ {
		if beat < -eps {
			continue
		}
		if b.first(beat) {
			step = 0
		}
		over := 0
		if n := len(c.Tones); n > 0 {
			// Root, third, fifth, third: up and back.
			walk := []int{0, min(1, n-1), min(2, n-1), min(1, n-1)}
			if step%4 != 0 {
				over = c.Tones[walk[step%4]]
			}
			if step == 1 && until-beat <= 1+eps {
				over = c.Tones[min(2, n-1)] // a chord of two beats: root, fifth
			}
		}
		length := math.Min(1, until-beat)
		skip := step%4 == 3 && length > b.offBeat()
		if skip {
			length = b.offBeat()
		}
		b.put(b.tone(tone{midi: inRange(c.Root+over, bassLow), seconds: 0.94 * length * 60 / b.Tempo}), beat, bassGain)
		if skip {
			b.put(b.tone(tone{midi: inRange(c.Root, bassLow), seconds: 0.8 * (1 - length) * 60 / b.Tempo}), beat+length, bassGain-6)
		}
		step++
	}
}

// comp strikes the chord short and soft on the backbeat (two and four; in a bar of
// three on two and three), without the root, which the bass has.
func (b *band) comp(c drill.Chord) {
	until := math.Min(c.Beat+c.Beats, b.end)
	for beat := c.Beat; beat < until-eps; beat++ {
		p := int(math.Round(b.inBar(beat)))
		if beat < -eps || p == 0 || b.BeatsPerBar != 3 && p%2 == 0 {
			continue
		}
		for _, over := range c.Tones {
			if over%12 == 0 {
				continue
			}
			length := 0.6 * math.Min(1, until-beat)
			b.put(b.tone(tone{comp: true, midi: inRange(c.Root+over, compLow), seconds: length * 60 / b.Tempo}), beat, compGain)
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
