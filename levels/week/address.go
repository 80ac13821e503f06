package week

import (
	"bytes"
	"compress/flate"
	"encoding/base64"
	"errors"
	"fmt"
	"io"
	"strings"

	"reedwell/levels/link"
)

// MaxLink is the longest link to a summary, in bytes, as with lessons.
const MaxLink = 8192

// The reasons for a refusal that only links to summaries have; the others are those of
// package link and of Decode.
var (
	ErrLinkLong    = fmt.Errorf("a link to a week is at most %d bytes; send the file instead", MaxLink)
	ErrLinkUnknown = errors.New("the parts of a link to a week are v and week")
	ErrLinkDamaged = errors.New("the week in this link is damaged or cut short; copy the whole link again")
)

// Link writes a summary as a fragment, without #: the file, compressed (RFC 1951, with a preset dictionary of our own words) in base64 for addresses
// (RFC 4648). What stands after # is for the browser alone and not sent to a server
// (RFC 3986, 3.5; from memory). A refusal is a [*link.Error].
func Link(s Summary) (string, error) {
	data, err := s.Encode()
	if err != nil {
		return "", &link.Error{Key: link.WeekKey, Err: err}
	}
	fragment := "v=" + link.Version + "&" + link.WeekKey + "=" + pack(data)
	if len(fragment) > MaxLink {
		return "", &link.Error{Key: link.WeekKey, Err: fmt.Errorf("%d bytes: %w", len(fragment), ErrLinkLong)}
	}
	return fragment, nil
}

// FromLink reads what Link wrote, with or without # before it. A refusal is a
// [*link.Error].
func FromLink(fragment string) (Summary, error) {
	fragment = strings.TrimPrefix(fragment, "#")
	if len(fragment) > MaxLink {
		return Summary{}, &link.Error{Err: fmt.Errorf("%d bytes: %w", len(fragment), ErrLinkLong)}
	}
	value, refused := link.Parts(fragment, []string{"v", link.WeekKey}, ErrLinkUnknown)
	if refused != nil {
		return Summary{}, refused
	}
	packed, ok := value[link.WeekKey]
	if !ok {
		return Summary{}, &link.Error{Key: link.WeekKey, Err: link.ErrMissing}
	}
	data, err := unpack(packed)
	if err == nil {
		var s Summary
		if s, err = Decode(data); err == nil {
			return s, nil
		}
	}
	return Summary{}, &link.Error{Key: link.WeekKey, Err: err}
}

// pack compresses bytes for an address.
func pack(data []byte) string {
	var b bytes.Buffer
	w, err := flate.NewWriterDict(&b, flate.BestCompression, []byte(dictionary))
	if err == nil {
		_, err = w.Write(data)
	}
	if err == nil {
		err = w.Close()
	}
	if err != nil {
		panic("week: " + err.Error()) // only for a wrong level, or if a Buffer failed
	}
	return base64.RawURLEncoding.EncodeToString(b.Bytes())
}

// unpack reads what pack wrote. It never makes more than a summary may have, however much
// a hostile link would unfold to.
func unpack(packed string) ([]byte, error) {
	raw, err := base64.RawURLEncoding.Strict().DecodeString(packed)
	if err != nil {
		return nil, fmt.Errorf("%w: %v", ErrLinkDamaged, err)
	}
	from := bytes.NewReader(raw)
	data, err := io.ReadAll(io.LimitReader(flate.NewReaderDict(from, []byte(dictionary)), MaxSummary+1))
	switch {
	case err != nil:
		return nil, fmt.Errorf("%w: %v", ErrLinkDamaged, err)
	case len(data) > MaxSummary:
		return nil, ErrSummaryLarge
	case from.Len() > 0:
		return nil, fmt.Errorf("%w: there is more behind its end", ErrLinkDamaged)
	}
	return data, nil
}

// dictionary is what a summary is expected to hold, the likeliest last. It is part of
// version 1 of the link and must never change: links that are out would be lost.
const dictionary = `overblow vibrato wah steady octave repeat scoop blue lesson chorus ` +
	`bend-10b bend-9b bend-8b bend-6d bend-2d bend-1d bend-4d bend-3d breath repeats uneven scatter late leak hold ` +
	`turnaround-1 warble-1 scoop-1 repeats-1 long-1 single-1 ladder-10b-1 ladder-9b-1 ladder-8b-1 ladder-6d-1 ladder-3d-1 ladder-2d-1 ladder-1d-1 ladder-4d-1 lick-1` +
	`"passed":["confirmed":["rusty":["name":"","note":"I can not get could this the week and a to is it my "` +
	`"}],"skills":[{"skill":"bend-3d","now":{"takes":12,"mean":18.5,"spread":4.2},"before":{"takes":10,"mean":25.1,"spread":6.3},"week":"2026-11-16"},` +
	`{"skill":"hold","now":{"takes":1,"mean":-3,"spread":` +
	`"drills":[{"drill":"ladder-3d-1","takes":12,"good":3,"minutes":8,"passed":true},{"drill":"single-2","takes":5,"good":0,"minutes":4},` +
	`","from":"` + `{"reedwell-week":1,"sha256":"` + `","week":"2026-11-23","day":"2026-11-29","minutes":[0,0,0,0,0,0,0],"takes":[0,0,0,0,0,0,0],`
