package lesson

import (
	"bytes"
	"compress/flate"
	"encoding/base64"
	"errors"
	"fmt"
	"io"
	"net/url"
	"strconv"
	"strings"

	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/link"
)

// Bounds of a link to a lesson.
const (
	// MaxLink is the longest link that carries its lesson, in bytes. Browsers take far
	// more, mail programs may cut at link.MaxBytes (common practice, no source).
	MaxLink = 8192
	maxFile = 120 // bytes of a file's path; our choice
)

// The reasons for a refusal that only links to lessons have; the others are those of
// package link.
var (
	ErrLinkLong    = fmt.Errorf("a link to a lesson is at most %d bytes; a longer lesson goes into a file beside the page", MaxLink)
	ErrLinkUnknown = errors.New("the parts of a link to a lesson are v, lick, harp, tempo, and text or lesson")
	ErrText        = errors.New("the lesson in this link is damaged or cut short; copy the whole link again")
	ErrTextLong    = fmt.Errorf("a lesson is at most %d bytes of text", MaxBytes)
	ErrLesson      = errors.New("the lesson in this link has a mistake")
	ErrLick        = errors.New("the lesson has no such lick; licks are counted from 1, lick=chorus is all of them in their places")
	ErrFile        = errors.New("a lesson's file lies beside the page and is named like lick.txt or songs/lick.txt: letters, digits, - _ and . only, .txt at the end")
)

// An Address is what a link to a lesson says: which lesson, and what of it to play how.
type Address struct {
	Lesson Lesson    // what the link carries; the zero Lesson when it names a file
	File   string    // a relative path on the page's own site; empty when the link carries the lesson
	Lick   int       // from 1; 0 is the lesson as a whole, AllLicks all of them in their places
	Key    *harp.Key // nil: the lesson's
	Tempo  float64   // beats a minute; 0: the lesson's
}

// AllLicks as the Lick of an Address is the whole chorus; in a link it is lick=chorus.
const AllLicks = -1

const chorusWord = "chorus"

// Link writes the fragment, without #, of an address. A link that names a file reads
// v=1&lesson=lick.txt&lick=2; one that carries its lesson has it as the last part, the text
// of [Format] compressed (RFC 1951, with a preset dictionary of our own words) in base64
// for addresses (RFC 4648). A refusal is a [*link.Error].
func Link(a Address) (string, error) {
	if refused := a.check(); refused != nil {
		return "", refused
	}
	parts := []string{"v=" + link.Version}
	add := func(key, value string) { parts = append(parts, key+"="+value) }
	if a.File != "" {
		add(link.FileKey, a.File) // nothing in it wants escaping
	}
	switch {
	case a.Lick > 0:
		add("lick", strconv.Itoa(a.Lick))
	case a.Lick == AllLicks:
		add("lick", chorusWord)
	}
	if a.Key != nil {
		add("harp", strings.ReplaceAll(url.QueryEscape(a.Key.String()), "+", "%20"))
	}
	if a.Tempo != 0 {
		add("tempo", number(a.Tempo))
	}
	if a.File == "" {
		if problems := Check(a.Lesson); Failed(problems) {
			return "", refuseFirst(problems)
		}
		text := Format(a.Lesson)
		if len(text) > MaxBytes {
			return "", &link.Error{Key: link.TextKey, Err: ErrTextLong}
		}
		add(link.TextKey, pack(text))
	}
	fragment := strings.Join(parts, "&")
	if len(fragment) > MaxLink {
		return "", &link.Error{Err: fmt.Errorf("%d bytes: %w", len(fragment), ErrLinkLong)}
	}
	return fragment, nil
}

// FromLink reads a fragment, with or without # before it, that [link.KindOf] says leads to a
// lesson. A refusal is a [*link.Error].
func FromLink(fragment string) (Address, error) {
	a, refused := fromLink(strings.TrimPrefix(fragment, "#"))
	if refused != nil {
		return Address{}, refused
	}
	return a, nil
}

