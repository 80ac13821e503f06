package screen

import (
	"math"
	"slices"
)

// The foot is a strip at the lower end of the window that does not scroll, under the thumb of
// whoever holds a phone. It holds the one thing to do next wherever that would else lie further
// down than the window shows when a screen comes up. All sizes are our choice.
const footEdge = 10 // free over and under what stands in the foot

// next is the one thing to do next, and what stands beside it alone in its row, as hearing a
// drill beside playing it. Where nothing is primary it is the button that has the keyboard.
func (s *Screen) next() []int {
	i := slices.IndexFunc(s.Items, func(it Item) bool { return it.Role == Button && it.Style == Primary })
	if i < 0 {
		i = slices.IndexFunc(s.Items, func(it Item) bool { return it.Role == Button && it.ID == s.Focus })
	}
	if i < 0 {
		return nil
	}
	row, from, to := s.Items[i].Row, i, i+1
	for row != 0 && from > 0 && s.Items[from-1].Row == row {
		from--
	}
	for row != 0 && to < len(s.Items) && s.Items[to].Row == row {
		to++
	}
	if to-from != 2 || s.Items[from].Role != Button || s.Items[to-1].Role != Button {
		return []int{i}
	}
	return []int{from, from + 1}
}

// out reports items of which one ends under the window.
func (s *Screen) out(items []int, height float64) bool {
	for _, i := range items {
		if r := s.Items[i].Rect; r.Y+r.H > height {
			return true
		}
	}
	return false
}

// underfoot puts items of a screen that is otherwise placed into its foot.
func (p *placer) underfoot(items []int, width float64) {
	w := math.Min(width-2*Margin(width), maxColumn)
	x := (width - w) / 2
	bottom := p.column(items, x, 0, w)
	h := math.Ceil(bottom + 2*footEdge)
	top := p.height - h
	for _, i := range items {
		p.s.Items[i].Rect.Y += top + footEdge
	}
	p.s.Foot = Rect{0, top, width, h}
}
