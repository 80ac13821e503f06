package write

import (
	"math"
	"sort"

	"reedwell/levels/lesson"
)

// A fit is the time line that was found: which second is which beat, and where each
// start stands.
type fit struct {
	starts []start
	speed  float64 // beats a second
	zero   float64 // seconds: beat 0
	feel   lesson.Feel
	drift  []float64 // seconds by which the pulse is late at each start
	places []spot
	cost   float64
	rival  float64 // tempo in beats a minute that fits nearly as well; 0 none
	guess  bool    // the feel was not given and nothing tells it
}

const (
	// Constant lateness: the round trip that is left, a slow attack, a player who lays
	// back. Our choice.
	offsetScatter = 0.050
	offsetMost    = 0.150
	offsetStep    = 0.015
	// A player with a count-in in the ear keeps its tempo to this share.
	tempoScatter = 0.01
	// Tempo prior for free playing: the middle one, and the spread of its logarithm. Blues
	// licks to learn lie from 60 to 120 (common practice, no source).
	middleTempo = 85.0
	tempoSpread = 0.33
	// Swing: the middle ratio and how far it scatters between players (1.2 to 3.5: Friberg
	// & Sundström 2002). Under leastSwing, with a little room, it is straight: our choice.
	swingScatter = 0.6
	leastSwing   = 1.35
)

// What a feel costs when it was not given.
var feelCost = [...]float64{lesson.Straight: 0, lesson.Shuffle: 0.3, lesson.Triplet: 1}

func (o Options) feels() []lesson.Feel {
	shuffles := []lesson.Feel{}
	for _, r := range [...]float64{1.4, 1.7, 2, 2.4, 2.9, 3.5} {
		shuffles = append(shuffles, lesson.Feel{Kind: lesson.Shuffle, Ratio: r})
	}
	switch {
	case o.Feel == nil:
		return append(shuffles, lesson.Feel{}, lesson.Feel{Kind: lesson.Triplet})
	case o.Feel.Kind == lesson.Shuffle:
		return append(shuffles, *o.Feel)
	}
	return []lesson.Feel{*o.Feel}
}

// fitted finds the time line of the starts, of which there is one at least.
func fitted(starts []start, o Options) fit {
	best := fit{cost: math.Inf(1)}
	var seeds []seed
	if o.Tempo != 0 {
		for k := -math.Round(offsetMost / offsetStep); k <= math.Round(offsetMost/offsetStep); k++ {
			seeds = append(seeds, seed{speed: o.Tempo / 60, zero: o.Beat0 + k*offsetStep, kind: anyFeel})
		}
	} else {
		seeds = pulses(starts, o)
	}
	var free []fit
	for _, feel := range o.feels() {
		least := fit{cost: math.Inf(1)}
		for _, s := range seeds {
			if s.kind != anyFeel && lesson.Kind(s.kind) != feel.Kind {
				continue
			}
			f := fit{starts: starts, speed: s.speed, zero: s.zero, feel: feel, drift: make([]float64, len(starts))}
			if o.Tempo != 0 {
				f.put(o) // settle only the best of them
			} else {
				f.settle(o)
				free = append(free, f)
			}
			if f.cost < least.cost {
				least = f
			}
		}
		if math.IsInf(least.cost, 1) {
			continue
		}
		least.settle(o)
		if o.Feel == nil && feel.Kind == lesson.Shuffle && least.offBeats() < leastSwing-0.1 {
			continue // this is straight
		}
		if least.cost < best.cost {
			best = least
		}
	}
	for _, f := range free {
		const near = 4.0 // e to the fourth: one in fifty
		apart := math.Abs(math.Log(f.speed / best.speed))
		if apart > 0.1 && f.cost < best.cost+near && (best.rival == 0 || f.cost < best.cost) {
			best.rival = 60 * f.speed
		}
	}
	if o.Feel == nil {
		best.guess = math.IsNaN(best.offBeats())
		if best.guess {
			best.feel = lesson.Feel{}
		}
	}
	return best
}

// fitAll is fitted for pieces of which some may lie too close together for any place on
// the page: then the shortest of the closest is left out until the rest has places.
func fitAll(pieces []piece, o Options) (f fit, kept []piece, crowded int) {
	kept = pieces
	for {
		f = fitted(startsOf(kept), o)
		if f.places != nil || len(kept) == 1 {
			return f, kept, crowded
		}
		k := 1
		for i := 1; i < len(kept); i++ {
			if kept[i].start-kept[i-1].start < kept[k].start-kept[k-1].start {
				k = i
			}
		}
		if kept[k-1].length() < kept[k].length() {
			k--
		}
		kept = append(append([]piece(nil), kept[:k]...), kept[k+1:]...)
		crowded++
	}
}

