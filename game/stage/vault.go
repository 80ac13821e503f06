package stage

import (
	"encoding/binary"
	"errors"
	"math"

	"reedwell/audio/listen"
	"reedwell/game/session"
	"reedwell/levels/band"
	"reedwell/levels/drill"
	"reedwell/levels/seal"
)

// A Vault keeps the take that goes on where it outlives the program. It keeps one take and what
// it is told of failing is nobody's trouble: the take goes on all the same. Its methods return
// at once.
type Vault interface {
	// Begin begins a take, in place of what is there.
	Begin(head []byte)
	// Add adds a piece of sound to it.
	Add(piece []byte)
	// Drop drops it, and what an earlier program left.
	Drop()
	// Left is the take that an earlier program left, its pieces joined; ok is false as long as it is
	// not known. The head is empty where there is none.
	Left() (head, sound []byte, ok bool)
}

// Of a take that is kept.
const (
	// vaultPiece is how much of it may be lost when the program dies, in seconds.
	vaultPiece = 1.0
	// vaultMost is how much of a take is kept, in seconds: longer than the longest chorus that is
	// played, and 29 MB at 48 kHz.
	vaultMost = 300.0
	// vaultBytes bounds what is read: vaultMost at 96 kHz.
	vaultBytes = 60e6
)

// A takeHead is what was asked in a take, as it is kept.
type takeHead struct {
	Drill   drill.Drill `json:"drill"`
	Rate    int         `json:"rate"`
	Before  int64       `json:"before"` // frames before drill time 0
	Length  int64       `json:"length"` // frames from there on
	Trip    float64     `json:"trip"`
	Display bool        `json:"display,omitempty"`
	AtTempo bool        `json:"at_tempo,omitempty"`
	Speaker bool        `json:"speaker,omitempty"`
	Click   bool        `json:"click,omitempty"`
	Part    bool        `json:"part,omitempty"`
	Lick    string      `json:"lick,omitempty"`
}

// errTake is a take that was left and can not be read.
var errTake = errors.New("stage: the take that was left can not be read")

// headForm is the kind of file that the head of a take is.
func headForm() seal.Form {
	return seal.Form{Key: "reedwell-take", Version: 1, Most: 1 << 20, Damaged: errTake, Newer: errTake, TooLarge: errTake}
}

func (h takeHead) encode() []byte { return headForm().Write(h) }

// decodeTakeHead reads what encode writes, and nothing else.
func decodeTakeHead(data []byte) (takeHead, error) {
	var head takeHead
	err := seal.Read(headForm(), data, func(h takeHead) (takeHead, error) {
		if h.Rate < 8000 || h.Rate > 192000 || h.Before < 0 || h.Before > int64(h.Rate) || h.Length < 1 || h.Length > int64(vaultBytes) ||
			math.Abs(h.Drill.Seconds*float64(h.Rate)-float64(h.Length)) > 1 {
			return h, errTake
		}
		head = h
		return h, nil
	})
	return head, err
}

// encodePiece writes samples as 16 bit: what that adds lies under any microphone's own noise.
// lost is how many frames the device has lost so far.
func encodePiece(samples []float32, lost int64) []byte {
	out := make([]byte, 0, 8+2*len(samples))
	out = binary.LittleEndian.AppendUint32(out, uint32(len(samples)))
	out = binary.LittleEndian.AppendUint32(out, uint32(min(lost, math.MaxUint32)))
	for _, x := range samples {
		v := math.Round(float64(max(-1, min(1, x))) * math.MaxInt16)
		out = binary.LittleEndian.AppendUint16(out, uint16(int16(v)))
	}
	return out
}

// decodePieces reads the pieces of a take; of one that is cut short nothing.
func decodePieces(data []byte) (samples []float32, lost int64) {
	if len(data) > vaultBytes {
		data = data[:int(vaultBytes)]
	}
	for len(data) >= 8 {
		n := int(binary.LittleEndian.Uint32(data))
		gone := int64(binary.LittleEndian.Uint32(data[4:]))
		data = data[8:]
		if n > len(data)/2 {
			break
		}
		for i := range n {
			samples = append(samples, float32(int16(binary.LittleEndian.Uint16(data[2*i:])))/math.MaxInt16)
		}
		lost, data = gone, data[2*n:]
	}
	return samples, lost
}

