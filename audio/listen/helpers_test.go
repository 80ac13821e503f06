package listen

import (
	"fmt"
	"math"
	"slices"
)

// quantile of xs; 0 for none.
func quantile(xs []float64, p float64) float64 {
	if len(xs) == 0 {
		return 0
	}
	s := slices.Clone(xs)
	slices.Sort(s)
	return s[int(p*float64(len(s)-1)+0.5)]
}

func hz(pitch float64) float64 { return 440 * math.Exp2((pitch-69)/12) }

func cents(a, b float64) float64 { return 1200 * math.Log2(a/b) }

// Offsets in semitones over hole 1 blow of the Richter layout (OEIS A291810), and how
// far each hole bends.
var (
	blow  = [10]int{0, 4, 7, 12, 16, 19, 24, 28, 31, 36}
	draw  = [10]int{2, 7, 11, 14, 17, 21, 23, 26, 29, 33}
	bends = [10]int{1, 2, 3, 1, 0, 1, 0, 1, 1, 2}
)

// spans of a harp whose hole 1 blow is the MIDI pitch key.
func spans(key float64) []Span {
	var out []Span
	for b, reeds := range [2][10]int{blow, draw} {
		for h, r := range reeds {
			low := 0.0
			if (b == 1) == (h < 6) {
				low = float64(bends[h])
			}
			s := Span{Low: hz(key + float64(r) - low - 0.5), High: hz(key + float64(r) + 0.6)}
			for _, n := range []int{h - 1, h + 1} {
				if n >= 0 && n < 10 {
					s.Beside = append(s.Beside, hz(key+float64(reeds[n])))
				}
			}
			out = append(out, s)
		}
	}
	return out
}

// score of heard times against true ones, both rising, in seconds: the best one-to-one
// matching within tol by a single pass, which is optimal for points on a line.
type score struct {
	hit, heard, truth int
	errs              []float64 // heard - true of the hits
}

func match(heard, truth []float64, tol float64) score {
	s := score{heard: len(heard), truth: len(truth)}
	i, j := 0, 0
	for i < len(heard) && j < len(truth) {
		switch d := heard[i] - truth[j]; {
		case math.Abs(d) <= tol:
			s.hit++
			s.errs = append(s.errs, d)
			i++
			j++
		case d < 0:
			i++
		default:
			j++
		}
	}
	return s
}

func (s *score) add(o score) {
	s.hit += o.hit
	s.heard += o.heard
	s.truth += o.truth
	s.errs = append(s.errs, o.errs...)
}

func (s score) f() float64 {
	if s.heard+s.truth == 0 {
		return 100
	}
	return 200 * float64(s.hit) / float64(s.heard+s.truth)
}

func (t Take) starts() []float64 {
	var s []float64
	for _, n := range t.Notes {
		s = append(s, float64(n.Start)/float64(t.Rate))
	}
	return s
}

// spread of the errors of the hits, in words.
func (s score) spread() string {
	return fmt.Sprintf("start heard %.1f ms late (median; 5th to 95th percentile %.1f to %.1f)",
		1000*quantile(s.errs, 0.5), 1000*quantile(s.errs, 0.05), 1000*quantile(s.errs, 0.95))
}

// between are the frames from a to b seconds.
func between(take Take, a, b float64) []Frame {
	var out []Frame
	for _, f := range take.Frames {
		if s := float64(f.At) / float64(take.Rate); s >= a && s < b {
			out = append(out, f)
		}
	}
	return out
}

func percent(a, b int) float64 { return 100 * float64(a) / float64(max(b, 1)) }
