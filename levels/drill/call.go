package drill

import "fmt"

// echo puts each phrase of so many beats before itself, to be sounded. A phrase ends with a rest, so
// that the player can breathe and the call has rung out when the answer begins.
func echo(line []step, beats float64) ([]step, error) {
	var all, phrase []step
	length := 0.0
	for _, s := range line {
		phrase = append(phrase, s)
		if length += s.beats; length < beats-onLine {
			continue
		}
		if length > beats+onLine || !s.rest || len(phrase) < 2 {
			return nil, fmt.Errorf("drill: a phrase of %.3g beats, not of %g with a rest at its end", length, beats)
		}
		for _, c := range phrase {
			c.call = true
			all = append(all, c)
		}
		all = append(all, phrase...)
		phrase, length = nil, 0
	}
	if len(phrase) > 0 {
		return nil, fmt.Errorf("drill: the last phrase has %.3g of %g beats", length, beats)
	}
	return all, nil
}

// A Stretch is from one beat of the form to another.
type Stretch struct{ From, To float64 }

// Called returns the phrases that the program sounds: from the first to the end of the last note
// before the next one that is asked.
func (d Drill) Called() []Stretch {
	var all []Stretch
	for i, c := range d.Calls {
		same := i > 0
		for _, t := range d.Targets {
			if i > 0 && t.Beat > d.Calls[i-1].Beat && t.Beat < c.Beat {
				same = false
			}
		}
		if !same {
			all = append(all, Stretch{c.Beat, c.Beat})
		}
		all[len(all)-1].To = c.Beat + c.Beats
	}
	return all
}

// Around a call, for callBefore seconds before it and callAfter after its end, what begins is taken
// for the call: a loudspeaker's delay may be off by 30 ms, and a reed rings on in a room. Our choice.
const callBefore, callAfter = 0.10, 0.15

// Calling reports whether a sound that starts at drill time s may be the program's own, come back
// over a loudspeaker.
func (d Drill) Calling(s float64) bool {
	for _, c := range d.Called() {
		if s >= d.Time(c.From)-callBefore && s < d.Time(c.To)+callAfter {
			return true
		}
	}
	return false
}
