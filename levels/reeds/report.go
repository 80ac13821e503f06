package reeds

import (
	"math"

	"reedwell/levels/harp"
)

// A Fault is what may be wrong with a reed.
type Fault int

// The faults, the gravest first.
const (
	NotHeard Fault = iota // skipped or never held
	Off                   // further than OffCents from the best-fitting tuning
	Slow                  // slow to speak: stiff, or its gap is wide
	Leaks                 // air hisses with it
	Along                 // another hole sounds along
)

// A Reed is what was measured of one reed.
type Reed struct {
	Note       harp.Note
	Tries      int     // times held
	Hz         float64 // pitch
	Cents      float64 // over 440 Hz
	Spread     float64 // cents from the 10th to the 90th percentile while held
	FromTuning float64 // cents over the best-fitting tuning and A4, stretch taken out; 0 without a fit
	FromOthers float64 // FromTuning, over the median of the reeds within two holes
	Level      float64 // dBFS
	Speak      float64 // seconds from a fifth to seven tenths of its amplitude, the quicker try; negative: could not be told
	Flutter    float64 // octaves, see LeakFlutter; negative: another hole sounded along, so it could not be told
	Brightness float64 // Hz, centroid
	AlongDB    float64 // level of the hole that sounds along, relative to the reed; 0 for none
	Faults     []Fault // none: the reed is fine
}

// An Octave is a pair of reeds an octave apart, as they'd sound together.
type Octave struct {
	Low, High harp.Note
	Cents     float64 // High over a pure octave from Low
	Beats     float64 // a second: between the second partial of Low and High
}

// A Report is what a pass found. Reeds are in the order of the holes, blow before draw.
type Report struct {
	Key     harp.Key
	Reeds   [2 * harp.Holes]Reed
	Heard   int // reeds that were held at least once
	Fit     Fit
	Octaves []Octave // of the reeds that were heard
	Noisy   bool     // the place was too noisy to tell hiss
}

// Report says what is known by now; a pass need not be done for it.
func (p *Pass) Report() Report {
	r := Report{Key: p.key}
	for i := range p.reeds {
		d := &r.Reeds[i]
		d.Note = harp.Note{Hole: i/2 + 1, Breath: harp.Breath(i % 2)}
		d.Tries, d.Speak = len(p.reeds[i].tries), -1
		if d.Tries == 0 {
			d.Faults = []Fault{NotHeard}
			continue
		}
		r.Heard++
		b := p.reeds[i].best()
		d.Cents, d.Hz, d.Spread = b.cents, 440*math.Exp2(b.cents/1200), b.spread
		d.Level, d.Brightness, d.Flutter = b.level, b.bright, -1
		d.AlongDB = math.Inf(-1)
		// What a try has to its credit counts: a player may start softly once, or cover two holes.
		for _, t := range p.reeds[i].tries {
			if t.speak >= 0 && (d.Speak < 0 || t.speak < d.Speak) {
				d.Speak = t.speak
			}
			if t.along == 0 && (d.Flutter < 0 || t.flutter < d.Flutter) { // two reeds beat, which is no hiss
				d.Flutter = t.flutter
			}
			if t.along == 0 || d.AlongDB == 0 {
				d.AlongDB = 0
			} else {
				d.AlongDB = max(d.AlongDB, t.along)
			}
		}
	}
	r.judge()
	return r
}

// around collects a value of the heard reeds within two holes of reed i, without it.
func (r *Report) around(i int, value func(*Reed) (float64, bool)) []float64 {
	var near []float64
	for j := range r.Reeds {
		d := &r.Reeds[j]
		if j == i || d.Tries == 0 || max(d.Note.Hole-r.Reeds[i].Note.Hole, r.Reeds[i].Note.Hole-d.Note.Hole) > 2 {
			continue
		}
		if v, ok := value(d); ok {
			near = append(near, v)
		}
	}
	return near
}

func (r *Report) judge() {
	var heard []int
	var cents []float64
	for i := range r.Reeds {
		if r.Reeds[i].Tries > 0 {
			heard, cents = append(heard, i), append(cents, r.Reeds[i].Cents)
		}
	}
	if len(heard) >= EnoughReeds {
		r.Fit = fit(r.Key, heard, cents)
		for _, i := range heard {
			r.Reeds[i].FromTuning = r.Reeds[i].Cents - r.Fit.expect(r.Key, i)
		}
	}
	noisy := 0
	for _, i := range heard {
		d := &r.Reeds[i]
		if r.Fit.Found {
			d.FromOthers = d.FromTuning - median(r.around(i, func(o *Reed) (float64, bool) { return o.FromTuning, true }))
			if math.Abs(d.FromTuning) > OffCents {
				d.Faults = append(d.Faults, Off)
			}
		}
		others := median(r.around(i, func(o *Reed) (float64, bool) { return o.Speak, o.Speak >= 0 }))
		if d.Speak > max(SlowSeconds, SlowTimes*others) {
			d.Faults = append(d.Faults, Slow)
		}
		// Noise in the place flutters a weak reed more than a loud one.
		hiss := median(r.around(i, func(o *Reed) (float64, bool) { return o.Flutter, o.Flutter >= 0 }))
		loud := median(r.around(i, func(o *Reed) (float64, bool) { return o.Level, true }))
		hiss *= math.Exp2(max(0, loud-d.Level) / 6.0206)
		limit := max(LeastFlutter, LeakFlutter*min(1, LeakHz/d.Hz))
		switch {
		case hiss > NoisyFlutter:
			noisy++
		case d.Flutter > 0 && d.Flutter*d.Flutter-hiss*hiss > limit*limit:
			d.Faults = append(d.Faults, Leaks)
		}
		if d.AlongDB < 0 {
			d.Faults = append(d.Faults, Along)
		}
	}
	r.Noisy = 2*noisy > len(heard)
	r.octaves()
}

// octaves lists the pairs an octave apart.
func (r *Report) octaves() {
	for i := range r.Reeds {
		for j := i + 1; j < len(r.Reeds); j++ {
			a, b := r.Reeds[i], r.Reeds[j]
			if a.Tries == 0 || b.Tries == 0 || a.Note.Breath != b.Note.Breath || b.Note.Semitones()-a.Note.Semitones() != 12 {
				continue
			}
			r.Octaves = append(r.Octaves, Octave{a.Note, b.Note, b.Cents - a.Cents - 1200, math.Abs(b.Hz - 2*a.Hz)})
		}
	}
}

// Harp returns the harp as measured: key, the best-fitting tuning and A4, and the profile over
// them. A reed that was not heard is taken as its tuning says; one further off than a
// profile holds is kept at its bound. It reports false, and a harp as new, when too few reeds were heard for a fit.
func (r Report) Harp() (harp.Harp, bool) {
	h := harp.New(r.Key)
	if !r.Fit.Found {
		return h, false
	}
	h.Tuning, h.A4 = r.Fit.Tuning, r.Fit.A4
	for i, d := range r.Reeds {
		if d.Tries == 0 {
			continue
		}
		c := d.Cents - nominal(r.Key, i) - h.Tuning.Deviation(d.Note.Hole, d.Note.Breath) - harp.Cents(h.A4, 440)
		c = hundredths(max(-harp.MaxProfile, min(harp.MaxProfile, c)))
		if d.Note.Breath == harp.Draw {
			h.Profile.Draw[d.Note.Hole-1] = c
		} else {
			h.Profile.Blow[d.Note.Hole-1] = c
		}
	}
	return h, true
}

// hundredths rounds, so that files stay short.
func hundredths(x float64) float64 { return math.Round(x*100)/100 + 0 }
