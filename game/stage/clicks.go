package stage

import (
	"math"
	"slices"
)

// How the count-in is found in a take.
const (
	// clickReach is how far from where it is expected a click is looked for, in seconds:
	// twice what a round trip was seen to change by from one opening of a stream to the next.
	clickReach = 0.060
	// clickLength is how much of a click is compared, in seconds: it halves every 4 ms.
	clickLength = 0.012
	// clickClear is how far the best place must stand over the root mean square of the
	// others, in dB. Of the some 250 independent places in the reach the highest of noise
	// stands about 10 dB over it. 12 dB is passed by noise once in sixty windows; three such
	// that agree within 2 ms come up once in some ten million takes.
	clickClear = 12.0
	clickNeed  = 3 // clicks that must agree
	// clickAgree is how near their median clicks agree, in seconds, as in calibrate.
	clickAgree = 0.002
	// clickMoved is from what distance on the round trip is taken for another, in seconds: the
	// figure from which a calibration is to be made again (see device.Stream.Slip).
	clickMoved = 0.005
)

// findClicks looks in a take for clicks of the count-in as they were played: frame 0 of
// played is expected on frame zero of sound, and a click begins on each of the given frames of
// played. It returns how many frames late they were heard, and how loud in parts of what was
// played; ok is false where they were not heard clearly enough.
func findClicks(sound, played []float32, zero int, clicks []int, rate int) (late int, gain float64, ok bool) {
	reach, length := int(clickReach*float64(rate)), int(clickLength*float64(rate))
	var lates, gains []float64
	for _, c := range clicks {
		if c < 0 || c+length > len(played) || zero+c-reach < 0 || zero+c+reach+length > len(sound) {
			continue
		}
		click := played[c : c+length]
		if k, g, ok := findClick(sound[zero+c-reach:zero+c+reach+length], click, rate); ok {
			lates, gains = append(lates, float64(k-reach)), append(gains, g)
		}
	}
	if len(lates) < clickNeed {
		return 0, 0, false
	}
	middle := median(lates)
	var near, loud []float64
	for i, l := range lates {
		if math.Abs(l-middle) <= clickAgree*float64(rate) {
			near, loud = append(near, l), append(loud, gains[i])
		}
	}
	if len(near) < clickNeed {
		return 0, 0, false
	}
	return int(math.Round(median(near))), median(loud), true
}

// findClick finds a click in a piece of sound: at which frame and how loud, in parts of
// what was played. Loudspeaker or microphone may turn it upside down.
func findClick(sound, click []float32, rate int) (at int, gain float64, ok bool) {
	energy := 0.0
	for _, x := range click {
		energy += float64(x) * float64(x)
	}
	like := make([]float64, len(sound)-len(click)+1)
	best := 0
	for i := range like {
		sum := float32(0)
		for k, x := range click {
			sum += x * sound[i+k]
		}
		like[i] = math.Abs(float64(sum))
		if like[i] > like[best] {
			best = i
		}
	}
	if energy == 0 || like[best] == 0 {
		return 0, 0, false
	}
	rest, n := 0.0, 0
	for i, x := range like {
		if i < best-len(click) || i > best+len(click) {
			rest += x * x
			n++
		}
	}
	if n == 0 || like[best] < math.Pow(10, clickClear/20)*math.Sqrt(rest/float64(n)) {
		return 0, 0, false
	}
	return best, like[best] / energy, true
}

func median(x []float64) float64 {
	s := slices.Clone(x)
	slices.Sort(s)
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}
