// Package pace measures how fast the screen follows while a take runs: the time from one
// picture to the next, how much of it the program worked, how old a sound is when its picture
// is drawn, and how long a press takes to be seen. It counts in memory only, a few kilobytes,
// and grades nothing: what a player did is timed by the device's samples.
//
// Times are seconds of any monotonic clock.
package pace

import (
	"fmt"
	"slices"
)

// kept is how many of the newest pictures a Meter keeps: a minute and more at 60 a second,
// longer than most takes.
const kept = 4096

// A ring keeps the newest values.
type ring struct {
	values []float64
	next   int
}

func (r *ring) add(x float64) {
	if len(r.values) < kept {
		r.values = append(r.values, x)
		return
	}
	r.values[r.next] = x
	r.next = (r.next + 1) % kept
}

// share is the value that the given share of all does not exceed, 0 when there are none:
// the nearest rank, with which it is one of the values.
func (r *ring) share(p float64) float64 {
	if len(r.values) == 0 {
		return 0
	}
	sorted := slices.Sorted(slices.Values(r.values))
	return sorted[min(len(sorted)-1, max(0, int(p*float64(len(sorted))+0.999999)-1))]
}

// A Frame is what is known when a picture has been drawn.
type Frame struct {
	At    float64 // now
	Work  float64 // how long the program worked for it
	Sound float64 // age of the newest sound that it shows; negative: none is shown
	Take  bool    // a take runs
}

// Figures are a summary.
type Figures struct {
	Pictures    int
	Usual, Slow float64 // from one picture to the next: median, 99 of 100
	Work        float64 // 99 of 100
	Sound       float64 // median
	SlowSound   float64 // 19 of 20
	Press       float64 // of the newest press; 0: none
}

// String is the figures in milliseconds, for a log.
func (f Figures) String() string {
	ms := func(s float64) float64 { return 1000 * s }
	return fmt.Sprintf("%d pictures, one every %.1f ms (median), %.1f ms (99 of 100), work %.1f ms (99 of 100); sound %.1f ms (median), %.1f ms (19 of 20); press %.1f ms",
		f.Pictures, ms(f.Usual), ms(f.Slow), ms(f.Work), ms(f.Sound), ms(f.SlowSound), ms(f.Press))
}

// A Meter counts the pictures of one take after the other. The zero value is ready. It is not
// safe for use by several goroutines.
type Meter struct {
	gaps, works, sounds ring

	pictures int
	running  bool
	last     float64

	pressed float64 // when; 0: nothing waits to be seen
	press   float64
	kept    Figures // of the last take that is over
}

// Press notes that the player pressed something; its picture is the next one drawn.
func (m *Meter) Press(at float64) {
	if m.pressed == 0 {
		m.pressed = at
	}
}

// Frame notes a picture.
func (m *Meter) Frame(f Frame) {
	if m.pressed > 0 {
		m.press, m.pressed = f.At-m.pressed, 0
		m.kept.Press = m.press
	}
	switch {
	case f.Take && !m.running: // what comes before the first picture of a take is no part of it
		m.gaps, m.works, m.sounds, m.pictures = ring{}, ring{}, ring{}, 0
	case f.Take:
		m.gaps.add(f.At - m.last)
		m.works.add(f.Work)
		m.pictures++
		if f.Sound >= 0 {
			m.sounds.add(f.Sound)
		}
	case m.running && m.pictures > 0:
		m.kept = Figures{
			Pictures: m.pictures, Usual: m.gaps.share(0.5), Slow: m.gaps.share(0.99), Work: m.works.share(0.99),
			Sound: m.sounds.share(0.5), SlowSound: m.sounds.share(0.95), Press: m.press,
		}
	}
	m.running, m.last = f.Take, f.At
}

// Last are the figures of the last take that is over, and of the last press.
func (m *Meter) Last() Figures { return m.kept }
