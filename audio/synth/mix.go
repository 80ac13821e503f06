package synth

import "math"

// Mix adds src, moved by gain dB, to dst from sample at on. Whatever falls
// outside dst, on either side, is left out.
func Mix(dst, src []float32, at int, gain float64) {
	if at < 0 {
		if -at >= len(src) {
			return
		}
		src, at = src[-at:], 0
	}
	if at >= len(dst) {
		return
	}
	g := float32(amp(gain))
	for i, v := range src[:min(len(src), len(dst)-at)] {
		dst[at+i] += g * v
	}
}

// Peak is the highest sample in dBFS; -Inf for silence.
func Peak(samples []float32) float64 { return 20 * math.Log10(float64(peak(samples))) }

func peak(samples []float32) float32 {
	var p float32
	for _, v := range samples {
		p = max(p, v, -v)
	}
	return p
}

// Normalise scales samples in place so that the highest lies at level dBFS.
// Silence stays silence.
func Normalise(samples []float32, level float64) {
	p := peak(samples)
	if p == 0 {
		return
	}
	g := float32(amp(level)) / p
	for i := range samples {
		samples[i] *= g
	}
}

// Limit keeps samples in place at or under ceiling dBFS and returns by how many dB
// it had to pull the loudest place down: 0 means the sound was left untouched. The
// gain moves smoothly over 5 ms on either side of a peak, so there is no click and
// no delay. rate is in Hz.
func Limit(rate int, samples []float32, ceiling float64) float64 {
	top := float32(amp(ceiling))
	p := peak(samples)
	if p <= top {
		return 0
	}
	reach := rate / 200 // 5 ms: short against a note, long against a period of 400 Hz
	if reach < 1 {
		reach = 1
	}
	// The least gain needed within reach of each sample, then a mean over the same
	// reach: the mean of values that are all small enough is small enough.
	need := make([]float32, len(samples))
	for i, v := range samples {
		need[i] = 1
		if a := max(v, -v); a > top {
			need[i] = top / a
		}
	}
	least := slidingMin(need, reach)
	at := func(j int) float64 { // beyond the ends the gain stays
		return float64(least[max(0, min(j, len(least)-1))])
	}
	sum := float64(2*reach+1) * at(0)
	for i := -reach; i < len(samples); i++ {
		sum += at(i+reach) - at(i-reach-1)
		if i >= 0 {
			g := float32(sum / float64(2*reach+1))
			samples[i] = max(-top, min(top, samples[i]*g))
		}
	}
	return 20 * math.Log10(float64(p/top))
}

// slidingMin is the least of x[i-reach .. i+reach] for each i.
func slidingMin(x []float32, reach int) []float32 {
	out := make([]float32, len(x))
	queue := make([]int, 0, 2*reach+2) // indices with rising values
	for i := 0; i < len(x)+reach; i++ {
		if i < len(x) {
			for len(queue) > 0 && x[queue[len(queue)-1]] >= x[i] {
				queue = queue[:len(queue)-1]
			}
			queue = append(queue, i)
		}
		if at := i - reach; at >= 0 {
			for queue[0] < at-reach {
				queue = queue[1:]
			}
			out[at] = x[queue[0]]
		}
	}
	return out
}
