//go:build browser

package main

import (
	"math"
	"testing"

	"reedwell/audio/audiotest"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// sungIn sings the note of a bend into the page's microphone, an octave under it, and comes to the bend by ear. The file begins
// when the browser opens its device, so a try may begin while it sounds: then that is said, and the next try goes on.
func sungIn(t *testing.T, address string) {
	note := harp.Note{Hole: 3, Breath: harp.Draw, Bend: 2}
	d, err := drill.Build(drill.Spec{ID: drill.SungID(note)})
	if err != nil {
		t.Fatal(err)
	}
	const rate, pause, length = 48000, 2.4, 2.2
	hz := d.Targets[0].Hz / 2 * math.Exp2(15.0/1200)
	voice := audiotest.Glide(rate, length, func(t float64) float64 { return hz * math.Exp2(30*math.Sin(2*math.Pi*5.5*t)/1200) },
		func(float64) float64 { return -20 }, audiotest.Reed())
	var file []float32
	for range 40 {
		file = append(append(file, make([]float32, int(pause*rate))...), voice...)
	}
	b := browse(t, address, fakeMicrophone(t, rate, file))
	b.firstRun()
	b.family("aim")
	b.press("level-aim-1")
	b.press("sing")
	b.until("its screen", `document.getElementById("item-title")?.textContent === "Sing the tone"`)
	b.reach("sing")
	b.axe(axeSource(t), "sing")
	b.shot("sing")
	for range 8 {
		b.press("sing")
		b.until("listening", `document.getElementById("item-stop") !== null`)
		if said := ask[string](b, `document.getElementById("status").textContent`); said != "" {
			b.Errorf("%q is said while it listens", said)
		}
		b.until("over", `document.getElementById("item-stop") === null`)
		if b.has("bend-1") {
			break
		}
		t.Log(b.words("problem"))
	}
	if got := b.words("heard"); got != "You sang A, 15 cents sharp." && got != "You sang A, 14 cents sharp." && got != "You sang A, 16 cents sharp." {
		b.Errorf("the page says %q", got)
	}
	b.reach("sing-heard")
	b.axe(axeSource(t), "sing-heard")
	b.shot("heard")
	b.press("bend-1")
	b.until("the drill", `document.getElementById("item-title")?.textContent === "3 draw: the note you sang"`)
	b.clean()
}