// beats are the starts in beats, with how loosely each tells its place and how long it is
// to the next.
func (f *fit) beats() (beats, loose, gaps []float64) {
	for i, s := range f.starts {
		beats = append(beats, (s.at-f.drift[i]-f.zero)*f.speed)
		loose = append(loose, s.loose*f.speed)
		gaps = append(gaps, s.gap*f.speed)
	}
	return beats, loose, gaps
}

// put gives the starts their places on the time line as it is.
func (f *fit) put(o Options) {
	beats, loose, gaps := f.beats()
	places, cost, ok := assign(beats, loose, gaps, f.feel)
	if !ok {
		f.cost = math.Inf(1)
		return
	}
	f.places, f.cost = places, cost
	if o.Feel == nil {
		f.cost += feelCost[f.feel.Kind]
	}
	if f.feel.Kind == lesson.Shuffle {
		d := (f.feel.Ratio - o.middleSwing()) / swingScatter
		f.cost += d * d / 2
	}
	if o.Tempo != 0 {
		d := (f.zero - o.Beat0) / offsetScatter
		f.cost += d * d / 2
		return
	}
	d := math.Log(60*f.speed/middleTempo) / tempoSpread
	f.cost += d * d / 2
}

// without is where start i lies, in beats, on the time line that the other starts tell: on
// its own line each start lies a little too near to its place.
func (f fit) without(i int, o Options) float64 {
	f.starts = append([]start(nil), f.starts...)
	f.starts[i].loose *= 100
	feel := f.feel
	f.line(o)
	f.feel = feel
	beats, _, _ := f.beats()
	return beats[i]
}

func (o Options) middleSwing() float64 {
	if o.Feel != nil && o.Feel.Kind == lesson.Shuffle {
		return o.Feel.Ratio
	}
	return lesson.DefaultRatio
}

// settle goes to and fro between places and time line until neither moves.
func (f *fit) settle(o Options) {
	f.put(o)
	for round := 0; round < 6 && !math.IsInf(f.cost, 1); round++ {
		next := *f
		next.line(o)
		next.put(o)
		if !(next.cost < f.cost-1e-9) {
			return
		}
		*f = next
	}
}

// line fits tempo, beat 0, swing and drift to the places, by least squares.
func (f *fit) line(o Options) {
	// Late = start - (zero + place/speed); a straight line through it moves zero and speed.
	var w, wx, wy, wxx, wxy float64
	beats := make([]float64, len(f.starts))
	for i, s := range f.starts {
		beats[i] = f.feel.Beat(f.places[i].at)
		late := s.at - f.zero - beats[i]/f.speed
		g := 1 / (s.loose * s.loose)
		w, wx, wy, wxx, wxy = w+g, wx+g*beats[i], wy+g*late, wxx+g*beats[i]*beats[i], wxy+g*beats[i]*late
	}
	a, b := 0.0, 0.0 // late = a + b*beat
	if o.Tempo != 0 {
		// Ridge: the count-in is believed within its scatter.
		period := 60 / o.Tempo
		toZero, toTempo := 1/(offsetScatter*offsetScatter), 1/math.Pow(tempoScatter*period, 2)
		wy += toZero * (o.Beat0 - f.zero)
		w += toZero
		wxy += toTempo * (period - 1/f.speed)
		wxx += toTempo
	} else {
		wxx += 1e-6 * w
	}
	if det := w*wxx - wx*wx; det > 1e-12*w*wxx {
		a, b = (wxx*wy-wx*wxy)/det, (w*wxy-wx*wy)/det
	} else {
		a = wy / w
	}
	f.zero += a
	f.speed = 1 / math.Max(1/f.speed+b, 0.1)
	f.follow(o, beats)
	if x := f.offBeats(); f.feel.Kind == lesson.Shuffle && !math.IsNaN(x) {
		f.feel.Ratio = math.Max(leastSwing, math.Min(lesson.MaxRatio, x))
	}
}

// follow finds the slow drift of a free tempo: what is left of the lateness, smoothed
// over driftTime seconds, and believed as far as there are starts that tell it.
func (f *fit) follow(o Options, beats []float64) {
	const driftTime, doubters = 2.5, 3.0
	f.drift = make([]float64, len(f.starts))
	if o.Tempo != 0 {
		return
	}
	for i, s := range f.starts {
		sum, weight := 0.0, 0.0
		for k, t := range f.starts {
			d := (t.at - s.at) / driftTime
			g := math.Exp(-d * d / 2)
			sum += g * (t.at - f.zero - beats[k]/f.speed)
			weight += g
		}
		f.drift[i] = sum / (weight + doubters)
	}
}

