//go:build !js

package midi

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"

	"reedwell/audio/audiotest"
	"reedwell/audio/listen"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/lesson/lessontest"
	"reedwell/levels/score"
)

// Demo lessons written as MIDI, played by fluidsynth on sampled harmonicas and heard by our
// ear: each note comes back at its place with its bend. The samples' own tuning, up to 36
// cents off, is measured first.
func TestSoundsLikeTheLesson(t *testing.T) {
	audiotest.Need(t, "fluidsynth")
	for _, font := range audiotest.Fonts() {
		for _, l := range lessontest.Demos(t) {
			d, err := l.Chorus(lesson.Play{Profile: profile(t, font, l)})
			if err != nil {
				t.Fatal(err)
			}
			sound := rendered(t, font, written(t, l, score.Chorus, Options{}))
			heard, err := listen.Hear(listen.Config{Rate: audiotest.Rate}, sound)
			if err != nil {
				t.Fatal(err)
			}
			line, err := score.Lay(l, score.Chorus)
			if err != nil {
				t.Fatal(err)
			}
			lead := float64((line.Pickup+lesson.Bar-1)/lesson.Bar*lesson.BeatsPerBar) * 60 / l.Tempo
			compare(t, fmt.Sprintf("%s on %s", l.Title, font.Name), d, heard, lead)
		}
	}
}

// compare looks for each target where the file sounds it. 10 cents: half of what the
// strictest window asks, and over the 2.3 that fluidsynth's wheel loses on three
// semitones and the 4 by which the samples waver. 40 ms: the samples need up to 20 to
// speak, the ear up to 9.
func compare(t *testing.T, what string, d drill.Drill, heard listen.Take, lead float64) {
	t.Helper()
	right, starts, tongued, quick := 0, 0, 0, 0
	worst := 0.0
	var warble [3]int // frames in quick notes: on the note, on the one before, elsewhere
	for i, target := range d.Targets {
		if len(target.Also) > 0 {
			right++ // a chord has no one pitch
			continue
		}
		// Of a note that glides on, or scoops, the second half rests at its pitch.
		at := func(share float64) float64 {
			return lead + (target.Beat+share*target.Beats)*60/d.Tempo
		}
		// The release of the sample before reaches into notes of under 100 ms, a warble of more
		// than ten a second; there both pitches are looked for.
		if target.End-target.Start < 0.1 && i > 0 {
			quick++
			for _, f := range heard.Frames {
				if s := float64(f.At) / float64(heard.Rate); s < at(0) || s > at(1) || f.F0 == 0 || f.Confidence < 0.5 {
					continue
				}
				switch {
				case math.Abs(harp.Cents(f.F0, target.Hz)) < 50:
					warble[0]++
				case math.Abs(harp.Cents(f.F0, d.Targets[i-1].Hz)) < 50:
					warble[1]++
				default:
					warble[2]++
				}
			}
			continue
		}
		var cents []float64
		for _, f := range heard.Frames {
			s := float64(f.At) / float64(heard.Rate)
			if s > at(0.5) && s < at(0.85) && f.F0 > 0 && f.Confidence >= 0.5 {
				cents = append(cents, harp.Cents(f.F0, target.Hz))
			}
		}
		slices.Sort(cents)
		if len(cents) > 0 {
			off := math.Abs(cents[len(cents)/2])
			if off <= 10 {
				right++
				worst = max(worst, off)
			} else {
				t.Errorf("%s: note %d, %s: %.1f cents off", what, i+1, target.Note.Tab(), cents[len(cents)/2])
			}
		} else {
			t.Errorf("%s: note %d, %s on beat %.2f: nothing heard", what, i+1, target.Note.Tab(), target.Beat)
		}
		if target.Join != drill.Tongued {
			continue
		}
		tongued++
		for _, n := range heard.Notes {
			if late := float64(n.Start)/float64(heard.Rate) - at(0); late > -0.015 && late < 0.040 {
				starts++
				break
			}
		}
	}
	t.Logf("%s: %d of %d notes right in pitch, the worst %.1f cents off; %d of %d tongued starts; frames of %d quick notes %v",
		what, right, len(d.Targets)-quick, worst, starts, tongued, quick, warble)
	if all := warble[0] + warble[1] + warble[2]; quick > 0 && (warble[2]*10 > all || warble[0]*2 < all) {
		t.Errorf("%s: of %d frames in quick notes %d are on the note and %d on neither", what, all, warble[0], warble[2])
	}
	if starts < tongued {
		t.Errorf("%s: %d of %d tongued starts heard", what, starts, tongued)
	}
}

// profile is the font's tuning as a player's reeds.
func profile(t *testing.T, font audiotest.Font, l lesson.Lesson) harp.Profile {
	t.Helper()
	var p harp.Profile
	h := l.Harp()
	for hole := 1; hole <= harp.Holes; hole++ {
		for _, b := range []harp.Breath{harp.Blow, harp.Draw} {
			reed := harp.Note{Hole: hole, Breath: b}
			m := h.MIDI(reed)
			cents := audiotest.Offset(t, font, m) - h.Tuning.Deviation(hole, b)
			if b == harp.Draw {
				p.Draw[hole-1] = cents
			} else {
				p.Blow[hole-1] = cents
			}
		}
	}
	return p
}

// rendered plays a file with fluidsynth, dry, as audiotest does.
func rendered(t *testing.T, font audiotest.Font, data []byte) []float32 {
	t.Helper()
	dir := t.TempDir()
	in, out := filepath.Join(dir, "in.mid"), filepath.Join(dir, "out.wav")
	if err := os.WriteFile(in, data, 0o666); err != nil {
		t.Fatal(err)
	}
	c := exec.Command("fluidsynth", "-ni", "-q", "-R", "0", "-C", "0", "-g", "0.6", "-o", "synth.dynamic-sample-loading=1",
		"-r", fmt.Sprint(audiotest.Rate), "-T", "wav", "-O", "s16", "-F", out, font.File, in)
	if text, err := c.CombinedOutput(); err != nil {
		t.Fatalf("%v: %v\n%s", c, err, text)
	}
	x, rate, err := audiotest.ReadWAV(out)
	if err != nil || rate != audiotest.Rate {
		t.Fatalf("fluidsynth wrote %d Hz: %v", rate, err)
	}
	return x
}
