package device

// patience is how long in seconds a running device may deliver nothing: several times the longest
// silence of a device that went on (0.25 s of 17 runs, six browsers at once on two cores; 57 ms on
// a quiet machine) and still short for a player. What a take lost meanwhile its gaps or Slip tell.
const patience = 1.5

// openingPatience is the same before the first sample: devices take their time to open.
const openingPatience = 5.0

// soundPatience is the same for the output, which may take its sound in large pieces: the null
// output of a PulseAudio takes two seconds at once before anything else runs on it.
const soundPatience = 3.0

// longest step in seconds a poll may add: after a long pause of the program itself the
// samples are waiting to be handed over, and the pause is not the device's fault.
const longestStep = 0.1

// A watch notices a device that says it runs and delivers nothing.
type watch struct {
	patience   float64 // in seconds; 0: patience
	started    bool
	last       float64
	frame      int64
	waited     float64
	everMoving bool
}

// stalled takes the time of a poll, whether samples are expected, and the newest frame.
func (w *watch) stalled(seconds float64, expected bool, frame int64) bool {
	step := min(max(seconds-w.last, 0), longestStep)
	if !w.started {
		w.started, step = true, 0
	}
	w.last = seconds
	switch {
	case !expected:
		w.waited = 0
	case frame != w.frame:
		w.frame, w.waited, w.everMoving = frame, 0, true
	default:
		w.waited += step
	}
	most := w.patience
	if most == 0 {
		most = patience
	}
	if !w.everMoving {
		most = max(most, openingPatience)
	}
	return w.waited >= most
}
