//go:build !js

package main

import (
	"math"
	"slices"

	"reedwell/audio/audiotest/corpus"
	"reedwell/audio/listen"
)

// A point is a pitch at a moment, as any of the programs gives it.
type point struct {
	at, hz, confidence float64
	others             [2]voice
}

type voice struct{ hz, level float64 }

// A note is a heard note; end, hz and the standard error of the start, in seconds, 0 where a program gives none.
type note struct{ start, end, hz, err float64 }

// heard is what one program made of one file.
type heard struct {
	points      []point
	notes       []note
	delay       float64 // seconds from a point's time to when it is given
	latest      []point // what the newest window held, all the time
	latestDelay float64 // the same for these
}

// sums gathers the figures of one program in one condition.
type sums struct {
	frames, right50, right25, right10, chroma, sure, sureRight int
	errs                                                       []float64 // cents
	moving, movingRight                                        int       // frames of bends, scoops and vibrato
	pair                                                       map[float64]*pairSums
	single, claimed                                            int
	chords, chordRight, alone, crowded                         int
	starts                                                     map[corpus.Kind]*matched
	ends, endsRight                                            int
	whole, split                                               int // bends, scoops, vibrato, wah; those heard as more or less than one note
	warbles                                                    []warbleError
	bins, latest                                               [10][2]int // frames and right ones by confidence; the same of the newest windows
	scoops                                                     []float64  // measured - true depth in cents
	scoopsMissed                                               int
	vibRate, vibExtent, wahRate, wahExtent, settle             []float64 // relative errors; settle in seconds
	cpu, seconds                                               float64
	first, shown                                               []float64 // see firsts
	ours                                                       bool
}

type pairSums struct {
	frames, loud, named, wrong int
	levels                     []float64
}

type warbleError struct{ rate, evenness, share float64 } // relative; points; points

// matched starts: F within 25 ms, and how late.
type matched struct {
	truth, heard, hit int
	late              []float64
}

func (m *matched) f() float64 {
	if m == nil || m.truth+m.heard == 0 {
		return math.NaN()
	}
	return 200 * float64(m.hit) / float64(m.truth+m.heard)
}

func cents(a, b float64) float64 { return 1200 * math.Log2(a/b) }

func quantile(xs []float64, p float64) float64 {
	if len(xs) == 0 {
		return math.NaN()
	}
	s := slices.Clone(xs)
	slices.Sort(s)
	return s[int(p*float64(len(s)-1)+0.5)]
}

func absolute(xs []float64) []float64 {
	out := make([]float64, len(xs))
	for i, x := range xs {
		out[i] = math.Abs(x)
	}
	return out
}

func share(a, b int) float64 {
	if b == 0 {
		return math.NaN()
	}
	return 100 * float64(a) / float64(b)
}

// onset is the window for starts in seconds, release that for ends.
const (
	onset   = 0.025
	release = 0.040
	minSure = listen.MinConfidence // the other programs are sure or silent
)

func newSums() *sums {
	return &sums{pair: map[float64]*pairSums{}, starts: map[corpus.Kind]*matched{}}
}

// add scores what was heard of f.
func (s *sums) add(f corpus.File, c corpus.Condition, h heard, wrongNote func(corpus.Sound, []note)) {
	s.seconds += float64(len(f.Samples)) / corpus.Rate
	s.pitches(f, c, h)
	confidence(f, c, h.points, &s.bins)
	confidence(f, c, h.latest, &s.latest)
	s.firsts(f, h)
	for i := 0; i < len(f.Sounds); {
		j := i + 1
		for j < len(f.Sounds) && f.Sounds[j].Kind == f.Sounds[i].Kind && f.Sounds[j].Group == f.Sounds[i].Group {
			j++
		}
		from, to := 0.0, math.Inf(1)
		if i > 0 {
			from = f.Sounds[i].On - 0.05
		}
		if j < len(f.Sounds) {
			to = f.Sounds[j].On - 0.05
		}
		var in []note
		for _, n := range h.notes {
			if n.start >= from && n.start < to {
				in = append(in, n)
			}
		}
		s.group(f.Sounds[i:j], in, wrongNote)
		i = j
	}
}

