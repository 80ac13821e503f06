package pitch

import (
	"math"

	"reedwell/audio/internal/dsp"
)

// A Trace adds up what the main voice leaves over many windows and says which of the pitches named sounds along, too
// faint in noise for one window to tell. It belongs to the Detector that it was made for, looks back only and does not allocate.
type Trace struct {
	d     *Detector
	nu    float64 // pitch of the main voice that it is about, in bins; 0 for none
	other int     // windows in a row whose main voice was another
	skip  int     // windows still to pass over, see traceSkip
	count int     // windows added, up to traceLong
	at    int     // place in ring of the next one

	ring  [traceLong][]float64    // what was left of each window, power by bin
	long  []float64               // their sum
	short []float64               // and that of the newest traceShort
	floor [len(bands) - 1]float64 // of noise, mean of late
	lines [maxLines]float64       // power of the main voice's lines, mean of late

	noise []float64 // by bin, of one window; scratch of Find
	clear []bool    // of the main voice's lines; scratch of Find
}

const (
	// traceLong windows are added up, 120 ms, traceShort of them are the newest, traceLeast must be there. Our choice: a leak
	// lasts longer, and what is over is forgotten in 40 ms.
	traceLong, traceShort, traceLeast = 24, 8, 14
	// traceOther windows in a row of another pitch are a change, traceSkip windows after that still hold what was before: with
	// traceOther that makes 40 ms, a window's length. Fewer in a row are misread ones.
	traceOther, traceSkip = 6, 2
	// traceSame is how far the main voice may move and still be the same: 80 cents.
	traceSame = 0.047
	// traceMean is the part that a new window has in the means.
	traceMean = 1.0 / 16
	// traceOverlap windows, 5 ms apart, hold as much noise as one alone: one and twice the sum of the squared correlations of
	// a Hann window with itself moved by 12, 23, 35 and 47 in a hundred of its length.
	traceOverlap = 4.1

	// The likelihood of a voice traceDB under the main one, with lines as the main voice has them, is weighed against that of noise. What
	// one line says for or against it is limited to traceFor and traceAgainst, in nats, as reeds do not sound alike to 10 dB and
	// one line alone may be anything's. traceScore must be reached in all, a third of it by the older windows, and the newest must not speak
	// against it. Chosen on the tuning half: with 4, 3, 2 a second hole 20 dB under in pink noise is named in 88, 90, 91.5 % of frames and
	// a second voice claimed in 0.07, 0.12, 0.21 % of those of single notes; from 4 to 7 little changes.
	traceDB                = -20.0
	traceFor, traceAgainst = 6.0, 3.0
	traceScore             = 3.0
	// traceSteps of traceStep to either side of a pitch named are tried, 50 cents. Reeds lie traceTuning cents off at one
	// standard deviation. Our choice.
	traceSteps, traceStep = 5, 1.006
	traceTuning           = 30.0
	// traceLeak is what a tone that moves leaves within traceNear bins of its lines, in dB under them. traceNotch says by how much the
	// floor is underrated where many lines, each with a bin or two of noise, are taken out. Both chosen on single notes of the tuning half, with
	// which the mean of what is left comes to the floor.
	traceLeak, traceNear = -34.0, 3.0
	traceNotch           = 4.0
	// traceNoise is how far noise may lie under the main voice, in dB, for a Trace to be asked: where there is less,
	// one window tells all. Our choice.
	traceNoise = -22.0
)

// NewTrace makes an empty Trace of windows measured by d, which is no long one's.
func (d *Detector) NewTrace() *Trace {
	d.alone, d.aloneFloor = make([]float64, len(d.respow)), make([]float64, len(d.floor))
	t := &Trace{d: d, long: make([]float64, len(d.pow)), short: make([]float64, len(d.pow)), noise: make([]float64, len(d.pow)), clear: make([]bool, len(d.pow))}
	for i := range t.ring {
		t.ring[i] = make([]float64, len(d.pow))
	}
	return t
}

