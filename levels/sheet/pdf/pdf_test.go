//go:build !js

package pdf_test

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"image"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"reedwell/audio/audiotest"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/lesson/lessontest"
	"reedwell/levels/sheet"
	"reedwell/levels/sheet/pdf"
	"reedwell/testdata/lessons"
)

// demos are the lessons that are published with the program, by the names of their files.
func demos(t testing.TB) map[string]lesson.Lesson {
	t.Helper()
	all := map[string]lesson.Lesson{}
	for _, name := range lessons.Names() {
		all[name] = lessontest.Demo(t, name)
	}
	return all
}

// write lays out a lesson and writes it to a file.
func write(t testing.TB, l lesson.Lesson, o sheet.Options) (sheet.Sheet, string) {
	t.Helper()
	s, err := sheet.Lay(l, o)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := pdf.Write(&b, s); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "sheet.pdf")
	if err := os.WriteFile(file, b.Bytes(), 0o666); err != nil {
		t.Fatal(err)
	}
	return s, file
}

func run(t testing.TB, program string, args ...string) string {
	t.Helper()
	cmd := exec.Command(program, args...)
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	if err := cmd.Run(); err != nil {
		t.Fatalf("%s %v: %v\n%s", program, args, err, errs.String())
	}
	return out.String()
}

// written is how the sheet writes a note, worked out here from its parts.
func written(n harp.Note) string {
	s := map[harp.Breath]string{harp.Blow: "+", harp.Draw: "−"}[n.Breath] + fmt.Sprint(n.Hole) + strings.Repeat("′", n.Bend)
	if n.Over {
		s += "°"
	}
	return s
}

// What poppler reads out of the PDF is what the lesson says: its words, and for each lick
// the holes in their order, the notes of a chord from the top.
func TestTextIsTheLesson(t *testing.T) {
	audiotest.Need(t, "pdftotext")
	tab := regexp.MustCompile(`^[+−]\d+[′°]*$`)
	for name, l := range demos(t) {
		_, file := write(t, l, sheet.Options{})
		text := run(t, "pdftotext", "-raw", "-enc", "UTF-8", file, "-")
		flat := strings.Join(strings.Fields(text), " ")
		for _, want := range []string{l.Title, strings.ReplaceAll(l.Words, "\n", " "), l.Form.Name, l.Position.String(), l.Key.String(), l.Key.Song(l.Position),
			fmt.Sprintf("%g bpm", l.Tempo)} {
			if !strings.Contains(flat, strings.Join(strings.Fields(want), " ")) {
				t.Errorf("%s: %q is not in\n%s", name, want, text)
			}
		}
		parts := regexp.MustCompile(`Lick \d+: `).Split(flat, -1)
		if len(parts) != len(l.Licks)+1 {
			t.Fatalf("%s: %d licks in the text, want %d", name, len(parts)-1, len(l.Licks))
		}
		for i, k := range l.Licks {
			part := parts[i+1]
			if !strings.HasPrefix(part, k.Title+" Bar") || !strings.Contains(part, k.Words) {
				t.Errorf("%s, lick %d: %q and %q are not in\n%s", name, i+1, k.Title, k.Words, part)
			}
			var got, want []string
			// Words may have a bare number in them, but no sign before it.
			for _, word := range strings.Fields(part) {
				if tab.MatchString(word) {
					got = append(got, word)
				}
			}
			for _, n := range k.Notes {
				for _, h := range n.Holes {
					want = append(want, written(h))
				}
				if n.Warbles() {
					want = append(want, written(n.Warble))
				}
			}
			// A chord stands on several lines, so that only the holes are compared where there
			// is one, not their order.
			if slices.ContainsFunc(k.Notes, func(n lesson.Note) bool { return len(n.Holes) > 1 }) {
				slices.Sort(got)
				slices.Sort(want)
			}
			if !slices.Equal(got, want) {
				t.Errorf("%s, lick %d:\n%s\nwant\n%s", name, i+1, got, want)
			}
			for t0 := lesson.Ticks(k.Bar-1) * lesson.Bar; t0 < lesson.Ticks(k.Bar-1+k.Bars)*lesson.Bar; t0 += lesson.Beat {
				if chord := l.ChordName(l.Form.Chord(t0)); !slices.Contains(strings.Fields(part), chord) {
					t.Errorf("%s, lick %d: the chord %s is not in\n%s", name, i+1, chord, part)
				}
			}
		}
	}
}

