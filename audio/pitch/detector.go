package pitch

import (
	"fmt"
	"math"

	"reedwell/audio/internal/dsp"
)

// Size is the length of the analysed window in samples, LongSize that of a Detector made by NewLong.
const (
	Size     = 512
	LongSize = 1024
)

// Bounds of the analysis rate in Hz. The window then lasts 41 to 47 ms: three to
// six periods of the lowest reeds, and short enough that half of it, the delay, is
// under 24 ms.
const (
	MinRate = 11000
	MaxRate = 12500
)

// A Detector measures one window at a time. It keeps scratch space but no memory
// of earlier windows: what it should remember is passed in.
type Detector struct {
	rate, low, high float64
	size            int // of the window
	wide            int // bins to one of a window of Size
	binHz           float64
	bottom, top     int // the first and last bin used

	fft     *dsp.RealFFT // nil of a long window
	halves  *halves      // of a long window, nil of others
	raw     []complex128
	h       []complex128 // spectrum
	pow     []float64    // |h|^2
	res     []complex128 // h without the lines found
	respow  []float64
	scratch []uint64
	band    []uint8   // of each bin, see bands
	floor   []float64 // mean noise power of each band
	clearly []uint16  // how many bins under each one have overRest of what is left around them
	// alone and aloneFloor are respow and floor with the main voice only taken out, for a Trace; nil without one.
	alone, aloneFloor []float64

	peaks   []peak
	near    []int16 // the peak nearest to each bin, -1 for none
	tried   []uint32
	turn    uint32
	weight  [maxTeeth + 1]float64 // 1/k
	weights [maxTeeth + 1]float64 // and their sums up to k
	octaves [divisors + 1]float64 // from 1/k up to 1
	main    series
	second  [2]series
	trial   series
	best    [readings + 1]reading // and the pitch of the window before, see Analyse
}

// A Voice is a pitch beside the main one.
type Voice struct {
	F0    float64 // Hz; 0 means none
	Level float64 // dB relative to the main voice
}

// An Estimate is what one window holds.
type Estimate struct {
	// F0 is the pitch of the loudest harmonic series at the window's centre, in Hz;
	// 0 when no series lies in the range searched.
	F0 float64
	// Share of the power that the series found account for, 0..1, corrected for
	// what as many lines would catch of plain noise.
	Share float64
	// Score of the series against the other readings of the spectrum, see rate.
	Score float64
	// Power of the window, Hann-weighted mean square, from about 70 Hz up.
	Power float64
	// Tone is the part of Power that belongs to the main series.
	Tone float64
	// Centroid of the magnitude spectrum in Hz.
	Centroid float64
	// Others, loudest first.
	Others [2]Voice
	// Locks says how the lines of a voice that is alone stand to each other; long windows only.
	Locks Locks
}

// New makes a Detector for samples at rate Hz and pitches from low to high Hz.
func New(rate, low, high float64) *Detector { return newDetector(rate, low, high, Size) }

// NewLong makes a Detector with a window twice as long, LongSize: for holes that sound together, low
// ones of which lie nearer than the other can tell apart.
func NewLong(rate, low, high float64) *Detector { return newDetector(rate, low, high, LongSize) }

func newDetector(rate, low, high float64, size int) *Detector {
	if !(rate >= MinRate && rate <= MaxRate) || !(low >= 100) || !(high > low) || !(high < rate/2) {
		panic(fmt.Sprintf("pitch: rate %g Hz, search range %g to %g Hz: want %d to %d and 100 to under half the rate",
			rate, low, high, MinRate, MaxRate))
	}
	d := &Detector{rate: rate, low: low, high: high, size: size, wide: size / Size, binHz: rate / float64(size),
		raw: make([]complex128, size/2+1), h: make([]complex128, size/2+1),
		res: make([]complex128, size/2+1),
		pow: make([]float64, size/2+1), respow: make([]float64, size/2+1), scratch: make([]uint64, size),
		peaks: make([]peak, 0, maxPeaks), near: make([]int16, size/2+1),
		tried: make([]uint32, 512),
		band:  make([]uint8, size/2+1), floor: make([]float64, len(bands)),
		clearly: make([]uint16, size/2+1),
	}
	d.bottom = bottomBin * d.wide
	if size == LongSize {
		d.halves = newHalves()
	} else {
		d.fft = dsp.NewRealFFT(size)
	}
	for k := 1; k <= maxTeeth; k++ {
		d.weight[k] = 1 / float64(k)
		d.weights[k] = d.weights[k-1] + d.weight[k]
	}
	for k := 1; k <= divisors; k++ {
		d.octaves[k] = math.Log2(float64(k))
	}
	for b := 0; b+1 < len(bands); b++ {
		for k := d.edge(b); k < min(d.edge(b+1), len(d.band)); k++ {
			d.band[k] = uint8(b)
		}
	}
	// The resampler passes all up to 5.2 kHz and a little beyond.
	d.top = int(topHz / d.binHz)
	return d
}

