package synth

import (
	"fmt"
	"math"
)

// A Point is one corner of a curve over time.
type Point struct {
	At    float64 // seconds from the first sample of the rendered sound
	Value float64 // Hz or dB
}

// StartShare is the share of the held amplitude at which a note is said to start
// and to end: -12 dB. Vos & Rasch 1981 place the perceived onset of a tone 6 to
// 15 dB under its maximum (figure from memory).
const StartShare = 0.25

// DefaultLevel is the level in dBFS of a note whose Level is 0. Our choice: the
// peak of a single voice then stays more than 10 dB clear of full scale.
const DefaultLevel = -20.0

// DefaultBreath is the level of the breath noise, in dB relative to the tone, of
// a note whose Breath is 0. Our choice: present, and well under any leak that is
// graded.
const DefaultBreath = -42.0

// DefaultDip is how far, in dB, the level falls before a tongued note that touches
// the one before it, when its Dip is 0: a tongue that closes the hole.
const DefaultDip = 40.0

// A Note is one breath on one hole.
type Note struct {
	// Start and End in seconds: see the package comment for what they mark.
	Start, End float64
	// Hz is the pitch over time, straight in cents between points, steady before
	// the first and after the last. At least one point. Points are placed in the
	// time of the whole sound, like Start.
	Hz []Point
	// Level of the held tone in dBFS (RMS); 0 means DefaultLevel.
	Level float64
	// LevelCurve is added to Level, in dB, straight between points. May be nil.
	LevelCurve []Point
	// Attack and Release are the whole rise and fall in seconds; 0 means what a
	// reed of that pitch does (see DefaultAttack, DefaultRelease).
	Attack, Release float64
	// Legato: no new attack. The breath goes on and the tone cross-fades from the
	// note that ends here. If that note's pitch at the join is within half a
	// semitone it is taken as the same reed and simply goes on sounding: give the
	// glide in Hz.
	Legato bool
	// Dip is the depth in dB of the gap a tongued repeat makes when it touches the
	// note before it on the same reed; 0 means DefaultDip. The bottom lies just
	// before Start, and Start is then StartShare of the way up from the bottom.
	Dip float64
	// Leaks are other reeds that sound along.
	Leaks []Leak
	// Breath is the noise under the tone in dB relative to it; 0 means
	// DefaultBreath, NoBreath means none.
	Breath  float64
	Vibrato Vibrato
	Wah     Wah
	// Scoop starts the note under its pitch.
	Scoop Scoop
}

// NoBreath as a Note's Breath turns the noise off.
const NoBreath = -200.0

// A Leak is a reed that sounds along with a note, with the note's envelope.
type Leak struct {
	Hz float64
	// Level is how many dB the leak lies under the note; 20 and -20 mean the same,
	// since a leak is never louder than its note.
	Level float64
	// Start and End in seconds, when the leak sounds for a part of the note only.
	// Both 0: for all of it.
	Start, End float64
}

// Vibrato moves pitch and level together, after Delay seconds from the start.
// Cents and DB are the extent to either side: 10 means from -10 to +10.
type Vibrato struct {
	Rate  float64 // Hz
	Cents float64
	DB    float64
	Delay float64 // seconds; the extent then grows over one period
}

// Wah is a hand that opens and closes Rate times a second: a low-pass that
// moves, with the level it takes away. Depth 0 is open all the time, 1 closes fully.
type Wah struct {
	Rate  float64 // Hz
	Depth float64 // 0..1
}

// Scoop starts a note Cents under its pitch and lets go within Seconds.
type Scoop struct {
	Cents   float64
	Seconds float64
}

// Steady is the pitch curve of a held note.
func Steady(hz float64) []Point { return []Point{{0, hz}} }

// DefaultAttack is the rise in seconds of a reed at hz: 20 ms for the highest
// reeds, 45 ms for the lowest. Longer reeds start more slowly (Cottingham & Wolff,
// Third Vienna Talk 2015); the figures are common practice, no source,
// at the short end so that any ear finds the start within a few ms of Start.
func DefaultAttack(hz float64) float64 {
	// 45 ms at 150 Hz, 6 ms less for each octave.
	return clamp(0.045-0.006*math.Log2(hz/150), 0.020, 0.045)
}

// DefaultRelease is the fall in seconds of a reed at hz: 50 ms for the lowest, 25 ms
// for the highest. Our choice: a reed rings for a few periods longer than it starts.
func DefaultRelease(hz float64) float64 {
	return clamp(0.050-0.006*math.Log2(hz/150), 0.025, 0.050)
}

// hzAt is the pitch at t, log-linear between points.
func hzAt(curve []Point, t float64) float64 {
	i, u := locate(curve, t)
	if u == 0 {
		return curve[i].Value
	}
	return curve[i].Value * math.Exp2(u*math.Log2(curve[i+1].Value/curve[i].Value))
}

// dbAt is the value at t, linear between points; 0 for an empty curve.
func dbAt(curve []Point, t float64) float64 {
	if len(curve) == 0 {
		return 0
	}
	i, u := locate(curve, t)
	if u == 0 {
		return curve[i].Value
	}
	return curve[i].Value + u*(curve[i+1].Value-curve[i].Value)
}

// locate finds the segment of t: between points i and i+1 at the share u, or
// exactly at point i when u is 0.
func locate(curve []Point, t float64) (i int, u float64) {
	lo, hi := 0, len(curve) // first point after t lies in [lo, hi]
	for lo < hi {
		m := (lo + hi) / 2
		if curve[m].At > t {
			hi = m
		} else {
			lo = m + 1
		}
	}
	switch {
	case lo == 0:
		return 0, 0
	case lo == len(curve):
		return lo - 1, 0
	}
	a, b := curve[lo-1].At, curve[lo].At
	return lo - 1, (t - a) / (b - a)
}

// check panics on what only a caller's bug can ask for.
func (n Note) check(i int) {
	bad := func(format string, args ...any) {
		panic(fmt.Sprintf("synth: note %d: %s", i, fmt.Sprintf(format, args...)))
	}
	if !(n.End > n.Start) || math.IsInf(n.End, 0) || math.IsInf(n.Start, 0) {
		bad("end %g s is not after start %g s", n.End, n.Start)
	}
	if len(n.Hz) == 0 {
		bad("no pitch: Hz needs at least one point")
	}
	for j, p := range n.Hz {
		if !(p.Value > 0 && p.Value < 1e5) {
			bad("pitch %g Hz at point %d is not a pitch", p.Value, j)
		}
		if j > 0 && !(p.At >= n.Hz[j-1].At) {
			bad("Hz point %d at %g s comes before point %d", j, p.At, j-1)
		}
	}
	for j, p := range n.LevelCurve {
		if math.IsNaN(p.Value) || j > 0 && !(p.At >= n.LevelCurve[j-1].At) {
			bad("LevelCurve point %d is out of order or not a number", j)
		}
	}
	if !(n.Level <= 0) {
		bad("level %g dBFS is above full scale", n.Level)
	}
	for j, l := range n.Leaks {
		if !(l.Hz > 0 && l.Hz < 1e5) {
			bad("leak %d: %g Hz is not a pitch", j, l.Hz)
		}
	}
}

func clamp(x, lo, hi float64) float64 { return math.Max(lo, math.Min(hi, x)) }

// amp turns dB into a factor. Exp2 is plain Go on every platform, Exp is not.
func amp(db float64) float64 { return math.Exp2(db * 0.16609640474436813) } // log2(10)/20
