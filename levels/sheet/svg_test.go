package sheet_test

import (
	"bytes"
	"encoding/xml"
	"flag"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"reedwell/levels/lesson"
	"reedwell/levels/sheet"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// The golden file is a first page: facts, chart and legend. Looked at in Chromium when it was
// accepted.
func TestGolden(t *testing.T) {
	l := full(t)
	l.Licks = l.Licks[:2]
	s := lay(t, l, sheet.Options{})
	got, err := s.SVG(0)
	if err != nil {
		t.Fatal(err)
	}
	golden := filepath.Join("testdata", "first.svg")
	if *update {
		if err := os.WriteFile(golden, got, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		a, b := strings.Split(string(got), "\n"), strings.Split(string(want), "\n")
		for i := range min(len(a), len(b)) {
			if a[i] != b[i] {
				t.Fatalf("line %d of the picture is\n%.200s\nwant\n%.200s\n-update accepts it", i+1, a[i], b[i])
			}
		}
		t.Fatalf("%d lines, want %d", len(a), len(b))
	}
}

// A picture is well-formed XML whose every letter is defined in it, with the size of the
// paper and links to the web only.
func TestSVG(t *testing.T) {
	l := full(t)
	l.Title = `"Quotes" & <tags> ]]> end`
	o := sheet.Options{Paper: sheet.Letter, Links: []string{"https://example.org/?a=1&b=\"2\"", "javascript:alert(1)", "http://example.org/", "lesson.html#v=1"}}
	s := lay(t, l, o)
	var linked []string
	for i := range s.Pages {
		data, err := s.SVG(i)
		if err != nil {
			t.Fatal(err)
		}
		defined, uses := map[string]bool{}, 0
		for d := xml.NewDecoder(bytes.NewReader(data)); ; {
			token, err := d.Token()
			if err == io.EOF {
				break
			}
			if err != nil {
				t.Fatalf("page %d: %v", i+1, err)
			}
			e, ok := token.(xml.StartElement)
			if !ok {
				continue
			}
			has := map[string]string{}
			for _, a := range e.Attr {
				has[a.Name.Local] = a.Value
			}
			switch e.Name.Local {
			case "svg":
				if has["width"] != "8.5in" || has["height"] != "11in" || has["viewBox"] != "0 0 612 792" {
					t.Errorf("size %v", has)
				}
			case "path":
				defined["#"+has["id"]] = true
			case "use":
				uses++
				if !defined[has["href"]] {
					t.Errorf("page %d: %s is not defined before its use", i+1, has["href"])
				}
			case "a":
				linked = append(linked, has["href"])
			case "title":
				name, _ := d.Token()
				if text, ok := name.(xml.CharData); !ok || !strings.HasPrefix(string(text), `"Quotes" & <tags> ]]> end, page `) {
					t.Errorf("page %d is called %s", i+1, text)
				}
			}
		}
		if uses == 0 {
			t.Errorf("page %d has no letters", i+1)
		}
	}
	if got := strings.Join(linked, " "); got != `https://example.org/?a=1&b="2" http://example.org/` {
		t.Errorf("links %s", got)
	}
	for _, page := range []int{-1, len(s.Pages)} {
		if _, err := s.SVG(page); err == nil {
			t.Errorf("page %d of %d exists", page, len(s.Pages))
		}
	}
}

// A second chorus has a chart of its own, numbered on.
func TestChoruses(t *testing.T) {
	l := full(t)
	l.Licks = append(l.Licks, lesson.Lick{Title: "Again", Bar: 14, Bars: 1, Pickup: beat, Notes: row(t, -beat, beat, "-4 -4*IIII")})
	text := ""
	for _, p := range lay(t, l, sheet.Options{}).Pages {
		text += p.String()
	}
	for _, want := range []string{"The form: quick change, chorus 1\n", "The form: quick change, chorus 2\n", "\n13\n", "\n21\n", "Lick 5: Again\nBar 14, with a pickup\n"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is missing in\n%s", want, text)
		}
	}
	if strings.Contains(text, "\n25\n") {
		t.Error("a third chorus")
	}
}
