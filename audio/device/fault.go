package device

import (
	"errors"
	"fmt"
)

// A Fault is why a stream is suspended or failed, whatever the platform called it. It is
// an error, so errors.Is(s.Err(), device.Refused) asks for one.
type Fault int

const (
	Other       Fault = iota // none of the others
	Refused                  // the player, the system or the embedding page said no
	Missing                  // there is no microphone
	Busy                     // the system can not open it, mostly because another program holds it
	Unplugged                // it went away while in use
	Insecure                 // the page is not served over https
	Interrupted              // the system holds the sound for now
	Stalled                  // it says it runs and delivers nothing
	NoCapture                // this program was built without access to sound devices
)

// Error says what happened and what to do.
func (f Fault) Error() string {
	switch f {
	case Refused:
		return "The microphone was refused. Allow it for this page in the browser's site settings or for this program in the system's privacy settings, then start again; inside another site's page, open it in a tab of its own."
	case Missing:
		return "No microphone was found. Connect one, then start again."
	case Busy:
		return "The microphone or the loudspeaker could not be opened. Close other programs that use it, then start again."
	case Unplugged:
		return "The microphone or the loudspeaker went away. Connect it again or choose another, then start again."
	case Insecure:
		return "The browser gives a microphone only to pages served over https or from this computer. Open the page at its https address."
	case Interrupted:
		return "The system has paused the sound, because of a call, another program or a hidden page. Press to go on."
	case Stalled:
		return "The sound device has stopped delivering sound. Start again; if it comes back, reconnect the device."
	case NoCapture:
		return "This program was built without sound devices. Use the build with cgo, or the browser."
	}
	return "The microphone could not be used. Start again, or choose another microphone."
}

// FaultOf is the fault in an error of this package, Other when there is none.
func FaultOf(err error) Fault {
	var f Fault
	if errors.As(err, &f) {
		return f
	}
	return Other
}

// because joins a fault with what the platform said.
func because(f Fault, detail string) error {
	if detail == "" {
		return f
	}
	return fmt.Errorf("%w (%s)", f, detail)
}
