package audiotest

import (
	"bytes"
	"encoding/binary"
	"math"
	"sort"
)

// A Point is one corner of a pitch curve: seconds and MIDI pitch (69 = 440 Hz).
type Point struct{ At, Pitch float64 }

// A Played is one note for a sampled harmonica.
type Played struct {
	Start, End float64 // seconds: note on and note off
	Key        int     // MIDI note number that is struck
	// Bend is the pitch over time as MIDI pitch, within 12 semitones of Key; nil is Key
	// all along. Straight between points.
	Bend     []Point
	Velocity int // 0 means 100
	// Program is the General MIDI sound, counted from 1 as the standard's list does; 0
	// means the harmonica, 23.
	Program int
}

// Pitch is what the note asks for at t seconds, as MIDI pitch.
func (p Played) Pitch(t float64) float64 {
	b := p.Bend
	if len(b) == 0 {
		return float64(p.Key)
	}
	if t <= b[0].At {
		return b[0].Pitch
	}
	for i := 1; i < len(b); i++ {
		if t < b[i].At {
			u := (t - b[i-1].At) / (b[i].At - b[i-1].At)
			return b[i-1].Pitch + u*(b[i].Pitch-b[i-1].Pitch)
		}
	}
	return b[len(b)-1].Pitch
}

// Hz is the frequency of a MIDI pitch in equal temperament at 440 Hz.
func Hz(pitch float64) float64 { return 440 * math.Exp2((pitch-69)/12) }

const (
	ticksPerSecond = 10000 // 0.1 ms; fluidsynth itself starts notes on blocks of 64 samples
	harmonica      = 22    // General MIDI program "Harmonica", counted from 0
	wheelStep      = 0.004 // seconds between wheel messages of a curve
)

// smf writes a Standard MIDI File, format 0, of the notes. Each note goes to a channel
// of its own in turn, so that a wheel does not move the release of the note before.
func smf(notes []Played) []byte {
	type event struct {
		tick, order int
		data        []byte
	}
	var events []event
	add := func(at float64, order int, data ...byte) {
		events = append(events, event{int(math.Round(at * ticksPerSecond)), order, data})
	}
	channels := []byte{0, 1, 2, 3, 4, 5, 6, 7, 8, 10, 11, 12, 13, 14, 15}
	for _, c := range channels {
		add(0, 0, 0xc0|c, harmonica)
		// Registered parameter 0,0: bend range in semitones and cents.
		add(0, 0, 0xb0|c, 101, 0)
		add(0, 0, 0xb0|c, 100, 0)
		add(0, 0, 0xb0|c, 6, 12)
		add(0, 0, 0xb0|c, 38, 0)
	}
	for i, n := range notes {
		c := channels[i%len(channels)]
		if n.Program > 0 {
			add(n.Start, 0, 0xc0|c, byte(n.Program-1))
		}
		v := n.Velocity
		if v == 0 {
			v = 100
		}
		last := -1
		wheel := func(t float64) {
			w := wheelFor(n.Pitch(t) - float64(n.Key))
			if w != last {
				add(t, 1, 0xe0|c, byte(w&127), byte(w>>7))
				last = w
			}
		}
		wheel(n.Start)
		if len(n.Bend) > 0 {
			for t := n.Start; t < n.End; t += wheelStep {
				wheel(t)
			}
		}
		add(n.Start, 2, 0x90|c, byte(n.Key), byte(v))
		add(n.End, 0, 0x80|c, byte(n.Key), 0)
	}
	sort.SliceStable(events, func(a, b int) bool {
		if events[a].tick != events[b].tick {
			return events[a].tick < events[b].tick
		}
		return events[a].order < events[b].order
	})
	var track bytes.Buffer
	track.Write([]byte{0, 0xff, 0x51, 3, 0x0f, 0x42, 0x40}) // 1,000,000 us a quarter
	now := 0
	for _, e := range events {
		track.Write(varlen(e.tick - now))
		track.Write(e.data)
		now = e.tick
	}
	track.Write(varlen(ticksPerSecond / 2))
	track.Write([]byte{0xff, 0x2f, 0})
	var out bytes.Buffer
	out.WriteString("MThd")
	binary.Write(&out, binary.BigEndian, []uint16{0, 6, 0, 1, ticksPerSecond})
	out.WriteString("MTrk")
	binary.Write(&out, binary.BigEndian, uint32(track.Len()))
	out.Write(track.Bytes())
	return out.Bytes()
}

// wheelFor is the wheel value for an offset in semitones. fluidsynth 2.3 gives the
// wheel 127/128 of its range and rounds pitch down to whole cents; the value aims at
// the middle of the cent, so that it is right within half a cent.
func wheelFor(semitones float64) int {
	if semitones == 0 {
		return 8192
	}
	cents := math.Round(semitones*100) + 0.5
	w := 8192 + int(math.Round(cents/1200*128/127*8192))
	return max(0, min(16383, w))
}

func varlen(v int) []byte {
	out := []byte{byte(v & 127)}
	for v >>= 7; v > 0; v >>= 7 {
		out = append([]byte{byte(v&127) | 128}, out...)
	}
	return out
}
