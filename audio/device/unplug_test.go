//go:build sound && cgo

package device_test

import (
	"errors"
	"os/exec"
	"strings"
	"testing"
	"time"

	"reedwell/audio/device"
)

// server runs a command of the sound server and returns what it prints.
func server(t *testing.T, args ...string) string {
	t.Helper()
	out, err := exec.Command("pactl", args...).CombinedOutput()
	if err != nil {
		t.Fatalf("pactl %v: %v\n%s", args, err, out)
	}
	return strings.TrimSpace(string(out))
}

// soon polls a stream until something holds, ten seconds at most.
func soon(t *testing.T, s *device.Stream, what string, ok func() bool) {
	t.Helper()
	start := time.Now()
	for time.Since(start) < 10*time.Second {
		s.Poll(time.Since(start).Seconds())
		if ok() {
			return
		}
		time.Sleep(5 * time.Millisecond)
	}
	t.Fatalf("not %s after 10 s: state %v, error %v, info %+v", what, s.State(), s.Err(), s.Info())
}

// listed waits until a device with a label is listed and returns its ID.
func listed(t *testing.T, in *device.Inputs, of func() []device.DeviceInfo, label string) string {
	t.Helper()
	for range 200 {
		for _, d := range of() {
			if d.Label == label {
				return d.ID
			}
		}
		in.Refresh()
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatalf("%q is not listed: %+v", label, of())
	return ""
}

// A second microphone and a second loudspeaker come up in the lists, are opened when they
// are chosen, and their going away ends the stream as unplugged; what is left can be opened
// then, even by the ID of what is gone.
func TestDesktopChooseAndUnplug(t *testing.T) {
	if !inRoom(t) {
		return
	}
	inputs := device.NewInputs()
	defer inputs.Close()
	for _, gone := range []string{"microphone", "loudspeaker"} {
		sink := server(t, "load-module", "module-null-sink", "sink_name=spare", "rate=48000", "sink_properties=device.description=SpareOut")
		source := server(t, "load-module", "module-null-source", "source_name=clip", "rate=48000", "description=SpareIn")
		o := device.Options{
			DeviceID: listed(t, inputs, inputs.All, "SpareIn"),
			OutputID: listed(t, inputs, inputs.Outputs, "SpareOut"),
		}
		s := device.Open(o)
		soon(t, s, "running", func() bool { return s.State() == device.Running && s.Now() > 4800 })
		info := s.Info()
		if info.InputLabel != "SpareIn" || info.OutputLabel != "SpareOut" || info.OutputID != o.OutputID {
			t.Errorf("opened %+v, want SpareIn and SpareOut", info)
		}
		if gone == "microphone" {
			server(t, "unload-module", source)
			soon(t, s, "unplugged", func() bool { return errors.Is(s.Err(), device.Unplugged) })
			server(t, "unload-module", sink)
		} else {
			server(t, "unload-module", sink)
			soon(t, s, "unplugged", func() bool { return errors.Is(s.Err(), device.Unplugged) })
			server(t, "unload-module", source)
		}
		if s.State() != device.Failed {
			t.Errorf("without its %s the stream is %v, want failed", gone, s.State())
		}
		s.Close()

		again := device.Open(o)
		soon(t, again, "running on what is left", func() bool { return again.State() == device.Running && again.Now() > 4800 })
		if info := again.Info(); info.InputLabel == "SpareIn" || info.OutputID != "" {
			t.Errorf("opened %+v, want what is left", info)
		}
		again.Close()
	}
}
