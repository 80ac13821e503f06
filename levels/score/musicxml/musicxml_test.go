package musicxml

import (
	"bytes"
	"fmt"
	"testing"

	"reedwell/levels/lesson"
	"reedwell/levels/score"
	"reedwell/levels/score/scoretest"
)

func written(t testing.TB, l lesson.Lesson, lick int) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, l, lick); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func read(t testing.TB, data []byte) score.Piece {
	t.Helper()
	p, err := Read(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Lesson, file, lesson: the same, each lick and the chorus.
func TestRoundTrip(t *testing.T) {
	for _, l := range scoretest.Lessons(t) {
		for lick := score.Chorus; lick < len(l.Licks); lick++ {
			want := l
			if lick != score.Chorus {
				want = scoretest.Only(l, lick)
			}
			what := fmt.Sprintf("%s, lick %d", l.Title, lick+1)
			got, remarks, err := read(t, written(t, l, lick)).Lesson(score.Choice{})
			if err != nil || len(remarks) > 0 {
				t.Errorf("%s: %v, %v", what, err, remarks)
				continue
			}
			scoretest.Same(t, what, got, want)
		}
	}
}

// A note that was changed in another program counts for what it is now; the others keep
// their marks.
func TestEdited(t *testing.T) {
	l := scoretest.Lessons(t)[3]
	data := bytes.Replace(written(t, l, 0), []byte("<step>F</step>"), []byte("<step>E</step>"), 1) // 5 draw
	got, _, err := read(t, data).Lesson(score.Choice{})
	if err != nil {
		t.Fatal(err)
	}
	var tab []string
	for _, n := range got.Licks[0].Notes {
		tab = append(tab, score.Tab(n.Holes))
	}
	if fmt.Sprint(tab) != "[-4 +5 +6 -6 -8]" {
		t.Errorf("holes %v, want 5 blow for 5 draw and the rest as it was", tab)
	}
}
