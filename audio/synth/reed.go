package synth

import (
	"fmt"
	"math"
)

// Ceiling is the highest sample, in dBFS, that a rendered sound holds.
const Ceiling = -0.3

// A Reed is the voice that sounds notes. The zero value is perfectly even.
type Reed struct {
	// Rough is how far pitch and level wander: 1 is a steady player (about 1 cent
	// and 0.2 dB, standard deviation), 0 none at all.
	Rough float64
	// Bright moves the tone colour: 0 as designed, +1 clearly brighter, -1 darker.
	Bright float64
	// Seed decides the wandering and the breath noise.
	Seed uint64
}

// Render sounds notes with a steady player's reed. Seed 0 asks for a perfectly
// even one: then each pitch is exact, which proofs want; the breath noise stays.
// The result has round(seconds*rate) samples.
func Render(rate int, seconds float64, notes []Note, seed uint64) []float32 {
	r := Reed{Rough: 1, Seed: seed}
	if seed == 0 {
		r.Rough = 0
	}
	return r.Render(rate, seconds, notes)
}

// Render sounds notes: round(seconds*rate) samples, none beyond Ceiling. Notes may
// come in any order and may overlap; parts outside the sound are left out.
func (r Reed) Render(rate int, seconds float64, notes []Note) []float32 {
	if rate < 8000 || rate > 384000 {
		panic(fmt.Sprintf("synth: rate %d Hz is not within 8000 to 384000", rate))
	}
	if !(seconds >= 0 && seconds <= maxSeconds) {
		panic(fmt.Sprintf("synth: %g s is not a length from 0 to %d s", seconds, maxSeconds))
	}
	for i := range notes {
		notes[i].check(i)
	}
	out := make([]float32, int(math.Round(seconds*float64(rate))))
	p := player{Reed: r, rate: float64(rate), out: out, tables: map[tableKey]*tables{}}
	for _, v := range voices(notes) {
		p.sound(v)
	}
	Limit(rate, out, Ceiling)
	return out
}

// maxSeconds guards against samples handed over as seconds.
const maxSeconds = 3600

// control is the number of samples between two evaluations of pitch, level and
// colour; between them they run straight. At 48 kHz 16 samples are 0.3 ms.
const control = 16

// player sounds voices into out.
type player struct {
	Reed
	rate   float64
	out    []float32
	tables map[tableKey]*tables
}

// state is what a voice is doing at one moment.
type state struct {
	hz, amp, bright, noise, cutoff float64
}

func (p *player) sound(v voice) {
	first, last := v.parts[0].from, v.parts[0].to
	for _, q := range v.parts {
		first, last = math.Min(first, q.from), math.Max(last, q.to)
	}
	lead := 0.0
	if !v.leak && !v.parts[0].Legato && v.parts[0].Breath > NoBreath {
		lead = breathLead
	}
	begin := max(0, int(math.Floor((first-lead)*p.rate)))
	end := min(len(p.out), int(math.Ceil(last*p.rate))+1)
	if begin >= end {
		return
	}
	// The highest pitch of the voice decides how many partials fit.
	top := 0.0
	wah := false
	for _, q := range v.parts {
		for _, h := range q.Hz {
			top = math.Max(top, h.Value)
		}
		wah = wah || q.Wah.Depth > 0
	}
	tab := p.tablesFor(top)
	drift := newDrift(p.Seed, uint64(v.index), p.Rough)
	hiss := newHiss(p.Seed, uint64(v.index), p.rate)
	var hand filter

	// The cycle begins with the tone, whatever breath comes before; a leak's with
	// the sound.
	since := float64(begin) / p.rate
	if !v.leak {
		since -= first
	}
	phase := hzAt(v.parts[0].Hz, float64(begin)/p.rate) * since
	phase -= math.Floor(phase)
	at := 0 // index of the part the voice follows
	now := p.at(&v, &at, drift, float64(begin)/p.rate)
	for i := begin; i < end; i += control {
		next := p.at(&v, &at, drift, float64(i+control)/p.rate)
		step := now.hz / p.rate
		dStep := (next.hz/p.rate - step) / control
		a, dA := now.amp, (next.amp-now.amp)/control
		b, dB := now.bright, (next.bright-now.bright)/control
		h, dH := now.noise, (next.noise-now.noise)/control
		if wah {
			hand.tune(now.cutoff, p.rate)
		}
		for j := i; j < min(i+control, end); j++ {
			x := a * tab.at(phase, b)
			if h != 0 || dH != 0 {
				x += h * hiss.next()
			}
			if wah {
				x = hand.next(x)
			}
			p.out[j] += float32(x)
			phase += step
			if phase >= 1 {
				phase--
			}
			step += dStep
			a += dA
			b += dB
			h += dH
		}
		now = next
	}
}