// begin forgets all and begins with a main voice at nu bins, 0 for none.
func (t *Trace) begin(nu float64) {
	t.nu, t.other, t.count, t.at, t.skip = nu, 0, 0, 0, traceSkip
	for i := range t.long {
		t.long[i], t.short[i] = 0, 0
	}
}

// Add takes the window that the detector analysed last, which gave est. A new pitch of the main voice begins anew.
func (t *Trace) Add(est *Estimate) {
	d := t.d
	nu := est.F0 / d.binHz
	switch {
	case t.nu == 0 && nu == 0:
		return
	case t.nu == 0:
		t.begin(nu)
		return
	case math.Abs(nu/t.nu-1) > traceSame:
		if t.other++; t.other >= traceOther {
			t.begin(nu)
		}
		return
	}
	t.other = 0
	if math.Abs(d.main.nu/nu-1) > 0.001 {
		return // what was left is not what this voice leaves but the one beside it, see contest
	}
	t.nu = nu
	if t.skip > 0 {
		t.skip--
		return
	}
	oldest, leaves := t.ring[t.at], t.ring[(t.at+traceLong-traceShort)%traceLong]
	if t.count < traceLong {
		for b := range oldest {
			oldest[b] = 0
		}
		t.count++
	}
	if t.count <= traceShort {
		for b := range leaves {
			leaves[b] = 0
		}
	}
	for b := d.bottom; b <= d.top; b++ {
		p := d.alone[b]
		t.long[b] += p - oldest[b]
		t.short[b] += p - leaves[b]
		oldest[b] = p
	}
	t.at = (t.at + 1) % traceLong
	a := max(traceMean, 1/float64(t.count))
	for b := range t.floor {
		t.floor[b] += a * (d.aloneFloor[b] - t.floor[b])
	}
	for k := range t.lines {
		p := 0.0
		if k < d.main.n {
			p = abs2(d.main.line[k].c)
		}
		t.lines[k] += a * (p - t.lines[k])
	}
}

// A Traced is what a Trace found.
type Traced struct {
	Voice
	// Rise is by how many dB it grew from the older windows to the newest, about 80 ms.
	Rise float64
}

// Find looks for the likeliest of the pitches in beside, in Hz, that may sound along with a main voice at hz. F0 is 0 when none is
// likely enough, when the Trace is about another voice, too young, or when there is little noise.
func (t *Trace) Find(hz float64, beside []float64) Traced {
	d := t.d
	if t.count < traceLeast || math.Abs(hz/d.binHz/t.nu-1) > traceSame || !t.noisy() {
		return Traced{}
	}
	t.prepare()
	least := dsp.Power(traceDB)
	bestNu, most := 0.0, traceScore
	for _, hz := range beside {
		nu := hz / d.binHz
		if !(hz >= lowest) || hz > d.high*1.03 || math.Abs(nu/t.nu-1) < 0.04 {
			continue
		}
		scores := t.scores(nu, least)
		f := nu
		for range traceSteps {
			f /= traceStep
		}
		for _, score := range scores {
			off := dsp.Cents(f, nu) / traceTuning
			if score -= off * off / 2; score > most {
				bestNu, most = f, score
			}
			f *= traceStep
		}
	}
	if bestNu == 0 {
		return Traced{}
	}
	return t.weigh(bestNu)
}

// noisy says that noise is no farther than traceNoise under the main voice.
func (t *Trace) noisy() bool {
	noise, tone := 0.0, 0.0
	for b, p := range t.floor {
		noise += p * float64(bands[b+1]-bands[b])
	}
	for _, p := range t.lines {
		tone += p
	}
	return noise > tone*dsp.Power(traceNoise)*1.5 // a sine has 1.5 times its peak power in all bins
}

