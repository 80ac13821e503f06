package onset

import "slices"

const contourSize = 2048 // 10 s of frames before it thins out

// A contour keeps the pitches of a note for their median. When full it drops every
// second one and takes half as many from then on.
type contour struct {
	values, sorted []float64
	stride, skip   int
}

func (c *contour) reset() { c.values, c.stride, c.skip = c.values[:0], 1, 0 }

func (c *contour) add(f float64) {
	if c.skip++; c.skip < c.stride {
		return
	}
	c.skip = 0
	if len(c.values) == cap(c.values) {
		for i := 0; 2*i < len(c.values); i++ {
			c.values[i] = c.values[2*i]
		}
		c.values = c.values[:len(c.values)/2]
		c.stride *= 2
	}
	c.values = append(c.values, f)
}

// median of the held part: without the first 50 ms and the last 20 ms where that leaves
// at least as much.
func (c *contour) median() float64 {
	v := c.values
	if head, tail := 10/c.stride, 4/c.stride; len(v) > 2*(head+tail) {
		v = v[head : len(v)-tail]
	}
	if len(v) == 0 {
		return 0
	}
	s := c.sorted[:len(v)]
	copy(s, v)
	slices.Sort(s)
	return s[len(s)/2]
}
