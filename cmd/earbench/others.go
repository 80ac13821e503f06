//go:build !js

package main

import (
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"

	"reedwell/audio/audiotest"
	"reedwell/audio/audiotest/corpus"
	"reedwell/audio/listen"
	"reedwell/audio/synth"
	"reedwell/audio/wav"
)

// spoken is what the speech synthesiser says: sentences of our own.
const spoken = "The train leaves at nine. Are you coming along, or would you rather stay here and wait for the rain to stop? " +
	"One, two, three, four. Well, I do not know where we left the blue umbrella. Please play that line once more, a little slower."

// An other is a sound that is not a harmonica.
type other struct {
	name    string
	samples []float32
	pitched bool // an instrument whose pitch is right to hear
}

// notHarmonicas prints how much of what is no harmonica is taken for one, and returns how many frames, and how many of the newest
// windows, of what is not even an instrument name a pitch, by confidence.
func notHarmonicas(out io.Writer) (bins, latest [10]int, err error) {
	list, err := others(out)
	if err != nil {
		return bins, latest, err
	}
	fmt.Fprint(out, "\n## What is not a harmonica\n\nThe ear set for a C harp. Frames with confidence, those of the newest window too, and notes told.\n\n| sound | seconds | frames with confidence, % | newest windows, % | notes told |\n| --- | --- | --- | --- | --- |\n")
	for _, o := range list {
		h, take, err := ear(o.samples, corpus.Spans(60, false))
		if err != nil {
			return bins, latest, err
		}
		sure, sooner := 0, 0
		for _, p := range h.latest {
			if p.hz > 0 && !o.pitched {
				latest[bin(p.confidence)]++
			}
			if p.confidence >= listen.MinConfidence {
				sooner++
			}
		}
		for _, f := range take.Frames {
			if f.F0 > 0 && !o.pitched {
				bins[bin(f.Confidence)]++
			}
			if f.Confidence >= listen.MinConfidence {
				sure++
			}
		}
		fmt.Fprintf(out, "| %s | %.0f | %.2f | %.2f | %d |\n", o.name, float64(len(o.samples))/corpus.Rate,
			share(sure, len(take.Frames)), share(sooner, len(h.latest)), len(take.Notes))
	}
	return bins, latest, nil
}

func others(out io.Writer) ([]other, error) {
	const rate = corpus.Rate
	list := []other{
		{name: "hum, 50 Hz", samples: audiotest.Hum(rate, 5, 50, -25)},
		{name: "hum, 60 Hz, in noise", samples: audiotest.Sum(audiotest.Hum(rate, 5, 60, -30), audiotest.Pink(rate, 5, -38, 4))},
		{name: "fan", samples: audiotest.Fan(rate, 8, -30, 3)},
		{name: "white noise", samples: audiotest.White(rate, 8, -30, 3)},
		{name: "pink noise", samples: audiotest.Pink(rate, 8, -30, 3)},
		{name: "claps", samples: claps(rate)},
		{name: "silence with clicks", samples: clicks(rate)},
		{name: "band: drums", samples: band(rate, true, false, false)},
		{name: "band: bass", samples: band(rate, false, true, false)},
		{name: "band: comping", samples: band(rate, false, false, true)},
		{name: "band: all", samples: band(rate, true, true, true)},
		{name: "formant noise", samples: audiotest.Babble(rate, 30, -20, 7)},
	}
	if _, err := exec.LookPath("espeak-ng"); err != nil {
		fmt.Fprintln(out, "\nespeak-ng is not installed: no speech.")
	} else {
		for _, v := range []string{"en-us", "en-us+f2", "en-us+f4", "en-gb+m3", "de+f3"} {
			x, err := speech(v)
			if err != nil {
				return nil, err
			}
			list = append(list, other{name: "speech, espeak-ng " + v, samples: x})
		}
	}
	for _, font := range audiotest.Fonts() {
		for _, p := range []struct {
			name    string
			program int
		}{{"violin", 41}, {"guitar", 26}, {"piano", 1}, {"flute", 74}, {"oboe", 69}, {"accordion", 22}, {"reed organ", 21}} {
			var notes []audiotest.Played
			rng := rand.New(rand.NewPCG(9, uint64(p.program)))
			at := 0.2
			for range 20 {
				d := 0.2 + 0.4*rng.Float64()
				notes = append(notes, audiotest.Played{Start: at, End: at + d, Key: 55 + rng.IntN(30), Program: p.program})
				at += d + 0.05
			}
			x, err := audiotest.Render(font, notes)
			if err != nil {
				return nil, err
			}
			list = append(list, other{p.name + ", " + font.Name, x, true})
		}
	}
	return list, nil
}

