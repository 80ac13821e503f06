package room

import (
	"math"
	"math/rand/v2"
	"testing"

	"reedwell/levels/lesson"
)

// Starts on places of a feel, as players choose them, moved by a bias and a human scatter, are put back on their places,
// and the bias is found. Three quarters of the notes on beats and off-beats, the rest on finer places; each tempo with
// the scatter of a player of an ensemble at its best (Rasch 1979: 30 ms) and of a drummer, whose starts lie within 10
// (Fujii et al. 2011). Beats and off-beats are what counts: a finer place that lies as near as a player scatters can not be told.
func TestPlaces(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	for _, c := range []struct {
		kind           lesson.Kind
		tempo, scatter float64
		least          float64 // share of the notes on beats and off-beats that are put there
	}{
		{lesson.Straight, 70, 0.010, 0.99}, {lesson.Straight, 70, 0.030, 0.97}, {lesson.Straight, 140, 0.010, 0.99}, {lesson.Straight, 140, 0.030, 0.95},
		{lesson.Shuffle, 70, 0.010, 0.99}, {lesson.Shuffle, 70, 0.030, 0.98}, {lesson.Shuffle, 140, 0.010, 0.99}, {lesson.Shuffle, 140, 0.030, 0.95},
		{lesson.Triplet, 55, 0.010, 0.99}, {lesson.Triplet, 55, 0.030, 0.98}, {lesson.Triplet, 90, 0.010, 0.99}, {lesson.Triplet, 90, 0.030, 0.95},
	} {
		feel := lesson.Feel{Kind: c.kind}
		if c.kind == lesson.Shuffle {
			feel.Ratio = lesson.DefaultRatio
		}
		perBeat := 60 / c.tempo
		plain, right := 0, 0
		worst := 0.0
		for range 60 {
			late := 0.12*random.Float64() - 0.06
			var at []lesson.Ticks
			var starts []float64
			for beat := range 40 {
				s := splits(c.kind)
				k := random.IntN(2)
				if random.IntN(4) == 0 {
					k = random.IntN(len(s))
				}
				at = append(at, lesson.Ticks(beat)*lesson.Beat+s[k].at)
				starts = append(starts, feel.Beat(at[beat])+(late+c.scatter*random.NormFloat64())/perBeat)
			}
			found := bias(feel, starts, perBeat)
			worst = math.Max(worst, math.Abs(found-late))
			for i, x := range starts {
				in := at[i] % lesson.Beat
				if in != 0 && in != splits(c.kind)[1].at {
					continue
				}
				plain++
				if written, _, _ := nearest(feel, x-found/perBeat, perBeat); written == at[i] {
					right++
				}
			}
		}
		share := float64(right) / float64(plain)
		t.Logf("%v at %g, scatter %.0f ms: %.3f of the places, bias within %.1f ms", feel, c.tempo, 1000*c.scatter, share, 1000*worst)
		// The median of 40 has a standard error of a fifth of the scatter; four of them, and what misplaced notes move.
		if share < c.least || worst > 0.005+c.scatter {
			t.Errorf("%v at %g, scatter %.0f ms: %.3f of the places, want %g; bias within %.1f ms", feel, c.tempo, 1000*c.scatter, share, c.least, 1000*worst)
		}
	}
}
