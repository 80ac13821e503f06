package synth

import (
	"math"
	"sort"
)

// How one note begins, ends and follows another: envelopes, joins, and which notes
// one reed plays.

// gate is how a note begins or ends. Its amplitude share runs from low to 1 in a
// raised cosine from At for Length seconds.
type gate struct {
	at, length float64
	low        float64
	power      bool // equal-power cross-fade: the other side is another reed
	// A tongued repeat hands the sound over at the bottom of its dip, from handAt
	// for handFor seconds. handFor 0: it does not.
	handAt, handFor float64
}

// rise is the share of the held amplitude of a note that begins with g.
func (g gate) rise(t float64) float64 {
	if g.handFor > 0 && t < g.handAt+g.handFor {
		return g.low * raised((t-g.handAt)/g.handFor)
	}
	u := (t - g.at) / g.length
	if g.power {
		return math.Sin(math.Pi / 2 * clamp(u, 0, 1))
	}
	return g.low + (1-g.low)*raised(u)
}

// fall is the share of the held amplitude of a note that ends with g.
func (g gate) fall(t float64) float64 {
	if g.handFor > 0 && t > g.handAt {
		return g.low * raised(1-(t-g.handAt)/g.handFor)
	}
	u := 1 - (t-g.at)/g.length
	if g.power {
		return math.Sin(math.Pi / 2 * clamp(u, 0, 1))
	}
	return g.low + (1-g.low)*raised(u)
}

// raised is the raised cosine from 0 to 1 as u runs from 0 to 1.
func raised(u float64) float64 {
	switch {
	case u <= 0:
		return 0
	case u >= 1:
		return 1
	}
	return 0.5 - 0.5*math.Cos(math.Pi*u)
}

// raisedAt is where raised passes StartShare: acos(1-2*0.25)/pi = 1/3.
const raisedAt = 1.0 / 3

// joinSlack is how far, in seconds, a note may begin before or after the end of
// another and still follow it in the same breath.
const joinSlack = 0.010

// handover is the time in seconds at the bottom of a dip.
const handover = 0.004

// crossfade is the time in seconds two holes share at a legato change. Our
// choice: a tenth of the time a hole sounds in a warble of 8 changes a second.
const crossfade = 0.012

// glued is the interval in cents within which a touching note is the same reed.
const glued = 50.0

// part is a note with its envelope resolved.
type part struct {
	Note
	level     float64
	in, out   gate
	from, to  float64 // seconds between which it is not silent
	takesOver float64 // from here on the voice follows this part's pitch
}

func (p *part) share(t float64) float64 {
	if t <= p.from || t >= p.to {
		return 0
	}
	return p.in.rise(t) * p.out.fall(t)
}

// closed is how far the hand is closed at t, 0..1.
func (p *part) closed(t float64) float64 {
	if p.Wah.Depth <= 0 {
		return 0
	}
	return clamp(p.Wah.Depth, 0, 1) * (0.5 - 0.5*math.Cos(2*math.Pi*p.Wah.Rate*(t-p.Start)))
}

// voice is one oscillator: parts in order of time that hand one phase on. A leak is
// a voice of its own whose phase follows absolute time, so that it too goes on
// unbroken through a repeat.
type voice struct {
	parts    []part
	leak     bool
	from, to float64 // limits for a leak that sounds for a part of its note
	index    int     // of the first note, to seed noise and wandering
}

