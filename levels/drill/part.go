package drill

import (
	"errors"
	"fmt"
	"math"
)

// What may be wrong with a part of a drill.
var (
	ErrPart  = errors.New("there are no such bars")
	ErrEmpty = errors.New("nothing is asked in these bars")
)

// Part is a drill of some bars of d alone, from bar from to bar to, both counted from 1 and
// both in it. The count-in is d's, and times and beats are counted anew from the part's first
// bar. What is asked in it is what starts in it; a part that begins with d keeps d's pickup.
// The first note of a part is tongued, since nothing is before it, and a note that goes on over
// the end is let go at the bar line. The band plays the chords of these bars, and after the
// last one ends as d does.
//
// The error wraps ErrPart or ErrEmpty. The result shares no memory with d.
func Part(d Drill, from, to int) (Drill, error) {
	if from < 1 || to < from || to > d.Bars {
		return Drill{}, fmt.Errorf("bars %d to %d of %d: %w", from, to, d.Bars, ErrPart)
	}
	low, high := float64((from-1)*d.BeatsPerBar), float64(to*d.BeatsPerBar)
	first := low
	if from == 1 {
		first = math.Inf(-1)
	}
	p := d
	p.Bars = to - from + 1
	p.Seconds = p.Time(high-low) + d.Seconds - d.Time(float64(d.Bars*d.BeatsPerBar))
	p.Targets, p.Chords, p.Calls = nil, nil, nil
	for _, t := range d.Targets {
		if !(t.Beat >= first-onLine && t.Beat < high-onLine) {
			continue
		}
		if len(p.Targets) == 0 {
			t.Join = Tongued
		}
		if t.Beat+t.Beats > high+onLine && to < d.Bars {
			t.Beats = high - t.Beat
		}
		t.Beat -= low
		t.Start, t.End = p.Time(t.Beat), p.Time(t.Beat+t.Beats)
		t.Also = append(t.Also[:0:0], t.Also...)
		p.Targets = append(p.Targets, t)
	}
	for _, c := range d.Calls {
		if c.Beat >= first-onLine && c.Beat < high-onLine {
			c.Beat -= low
			c.Start, c.End = p.Time(c.Beat), p.Time(c.Beat+c.Beats)
			p.Calls = append(p.Calls, c)
		}
	}
	if len(p.Targets) == 0 {
		return Drill{}, fmt.Errorf("bars %d to %d: %w", from, to, ErrEmpty)
	}
	for _, c := range d.Chords {
		start, end := math.Max(c.Beat, low), c.Beat+c.Beats
		if to < d.Bars {
			end = math.Min(end, high)
		}
		if end <= start+onLine {
			continue
		}
		c.Beat, c.Beats = start-low, end-start
		c.Tones = append(c.Tones[:0:0], c.Tones...)
		p.Chords = append(p.Chords, c)
	}
	return p, nil
}

// onLine is how near a bar line a note lies on it, in beats: thirds of a beat do not add up
// exactly.
const onLine = 1e-3
