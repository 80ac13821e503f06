// Package link writes and reads the address of a drill: the part after # in a link to
// the page, such as
//
//	v=1&drill=ladder-4d-2&harp=A&position=2&tempo=60&a4=442&tuning=equal&title=First%20bend
//
// Keys are written in this order and read in any. v, drill and harp must be there;
// without the others the drill's own position and tempo, 440 Hz, equal tuning and no
// title are meant. Values are escaped as in a query (RFC 3986, with + for a blank read
// too). Whether the drill exists is for drill.Build to say.
//
// A link may come from anyone, so it is bounded and everything about it is checked; a
// refusal is an [Error] that names the part and says what would be right. The player's
// reed profile is never part of a link.
//
// Links to a teacher's lesson look alike and are read by package lesson, those to a student's
// week by package week; [KindOf] tells them apart, and [Parts] takes any of them to pieces.
//
// All functions are pure and safe for concurrent use.
package link

import (
	"errors"
	"fmt"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// Bounds of a link.
const (
	MaxBytes = 2048 // under what every browser and mail program passes on: common practice, no source
	MaxTitle = 80   // runes: one line of a page; our choice

	MinTempo = 30 // quarter notes a minute; our choice
	MaxTempo = 240
	MinA4    = 430 // Hz, as levels/harp takes it
	MaxA4    = 450

	// Version stands in every link as v=1.
	Version = "1"

	maxID = 40 // bytes; our choice
)

// The reasons for a refusal.
var (
	ErrEmpty   = errors.New("there is no drill in this link; one looks like v=1&drill=single-1&harp=C")
	ErrTooLong = errors.New("a link is at most 2048 bytes")
	ErrVersion = errors.New("this program reads links of version 1; for a later one it must be updated")
	ErrPart    = errors.New("each part is a key, = and a value, with & between parts")
	ErrEscape  = errors.New("% must be followed by two hexadecimal digits, as %20 for a blank")
	ErrUnknown = errors.New("the parts of a link are v, drill, harp, position, tempo, a4, tuning, title")
	ErrTwice   = errors.New("each part may stand only once")
	ErrMissing = errors.New("this part must be there")
	ErrDrill   = errors.New("a drill is named like single-1 or ladder-4d-2")
	ErrNumber  = errors.New("a number is written in digits, as 60 or 92.5")
	ErrTempo   = errors.New("the tempo is from 30 to 240 quarter notes a minute")
	ErrA4      = errors.New("the reference pitch is from 430 to 450 Hz")
	ErrTitle   = errors.New("a title is 1 to 80 printed characters in UTF-8")
)

// An Error is the refusal of a link or of what was to be put in one.
type Error struct {
	Key string // which part; empty for the link as a whole, shortened if long
	Err error  // why, and what would be right
}

func (e *Error) Error() string {
	if e.Key == "" {
		return "link: " + e.Err.Error()
	}
	return fmt.Sprintf("link: %s: %v", strings.Trim(strconv.Quote(e.Key), `"`), e.Err)
}

func (e *Error) Unwrap() error { return e.Err }

// refuse makes an Error that quotes the start of the value.
func refuse(key, value string, err error) *Error {
	return &Error{key, fmt.Errorf("%.40q: %w", value, err)}
}

// keys of a link in the order in which they are written.
func keys() []string {
	return []string{"v", "drill", "harp", "position", "tempo", "a4", "tuning", "title"}
}

// Encode returns the fragment, without #, for a drill and a title, which may be empty.
// The profile is left out. It fails with an Error when Decode would refuse the link.
func Encode(s drill.Spec, title string) (string, error) {
	if err := check(s, title); err != nil {
		return "", err
	}
	value := map[string]string{"v": Version, "drill": s.ID, "harp": s.Key.String(),
		"tuning": strings.ReplaceAll(s.Tuning.String(), " ", "-"), "title": title}
	if s.Position != 0 {
		value["position"] = strconv.Itoa(int(s.Position))
	}
	if s.Tempo != 0 {
		value["tempo"] = strconv.FormatFloat(s.Tempo, 'f', -1, 64)
	}
	if s.A4 != 0 {
		value["a4"] = strconv.FormatFloat(s.A4, 'f', -1, 64)
	}
	var parts []string
	for _, k := range keys() {
		if value[k] != "" {
			// %20 survives where a + would be read as a plus.
			parts = append(parts, k+"="+strings.ReplaceAll(url.QueryEscape(value[k]), "+", "%20"))
		}
	}
	return strings.Join(parts, "&"), nil // MaxTitle runes, four bytes each and escaped, fit in half of MaxBytes
}

// Decode reads a fragment, with or without # before it.
func Decode(fragment string) (s drill.Spec, title string, err error) {
	s, title, refused := decode(strings.TrimPrefix(fragment, "#"))
	if refused != nil {
		return drill.Spec{}, "", refused
	}
	return s, title, nil
}

func decode(fragment string) (s drill.Spec, title string, refused *Error) {
	if fragment == "" {
		return s, "", &Error{"", ErrEmpty}
	}
	if len(fragment) > MaxBytes {
		return s, "", &Error{"", fmt.Errorf("%d bytes: %w", len(fragment), ErrTooLong)}
	}
	value, refused := split(fragment)
	if refused != nil {
		return s, "", refused
	}
	for _, k := range []string{"drill", "harp"} {
		if _, ok := value[k]; !ok {
			return s, "", &Error{k, ErrMissing}
		}
	}
	s.ID = value["drill"]
	if s.Key, refused = parse("harp", value["harp"], harp.ParseKey); refused != nil {
		return s, "", refused
	}
	if v, ok := value["position"]; ok {
		if s.Position, refused = parse("position", v, harp.ParsePosition); refused != nil {
			return s, "", refused
		}
	}
	if v, ok := value["tuning"]; ok {
		if s.Tuning, refused = parse("tuning", v, harp.ParseTuning); refused != nil {
			return s, "", refused
		}
	}
	for _, n := range []struct {
		key    string
		to     *float64
		lo, hi float64
		err    error
	}{
		{"tempo", &s.Tempo, MinTempo, MaxTempo, ErrTempo},
		{"a4", &s.A4, MinA4, MaxA4, ErrA4},
	} {
		if v, ok := value[n.key]; ok {
			x, ok := number(v)
			if !ok {
				return s, "", refuse(n.key, v, ErrNumber)
			}
			if !(x >= n.lo && x <= n.hi) {
				return s, "", refuse(n.key, v, n.err)
			}
			*n.to = x
		}
	}
	title, titled := value["title"]
	if titled && title == "" {
		return s, "", refuse("title", title, ErrTitle)
	}
	return s, title, check(s, title)
}

// split takes the link of a drill apart.
func split(fragment string) (map[string]string, *Error) {
	return Parts(fragment, keys(), ErrUnknown)
}

// A Kind is what a link leads to.
type Kind int

// The kinds.
const (
	Drill  Kind = iota // one of our own drills
	Lesson             // a lesson that the link carries
	File               // a lesson in a file beside the page
	Week               // a student's week, for the teacher
)

// The keys by which links to other things than drills are known.
const (
	TextKey = "text"   // a lesson itself
	FileKey = "lesson" // the file a lesson is in
	WeekKey = "week"   // a student's week itself
)

// KindOf tells what a fragment, with or without #, leads to, without checking it. What
// is no link at all counts as one to a drill, and will be refused as such.
func KindOf(fragment string) Kind {
	for part := range strings.SplitSeq(strings.TrimPrefix(fragment, "#"), "&") {
		switch key, _, _ := strings.Cut(part, "="); key {
		case TextKey:
			return Lesson
		case FileKey:
			return File
		case WeekKey:
			return Week
		}
	}
	return Drill
}

// Parts takes a fragment apart into known keys, each once, with values unescaped. The
// version is looked at before all else: a later one may have other keys. An unknown key
// is refused for the given reason.
func Parts(fragment string, known []string, unknown error) (map[string]string, *Error) {
	value := map[string]string{}
	parts := strings.Split(fragment, "&")
	for _, part := range parts {
		if v, ok := strings.CutPrefix(part, "v="); ok && v != Version {
			return nil, refuse("v", v, ErrVersion)
		}
	}
	for _, part := range parts {
		key, escaped, ok := strings.Cut(part, "=")
		if !ok || key == "" {
			return nil, &Error{"", fmt.Errorf("%.40q: %w", part, ErrPart)}
		}
		if !slices.Contains(known, key) {
			return nil, &Error{fmt.Sprintf("%.40s", key), unknown}
		}
		if _, twice := value[key]; twice {
			return nil, &Error{key, ErrTwice}
		}
		v, err := url.QueryUnescape(escaped)
		if err != nil {
			return nil, refuse(key, escaped, ErrEscape)
		}
		value[key] = v
	}
	if _, ok := value["v"]; !ok {
		return nil, &Error{"v", fmt.Errorf("%w: v=%s", ErrMissing, Version)}
	}
	return value, nil
}

func parse[T any](key, value string, read func(string) (T, error)) (T, *Error) {
	got, err := read(value)
	if err != nil {
		return got, &Error{key, err}
	}
	return got, nil
}

// number reads digits with at most one point between them: no sign, exponent, hex or
// infinity.
func number(s string) (float64, bool) {
	whole, part, point := strings.Cut(s, ".")
	if len(s) > 32 || !digits(whole) || point && !digits(part) {
		return 0, false
	}
	x, err := strconv.ParseFloat(s, 64)
	return x, err == nil
}

func digits(s string) bool {
	for _, c := range []byte(s) {
		if c < '0' || c > '9' {
			return false
		}
	}
	return s != ""
}

// check refuses what no link may hold, whichever side it comes from.
func check(s drill.Spec, title string) *Error {
	if !validID(s.ID) {
		return refuse("drill", s.ID, ErrDrill)
	}
	if s.Position != 0 && !s.Position.Valid() {
		return &Error{"position", fmt.Errorf("%d: %w", int(s.Position), harp.ErrPosition)}
	}
	if s.Tempo != 0 && !(s.Tempo >= MinTempo && s.Tempo <= MaxTempo) {
		return &Error{"tempo", fmt.Errorf("%g: %w", s.Tempo, ErrTempo)}
	}
	if s.A4 != 0 && !(s.A4 >= MinA4 && s.A4 <= MaxA4) {
		return &Error{"a4", fmt.Errorf("%g: %w", s.A4, ErrA4)}
	}
	if !s.Tuning.Valid() {
		return &Error{"tuning", fmt.Errorf("%d: %w", int(s.Tuning), harp.ErrTuning)}
	}
	if !utf8.ValidString(title) || utf8.RuneCountInString(title) > MaxTitle {
		return refuse("title", title, ErrTitle)
	}
	for _, r := range title {
		// This also keeps out marks that turn the direction of writing round.
		if !unicode.IsGraphic(r) {
			return refuse("title", title, ErrTitle)
		}
	}
	return nil
}

// validID reports whether the id is words of small letters and digits, the first of
// letters only, joined by hyphens, with a level from 1 to 99 as the last.
func validID(id string) bool {
	words := strings.Split(id, "-")
	if len(id) > maxID || len(words) < 2 {
		return false
	}
	for i, w := range words {
		for _, c := range []byte(w) {
			letter := c >= 'a' && c <= 'z'
			if !letter && (i == 0 || c < '0' || c > '9') {
				return false
			}
		}
		if w == "" {
			return false
		}
	}
	level := words[len(words)-1]
	return digits(level) && len(level) <= 2 && level[0] != '0'
}

// Frame is what a page needs to show a link in a frame that may use the microphone.
func Frame(address, fragment, title string) string {
	quote := strings.NewReplacer("&", "&amp;", `"`, "&quot;", "<", "&lt;", ">", "&gt;")
	return fmt.Sprintf(`<iframe src="%s" title="%s" width="100%%" height="680" allow="microphone; autoplay"></iframe>`,
		quote.Replace(address+"#"+fragment), quote.Replace(title))
}
