package device

// patience is how long in seconds a running device may deliver nothing; several times
// the longest delivery delay measured in a browser (57 ms) and still short for a player.
const patience = 0.5

// longest step in seconds a poll may add: after a long pause of the program itself the
// samples are waiting to be handed over, and the pause is not the device's fault.
const longestStep = 0.1

// A watch notices a device that says it runs and delivers nothing.
type watch struct {
	started    bool
	last       float64
	frame      int64
	waited     float64
	everMoving bool
}

// stalled takes the time of a poll, whether samples are expected, and the newest frame.
// Before the first sample it waits ten times as long: devices take their time to open.
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
	if w.everMoving {
		return w.waited >= patience
	}
	return w.waited >= 10*patience
}
