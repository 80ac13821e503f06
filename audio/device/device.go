package device

import (
	"fmt"
	"strings"
)

// Options say which device to open and how.
type Options struct {
	DeviceID string // as listed by Inputs; empty is the system's choice
	OutputID string // as listed by Inputs.Outputs; empty is the system's choice
	// Spare is the output buffering asked for beyond the shortest the device offers, in
	// seconds: 0 for the shortest, 0.05 then 0.1 after gaps.
	Spare float64
}

// Info describes the open device. It can change while a stream runs.
type Info struct {
	Rate       int // of the stream, Hz
	InputLabel string
	InputID    string
	OutputID   string // the output that was chosen; empty where it is the system's choice or not known
	// OutputLabel is the output's name; empty where it is not known.
	OutputLabel string
	InputRate   int // of the microphone itself, Hz; 0 when unknown
	// Processing that is still on although the stream asked for none.
	EchoCancellation, NoiseSuppression, AutoGain bool
	OutputLatency                                float64 // the device's own estimate, seconds; 0 when unknown
	Bluetooth                                    bool    // looks like it: its delay drifts, so no stored calibration holds
	Key                                          string  // names device, rate and buffering, for a stored calibration
}

// A Block is a run of captured samples.
type Block struct {
	First int64     // frame of In[0]
	Gap   int64     // frames lost just before First
	In    []float32 // valid until the function given to Read returns
}

// A State says what a stream is doing.
type State int

const (
	Opening   State = iota // waiting for the player's permission or for the device
	Running                // samples move
	Suspended              // held by the system; Err says why, Resume from a key or click goes on
	Failed                 // over; Err says why, open another
	Closed                 // over, by Close
)

func (s State) String() string {
	if names := [...]string{"opening", "running", "suspended", "failed", "closed"}; s >= 0 && int(s) < len(names) {
		return names[s]
	}
	return fmt.Sprintf("State(%d)", int(s))
}

// A Stream is an open device.
type Stream struct {
	port  *port
	watch watch // of what is captured
	sound watch // of what is played
}

// Open starts to open the device and returns at once. In the browser call it from the
// handler of a click or key.
func Open(o Options) *Stream {
	return &Stream{port: open(o), sound: watch{patience: soundPatience}}
}

// State says what the stream is doing.
func (s *Stream) State() State { return s.port.state() }

// Err is the reason of Suspended and Failed, else nil. It wraps a [Fault].
func (s *Stream) Err() error { return s.port.err() }

// Info describes the device; the zero value while Opening.
func (s *Stream) Info() Info { return s.port.info() }

// Read hands every block captured since the last call to f, in order.
func (s *Stream) Read(f func(Block)) { s.port.read(f) }

// Now is the frame just after the newest captured sample.
func (s *Stream) Now() int64 { return s.port.now() }

// Lead is how many frames after Now a sound must be scheduled to be in time even when
// the program is slow for a moment.
func (s *Stream) Lead() int64 { return lead(s.port.info()) }

// Play schedules mono samples on the output frames [at, at+len(samples)), added to what
// is scheduled there. What comes too late is dropped and counted by Late.
func (s *Stream) Play(at int64, samples []float32) {
	if len(samples) > 0 {
		s.port.play(at, samples)
	}
}

// Quiet drops everything scheduled that has not sounded.
func (s *Stream) Quiet() { s.port.quiet() }

// Late is how many frames given to Play came too late to sound.
func (s *Stream) Late() int64 { return s.port.late() }

// Slip is how many frames the output has fallen behind the input since the stream began:
// on a busy computer the output can run dry without any frame being lost by count, and
// the round trip is another from then on. On the desktop it is told four times a second, good to
// some 2 ms and 1.25 s after the change at the latest; the browser looks once a second and hides most of what happens, and there only that it has
// changed says something, not by how much. When it has changed by more than 5 ms since a
// calibration, calibrate again. It does not find every change: check takes as well.
func (s *Stream) Slip() int64 { return s.port.slip() }

// Hidden reports that the page is not visible; always false on the desktop. What to do
// about it is the caller's to decide.
func (s *Stream) Hidden() bool { return s.port.hidden() }

// Resume goes on after Suspended. In the browser call it from the handler of a click or key.
func (s *Stream) Resume() { s.port.resume() }

// Close lets the device go. The stream can not be used again.
func (s *Stream) Close() { s.port.close() }

// Poll does what must be done from time to time; call it once a tick. Its argument is
// any monotonic time in seconds and serves only to notice that a device which says it
// runs delivers nothing, or takes nothing to play: the stream then fails with [Stalled], or
// with [Unplugged] where it turns out that the device is gone.
func (s *Stream) Poll(seconds float64) {
	s.port.poll()
	heard := s.watch.stalled(seconds, s.port.expected(), s.port.now())
	if played := s.sound.stalled(seconds, s.port.expected(), s.port.played()); heard || played {
		s.port.fail(Stalled)
	}
}

// lead is a quarter of a second beyond what the device buffers: main-thread pauses
// measured in a browser stay under 60 ms, garbage collection and page layout included.
func lead(i Info) int64 { return int64((0.25 + i.OutputLatency) * float64(i.Rate)) }

// slowAir is the output delay in seconds from which a device is taken for a wireless
// one. Wired devices report up to about 0.1; wireless earphones 0.15 and more.
const slowAir = 0.1

// wireless guesses from what is known whether sound goes through Bluetooth. A headset in
// call mode runs at 8, 16 or 24 kHz (Hands-Free Profile), which no wired one does.
func wireless(label string, rate, inputRate int, outputLatency float64) bool {
	for _, r := range []int{rate, inputRate} {
		if r > 0 && r <= 24000 {
			return true
		}
	}
	label = strings.ToLower(label)
	for _, word := range []string{"airpods", "bluetooth", "hands-free", "handsfree", "headset"} {
		if strings.Contains(label, word) {
			return true
		}
	}
	return outputLatency > slowAir
}

// finish fills in what follows from the rest.
func (i Info) finish(o Options) Info {
	i.Bluetooth = wireless(i.InputLabel, i.Rate, i.InputRate, i.OutputLatency)
	i.Key = fmt.Sprintf("%s|%s|%d|%d|%g", i.InputID, i.InputLabel, i.InputRate, i.Rate, o.Spare)
	if i.OutputID != "" { // another way out is another delay
		i.Key += "|" + i.OutputID
	}
	return i
}
