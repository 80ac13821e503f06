package midi

import (
	"bytes"
	"encoding/binary"
	"errors"
	"strings"
	"testing"

	"reedwell/levels/lesson"
	"reedwell/levels/score"
	"reedwell/levels/score/scoretest"
)

// track is a chunk of a track with the events given and an end mark.
func track(events ...byte) []byte {
	events = append(events, 0, 0xff, 0x2f, 0)
	return append(binary.BigEndian.AppendUint32([]byte("MTrk"), uint32(len(events))), events...)
}

// header is a file of format 1 with tracks and a division.
func header(format, tracks, division uint16) []byte {
	b := []byte("MThd\x00\x00\x00\x06")
	for _, v := range []uint16{format, tracks, division} {
		b = binary.BigEndian.AppendUint16(b, v)
	}
	return b
}

func TestRefuses(t *testing.T) {
	note := []byte{0, 0x90, 60, 90, 0x60, 0x80, 60, 0}
	file := func(events ...byte) []byte { return append(header(1, 1, 96), track(events...)...) }
	many := append(header(1, 1, 96), track(bytes.Repeat([]byte{0, 0x90, 60, 90, 1, 0x80, 60, 0}, score.MaxNotes+1)...)...)
	var stuck []byte
	for k := range byte(100) {
		stuck = append(stuck, 0, 0x90, k, 90)
	}
	far := append([]byte{0, 0x90, 60, 90, 0x60, 0x80, 60, 0}, append(bytes.Repeat([]byte{0xff, 0xff, 0xff, 0x7f, 0xb0, 7, 100}, 3), note...)...)
	for name, c := range map[string]struct {
		data []byte
		want string
	}{
		"empty":                         {nil, "MThd"},
		"another file":                  {[]byte(strings.Repeat("RIFFWAVE", 4)), "MThd"},
		"patterns":                      {append(header(2, 1, 96), track(note...)...), "format 2"},
		"film frames":                   {append(header(1, 1, 0xe728), track(note...)...), "film frames"},
		"no division":                   {append(header(1, 1, 0), track(note...)...), "film frames"},
		"no tracks":                     {header(1, 0, 96), "0 tracks"},
		"65535 tracks":                  {header(1, 65535, 96), "65535 tracks"},
		"track missing":                 {append(header(1, 2, 96), track(note...)...), "track 2"},
		"length of a text beyond it":    {file(0, 0xff, 1, 0xff, 0xff, 0xff, 0x7f), "longer than the track"},
		"length of a sysex beyond it":   {file(0, 0xf0, 0xff, 0xff, 0xff, 0x7f), "longer than the track"},
		"number of five bytes":          {file(0x81, 0x81, 0x81, 0x81, 1, 0x90, 60, 90), "no number"},
		"data without a status":         {file(0, 60, 90), "data without a message"},
		"a status that no file has":     {file(0, 0xf8), "no file holds"},
		"a message cut short":           {file(0, 0x90, 60), "cut short"},
		"chunk longer than the file":    {append(header(1, 1, 96), "MTrk\xff\xff\xff\xff"...), "ends within it"},
		"no notes":                      {file(0, 0xc0, 22), "no notes"},
		"drums only":                    {file(0, 0x99, 40, 90, 0x60, 0x89, 40, 0), "no notes"},
		"too many notes":                {many, "more than 5000 notes"},
		"too many at once":              {append(header(1, 1, 96), track(stuck...)...), "sound at once"},
		"a note after 2 million beats":  {append(header(1, 1, 96), track(far...)...), "longer than"},
		"no time between beats":         {file(append([]byte{0, 0xff, 0x51, 3, 0, 0, 0}, note...)...), "tempo"},
		"sixteen seconds for a quarter": {file(append([]byte{0, 0xff, 0x51, 3, 0xff, 0xff, 0xff}, note...)...), "tempo"},
		"three beats a bar":             {file(append([]byte{0, 0xff, 0x58, 4, 3, 2, 24, 8}, note...)...), "four beats"},
		"a bar of 2^255":                {file(append([]byte{0, 0xff, 0x58, 4, 4, 255, 24, 8}, note...)...), "four beats"},
	} {
		_, err := Read(bytes.NewReader(c.data))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q in it", name, err, c.want)
		}
	}
	if _, err := Read(bytes.NewReader(make([]byte, score.MaxBytes+1))); !errors.Is(err, score.ErrSize) {
		t.Errorf("a large file: %v", err)
	}
}

// Any beginning of a file is refused or read, and nothing panics.
func TestCutShort(t *testing.T) {
	data := written(t, scoretest.Lessons(t)[0], score.Chorus, Options{})
	for n := 0; n < len(data); n += 7 {
		if _, err := Read(bytes.NewReader(data[:n])); err == nil {
			t.Fatalf("the first %d of %d bytes are read as a whole file", n, len(data))
		}
	}
}

// What is read makes a lesson that comes back from a file of its own.
func FuzzRead(f *testing.F) {
	for _, l := range scoretest.Lessons(f) {
		for lick := range l.Licks {
			f.Add(written(f, l, lick, Options{}))
		}
	}
	f.Add(append(header(0, 1, 96), track(0, 0x90, 60, 90, 0x60, 60, 0, 0, 64, 90, 0x20, 0xe0, 0, 0x20, 0x60, 0x80, 64, 0)...))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := Read(bytes.NewReader(data))
		if err != nil {
			return
		}
		l, _, err := p.Lesson(score.Choice{})
		if err != nil {
			return
		}
		if short(l) {
			return
		}
		var b bytes.Buffer
		if err := Write(&b, l, score.Chorus, Options{}); err != nil {
			return // licks that sound at once
		}
		q, err := Read(&b)
		if err != nil {
			t.Fatal(err)
		}
		again, _, err := q.Lesson(score.Choice{})
		if err != nil {
			t.Fatal(err)
		}
		scoretest.Same(t, "read again", again, l)
	})
}

// short reports notes that sound for less than the reader can tell apart: in a shuffle also
// an eighth beside the triplet that sounds with it.
func short(l lesson.Lesson) bool {
	for _, k := range l.Licks {
		last := -100.0
		for _, n := range k.Notes {
			at := l.Feel.Beat(n.Start)
			if n.Length < lesson.Beat/8 || at-last < 0.1 || l.Feel.Beat(n.End())-at < 0.1 {
				return true
			}
			last = at
		}
	}
	return false
}
