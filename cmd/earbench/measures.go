//go:build !js

package main

import (
	"fmt"
	"io"
	"math"

	"reedwell/audio/audiotest/corpus"
	"reedwell/audio/listen"
)

// measures scores what is measured on single notes: scoops, vibrato, hand and settling.
func (s *sums) measures(f corpus.File, t listen.Take, wrong bool, out io.Writer) {
	find := func(x corpus.Sound) (listen.Note, bool) {
		for _, n := range t.Notes {
			if math.Abs(float64(n.Start)/corpus.Rate-x.Start) < 0.04 {
				return n, true
			}
		}
		return listen.Note{}, false
	}
	for _, x := range f.Sounds {
		n, ok := find(x)
		if !ok {
			if x.Kind == corpus.Scoop {
				s.scoopsMissed++
			}
			continue
		}
		miss := func(format string, args ...any) {
			if wrong {
				fmt.Fprintf(out, "%s harp %d: %s of key %d at %.2f s: %s\n", f.Voice, f.Harp, x.Kind, x.Key, x.Start, fmt.Sprintf(format, args...))
			}
		}
		switch x.Kind {
		case corpus.Scoop:
			depth := x.Scooped()
			d := t.Scoop(n) - depth
			s.scoops = append(s.scoops, d)
			if math.Abs(d) > 5 {
				miss("depth %.0f heard %+.1f off", depth, d)
			}
			const near = 10.0 // cents
			hz := x.Hz(x.Off - 0.06)
			want := x.Settled(near)
			s.settle = append(s.settle, t.Settle(n, hz, near)-want)
			if math.Abs(t.Settle(n, hz, near)-want) > 0.015 {
				miss("settles after %.3f s, heard %.3f", want, t.Settle(n, hz, near))
			}
		case corpus.Vibrato:
			w, _ := t.Vibrato(n)
			s.vibRate = append(s.vibRate, w.Rate/x.Rate-1)
			s.vibExtent = append(s.vibExtent, w.Extent/x.Depth-1)
			if math.Abs(w.Rate/x.Rate-1) > 0.03 || math.Abs(w.Extent/x.Depth-1) > 0.1 {
				miss("%.2f Hz, %.1f cents heard %.2f Hz, %.1f cents", x.Rate, x.Depth, w.Rate, w.Extent)
			}
		case corpus.Wah:
			w, _ := t.Wah(gathered(t, n, x))
			s.wahRate = append(s.wahRate, w.Rate/x.Rate-1)
			if math.Abs(w.Rate/x.Rate-1) > 0.03 {
				miss("%.2f Hz heard %.2f Hz, %.1f dB", x.Rate, w.Rate, w.Extent)
			}
		}
	}
}

// gathered is n with the notes after it on its reed while x sounds: what a hand broke up is measured as one. Where a note that swings is asked
// for, levels/grade gathers it too, frame by frame and without being told when it ends. That it was broken up is counted elsewhere.
func gathered(t listen.Take, n listen.Note, x corpus.Sound) listen.Note {
	const sameReed = 90.0 // cents, as in levels/grade
	for _, m := range t.Notes {
		if m.First >= n.Last && float64(m.Start)/corpus.Rate < x.Off && math.Abs(cents(m.F0, n.F0)) < sameReed {
			n.End, n.Last = m.End, m.Last
		}
	}
	return n
}

// near is the share of xs within limit, in per cent.
func near(xs []float64, limit float64) float64 {
	n := 0
	for _, x := range xs {
		if math.Abs(x) <= limit {
			n++
		}
	}
	return share(n, len(xs))
}
