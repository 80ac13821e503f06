package device

import "math"

// slipFrames is how long the distance between the two counts is averaged over: a second
// at 48 kHz. Both move in steps of a callback; the mean over some fifty of them is steady to
// a millisecond or two: through a looped sound server on a busy computer it lay within 1.6 ms of the
// round trip as it was, 0.2 to 1.2 s after that had moved.
const slipFrames = 48000

// slipParts is how often it is told in that time, so that what moved is told whole after a second and a quarter at the most. Our choice.
const slipParts = 4

// slips watches the distance between the count of captured and of played frames. It grows
// when the output runs dry and the system fills in silence that nobody counts, and creeps
// when the two devices have clocks of their own.
type slips struct {
	frames, calls int
	sum           int64
	means         [slipParts]float64 // of the last parts of a second
	parts         int
	base          float64
}

// add takes the distance at a callback of so many frames; four times a second it says how
// far the mean of the last second lies from where it was in the second second.
func (s *slips) add(distance int64, frames int) (slip int64, ok bool) {
	s.sum += distance
	s.calls++
	if s.frames += frames; s.frames < slipFrames/slipParts {
		return 0, false
	}
	s.means[s.parts%slipParts] = float64(s.sum) / float64(s.calls)
	s.sum, s.calls, s.frames = 0, 0, 0
	if s.parts++; s.parts < slipParts {
		return 0, false
	}
	mean := 0.0
	for _, m := range s.means {
		mean += m / slipParts
	}
	if s.parts <= 2*slipParts { // the first is the devices' start
		s.base = mean
	}
	return int64(math.Round(mean - s.base)), true
}

// A jump of less than this, in seconds, is the jitter of message delivery.
const leastJump = 0.004

// jumps watches a count of frames against a wall clock, which serves for nothing else: where
// the output runs dry the count stands still while the system fills in silence, and comes
// out of step at once. Slow creeping is only the two clocks differing, and is left out.
type jumps struct {
	frames  int
	least   int64
	last    int64
	seconds int
	total   int64
}

// add takes how many frames the wall clock is ahead of the count when a block of so many
// frames at that rate arrives. The least of a second is the one delivered promptly.
func (j *jumps) add(ahead int64, frames, rate int) {
	if j.frames == 0 || ahead < j.least {
		j.least = ahead
	}
	if j.frames += frames; j.frames < rate {
		return
	}
	j.frames = 0
	j.seconds++
	change := j.least - j.last // of the first two seconds it is the device settling
	if j.seconds > 2 && math.Abs(float64(change)) > leastJump*float64(rate) {
		j.total += change
	}
	j.last = j.least
}
