package onset

import (
	"slices"

	"reedwell/audio/internal/dsp"
)

const (
	// aboveSpan is how far back, in frames, the start of a note above the one that rings is looked for: 0.4 s, in which the loudest
	// room that a harmonica is practised in (60 dB in 0.8 s) has let the old note fall by 30 dB.
	aboveSpan = 80
	aboveMost = 4 // how many times the pitch may be the old one's
	// letGo is how far, in dB, the lines that only the old note has are down when it has ended: less than what a room of 0.8 s
	// as loud as 4 dB under the sound leaves of them at once, 5.4 dB, with what its waves add. Our choice.
	letGo = 4.0
	// parts is the least, in dB, by which the lines of both must then have gone up against those. Our choice.
	parts = 6.0
	// sinks is how far, in dB, the lines of both may be under what they were: with no new note they fall with the others.
	sinks = 3.0
	// dipsAbove is the least depth, in dB, of a dip between the two notes in the lines of both that tells when the new one starts.
	dipsAbove = 3.0
	// sameStart: starts within 40 ms of each other are those of one note.
	sameStart = 480.0
)

// times is how many times g the pitch f is, from 2 to aboveMost; 0 otherwise.
func times(f, g float64) int {
	for m := 2; m <= aboveMost; m++ {
		if near(f, g*float64(m), samePitch) {
			return m
		}
	}
	return 0
}

// ringing is the note that goes on ringing in the room under one an octave or more above it.
type ringing struct {
	hz    float64
	times int
	// below, in power, stay the lines that only it has, for as long as nobody plays it again.
	below float64
}

// apart is the power at frame n of the lines that a tone of hz and one m times as high share, and of those that only the lower one has.
func (s *Segmenter) apart(n int, hz float64, m int) (both, old float64) {
	window := s.tone.window(hz)
	x := s.ring.Window(n*FrameHop-len(window)/2, len(window))
	var fs, power [max(lines, 2*aboveMost)]float64
	f := multiples(fs[:max(lines, 2*m)], hz/s.rate)
	powers(power[:], f, x, window)
	for k, p := range power[:len(f)] {
		if (k+1)%m == 0 {
			both += p
		} else {
			old += p
		}
	}
	return both, old
}

// known are the frames that apart can be asked for around frame n, up to aboveSpan back.
func (s *Segmenter) known(n int, hz float64) (from, to int) {
	half := len(s.tone.window(hz)) / 2
	return max(n-aboveSpan, (max(0, s.ring.Oldest())+half)/FrameHop+1), min(n+lineAhead, (s.ring.Count()-half)/FrameHop)
}

// above looks, when the pitch has become m times the one held at frame n, for when the note of that pitch really started, in samples:
// all its lines are the old note's too, so as long as a room lets that ring on, the pitch stays the old one. What tells is that the lines
// which only the old note has go down alone. ok is false when they do not.
func (s *Segmenter) above(n int, hz float64, m int) (at float64, r ringing, ok bool) {
	from, to := s.known(n, hz)
	if to-from < 2*Ahead {
		return 0, r, false
	}
	var both, old [aboveSpan + lineAhead + 1]float64
	count := to - from + 1
	top := 0.0
	for i := range count {
		both[i], old[i] = s.apart(from+i, hz, m)
		top = max(top, old[i])
	}
	r = ringing{hz: hz, times: m, below: top * dsp.Power(-letGo)}
	fell := count - 1
	for fell >= 0 && old[fell] < r.below {
		fell--
	}
	if fell < 0 || fell > count-1-Ahead {
		return 0, r, false
	}
	bottom := max(0, fell-Ahead) // the two may overlap
	for i := bottom; i < n-from; i++ {
		if both[i] < both[bottom] {
			bottom = i
		}
	}
	high := bottom
	for i := bottom; i < count; i++ {
		if both[i] > both[high] {
			high = i
		}
	}
	change := dsp.DB(both[high]) - dsp.DB(slices.Max(both[:fell+1]))
	if change < -sinks || change-(dsp.DB(old[count-1])-dsp.DB(top)) < parts {
		return 0, r, false
	}
	if dsp.DB(both[high])-dsp.DB(both[bottom]) < dipsAbove {
		return float64((from + fell) * FrameHop), r, true
	}
	limit := both[bottom] + (both[high]-both[bottom])*dsp.Power(-growDB)
	i := high
	for i > bottom+1 && both[i-1] > limit {
		i--
	}
	part := (limit - both[i-1]) / (both[i] - both[i-1])
	return (float64(from+i-1) + min(1, max(0, part))) * FrameHop, r, true
}

// rises takes the note m times as high as the one held, whose pitch is f from frame n on, and reports whether it is one. It may be open
// already under the old one's pitch.
func (s *Segmenter) rises(n int, f float64, m int) bool {
	at, ring, ok := s.above(n, f/float64(m), m)
	if !ok {
		return false
	}
	if at < s.note.Start+sameStart {
		s.held = f
		s.contour.reset()
		s.contour.add(f)
		s.tone.restart(n)
	} else {
		s.end(s.down.before(at))
		s.start(n, f, at, s.level.dipAround(int(at)/Block, smoothing(f)))
	}
	s.note.Own, s.under = n, ring
	return true
}

// rung says that the pitch f of frame n is the note's that rings on in the room under the one held: waves of a room let
// its lines come and go. Then the frame is the held note's.
func (s *Segmenter) rung(n int, f float64) bool {
	u := s.under
	if s.note.Own == 0 || n-s.opened > aboveSpan || !near(f, u.hz, samePitch) {
		return false
	}
	_, to := s.known(n, u.hz)
	for i := n; i <= to; i++ {
		if _, old := s.apart(i, u.hz, u.times); old > u.below {
			return false // it is played again
		}
	}
	s.note.Own = n + 1
	return true
}