// group scores the notes heard while the sounds, all of one kind, were played.
func (s *sums) group(sounds []corpus.Sound, notes []note, wrongNote func(corpus.Sound, []note)) {
	kind := sounds[0].Kind
	switch kind {
	case corpus.Pair, corpus.Chord:
		return
	case corpus.Bend, corpus.Scoop, corpus.Vibrato, corpus.Wah:
		for _, sound := range sounds {
			s.whole++
			n := 0
			for _, x := range notes {
				if x.start > sound.On-0.05 && x.start < sound.Off+0.1 {
					n++
				}
			}
			if n != 1 {
				s.split++
				if wrongNote != nil {
					wrongNote(sound, notes)
				}
			}
		}
	}
	m := s.starts[kind]
	if m == nil {
		m = &matched{}
		s.starts[kind] = m
	}
	m.truth += len(sounds)
	m.heard += len(notes)
	i, j := 0, 0
	before := m.hit
	// One pass over two rising lists is an optimal matching of points on a line.
	for i < len(notes) && j < len(sounds) {
		d := notes[i].start - sounds[j].Start
		switch {
		case math.Abs(d) <= onset:
			m.hit++
			m.late = append(m.late, d)
			if kind == corpus.Natural && notes[i].end > 0 {
				s.ends++
				if math.Abs(notes[i].end-sounds[j].End) <= release {
					s.endsRight++
				}
			}
			i++
			j++
		case d < 0:
			i++
		default:
			j++
		}
	}
	if wrongNote != nil && (kind == corpus.Natural || kind == corpus.Repeat || kind == corpus.Warble) && (m.hit-before != len(sounds) || len(notes) != len(sounds)) {
		wrongNote(sounds[0], notes)
	}
	if kind == corpus.Warble {
		truth := make([]note, len(sounds))
		for i, x := range sounds {
			truth[i] = note{start: x.Start, end: x.End, hz: x.Hz(x.On)}
		}
		a, b := truth[0].hz, truth[1].hz
		want, _ := alternating(truth, a, b)
		measure := alternating
		if s.ours {
			measure = warble
		}
		got, ok := measure(notes, a, b)
		if !ok {
			got = warbleError{math.Inf(1), math.Inf(1), math.Inf(1)}
		}
		s.warbles = append(s.warbles, warbleError{100 * (got.rate/want.rate - 1), 100 * (got.evenness - want.evenness), 100 * (got.share - want.share)})
	}
}

// warble is how this ear measures one.
func warble(notes []note, a, b float64) (warbleError, bool) {
	var list []listen.Note
	for _, n := range notes {
		list = append(list, listen.Note{Start: int64(math.Round(n.start * corpus.Rate)), F0: n.hz, Error: n.err * corpus.Rate})
	}
	w, ok := listen.Take{Rate: corpus.Rate}.Warble(list, a, b)
	return warbleError{w.Rate, w.Evenness, w.Share}, ok
}

// alternating measures a warble between a and b Hz: notes a second, coefficient of
// variation of the gaps about each hole's own mean, and share of the time on a.
func alternating(notes []note, a, b float64) (warbleError, bool) {
	side := func(n note) int {
		switch {
		case n.hz == 0: // the program gives no pitch
			return -1
		case math.Abs(cents(n.hz, a)) < 80:
			return 0
		case math.Abs(cents(n.hz, b)) < 80:
			return 1
		}
		return 2
	}
	var gaps [2][]float64
	for i := 2; i < len(notes); i++ { // the first gap begins with an attack
		from, to := side(notes[i-1]), side(notes[i])
		if from < 0 {
			from, to = (i-1)%2, i%2
		}
		if from > 1 || to > 1 || from == to {
			continue
		}
		gaps[from] = append(gaps[from], notes[i].start-notes[i-1].start)
	}
	if len(gaps[0]) < 2 || len(gaps[1]) < 2 {
		return warbleError{}, false
	}
	var mean [2]float64
	variance := 0.0
	for k, g := range gaps {
		for _, x := range g {
			mean[k] += x / float64(len(g))
		}
		for _, x := range g {
			variance += (x - mean[k]) * (x - mean[k])
		}
	}
	both := (mean[0] + mean[1]) / 2
	n := float64(len(gaps[0]) + len(gaps[1]) - 2)
	return warbleError{1 / both, math.Sqrt(variance/n) / both, mean[0] / (mean[0] + mean[1])}, true
}

// pitches scores the frames.
func (s *sums) pitches(f corpus.File, c corpus.Condition, h heard) {
	i, under, underOf := 0, 0.0, -1
	for _, p := range h.points {
		for i < len(f.Sounds) && f.Sounds[i].Off < p.at {
			i++
		}
		if i == len(f.Sounds) {
			break
		}
		x := f.Sounds[i]
		if p.at < x.On {
			continue
		}
		want := x.Hz(p.at)
		off := math.Inf(1)
		if p.hz > 0 {
			off = math.Abs(cents(p.hz, want))
		}
		switch x.Kind {
		case corpus.Natural, corpus.Repeat, corpus.Warble:
			if p.confidence >= minSure && p.at > x.Start+0.025 {
				s.single++
				if p.others[0].hz > 0 {
					s.claimed++
				}
			}
			if x.Kind != corpus.Natural || p.at < x.Start+0.1 || p.at > x.Off-0.01 {
				continue
			}
			s.frames++
			if off <= 50 {
				s.right50++
				s.errs = append(s.errs, off)
			}
			if off <= 25 {
				s.right25++
			}
			if off <= 10 {
				s.right10++
			}
			if p.hz > 0 && math.Abs(math.Remainder(cents(p.hz, want), 1200)) <= 50 {
				s.chroma++
			}
			if p.confidence >= minSure {
				s.sure++
				if off <= 50 {
					s.sureRight++
				}
			}
		case corpus.Bend, corpus.Scoop, corpus.Vibrato:
			if p.at < x.Start+0.025 || p.at > x.Off-0.01 {
				continue
			}
			s.moving++
			if off <= 50 {
				s.movingRight++
			}
		case corpus.Pair:
			if p.at < x.Start+0.1 || p.at > x.Off-0.03 {
				continue
			}
			q := s.pair[x.Under]
			if q == nil {
				q = &pairSums{}
				s.pair[x.Under] = q
			}
			q.frames++
			if off <= 50 {
				q.loud++
			}
			switch o := p.others[0]; {
			case o.hz == 0:
			case math.Abs(cents(o.hz, x.SecondHz())) < 60:
				q.named++
				if underOf != i {
					under, underOf = f.Under(x, c), i
				}
				q.levels = append(q.levels, o.level+under)
			default:
				q.wrong++
			}
		}
	}
}

