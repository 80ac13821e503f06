package write

import (
	"math"
	"sort"

	"reedwell/levels/harp"
)

// Three holes or more at once leave no voice that carries most of the sound. Then the ear
// tells no note, or one or several that are not clear, though its frames name now the one,
// now the other pitch. A stretch of sound without a clear note, whose frames stand still on reeds
// of one breath that lie side by side, is taken for such a chord. That is a guess and is
// said to be one.
const (
	thickLeast = 0.12 // seconds
	thickCents = 25.0 // from the reeds
	thickStill = 0.7  // share of the frames that lie on the reeds of the chord
	thickVotes = 2    // frames that must name a reed
	thickUnder = 15.0 // dB under the loudest frame: softer is a reed or a room dying away
	thickLevel = -3.0 // dB at which a hole of such a chord is taken to lie
	// A note is not clear under mudClear, where the notes of the take are at takeClear or more.
	// Single notes of sampled harmonicas have 0.95 and more without noise, three holes 0.65.
	mudClear, takeClear = 0.8, 0.9
	// thickDip is the dip in dB at which one chord ends and the next begins.
	thickDip = 6.0
)

// thicken finds the chords of which the ear told no clear note, and puts them in the place of
// what it told.
func (e *ear) thicken(pieces []piece, loudest float64) []piece {
	var clear []float64
	for _, p := range pieces {
		clear = append(clear, p.clear)
	}
	muddy := func(p piece) bool { return len(clear) > 0 && p.clear < mudClear && p.note.Bend == 0 && !p.note.Over }
	if len(clear) > 0 && median(clear) < takeClear {
		muddy = func(piece) bool { return false }
	}
	// free says that a frame lies in no clear note, cut that a new attack lies there.
	k := 0
	free := func(at float64) (free, cut bool) {
		for k < len(pieces) && pieces[k].end < at {
			k++
		}
		if k == len(pieces) || at < pieces[k].start {
			return true, false
		}
		return muddy(pieces[k]), at-pieces[k].start < 0.005 && pieces[k].dip >= thickDip
	}
	var chords []piece
	first := -1
	end := func(last int) {
		if first >= 0 {
			if p, ok := e.thick(first, last); ok {
				chords = append(chords, p)
			}
		}
		first = -1
	}
	for i, f := range e.take.Frames {
		free, cut := free(float64(f.At) / e.rate)
		if cut || !free || f.F0 <= 0 || f.Level < math.Max(audible, loudest-thickUnder) {
			end(i)
		}
		if free && f.F0 > 0 && f.Level >= math.Max(audible, loudest-thickUnder) && first < 0 {
			first = i
		}
	}
	end(len(e.take.Frames))
	all := chords
	for _, p := range pieces {
		inside := false
		for _, c := range chords {
			inside = inside || muddy(p) && (p.start+p.end)/2 > c.start && (p.start+p.end)/2 < c.end
		}
		if !inside {
			all = append(all, p)
		}
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].start < all[j].start })
	return all
}

// thick is the chord that frames [first, last) are, if they are one.
func (e *ear) thick(first, last int) (piece, bool) {
	frames := e.take.Frames[first:last]
	p := piece{start: float64(frames[0].At) / e.rate, end: float64(frames[len(frames)-1].At) / e.rate, thick: true, dip: slurDip, sure: 1}
	if p.end-p.start < thickLeast || alternates(e.named(p.start, p.end)) {
		return p, false
	}
	best, still := 0, 0
	var chord [2]int // lowest and highest hole
	for _, b := range [...]harp.Breath{harp.Blow, harp.Draw} {
		var votes, main [harp.Holes + 1]int
		for _, f := range frames {
			for hole := 1; hole <= harp.Holes; hole++ {
				hz, err := e.harp.Hz(harp.Note{Hole: hole, Breath: b})
				if err != nil {
					continue
				}
				near := func(f0 float64) bool { return f0 > 0 && math.Abs(harp.Cents(f0, hz)-e.sharp) < thickCents }
				if near(f.F0) {
					main[hole]++
				}
				if near(f.F0) || near(f.Others[0].F0) || near(f.Others[1].F0) {
					votes[hole]++
				}
			}
		}
		top := 1
		for hole := range main {
			if main[hole] > main[top] {
				top = hole
			}
		}
		low, high := top, top
		for low > 1 && votes[low-1] >= thickVotes {
			low--
		}
		for high < harp.Holes && votes[high+1] >= thickVotes {
			high++
		}
		on := 0
		for hole := low; hole <= high; hole++ {
			on += main[hole]
		}
		// Where the holes take turns, it is a warble.
		if high > low && on > still && float64(main[top]) >= thickStill*float64(on) {
			best, still, chord = top, on, [2]int{low, high}
			p.note = harp.Note{Hole: top, Breath: b}
		}
	}
	if best == 0 || float64(still) < thickStill*float64(len(frames)) {
		return p, false
	}
	power := 0.0
	for _, f := range frames {
		power += math.Exp2(f.Level / 3.0103)
	}
	p.level = 3.0103 * math.Log2(power/float64(len(frames)))
	for hole := chord[0]; hole <= chord[1]; hole++ {
		if hole != best {
			p.along = append(p.along, along{hole, 1, thickLevel})
		}
	}
	return p, true
}

// alternates says that among named stretches two neighbouring holes take turns, as in a warble.
func alternates(named []piece) bool {
	const least = 2 // there and back
	for i := 0; i+least < len(named); i++ {
		turns := 0
		for k := i + 1; k < len(named) && beside(named[k].note, named[k-1].note) && (k < i+2 || named[k].note == named[k-2].note) && named[k].quick(); k++ {
			turns++
		}
		if turns >= least {
			return true
		}
	}
	return false
}
