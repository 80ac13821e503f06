//go:build cgo && !js

package device

import (
	"errors"
	"testing"
	"time"

	"github.com/gen2brain/malgo"
)

// TestNullBackend pins two facts: the number by which the library's null device is reached,
// and that the whole stream works on it. When the binding's own constant works as well, ours
// can go.
func TestNullBackend(t *testing.T) {
	if _, err := malgo.InitContext([]malgo.Backend{malgo.BackendNull}, malgo.ContextConfig{}, nil); err == nil {
		t.Error("malgo.BackendNull works now: use it in place of nullBackend")
	}
	s := &Stream{port: openOn(Options{}, []malgo.Backend{nullBackend})}
	start := time.Now()
	for s.Now() < 9600 && s.State() < Failed && time.Since(start) < 10*time.Second {
		s.Poll(time.Since(start).Seconds())
		time.Sleep(time.Millisecond)
	}
	if s.State() != Running || s.Info().Rate != desktopRate || s.Info().Key == "" {
		t.Fatalf("state %v, error %v, info %+v, now %d, want running at %d Hz", s.State(), s.Err(), s.Info(), s.Now(), desktopRate)
	}
	next := int64(0)
	s.Read(func(b Block) {
		if b.First != next || b.Gap != 0 {
			t.Errorf("block at %d, gap %d, want %d, 0", b.First, b.Gap, next)
		}
		for _, x := range b.In {
			if x != 0 {
				t.Fatalf("the null device hears %v", x)
			}
		}
		next += int64(len(b.In))
	})
	if next < 9600 {
		t.Errorf("read %d frames, want all 9600", next)
	}
	s.Close()
	if s.State() != Closed || s.Err() != nil {
		t.Errorf("state %v, error %v after Close", s.State(), s.Err())
	}
}

func TestDesktopUnplugged(t *testing.T) {
	s := &Stream{port: openOn(Options{}, []malgo.Backend{nullBackend})}
	defer s.Close()
	for start := time.Now(); s.State() == Opening && time.Since(start) < 10*time.Second; {
		time.Sleep(time.Millisecond)
	}
	s.port.mu.Lock()
	output := s.port.opened.output
	s.port.mu.Unlock()
	if output == nil {
		t.Fatalf("did not open: %v", s.Err())
	}
	// A device that stops by itself calls back as one does that is told to.
	if err := output.Stop(); err != nil {
		t.Fatal(err)
	}
	for start := time.Now(); s.State() != Failed && time.Since(start) < 10*time.Second; {
		time.Sleep(time.Millisecond)
	}
	if !errors.Is(s.Err(), Unplugged) {
		t.Errorf("state %v, error %v, want unplugged", s.State(), s.Err())
	}
}

func TestDesktopFaults(t *testing.T) {
	// The custom backend, which is none unless a program brings its own.
	s := &Stream{port: openOn(Options{}, []malgo.Backend{malgo.BackendNull})}
	defer s.Close()
	for start := time.Now(); s.State() == Opening && time.Since(start) < 10*time.Second; {
		time.Sleep(time.Millisecond)
	}
	if s.State() != Failed || !errors.Is(s.Err(), Missing) {
		t.Errorf("state %v, error %v, want missing", s.State(), s.Err())
	}
	for _, c := range []struct {
		err  error
		want Fault
	}{
		{malgo.ErrNoDevice, Missing}, {malgo.ErrAccessDenied, Refused}, {malgo.ErrBusy, Busy},
		{malgo.ErrFailedToOpenBackendDevice, Busy}, {malgo.ErrOutOfMemory, Other},
	} {
		if got := fault(c.err); got != c.want {
			t.Errorf("fault(%v) = %v, want %v", c.err, got, c.want)
		}
	}
}
