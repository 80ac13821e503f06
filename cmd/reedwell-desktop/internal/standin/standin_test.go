package standin_test

import (
	"path/filepath"
	"strings"
	"testing"

	"os"

	"reedwell/audio/calibrate"
	"reedwell/audio/device"
	"reedwell/audio/wav"
	"reedwell/cmd/reedwell-desktop/internal/standin"
)

// record lets a device run for a time and returns what it captured, from frame first on.
func record(d *standin.Device, seconds float64) (first int64, heard []float32) {
	first = -1
	for t := 0.0; t <= seconds; t += 0.02 {
		d.Poll(t)
		d.Read(func(b device.Block) {
			if first < 0 {
				first = b.First
			}
			heard = append(heard, b.In...)
		})
	}
	return first, heard
}

func TestRecordingAlignsWithTheBacking(t *testing.T) {
	const rate = 16000
	played := wav.Sound{Rate: rate, Samples: make([]float32, rate)}
	played.Samples[1000] = 0.5
	d := standin.New(played, 1)
	start := d.Now() + d.Lead()
	d.Play(start, make([]float32, 2*rate))
	first, heard := record(d, 2)
	want := start - first + 1000 + int64(standin.RoundTrip*rate)
	for i, x := range heard {
		if (x != 0) != (int64(i) == want) {
			t.Fatalf("frame %d is %g; want the only sound at %d", i, x, want)
		}
	}
}

func TestTestSoundsComeBackThroughTheAir(t *testing.T) {
	const rate = 48000
	d := standin.New(wav.Sound{Rate: rate, Samples: make([]float32, 100)}, 1)
	signal := calibrate.Signal(rate)
	d.Play(d.Now()+d.Lead(), signal)
	_, heard := record(d, 1)
	loudest := float32(0)
	for _, x := range heard {
		loudest = max(loudest, x)
	}
	if loudest < 0.05 {
		t.Errorf("the loudest captured sample is %g, want the test sound", loudest)
	}
}

// Its time follows Poll's, times its speed, and does not catch up after a pause.
func TestTimeRuns(t *testing.T) {
	d := standin.New(wav.Sound{Rate: 48000}, 2)
	d.Poll(10)
	from := d.Now()
	d.Poll(10.25)
	d.Poll(99)
	// A quarter and then half a second at twice the speed; whole blocks of 1024 frames.
	if got := d.Now() - from; got < 72000-1024 || got > 72000 {
		t.Errorf("%d frames have gone by, want 72000 less a block at most", got)
	}
}

func TestReadNamesTheFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "bad.wav")
	if err := os.WriteFile(path, []byte("RIFF?"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := standin.Read(path); err == nil || !strings.Contains(err.Error(), "bad.wav") {
		t.Errorf("Read = %v, want an error that names the file", err)
	}
}
