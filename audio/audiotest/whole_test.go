package audiotest

import (
	"slices"
	"testing"
)

// A delay is found to the frame, also beside a little noise; a tenth of a millisecond that is lost
// or filled in shows, and where.
func TestUnexplained(t *testing.T) {
	const rate, late = 44100, 4321
	played := Sum(Scaled(Pink(rate, 3, -30, 1), -30), Tone(rate, 3, 440, -20, Reed()))
	heard := append(make([]float32, late), played...)
	if got, left, _ := Unexplained(heard, played, rate); got != late || left > -100 {
		t.Errorf("the same sound: %d frames late and %.1f dB left, want %d and nothing", got, left, late)
	}
	noisy := Sum(heard, White(rate, 4, -60, 2)[:len(heard)])
	if got, left, _ := Unexplained(noisy, played, rate); got != late || left > HeardWhole {
		t.Errorf("with noise 40 dB under: %d frames late and %.1f dB left, want %d and less than %g", got, left, late, HeardWhole)
	}
	const slip = rate / 10000
	for name, bad := range map[string][]float32{
		"lost":      slices.Concat(heard[:late+rate*2], heard[late+rate*2+slip:]),
		"filled in": slices.Concat(heard[:late+rate*2], make([]float32, slip), heard[late+rate*2:]),
	} {
		if _, left, at := Unexplained(bad, played, rate); left < HeardWhole || at != 0 && at != 2 {
			t.Errorf("%s: %.1f dB left at %.2f s, want more than %g before 2 s or after", name, left, at, HeardWhole)
		}
	}
	if _, left, _ := Unexplained(make([]float32, len(heard)), played, rate); left < HeardWhole {
		t.Errorf("nothing heard: %.1f dB left", left)
	}
}
