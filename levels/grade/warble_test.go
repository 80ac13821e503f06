package grade

import (
	"math"
	"math/rand/v2"
	"testing"

	"reedwell/audio/listen"
)

// An even warble whose starts the ear can't tell any better is even; a player's own unevenness beside that is told.
func TestWhatTheEarScattersIsNotThePlayers(t *testing.T) {
	const rate, gap, told = 48000, 0.1, 0.004 // seconds
	sure := listen.Take{Rate: rate}.Gap(listen.Note{Error: told * rate}, listen.Note{})
	none := listen.Take{Rate: rate}.Gap(listen.Note{}, listen.Note{})
	off := math.Sqrt(sure.Variance - none.Variance/2) // of a start that is told to err by as much
	rng := rand.New(rand.NewPCG(3, 1))
	for _, c := range []struct{ told, own, want float64 }{
		{told, 0, 0}, {told, 0.10, 0.10},
		{told / 1000, 0, math.Sqrt2 * off / gap}, // told to be sure, it is the player's
	} {
		const count = 2000
		var inside []alternation
		at := 1.0
		for i := range count {
			start := at + off*rng.NormFloat64()
			inside = append(inside, alternation{sounded{as: listen.Note{Start: int64(start * rate), Error: c.told * rate}}, i%2 == 1})
			at += gap * (1 + c.own*rng.NormFloat64())
		}
		got := evidence{take: listen.Take{Rate: rate}}.alternate(inside, gap)
		if !got.sides || math.Abs(got.evenness-c.want) > 0.02 || math.Abs(got.mean-gap) > 0.001 || math.Abs(got.first-got.second) > 0.01 {
			t.Errorf("told to err by %.1f ms, uneven by %.2f: heard %.3f (gap %.3f, %.3f and %.3f s), want %.3f",
				1000*c.told, c.own, got.evenness, got.mean, got.first, got.second, c.want)
		}
	}
}
