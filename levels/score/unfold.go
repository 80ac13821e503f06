package score

import "errors"

// A Bar says how a bar of a page is repeated.
type Bar struct {
	Start   bool  // a repeat begins here
	Times   int   // a repeat ends here, and is played so many times in all; 0: none ends
	Endings []int // played only in these rounds; nil: in all
}

// ErrRepeats is returned for repeats that make a piece too long.
var ErrRepeats = errors.New("its repeats make the tune longer than 512 bars; write it out, or cut it down")

// Unfold lists the bars in the order in which they are played, each by its number from 0.
func Unfold(bars []Bar) ([]int, error) {
	var order []int
	start, round := 0, 1
	for i := 0; i < len(bars); {
		b := bars[i]
		if b.Start && i > start {
			start, round = i, 1
		}
		if len(b.Endings) == 0 || has(b.Endings, round) {
			if order = append(order, i); len(order) > maxBars {
				return nil, ErrRepeats
			}
			if b.Times > 1 {
				if round < b.Times {
					round++
					i = start
					continue
				}
				// The last ending may carry no sign of its own; the next repeat starts after it.
				if len(b.Endings) == 0 || i+1 >= len(bars) || len(bars[i+1].Endings) == 0 {
					start, round = i+1, 1
				}
			}
		}
		i++
	}
	return order, nil
}

func has(all []int, n int) bool {
	for _, v := range all {
		if v == n {
			return true
		}
	}
	return false
}