// A box is a word where poppler finds it.
type box struct {
	XMin float64 `xml:"xMin,attr"`
	XMax float64 `xml:"xMax,attr"`
	YMin float64 `xml:"yMin,attr"`
	YMax float64 `xml:"yMax,attr"`
	Text string  `xml:",chardata"`
}

// Poppler finds each word where the layout has put it: left edges within a point.
func TestWordsAreInTheirPlaces(t *testing.T) {
	audiotest.Need(t, "pdftotext")
	for name, l := range demos(t) {
		s, file := write(t, l, sheet.Options{Paper: sheet.Letter})
		var found struct {
			Pages []struct {
				Width  float64 `xml:"width,attr"`
				Height float64 `xml:"height,attr"`
				Words  []box   `xml:"word"`
			} `xml:"body>doc>page"`
		}
		if err := xml.Unmarshal([]byte(run(t, "pdftotext", "-bbox", "-enc", "UTF-8", file, "-")), &found); err != nil {
			t.Fatal(err)
		}
		if len(found.Pages) != len(s.Pages) {
			t.Fatalf("%s: %d pages, want %d", name, len(found.Pages), len(s.Pages))
		}
		for i, p := range s.Pages {
			if found.Pages[i].Width != 612 || found.Pages[i].Height != 792 { // 8.5 in by 11 in
				t.Errorf("%s: page of %g by %g points", name, found.Pages[i].Width, found.Pages[i].Height)
			}
			for _, x := range p.Texts {
				first := strings.Fields(x.String)[0]
				if !slices.ContainsFunc(found.Pages[i].Words, func(b box) bool {
					return strings.Contains(b.Text, first) && (b.XMin > x.X-1 && b.XMin < x.X+1 || strings.Index(b.Text, first) > 0 && b.XMin < x.X && x.X < b.XMax) &&
						b.YMin < x.Y && x.Y < b.YMax
				}) {
					t.Errorf("%s, page %d: no %q at %.1f, %.1f", name, i+1, first, x.X, x.Y)
				}
			}
		}
	}
}

// pictures renders a PDF to files, one for each page.
func pictures(t testing.TB, file string, dpi int) []string {
	t.Helper()
	root := strings.TrimSuffix(file, ".pdf")
	run(t, "pdftoppm", "-r", fmt.Sprint(dpi), "-gray", "-png", file, root)
	names, err := filepath.Glob(root + "*.png")
	if err != nil {
		t.Fatal(err)
	}
	slices.Sort(names)
	return names
}

func grey(t testing.TB, file string) *image.Gray {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	m, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	g := image.NewGray(m.Bounds())
	for y := range g.Rect.Dy() {
		for x := range g.Rect.Dx() {
			g.Set(x, y, m.At(x, y))
		}
	}
	return g
}

// An independent reader finds each link in the codes as a 300 dpi printer puts them on paper,
// from a short one up to the longest that is taken.
func TestCodesAreRead(t *testing.T) {
	audiotest.Need(t, "pdftoppm", "zbarimg")
	l := demos(t)["kettle"]
	o := sheet.Options{Link: "https://example.org/harp/#v=1&lesson=kettle.txt"}
	want := []string{o.Link}
	for i, n := range []int{0, 50, 240, 500, 1200, 2000} {
		link := fmt.Sprintf("https://example.org/harp/#v=1&lick=%d&text=", i+1) + strings.Repeat("aB3_-", n/5)
		o.Links, want = append(o.Links, link), append(want, link)
	}
	_, file := write(t, l, o)
	cmd := exec.Command("zbarimg", append([]string{"-q", "--nodbus", "--raw", "-Sdisable", "-Sqrcode.enable"}, pictures(t, file, 300)...)...)
	out, err := cmd.Output()
	if none := 4; err != nil && cmd.ProcessState.ExitCode() != none { // a page without a code
		t.Fatal(err)
	}
	got := strings.Fields(string(out))
	slices.Sort(got)
	slices.Sort(want)
	if !slices.Equal(got, want) {
		t.Errorf("%d codes read\n%.300s\nwant %d\n%.300s", len(got), strings.Join(got, "\n"), len(want), strings.Join(want, "\n"))
	}
}

