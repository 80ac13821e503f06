package pitch

import (
	"math"

	"reedwell/audio/internal/dsp"
)

// Locks says how the phases of a voice's lines stand to each other. The harmonics of one reed are locked:
// twice the phase of a line less those of the lines as far under as over it is the same at all
// times, whatever the pitch does. Where a second reed sounds an octave above, however well in tune, its lines beat with the even
// ones, and their phases drift against those of their odd neighbours, while the odd ones stay locked to each other.
type Locks struct {
	Even [locked]Lock // of lines 2, 4, 6 ... with their neighbours
	Odd  [locked]Lock // of lines 3, 5, 7 ... with the odd lines before and after
	// Stands is by how many dB the even lines stand over their odd neighbours, Above the level of what stands
	// over them in dB beside the rest, as an octave's may be guessed from one window.
	Stands, Above float64
	// Apart is by how many cents the pitch of the even lines differs from that of the odd ones, 0 where either is not clear of
	// the noise. Of one reed they are the same, whatever the pitch does.
	Apart float64
}

const locked = 8

// A Lock is what three lines give: a number of magnitude 1 whose argument is the phase, 0 where one of them is not
// 20 dB over the noise.
type Lock complex128

// lockOver is how far over the noise the lines of a lock lie: phases then err by a tenth. 1e-5 of the strongest line, 50 dB
// under it, counts as noise too.
const lockOver = 100.0

// locks fills in those of the main voice.
func (d *Detector) locks(l *Locks) {
	strongest := 0.0
	for k := range d.main.n {
		strongest = max(strongest, abs2(d.main.line[k].c))
	}
	lock := func(k, apart int) Lock { // of line k, counted from 0
		if k+apart >= d.main.n || d.main.line[k+apart].nu >= float64(d.top) {
			return 0
		}
		low, mid, high := d.main.line[k-apart].c, d.main.line[k].c, d.main.line[k+apart].c
		noise := d.floorAt(int(d.main.line[k].nu+0.5)) + 1e-5*strongest
		if min(min(abs2(low), abs2(high)), abs2(mid)) < lockOver*noise {
			return 0
		}
		v := mid * mid
		w := low * high
		v *= complex(real(w), -imag(w))
		return Lock(scale(1/math.Sqrt(abs2(v)), v))
	}
	stands, over, _ := d.standing()
	all := 0.0
	for _, m := range d.main.line[:d.main.n] {
		all += abs2(m.c)
	}
	l.Stands, l.Above = stands, max(-99, min(0, dsp.DB(over)-dsp.DB(max(all-over, over))))
	l.Apart = d.apart(strongest)
	for i := range locked {
		l.Even[i] = lock(2*i+1, 1)
		l.Odd[i] = lock(2*i+2, 2)
	}
}

// Drift is how far, on the mean, the even and the odd locks are turned against those of an earlier window, in radians
// from 0 to pi; negative when no lock is there in both. odds is how many odd locks are.
func (l *Locks) Drift(earlier *Locks) (even, odd float64, odds int) {
	mean := func(a, b *[locked]Lock) (float64, int) {
		sum, count := 0.0, 0
		for i, x := range a {
			if y := b[i]; x != 0 && y != 0 {
				sum += math.Abs(math.Atan2(imag(x)*real(y)-real(x)*imag(y), real(x)*real(y)+imag(x)*imag(y)))
				count++
			}
		}
		if count == 0 {
			return -1, 0
		}
		return sum / float64(count), count
	}
	even, _ = mean(&l.Even, &earlier.Even)
	odd, odds = mean(&l.Odd, &earlier.Odd)
	return even, odd, odds
}

// apart is Locks.Apart of the main voice, whose strongest line has the power strongest.
func (d *Detector) apart(strongest float64) float64 {
	var num, den [2]float64
	for k := range d.main.n {
		m := &d.main.line[k]
		b := int(m.nu + 0.5)
		noise := d.floorAt(min(b, d.size/2)) + 1e-5*strongest
		if m.nu >= float64(d.top) || abs2(m.c) < lockOver*noise {
			continue
		}
		oh, oe := d.main.at(b, k, 0, 0)
		nu := float64(b) - reRatio(d.twin(b)-oe, d.h[b]-oh)
		w := abs2(m.c) / noise
		num[k%2] += w * float64(k+1) * nu
		den[k%2] += w * float64((k+1)*(k+1))
	}
	if den[0] == 0 || den[1] == 0 {
		return 0
	}
	return dsp.Cents(num[1]/den[1], num[0]/den[0])
}
