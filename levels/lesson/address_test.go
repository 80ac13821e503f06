package lesson_test

import (
	"bytes"
	"compress/flate"
	"encoding/base64"
	"errors"
	"io"
	"reflect"
	"runtime"
	"strings"
	"testing"

	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/link"
)

// The demo lessons fit into the link that every mail program passes on, and one lick by
// itself into a message. The numbers are printed with -v.
func TestDemoLinks(t *testing.T) {
	const message = 200 // bytes of one lick's fragment, so that its QR code stays coarse enough to print; our choice
	key, err := harp.ParseKey("low D")
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range demos(t) {
		l, _ := lesson.Parse(text)
		for i := range l.Licks {
			for _, a := range []lesson.Address{{Lesson: l, Lick: i + 1}, {Lesson: l, Lick: i + 1, Key: &key, Tempo: 72.5}} {
				fragment := makeLink(t, a)
				if len(fragment) > link.MaxBytes {
					t.Errorf("%s: %d bytes, want at most %d", name, len(fragment), link.MaxBytes)
				}
			}
			alone, err := lesson.Only(l, i)
			if err != nil {
				t.Fatal(err)
			}
			alone.Words = ""
			fragment := makeLink(t, lesson.Address{Lesson: alone, Lick: 1})
			if len(fragment) > message {
				t.Errorf("%s, %s: %d bytes, want at most %d", name, l.Licks[i].Title, len(fragment), message)
			}
			t.Logf("%s, %s: %d bytes alone", name, l.Licks[i].Title, len(fragment))
		}
		t.Logf("%s: %d bytes of text, %d bytes of link", name, len(text), len(makeLink(t, lesson.Address{Lesson: l})))
	}
}

// makeLink makes a link and reads it back.
func makeLink(t *testing.T, a lesson.Address) string {
	t.Helper()
	fragment, err := lesson.Link(a)
	if err != nil {
		t.Fatal(err)
	}
	want := link.Lesson
	if a.File != "" {
		want = link.File
	}
	if got := link.KindOf("#" + fragment); got != want {
		t.Errorf("kind %d of %s, want %d", got, fragment, want)
	}
	back, err := lesson.FromLink("#" + fragment)
	if err != nil {
		t.Fatal(err)
	}
	a.Lesson, back.Lesson = placeless(a.Lesson), placeless(back.Lesson)
	if !reflect.DeepEqual(a, back) {
		t.Errorf("%s reads back as\n%+v, want\n%+v", fragment, back, a)
	}
	return fragment
}

// What an address says about key and tempo is done to the drill.
func TestAddressDrill(t *testing.T) {
	l, _ := lesson.Parse(demos(t)["shoes.txt"])
	key, err := harp.ParseKey("C")
	if err != nil {
		t.Fatal(err)
	}
	d, err := lesson.Address{Lesson: l, Lick: 2, Key: &key, Tempo: 60}.Drill(lesson.Play{})
	if err != nil || d.Harp.Key != key || d.Tempo != 60 || d.Title != l.Licks[1].Title || d.Chords[0].Name != "G7" {
		t.Errorf("%v %v %v %v, %v", d.Harp.Key, d.Tempo, d.Title, d.Chords, err)
	}
	if d, err := (lesson.Address{Lesson: l, Tempo: 60}).Drill(lesson.Play{Tempo: 80}); err != nil || d.Bars != 12 || d.Tempo != 80 {
		t.Errorf("chorus of %d bars at %g, %v: the player's own tempo counts most", d.Bars, d.Tempo, err)
	}
	if _, err := (lesson.Address{Lesson: l, Lick: 7}).Drill(lesson.Play{}); err == nil {
		t.Error("a drill of a lick that is not there")
	}
}

