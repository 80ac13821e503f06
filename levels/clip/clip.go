// Package clip sounds a lesson: each lick and the whole chorus as a harmonica that a
// student can copy, and the backing as a loop.
//
// A demonstration plays what the lesson's notes say beyond hole and time too: scoops,
// warbles, hand wah, throat vibrato, glides, chords, repeats. It is made from the same
// drill that grades the student, so what is heard and what is asked cannot disagree. A slow
// clip is played slower, not stretched: its pitch and its attacks are the same.
//
// Sounds are mono samples, full scale 1, and belong to the caller; audio/wav writes them.
// A demonstration peaks at or under [Ceiling], a backing at or under band.Ceiling; both
// together stay under full scale. Nothing is kept between calls; the same lesson gives the
// same samples.
package clip

import (
	"math"

	"reedwell/audio/synth"
	"reedwell/levels/band"
	"reedwell/levels/drill"
	"reedwell/levels/lesson"
	"reedwell/levels/player"
)

// Rate is the sampling rate in Hz where Options do not say.
const Rate = 48000

// Ceiling is the highest peak of a demonstration in dBFS: with a backing at band.Ceiling,
// half of full scale, the sum stays under it.
const Ceiling = -6.5

// SlowShare is the share of the written tempo at which a lick is usually shown slowly.
// Our choice: slow enough to hear each movement, quick enough to be a phrase.
const SlowShare = 0.6

// Options say how a lesson is to be sounded. The zero value: full tempo, at once, alone.
type Options struct {
	Rate    int         // Hz; 0: Rate
	Share   float64     // of the tempo; 0: 1. No slower than drill.MinTempo
	CountIn bool        // one bar of clicks first; there is no click after it
	Backing bool        // with the band
	Play    lesson.Play // tempo, reeds and reference pitch where they differ from the lesson's
}

func (o Options) rate() int {
	if o.Rate == 0 {
		return Rate
	}
	return o.Rate
}

// play is how the drill is to be built: at the share of the tempo.
func (o Options) play(l lesson.Lesson) lesson.Play {
	p := o.Play
	if p.Tempo == 0 {
		p.Tempo = l.Tempo
	}
	if o.Share != 0 {
		p.Tempo = math.Max(drill.MinTempo, p.Tempo*o.Share)
	}
	return p
}

// Lick sounds lick i of l, from 0. With a count-in the first sample is its first click; else
// the lick begins after lead seconds.
func Lick(l lesson.Lesson, i int, o Options) ([]float32, error) {
	d, err := l.Drill(i, o.play(l))
	if err != nil {
		return nil, err
	}
	return sound(d, LickTouches(l, d, i), o), nil
}

// Chorus sounds all licks of l in their places of the form.
func Chorus(l lesson.Lesson, o Options) ([]float32, error) {
	d, err := l.Chorus(o.play(l))
	if err != nil {
		return nil, err
	}
	return sound(d, ChorusTouches(l, d), o), nil
}

// Backing sounds one chorus of the form as a loop: its last sample goes over into its
// first. Count-in and backing of o do not matter.
func Backing(l lesson.Lesson, o Options) ([]float32, error) {
	p := o.play(l)
	l.Licks = []lesson.Lick{{Bar: 1, Bars: len(l.Form.Bars)}} // nothing is played
	d, err := l.Drill(0, p)
	if err != nil {
		return nil, err
	}
	return band.Loop(d, o.rate(), band.Options{NoBeat: true}), nil
}

// LickTouches are the colours of the notes of lick i, one for each target of the drill d that
// l.Drill made of it.
func LickTouches(l lesson.Lesson, d drill.Drill, i int) []player.Touch {
	return addTouches(nil, l, d, l.Licks[i], 0)
}

// ChorusTouches are LickTouches for the drill of l.Chorus.
func ChorusTouches(l lesson.Lesson, d drill.Drill) []player.Touch {
	var all []player.Touch
	for _, k := range l.Licks {
		all = addTouches(all, l, d, k, lesson.Ticks(k.Bar-1)*lesson.Bar)
	}
	return all
}

// addTouches appends the touches of the lick whose first full bar lies at the given place.
func addTouches(all []player.Touch, l lesson.Lesson, d drill.Drill, k lesson.Lick, at lesson.Ticks) []player.Touch {
	for _, n := range k.Notes {
		touch := player.Touch{Scoop: n.Scoop, Vibrato: n.Vibrato, Wah: n.Wah * d.Tempo / 60, Hold: n.Hold}
		// A warble has many targets, any other note one.
		for end := l.Feel.Beat(at + n.End()); len(all) < len(d.Targets) && d.Targets[len(all)].Beat < end-1e-9; touch.Scoop = false {
			all = append(all, touch)
		}
	}
	return all
}

// lead is the silence in seconds before the first beat of a clip without a count-in: room for
// the breath before the tone.
const lead = 0.05

func sound(d drill.Drill, touches []player.Touch, o Options) []float32 {
	rate := o.rate()
	reed := synth.Render(rate, d.Seconds, player.Perform(d, touches, player.Faults{}), steadyHand)
	synth.Limit(rate, reed, Ceiling)
	if o.CountIn || o.Backing {
		synth.Mix(reed, band.RenderWith(d, rate, band.Options{NoBeat: true, NoClick: !o.Backing, NoBand: !o.Backing, NoCountIn: !o.CountIn}), 0, 0)
	}
	if o.CountIn {
		return reed
	}
	first := 0.0
	for _, t := range d.Targets {
		first = math.Min(first, t.Beat)
	}
	if o.Backing {
		first = math.Floor(first + 1e-6) // the band comes in on a beat
	}
	return reed[min(len(reed), max(0, int(math.Round((d.Time(first)-lead)*float64(rate))))):]
}

// steadyHand seeds the small wandering of pitch and level that a steady player has.
const steadyHand = 1
