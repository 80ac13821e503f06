package onset

import "math"

// multiples fills dst with f and its multiples, in cycles a sample, as far as they are followed, and returns that part of it.
func multiples(dst []float64, f float64) []float64 {
	n := 0
	for n < len(dst) && f*float64(n+1) < lineTop {
		dst[n] = f * float64(n+1)
		n++
	}
	return dst[:n]
}

// powers fills dst with the power of x under the window w at each of the frequencies f, in cycles a sample, by Goertzel's recursion
// (1958, from memory), three at a time: each waits for its own last step, so that three together take little longer than one.
func powers(dst, f, x, w []float64) {
	w = w[:len(x)]
	for k := 0; k < len(f); k += 3 {
		a, b, c := f[k], f[min(k+1, len(f)-1)], f[min(k+2, len(f)-1)]
		ca, cb, cc := 2*math.Cos(2*math.Pi*a), 2*math.Cos(2*math.Pi*b), 2*math.Cos(2*math.Pi*c)
		var a1, a2, b1, b2, c1, c2 float64
		for i, v := range x {
			v *= w[i]
			a1, a2 = v-a2+ca*a1, a1
			b1, b2 = v-b2+cb*b1, b1
			c1, c2 = v-c2+cc*c1, c1
		}
		dst[k] = a1*a1 + a2*a2 - ca*a1*a2
		if k+1 < len(f) {
			dst[k+1] = b1*b1 + b2*b2 - cb*b1*b2
		}
		if k+2 < len(f) {
			dst[k+2] = c1*c1 + c2*c2 - cc*c1*c2
		}
	}
}
