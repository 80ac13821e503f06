package score

import (
	"fmt"

	"reedwell/levels/lesson"
)

// A Value is a piece of a note or a rest that a page can show as one sign.
type Value struct {
	Start, Length lesson.Ticks
	Base          int // 1 whole, 2 half, 4 quarter ... 64; 0 when no sign has this length
	Dotted        bool
	// Of a tuplet: so many last as long as so many plain ones, 3 and 2 for triplets. 0, 0: none.
	Actual, Normal int
}

// Whole is the ticks of a whole note: in 12/8 the beat is a dotted quarter.
func Whole(twelve bool) lesson.Ticks {
	if twelve {
		return lesson.Beat * 8 / 3
	}
	return 4 * lesson.Beat
}

// smallest is the shortest sign, a sixty-fourth.
const smallest = 64

// Values cuts what sounds or rests from start to end at bar lines and beats until each
// part is one sign. Joined by ties the parts last as long as the whole; a length that no
// sign has gets a part with Base 0.
func Values(start, end lesson.Ticks, twelve bool) []Value {
	var all []Value
	for start < end {
		bar := floor(start, lesson.Bar) + lesson.Bar
		stop := min(end, bar)
		all = append(all, inBar(start, stop, twelve)...)
		start = stop
	}
	return all
}

func floor(t, unit lesson.Ticks) lesson.Ticks { return t - (t%unit+unit)%unit }

func inBar(start, end lesson.Ticks, twelve bool) []Value {
	if v, ok := sign(start, end-start, twelve); ok {
		return []Value{v}
	}
	next, last := floor(start, lesson.Beat)+lesson.Beat, floor(end, lesson.Beat)
	cut := next
	if start == next-lesson.Beat && last > start && last < end {
		cut = last // as many whole beats as there are
	}
	if cut < end {
		return append(inBar(start, cut, twelve), inBar(cut, end, twelve)...)
	}
	// Inside a beat: the longest sign that fits, or what is left as it is.
	if length := end - start; length < lesson.Beat {
		if grid := Whole(twelve) / smallest / 3; length%grid != 0 || floor(start, grid) != start {
			return []Value{odd(start, length, twelve)}
		}
		for length := end - start - 1; length > 0; length-- {
			if v, ok := sign(start, length, twelve); ok {
				return append([]Value{v}, inBar(start+length, end, twelve)...)
			}
		}
		return []Value{{Start: start, Length: end - start}}
	}
	half := floor(start+(end-start)/2, lesson.Beat) // whole beats that no one sign has: five, seven in 2/4 ...
	return append(inBar(start, half, twelve), inBar(half, end, twelve)...)
}

// sign is the one sign for a length at a place, if there is one that reads well there.
func sign(start, length lesson.Ticks, twelve bool) (Value, bool) {
	whole := Whole(twelve)
	grid := whole / smallest
	for base := 1; base <= smallest; base *= 2 {
		plain := whole / lesson.Ticks(base)
		for _, dotted := range []bool{false, true} {
			v := Value{Start: start, Length: length, Base: base, Dotted: dotted}
			full := plain
			if dotted {
				if base == smallest {
					continue
				}
				full = plain * 3 / 2
			}
			if full == length && floor(start, grid) == start {
				return v, true
			}
			// Triplets: inside a beat, or quarters of them inside two.
			if full*2 == length*3 && !twelve && base > 1 {
				span := lesson.Beat
				if base <= 4 && floor(start, 2*lesson.Beat/3) == start {
					span = 2 * lesson.Beat
				}
				if floor(start, grid*2/3) == start && start+length <= floor(start, span)+span {
					v.Actual, v.Normal = 3, 2
					return v, true
				}
			}
		}
	}
	return Value{}, false
}

// odd is a sign of five, seven or nine in a tuplet, or a Value without a sign.
func odd(start, length lesson.Ticks, twelve bool) Value {
	for _, t := range [][2]int{{5, 4}, {7, 4}, {9, 8}} {
		a, n := lesson.Ticks(t[0]), lesson.Ticks(t[1])
		if length*a%n != 0 {
			continue
		}
		if v, ok := sign(0, length*a/n, twelve); ok && v.Actual == 0 {
			v.Start, v.Length, v.Actual, v.Normal = start, length, t[0], t[1]
			return v
		}
	}
	return Value{Start: start, Length: length}
}

// Group marks which values of tuplets belong under one bracket: for each value the number of
// its bracket from 1, or 0. A bracket runs to the next beat at which its parts end.
func Group(values []Value) []int {
	all := make([]int, len(values))
	n, open := 0, false
	for i, v := range values {
		if v.Actual == 0 {
			open = false
			continue
		}
		if !open || values[i-1].Actual != v.Actual || values[i-1].Start+values[i-1].Length != v.Start {
			n++
		}
		all[i] = n
		end := v.Start + v.Length
		open = floor(end, lesson.Beat) != end
	}
	return all
}

// Fine is how finely readers count: the beat in parts that halves, thirds, fifths,
// sevenths, ninths, elevenths and thirteenths of a tick-sized note fit evenly.
const (
	fine     = 3 * 3 * 5 * 7 * 11 * 13
	FineBeat = int64(lesson.Beat) * fine
)

// Snap takes a place or length counted in parts of FineBeat to the nearest tick of a grid
// that can be written down: sixty-fourths of a beat or forty-eighths. It reports whether
// it had to move it.
func Snap(f int64) (t lesson.Ticks, moved bool) {
	near := func(unit int64) int64 {
		unit *= fine
		q := f / unit
		if r := f - q*unit; 2*r >= unit {
			q++
		} else if 2*r < -unit {
			q--
		}
		return q * unit
	}
	abs := func(v int64) int64 { return max(v, -v) }
	a, b := near(int64(lesson.Beat)/64), near(int64(lesson.Beat)/48)
	if abs(b-f) < abs(a-f) {
		a = b
	}
	return lesson.Ticks(a / fine), a != f
}

// A Meter is what a time signature means here.
type Meter struct {
	Twelve bool
	Bar    lesson.Ticks // of the signature: half a bar of the lesson in 2/4 and 6/8
}

// NewMeter reads a time signature. A lesson's bars have four beats, so it takes 4/4, 2/4,
// 2/2 and the like, and 6/8 and 12/8.
func NewMeter(beats, unit int) (Meter, error) {
	switch {
	case unit == 8 && (beats == 12 || beats == 6):
		return Meter{true, lesson.Ticks(beats) * lesson.Beat / 3}, nil
	case beats > 0 && unit > 0 && beats <= 32 && unit <= 32 && (beats == unit || 2*beats == unit && unit == 4):
		return Meter{false, lesson.Ticks(4*beats) * lesson.Beat / lesson.Ticks(unit)}, nil
	}
	return Meter{}, fmt.Errorf("time %d/%d: a lesson's bars have four beats; write the tune in 4/4, 2/4, 2/2, 6/8 or 12/8", beats, unit)
}