// Both renderers put the same ink on the page: the PDF through poppler, the SVG through
// librsvg. They smooth edges in their own ways, so ink may lie a pixel off (0.17 mm), no
// farther: every dark pixel of one has a dark one of the other around it.
func TestRenderersAgree(t *testing.T) {
	audiotest.Need(t, "pdftoppm", "rsvg-convert")
	for name, l := range demos(t) {
		paper := sheet.A4
		if name == "shoes" {
			paper = sheet.Letter
		}
		s, file := write(t, l, sheet.Options{Paper: paper, Link: "https://example.org/"})
		const dpi = 150
		files := pictures(t, file, dpi)
		for i := range s.Pages {
			data, err := s.SVG(i)
			if err != nil {
				t.Fatal(err)
			}
			svg := filepath.Join(t.TempDir(), "page.svg")
			if err := os.WriteFile(svg, data, 0o666); err != nil {
				t.Fatal(err)
			}
			run(t, "rsvg-convert", "-d", fmt.Sprint(dpi), "-p", fmt.Sprint(dpi), "-b", "white", "-o", svg+".png", svg)
			drawn, printed := grey(t, svg+".png"), grey(t, files[i])
			if d := drawn.Rect.Size().Sub(printed.Rect.Size()); d.X*d.X > 1 || d.Y*d.Y > 1 {
				t.Fatalf("%s, page %d: %v drawn, %v printed", name, i+1, drawn.Rect, printed.Rect)
			}
			dark, lone := apart(drawn, printed)
			dark2, lone2 := apart(printed, drawn)
			if dark == 0 || dark2 == 0 || lone+lone2 > 0 {
				t.Errorf("%s, page %d: of %d and %d dark pixels %d and %d stand alone", name, i+1, dark, dark2, lone, lone2)
			}
		}
	}
}

// apart counts the dark pixels of a, and those around which b has none.
func apart(a, b *image.Gray) (dark, lone int) {
	const ink, trace = 64, 224 // of 255: surely ink; touched by ink
	for y := range a.Rect.Dy() {
		for x := range a.Rect.Dx() {
			if a.GrayAt(x, y).Y > ink {
				continue
			}
			dark++
			near := false
			for dy := -1; dy <= 1; dy++ {
				for dx := -1; dx <= 1; dx++ {
					p := image.Pt(x+dx, y+dy)
					near = near || p.In(b.Rect) && b.GrayAt(p.X, p.Y).Y < trace
				}
			}
			if !near {
				lone++
			}
		}
	}
	return dark, lone
}

// The same lesson gives the same bytes, and a link to click for each lick.
func TestSameBytesAndLinks(t *testing.T) {
	l := demos(t)["kettle"]
	s, err := sheet.Lay(l, sheet.Options{Links: []string{"https://example.org/one", "", "https://example.org/three"}})
	if err != nil {
		t.Fatal(err)
	}
	var a, b bytes.Buffer
	for _, w := range []*bytes.Buffer{&a, &b} {
		if err := pdf.Write(w, s); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("two writings differ")
	}
	if n := bytes.Count(a.Bytes(), []byte("/URI (https://example.org/")); n != 2 {
		t.Errorf("%d links, want 2", n)
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, os.ErrClosed }

func TestWriteTellsOfTheWriter(t *testing.T) {
	s, err := sheet.Lay(demos(t)["kettle"], sheet.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := pdf.Write(full{}, s); err == nil || !strings.Contains(err.Error(), "Kettle") {
		t.Errorf("error %v", err)
	}
}