// keepBegin begins to keep the take that has just been scheduled.
func (s *Stage) keepBegin(rate int) {
	r := &s.run
	if s.o.Vault == nil || !r.graded() {
		return
	}
	s.o.Vault.Begin(takeHead{
		Drill: r.drill, Rate: rate, Before: r.before, Length: r.length, Trip: r.trip, Display: r.display, AtTempo: r.atTempo,
		Speaker: r.speaker, Click: r.clickOnly, Part: r.part, Lick: r.lick,
	}.encode())
}

// keepSound keeps what has come in since the last time, when that is a piece, or the end.
func (s *Stage) keepSound(rate int) {
	r := &s.run
	if s.o.Vault == nil || !r.graded() || r.kind != session.Recording {
		return
	}
	n := len(r.sound) - r.kept
	if n == 0 || float64(r.kept) >= vaultMost*float64(rate) || float64(n) < vaultPiece*float64(rate) && r.got < r.wanted {
		return
	}
	s.o.Vault.Add(encodePiece(r.sound[r.kept:], r.lost))
	r.kept = len(r.sound)
}

// A leftover is a take that an earlier program left.
type leftover struct {
	head  takeHead
	whole float64 // seconds of it that there are, of the drill
	run   run
	at    int // frames heard
	going bool
}

// findLeft asks the vault for a take that was left, until it is known.
func (s *Stage) findLeft() {
	if s.asked || s.o.Vault == nil {
		return
	}
	head, sound, ok := s.o.Vault.Left()
	if !ok {
		return
	}
	s.asked = true
	if len(head) == 0 {
		return
	}
	h, err := decodeTakeHead(head)
	samples, lost := decodePieces(sound)
	have := int64(len(samples)) - h.Before
	if err != nil || have < int64(h.Drill.Time(0)*float64(h.Rate)) { // nothing but the count-in
		s.o.Vault.Drop()
		return
	}
	missing := max(0, h.Length-have)
	samples = append(samples, make([]float32, max(0, h.Length+2*h.Before-int64(len(samples))))...)
	s.left = &leftover{head: h, whole: float64(h.Length-missing) / float64(h.Rate), run: run{
		drill: h.Drill, trip: h.Trip, display: h.Display, atTempo: h.AtTempo, speaker: h.Speaker, clickOnly: h.Click, part: h.Part, lick: h.Lick,
		sound: samples, before: h.Before, length: h.Length, lost: lost + missing,
	}}
}

// leaving describes the take that was left to the session.
func (s *Stage) leaving() *session.Left {
	l := s.left
	if l == nil {
		return nil
	}
	out := &session.Left{Title: l.head.Drill.Title, Seconds: l.whole, Of: l.head.Drill.Seconds, Going: l.going}
	switch {
	case l.run.again != nil:
		out.Done = 0.5 + 0.5*l.run.again.done()
	case l.going:
		out.Done = 0.5 * float64(l.at) / float64(l.head.Length)
	}
	return out
}

// dropLeft throws the take that was left away.
func (s *Stage) dropLeft() {
	if s.left != nil {
		s.left = nil
		s.o.Vault.Drop()
	}
}

// hearLeft hears some of the take that was left, and grades it when it has all been heard.
func (s *Stage) hearLeft() {
	l := s.left
	if l == nil || !l.going || s.run.kind != session.Idle {
		return
	}
	r, rate := &l.run, l.head.Rate
	switch {
	case r.ear == nil:
		ear, err := listen.New(r.ears(rate))
		if err != nil {
			s.dropLeft() // a rate that no device of ours has
			return
		}
		r.ear = ear
		// At the volume of now: what is compared finds its own gain.
		r.made = sounded(band.RenderWith(r.drill, rate, band.Options{NoBand: r.clickOnly}), s.volume(), rate)
	case l.at < int(l.head.Length):
		end := min(int(l.head.Length), l.at+int(againSeconds*float64(rate)))
		r.ear.Process(r.sound[int(r.before)+l.at : int(r.before)+end])
		if l.at = end; end == int(l.head.Length) {
			r.ear.Flush()
		}
		r.heard, r.notes = r.ear.Frames(r.heard), r.ear.Notes(r.notes)
	case r.again == nil:
		// What it tells of loudness and delay was so on another day.
		level := s.level
		s.level = balance{}
		r.again = s.align(r, rate)
		s.level = level
	case !r.again.step(r):
		t := s.enter(r, rate, "")
		t.Left = true
		if r.lick == "" && !r.part && s.target(r.drill.ID) > 0 {
			d := r.drill
			t.Spec = &drill.Spec{ID: d.ID, Key: d.Harp.Key, Tuning: d.Harp.Tuning, A4: d.Harp.A4, Position: d.Position, Tempo: d.Tempo}
		}
		s.take = t
		s.dropLeft()
	}
}
