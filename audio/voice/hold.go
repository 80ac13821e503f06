package voice

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"reedwell/audio/internal/dsp"
)

// What is looked for.
const (
	Lead    = 0.6    // seconds of the room before the note
	Lowest  = 70.0   // Hz; a bass's low C is 65 (scientific pitch notation)
	Highest = 2500.0 // Hz; whistles lie from some 500 to 2500 (from memory)
)

// How the frames are made.
const (
	every  = 0.010 // seconds from one to the next
	length = 0.044 // seconds: three periods of the lowest note, a quarter of a vibrato's turn
	// slowest is the least rate in Hz that frames are made at: six samples for a period of the highest.
	slowest = 16000
)

// What a frame has to be to belong to a note. Our choices, tried on the sounds of the tests.
const (
	periodic = 0.8   // of the square difference: 6 dB over noise
	nearTop  = 0.9   // of the highest peak: the period is the first that comes so near (McLeod and Wyvill use 0.8 to 1)
	overRoom = 10.0  // dB
	quietest = -60.0 // dBFS
)

// What a stretch of frames has to be to be held. Our choices.
const (
	least  = 1.0  // seconds
	leap   = 80.0 // cents in a frame: twice what the widest vibrato moves
	hole   = 0.05 // seconds without pitch that do not end it
	swing  = 0.36 // seconds of the mean: two turns of a vibrato of five and a half in a second
	steady = 50.0 // cents from the least to the greatest mean of a held second
	inside = 25.0 // cents from its pitch as far as it goes on
)

// Why nothing was measured.
var (
	ErrQuiet   = errors.New("nothing was heard over the room")
	ErrRoom    = errors.New("something sounded before the note")
	ErrNoPitch = errors.New("no pitch was heard")
	ErrShort   = errors.New("no note was held for a second")
	ErrSlides  = errors.New("the pitch slid")
)

// A Held is a note that was held.
type Held struct {
	Hz      float64 // the mean, on a scale of cents, of its steadiest stretch: what is heard of a vibrato (Shonle and Horan, J. Acoust. Soc. Am. 67, 1980, from memory)
	Spread  float64 // cents: half of what holds the middle nine tenths of its frames, vibrato included
	Start   float64 // seconds from the first sample
	Seconds float64 // how long the stretch lasts
	Level   float64 // dBFS
}

// A frame is a look at the sound.
type frame struct {
	level float64 // dBFS
	cents float64 // over Lowest; NaN where it has no pitch
}

// A Hold listens to somebody who holds a note.
type Hold struct {
	rate   float64
	down   *dsp.Resampler // nil: the rate is as it is
	out    []float64
	sound  []float64
	next   int // sample at which the next frame begins
	size   int
	curve  []float64 // of the frame that is looked at, by lag
	frames []frame
}

// NewHold listens at a rate in Hz.
func NewHold(rate int) *Hold {
	if rate < 8000 || rate > 192000 {
		panic(fmt.Sprintf("voice: rate of %d Hz: want 8000 to 192000", rate))
	}
	h := &Hold{rate: float64(rate)}
	if by := rate / slowest; by > 1 {
		h.rate /= float64(by)
		h.down = dsp.NewResampler(float64(rate), 1, by, 1.2*Highest, 0.5*h.rate, 60)
		h.out = make([]float64, 2)
	}
	h.size = int(length * h.rate)
	h.curve = make([]float64, int(h.rate/Lowest)+3)
	return h
}

// Process takes the next samples.
func (h *Hold) Process(samples []float32) {
	for _, v := range samples {
		if h.down == nil {
			h.sound = append(h.sound, float64(v))
			continue
		}
		h.sound = append(h.sound, h.out[:h.down.Push(float64(v), h.out)]...)
	}
	for ; h.next+h.size <= len(h.sound); h.next = int(float64(len(h.frames)) * every * h.rate) {
		h.frames = append(h.frames, h.look(h.sound[h.next:h.next+h.size]))
	}
}

// look measures a frame.
func (h *Hold) look(x []float64) frame {
	power := 0.0
	for _, v := range x {
		power += v * v
	}
	f := frame{level: dsp.DB(power/float64(len(x)) + 1e-12), cents: math.NaN()}
	if f.level < quietest {
		return f
	}
	h.compare(x)
	if lag, ok := h.period(); ok {
		if hz := h.rate / lag; hz >= Lowest && hz <= Highest {
			f.cents = dsp.Cents(hz, Lowest)
		}
	}
	return f
}

// compare fills the curve: 1 where the frame is the same so many samples on, 0 for noise.
func (h *Hold) compare(x []float64) {
	for lag := range h.curve {
		both, square := 0.0, 0.0
		for i, v := range x[:len(x)-lag] {
			w := x[i+lag]
			both += v * w
			square += v*v + w*w
		}
		h.curve[lag] = 2 * both / (square + 1e-12)
	}
}

// period is the lag of the first peak that comes near the highest.
func (h *Hold) period() (float64, bool) {
	c := h.curve
	i := 1
	for i < len(c)-1 && c[i] > 0 {
		i++
	}
	var peaks []int
	highest, best := periodic, 0
	for ; i < len(c)-1; i++ {
		switch {
		case c[i] > 0 && (best == 0 || c[i] > c[best]):
			best = i
		case c[i] <= 0 && best > 0:
			peaks, best = append(peaks, best), 0
		}
	}
	if best > 0 {
		peaks = append(peaks, best)
	}
	for _, p := range peaks {
		highest = math.Max(highest, c[p])
	}
	for _, p := range peaks {
		if c[p] >= nearTop*highest && c[p] >= periodic {
			return h.exact(p), true
		}
	}
	return 0, false
}