// breathLead is how long before the tone, in seconds, air is heard. Our
// choice: shorter than any gap between notes that is graded.
const breathLead = 0.020

// at gives the state of v at t seconds. follow is the part it followed last.
func (p *player) at(v *voice, follow *int, drift drift, t float64) state {
	for *follow+1 < len(v.parts) && t >= v.parts[*follow+1].takesOver {
		*follow++
	}
	q := &v.parts[*follow]
	cents, db := drift.at(t)
	if v.leak {
		cents = 0 // its phase must follow absolute time
	}
	since := t - q.Start
	if q.Vibrato.Rate > 0 && since > q.Vibrato.Delay {
		grown := raised((since - q.Vibrato.Delay) * q.Vibrato.Rate)
		s := grown * math.Sin(2*math.Pi*q.Vibrato.Rate*(since-q.Vibrato.Delay))
		if !v.leak {
			cents += q.Vibrato.Cents * s
		}
		db += q.Vibrato.DB * s
	}
	if q.Scoop.Seconds > 0 && since < q.Scoop.Seconds {
		u := 1 - math.Max(0, since/q.Scoop.Seconds)
		cents -= q.Scoop.Cents * u * u
	}
	s := state{hz: hzAt(q.Hz, t)}
	if cents != 0 {
		s.hz *= math.Exp2(cents / 1200)
	}
	var share float64  // of the held amplitude, all parts together
	var closed float64 // how far the hand is closed, 0..1; a join goes from one part's hand to the next one's
	for k := max(0, *follow-1); k < min(len(v.parts), *follow+2); k++ {
		e := v.parts[k].share(t)
		if e == 0 {
			continue
		}
		share += e
		closed += e * v.parts[k].closed(t)
		s.amp += e * amp(v.parts[k].Level+dbAt(v.parts[k].LevelCurve, t))
	}
	if v.leak {
		s.amp *= raised((t-v.from)/crossfade+0.5) * raised((v.to-t)/crossfade+0.5)
	}
	s.amp *= amp(db)
	// Colour: 0.5 at the default level, a full step for 30 dB; the tone opens
	// while it starts. Our choice, to be in proportion to the tables' range.
	loud := q.level + dbAt(q.LevelCurve, t) + db
	s.bright = clamp(0.5+(loud-DefaultLevel)/30+p.Bright/2, 0, 1) * (0.35 + 0.65*math.Min(1, share))
	if q.Breath > NoBreath {
		// Air comes a little before the reed speaks and stays while it does.
		air := math.Min(1, share)
		if *follow == 0 && !q.Legato && t < q.in.at+q.in.length {
			air = math.Max(air, 0.5*raised((t-q.from+breathLead)/(2*breathLead)))
		}
		s.noise = air * amp(q.Level+q.Breath+dbAt(q.LevelCurve, t))
	}
	s.cutoff = openCutoff
	if closed > 0 {
		closed /= math.Max(share, 1e-9)
		s.amp *= amp(-wahLevel * closed)
		s.cutoff = openCutoff * math.Exp2(-closed*wahOctaves)
	}
	return s
}
