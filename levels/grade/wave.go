package grade

import (
	"fmt"
	"math"

	"reedwell/audio/listen"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// wave grades a note that swings: by what it swings, how quickly, how evenly and how far.
func (g *grader) wave(i, note int, used []bool) {
	t := g.d.Targets[i]
	n := g.gathered(note, used)
	a, b := held(n.start, n.end)
	points, sure := g.e.contour(a, b, t.Hz)
	if sure < leastSure || len(points) == 0 {
		g.outcome(i, n.start, n.end, 0, false, false)
		g.verdict(i, Played, Unheard)
		return
	}
	pitch := median(centsOf(points))
	hz := t.Hz * math.Exp2(pitch/1200)
	g.outcome(i, n.start, n.end, hz, false, true)
	good := g.kept(i, n, pitch, a, b)
	good = g.swings(i, n, hz) && good
	g.r.Notes[i].Good = good
}

// gathered is the whole of a note that swings: a hand that closes far is heard as an end or as a new
// start, so it goes on from the matched note in both directions as long as the same pitch sounds, and
// what the ear had as notes in it is part of it. A fall by brokenOff is a tongue or a break, and no hand.
func (g *grader) gathered(note int, used []bool) sounded {
	n := g.notes[note]
	frames := g.e.take.Frames
	first, last := max(0, min(n.as.First, len(frames)-1)), max(0, min(n.as.Last, len(frames)))
	loudest := math.Inf(-1)
	for _, f := range frames[first:last] {
		loudest = math.Max(loudest, f.Level)
	}
	goesOn := func(f listen.Frame) bool {
		if f.F0 == 0 || math.Abs(harp.Cents(f.F0, n.hz)) > sameReed || f.Level < loudest-brokenOff {
			return false
		}
		loudest = math.Max(loudest, f.Level)
		return true
	}
	for last < len(frames) && goesOn(frames[last]) {
		last++
	}
	for first > 0 && goesOn(frames[first-1]) {
		first--
	}
	if last < len(frames) && last > n.as.Last {
		n.as.Last, n.as.End = last, frames[last].At
	}
	if first < n.as.First {
		n.as.First, n.as.Start = first, frames[first].At
	}
	n.start, n.end = float64(n.as.Start)/g.e.rate, float64(n.as.End)/g.e.rate
	for k, other := range g.notes {
		if k == note || used[k] || other.start >= n.end || other.end <= n.start {
			continue
		}
		used[k] = true // heard as a note of its own, and part of this one
		n.start, n.end = math.Min(n.start, other.start), math.Max(n.end, other.end)
	}
	n.as.Start, n.as.End = int64(n.start*g.e.rate), int64(n.end*g.e.rate)
	return n
}

// sameReed is how far in cents a throat takes a reed at the most, and less than a semitone.
const sameReed = 90.0

// shaded is how much brighter a tone must at least be with the hand open than closed, in octaves of the
// middle of its spectrum: hands over sampled harmonicas give 0.08 and more, a louder sample alone none.
// It is no proof of a hand: a reed that is blown harder gets brighter too, by as much. Our choice.
const shaded = 0.03

// A hand that closes moves the phase of what comes through it, and so the pitch, by handPull cents for
// each dB and each swing a second, in our own reed voice the most, and by mostPull at any speed; what
// moves further than that and still cents is the throat. Without the limit a throat in a room, where
// the level swings with the pitch, would be a hand.
const handPull, mostPull, still = 0.3, 9.0, 3.0

// swings marks the wave of a note.
func (g *grader) swings(i int, n sounded, hz float64) bool {
	t, w := g.d.Targets[i], g.d.Windows
	throat, hand := g.e.swing(n, drill.Throat, hz), g.e.swing(n, drill.Hand, hz)
	byThroat := throat.extent > still+math.Min(mostPull, handPull*hand.extent*hand.rate)
	means := asAsked
	heard, least, most := throat, w.Swing, drill.MostSwing
	switch {
	case byThroat != (t.Wave.By == drill.Throat) && (byThroat || hand.extent >= w.Cup):
		means = theOther
	case t.Wave.By == drill.Hand && hand.extent >= w.Cup && hand.shade < shaded:
		means = theBreath
	}
	good := g.mark(i, Means, asAsked, means, 0, "as asked", means == asAsked)
	if t.Wave.By == drill.Hand {
		heard, least = hand, w.Cup
		good = g.mark(i, Cup, least, heard.extent, least, "dB", heard.extent >= least) && good
	} else {
		limit := least
		if heard.extent > most {
			limit = most
		}
		good = g.mark(i, Swing, least, heard.extent, limit, "cents", heard.extent >= least && heard.extent <= most) && good
	}
	if heard.extent < least { // too little to have a speed
		return false
	}
	rate := t.Wave.Rate(g.d.Tempo)
	if rate > 0 {
		good = g.mark(i, Rate, rate, heard.rate, w.Rate*rate, "swings/s", math.Abs(heard.rate-rate) <= w.Rate*rate) && good
	} else {
		low, high := drill.FreeRate(t.Wave.By)
		nearest := math.Min(math.Max(heard.rate, low), high)
		good = g.mark(i, Rate, nearest, heard.rate, 0, "swings/s", heard.rate == nearest) && good
	}
	return g.mark(i, Evenness, 0, heard.uneven, w.Evenness, "of a swing", heard.uneven <= w.Evenness) && good
}

// What a note swings by, as a mark tells it.
const (
	theBreath = -1.0 // only the level comes and goes, and the colour stays
	theOther  = 0.0  // the hand in place of the throat; the throat in place of the hand or with it
	asAsked   = 1.0
)

// A swing is what one of the two, throat or hand, does to a note.
type swing struct {
	rate   float64 // a second; 0: it does not move
	extent float64 // cents to either side, or dB from open to closed
	uneven float64 // coefficient of variation of the time from one to the next
	shade  float64 // of a hand: octaves from the darkest to the brightest
}

// moves are the least extents that are followed, cents to either side and dB from end to end: under
// them the ear's own scatter would be measured.
const movesCents, movesDB = 2.0, 1.5

// swing measures by pitch or by level how a note swings. The speed is first that of the sine which
// takes most out of it; then each swing is followed by itself, since nobody swings like a clock, and
// of a sine that runs out of step little is left.
func (e evidence) swing(n sounded, by drill.Means, hz float64) swing {
	fit, ok := e.take.Vibrato(n.as)
	if by == drill.Hand {
		fit, ok = e.take.Wah(n.as)
	}
	if !ok {
		return swing{}
	}
	a, b := held(n.start, n.end)
	frames := e.frames(a, b)
	if len(frames) < 20 {
		return swing{}
	}
	hop := float64(frames[1].At-frames[0].At) / e.rate
	x, colour := make([]float64, len(frames)), make([]float64, len(frames))
	last, shade := 0.0, 0.0
	for k, f := range frames {
		if f.F0 > 0 && math.Abs(harp.Cents(f.F0, hz)) < 150 { // low notes that swing from the start on are unsure by themselves
			last = harp.Cents(f.F0, hz)
		}
		if f.Brightness > 0 {
			shade = math.Log2(f.Brightness)
		}
		x[k], colour[k] = last, shade
		if by == drill.Hand {
			x[k] = f.Level
		}
	}
	s := swing{rate: fit.Rate}
	least := movesCents
	if by == drill.Hand {
		least = movesDB / 2
	}
	for range 2 { // the second time at the speed that was found
		moved := centred(x, slack(len(x), s.rate*hop)/(s.rate*hop))
		gaps, extent := crossings(moved, hop, s.rate, least)
		if extent < least || len(gaps) < 2 {
			return swing{}
		}
		mean, deviation := meanDeviation(gaps)
		// The spread that so few swings show is short of the player's by the one that the mean takes.
		swings := math.Max(2, float64(len(gaps))/2)
		s.rate, s.uneven = 1/mean, deviation/mean*math.Sqrt(swings/(swings-1))
		s.extent = extent
	}
	k := 2 * math.Pi * s.rate * blur
	s.extent *= math.Exp(k * k / 2)
	if by == drill.Hand {
		s.extent *= 2
		_, amplitude := crossings(centred(colour, 1/(s.rate*hop)), hop, s.rate, 0)
		s.shade = 2 * amplitude
	}
	return s
}

// blur is the standard deviation in seconds of the time that one frame of the ear speaks of: a Hann
// window squared over 43 ms has 0.1414 of that. What swings quickly looks smaller by it.
const blur = 0.1414 * 0.0427

// slack is over how many swings the middle is taken: over two what is uneven shows more truly, and
// where there are few, one leaves more of them.
func slack(frames int, swingsPerFrame float64) float64 {
	if float64(frames)*swingsPerFrame >= 6 {
		return 2
	}
	return 1
}

// centred takes from x its mean over the period around each place, and half a period at both ends.
func centred(x []float64, period float64) []float64 {
	half := int(math.Round(period / 2))
	if len(x) < 4*half+2 {
		return nil
	}
	sums := make([]float64, len(x)+1)
	for k, v := range x {
		sums[k+1] = sums[k] + v
	}
	var out []float64
	for k := half; k+half < len(x); k++ {
		// The two ends of the period count half each.
		sum := sums[k+half] - sums[k-half+1] + (x[k-half]+x[k+half])/2
		out = append(out, x[k]-sum/float64(2*half))
	}
	return out
}

// crossings returns the times in seconds from one rise through 0 to the next and from one fall to
// the next, and the mean height of the swings between. A swing lower than half of least does not count.
func crossings(x []float64, hop, rate, least float64) (gaps []float64, extent float64) {
	var rise, fall []float64
	var tops []float64
	top, begun := 0.0, 0.0
	for k := 1; k < len(x); k++ {
		if (x[k-1] < 0) == (x[k] < 0) {
			top = math.Max(top, math.Abs(x[k]))
			continue
		}
		at := (float64(k-1) + x[k-1]/(x[k-1]-x[k])) * hop
		if begun > 0 {
			if top < least/2 || at-begun < 0.2/rate {
				top = math.Max(top, math.Abs(x[k]))
				continue // it trembles about the middle
			}
			tops = append(tops, top)
		}
		if x[k] >= 0 {
			rise = append(rise, at)
		} else {
			fall = append(fall, at)
		}
		begun, top = at, math.Abs(x[k])
	}
	for _, c := range [][]float64{rise, fall} {
		for k := 1; k < len(c); k++ {
			gaps = append(gaps, c[k]-c[k-1])
		}
	}
	if len(tops) == 0 {
		return nil, 0
	}
	extent, _ = meanDeviation(tops)
	return gaps, extent
}

// sayWave says what to change about what swings and how far.
func sayWave(d drill.Drill, m Mark, name string) string {
	good, hand := m.Verdict == Good, d.Targets[m.Target].Wave.By == drill.Hand
	switch m.Quantity {
	case Means:
		if hand {
			if m.Heard == theBreath {
				return fmt.Sprintf("On %s only the loudness swings, by the breath: breathe on evenly and let the hand do it.", name)
			}
			return pick(good, name+" swings by the hand.", fmt.Sprintf("On %s the throat moves the pitch: leave the throat open and let only the hand work.", name))
		}
		return pick(good, name+" swings by the throat.", fmt.Sprintf("On %s the hands move: hold them still and let the throat do it.", name))
	case Cup:
		if good {
			return fmt.Sprintf("The hand takes %.0f dB off %s.", m.Heard, name)
		}
		if m.Heard == 0 {
			return fmt.Sprintf("No hand is heard on %s: close the cup, then open it wide.", name)
		}
		return fmt.Sprintf("The hand takes only %.0f dB off %s: close the cup further, at the little finger too.", m.Heard, name)
	}
	if good {
		return fmt.Sprintf("%s swings by %.0f cents to either side.", name, m.Heard)
	}
	switch {
	case m.Heard == 0:
		return fmt.Sprintf("No vibrato is heard on %s: pulse from the throat as in a quiet laugh.", name)
	case m.Heard < m.Asked:
		return fmt.Sprintf("%s swings by only %.0f cents: a little more from the throat, in the rhythm of a quiet laugh.", name, m.Heard)
	}
	return fmt.Sprintf("%s swings by %.0f cents to either side, which is a row of bends: smaller.", name, m.Heard)
}

// saySpeed says what to change about the speed of a wave.
func saySpeed(d drill.Drill, m Mark, name string) string {
	w := d.Targets[m.Target].Wave
	if m.Verdict == Good {
		return fmt.Sprintf("%s swings %.1f times a second.", name, m.Heard)
	}
	quick := m.Heard > m.Asked
	if w.PerBeat == 0 {
		return fmt.Sprintf("%s swings %.1f times a second: %s.", name, m.Heard, pick(quick, "that is a tremble, let it come down", "that is slow, lighten it until it goes by itself"))
	}
	return fmt.Sprintf("%s swings %.1f times a second where %.1f were asked, %s: %s.", name, m.Heard, m.Asked, w.Words(), pick(quick, "slow down and count them with the click", "make it smaller and it gets quicker"))
}