func fromLink(fragment string) (a Address, refused *link.Error) {
	if len(fragment) > MaxLink {
		return a, &link.Error{Err: fmt.Errorf("%d bytes: %w", len(fragment), ErrLinkLong)}
	}
	value, refused := link.Parts(fragment, []string{"v", "lick", "harp", "tempo", link.TextKey, link.FileKey}, ErrLinkUnknown)
	if refused != nil {
		return a, refused
	}
	refuse := func(key string, err error) (Address, *link.Error) {
		return Address{}, &link.Error{Key: key, Err: fmt.Errorf("%.40q: %w", value[key], err)}
	}
	if v, ok := value["lick"]; v == chorusWord {
		a.Lick = AllLicks
	} else if ok {
		n, err := strconv.Atoi(v)
		if err != nil || n < 1 || n > MaxLicks || strconv.Itoa(n) != v {
			return refuse("lick", ErrLick)
		}
		a.Lick = n
	}
	if v, ok := value["harp"]; ok {
		k, err := harp.ParseKey(v)
		if err != nil {
			return Address{}, &link.Error{Key: "harp", Err: err}
		}
		a.Key = &k
	}
	if v, ok := value["tempo"]; ok {
		if a.Tempo, ok = plain(v); !ok {
			return refuse("tempo", link.ErrNumber)
		}
		if a.Tempo == 0 {
			return refuse("tempo", link.ErrTempo)
		}
	}
	text, carried := value[link.TextKey]
	file, named := value[link.FileKey]
	switch {
	case carried && named:
		return Address{}, &link.Error{Key: link.FileKey, Err: errors.New("a link carries its lesson or names its file, not both")}
	case named:
		if a.File = file; file == "" {
			return refuse(link.FileKey, ErrFile)
		}
	case carried:
		if a.Lesson, refused = unpack(text); refused != nil {
			return Address{}, refused
		}
	default:
		return Address{}, &link.Error{Key: link.TextKey, Err: fmt.Errorf("%w, or %s= for a lesson in a file", link.ErrMissing, link.FileKey)}
	}
	return a, a.check()
}

// check refuses what no link may hold, whichever side it comes from.
func (a Address) check() *link.Error {
	if a.Lick < AllLicks || a.Lick > MaxLicks || a.File == "" && a.Lick > len(a.Lesson.Licks) {
		return &link.Error{Key: "lick", Err: fmt.Errorf("%d: %w", a.Lick, ErrLick)}
	}
	if a.Tempo != 0 && !(a.Tempo >= drill.MinTempo && a.Tempo <= drill.MaxTempo) {
		return &link.Error{Key: "tempo", Err: fmt.Errorf("%g: %w", a.Tempo, link.ErrTempo)}
	}
	if a.File != "" && !validFile(a.File) {
		return &link.Error{Key: link.FileKey, Err: fmt.Errorf("%.40q: %w", a.File, ErrFile)}
	}
	return nil
}

// validFile reports whether a path stays beside the page: no scheme, no host, no way up, and
// nothing that a browser or a server may read as something else.
func validFile(path string) bool {
	if len(path) > maxFile || !strings.HasSuffix(path, ".txt") {
		return false
	}
	for name := range strings.SplitSeq(path, "/") {
		if name == "" || name[0] == '.' {
			return false
		}
		for _, c := range []byte(name) {
			letter := c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9'
			if !letter && c != '-' && c != '_' && c != '.' {
				return false
			}
		}
	}
	return true
}

// Drill is the drill that the address asks for. When it names a file, the lesson in that
// file must be put into a.Lesson first.
func (a Address) Drill(p Play) (drill.Drill, error) {
	l := a.Lesson
	if a.Key != nil {
		l = Transpose(l, *a.Key)
	}
	if p.Tempo == 0 {
		p.Tempo = a.Tempo
	}
	if a.Lick <= 0 {
		return l.Chorus(p)
	}
	return l.Drill(a.Lick-1, p)
}

// pack compresses a text for an address.
func pack(text string) string {
	var b bytes.Buffer
	w, err := flate.NewWriterDict(&b, flate.BestCompression, []byte(dictionary))
	if err == nil {
		_, err = io.WriteString(w, text)
	}
	if err == nil {
		err = w.Close()
	}
	if err != nil {
		panic("lesson: " + err.Error()) // only for a wrong level, or if a Buffer failed
	}
	return base64.RawURLEncoding.EncodeToString(b.Bytes())
}