// speech is spoken with a voice of espeak-ng.
func speech(voice string) ([]float32, error) {
	dir, err := os.MkdirTemp("", "earbench")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	file := filepath.Join(dir, "speech.wav")
	cmd := exec.Command("espeak-ng", "-v", voice, "-w", file, spoken)
	if text, err := cmd.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("%v: %w\n%s", cmd, err, text)
	}
	data, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer data.Close()
	s, err := wav.Read(data)
	if err != nil {
		return nil, fmt.Errorf("%v: %w", cmd, err)
	}
	return resample(s.Samples, s.Rate), nil
}

// resample brings x to the corpus's rate, band-limited by a windowed sinc of 32 samples.
func resample(x []float32, rate int) []float32 {
	const half = 16
	out := make([]float32, len(x)*corpus.Rate/rate)
	for i := range out {
		t := float64(i) * float64(rate) / corpus.Rate
		c := int(t)
		sum := 0.0
		for j := max(0, c-half+1); j <= min(len(x)-1, c+half); j++ {
			d := t - float64(j)
			w := 1.0
			if d != 0 {
				w = math.Sin(math.Pi*d) / (math.Pi * d) * (0.5 + 0.5*math.Cos(math.Pi*d/half))
			}
			sum += w * float64(x[j])
		}
		out[i] = float32(sum)
	}
	return out
}

// claps are bursts of noise through a hand's resonance near 1 kHz, as a room would hear them.
func claps(rate int) []float32 {
	x := make([]float32, 6*rate)
	rng := rand.New(rand.NewPCG(11, 1))
	for at := rate / 3; at < len(x)-rate/2; at += rate/4 + rng.IntN(rate/4) {
		var y1, y2 float64
		r, c := math.Exp(-math.Pi*300/float64(rate)), 2*math.Pi*(900+300*rng.Float64())/float64(rate)
		for i := range rate / 10 {
			e := math.Exp(-float64(i) / (0.012 * float64(rate)))
			y := rng.NormFloat64()*e + 2*r*math.Cos(c)*y1 - r*r*y2
			y1, y2 = y, y1
			x[at+i] += float32(0.01 * y)
		}
	}
	return audiotest.Room(rate, x, 0.4, -10, 3)
}

func clicks(rate int) []float32 {
	x := make([]float32, 5*rate)
	for i := rate / 7; i < len(x); i += rate / 7 {
		for j := range min(rate/500, len(x)-i) {
			x[i+j] = float32(0.5 * math.Exp(-float64(j)/float64(rate)*2000))
		}
	}
	return x
}

// band plays eight bars of a slow shuffle with the project's own kit: what the player's
// loudspeaker may send into the microphone.
func band(rate int, drums, bass, comp bool) []float32 {
	const beat = 0.6
	x := make([]float32, int(32*beat*float64(rate))+rate)
	put := func(s []float32, at, gain float64) { synth.Mix(x, s, int(at*float64(rate)), gain) }
	roots := []float64{55, 55, 73.4, 73.4, 55, 82.4, 73.4, 55}
	for b := range 32 {
		t := float64(b) * beat
		root := roots[b/4]
		if drums {
			put(synth.Brush(rate, 0.2, uint64(b)), t, -14)
			put(synth.Brush(rate, 0.1, uint64(b+99)), t+beat*2/3, -18)
			put(synth.Click(rate, b%4 == 0), t, -12)
		}
		if bass {
			put(synth.Bass(rate, root*[]float64{1, 1.26, 1.5, 1.26}[b%4], beat*0.9), t, -10)
		}
		if comp && b%2 == 1 {
			for _, third := range []float64{2, 2.52, 3} {
				put(synth.Comp(rate, root*third, beat*0.8), t, -16)
			}
		}
	}
	return x
}