// voices sorts notes by time, resolves how each begins and ends, and gathers what
// one reed plays.
func voices(notes []Note) []voice {
	order := make([]int, len(notes))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return notes[order[a]].Start < notes[order[b]].Start })
	parts := make([]part, len(notes))
	for k, i := range order {
		n := notes[i]
		if n.Level == 0 {
			n.Level = DefaultLevel
		}
		if n.Breath == 0 {
			n.Breath = DefaultBreath
		}
		if n.Dip == 0 {
			n.Dip = DefaultDip
		}
		p := part{Note: n, level: n.Level, takesOver: n.Start}
		first, last := hzAt(n.Hz, n.Start), hzAt(n.Hz, n.End)
		rise, fall := n.Attack, n.Release
		if rise <= 0 {
			rise = DefaultAttack(first)
		}
		if fall <= 0 {
			fall = DefaultRelease(last)
		}
		length := n.End - n.Start
		// A very short note still reaches its level: rise and fall share it.
		rise = math.Min(rise, 0.7*length)
		fall = math.Min(fall, 0.7*length)
		if n.Legato {
			x := math.Min(crossfade, length/2)
			p.in = gate{at: n.Start - x/2, length: x, power: true}
		} else {
			p.in = gate{at: n.Start - raisedAt*rise, length: rise}
		}
		p.out = gate{at: n.End - (1-raisedAt)*fall, length: fall}
		parts[k] = p
	}
	follows := make([]int, len(parts)) // the part that plays on the same reed before, or -1
	for k := range parts {
		follows[k] = -1
		n := &parts[k]
		// The nearest note before that ends where this one starts.
		prev := -1
		for j := k - 1; j >= 0; j-- {
			d := n.Start - parts[j].End
			touches := d < joinSlack && d > -joinSlack
			if !n.Legato && d >= joinSlack {
				touches = parts[j].out.at+parts[j].out.length > n.in.at
			}
			if touches && parts[j].Start < n.Start-joinSlack/2 {
				prev = j
				break
			}
		}
		if prev < 0 {
			continue
		}
		p := &parts[prev]
		same := math.Abs(1200*math.Log2(hzAt(n.Hz, n.Start)/hzAt(p.Hz, n.Start))) <= glued
		switch {
		case n.Legato && same:
			// One reed goes on: shares that add up to 1 on one oscillator.
			x := gate{at: n.in.at, length: n.in.length}
			n.in, p.out = x, x
			follows[k] = prev
		case n.Legato:
			p.out = n.in
		case same:
			low := amp(-n.Dip)
			bottom := n.in.at - handover
			fall := math.Min(p.out.length, 0.5*(bottom-p.Start))
			if fall < handover {
				fall = handover
			}
			n.in.low, n.in.handAt, n.in.handFor = low, bottom, handover
			p.out = gate{at: bottom - fall, length: fall, low: low, handAt: bottom, handFor: handover}
			follows[k] = prev
		default:
			// Another reed: the tongue closes the one before in time.
			fall := math.Min(p.out.length, 0.5*(n.in.at-p.Start))
			if fall < handover {
				fall = handover
			}
			p.out = gate{at: n.in.at - fall, length: fall}
		}
	}
	for k := range parts {
		p := &parts[k]
		p.from, p.to = p.in.at, p.out.at+p.out.length
		if p.in.handFor > 0 {
			p.from = p.in.handAt
		}
		if p.out.handFor > 0 {
			p.to = p.out.handAt + p.out.handFor
		}
	}
	var out []voice
	of := make([]int, len(parts)) // the voice of each part
	for k := range parts {
		if f := follows[k]; f >= 0 {
			of[k] = of[f]
			out[of[k]].parts = append(out[of[k]].parts, parts[k])
			continue
		}
		of[k] = len(out)
		out = append(out, voice{parts: []part{parts[k]}, index: order[k]})
	}
	for k := range parts {
		for _, l := range parts[k].Leaks {
			p := parts[k]
			p.Hz = Steady(l.Hz)
			p.Scoop, p.Breath = Scoop{}, NoBreath
			p.Level -= math.Abs(l.Level) // p.level stays: the leak has its note's colour
			v := voice{parts: []part{p}, leak: true, from: math.Inf(-1), to: math.Inf(1), index: order[k]}
			if l.Start != 0 || l.End != 0 {
				v.from, v.to = l.Start, l.End
			}
			out = append(out, v)
		}
	}
	return out
}