func TestFileLinks(t *testing.T) {
	key, err := harp.ParseKey("low F#")
	if err != nil {
		t.Fatal(err)
	}
	for want, a := range map[string]lesson.Address{
		"v=1&lesson=lick.txt":                                      {File: "lick.txt"},
		"v=1&lesson=lick.txt&lick=2":                               {File: "lick.txt", Lick: 2},
		"v=1&lesson=lick.txt&lick=chorus":                          {File: "lick.txt", Lick: lesson.AllLicks},
		"v=1&lesson=songs/a_b-2.v1.txt&harp=low%20F%23&tempo=60.5": {File: "songs/a_b-2.v1.txt", Key: &key, Tempo: 60.5},
	} {
		if got := makeLink(t, a); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
}

// packed is what a link would hold for a text, without our dictionary or care.
func packed(t testing.TB, write func(io.Writer)) string {
	t.Helper()
	var b bytes.Buffer
	w, err := flate.NewWriter(&b, flate.BestCompression)
	if err != nil {
		t.Fatal(err)
	}
	write(w)
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return base64.RawURLEncoding.EncodeToString(b.Bytes())
}

// Hostile links are refused, and the part is named.
func TestLinkRefused(t *testing.T) {
	l, _ := lesson.Parse(demos(t)["kettle.txt"])
	good, err := lesson.Link(lesson.Address{Lesson: l, Lick: 1})
	if err != nil {
		t.Fatal(err)
	}
	text := func(s string) string {
		return "v=1&text=" + packed(t, func(w io.Writer) { io.WriteString(w, s) })
	}
	// Five megabytes of blanks fit into the longest link (RFC 1951 unfolds up to 1032 times).
	bomb := packed(t, func(w io.Writer) { w.Write(bytes.Repeat([]byte(" "), 5<<20)) })
	if len(bomb) > lesson.MaxLink {
		t.Fatalf("the bomb of %d bytes does not fit", len(bomb))
	}
	for _, test := range []struct {
		name, fragment, key string
		err                 error
	}{
		{"empty", "", "", link.ErrPart},
		{"no lesson", "v=1&lick=1", "text", link.ErrMissing},
		{"a drill", "v=1&drill=single-1&harp=C", "drill", lesson.ErrLinkUnknown},
		{"a later version", strings.Replace(good, "v=1", "v=2", 1), "v", link.ErrVersion},
		{"twice", good + "&lick=1", "lick", link.ErrTwice},
		{"both", good + "&lesson=a.txt", "lesson", nil},
		{"too long", good + strings.Repeat("A", lesson.MaxLink), "", lesson.ErrLinkLong},
		{"cut short", good[:len(good)-20], "text", lesson.ErrText},
		{"cut by one", good[:len(good)-1], "text", lesson.ErrText},
		{"more behind", good + "AAAA", "text", lesson.ErrText},
		{"other letters", good[:len(good)-1] + "!", "text", lesson.ErrText},
		{"not packed", "v=1&text=aGVsbG8", "text", lesson.ErrText},
		{"nothing", "v=1&text=", "text", lesson.ErrText},
		{"a bomb", "v=1&text=" + bomb, "text", lesson.ErrTextLong},
		{"a bomb in a bomb", text(bomb), "text", lesson.ErrLesson},
		{"wrong UTF-8", text("title: \xff"), "text", lesson.ErrLesson},
		{"a lesson with a mistake", text("title: a\nharp: A\ntempo: 60\nlick: a\nbars: 1\n-4:7 |"), "text", lesson.ErrLesson},
		{"a lick that is not there", strings.Replace(good, "lick=1", "lick=9", 1), "lick", lesson.ErrLick},
		{"lick 0", strings.Replace(good, "lick=1", "lick=0", 1), "lick", lesson.ErrLick},
		{"lick 01", strings.Replace(good, "lick=1", "lick=01", 1), "lick", lesson.ErrLick},
		{"a lick far off", "v=1&lesson=a.txt&lick=49", "lick", lesson.ErrLick},
		{"a key", "v=1&lesson=a.txt&harp=H", "harp", harp.ErrKey},
		{"a tempo", "v=1&lesson=a.txt&tempo=fast", "tempo", link.ErrNumber},
		{"tempo 0", "v=1&lesson=a.txt&tempo=0", "tempo", link.ErrTempo},
		{"tempo 999", "v=1&lesson=a.txt&tempo=999", "tempo", link.ErrTempo},
		{"tempo inf", "v=1&lesson=a.txt&tempo=Inf", "tempo", link.ErrNumber},
	} {
		_, err := lesson.FromLink(test.fragment)
		var refused *link.Error
		if !errors.As(err, &refused) || refused.Key != test.key || test.err != nil && !errors.Is(err, test.err) {
			t.Errorf("%s: %v, want %v of part %q", test.name, err, test.err, test.key)
		}
		if err != nil && len(err.Error()) > 700 {
			t.Errorf("%s: an error of %d bytes", test.name, len(err.Error()))
		}
	}
	for _, file := range []string{
		"", ".txt", "/lick.txt", "//evil.example/lick.txt", "https://evil.example/lick.txt", "https:lick.txt", "../lick.txt",
		"a/../../lick.txt", "a/./lick.txt", "a//lick.txt", "a\\lick.txt", "lick.html", "lick", "a.txt?b.txt", "a.txt#b.txt", "%2e%2e/a.txt",
		"%252e%252e/a.txt", "data:,x.txt", "javascript:x.txt", "a%00.txt", "a b.txt", "ä.txt", ".git/a.txt", strings.Repeat("a", 120) + ".txt", "a@b.txt",
	} {
		_, err := lesson.FromLink("v=1&lesson=" + file)
		var refused *link.Error
		if !errors.As(err, &refused) || refused.Key != link.FileKey {
			t.Errorf("file %q: %v, want a refusal of the file", file, err)
		}
		if _, err := lesson.Link(lesson.Address{File: file}); err == nil {
			t.Errorf("file %q: was put into a link", file)
		}
	}
}

// However much a link would unfold to, reading it takes no more memory than a lesson may
// have text, some dozen times over.
func TestBombMemory(t *testing.T) {
	bomb := "v=1&text=" + packed(t, func(w io.Writer) { w.Write(bytes.Repeat([]byte(" "), 5<<20)) })
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	if _, err := lesson.FromLink(bomb); err == nil {
		t.Error("a bomb was read")
	}
	runtime.ReadMemStats(&after)
	if got := after.TotalAlloc - before.TotalAlloc; got > 12*lesson.MaxBytes {
		t.Errorf("%d bytes for a bomb", got)
	}
}

// A link that is out must be read for ever: this one is of the first day of version 1.
func TestOldLink(t *testing.T) {
	const old = "v=1&lick=1&text=gmadkPJ8cOFQDM7DBDIPclWFK7vgLlthHgksTS0GmY3pIZBjQMVrsUJOamKKQmaeHhdSsMB8agrxGCQJwAPdyMoMKgQIAAD__w"
	a, err := lesson.FromLink(old)
	if err != nil {
		t.Fatal(err)
	}
	if a.Lick != 1 || a.Lesson.Title != "Two steps home" || len(a.Lesson.Licks[0].Notes) != 9 {
		t.Errorf("%+v", a)
	}
}

func TestKinds(t *testing.T) {
	for fragment, want := range map[string]link.Kind{
		"": link.Drill, "#": link.Drill, "v=1&drill=single-1&harp=C": link.Drill, "v=1&drill=single-1&title=text%3D": link.Drill,
		"#v=1&lick=1&text=AA": link.Lesson, "text=": link.Lesson, "v=1&lesson=a.txt": link.File, "#lesson=a.txt&v=2": link.File,
		"v=1&title=lesson&drill=single-1": link.Drill, "#v=1&week=AA": link.Week, "v=1&title=week&drill=single-1": link.Drill,
	} {
		if got := link.KindOf(fragment); got != want {
			t.Errorf("%q: %d, want %d", fragment, got, want)
		}
	}
}

// Laws: a fragment is refused, with a part or a reason, or makes a link that reads back
// the same.
func FuzzFromLink(f *testing.F) {
	for _, text := range demos(f) {
		l, _ := lesson.Parse(text)
		fragment, err := lesson.Link(lesson.Address{Lesson: l, Lick: 2, Tempo: 60})
		if err != nil {
			f.Fatal(err)
		}
		f.Add(fragment)
	}
	f.Add("v=1&lesson=songs/lick.txt&lick=2&harp=low%20F&tempo=72.5")
	f.Add("v=1&text=" + packed(f, func(w io.Writer) { io.WriteString(w, "title: a\nharp: A\ntempo: 60\nlick: a\nbars: 1\n-4:8 |") }))
	f.Fuzz(func(t *testing.T, fragment string) {
		a, err := lesson.FromLink(fragment)
		if err != nil {
			var refused *link.Error
			if !errors.As(err, &refused) {
				t.Fatalf("%q: %v", fragment, err)
			}
			return
		}
		again, err := lesson.Link(a)
		if err != nil {
			// Our own packing may be longer than the one that was read, at the very bound only.
			if errors.Is(err, lesson.ErrLinkLong) || errors.Is(err, lesson.ErrTextLong) {
				return
			}
			t.Fatalf("%q: %v", fragment, err)
		}
		back, err := lesson.FromLink(again)
		if err != nil {
			t.Fatal(err)
		}
		a.Lesson, back.Lesson = placeless(a.Lesson), placeless(back.Lesson)
		if !reflect.DeepEqual(a, back) {
			t.Fatalf("%q reads back as %+v, want %+v", fragment, back, a)
		}
	})
}
