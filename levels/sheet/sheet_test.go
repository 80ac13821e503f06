package sheet_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"

	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/lesson/lessontest"
	"reedwell/levels/sheet"
)

const margin = 40.0 // points, as the sheet promises on each side

// material is every lesson of the tests.
func material(t testing.TB) []lesson.Lesson {
	return append(lessontest.Demos(t), full(t), dense(t), tripletFeel(t), long(t))
}

// long has the longest title and words that a lesson may have, without a place to break.
func long(t testing.TB) lesson.Lesson {
	l := full(t)
	l.Title = strings.Repeat("W", lesson.MaxTitle)
	l.Words = strings.Repeat(strings.Repeat("endless", 40)+" and "+strings.Repeat("on", 30)+"\n", lesson.MaxWords-1) + "Ů♭♯♮Ǻ" + strings.Repeat("≈", 90)
	for i := range l.Licks {
		l.Licks[i].Title = strings.Repeat("Å", lesson.MaxTitle)
		l.Licks[i].Words = strings.Repeat("Donaudampfschifffahrt", 17)
	}
	return l
}

func lay(t testing.TB, l lesson.Lesson, o sheet.Options) sheet.Sheet {
	t.Helper()
	s, err := sheet.Lay(l, o)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// links are addresses of the licks: short ones, one that carries a lesson, and one missing.
func links(l lesson.Lesson) []string {
	var all []string
	for i := range l.Licks {
		all = append(all, fmt.Sprintf("https://example.org/harp/#v=1&drill=lick-%d&harp=Eb", i+1))
	}
	all[0] += "&text=" + strings.Repeat("aB3_", 200)
	if len(all) > 2 {
		all[2] = ""
	}
	return all
}

type rect struct{ x1, y1, x2, y2 float64 }

func (r rect) empty() bool { return r.x1 >= r.x2 || r.y1 >= r.y2 }

func (r rect) meets(o rect) bool {
	return !r.empty() && !o.empty() && r.x1 < o.x2 && o.x1 < r.x2 && r.y1 < o.y2 && o.y1 < r.y2
}

// A ruler measures ink with the font rasteriser, which the layout does not use.
type ruler [2]font.Face

const ruled = 64 // pixels an em at which ink is measured

func newRuler(t testing.TB) ruler {
	t.Helper()
	var r ruler
	for i := range r {
		parsed, err := opentype.Parse(sheet.TrueType(i == 1))
		if err != nil {
			t.Fatal(err)
		}
		if r[i], err = opentype.NewFace(parsed, &opentype.FaceOptions{Size: ruled, DPI: 72, Hinting: font.HintingNone}); err != nil {
			t.Fatal(err)
		}
	}
	return r
}

// ink is the box of a text's ink on the page.
func (r ruler) ink(x sheet.Text) rect {
	face := r[0]
	if x.Bold {
		face = r[1]
	}
	b, _ := font.BoundString(face, x.String)
	k := x.Size / ruled / 64
	return rect{x.X + float64(b.Min.X)*k, x.Y + float64(b.Min.Y)*k, x.X + float64(b.Max.X)*k, x.Y + float64(b.Max.Y)*k}
}

// points are places along the ink of a path, at most a point apart, and the box of all.
func points(p sheet.Path) (all []sheet.Point, box rect) {
	box = rect{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	var start, last sheet.Point
	add := func(q sheet.Point) {
		all, last = append(all, q), q
		h := p.Width / 2
		box = rect{min(box.x1, q.X-h), min(box.y1, q.Y-h), max(box.x2, q.X+h), max(box.y2, q.Y+h)}
	}
	along := func(q sheet.Point) {
		a := last
		n := int(math.Hypot(q.X-a.X, q.Y-a.Y)) + 1
		for i := 1; i <= n; i++ {
			f := float64(i) / float64(n)
			add(sheet.Point{X: a.X + f*(q.X-a.X), Y: a.Y + f*(q.Y-a.Y)})
		}
	}
	for _, s := range p.Segments {
		switch s.Op {
		case sheet.Move:
			start = s.Points[0]
			add(start)
		case sheet.Line:
			along(s.Points[0])
		case sheet.Curve:
			a, b, c, d := last, s.Points[0], s.Points[1], s.Points[2]
			for i := 1; i <= 16; i++ {
				t := float64(i) / 16
				u := 1 - t
				mix := func(a, b, c, d float64) float64 { return u*u*u*a + 3*u*u*t*b + 3*u*t*t*c + t*t*t*d }
				along(sheet.Point{X: mix(a.X, b.X, c.X, d.X), Y: mix(a.Y, b.Y, c.Y, d.Y)})
			}
		case sheet.Close:
			along(start)
		}
	}
	return all, box
}

// inspect reports what a student would be handed with shame: ink outside the margins, text
// over text, a line through a text, type that is too small, a code without its white border.
func inspect(r ruler, s sheet.Sheet) error {
	w, h := s.Paper.Size()
	paper := rect{margin, margin, w - margin, h - margin}
	const slack = 0.6 // points: half of the thickest bar line, and rounding
	within := func(b rect) bool {
		return b.empty() || b.x1 >= paper.x1-slack && b.y1 >= paper.y1-slack && b.x2 <= paper.x2+slack && b.y2 <= paper.y2+slack
	}
	for n, p := range s.Pages {
		var texts []rect
		for _, x := range p.Texts {
			b := r.ink(x)
			if x.Size < 10 && !x.Hidden {
				return fmt.Errorf("page %d: %q in %g points", n+1, x.String, x.Size)
			}
			if !within(b) {
				return fmt.Errorf("page %d: %q lies at %.1f of %.1f", n+1, x.String, b, paper)
			}
			for k, other := range texts {
				if b.meets(other) {
					return fmt.Errorf("page %d: %q at %.1f lies over %q at %.1f", n+1, x.String, b, p.Texts[k].String, other)
				}
			}
			texts = append(texts, b)
		}
		for _, path := range p.Paths {
			all, box := points(path)
			if !within(box) {
				return fmt.Errorf("page %d: a line at %.1f outside %.1f", n+1, box, paper)
			}
			white := box
			if isCode(path) {
				border := 3.9 * module(path)
				white = rect{box.x1 - border, box.y1 - border, box.x2 + border, box.y2 + border}
			}
			for k, b := range texts {
				if p.Texts[k].Hidden || !b.meets(white) {
					continue
				}
				if isCode(path) {
					return fmt.Errorf("page %d: %q in the border of a code", n+1, p.Texts[k].String)
				}
				for _, q := range all {
					if b.meets(rect{q.X - 0.1, q.Y - 0.1, q.X + 0.1, q.Y + 0.1}) {
						return fmt.Errorf("page %d: a line at %.1f through %q at %.1f", n+1, q, p.Texts[k].String, b)
					}
				}
			}
		}
	}
	return nil
}

// isCode knows a QR code by its many squares.
func isCode(p sheet.Path) bool { return p.Width == 0 && len(p.Segments) > 500 }

// module is the side of a code's module: the height of its first run.
func module(p sheet.Path) float64 { return p.Segments[2].Points[0].Y - p.Segments[1].Points[0].Y }

func TestNothingOverlaps(t *testing.T) {
	r := newRuler(t)
	for _, l := range material(t) {
		for _, paper := range []sheet.Paper{sheet.A4, sheet.Letter} {
			for _, o := range []sheet.Options{{Paper: paper}, {Paper: paper, Link: "https://example.org/", Links: links(l)}} {
				if err := inspect(r, lay(t, l, o)); err != nil {
					t.Errorf("%.20s, paper %d: %v", l.Title, paper, err)
				}
			}
		}
	}
}

// Chord names have other widths in each key, and forms other numbers of chords in a bar.
func TestEveryKeyAndForm(t *testing.T) {
	r := newRuler(t)
	own := lesson.Form{Name: "own", Bars: [][]lesson.Chord{{
		{Degree: 6, Quality: lesson.MinorSeventh, Length: beat}, {Degree: 8, Quality: lesson.MinorSeventh, Length: beat},
		{Degree: 10, Quality: lesson.MinorSeventh, Length: beat}, {Degree: 1, Quality: lesson.MinorSeventh, Length: beat}}}}
	for i, k := range harp.Keys() {
		for _, p := range harp.Positions() {
			l := []lesson.Lesson{full(t), dense(t), tripletFeel(t)}[i%3]
			l.Key, l.Position, l.Form = k, p, append(lesson.Forms(), own)[(i+int(p))%5]
			if err := inspect(r, lay(t, l, sheet.Options{})); err != nil {
				t.Errorf("%v, %v, %s: %v", k, p, l.Form.Name, err)
			}
		}
	}
}

// scribble makes a lesson out of chance: any rhythm, holes, marks.
func scribble(t testing.TB, seed uint64) lesson.Lesson {
	t.Helper()
	rnd := rand.New(rand.NewPCG(seed, 0))
	l := full(t)
	l.Key = harp.Keys()[rnd.IntN(len(harp.Keys()))]
	l.Form = lesson.Forms()[rnd.IntN(4)]
	l.Feel = []lesson.Feel{{}, {Kind: lesson.Shuffle, Ratio: 1.25}, {Kind: lesson.Triplet}}[rnd.IntN(3)]
	l.Licks = nil
	steps := []lesson.Ticks{beat / 8, beat / 5, beat / 4, beat / 3, beat / 2, beat * 2 / 3, beat, 3 * beat / 2, 2 * beat, 5 * beat}
	bar := 1
	for range 1 + rnd.IntN(4) {
		k := lesson.Lick{Title: "A lick", Words: "Some words.", Bar: bar + rnd.IntN(3), Bars: 1 + rnd.IntN(4)}
		end := lesson.Ticks(k.Bars) * lesson.Bar
		first := 1 + rnd.IntN(4)
		for at := lesson.Ticks(0); at < end; {
			n := lesson.Note{Start: at, Length: steps[rnd.IntN(1+rnd.IntN(len(steps)))]}
			at += n.Length
			if n.End() > end || rnd.IntN(4) == 0 && len(k.Notes) > 0 {
				continue
			}
			n.Holes = []harp.Note{harp.Notes()[rnd.IntN(len(harp.Notes()))]}
			h := n.Holes[0]
			if h.Bend == 0 && !h.Over && rnd.IntN(4) == 0 {
				for x := h.Hole + 1; x <= harp.Holes && rnd.IntN(4) > 0; x++ {
					n.Holes = append(n.Holes, harp.Note{Hole: x, Breath: h.Breath})
				}
			}
			n.Vibrato, n.Hold = rnd.IntN(4) == 0, rnd.IntN(4) == 0
			if rnd.IntN(4) == 0 {
				n.Wah = 1.25
			}
			if next := h.Hole%harp.Holes + 1; len(n.Holes) == 1 && next > 1 && n.Length >= beat && rnd.IntN(2) == 0 {
				n.Warble, n.Rate = harp.Note{Hole: next, Breath: h.Breath}, 12
			}
			n.Scoop = len(n.Holes) == 1 && h.Hole < 5 && h.Breath == harp.Draw && h.Bend == 0 && rnd.IntN(2) == 0
			if i := len(k.Notes); i > 0 && !n.Scoop && k.Notes[i-1].End() == n.Start && k.Notes[i-1].Holes[0].Breath == h.Breath {
				if b := k.Notes[i-1].Holes; len(b) == 1 && len(n.Holes) == 1 && b[0] != h {
					n.Join = lesson.Slurred
					if b[0].Hole == h.Hole {
						n.Join = lesson.Glide
					}
				}
			}
			k.Notes = append(k.Notes, n)
		}
		if len(k.Notes) == 0 {
			continue
		}
		if first == 1 && k.Bar > bar+1 {
			k.Pickup = beat / 3
			k.Notes = append([]lesson.Note{{Start: -beat / 3, Length: beat / 3, Holes: k.Notes[0].Holes}}, k.Notes...)
			k.Notes[1].Join = lesson.Tongued
		}
		bar = k.Bar + k.Bars
		l.Licks = append(l.Licks, k)
	}
	return l
}

// FuzzLay lays out lessons made of chance: those that the check lets pass come out clean.
func FuzzLay(f *testing.F) {
	for seed := range uint64(60) {
		f.Add(seed)
	}
	r := newRuler(f)
	f.Fuzz(func(t *testing.T, seed uint64) {
		s, err := sheet.Lay(scribble(t, seed), sheet.Options{Paper: sheet.Paper(seed % 2)})
		if errors.Is(err, sheet.ErrLesson) {
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		if err := inspect(r, s); err != nil {
			t.Error(err)
		}
	})
}

// Most of what chance makes is a lesson, or the fuzz target would show nothing.
func TestScribbleIsMostlyValid(t *testing.T) {
	good := 0
	for seed := range uint64(60) {
		if !lesson.Failed(lesson.Check(scribble(t, seed))) {
			good++
		}
	}
	if good < 40 {
		t.Errorf("%d of 60 lessons made of chance pass the check", good)
	}
}

func TestLayRefuses(t *testing.T) {
	empty := full(t)
	empty.Form.Bars = nil
	silent := full(t)
	silent.Licks[0].Notes = nil
	for name, c := range map[string]struct {
		l    lesson.Lesson
		o    sheet.Options
		want error
	}{
		"paper":     {full(t), sheet.Options{Paper: 2}, sheet.ErrPaper},
		"links":     {full(t), sheet.Options{Links: make([]string, 5)}, sheet.ErrLinks},
		"no form":   {empty, sheet.Options{}, sheet.ErrLesson},
		"no notes":  {silent, sheet.Options{}, sheet.ErrLesson},
		"nothing":   {lesson.Lesson{}, sheet.Options{}, sheet.ErrLesson},
		"long link": {full(t), sheet.Options{Links: []string{"https://example.org/" + strings.Repeat("x", 2048)}}, sheet.ErrLink},
	} {
		if _, err := sheet.Lay(c.l, c.o); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
}

// As many bars as a lesson may have, all of them as dense as can be.
func TestLongestLesson(t *testing.T) {
	if testing.Short() {
		t.Skip("long; it runs natively")
	}
	l := full(t)
	l.Licks = nil
	for i := range 24 {
		l.Licks = append(l.Licks, lesson.Lick{Title: "Run", Bar: 4*i + 1, Bars: 4, Notes: row(t, 0, beat/32, strings.Repeat("-3''' ", 512))})
	}
	s := lay(t, l, sheet.Options{})
	if err := inspect(newRuler(t), s); err != nil {
		t.Error(err)
	}
	t.Logf("%d notes on %d pages", 24*512, len(s.Pages))
}

func TestUnprintable(t *testing.T) {
	l := full(t)
	l.Title, l.Words = "B♭ ♯ ♮ é Ł €", "“…” \u200d 😀"
	l.Licks[0].Title = "漢 漢"
	if got := string(sheet.Unprintable(l)); got != "漢😀" {
		t.Errorf("unprintable %q", got)
	}
	text := ""
	for _, p := range lay(t, l, sheet.Options{}).Pages {
		text += p.String()
	}
	if !strings.Contains(text, "Lick 1: □ □") {
		t.Errorf("no boxes for letters that cannot be printed:\n%s", text)
	}
}

// The legend explains what a lesson uses and nothing else.
func TestLegend(t *testing.T) {
	words := []string{"blow, hole 4", "draw, hole 4", "a half step", "a whole step", "a step and a half", "overblow", "overdraw", "together",
		"shuffle:", "12/8:", "straight:", "how long it sounds", "hold to", "a part of a beat", "without a lick", "the pickup", "over the bracket",
		"no new start", "slide the pitch", "scoop:", "warble:", "hands open", "vibrato"}
	everything := full(t)
	last := &everything.Licks[3]
	last.Notes = append(last.Notes[:len(last.Notes)-1], row(t, 7*beat, beat, "-7o")...)
	plain := full(t)
	plain.Feel = lesson.Feel{}
	plain.Licks = []lesson.Lick{{Title: "One", Bar: 1, Bars: 12, Notes: row(t, 0, lesson.Bar, strings.Repeat("-4 ", 12))}}
	for name, c := range map[string]struct {
		l    lesson.Lesson
		want string
	}{
		"everything": {everything, strings.Join([]string{"blow, hole 4", "draw, hole 4", "a half step", "a whole step", "a step and a half", "overblow", "overdraw", "together",
			"shuffle:", "how long it sounds", "hold to", "a part of a beat", "without a lick", "the pickup", "over the bracket",
			"no new start", "slide the pitch", "scoop:", "warble:", "hands open", "vibrato"}, "|")},
		"plain":       {plain, "draw, hole 4|straight:|how long it sounds"},
		"tripletFeel": {tripletFeel(t), "blow, hole 4|draw, hole 4|12/8:|how long it sounds|a part of a beat|without a lick|over the bracket|no new start"},
	} {
		text := ""
		for _, p := range lay(t, c.l, sheet.Options{}).Pages {
			text += " " + strings.ReplaceAll(p.String(), "\n", " ")
		}
		var found []string
		for _, w := range words {
			if strings.Contains(text, w) {
				found = append(found, w)
			}
		}
		if got := strings.Join(found, "|"); got != c.want {
			t.Errorf("%s: legend %s\nwant %s", name, got, c.want)
		}
	}
}

// At arm's length: the tab of a lick is 14 points or more, however dense. Tab is what is bold
// and starts with a sign; the chart, which is smaller, comes before the first lick.
func TestTabIsLarge(t *testing.T) {
	for _, l := range material(t) {
		in := false
		for _, p := range lay(t, l, sheet.Options{}).Pages {
			for _, x := range p.Texts {
				in = in || strings.HasPrefix(x.String, "Lick 1:")
				if in && x.Bold && (strings.HasPrefix(x.String, "+") || strings.HasPrefix(x.String, "−")) && x.Size < 14 {
					t.Fatalf("%.20s: %q in %g points", l.Title, x.String, x.Size)
				}
			}
		}
		if !in {
			t.Fatalf("%.20s: no lick", l.Title)
		}
	}
}
