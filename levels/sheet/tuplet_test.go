package sheet

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"reedwell/levels/lesson"
)

// Bars written as lengths in parts of a beat, and the brackets that printed music puts over
// them (common practice).
func TestTuplets(t *testing.T) {
	for _, c := range []struct {
		feel    lesson.Kind
		lengths string // ticks
		want    string // from-to:number, in ticks
	}{
		{lesson.Straight, "960 480 480 240 240 240 240 720 240", ""},
		{lesson.Straight, "320 320 320 960", "0-960:3"},
		{lesson.Straight, "640 320 960", "0-960:3"},
		{lesson.Straight, "640 640 640", "0-1920:3"},
		{lesson.Straight, "1280 1280 1280", "0-3840:3"},
		{lesson.Straight, "480 160 160 160", "480-960:3"},
		{lesson.Straight, "160 160 160 160 160 160", "0-480:3 480-960:3"},
		{lesson.Straight, "320 160 160 320", "0-480:3 480-960:3"},
		{lesson.Straight, "192 192 192 192 192", "0-960:5"},
		{lesson.Straight, "320 320 160 160", "0-960:6"},
		{lesson.Straight, "2880 640 320 960 640 640 640", "2880-3840:3 4800-6720:3"},
		{lesson.Straight, "960 1280 640", "960-2880:3"},
		{lesson.Shuffle, "320 320 320 480 480", "0-960:3"},
		{lesson.Triplet, "320 320 320 640 320 160 160 640 960", ""},
		{lesson.Triplet, "480 480 960", "0-960:2"},
		{lesson.Triplet, "240 240 240 240", "0-960:4"},
	} {
		cuts := []lesson.Ticks{0}
		for _, f := range strings.Fields(c.lengths) {
			var n lesson.Ticks
			if _, err := fmt.Sscan(f, &n); err != nil {
				t.Fatal(err)
			}
			cuts = append(cuts, cuts[len(cuts)-1]+n)
		}
		var got []string
		for _, b := range tuplets(cuts, c.feel) {
			got = append(got, fmt.Sprintf("%d-%d:%s", b.from, b.to, b.label))
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%v %s: %s, want %s", lesson.Feel{Kind: c.feel, Ratio: 2}, c.lengths, s, c.want)
		}
	}
}

func TestWrap(t *testing.T) {
	f := newFonts()
	wide := f.width("wide", 10, false)
	for _, c := range []struct {
		text string
		want []string
	}{
		{"", nil},
		{" \t ", nil},
		{"wide  wide", []string{"wide", "wide"}},
		{"widewide", []string{"wide", "wide"}},
		{"w i", []string{"w i"}},
		{"wi widede", []string{"wi", "wide", "de"}},
	} {
		if got := f.wrap(c.text, wide*1.01, 10, false); !slices.Equal(got, c.want) {
			t.Errorf("%q: %q, want %q", c.text, got, c.want)
		}
	}
	if got := f.shorten("wide wide wide", f.width("wide wide", 10, false), 10); !strings.HasPrefix(got, "wide") || !strings.HasSuffix(got, "…") || f.width(got, 10, false) > f.width("wide wide", 10, false) {
		t.Errorf("shortened to %q", got)
	}
}

func TestMusical(t *testing.T) {
	for name, want := range map[string]string{"Bb": "B♭", "F#m7": "F♯m7", "low Ab": "low A♭", "high G": "high G", "Bbm": "B♭m", "low B": "low B", "E7": "E7"} {
		if got := musical(name); got != want {
			t.Errorf("%s: %s, want %s", name, got, want)
		}
	}
}
