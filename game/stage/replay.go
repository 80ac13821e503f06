package stage

import (
	"math"
	"reflect"

	"reedwell/audio/synth"
	"reedwell/game/session"
	"reedwell/levels/drill"
	"reedwell/levels/player"
)

// How a take is heard again. All our choice.
const (
	// replayLevel is how loud player and model are brought to, in dBFS: one must not sound
	// better for being louder. It is the band's level.
	replayLevel = bandLevel
	// replayLift is by how much a soft recording is lifted at most, in dB: its noise comes up
	// with it.
	replayLift = 30.0
	// replayPause lies between two stretches, in seconds.
	replayPause = 0.4
	// replayFade is how long a stretch fades in and out, in seconds, so that a cut does not click.
	replayFade = 0.005
)

// rehearse makes the sound of what is heard again.
func (s *Stage) rehearse(rate int) {
	r := &s.run
	own := at(s.kept.samples, s.kept.rate, rate)
	var model []float32
	r.made = []float32{}
	for i, p := range r.spans {
		if i > 0 {
			r.made = append(r.made, make([]float32, frames(replayPause, rate))...)
		}
		if r.room != nil {
			r.made = append(r.made, stretch(s.overBand(own, r, rate), p, rate, 1)...)
			continue
		}
		from := own
		if !p.Own {
			if model == nil {
				model = s.modelled(r.drill, r.touches, rate)
			}
			from = model
		}
		r.made = append(r.made, stretch(from, p, rate, lift(from, rate))...)
	}
}

// modelled is the harp of a drill as the model plays it, kept for the next time.
func (s *Stage) modelled(d drill.Drill, touches []player.Touch, rate int) []float32 {
	if m := &s.model; m.sound == nil || m.rate != rate || !reflect.DeepEqual(m.drill, d) {
		*m = backing{drill: d, rate: rate, sound: synth.Render(rate, d.Seconds, player.Perform(d, touches, player.Faults{}), demoSeed)}
	}
	return s.model.sound
}

// place is where in the drill a run that is heard again is at a frame of the input, in seconds
// of drill time, and whether the player sounds there.
func (r *run) place(now int64, rate int) (seconds float64, own bool) {
	left := int(now - r.zero)
	if left < 0 {
		return math.Inf(-1), r.spans[0].Own
	}
	for i, p := range r.spans {
		n := frames(p.To-p.From, rate)
		if left < n || i == len(r.spans)-1 {
			return p.From + float64(min(left, n))/float64(rate), p.Own
		}
		left -= n
		if left -= frames(replayPause, rate); left < 0 {
			return p.To, p.Own
		}
	}
	return math.Inf(-1), false
}

func frames(seconds float64, rate int) int { return int(math.Round(seconds * float64(rate))) }

// stretch is a piece of a sound by a gain, faded at both ends; what lies outside it is silence.
func stretch(sound []float32, p session.Span, rate int, gain float32) []float32 {
	out := make([]float32, frames(p.To-p.From, rate))
	if from := frames(p.From, rate); from < len(sound) {
		copy(out, sound[from:])
	}
	fade := min(frames(replayFade, rate), len(out)/2)
	for i := range out {
		out[i] *= gain
		if edge := min(i, len(out)-1-i); edge < fade {
			out[i] *= float32(edge) / float32(fade)
		}
	}
	return out
}

// lift is the gain that brings a sound to replayLevel. What sounds decides and not the rests:
// of pieces of 50 ms those within 20 dB of the loudest.
func lift(sound []float32, rate int) float32 {
	n := max(1, rate/20)
	var powers []float64
	loudest := 0.0
	for from := 0; from+n <= len(sound); from += n {
		sum := 0.0
		for _, x := range sound[from : from+n] {
			sum += float64(x) * float64(x)
		}
		powers = append(powers, sum/float64(n))
		loudest = math.Max(loudest, sum/float64(n))
	}
	if loudest == 0 {
		return 1
	}
	sum, k := 0.0, 0.0
	for _, p := range powers {
		if p >= loudest/100 {
			sum += p
			k++
		}
	}
	return float32(math.Pow(10, math.Min(replayLift, replayLevel-10*math.Log10(sum/k))/20))
}

// at is a sound at another rate, which a device that was opened anew may have. Straight lines
// between samples do for listening: a harmonica has little above 8 kHz, and nothing is graded.
func at(sound []float32, from, to int) []float32 {
	if from == to || len(sound) == 0 {
		return sound
	}
	out := make([]float32, int(int64(len(sound)-1)*int64(to)/int64(from))+1)
	for i := range out {
		x := float64(i) * float64(from) / float64(to)
		k := min(int(x), len(sound)-1)
		a, b := sound[k], sound[min(k+1, len(sound)-1)]
		out[i] = a + float32(x-float64(k))*(b-a)
	}
	return out
}