// unpack reads what pack wrote. It never makes more text than a lesson may have, however
// much a hostile link would unfold to.
func unpack(packed string) (Lesson, *link.Error) {
	refuse := func(err error) (Lesson, *link.Error) {
		return Lesson{}, &link.Error{Key: link.TextKey, Err: err}
	}
	raw, err := base64.RawURLEncoding.Strict().DecodeString(packed)
	if err != nil {
		return refuse(fmt.Errorf("%w: %v", ErrText, err))
	}
	from := bytes.NewReader(raw)
	text, err := io.ReadAll(io.LimitReader(flate.NewReaderDict(from, []byte(dictionary)), MaxBytes+1))
	switch {
	case err != nil:
		return refuse(fmt.Errorf("%w: %v", ErrText, err))
	case len(text) > MaxBytes:
		return refuse(ErrTextLong)
	case from.Len() > 0:
		return refuse(fmt.Errorf("%w: there is more behind its end", ErrText))
	}
	l, problems := Parse(string(text))
	if Failed(problems) {
		return Lesson{}, refuseFirst(problems)
	}
	return l, nil
}

// refuseFirst makes the first error of a lesson the reason for a refusal.
func refuseFirst(problems []Problem) *link.Error {
	for _, p := range problems {
		if p.Severity == Error {
			return &link.Error{Key: link.TextKey, Err: fmt.Errorf("%w: %.300s", ErrLesson, p)}
		}
	}
	return nil
}

// dictionary is what a lesson is expected to hold, the likeliest last. It is part of
// version 1 of the link and must never change: links that are out would be lost.
const dictionary = `|
feel: 12/8
feel: straight
form: minor
form: eight-bar
form: quick change
form: slow change
form: I7 | IV7 | I7 | I7 |
form: IV7 | IV7 | I7 | I7 |
form: V7 | IV7 | I7 IV7 | I7 V7 |
pitch: 442
tuning: compromise
tuning: just 19-limit
unit: 1/16
harp: low D
harp: low F
harp: Bb
harp: Eb
harp: Ab
harp: F#
harp: G
harp: D
harp: F
harp: E
harp: C
words: Say ta on each note. Count one-and-a two-and-a. Listen first, then play. Hear the note before you bend it. One breath. Slowly. Relax the jaw and keep the throat open. Hold it to the end. Breathe here. Do not go too deep. Let the band come to you. whole step half step blue third root chord four five beat bar hand open close tongue warble scoop bend up down home again start even clean long short quick slow low high hole holes with your you it is in on of to and the draw blow
title: A blues in E
harp: A
position: 2
tempo: 60
tempo: 120
feel: shuffle
form: slow change
words: The  a

lick: Answer
lick: Turnaround
bars: 11-12
level: strong
+6:2 -6:2 -6' -7 +7 -8 +8 -8:2 +9 -9 -10 +10
-1 -1 -1:3 z |
-2 -1:6[hold] |
-2:2 /-2'':2 /-2':2 /-2:2 z:2 |
-4:4[warble 5 at 6] -4:6[warble 5 at 8] z:2 |
~-3:3[wah 2] ~-4:2[vibrato] -2-3-4:2 z:4 |
(3 -2 -3' -4 (3 +4 -4' -4 (3 -5 -4 +4 -3' -2 |
-1:2 -2'' -2:2 z -2 -3' /-3 -2 |

lick: 
bars: 3-4
level: steady
words: 
+4:2 +5 +6 +5:2 +4 +4:3 z:3 |
+4:2 -4 +4 -3' -2:2 z:2 |

lick: 
bars: 9-10
words: 
-4:2 -4 /-4' /-4:2 -5 -4 |
-4:3 +4 -4 -5:2 -4 +4 -3 |

lick: 
bars: 7-8
words: 
-2 -3' |
-3:2 +4 -4:2 z -4 +4 -3' |

lick: 
bars: 5-6
words: 
-2:3 z:3 -2 -3 |
-4:2 -3' -2:3 z |

lick: 
bars: 1-2
words: 
-2 -3 -4:2 -3 -2:4 z:4 |
-3 +4 -4:3 -5 -4 +4 -3' -2:2 z:2 |
`