// offBeats is the swing ratio that the off-beat eighths tell, NaN where there are none.
func (f *fit) offBeats() float64 {
	beats, _, _ := f.beats()
	n, sum := 0.0, 0.0
	for i, p := range f.places {
		in := (p.at%lesson.Beat + lesson.Beat) % lesson.Beat
		switch {
		case f.feel.Kind == lesson.Triplet && in == 2*lesson.Beat/3, f.feel.Kind != lesson.Triplet && in == lesson.Beat/2:
			sum += beats[i] - float64(p.beat)
			n++
		}
	}
	if n == 0 {
		return math.NaN()
	}
	x := math.Max(0.1, math.Min(0.9, sum/n))
	return x / (1 - x)
}

func (f *fit) swing() float64 {
	if x := f.offBeats(); !math.IsNaN(x) {
		return x
	}
	return 0
}

// scatter is the standard deviation of the starts about their places, in seconds.
func (f *fit) scatter() float64 {
	beats, _, _ := f.beats()
	var sum, squares float64
	for i, p := range f.places {
		r := (beats[i] - f.feel.Beat(p.at)) / f.speed
		sum += r
		squares += r * r
	}
	n := float64(len(f.places))
	return math.Sqrt(math.Max(0, squares/n-sum*sum/n/n))
}

// A seed is where to begin fitting.
type seed struct {
	speed, zero float64
	kind        int // a lesson.Kind, or anyFeel
	cost        float64
}

const anyFeel = -1

// pulses are the likeliest tempi and phases of free playing, by the costs of single
// starts alone.
func pulses(starts []start, o Options) []seed {
	const (
		long     = 16.0  // seconds of the beginning that are looked at; drift spoils more
		finest   = 0.003 // share from one tempo to the next: 24 ms at the end of 16 s, half of that on average
		phases   = 24
		coarse   = 0.035 // s
		kept     = 10
		distance = 0.02 // share by which two kept tempi differ
	)
	var seen []start
	for _, s := range starts {
		if s.at-starts[0].at <= long || len(seen) < 4 {
			seen = append(seen, s)
		}
	}
	kinds := map[lesson.Kind]bool{}
	var feels []lesson.Feel
	for _, f := range o.feels() {
		if f.Kind == lesson.Shuffle {
			f.Ratio = o.middleSwing()
		}
		if !kinds[f.Kind] {
			kinds[f.Kind] = true
			feels = append(feels, f)
		}
	}
	var all []seed
	for _, feel := range feels {
		var of []seed
		for tempo := SlowTempo; tempo <= QuickTempo; tempo *= 1 + finest {
			speed := tempo / 60
			best := seed{cost: math.Inf(1)}
			for k := range phases {
				zero := seen[0].at - float64(k)/phases/speed
				c := comb(seen, speed, zero, coarse, feel)
				if c < best.cost {
					best = seed{speed, zero, int(feel.Kind), c}
				}
			}
			d := math.Log(tempo/middleTempo) / tempoSpread
			best.cost += d*d/2 + feelCost[feel.Kind]
			of = append(of, best)
		}
		sort.SliceStable(of, func(i, j int) bool { return of[i].cost < of[j].cost })
		n := 0
	next:
		for _, s := range of {
			for _, k := range all {
				if k.kind == s.kind && math.Abs(math.Log(k.speed/s.speed)) < distance {
					continue next
				}
			}
			all = append(all, s)
			if n++; n == kept {
				break
			}
		}
	}
	return all
}

// comb is about the cost of the starts on a pulse: each by itself with a share of its
// beat's split, and the beats without one.
func comb(starts []start, speed, zero, scatter float64, feel lesson.Feel) float64 {
	cost, beat := 0.0, math.MinInt
	for _, s := range starts {
		x := (s.at - zero) * speed
		whole := math.Floor(x)
		least, at := math.Inf(1), 0
		for _, d := range splits(feel.Kind) {
			for i := lesson.Ticks(0); i <= d.parts; i++ {
				r := (x - whole - feel.Beat(i*lesson.Beat/d.parts)) / speed / scatter
				c := r*r/2 + d.cost/float64(d.parts)
				if i < d.parts {
					c += offBeat(i, d.parts)
				}
				if gap := s.gap * speed; i > 0 && i < d.parts && gap >= 1 {
					c += longOff * math.Min(gap, 2)
				}
				if c < least {
					least, at = c, int(whole)
					if i == d.parts {
						at++
					}
				}
			}
		}
		cost += math.Min(least, 8)
		if beat != math.MinInt && at > beat+1 {
			cost += emptyBeat * float64(at-beat-1)
		}
		beat = at
	}
	return cost
}
