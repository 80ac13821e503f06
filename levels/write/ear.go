package write

import (
	"fmt"
	"math"
	"sort"

	"reedwell/audio/listen"
	"reedwell/levels/harp"
)

// A piece is what becomes one note on the page, as it was heard. Times in seconds.
type piece struct {
	start, end float64
	note       harp.Note
	cents      float64 // over the rung, the harp's own sharpness taken out
	level      float64 // dBFS
	dip        float64 // dB before the start
	sure       float64 // share of its frames that were heard with confidence
	clear      float64 // median confidence while it is held
	glide      bool    // begins by a glide from the piece before
	under      float64 // cents by which it lies under its pitch while it starts
	scoop      bool
	thick      bool // several holes at once, of which none is heard by itself: the holes are a guess
	vibrato    bool
	wah        float64   // openings a second
	along      []along   // other holes, by level
	taken      []int     // holes of a chord that were told in turn
	warble     harp.Note // alternates with note; the zero Note: no warble
	final      harp.Note // its last turn
	gap        float64   // seconds from one turn of the warble to the next
	turns      int       // of the warble
	lostTurns  int       // of them, those that the ear told no note for
	guessed    int       // of those, the ones that no frame names either
	split      bool      // begins where the heard note did not: cut by the pitch alone
	lost       bool      // a turn that the ear told no note for: the frames name it
}

func (p piece) warbles() bool { return p.warble != harp.Note{} }

// along is another hole that sounds with a piece.
type along struct {
	hole  int
	share float64 // of the frames
	level float64 // dB relative to the main one
}

// ear reads the take.
type ear struct {
	take  listen.Take
	harp  harp.Harp
	rate  float64
	rungs []rung
	sharp float64 // cents by which all reeds lie over the harp as given
}

// A rung is a note of the harp with its pitch in cents over A4 = 440.
type rung struct {
	note  harp.Note
	cents float64
}

const concert = 440.0 // Hz; only a zero point for cents

func newEar(take listen.Take, h harp.Harp) *ear {
	e := &ear{take: take, harp: h, rate: float64(take.Rate)}
	for _, n := range harp.Notes() {
		if n == threeBlow {
			continue // the same note as 2 draw: told apart later
		}
		hz, err := h.Hz(n)
		if err != nil {
			panic("write: " + err.Error()) // Notes are notes of every harp
		}
		e.rungs = append(e.rungs, rung{n, harp.Cents(hz, concert)})
	}
	return e
}

const (
	// shortest is the least length in seconds of a note: a warble of fourteen notes a
	// second has 0.071 and its unevenness. Our choice.
	shortest = 0.045
	// faintest is how many dB under the loudest note a note may lie: grade has 25; a lick
	// may hold ghost notes, which are marked as faint.
	faintest, faint = 30.0, 20.0
	// leastSure is the share of a note's frames that must be heard with confidence to take
	// the note for certain.
	leastSure = 0.5
	// leastCovered is the share of what sounds that must be notes of the harp for the
	// whole to be a lick: of a speaking voice a tenth is at most, of a played lick nearly
	// everything. Our choice.
	leastCovered = 0.5
	// audible is the level in dBFS under which nothing counts as sound: a microphone's own
	// noise in a quiet room stays under it (common practice).
	audible = -60.0
)

// pieces is what was played, in order, where most of what sounds is notes of the harp.
func (e *ear) pieces() ([]piece, error) {
	kept, loudest, err := e.notes()
	if err != nil {
		return nil, err
	}
	if len(kept) == 0 || e.covered(kept, loudest) < leastCovered {
		return nil, fmt.Errorf("%w: something sounded, but most of it is no harmonica in %v; come closer to the microphone, find a quieter place, or check the key",
			ErrNothing, e.harp.Key)
	}
	return e.shaped(kept), nil
}

// notes is what was heard as notes of the harp, in order, and the level of the loudest frame
// in dBFS.
func (e *ear) notes() (kept []piece, loudest float64, err error) {
	loudest = math.Inf(-1)
	for _, f := range e.take.Frames {
		loudest = math.Max(loudest, f.Level)
	}
	if loudest < audible {
		return nil, loudest, fmt.Errorf("%w: it is silent; check that the right microphone is chosen and not muted", ErrNothing)
	}
	e.tune()
	var all []piece
	top := math.Inf(-1)
	for _, n := range e.take.Notes {
		for _, p := range e.breath(n) {
			top = math.Max(top, p.level)
			all = append(all, p)
		}
	}
	kept = all[:0]
	for _, p := range all {
		if p.level >= top-faintest {
			kept = append(kept, p)
		}
	}
	return e.chords(e.thicken(kept, loudest)), loudest, nil
}

