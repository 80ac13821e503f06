package synth

import "math"

// tableSize is the length of one cycle. With four-point interpolation the error
// of a partial with 20 samples a period is under -60 dB of that partial, and
// partials that high lie 50 dB under the tone.
const tableSize = 2048

// shades is the number of tables from dark to bright. Neighbours differ little
// enough that the RMS of a mix of two stays within 0.1 dB of 1.
const shades = 6

// margin keeps partials under this share of half the sampling rate, so that
// bending, vibrato and interpolation fold nothing back.
const margin = 0.92

// highest is the frequency in Hz above which a partial is not worth sounding: it
// lies more than 60 dB under the tone.
const highest = 12000.0

type tableKey struct{ semitone int }

// tables are single cycles of RMS 1, dark to bright, each with three guard samples
// (one before, two after).
type tables [shades][tableSize + 3]float64

// tablesFor gives the tables of a voice whose highest pitch is hz. Colour is a
// matter of register, so tables are shared by the semitone.
func (p *player) tablesFor(hz float64) *tables {
	// Rounded up, so that the partials fit at the pitch that is asked for.
	key := tableKey{int(math.Ceil(12*math.Log2(hz/440) + 0.3))}
	if t := p.tables[key]; t != nil {
		return t
	}
	t := newTables(440*math.Exp2(float64(key.semitone)/12), p.rate)
	p.tables[key] = t
	return t
}

func newTables(hz, rate float64) *tables {
	count := int(math.Min(highest, margin*rate/2) / hz)
	count = max(1, min(count, tableSize/20))
	t := new(tables)
	var wave [tableSize]float64 // cos of one cycle
	for i := range wave {
		wave[i] = math.Cos(2 * math.Pi * float64(i) / tableSize)
	}
	for s := range t {
		bright := float64(s) / (shades - 1)
		cycle := t[s][1 : 1+tableSize]
		power := 0.0
		for k := 1; k <= count; k++ {
			a := partial(k, hz, bright)
			power += a * a / 2
			// Phases that run away quadratically spread the pulse and keep the peak
			// near 3 times the RMS (after Schroeder 1970, from memory).
			offset := int(float64(k*k) * tableSize * 0.07)
			for i := range cycle {
				cycle[i] += a * wave[(i*k+offset)%tableSize]
			}
		}
		scale := 1 / math.Sqrt(power)
		for i := range cycle {
			cycle[i] *= scale
		}
		t[s][0] = cycle[tableSize-1]
		t[s][tableSize+1] = cycle[0]
		t[s][tableSize+2] = cycle[1]
	}
	return t
}

// partial is the relative amplitude of partial k of a reed at hz.
//
// Flow through a free reed comes in pulses with strong low partials. The slot and
// the small opening radiate highs better than lows, so that on low reeds the second
// partial passes the fundamental (one amateur's spectra, informal). Above a corner
// that rises with loudness the pulse is rounded. The figures are our choice,
// held near sampled harmonicas by TestSpectrumAgainstSampledHarmonicas.
func partial(k int, hz, bright float64) float64 {
	f := float64(k) * hz
	pulse := 1 / math.Sqrt(float64(k))
	radiated := f / math.Sqrt(f*f+500*500)
	corner := 1100 * math.Exp2(1.6*bright)
	// The corner follows high reeds up, or they would be sines.
	corner = math.Max(corner, hz*(0.9+0.8*bright))
	x := f / corner
	return pulse * radiated / (1 + x*x*math.Sqrt(x))
}

// at reads the tables at phase 0..1 and colour 0..1.
func (t *tables) at(phase, bright float64) float64 {
	x := phase * tableSize
	i := int(x)
	u := x - float64(i)
	if i >= tableSize { // phase rounded up to 1
		i, u = tableSize-1, 1
	}
	b := bright * (shades - 1)
	s := int(b)
	if s >= shades-1 {
		s = shades - 2
	}
	w := b - float64(s)
	lo := (*[4]float64)(t[s][i : i+4])
	hi := (*[4]float64)(t[s+1][i : i+4])
	y0 := lo[0] + w*(hi[0]-lo[0])
	y1 := lo[1] + w*(hi[1]-lo[1])
	y2 := lo[2] + w*(hi[2]-lo[2])
	y3 := lo[3] + w*(hi[3]-lo[3])
	// Cubic Hermite through y1 and y2 (Catmull-Rom).
	c1 := 0.5 * (y2 - y0)
	c2 := y0 - 2.5*y1 + 2*y2 - 0.5*y3
	c3 := 0.5*(y3-y0) + 1.5*(y1-y2)
	return ((c3*u+c2)*u+c1)*u + y1
}

// openCutoff is the corner of an open hand in Hz, wahOctaves how far a closed one
// pulls it down: to about 600 Hz. wahLevel is what a closed hand takes off all
// partials, in dB. Our choice: a swing that a meter and an ear cannot miss.
const (
	openCutoff = 9000.0
	wahOctaves = 3.9
	wahLevel   = 3.0
)

// filter is a two-pole low-pass with a slight rise at its corner: the air in the
// cupped hand. Topology-preserving state-variable form (Zavalishin, The Art of VA
// Filter Design, from memory), which takes a moving corner without clicks.
type filter struct{ g, a1, a2, a3, s1, s2 float64 }

const handDamping = 1.0 // 1/Q; sqrt(2) would be flat

func (f *filter) tune(hz, rate float64) {
	f.g = math.Tan(math.Pi * math.Min(hz, 0.45*rate) / rate)
	f.a1 = 1 / (1 + f.g*(f.g+handDamping))
	f.a2 = f.g * f.a1
	f.a3 = f.g * f.a2
}

func (f *filter) next(x float64) float64 {
	v3 := x - f.s2
	v1 := f.a1*f.s1 + f.a2*v3
	v2 := f.s2 + f.a2*f.s1 + f.a3*v3
	f.s1 = 2*v1 - f.s1
	f.s2 = 2*v2 - f.s2
	return v2
}
