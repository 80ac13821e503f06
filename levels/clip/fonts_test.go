//go:build !js

package clip

import (
	"math"
	"testing"

	"reedwell/audio/audiotest"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/lesson/lessontest"
	"reedwell/levels/player"
)

// sampled plays a drill with its touches on a sound font's harmonica: reeds that nobody here
// made. Bends, scoops and vibrato are pitch wheel on the natural reed's sample; the hand is a
// filter over the sound.
func sampled(t testing.TB, font audiotest.Font, d drill.Drill, touches []player.Touch) []float32 {
	t.Helper()
	var notes []audiotest.Played
	reed := func(n harp.Note) int {
		n.Bend = 0
		return d.Harp.MIDI(n)
	}
	for i := 0; i < len(d.Targets); {
		first, touch := d.Targets[i], touches[i]
		p := audiotest.Played{Start: first.Start, End: first.End, Key: reed(first.Note)}
		at := float64(d.Harp.MIDI(first.Note))
		if touch.Scoop {
			for s := 0.0; s <= 0.12; s += 0.02 {
				u := 1 - s/0.12
				p.Bend = append(p.Bend, audiotest.Point{At: p.Start + s, Pitch: at - u*u})
			}
		}
		p.Bend = append(p.Bend, audiotest.Point{At: p.Start + 0.121, Pitch: at})
		if !touch.Scoop {
			p.Bend = []audiotest.Point{{At: p.Start, Pitch: at}}
		}
		if touch.Vibrato {
			for s := 0.25; s < first.End-first.Start; s += 0.02 {
				p.Bend = append(p.Bend, audiotest.Point{At: p.Start + s, Pitch: at + 0.08*math.Sin(2*math.Pi*5.5*(s-0.25))})
			}
		}
		next := i + 1
		for ; next < len(d.Targets) && d.Targets[next].Join == drill.Glide; next++ {
			target := d.Targets[next]
			p.Bend = append(p.Bend, audiotest.Point{At: target.Start, Pitch: at})
			at = float64(d.Harp.MIDI(target.Note))
			p.Bend = append(p.Bend, audiotest.Point{At: target.Start + math.Min(0.12, 0.8*(target.End-target.Start)), Pitch: at})
			p.End = target.End
		}
		if next < len(d.Targets) {
			last, after := d.Targets[next-1].Note, d.Targets[next]
			switch {
			case after.Join != drill.Tongued:
			case after.Note.Hole == last.Hole && after.Note.Breath == last.Breath:
				p.End -= 0.050 // a tongued repeat: a short gap, and the sample's own release
			default:
				p.End -= 0.030 // the tongue closes one hole before it opens another, and the breath turns
			}
		}
		if len(first.Also) == 0 {
			notes = append(notes, p)
		} else {
			for _, hole := range append([]harp.Note{first.Note}, first.Also...) {
				notes = append(notes, audiotest.Played{Start: p.Start, End: p.End, Key: d.Harp.MIDI(hole)})
			}
		}
		i = next
	}
	x := append([]float32(nil), audiotest.Play(t, font, notes)...)
	for i, touch := range touches {
		if touch.Wah > 0 {
			hand(x, d.Targets[i], touch.Wah)
		}
	}
	return x
}

// hand closes and opens a one-pole low-pass of 600 Hz over a target's time, rate times a second.
func hand(x []float32, t drill.Target, rate float64) {
	low := 0.0
	a := 1 - math.Exp(-2*math.Pi*600/audiotest.Rate)
	for i := int(t.Start * audiotest.Rate); i < min(len(x), int(t.End*audiotest.Rate)); i++ {
		closed := 0.85 * (0.5 - 0.5*math.Cos(2*math.Pi*rate*(float64(i)/audiotest.Rate-t.Start)))
		low += a * (float64(x[i]) - low)
		x[i] = float32((1-closed)*float64(x[i]) + closed*low)
	}
}

// owned is a drill of l on a harp whose reeds are the font's: their own tuning, up to 36 cents
// off, is measured first and is the player's profile.
func owned(t testing.TB, font audiotest.Font, l lesson.Lesson, i int) drill.Drill {
	t.Helper()
	plain := lickDrill(t, l, i, Options{})
	var own harp.Profile
	for _, target := range plain.Targets {
		for _, reed := range append([]harp.Note{target.Note}, target.Also...) {
			reed.Bend = 0
			cents := audiotest.Offset(t, font, plain.Harp.MIDI(reed))
			if reed.Breath == harp.Draw {
				own.Draw[reed.Hole-1] = cents
			} else {
				own.Blow[reed.Hole-1] = cents
			}
		}
	}
	return lickDrill(t, l, i, Options{Play: lesson.Play{Profile: own}})
}

// The licks of the demo lessons, and every mark, through the sampled harmonicas of two sound
// fonts get full marks too.
func TestSampledLicksGetFullMarks(t *testing.T) {
	for _, font := range audiotest.Fonts() {
		for _, l := range append(lessontest.Demos(t), marks(t)) {
			for i, k := range l.Licks {
				d := owned(t, font, l, i)
				r := graded(t, d, sampled(t, font, d, LickTouches(l, d, i)))
				full(t, font.Name+", "+l.Title+", "+k.Title, d, r)
			}
		}
	}
}
