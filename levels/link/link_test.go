package link_test

import (
	"errors"
	"math"
	"net/url"
	"strings"
	"testing"
	"unicode/utf8"

	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/link"
)

func key(t *testing.T, name string) harp.Key {
	t.Helper()
	k, err := harp.ParseKey(name)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func TestLinks(t *testing.T) {
	for _, test := range []struct {
		spec  drill.Spec
		title string
		want  string
	}{
		{drill.Spec{ID: "ladder-4d-2", Key: key(t, "A"), Position: 2, Tempo: 60, A4: 442}, "First bend",
			"v=1&drill=ladder-4d-2&harp=A&position=2&tempo=60&a4=442&tuning=equal&title=First%20bend"},
		{drill.Spec{ID: "single-1"}, "", "v=1&drill=single-1&harp=C&tuning=equal"},
		{drill.Spec{ID: "warble-6", Key: key(t, "low F#"), Tuning: harp.Just19, Tempo: 92.5, Position: 12, A4: 430.1}, "50% & more = #1 + ünicode, 4 müde Blätter",
			"v=1&drill=warble-6&harp=low%20F%23&position=12&tempo=92.5&a4=430.1&tuning=just-19-limit&title=50%25%20%26%20more%20%3D%20%231%20%2B%20%C3%BCnicode%2C%204%20m%C3%BCde%20Bl%C3%A4tter"},
	} {
		got, err := link.Encode(test.spec, test.title)
		if err != nil || got != test.want {
			t.Errorf("Encode(%v, %q) =\n%s, %v, want\n%s", test.spec, test.title, got, err, test.want)
		}
		for _, fragment := range []string{test.want, "#" + test.want} {
			s, title, err := link.Decode(fragment)
			if err != nil || s != test.spec || title != test.title {
				t.Errorf("Decode(%q) = %v, %q, %v", fragment, s, title, err)
			}
		}
		// The standard library's reading of a query agrees (WHATWG URL form encoding).
		values, err := url.ParseQuery(test.want)
		if err != nil || values.Get("title") != test.title || values.Get("harp") != test.spec.Key.String() {
			t.Errorf("ParseQuery(%q) = %v, %v", test.want, values, err)
		}
	}
}

// The largest link stays inside its bound.
func TestLongestLink(t *testing.T) {
	s := drill.Spec{ID: "ladder-" + strings.Repeat("x", 30) + "-99", Key: key(t, "low F#"), Tuning: harp.JustSecondThird,
		Position: 12, Tempo: math.Nextafter(200, 300), A4: math.Nextafter(440, 430)}
	title := strings.Repeat("𝄞", link.MaxTitle)
	fragment, err := link.Encode(s, title)
	if err != nil || len(fragment) > link.MaxBytes {
		t.Fatalf("%d bytes, %v", len(fragment), err)
	}
	if back, again, err := link.Decode(fragment); err != nil || back != s || again != title {
		t.Errorf("Decode = %v, %q, %v", back, again, err)
	}
}

func TestEveryKeyAndTuning(t *testing.T) {
	for _, k := range harp.Keys() {
		for _, tuning := range harp.Tunings() {
			s := drill.Spec{ID: "single-1", Key: k, Tuning: tuning}
			fragment, err := link.Encode(s, "")
			if err != nil {
				t.Fatal(err)
			}
			if back, _, err := link.Decode(fragment); err != nil || back != s {
				t.Errorf("%s: %v, %v", fragment, back, err)
			}
		}
	}
}

func TestReadInAnyOrder(t *testing.T) {
	s, title, err := link.Decode("title=A+slow+one&tempo=060.0&harp=ld&drill=single-2&v=1")
	if err != nil || s != (drill.Spec{ID: "single-2", Key: key(t, "low D"), Tempo: 60}) || title != "A slow one" {
		t.Errorf("got %v, %q, %v", s, title, err)
	}
}

func TestProfileStaysHome(t *testing.T) {
	var s drill.Spec
	s.ID = "single-1"
	plain, err := link.Encode(s, "")
	if err != nil {
		t.Fatal(err)
	}
	s.Profile.Draw[3] = 12
	if got, err := link.Encode(s, ""); err != nil || got != plain {
		t.Errorf("with a profile: %q, %v, want %q", got, err, plain)
	}
}

func TestRefused(t *testing.T) {
	const base = "v=1&drill=single-1&harp=C"
	for _, test := range []struct {
		fragment, key string
		err           error
	}{
		{"", "", link.ErrEmpty},
		{"#", "", link.ErrEmpty},
		{base + "&title=" + strings.Repeat("a", 2048), "", link.ErrTooLong},
		{base + strings.Repeat("&", 100), "", link.ErrPart},
		{base + "&", "", link.ErrPart},
		{"&" + base, "", link.ErrPart},
		{base + "&tempo", "", link.ErrPart},
		{base + "&=60", "", link.ErrPart},
		{"single-1", "", link.ErrPart},
		{"drill=single-1&harp=C", "v", link.ErrMissing},
		{"v=1&harp=C", "drill", link.ErrMissing},
		{"v=1&drill=single-1", "harp", link.ErrMissing},
		{"v=2&lesson=7", "v", link.ErrVersion}, // before the key that only version 2 may know
		{"lesson=7&v=2", "v", link.ErrVersion},
		{"v=01&drill=single-1&harp=C", "v", link.ErrVersion},
		{"v=&drill=single-1&harp=C", "v", link.ErrVersion},
		{base + "&v=1", "v", link.ErrTwice},
		{base + "&drill=single-1", "drill", link.ErrTwice},
		{base + "&title=&title=", "title", link.ErrTwice},
		{base + "&level=3", "level", link.ErrUnknown},
		{base + "&Tempo=60", "Tempo", link.ErrUnknown},
		{base + "&t%65mpo=60", "t%65mpo", link.ErrUnknown},
		{base + "&profile=12", "profile", link.ErrUnknown},
		{base + ";tempo=60", "harp", harp.ErrKey},
		{base + "&title=%", "title", link.ErrEscape},
		{base + "&title=%zz", "title", link.ErrEscape},
		{"v=1&drill=&harp=C", "drill", link.ErrDrill},
		{"v=1&drill=single&harp=C", "drill", link.ErrDrill},
		{"v=1&drill=single-0&harp=C", "drill", link.ErrDrill},
		{"v=1&drill=single-01&harp=C", "drill", link.ErrDrill},
		{"v=1&drill=single-100&harp=C", "drill", link.ErrDrill},
		{"v=1&drill=single-4d&harp=C", "drill", link.ErrDrill},
		{"v=1&drill=4d-1&harp=C", "drill", link.ErrDrill},
		{"v=1&drill=single--1&harp=C", "drill", link.ErrDrill},
		{"v=1&drill=-1&harp=C", "drill", link.ErrDrill},
		{"v=1&drill=Single-1&harp=C", "drill", link.ErrDrill},
		{"v=1&drill=..%2Fsingle-1&harp=C", "drill", link.ErrDrill},
		{"v=1&drill=" + strings.Repeat("a", 50) + "-1&harp=C", "drill", link.ErrDrill},
		{"v=1&drill=single-1&harp=H", "harp", harp.ErrKey},
		{"v=1&drill=single-1&harp=", "harp", harp.ErrKey},
		{base + "&position=6", "position", harp.ErrPosition},
		{base + "&position=-1", "position", harp.ErrPosition},
		{base + "&position=", "position", harp.ErrPosition},
		{base + "&tuning=sharp", "tuning", harp.ErrTuning},
		{base + "&tempo=", "tempo", link.ErrNumber},
		{base + "&tempo=fast", "tempo", link.ErrNumber},
		{base + "&tempo=-60", "tempo", link.ErrNumber},
		{base + "&tempo=+60", "tempo", link.ErrNumber}, // a blank
		{base + "&tempo=6e1", "tempo", link.ErrNumber},
		{base + "&tempo=0x3c", "tempo", link.ErrNumber},
		{base + "&tempo=6_0", "tempo", link.ErrNumber},
		{base + "&tempo=60.", "tempo", link.ErrNumber},
		{base + "&tempo=6.0.0", "tempo", link.ErrNumber},
		{base + "&tempo=NaN", "tempo", link.ErrNumber},
		{base + "&tempo=Inf", "tempo", link.ErrNumber},
		{base + "&tempo=60" + strings.Repeat("0", 400), "tempo", link.ErrNumber},
		{base + "&tempo=%D9%A6%D9%A0", "tempo", link.ErrNumber}, // Arabic-Indic 60
		{base + "&tempo=29.9", "tempo", link.ErrTempo},
		{base + "&tempo=240.1", "tempo", link.ErrTempo},
		{base + "&tempo=0", "tempo", link.ErrTempo},
		{base + "&a4=429.9", "a4", link.ErrA4},
		{base + "&a4=450.1", "a4", link.ErrA4},
		{base + "&a4=440Hz", "a4", link.ErrNumber},
		{base + "&title=", "title", link.ErrTitle},
		{base + "&title=a%00b", "title", link.ErrTitle},
		{base + "&title=a%0Ab", "title", link.ErrTitle},
		{base + "&title=a%1B[2J", "title", link.ErrTitle},
		{base + "&title=%C2%85", "title", link.ErrTitle},      // next line, a C1 control
		{base + "&title=a%E2%80%AEb", "title", link.ErrTitle}, // right-to-left override
		{base + "&title=a%E2%80%A8b", "title", link.ErrTitle}, // line separator
		{base + "&title=%FF", "title", link.ErrTitle},         // no UTF-8
		{base + "&title=%C0%AF", "title", link.ErrTitle},      // overlong slash
		{base + "&title=%ED%A0%80", "title", link.ErrTitle},   // half a surrogate pair
		{base + "&title=" + strings.Repeat("%C3%BC", 81), "title", link.ErrTitle},
	} {
		s, title, err := link.Decode(test.fragment)
		var refused *link.Error
		if !errors.As(err, &refused) || refused.Key != test.key || !errors.Is(err, test.err) {
			t.Errorf("Decode(%.80q) = %v, want %q: %v", test.fragment, err, test.key, test.err)
			continue
		}
		if s != (drill.Spec{}) || title != "" {
			t.Errorf("Decode(%.80q) gave %v, %q beside the error", test.fragment, s, title)
		}
		plain(t, err)
	}
}

// plain checks that an error can be shown: short, and nothing of the link in it that a
// screen could trip over.
func plain(t *testing.T, err error) {
	t.Helper()
	text := err.Error()
	if len(text) > 500 || !utf8.ValidString(text) || strings.ContainsFunc(text, func(r rune) bool { return r < ' ' || r == 0x7f || r == 0x202e }) {
		t.Errorf("the error is not fit to be shown: %q", text)
	}
}

func TestEdgesAreInside(t *testing.T) {
	for _, part := range []string{"tempo=30", "tempo=240", "a4=430", "a4=450", "title=" + strings.Repeat("%C3%BC", 80), "position=12"} {
		if _, _, err := link.Decode("v=1&drill=single-99&harp=C&" + part); err != nil {
			t.Errorf("%.40s: %v", part, err)
		}
	}
}

func TestEncodeRefuses(t *testing.T) {
	good := drill.Spec{ID: "single-1"}
	with := func(f func(*drill.Spec)) drill.Spec { s := good; f(&s); return s }
	for _, test := range []struct {
		spec  drill.Spec
		title string
		key   string
	}{
		{drill.Spec{}, "", "drill"},
		{with(func(s *drill.Spec) { s.Tempo = math.NaN() }), "", "tempo"},
		{with(func(s *drill.Spec) { s.Tempo = math.Inf(1) }), "", "tempo"},
		{with(func(s *drill.Spec) { s.Tempo = -60 }), "", "tempo"},
		{with(func(s *drill.Spec) { s.A4 = 460 }), "", "a4"},
		{with(func(s *drill.Spec) { s.Position = 7 }), "", "position"},
		{with(func(s *drill.Spec) { s.Tuning = 99 }), "", "tuning"},
		{good, "two\nlines", "title"},
		{good, "\xff", "title"},
	} {
		got, err := link.Encode(test.spec, test.title)
		var refused *link.Error
		if !errors.As(err, &refused) || refused.Key != test.key || got != "" {
			t.Errorf("Encode(%v, %q) = %q, %v, want a refusal of %s", test.spec, test.title, got, err, test.key)
		}
	}
}

func FuzzDecode(f *testing.F) {
	f.Add("v=1&drill=ladder-4d-2&harp=A&position=2&tempo=60&a4=442&tuning=equal&title=First%20bend")
	f.Add("#title=%F0%9D%84%9E&harp=low+F%23&tuning=just-7-limit&tempo=33.333333333333336&v=1&drill=x-y2-9")
	f.Add("v=2&%00")
	f.Add("v=1&drill=single-1&harp=C&\xff=\xff")
	f.Fuzz(func(t *testing.T, fragment string) {
		s, title, err := link.Decode(fragment)
		if err != nil {
			var refused *link.Error
			if !errors.As(err, &refused) {
				t.Errorf("an error without its place: %v", err)
			}
			plain(t, err)
			return
		}
		again, err := link.Encode(s, title)
		if err != nil {
			t.Fatalf("Encode refuses what Decode read: %v", err)
		}
		s2, title2, err := link.Decode(again)
		if err != nil || s2 != s || title2 != title {
			t.Errorf("Decode(%q) = %v, %q, %v, want %v, %q", again, s2, title2, err, s, title)
		}
	})
}
