package midi

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"gitlab.com/gomidi/midi/v2/smf"

	"reedwell/levels/lesson"
	"reedwell/levels/lesson/lessontest"
	"reedwell/levels/score"
	"reedwell/levels/score/scoretest"
)

// The bytes that MIDI 1.0 and the file standard ask for: format 1, RPN 0,0 set to 12
// semitones and closed with the null function, General MIDI's harmonica, the harmonica's
// time signature and tempo, chords as markers. Numbers of messages from memory.
func TestWritesTheStandard(t *testing.T) {
	data := written(t, scoretest.Lessons(t)[0], score.Chorus, Options{})
	if string(data[:4]) != "MThd" || data[9] != 1 || data[11] != 2 || int(data[12])<<8|int(data[13]) != 960 {
		t.Errorf("header % x, want format 1, 2 tracks, 960 ticks", data[:14])
	}
	for what, want := range map[string]string{
		"program 22":         "\xc0\x16",
		"RPN 0,0 = 12, null": "\x65\x00\x00\x64\x00\x00\x06\x0c\x00\x26\x00\x00\x65\x7f\x00\x64\x7f",
		"4/4":                "\xff\x58\x04\x04\x02\x18\x08",
		"92.5 a minute":      "\xff\x51\x03\x09\xe5\xc9", // 60,000,000 / 92.5 = 648,649 us
		"four sharps":        "\xff\x59\x02\x04\x00",
		"marker":             "\xff\x06\x02B7",
		"lyric":              "\xff\x05\x03-4'",
	} {
		if !bytes.Contains(data, []byte(want)) {
			t.Errorf("%s: % x is not in the file", what, want)
		}
	}
	twelve := written(t, scoretest.Lessons(t)[2], score.Chorus, Options{})
	for what, want := range map[string]string{
		"12/8, a click each dotted quarter": "\xff\x58\x04\x0c\x03\x24\x08",
		"61 dotted quarters":                "\xff\x51\x03\x0a\x01\x7a", // 60,000,000 / 91.5 = 655,738 us
		"three flats":                       "\xff\x59\x02\xfd\x00",
	} {
		if !bytes.Contains(twelve, []byte(want)) {
			t.Errorf("%s: % x is not in the file", what, want)
		}
	}
}

