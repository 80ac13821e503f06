package pitch

import (
	"math"
	"math/rand/v2"
	"testing"
)

// A hole 20 dB under another in white noise 10 dB under both, which windows one by one seldom tell: added up it is found
// at its pitch and level, not where it is not, and forgotten when it ends or the note changes.
func TestTrace(t *testing.T) {
	const rate, hop = 12000, 60
	const main, second = 392.00, 493.88 // G4 and B4, equal temperament, A 440
	const frames = 200
	x := make([]float64, frames*hop+Size)
	rng := rand.New(rand.NewPCG(3, 4))
	tone(x[:160*hop], rate, main, 0.1, timbres["reed"])
	tone(x[160*hop:], rate, second*0.75, 0.1, timbres["reed"])
	power := 0.0
	for _, v := range x[:100*hop] {
		power += v * v / (100 * hop)
	}
	alone := append([]float64(nil), x...)
	tone(x[:100*hop], rate, second, 0.1*math.Pow(10, -20.0/20), timbres["reed"])
	sigma := math.Sqrt(power / 10)
	for i := range x {
		v := sigma * rng.NormFloat64()
		x[i] += v
		alone[i] += v
	}
	named := func(float64) []float64 { return []float64{329.63, second} }
	run := func(x []float64, ask float64) (found []Traced) {
		d := New(rate, 125, 3400)
		trace := d.NewTrace()
		for n := range frames {
			est := d.Analyse(x[n*hop:n*hop+Size], 0, named)
			trace.Add(&est)
			found = append(found, trace.Find(ask, named(ask)))
		}
		return found
	}
	found := run(x, main)
	count := 0
	for n, v := range found {
		switch {
		case n >= 40 && n < 90:
			if v.F0 > 0 {
				count++
				if off := 1200 * math.Abs(math.Log2(v.F0/second)); off > 25 || math.Abs(v.Level+20) > 4 {
					t.Errorf("window %d: %.1f Hz at %.1f dB, want %.1f at -20", n, v.F0, v.Level, second)
				}
			}
		case n < traceLeast || n >= 100+traceShort+2: // windows that still reach over the end are left to it
			if v.F0 > 0 {
				t.Errorf("window %d: %.1f Hz at %.1f dB, where there is nothing", n, v.F0, v.Level)
			}
		}
	}
	if count < 48 {
		t.Errorf("found in %d of 50 windows", count)
	}
	for n, v := range run(alone, main) {
		if v.F0 > 0 {
			t.Errorf("window %d: %.1f Hz at %.1f dB beside a note alone", n, v.F0, v.Level)
		}
	}
	// Asked about another voice than the one it is about it says nothing.
	for n, v := range run(x, second) {
		if v.F0 > 0 && n < 150 {
			t.Errorf("window %d: %.1f Hz beside a pitch that does not sound", n, v.F0)
		}
	}
}

// The sums that windows are added to and taken from are those of the windows there.
func TestTraceSums(t *testing.T) {
	const rate, hop = 12000, 60
	rng := rand.New(rand.NewPCG(7, 8))
	x := make([]float64, 120*hop+Size)
	tone(x[:60*hop], rate, 392, 0.1, timbres["reed"])
	tone(x[60*hop:], rate, 523.25, 0.1, timbres["reed"])
	for i := range x {
		x[i] += 0.01 * rng.NormFloat64()
	}
	d := New(rate, 125, 3400)
	trace := d.NewTrace()
	began := 0
	for n := range 120 {
		est := d.Analyse(x[n*hop:n*hop+Size], 0, nil)
		before := trace.count
		trace.Add(&est)
		if trace.count < before {
			began++
		}
		for b := d.bottom; b <= d.top; b++ {
			long, short := 0.0, 0.0
			for i := range trace.count {
				p := trace.ring[(trace.at+traceLong-1-i)%traceLong][b]
				long += p
				if i < traceShort {
					short += p
				}
			}
			if math.Abs(long-trace.long[b]) > 1e-12 || math.Abs(short-trace.short[b]) > 1e-12 {
				t.Fatalf("window %d, bin %d: sums %g and %g, want %g and %g", n, b, trace.long[b], trace.short[b], long, short)
			}
		}
	}
	if began != 1 || trace.count != traceLong {
		t.Errorf("begun anew %d times, %d windows at the end; want once and %d", began, trace.count, traceLong)
	}
}
