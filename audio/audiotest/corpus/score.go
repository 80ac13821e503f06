package corpus

import (
	"math"
	"math/rand/v2"
	"slices"

	"reedwell/audio/audiotest"
)

// A Kind is what a sound is there to show.
type Kind string

// The kinds.
const (
	Natural Kind = "natural"
	Bend    Kind = "bend"
	Scoop   Kind = "scoop"
	Vibrato Kind = "vibrato"
	Wah     Kind = "wah"
	Warble  Kind = "warble"
	Repeat  Kind = "repeat"
	Pair    Kind = "pair"  // two neighbouring holes
	Chord   Kind = "chord" // an octave or two or three holes, about equally loud
)

// A Sound is one note and the truth about it.
type Sound struct {
	Kind       Kind
	On, Off    float64 // when it is played
	Start, End float64 // when it is heard to start and end, see the package comment
	Key        int     // MIDI pitch played
	Cents      float64 // by which the voice sounds over Key
	Curve      []audiotest.Point
	Velocity   int
	Group      int // warbles and repeats that belong together
	// Second and Third sound along, MIDI pitches, 0 for none; Under dB under the note.
	Second, Third int
	Under         float64
	SecondCents   float64
	ThirdCents    float64
	// Depth in cents, Rate in Hz and Seconds of a scoop, vibrato or wah; for a wah Extent is how
	// far, in dB, the hand takes the level down.
	Depth, Rate, Seconds, Extent float64
	// own is the pitch of the sound over what is asked of it, in cents, every millisecond from On:
	// samples scoop and waver of themselves. See refer.
	own []float64
}

// Hz is the true pitch at t seconds.
func (s Sound) Hz(t float64) float64 {
	return s.asked(t) * math.Exp2(s.strays(t)/1200)
}

// asked is the pitch at t seconds of a voice that is even.
func (s Sound) asked(t float64) float64 {
	return audiotest.Hz(audiotest.Played{Key: s.Key, Bend: s.Curve}.Pitch(t) + s.Cents/100)
}

func (s Sound) strays(t float64) float64 {
	if len(s.own) == 0 {
		return 0
	}
	u := min(max((t-s.On)*1000, 0), float64(len(s.own)-1))
	i := min(int(u), len(s.own)-2)
	return s.own[i] + (u-float64(i))*(s.own[i+1]-s.own[i])
}

// Scooped is how many cents s lies at most under the pitch it comes to, from 50 ms after its start to
// 0.2 s after it (listen.Take.Scoop says why), and
// Settled how long after its start, in seconds, it has come within cents of that pitch to stay.
func (s Sound) Scooped() float64 {
	to, depth := s.to(), 0.0
	for t := s.Start + 0.05; t < s.Start+0.2; t += 0.001 {
		depth = max(depth, -1200*math.Log2(s.Hz(t)/to))
	}
	return depth
}

// Settled: see Scooped.
func (s Sound) Settled(cents float64) float64 {
	to := s.to()
	t := s.Off - 0.05
	for t > s.Start && math.Abs(1200*math.Log2(s.Hz(t)/to)) < cents {
		t -= 0.001
	}
	return t - s.Start
}

// to is the median pitch from 0.2 s after the start on, in Hz.
func (s Sound) to() float64 {
	var v []float64
	for t := s.Start + 0.2; t < s.Off-0.03; t += 0.001 {
		v = append(v, s.Hz(t))
	}
	slices.Sort(v)
	return v[len(v)/2]
}

// SecondHz and ThirdHz are the true pitches of what sounds along.
func (s Sound) SecondHz() float64 { return audiotest.Hz(float64(s.Second) + s.SecondCents/100) }
func (s Sound) ThirdHz() float64  { return audiotest.Hz(float64(s.Third) + s.ThirdCents/100) }