// The wheel is read with the range that the file declares: two semitones where it says
// nothing (MIDI 1.0), else what RPN 0,0 says.
func TestReadsTheWheelsRange(t *testing.T) {
	// A whole note of 60 with the wheel an eighth of the way down from the second beat on.
	play := []byte{0, 0x90, 60, 90, 0x60, 0xe0, 0, 0x38, 0x60, 0x80, 60, 0}
	for _, c := range []struct {
		name    string
		declare []byte
		want    []int
	}{
		{"nothing declared: a quarter of a semitone, which is none", nil, []int{60}},
		{"24 semitones", []byte{0, 0xb0, 101, 0, 0, 0xb0, 100, 0, 0, 0xb0, 6, 24}, []int{60, 57}},
		{"8 semitones, then null", []byte{0, 0xb0, 101, 0, 0, 0xb0, 100, 0, 0, 0xb0, 6, 8, 0, 0xb0, 101, 127, 0, 0xb0, 100, 127, 0, 0xb0, 6, 24}, []int{60, 59}},
		{"another parameter", []byte{0, 0xb0, 101, 0, 0, 0xb0, 100, 1, 0, 0xb0, 6, 12}, []int{60}},
	} {
		p := read(t, append(header(1, 1, 96), track(append(c.declare, play...)...)...))
		var got []int
		for i, n := range p.Notes {
			got = append(got, n.Pitches...)
			if i > 0 && n.Join != lesson.Glide {
				t.Errorf("%s: the wheel moves, and the note is %v", c.name, n.Join)
			}
		}
		if fmt.Sprint(got) != fmt.Sprint(c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

// With the tuning the wheel carries the deviation of each reed and the reference pitch: 5
// draw of a 7-limit harp at 443 Hz is 29.2 cents flat and 11.8 sharp (Hansson 2004).
func TestTuning(t *testing.T) {
	l := scoretest.Lessons(t)[3]
	l.A4, l.Tuning = 443, 4
	file, err := smf.ReadFrom(bytes.NewReader(written(t, l, 0, Options{Tuning: true})))
	if err != nil {
		t.Fatal(err)
	}
	var cents float64
	for _, e := range file.Tracks[1] {
		var wheel int16
		var key uint8
		if e.Message.GetPitchBend(nil, &wheel, nil) {
			cents = float64(wheel) / 8192 * 1200
		}
		// A step of the wheel is 0.15 cents.
		if e.Message.GetNoteStart(nil, &key, nil) && key == 77 && math.Abs(cents-(11.76-29.22)) > 0.1 {
			t.Errorf("5 draw sounds %.2f cents off, want %.2f", cents, 11.76-29.22)
		}
	}
}

// A shuffle is found in what sounds, and written as eighths; triplets and straight eighths
// stay. Places are scattered by up to 2 hundredths of a beat, as people play.
func TestSwing(t *testing.T) {
	scatter := []float64{0, 0.02, -0.015, 0.01, -0.02, 0.005}
	play := func(at ...float64) []sounding {
		var all []sounding
		for i, x := range at {
			all = append(all, sounding{start: x + scatter[i%len(scatter)], end: x + 0.3, pitches: []int{60}})
		}
		return all
	}
	third := 1.0 / 3
	for _, c := range []struct {
		name  string
		at    []float64
		feel  lesson.Feel
		ticks string
	}{
		{"straight", []float64{0, .5, 1, 1.5, 2, 3, 3.5}, lesson.Feel{}, "0 480 960 1440 1920 2880 3360"},
		{"shuffle", []float64{0, 2 * third, 1, 1 + 2*third, 2, 3, 3 + 2*third}, lesson.Feel{Kind: lesson.Shuffle, Ratio: 2}, "0 480 960 1440 1920 2880 3360"},
		{"light shuffle", []float64{0, .6, 1, 1.6, 2, 2.6, 3}, lesson.Feel{Kind: lesson.Shuffle, Ratio: 1.5}, "0 480 960 1440 1920 2400 2880"},
		{"triplets", []float64{0, third, 2 * third, 1, 1 + third, 1 + 2*third, 2}, lesson.Feel{}, "0 320 640 960 1280 1600 1920"},
		{"shuffle with triplets", []float64{0, 2 * third, 1, 1 + third, 1 + 2*third, 2, 2 + 2*third}, lesson.Feel{Kind: lesson.Shuffle, Ratio: 2}, "0 480 960 1280 1600 1920 2400"},
		{"sixteenths", []float64{0, .25, .5, .75, 1, 1.5}, lesson.Feel{}, "0 240 480 720 960 1440"},
	} {
		notes := play(c.at...)
		feel := swing(notes)
		if feel.Kind != c.feel.Kind || math.Abs(feel.Ratio-c.feel.Ratio) > 0.11 { // the mean of scattered places
			t.Errorf("%s: %v %g, want %v %g", c.name, feel.Kind, feel.Ratio, c.feel.Kind, c.feel.Ratio)
		}
		var got []string
		for _, n := range quantise(notes, feel) {
			got = append(got, fmt.Sprint(int(n.Start)))
		}
		if s := strings.Join(got, " "); s != c.ticks {
			t.Errorf("%s: written at %s, want %s", c.name, s, c.ticks)
		}
	}
}

// Without our texts, as after a program that drops them, the demo lessons still come back
// from notes and wheel: place, length and pitch of all notes outside warbles and chords.
func TestWithoutMarks(t *testing.T) {
	for _, l := range lessontest.Demos(t) {
		data := written(t, l, score.Chorus, Options{})
		data = bytes.ReplaceAll(data, []byte("reedwell "), []byte("somebody "))
		got := map[string]bool{}
		p := read(t, data)
		for _, n := range p.Notes {
			got[fmt.Sprint(n.Start, n.Length, n.Pitches, n.Join == lesson.Glide)] = true
		}
		line, err := score.Lay(l, score.Chorus)
		if err != nil {
			t.Fatal(err)
		}
		all, right := 0, 0
		var shift lesson.Ticks
		if len(line.Notes) > 0 {
			shift = p.Notes[0].Start - line.Notes[0].Start
		}
		for _, n := range line.Notes {
			if n.Warbles() {
				continue
			}
			var pitches []int
			for _, h := range n.Holes {
				pitches = append(pitches, l.Harp().MIDI(h))
			}
			all++
			id := fmt.Sprint(n.Start+shift, n.Length, pitches, n.Join == lesson.Glide)
			if got[id] {
				right++
			} else {
				t.Logf("%s: not found: start, length, pitches, glide %s", l.Title, id)
			}
		}
		t.Logf("%s: %d of %d notes come back, feel %v", l.Title, right, all, p.Feel)
		if right*100 < 95*all || p.Feel.Kind != l.Feel.Kind {
			t.Errorf("%s: %d of %d notes come back, %v for %v", l.Title, right, all, p.Feel, l.Feel)
		}
	}
}
