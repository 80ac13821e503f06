//go:build !js

package score_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"reedwell/audio/audiotest"
	"reedwell/levels/lesson"
	"reedwell/levels/lesson/lessontest"
	"reedwell/levels/score"
	"reedwell/levels/score/abc"
	"reedwell/levels/score/musicxml"
	"reedwell/levels/score/scoretest"
)

// node is a folder with the programs that testdata/npm/package-lock.json pins, and our
// scripts. npm fetches them once and checks them against the lock file; they stay in the
// user's cache and are no part of the program.
func node(t *testing.T) string {
	t.Helper()
	audiotest.Need(t, "node", "npm")
	cache, err := os.UserCacheDir()
	if err != nil {
		cache = os.TempDir()
	}
	lock, err := os.ReadFile("testdata/npm/package-lock.json")
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(cache, "reedwell", fmt.Sprintf("npm-%.8x", sha256.Sum256(lock)))
	if err := os.MkdirAll(dir, 0o777); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"package.json", "package-lock.json", "conform.cjs", "notes.mjs"} {
		data, err := os.ReadFile(filepath.Join("testdata", "npm", name))
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := os.Stat(filepath.Join(dir, "node_modules", "verovio")); err == nil {
		return dir
	}
	c := exec.Command("npm", "ci", "--ignore-scripts", "--no-audit", "--no-fund")
	c.Dir = dir
	if out, err := c.CombinedOutput(); err != nil {
		text := fmt.Sprintf("the programs of testdata/npm could not be installed; the first time it takes a network: npm ci: %v\n%s", err, out)
		if os.Getenv("CI") != "" || os.Getenv("REEDWELL_ALL") != "" {
			t.Fatal(text)
		}
		t.Skip(text)
	}
	return dir
}

// answers runs a script over files and reads the JSON that it prints.
func answers[V any](t *testing.T, script string, files []string) map[string]V {
	t.Helper()
	c := exec.Command("node", append([]string{script}, files...)...)
	c.Dir = node(t)
	out, err := c.Output()
	if err != nil {
		t.Fatalf("%v: %v\n%s", c, err, out)
	}
	var all map[string]V
	if err := json.Unmarshal(out[bytes.LastIndexByte(bytes.TrimSpace(out), '\n')+1:], &all); err != nil {
		t.Fatalf("%s printed %.200s: %v", script, out, err)
	}
	return all
}

// A file is a lick or a chorus of a lesson, written into a folder of the test.
type file struct {
	name string
	line score.Line
}

// written writes the chorus and the first lick of every lesson.
func written(t *testing.T, end string, write func(*bytes.Buffer, lesson.Lesson, int) error) []file {
	t.Helper()
	dir := t.TempDir()
	var all []file
	for i, l := range append(scoretest.Lessons(t), lessontest.Demos(t)...) {
		for _, lick := range []int{score.Chorus, 0} {
			var b bytes.Buffer
			if err := write(&b, l, lick); err != nil {
				t.Fatal(err)
			}
			line, err := score.Lay(l, lick)
			if err != nil {
				t.Fatal(err)
			}
			f := file{filepath.Join(dir, fmt.Sprintf("%d-%d%s", i, lick+1, end)), line}
			if err := os.WriteFile(f.name, b.Bytes(), 0o666); err != nil {
				t.Fatal(err)
			}
			all = append(all, f)
		}
	}
	return all
}

func names(files []file) []string {
	var all []string
	for _, f := range files {
		all = append(all, f.name)
	}
	return all
}