// exact follows a peak from period to period, twice as far each time, and returns the period that the farthest tells.
func (h *Hold) exact(peak int) float64 {
	at, turns := h.top(peak), 1.0
	first := h.curve[peak]
	for {
		around := 2 * at
		if around > float64(len(h.curve)-3) {
			return at / turns
		}
		far := h.climb(int(math.Round(around)))
		if h.curve[far] < nearTop*first || math.Abs(float64(far)-around) > 0.1*at/turns+1 {
			return at / turns
		}
		at, turns = h.top(far), 2*turns
	}
}

// climb goes from a lag to the top of the hill that it lies on.
func (h *Hold) climb(i int) int {
	for i+1 < len(h.curve)-1 && h.curve[i+1] > h.curve[i] {
		i++
	}
	for i > 1 && h.curve[i-1] > h.curve[i] {
		i--
	}
	return i
}

// top is where the parabola through a peak and its neighbours has its top.
func (h *Hold) top(i int) float64 {
	if i < 1 || i+1 >= len(h.curve) {
		return float64(i)
	}
	return float64(i) + dsp.Vertex(h.curve[i-1], h.curve[i], h.curve[i+1])
}

// Held tells the note that was held, or why there is none: [ErrQuiet], [ErrRoom], [ErrNoPitch], [ErrShort] or [ErrSlides].
func (h *Hold) Held() (Held, error) {
	room, err := h.room()
	if err != nil {
		return Held{}, err
	}
	runs, err := h.runs(room)
	if err != nil {
		return Held{}, err
	}
	best, found := Held{}, ErrShort
	calmest := math.Inf(1)
	for _, run := range runs {
		if len(run) < need {
			continue
		}
		if found == ErrShort {
			found = ErrSlides
		}
		smooth := h.smooth(run)
		for i := 0; i+need <= len(smooth); i++ {
			span := slices.Max(smooth[i:i+need]) - slices.Min(smooth[i:i+need])
			if span > steady || span >= calmest {
				continue
			}
			calmest, found = span, nil
			best = h.held(run, smooth, i, i+need)
		}
	}
	return best, found
}

// need is how many frames of pitch a note has at least.
const need = int(least / every)

// room is how loud it was before the note. What is loud at the end of the lead already is the note: the room is the lead's quieter half.
func (h *Hold) room() (float64, error) {
	lead := h.frames[:min(int(Lead/every), len(h.frames))]
	if len(lead) == 0 {
		return quietest, nil
	}
	var levels []float64
	sounding := 0
	for _, f := range lead {
		levels = append(levels, f.level)
		if !math.IsNaN(f.cents) {
			sounding++
		}
	}
	if 2*sounding > len(lead) {
		return 0, ErrRoom
	}
	slices.Sort(levels)
	return max(quietest, levels[len(levels)/2]), nil
}

// runs are the frames over the room, as stretches in which the pitch goes on.
func (h *Hold) runs(room float64) ([][]int, error) {
	loud, pitched := 0, 0
	var all [][]int
	var run []int
	for i, f := range h.frames {
		if f.level < room+overRoom {
			continue
		}
		loud++
		if math.IsNaN(f.cents) {
			continue
		}
		pitched++
		if n := len(run); n > 0 {
			last := run[n-1]
			if float64(i-last)*every > hole || math.Abs(f.cents-h.frames[last].cents) > leap*float64(i-last) {
				all, run = append(all, run), nil
			}
		}
		run = append(run, i)
	}
	switch {
	case loud*2 < need:
		return nil, ErrQuiet
	case pitched*2 < need:
		return nil, ErrNoPitch
	}
	return append(all, run), nil
}

// smooth is the pitch of a run with its swing taken out.
func (h *Hold) smooth(run []int) []float64 {
	half := int(swing / every / 2)
	sums := make([]float64, len(run)+1)
	for i, f := range run {
		sums[i+1] = sums[i] + h.frames[f].cents
	}
	out := make([]float64, len(run))
	for i := range run {
		from, to := max(0, i-half), min(len(run), i+half+1)
		out[i] = (sums[to] - sums[from]) / float64(to-from)
	}
	return out
}

// held measures the stretch [from, to) of a run, drawn out while it stays where it is.
func (h *Hold) held(run []int, smooth []float64, from, to int) Held {
	pitch := 0.0
	for _, c := range smooth[from:to] {
		pitch += c / float64(to-from)
	}
	for from > 0 && math.Abs(smooth[from-1]-pitch) <= inside {
		from--
	}
	for to < len(run) && math.Abs(smooth[to]-pitch) <= inside {
		to++
	}
	var all []float64
	level, mean := 0.0, 0.0
	for _, f := range run[from:to] {
		all = append(all, h.frames[f].cents)
		mean += h.frames[f].cents / float64(to-from)
		level += dsp.Power(h.frames[f].level)
	}
	slices.Sort(all)
	return Held{
		Hz:      Lowest * math.Exp2(mean/1200),
		Spread:  (all[len(all)*95/100] - all[len(all)*5/100]) / 2,
		Start:   float64(run[from]) * every,
		Seconds: float64(run[to-1]-run[from]) * every,
		Level:   dsp.DB(level / float64(to-from)),
	}
}
