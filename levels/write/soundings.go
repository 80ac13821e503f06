package write

import (
	"fmt"
	"math"

	"reedwell/audio/listen"
	"reedwell/levels/harp"
)

// A Sounding is a note as it was heard, before it has a place on a page. Times are seconds from
// sample 0 of the take.
type Sounding struct {
	Start, End float64
	Note       harp.Note // 3 blow is told as 2 draw, which is the same note
	Also       []harp.Note
	Cents      float64 // over Note, the sharpness of the whole harp taken out
	Level      float64 // dBFS
	Dip        float64 // dB by which the level falls before it
	Glide      bool    // begins by a glide from the one before: a bend, or its release
	Scoop      bool
	Warble     harp.Note // alternates with Note; the zero Note: no warble
	Guess      bool      // several holes at once, of which none is heard by itself
}

// Warbles reports whether the sounding is a warble.
func (s Sounding) Warbles() bool { return s.Warble != harp.Note{} }

const (
	// leastHeard in seconds is what must be notes of the harp for anything to count as played,
	// and leastPlayed the share of all that is as loud: of a speaking voice a hundredth is at
	// most, and a player who leaves room over a band that the microphone hears a quarter or
	// more. Our choice.
	leastHeard, leastPlayed = 0.3, 0.05
	// hollow is the brightness, in parts of the pitch, under which what sounds is no reed by
	// itself: the centroid of a tone never lies under its fundamental. Of a bass under soft chords,
	// as the band's, it lies at 0.4 to 0.7; of our own voice and of sampled reeds over 1.5.
	hollow = 1.0
)

// Soundings lists what was played on harp h, in order, and by how many cents all reeds lie
// over the harp as given. Other sound beside it, as a band that the microphone hears, is left
// out; [Lick] asks for a take that holds nothing else.
//
// It returns [ErrNothing], with the reason, when nothing was played.
func Soundings(heard listen.Take, h harp.Harp) ([]Sounding, float64, error) {
	if err := (Options{Harp: h}).check(heard); err != nil {
		return nil, 0, err
	}
	e := newEar(heard, h)
	notes, loudest, err := e.notes()
	if err != nil {
		return nil, 0, err
	}
	reeds, seconds := notes[:0], 0.0
	for _, p := range notes {
		if e.reed(p) {
			reeds = append(reeds, p)
			seconds += p.end - p.start
		}
	}
	if seconds < leastHeard || e.covered(reeds, loudest) < leastPlayed {
		return nil, 0, fmt.Errorf("%w: something sounded, but no harmonica in %v could be made out; come closer to the microphone, find a quieter place, or check the key",
			ErrNothing, h.Key)
	}
	var all []Sounding
	for _, p := range e.shaped(reeds) {
		s := Sounding{Start: p.start, End: p.end, Note: p.note, Cents: p.cents, Level: p.level, Dip: p.dip,
			Glide: p.glide, Scoop: p.scoop, Warble: p.warble, Guess: p.thick}
		for _, a := range p.along {
			if a.share >= chordShare && a.level >= chordLevel && !p.warbles() {
				s.Also = append(s.Also, harp.Note{Hole: a.hole, Breath: p.note.Breath})
			}
		}
		all = append(all, s)
	}
	return all, e.sharp, nil
}

// reed reports whether a piece is a reed that was heard, and no band or voice.
func (e *ear) reed(p piece) bool {
	if !p.thick && p.sure < leastSure {
		return false
	}
	var bright []float64
	for _, f := range e.frames(heldOf(p)) {
		bright = append(bright, f.Brightness)
	}
	hz, err := e.harp.Hz(p.note)
	return err == nil && len(bright) > 0 && median(bright) >= hollow*math.Min(hz, e.lowest(p))
}

// lowest is the pitch in Hz of the lowest hole of a piece.
func (e *ear) lowest(p piece) float64 {
	low := math.Inf(1)
	for _, a := range p.along {
		if hz, err := e.harp.Hz(harp.Note{Hole: a.hole, Breath: p.note.Breath}); err == nil {
			low = math.Min(low, hz)
		}
	}
	return low
}
