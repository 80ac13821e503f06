package midi

import (
	"bytes"
	"fmt"
	"testing"

	"reedwell/levels/lesson"
	"reedwell/levels/score"
	"reedwell/levels/score/scoretest"
)

func written(t testing.TB, l lesson.Lesson, lick int, o Options) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, l, lick, o); err != nil {
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

// Lesson, file, lesson: the same, each lick and the chorus, with the tuning and without.
func TestRoundTrip(t *testing.T) {
	for _, l := range scoretest.Lessons(t) {
		for lick := score.Chorus; lick < len(l.Licks); lick++ {
			for _, tuning := range []bool{false, true} {
				want := l
				if lick != score.Chorus {
					want = scoretest.Only(l, lick)
				}
				what := fmt.Sprintf("%s, lick %d, tuning %v", l.Title, lick+1, tuning)
				got, remarks, err := read(t, written(t, l, lick, Options{Tuning: tuning})).Lesson(score.Choice{})
				if err != nil || len(remarks) > 0 {
					t.Errorf("%s: %v, %v", what, err, remarks)
					continue
				}
				scoretest.Same(t, what, got, want)
			}
		}
	}
}
