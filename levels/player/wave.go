package player

import (
	"math"
	"math/rand/v2"

	"reedwell/audio/synth"
	"reedwell/levels/drill"
)

// The size of a wave that is asked for, a little more than what a touch adds by itself: it is what
// the drill is about. Our choice, and freeThroat and freeHand too.
const (
	throatCents, throatDB = 15.0, 1.5 // to either side
	handDepth             = 0.85      // a hand does not seal
	handDB                = 4.0       // that it takes off all partials alike, besides
	freeThroat, freeHand  = 5.0, 3.0  // swings a second
	waveDelay             = 0.10      // seconds until the throat moves: the reed speaks first
	leastSwing            = 0.3       // of a swing's length, the shortest that an uneven one gets
)

// wave sounds a note with its vibrato or hand: one note, or one for each swing of an uneven hand.
func (f Faults) wave(n synth.Note, w drill.Wave, tempo float64, random *rand.Rand) []synth.Note {
	by, extent, pace := w.By, f.Extent, f.Pace
	if f.Swap {
		by = map[drill.Means]drill.Means{drill.Throat: drill.Hand, drill.Hand: drill.Throat}[by]
	}
	if extent == 0 {
		extent = 1
	}
	if pace == 0 {
		pace = 1
	}
	rate := w.Rate(tempo)
	switch {
	case rate > 0:
	case by == drill.Hand:
		rate = freeHand
	default:
		rate = freeThroat
	}
	rate *= pace
	depth := math.Min(1, handDepth*extent)
	if f.Jitter == 0 {
		if by == drill.Hand {
			n.Wah = synth.Wah{Rate: rate, Depth: depth}
			var swings []float64
			for at := n.Start; at <= n.End; at += 1 / rate {
				swings = append(swings, at)
			}
			cup(&n, swings, handDB*extent)
		} else {
			n.Vibrato = synth.Vibrato{Rate: rate, Cents: throatCents * extent, DB: throatDB * extent, Delay: waveDelay}
		}
		return []synth.Note{n}
	}
	swings := []float64{n.Start + waveDelay} // where each begins
	for {
		last := swings[len(swings)-1]
		next := last + math.Max(leastSwing, 1+f.Jitter*random.NormFloat64())/rate
		if next > n.End {
			break
		}
		swings = append(swings, next)
	}
	if by == drill.Hand {
		cup(&n, swings, handDB*extent)
		return hands(n, swings, depth)
	}
	throat(&n, swings, throatCents*extent, throatDB*extent)
	return []synth.Note{n}
}

// corners are how many straight pieces a swing is drawn in: right to a fiftieth.
const corners = 16

// cup takes level off a note once in each swing, most in its middle.
func cup(n *synth.Note, swings []float64, db float64) {
	n.LevelCurve = []synth.Point{{At: n.Start}}
	for k := 1; k < len(swings); k++ {
		for c := range corners {
			u := float64(c) / corners
			n.LevelCurve = append(n.LevelCurve, synth.Point{At: swings[k-1] + u*(swings[k]-swings[k-1]), Value: -db * (0.5 - 0.5*math.Cos(2*math.Pi*u))})
		}
	}
	n.LevelCurve = append(n.LevelCurve, synth.Point{At: swings[len(swings)-1]})
}

// throat moves the pitch of a note once in each swing.
func throat(n *synth.Note, swings []float64, cents, db float64) {
	hz := n.Hz[len(n.Hz)-1].Value
	n.LevelCurve = nil
	for k := 1; k < len(swings); k++ {
		for c := range corners {
			u := float64(c) / corners
			at, s := swings[k-1]+u*(swings[k]-swings[k-1]), math.Sin(2*math.Pi*u)
			n.Hz = append(n.Hz, synth.Point{At: at, Value: hz * math.Exp2(cents*s/1200)})
			n.LevelCurve = append(n.LevelCurve, synth.Point{At: at, Value: db * s})
		}
	}
	last := swings[len(swings)-1]
	n.Hz = append(n.Hz, synth.Point{At: last, Value: hz})
	n.LevelCurve = append(n.LevelCurve, synth.Point{At: last, Value: 0})
}

// hands cuts a note into one for each swing of the hand, all in one breath on one reed.
func hands(n synth.Note, swings []float64, depth float64) []synth.Note {
	edges := append(append([]float64{n.Start}, swings...), n.End)
	var all []synth.Note
	for k := 1; k < len(edges); k++ {
		if edges[k]-edges[k-1] < 1e-6 {
			continue
		}
		piece := n
		piece.Start, piece.End, piece.Legato = edges[k-1], edges[k], len(all) > 0 || n.Legato
		if k > 1 && k+1 < len(edges) {
			piece.Wah = synth.Wah{Rate: 1 / (edges[k] - edges[k-1]), Depth: depth}
		}
		all = append(all, piece)
	}
	return all
}