// chord scores a run that asked for chords: every voice named, nothing else; and on naturals none.
func (s *sums) chord(f corpus.File, h heard) {
	for _, x := range f.Sounds {
		if x.Kind == corpus.Natural {
			for _, p := range h.points {
				if p.at > x.Start+0.025 && p.at < x.Off && p.confidence >= minSure {
					s.alone++
					if p.others[0].hz > 0 {
						s.crowded++
					}
				}
			}
		}
		if x.Kind != corpus.Chord {
			continue
		}
		want := []float64{x.Hz(x.On), x.SecondHz()}
		if x.Third > 0 {
			want = append(want, x.ThirdHz())
		}
		for _, p := range h.points {
			if p.at < x.Start+0.1 || p.at > x.Off-0.03 {
				continue
			}
			s.chords++
			got := []float64{p.hz}
			for _, o := range p.others {
				if o.hz > 0 {
					got = append(got, o.hz)
				}
			}
			ok := len(got) == len(want)
			for _, w := range want {
				ok = ok && slices.ContainsFunc(got, func(g float64) bool { return g > 0 && math.Abs(cents(g, w)) < 60 })
			}
			if ok {
				s.chordRight++
			}
		}
	}
}

// confidence fills a reliability table: every point that names a pitch, whether a
// sound that was being played then, or within half a window of it, has that pitch. A
// sound is taken to ring on for 0.15 s, in the room for 0.6 s.
func confidence(f corpus.File, c corpus.Condition, points []point, bins *[10][2]int) {
	const half = 0.021
	ring := 0.15
	if c.InRoom() {
		ring = 0.6
	}
	for _, p := range points {
		if p.hz == 0 {
			continue
		}
		ok := false
		for _, x := range f.Sounds {
			if p.at < x.On-half || p.at > x.End+half+ring {
				continue
			}
			for _, t := range []float64{p.at - half, p.at, math.Min(p.at+half, x.Off)} {
				ok = ok || math.Abs(cents(p.hz, x.Hz(t))) <= 50
			}
			if x.Kind == corpus.Chord || x.Kind == corpus.Pair {
				ok = ok || math.Abs(cents(p.hz, x.SecondHz())) <= 50 || x.Third > 0 && math.Abs(cents(p.hz, x.ThirdHz())) <= 50
			}
		}
		b := bin(p.confidence)
		bins[b][0]++
		if ok {
			bins[b][1]++
		}
	}
}

// bin is the row of the reliability table.
func bin(confidence float64) int { return min(9, int(confidence*10+1e-9)) }

// firsts notes how long after two periods from the start of each natural its pitch was first given with
// confidence, by a frame or by the newest window, in seconds, the ear's delay included; and how long after that it could first be shown, sure or not.
func (s *sums) firsts(f corpus.File, h heard) {
	for _, x := range f.Sounds {
		if x.Kind != corpus.Natural {
			continue
		}
		due := x.Start + 2/x.Hz(x.Off)
		if first := min(firstOf(x, h.points, minSure)+h.delay, firstOf(x, h.latest, minSure)+h.latestDelay); first < math.Inf(1) {
			s.first = append(s.first, first-due)
			s.shown = append(s.shown, min(first, firstOf(x, h.latest, listen.HintConfidence)+h.latestDelay)-due)
		}
	}
}

// firstOf is the time of the first of the points with the right pitch and as much confidence.
func firstOf(x corpus.Sound, points []point, confidence float64) float64 {
	for _, p := range points {
		if p.at > x.On-0.03 && p.at < x.Off && p.hz > 0 && p.confidence >= confidence && math.Abs(cents(p.hz, x.Hz(p.at))) <= 50 {
			return p.at
		}
	}
	return math.Inf(1)
}