// Offsets of a ten-hole harp's reeds in semitones over 1 blow (Richter layout, OEIS A291810), and
// how many semitones each hole bends.
var (
	blow  = [10]int{0, 4, 7, 12, 16, 19, 24, 28, 31, 36}
	draw  = [10]int{2, 7, 11, 14, 17, 21, 23, 26, 29, 33}
	bends = [10]int{1, 2, 3, 1, 0, 1, 0, 1, 1, 2}
)

// A Span tells which pitches in Hz may sound beside one that lies in [Low, High] Hz.
type Span struct {
	Low, High float64
	Beside    []float64
}

// Spans of the harp whose 1 blow is the MIDI pitch key: the neighbouring holes of the same
// breath. With chords all holes up to four away, which takes in octaves and chords.
func Spans(key int, chords bool) []Span {
	reach := 1
	if chords {
		reach = 4
	}
	var out []Span
	for b, reeds := range [2][10]int{blow, draw} {
		for h, r := range reeds {
			low := 0.0
			if (b == 1) == (h < 6) {
				low = float64(bends[h])
			}
			s := Span{Low: audiotest.Hz(float64(key+r) - low - 0.5), High: audiotest.Hz(float64(key+r) + 0.6)}
			for n := h - reach; n <= h+reach; n++ {
				if n >= 0 && n < 10 && n != h {
					s.Beside = append(s.Beside, audiotest.Hz(float64(key+reeds[n])))
				}
			}
			out = append(out, s)
		}
	}
	return out
}

// highest key that both fonts have a sound for.
const highest = 96