// scores says of pitches from traceSteps under nu bins to as many over it how much likelier a voice there is than none, in nats, if its
// lines have the part least of the main voice's; negative when the older windows alone do not ask for it or the newest speak against it.
func (t *Trace) scores(nu, least float64) (all [2*traceSteps + 1]float64) {
	var older, newest [2*traceSteps + 1]float64
	d := t.d
	n := float64(t.count)
	first := nu
	for range traceSteps {
		first /= traceStep
	}
	for m := range min(maxOtherLine, int(float64(d.top-1)/nu/(1+nearShare))) {
		s := least * t.lines[m] / t.noise[int(nu*float64(m+1)+0.5)]
		weight, log := s/(1+s), dsp.DB(1+s)*math.Ln10/10
		// The power of n windows of noise follows exp(-n x), and with a line of s times the noise exp(-n x/(1+s))/(1+s)^n.
		says := func(sum, n float64) float64 {
			return max(-traceAgainst, min(traceFor, (sum*weight-n*log)/traceOverlap))
		}
		last := -1
		var inAll, inOlder, inNewest float64 // what the line says in bin last
		f := first
		for i := range all {
			b := int(f*float64(m+1) + 0.5)
			f *= traceStep
			if !t.clear[b] {
				continue
			}
			if b != last {
				last = b
				l, s, v := t.long[b], t.short[b], t.noise[b]
				inAll, inOlder, inNewest = says(l/v, n), says((l-s)/v, n-traceShort), says(s/v, traceShort)
			}
			all[i] += inAll
			older[i] += inOlder
			newest[i] += inNewest
		}
	}
	for i := range all {
		if older[i] < traceScore/3 || newest[i] < 0 {
			all[i] = -1
		}
	}
	return all
}

// prepare fills in noise and clear.
func (t *Trace) prepare() {
	d := t.d
	// Power times frequency on straight lines between the middles of the bands, level under the first: so white and pink noise are
	// met alike.
	middle := func(b int) float64 { return float64(bands[b]+bands[b+1]-1) / 2 }
	notch := 1 + traceNotch/t.nu
	at, b := middle(0), d.bottom
	g := t.floor[0] * at * notch
	for band := 1; band <= len(t.floor); band++ {
		next, h, to := float64(d.top+1), g, d.top
		if band < len(t.floor) && bands[band] < d.top {
			next = middle(band)
			h = t.floor[band] * next * notch
			to = min(d.top, int(next))
		}
		slope := (h - g) / (next - at)
		for ; b <= to; b++ {
			t.noise[b] = (g + slope*max(0, float64(b)-at)) / float64(b)
			t.clear[b] = true
		}
		g, at = h, next
	}
	leak := dsp.Power(traceLeak)
	for k := 0; ; k++ {
		nu := t.nu * float64(k+1)
		if nu > float64(d.top)+clearOf {
			break
		}
		for b := max(d.bottom, int(math.Ceil(nu-traceNear))); b <= min(d.top, int(nu+traceNear)); b++ {
			if math.Abs(float64(b)-nu) < clearOf {
				t.clear[b] = false
			} else if k < maxLines {
				t.noise[b] += leak * t.lines[k]
			}
		}
	}
}

// weigh sets level and rise of a voice at nu bins, as Detector.weigh does.
func (t *Trace) weigh(nu float64) Traced {
	v := Traced{Voice: Voice{F0: nu * t.d.binHz, Level: -99}}
	n := float64(t.count)
	var its, older, newest, same, hidden, all float64
	for m, p := range t.lines {
		at := nu * float64(m+1)
		b := int(at + 0.5)
		all += p
		if b >= t.d.top || !t.clear[b] {
			hidden += p
			continue
		}
		w := dsp.HannKernel(float64(b) - at)
		its += (t.long[b]/n - t.noise[b]) / (w * w)
		newest += t.short[b]/traceShort - t.noise[b]
		older += (t.long[b]-t.short[b])/(n-traceShort) - t.noise[b]
		same += p
	}
	if its <= 0 || newest <= 0 || older <= 0 || same == 0 {
		return Traced{}
	}
	v.Level = dsp.DB((its + hidden*its/same) / all)
	if v.Level < leastDB {
		return Traced{}
	}
	v.Rise = dsp.DB(newest) - dsp.DB(older)
	return v
}
