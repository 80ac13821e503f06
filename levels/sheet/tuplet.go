package sheet

import (
	"slices"

	"reedwell/levels/lesson"
)

// A tuplet is a stretch whose notes do not divide it as the feel does by itself.
type tuplet struct {
	from, to lesson.Ticks
	label    string
}

// tuplets finds them. The cuts are all places where something starts or ends, each once, in order.
func tuplets(cuts []lesson.Ticks, feel lesson.Kind) []tuplet {
	if len(cuts) == 0 {
		return nil
	}
	is := map[lesson.Ticks]bool{}
	for _, t := range cuts {
		is[t] = true
	}
	inside := func(from, to lesson.Ticks) []lesson.Ticks {
		i, _ := slices.BinarySearch(cuts, from+1)
		j, _ := slices.BinarySearch(cuts, to)
		return cuts[i:j]
	}
	var found []tuplet
	var beat func(from, to lesson.Ticks)
	beat = func(from, to lesson.Ticks) {
		n := parts(from, to, inside(from, to))
		if plain(n, feel) {
			return
		}
		// An eighth and three sixteenths in the time of two: only the half is bracketed.
		if mid := from + (to-from)/2; n%2 == 0 && is[mid] && feel != lesson.Triplet {
			beat(from, mid)
			beat(mid, to)
			return
		}
		if label, ok := count(n); ok {
			found = append(found, tuplet{from, to, label})
		}
	}
	first := floor(cuts[0], lesson.Beat)
	for t := first; t < cuts[len(cuts)-1]; {
		step := lesson.Beat
		// Three long notes over two or four beats.
		for _, wide := range []lesson.Ticks{4 * lesson.Beat, 2 * lesson.Beat} {
			if t+wide <= floor(t, lesson.Bar)+lesson.Bar && feel != lesson.Triplet && is[t] && is[t+wide] && onlyThirds(t, wide, inside(t, t+wide)) {
				step = wide
				break
			}
		}
		if step > lesson.Beat {
			found = append(found, tuplet{t, t + step, "3"})
		} else {
			beat(t, t+step)
		}
		t += step
	}
	return found
}

// onlyThirds reports whether all cuts of a stretch are its thirds.
func onlyThirds(from, length lesson.Ticks, cuts []lesson.Ticks) bool {
	for _, t := range cuts {
		if (t-from)%(length/3) != 0 {
			return false
		}
	}
	return len(cuts) > 0
}

// most is the finest division that gets a number: 64 fills a beat with sixty-fourths of it,
// the finest that package lesson's ticks divide evenly.
const most = 64

// parts is into how many even parts the cuts divide a stretch; 0 when there are too many.
func parts(from, to lesson.Ticks, cuts []lesson.Ticks) int {
	for n := 1; n <= most; n++ {
		even := true
		for _, t := range cuts {
			even = even && int(t-from)*n%int(to-from) == 0
		}
		if even {
			return n
		}
	}
	return 0
}

// plain reports whether a division needs no bracket: halves and halves of halves, and in
// 12/8 thirds and halves of thirds.
func plain(n int, feel lesson.Kind) bool {
	if feel == lesson.Triplet {
		if n == 1 {
			return true
		}
		if n%3 != 0 {
			return false
		}
		n /= 3
	}
	return n > 0 && n&(n-1) == 0
}

// count is the number over the bracket.
func count(n int) (string, bool) {
	if n < 2 || n > 12 {
		return "", false
	}
	return [...]string{"2", "3", "4", "5", "6", "7", "8", "9", "10", "11", "12"}[n-2], true
}

// floor is the multiple of step at or before t.
func floor(t, step lesson.Ticks) lesson.Ticks { return t - ((t%step)+step)%step }

// ceil is the multiple of step at or after t.
func ceil(t, step lesson.Ticks) lesson.Ticks { return -floor(-t, step) }