// score is what is played on the harp whose 1 blow is the MIDI pitch key.
func score(key int, seed uint64) []Sound {
	rng := rand.New(rand.NewPCG(seed, uint64(key)))
	between := func(lo, hi float64) float64 { return lo + (hi-lo)*rng.Float64() }
	var out []Sound
	at, group := 0.4, 0
	add := func(s Sound, length, rest float64) {
		s.On, s.Off = at, at+length
		if s.Velocity == 0 {
			s.Velocity = 85 + rng.IntN(30)
		}
		out = append(out, s)
		at += length + rest
	}
	pick := func(reeds [10]int) int {
		for {
			if k := key + reeds[rng.IntN(10)]; k <= highest-2 {
				return k
			}
		}
	}
	// Every second natural, so that all files together hold all of them.
	seen := map[int]bool{}
	for i, r := range append(blow[:], draw[:]...) {
		if k := key + r; k <= highest && !seen[k] && (i+int(seed))%2 == 0 {
			seen[k] = true
			add(Sound{Kind: Natural, Key: k}, between(0.4, 0.6), between(0.15, 0.3))
		}
	}
	for i := range 4 {
		h := []int{1, 2, 3, 5}[i]
		k := key + draw[h]
		depth := float64(1 + rng.IntN(bends[h]))
		go1, go2 := between(0.06, 0.14), between(0.06, 0.14)
		add(Sound{Kind: Bend, Key: k, Depth: 100 * depth, Curve: []audiotest.Point{{At: at + 0.25, Pitch: float64(k)},
			{At: at + 0.25 + go1, Pitch: float64(k) - depth}, {At: at + 0.65, Pitch: float64(k) - depth}, {At: at + 0.65 + go2, Pitch: float64(k)}}}, 1, 0.3)
	}
	for range 5 {
		k := pick([][10]int{blow, draw}[rng.IntN(2)])
		depth, seconds := between(50, 150), between(0.08, 0.15)
		add(Sound{Kind: Scoop, Key: k, Depth: depth, Seconds: seconds}, 0.6, 0.25)
	}
	for range 3 {
		k := pick([][10]int{blow, draw}[rng.IntN(2)])
		rate, depth := between(4, 7), between(8, 35)
		var c []audiotest.Point
		for t := 0.0; t <= 1.6; t += 0.004 {
			c = append(c, audiotest.Point{At: at + t, Pitch: float64(k) + depth/100*math.Min(1, math.Max(0, (t-0.1)/0.15))*math.Sin(2*math.Pi*rate*t)})
		}
		add(Sound{Kind: Vibrato, Key: k, Rate: rate, Depth: depth, Curve: c}, 1.6, 0.25)
	}
	for range 3 {
		add(Sound{Kind: Wah, Key: pick([][10]int{blow, draw}[rng.IntN(2)]), Rate: between(2.5, 6.5), Extent: between(5, 16)}, 1.6, 0.25)
	}
	rates := [][2]float64{{3, 5}, {5, 7}, {7, 9}, {9, 11.5}, {11.5, 14}}
	for i, r := range rates {
		group++
		h, reeds := 1+rng.IntN(7), [][10]int{blow, draw}[rng.IntN(2)]
		for key+reeds[h+1] > highest {
			h--
		}
		rate, jitter, share := between(r[0], r[1]), 0.0, 0.5
		if i%2 == 1 {
			jitter, share = between(0.05, 0.12), between(0.42, 0.58)
		}
		begin := at
		for n := 0; at < begin+2; n++ {
			k, d := key+reeds[h], 2*share/rate
			if n%2 == 1 {
				k, d = key+reeds[h+1], 2*(1-share)/rate
			}
			d *= 1 + jitter*math.Max(-2, math.Min(2, rng.NormFloat64()))
			add(Sound{Kind: Warble, Key: k, Group: group, Rate: rate, Velocity: 100}, d, 0)
		}
		at += 0.4
	}
	for _, gap := range []float64{0.03, 0.045, 0.06} {
		for range 2 {
			group++
			k := pick([][10]int{blow, draw}[rng.IntN(2)])
			for range 6 {
				add(Sound{Kind: Repeat, Key: k, Group: group, Seconds: gap}, between(0.12, 0.3)-gap, gap)
			}
			at += 0.35
		}
	}
	for _, under := range []float64{6, 12, 20} {
		for range 3 {
			h, reeds := rng.IntN(9), [][10]int{blow, draw}[rng.IntN(2)]
			for key+reeds[h+1] > highest {
				h--
			}
			s := Sound{Kind: Pair, Key: key + reeds[h], Second: key + reeds[h+1], Under: under}
			if rng.IntN(2) == 0 {
				s.Key, s.Second = s.Second, s.Key
			}
			add(s, 0.7, 0.25)
		}
	}
	for _, c := range [][3]int{{0, 3, -1}, {1, 4, -1}, {3, 6, -1}, {2, 3, -1}, {1, 2, 3}, {3, 4, 5}} {
		s := Sound{Kind: Chord, Key: key + blow[c[0]], Second: key + blow[c[1]], Under: between(0, 4)}
		if c[2] >= 0 {
			s.Third = key + blow[c[2]]
		}
		add(s, 0.7, 0.25)
	}
	return out
}

// scooped is what the weak voice plays: every natural of the two lowest octaves, each from
// 60 cents under it.
func scooped(key int) []Sound {
	rng := rand.New(rand.NewPCG(uint64(key), 3))
	var out []Sound
	at := 0.4
	for _, r := range append(blow[:6:6], draw[:6]...) {
		length := 0.5 + 0.2*rng.Float64()
		out = append(out, Sound{Kind: Scoop, On: at, Off: at + length, Key: key + r, Depth: 60, Seconds: 0.05 + 0.05*rng.Float64()})
		at += length + 0.2
	}
	return out
}

// only keeps the sounds of some kinds and closes the gaps.
func only(sounds []Sound, kinds []Kind) []Sound {
	var out []Sound
	cut := 0.0
	for i, s := range sounds {
		if !slices.Contains(kinds, s.Kind) {
			if i+1 < len(sounds) {
				cut += sounds[i+1].On - s.On
			}
			continue
		}
		s.On, s.Off = s.On-cut, s.Off-cut
		for j := range s.Curve {
			s.Curve[j].At -= cut
		}
		out = append(out, s)
	}
	return out
}
