package pace_test

import (
	"math"
	"testing"

	"reedwell/game/pace"
)

// near reports a difference of less than a microsecond, far under what a clock resolves.
func near(a, b float64) bool { return math.Abs(a-b) < 1e-6 }

func TestFiguresOfATake(t *testing.T) {
	var m pace.Meter
	at := 1.0
	m.Frame(pace.Frame{At: at, Sound: -1})
	m.Press(at + 0.001)
	m.Frame(pace.Frame{At: at + 0.012, Sound: -1, Take: true}) // 11 ms after the press
	at += 0.012
	if f := m.Last(); f.Pictures != 0 || !near(f.Press, 0.011) {
		t.Errorf("before a take is over: %+v, want no pictures and a press of 11 ms", f)
	}
	// 200 pictures: 195 after 16 ms, three after 30 and two after 50. By nearest rank
	// (NIST/SEMATECH handbook 7.2.6.2, without interpolation) the 198th is the 99th of 100.
	for i := range 200 {
		gap := 0.016
		switch {
		case i%40 == 7 && i < 120:
			gap = 0.030
		case i == 150 || i == 190:
			gap = 0.050
		}
		at += gap
		m.Frame(pace.Frame{At: at, Work: gap / 4, Sound: float64(i+1) / 1000, Take: true})
	}
	m.Frame(pace.Frame{At: at + 0.5, Sound: -1})
	f := m.Last()
	if f.Pictures != 200 || !near(f.Usual, 0.016) || !near(f.Slow, 0.030) || !near(f.Work, 0.0075) || !near(f.Sound, 0.100) || !near(f.SlowSound, 0.190) {
		t.Errorf("%+v, want 200 pictures, 16 and 30 ms, work 7.5 ms, sound 100 and 190 ms", f)
	}
	m.Frame(pace.Frame{At: at + 9, Sound: -1})
	if m.Last() != f {
		t.Errorf("later: %+v, want what it was", m.Last())
	}
	m.Frame(pace.Frame{At: at + 10, Take: true})
	m.Frame(pace.Frame{At: at + 10.02, Take: true, Sound: -1})
	m.Frame(pace.Frame{At: at + 10.04})
	if f := m.Last(); f.Pictures != 1 || !near(f.Usual, 0.020) || f.Sound != 0 {
		t.Errorf("the next take: %+v, want one picture after 20 ms and no sound", f)
	}
}

// A long take is judged by its newest part, in memory that does not grow.
func TestLongTake(t *testing.T) {
	var m pace.Meter
	at := 0.0
	for i := range 20000 {
		gap := 0.100
		if i > 10000 {
			gap = 0.010
		}
		at += gap
		m.Frame(pace.Frame{At: at, Take: true})
	}
	if n := testing.AllocsPerRun(100, func() { at += 0.010; m.Frame(pace.Frame{At: at, Take: true}) }); n != 0 {
		t.Errorf("a picture allocates %v times, want 0", n)
	}
	m.Frame(pace.Frame{At: at})
	if f := m.Last(); f.Pictures < 20000 || !near(f.Slow, 0.010) {
		t.Errorf("%+v, want all pictures counted and 10 ms at the slowest", f)
	}
}
