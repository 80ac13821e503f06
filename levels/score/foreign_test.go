package score_test

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/lesson/lessontest"
	"reedwell/levels/score"
	"reedwell/levels/score/abc"
	"reedwell/levels/score/midi"
	"reedwell/levels/score/musicxml"
)

// load reads a file by its name's end.
func load(t testing.TB, name string) score.Piece {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata", "foreign", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	read := map[string]func(io.Reader) (score.Piece, error){
		".mid": midi.Read, ".musicxml": musicxml.Read, ".mxl": musicxml.Read, ".abc": abc.Read}[filepath.Ext(name)]
	p, err := read(f)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return p
}

// told is notes as "START+LENGTH TAB", in ticks, over all licks from bar 1 on.
func told(l lesson.Lesson) string {
	var all []string
	for _, k := range l.Licks {
		for _, n := range k.Notes { // a chord's holes stand behind one another
			tab := score.Tab(n.Holes)
			switch n.Join {
			case lesson.Slurred:
				tab = "_" + tab
			case lesson.Glide:
				tab = "/" + tab
			}
			all = append(all, fmt.Sprintf("%d+%d %s", n.Start+lesson.Ticks(k.Bar-1)*lesson.Bar, n.Length, tab))
		}
	}
	return strings.Join(all, ", ")
}

// The melody of testdata/foreign/gatepost.ly, worked out by hand from its notes: places and
// lengths in ticks, and the holes of a C harp, which has all of it in second position.
const gatepost = "-960+480 -1, -480+480 -2'', 0+960 -2, 960+320 -3', 1280+320 -3, 1600+320 -2, 1920+1440 -2'', 3360+480 -1, " +
	"3840+1920 -2, 6720+480 -1, 7200+480 -2'', " +
	"7680+480 -2, 8160+480 -3', 8640+480 +4, 9120+480 -4', 9600+480 +4, 10080+480 -3', 10560+480 -2, 11040+480 -2'', 11520+2880 -2"

// Files that other general-purpose programs made; testdata/README.md says which and how.
func TestForeignFiles(t *testing.T) {
	const swung = "0+480 -2, 480+480 -3', 960+480 +4, 1440+480 -2, 1920+960 -2', 2880+480 -1, 3360+480 -2', " +
		"3840+480 -2, 4320+480 -3', 4800+480 +4, 5280+480 -4', 5760+480 +4, 6240+480 -3', 6720+960 -2, " +
		"7680+320 -2, 8000+320 -2, 8320+320 -2, 8640+480 -2', 9120+480 -1, 9600+960 -2, 11520+480 -1, 12000+480 +2, 12480+480 -2', 12960+480 -1, 13440+1920 -2"
	dotted := "0+720 -2, 720+240 -3', 960+720 +4, 1680+240 -2, 1920+960 -2', 2880+720 -1, 3600+240 -2', " +
		"3840+720 -2, 4560+240 -3', 4800+720 +4, 5520+240 -4', 5760+720 +4, 6480+240 -3', 6720+960 -2, " +
		"7680+320 -2, 8000+320 -2, 8320+320 -2, 8640+720 -2', 9360+240 -1, 9600+960 -2, 11520+720 -1, 12240+240 +2, 12480+720 -2', 13200+240 -1, 13440+1920 -2"
	for _, c := range []struct {
		file, notes, title string
		tempo              float64
		feel               lesson.Feel
		form               string
	}{
		{"lilypond.mid", gatepost, "Gatepost", 96, lesson.Feel{}, "slow change"},
		{"musescore.musicxml", gatepost, "A tune", 90, lesson.Feel{}, "slow change"},
		{"musescore.mxl", gatepost, "A tune", 90, lesson.Feel{}, "slow change"},
		{"midi2abc.abc", gatepost, "from melody.midi", 96, lesson.Feel{}, "slow change"},
		{"swing.mid", swung, "Gatepost, swung", 104, lesson.Feel{Kind: lesson.Shuffle, Ratio: 2}, "slow change"},
		{"swing.abc", dotted, "Gatepost, swung", 104, lesson.Feel{}, "own"},
	} {
		l, _, err := load(t, c.file).Lesson(score.Choice{})
		if err != nil {
			t.Errorf("%s: %v", c.file, err)
			continue
		}
		if l.Key.String() != "C" || l.Position != 2 || l.Tempo != c.tempo || l.Feel != c.feel || l.Form.Name != c.form || l.Title != c.title {
			t.Errorf("%s: %q, %v harp, %v, tempo %g, %v, %s", c.file, l.Title, l.Key, l.Position, l.Tempo, l.Feel, l.Form.Name)
		}
		if got := told(l); got != c.notes {
			t.Errorf("%s:\n got %s\nwant %s", c.file, got, c.notes)
		}
		if problems := lesson.Check(l); lesson.Failed(problems) {
			t.Errorf("%s: the lesson has %v", c.file, problems)
		}
		text := lesson.Format(l)
		if again, problems := lesson.Parse(text); lesson.Failed(problems) || told(again) != told(l) {
			t.Errorf("%s: written as a lesson's text it does not come back: %v\n%s", c.file, problems, text)
		}
	}
}

// A lesson of ours, opened and saved by another program, keeps its holes: the tab under the
// notes came along.
func TestResaved(t *testing.T) {
	want := lessontest.Demo(t, "shoes")
	key, _ := harp.ParseKey("Bb")
	got, remarks, err := load(t, "resaved.musicxml").Lesson(score.Choice{Key: &key})
	if err != nil {
		t.Fatal(err)
	}
	if len(remarks) > 0 {
		t.Error(remarks)
	}
	plain := func(s string) string { return strings.NewReplacer("_", "", "/", "").Replace(s) }
	if plain(told(got)) != plain(told(want)) {
		t.Errorf("\n got %s\nwant %s", plain(told(got)), plain(told(want)))
	}
	if got.Form.Name != want.Form.Name || got.Tempo != want.Tempo || got.Position != want.Position || got.Feel.Kind != want.Feel.Kind || len(got.Licks) != len(want.Licks) {
		t.Errorf("%s, tempo %g, %v, %v, %d licks", got.Form.Name, got.Tempo, got.Position, got.Feel, len(got.Licks))
	}
}
