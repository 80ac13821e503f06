package main

import (
	"bytes"
	"io"
	"math"
	"path"
	"regexp"
	"strings"
	"testing"

	"github.com/mewkiz/flac"

	"reedwell/levels/lesson"
)

const demoLesson = "../../testdata/lessons/kettle.txt"

// published is the site of a lesson with a program made up.
func published(t *testing.T, file string) (lesson.Lesson, site) {
	t.Helper()
	l, err := readLesson(file, io.Discard)
	if err != nil {
		t.Fatal(err)
	}
	program, _, _ := gathered(t)
	s, err := lessonSite(l, "../../web/kit", program, "https://example.org/blues/", sounding{rate: 16000, slow: 0.6}, io.Discard)
	if err != nil {
		t.Fatal(err)
	}
	return l, s
}

// All that the page names is in the folder, and it works from a sub-path: no address is
// absolute.
func TestPublishedPage(t *testing.T) {
	for _, demo := range []string{"kettle", "shoes", "landing"} {
		t.Run(demo, func(t *testing.T) {
			l, s := published(t, "../../testdata/lessons/"+demo+".txt")
			complete(t, l, s)
		})
	}
}

func complete(t *testing.T, l lesson.Lesson, s site) {
	t.Helper()
	page := string(s["index.html"].plain)
	named := regexp.MustCompile(`(?:src|href)="([^"]*)"`).FindAllStringSubmatch(page, -1)
	if len(named) < 6*5+10 {
		t.Errorf("the page names only %d files", len(named))
	}
	for _, m := range named {
		file, _, _ := strings.Cut(m[1], "#")
		if strings.HasPrefix(file, "/") || strings.Contains(file, ":") || path.Clean(file) != strings.TrimSuffix(file, "/") {
			t.Errorf("%q is no plain relative address", m[1])
		}
		if strings.HasSuffix(file, "/") {
			file += "index.html"
		}
		if _, ok := s[file]; !ok {
			t.Errorf("the page names %q, which is not in the folder", file)
		}
	}
	for i, k := range l.Licks {
		for _, words := range []string{k.Title, k.Words, "lick=" + string(rune('1'+i))} {
			if !strings.Contains(page, words) {
				t.Errorf("lick %d: the page lacks %q", i+1, words)
			}
		}
	}
	for _, name := range []string{"index.html", "sheet-a4.pdf", "clips/lick-1.flac", "lesson.txt", "app/index.html", "app/page.js", "app/lesson.txt"} {
		if !strings.Contains(string(s[worker].plain), `"`+name+`"`) {
			t.Errorf("the service worker does not keep %s", name)
		}
	}
	again, problems := lesson.Parse(string(s["app/lesson.txt"].plain))
	if lesson.Failed(problems) || lesson.Format(again) != lesson.Format(l) {
		t.Errorf("the lesson beside the program is not the one that was published: %v", problems)
	}
}

// A clip read back by the library's decoder is the sound that was made, to half a step of 16
// bits.
func TestFLAC(t *testing.T) {
	samples := make([]float32, 10001)
	for i := range samples {
		samples[i] = float32(0.7*math.Sin(float64(i)*0.05) + 0.2*math.Sin(float64(i)*0.31))
	}
	samples[5] = 1.5 // beyond full scale: held there
	data, err := flacBytes(32000, samples)
	if err != nil {
		t.Fatal(err)
	}
	stream, err := flac.New(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	if stream.Info.SampleRate != 32000 || stream.Info.NSamples != 10001 {
		t.Errorf("rate %d, %d samples", stream.Info.SampleRate, stream.Info.NSamples)
	}
	var got []int32
	for {
		f, err := stream.ParseNext()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, f.Subframes[0].Samples...)
	}
	if len(got) != len(samples) {
		t.Fatalf("%d samples, want %d", len(got), len(samples))
	}
	for i, x := range samples {
		want := math.Min(32767, 32768*float64(x))
		if math.Abs(float64(got[i])-want) > 0.5 {
			t.Fatalf("sample %d: %d, want %g", i, got[i], want)
		}
	}
}

func TestTabLines(t *testing.T) {
	l, err := readLesson(demoLesson, io.Discard)
	if err != nil {
		t.Fatal(err)
	}
	for i := range l.Licks {
		// The tab shown, put into a lesson of one lick, is that lick's notes again.
		one, err := lesson.Only(l, i)
		if err != nil {
			t.Fatal(err)
		}
		text := lesson.Format(one)
		head, _, _ := strings.Cut(text, "\nlick: ")
		k := l.Licks[i]
		again, problems := lesson.Parse(head + "\nlick: x\nbars: " + strings.NewReplacer("bars ", "", "bar ", "", " to ", "-").Replace(bars(k)) + "\n" + tabLines(l, i) + "\n")
		if lesson.Failed(problems) {
			t.Errorf("lick %d: %v", i+1, problems)
			continue
		}
		if len(again.Licks[0].Notes) != len(k.Notes) {
			t.Errorf("lick %d: %d notes shown of %d", i+1, len(again.Licks[0].Notes), len(k.Notes))
		}
	}
}
