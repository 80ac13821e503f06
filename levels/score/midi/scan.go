package midi

import (
	"encoding/binary"
	"errors"
	"fmt"
)

// The most that a file may hold; an orchestra's hour has fewer.
const (
	maxTracks = 256
	maxEvents = 500_000
)

// ErrFile is returned for what is no Standard MIDI File.
var ErrFile = errors.New("this is no Standard MIDI File; it should begin with MThd")

// A place in the file that is wrong.
type faultError struct {
	track, offset int
	what          string
}

func (e *faultError) Error() string {
	return fmt.Sprintf("track %d, byte %d: %s; save the file again from the program that made it", e.track, e.offset, e.what)
}

// scan walks over all chunks and events, and refuses what a length or a status byte
// promises and the file does not hold. After it the file can be given to the library,
// which makes room for whatever a length asks.
func scan(data []byte) error {
	if len(data) < 14 || string(data[:4]) != "MThd" {
		return ErrFile
	}
	size := binary.BigEndian.Uint32(data[4:])
	format, tracks, division := binary.BigEndian.Uint16(data[8:]), int(binary.BigEndian.Uint16(data[10:])), binary.BigEndian.Uint16(data[12:])
	switch {
	case size != 6:
		return ErrFile
	case format > 1:
		return fmt.Errorf("MIDI files of format %d hold separate patterns, not one tune; save it as format 0 or 1", format)
	case division&0x8000 != 0 || division == 0:
		return errors.New("the file counts in film frames, not in beats; save it with ticks a quarter note")
	case tracks == 0 || tracks > maxTracks:
		return fmt.Errorf("the file has %d tracks; from 1 to %d are read", tracks, maxTracks)
	}
	at, events, seen := 14, 0, 0
	for seen < tracks {
		if len(data)-at < 8 {
			return &faultError{seen + 1, at, "the file ends before it"}
		}
		kind, length := string(data[at:at+4]), int64(binary.BigEndian.Uint32(data[at+4:]))
		at += 8
		if length > int64(len(data)-at) {
			return &faultError{seen + 1, at, "the file ends within it"}
		}
		if kind == "MTrk" {
			seen++
			if err := scanTrack(data[:at+int(length)], at, seen, &events); err != nil {
				return err
			}
		}
		at += int(length)
	}
	return nil
}

// scanTrack walks over the events of a track that begins at a byte and ends with data.
func scanTrack(data []byte, at, track int, events *int) error {
	bad := func(what string) error { return &faultError{track, at, what} }
	number := func() (int, bool) {
		v := 0
		for range 4 {
			if at >= len(data) {
				return 0, false
			}
			b := data[at]
			at++
			v = v<<7 | int(b&127)
			if b < 128 {
				return v, true
			}
		}
		return 0, false
	}
	status := byte(0)
	for {
		if *events++; *events > maxEvents {
			return bad(fmt.Sprintf("more than %d events; save the melody alone", maxEvents))
		}
		if _, ok := number(); !ok {
			return bad("the time of an event is no number, or the track ends without its end mark")
		}
		if at >= len(data) {
			return bad("it ends without its end mark")
		}
		b := data[at]
		switch {
		case b == 0xff:
			if at += 2; at > len(data) {
				return bad("it ends within an event")
			}
			kind := data[at-1]
			n, ok := number()
			if !ok || n > len(data)-at {
				return bad("an event is longer than the track")
			}
			at += n
			status = 0
			if kind == 0x2f {
				if at != len(data) {
					return bad("something stands behind its end mark")
				}
				return nil
			}
			continue
		case b == 0xf0 || b == 0xf7:
			at++
			n, ok := number()
			if !ok || n > len(data)-at {
				return bad("an event is longer than the track")
			}
			at += n
			status = 0
			continue
		case b > 0xf0:
			return bad("a message that no file holds")
		case b >= 0x80:
			status = b
			at++
		case status == 0:
			return bad("data without a message")
		}
		n := 2
		if kind := status >> 4; kind == 0xc || kind == 0xd {
			n = 1
		}
		for range n {
			if at >= len(data) || data[at] > 127 {
				return bad("a message is cut short")
			}
			at++
		}
	}
}