const (
	topHz     = 5300.0 // the resampler before passes all up to 5.2 kHz and nearly all up to here
	bottomBin = 3      // of a window of Size, 70 Hz: under the lowest reed, over mains hum's fundamental
)

// Analyse measures the window x, Size samples or LongSize. recent is the pitch of the window
// before, 0 for none: of two readings that are about equally good the one that goes on
// is taken. beside lists the pitches in Hz that may sound along with the pitch
// found; it is asked once that pitch is known, and may be nil.
func (d *Detector) Analyse(x []float64, recent float64, beside func(hz float64) []float64) Estimate {
	d.spectrum(x)
	var est Estimate
	sum, weighted, total := 0.0, 0.0, 0.0
	for k := d.bottom; k <= d.top; k++ {
		p := d.pow[k]
		m := math.Sqrt(p)
		total += p
		sum += m
		weighted += m * float64(k)
	}
	// A sine of amplitude A gives sum |h|^2 = 1.5 A^2 and has the mean square A^2/2.
	est.Power = total / 3
	if est.Power < silence {
		return est
	}
	est.Centroid = weighted / sum * d.binHz
	d.findPeaks()
	count := d.choose(recent)
	if count == 0 {
		return est
	}
	est.Score = d.best[0].score
	n := d.read(d.best[0].hz, beside)
	est.Share = d.share(n)
	if est.Share < doubtful {
		// Another reading may account for more, as where one strong harmonic hides the
		// series it belongs to, or two low holes have their lines in each other's.
		listed := count
		if recent > 0 {
			d.best[count] = reading{hz: recent}
			count++
		}
		best, last := 0, 0
		for i := 1; i < count && est.Share < doubtful; i++ {
			last = i
			n = d.read(d.best[i].hz, beside)
			// The pitch of the window before counts only where it now has a voice beside it: in noise alone a
			// low one gathers more than the right one.
			if share := d.share(n); share > est.Share && (i < listed || n > 0) {
				est.Share, best = share, i
			}
		}
		if best != last {
			n = d.read(d.best[best].hz, beside)
		}
	}
	if d.halves != nil && n > 0 {
		every := d.thin(&d.main, &d.second[0])
		if n == 2 {
			every = d.thin(&d.main, &d.second[0], &d.second[1])
		}
		if every > 0 {
			n = d.read(float64(every)*d.main.nu*d.binHz, beside)
			est.Share = d.share(n)
		}
	}
	est.F0 = d.main.nu * d.binHz
	for i := range n {
		est.Others[i] = Voice{F0: d.second[i].nu * d.binHz, Level: d.second[i].level}
	}
	if n > 0 && est.Others[0].Level > 0 {
		// What was taken for the other voice is the louder one.
		loud := est.Others[0]
		est.Others[0] = Voice{F0: est.F0, Level: -loud.Level}
		est.Others[1].Level -= loud.Level
		est.F0 = loud.F0
		est.Tone = d.second[0].power()
	} else {
		est.Tone = d.main.power()
	}
	if d.halves != nil && n == 0 {
		d.locks(&est.Locks)
	}
	if est.F0 < d.low*0.97 || est.F0 > d.high*1.03 {
		est.F0, est.Share, est.Tone, est.Locks = 0, 0, 0, Locks{}
		est.Others = [2]Voice{}
	}
	return est
}

// Powers copies to dst the power in the bins of the window last analysed; a sine of amplitude A has A^2.
func (d *Detector) Powers(dst []float64) { copy(dst, d.pow) }

// doubtful is the share under which the next best readings are tried too. Our choice: two
// holes that were told apart and a tone 5 dB over pink noise lie above.
const doubtful = 0.7

// read fits the series with f0 at f Hz and what sounds beside it. It returns the number
// of other voices.
func (d *Detector) read(f float64, beside func(hz float64) []float64) int {
	d.main.reset(f/d.binHz, d.top+beyond)
	d.fit(&d.main)
	d.fit(&d.main)
	d.residual(0)
	copy(d.alone, d.respow) // nothing where no Trace was made
	copy(d.aloneFloor, d.floor)
	if beside == nil {
		return 0
	}
	return d.others(beside(d.main.nu * d.binHz))
}

// silence is the mean square under which nothing is looked for: -100 dBFS, the noise
// of a 16-bit converter.
const silence = 1e-10