// shaped puts warbles together and finds what colours the notes.
func (e *ear) shaped(kept []piece) []piece {
	kept = warbles(e.mend(kept), e.open)
	e.scoops(kept)
	for i := range kept {
		e.expression(&kept[i])
	}
	return kept
}

// covered is the share of the audible time that lies in pieces.
func (e *ear) covered(pieces []piece, loudest float64) float64 {
	sounding, in, k := 0, 0, 0
	for _, f := range e.take.Frames {
		if f.Level < math.Max(audible, loudest-faintest+5) {
			continue
		}
		at := float64(f.At) / e.rate
		for k < len(pieces) && pieces[k].end+0.12 < at { // a room, or the reed itself, rings for a moment
			k++
		}
		sounding++
		if k < len(pieces) && at >= pieces[k].start-0.06 {
			in++
		}
	}
	if sounding == 0 {
		return 0
	}
	return float64(in) / float64(sounding)
}

// tune finds how sharp the whole harp is: the median distance of the heard notes from
// their nearest rung, when there are enough of them to tell it from a few deep bends.
func (e *ear) tune() {
	const enough, most = 4, 25.0 // notes; cents: 444 in place of 440 Hz is 16
	var off []float64
	for _, n := range e.take.Notes {
		if x := harp.Cents(n.F0, concert); n.F0 > 0 {
			r := e.rungs[e.nearest(x)]
			if r.note.Bend == 0 {
				off = append(off, x-r.cents)
			}
		}
	}
	if len(off) < enough {
		return
	}
	if m := median(off); math.Abs(m) <= most {
		e.sharp = m
	}
}

// nearest is the index of the rung nearest to a pitch.
func (e *ear) nearest(cents float64) int {
	best := 0
	for i, r := range e.rungs {
		if math.Abs(cents-r.cents) < math.Abs(cents-e.rungs[best].cents) {
			best = i
		}
	}
	return best
}

// frames returns the frames from a to b seconds.
func (e *ear) frames(a, b float64) []listen.Frame {
	all := e.take.Frames
	first := sort.Search(len(all), func(i int) bool { return float64(all[i].At) >= a*e.rate })
	last := sort.Search(len(all), func(i int) bool { return float64(all[i].At) >= b*e.rate })
	return all[first:max(first, last)]
}

// measure fills in what is read off the frames of a piece.
func (e *ear) measure(p *piece) {
	frames := e.frames(p.start, p.end)
	sure, power := 0, 0.0
	for _, f := range frames {
		if f.F0 > 0 && f.Confidence >= listen.MinConfidence {
			sure++
		}
		power += math.Exp2(f.Level / 3.0103)
	}
	p.level = listen.Floor
	if len(frames) > 0 {
		p.sure = float64(sure) / float64(len(frames))
		p.level = 3.0103 * math.Log2(power/float64(len(frames)))
	}
	var held []float64
	for _, f := range e.frames(heldOf(*p)) {
		held = append(held, f.Confidence)
	}
	if len(held) > 0 {
		p.clear = median(held)
	}
	p.along = e.beside(*p)
}

// beside lists the other holes of the same breath that sound along.
func (e *ear) beside(p piece) []along {
	frames := e.frames(heldOf(p))
	if len(frames) == 0 || p.note.Bend > 0 || p.note.Over {
		return nil
	}
	var all []along
	for hole := max(1, p.note.Hole-2); hole <= min(harp.Holes, p.note.Hole+2); hole++ {
		if hole == p.note.Hole {
			continue
		}
		hz, err := e.harp.Hz(harp.Note{Hole: hole, Breath: p.note.Breath})
		if err != nil {
			continue
		}
		n, power := 0, 0.0
		for _, f := range frames {
			for _, v := range f.Others {
				if v.F0 > 0 && math.Abs(harp.Cents(v.F0, hz)-e.sharp) < 50 {
					n++
					power += math.Exp2(v.Level / 3.0103)
				}
			}
		}
		if n > 0 {
			all = append(all, along{hole, float64(n) / float64(len(frames)), 3.0103 * math.Log2(power/float64(n))})
		}
	}
	return all
}

// held is the part of a note without attack and release; a short note gives its middle
// half. As in package grade.
func held(start, end float64) (a, b float64) {
	length := end - start
	return start + math.Min(0.06, length/4), end - math.Min(0.04, length/4)
}

func heldOf(p piece) (a, b float64) { return held(p.start, p.end) }

func median(x []float64) float64 {
	s := append([]float64(nil), x...)
	sort.Float64s(s)
	if n := len(s); n%2 == 0 {
		return (s[n/2-1] + s[n/2]) / 2
	}
	return s[len(s)/2]
}