// MusicXML 4.0 as a published package holds its schema.
func TestMusicXMLConforms(t *testing.T) {
	files := written(t, ".musicxml", func(b *bytes.Buffer, l lesson.Lesson, lick int) error { return musicxml.Write(b, l, lick) })
	for name, fault := range answers[string](t, "conform.cjs", names(files)) {
		if fault != "" {
			t.Errorf("%s: %s", filepath.Base(name), fault)
		}
	}
	// The check is no check unless it finds what is wrong.
	good, err := os.ReadFile(files[0].name)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	var bad []string
	for i, change := range [][2]string{
		{"<voice>1</voice>", "<voice>1</voice><hole-number>4</hole-number>"},
		{"<fifths>4</fifths>", "<fifths>E</fifths>"},
		{"<swing-type>eighth</swing-type>", "<swing-type>third</swing-type>"},
		{"<arrow-direction>down</arrow-direction>", "<arrow-direction>draw</arrow-direction>"},
	} {
		text := strings.Replace(string(good), change[0], change[1], 1)
		if text == string(good) {
			t.Fatalf("%s is not in the file", change[0])
		}
		bad = append(bad, filepath.Join(dir, fmt.Sprintf("%d.musicxml", i)))
		if err := os.WriteFile(bad[i], []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	for name, fault := range answers[string](t, "conform.cjs", bad) {
		if fault == "" {
			t.Errorf("%s: the fault put into the file was not found", filepath.Base(name))
		}
	}
}

// want is the notes of a line as a page has them: place in beats from its beginning, and
// pitch, in order. With signs, a note that is tied together counts as often as it is
// written.
func want(l score.Line, signs bool) [][2]float64 {
	var all [][2]float64
	for _, n := range l.Notes {
		for _, h := range n.Holes {
			for i, v := range score.Values(n.Start, n.End(), l.Lesson.Feel.Kind == lesson.Triplet) {
				if i == 0 || signs {
					all = append(all, [2]float64{(v.Start + l.Pickup).Beats(), float64(l.Lesson.Harp().MIDI(h))})
				}
			}
		}
	}
	return all
}

func same(got, want [][2]float64, near float64) error {
	order := func(a, b [2]float64) int {
		if math.Abs(a[0]-b[0]) > near {
			return int(math.Copysign(1, a[0]-b[0]))
		}
		return int(a[1] - b[1])
	}
	slices.SortFunc(got, order)
	slices.SortFunc(want, order)
	if len(got) != len(want) {
		return fmt.Errorf("%d notes, want %d", len(got), len(want))
	}
	for i := range want {
		if math.Abs(got[i][0]-want[i][0]) > near || got[i][1] != want[i][1] {
			return fmt.Errorf("note %d: pitch %g on beat %.3f, want %g on %.3f", i+1, got[i][1], got[i][0], want[i][1], want[i][0])
		}
	}
	return nil
}

// An engraver that shares no code with us finds the notes where they are.
func TestMusicXMLOpensElsewhere(t *testing.T) {
	files := written(t, ".musicxml", func(b *bytes.Buffer, l lesson.Lesson, lick int) error { return musicxml.Write(b, l, lick) })
	found := answers[[][2]float64](t, "notes.mjs", names(files))
	for _, f := range files {
		got := found[f.name]
		if f.line.Lesson.Feel.Kind == lesson.Triplet {
			for i := range got {
				got[i][0] /= 1.5 // quarters to beats
			}
		}
		// It gives places rounded to thousandths of a quarter.
		if err := same(got, want(f.line, true), 0.002); err != nil {
			t.Errorf("%s, %s: %v", f.line.Lesson.Title, filepath.Base(f.name), err)
		}
	}
}

// abc2midi plays the notes where they are, and abcm2ps sets the page without complaint.
func TestABCOpensElsewhere(t *testing.T) {
	audiotest.Need(t, "abc2midi", "mftext", "abcm2ps")
	files := written(t, ".abc", func(b *bytes.Buffer, l lesson.Lesson, lick int) error { return abc.Write(b, l, lick) })
	for _, f := range files {
		what := f.line.Lesson.Title + ", " + filepath.Base(f.name)
		out, err := exec.Command("abc2midi", f.name, "-o", f.name+".mid").CombinedOutput()
		if err != nil || bytes.Contains(out, []byte("Error")) {
			t.Errorf("%s: abc2midi: %v\n%s", what, err, out)
			continue
		}
		got, err := struck(f.name + ".mid")
		if err != nil {
			t.Errorf("%s: %v", what, err)
			continue
		}
		per := 1.0
		if f.line.Lesson.Feel.Kind == lesson.Triplet {
			per = 1.5
		}
		for i := range got {
			got[i][0] /= per
		}
		// abc2midi counts 480 ticks a quarter, and starts a rest bar earlier or not as it likes.
		w := want(f.line, false)
		if len(got) > 0 && len(w) > 0 {
			shift := w[0][0] - got[0][0]
			for i := range got {
				got[i][0] += shift
			}
		}
		// It plays the notes of a chord one after the other, 10 ticks of 480 apart.
		if err := same(got, w, 0.07); err != nil {
			t.Errorf("%s: abc2midi: %v", what, err)
		}
		out, _ = exec.Command("abcm2ps", f.name, "-O", f.name+".ps").CombinedOutput()
		if bytes.Contains(out, []byte("error")) {
			t.Errorf("%s: abcm2ps:\n%s", what, out)
		}
	}
}

// The holes chosen by our reader do not matter here: pitches and places do.
func struck(name string) ([][2]float64, error) {
	out, err := exec.Command("mftext", name).Output()
	if err != nil {
		return nil, err
	}
	var all [][2]float64
	quarter := 480.0
	for _, row := range strings.Split(string(out), "\n") {
		fmt.Sscanf(row, "Header format=%d ntrks=%d division=%g", new(int), new(int), &quarter)
		var at, ch, pitch, vel float64
		if n, _ := fmt.Sscanf(row, "Time=%g Note on, chan=%g pitch=%g vol=%g", &at, &ch, &pitch, &vel); n == 4 && ch == 1 {
			all = append(all, [2]float64{at / quarter, pitch})
		}
	}
	return all, nil
}
