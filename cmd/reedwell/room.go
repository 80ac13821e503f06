package main

import (
	"flag"
	"fmt"
	"io"
	"math"
	"strings"

	"reedwell/audio/listen"
	"reedwell/audio/spill"
	"reedwell/levels/band"
	"reedwell/levels/harp"
	free "reedwell/levels/room"
)

// lookAtRoom prints how free playing over a form sat with its chords and beats. It gives no mark.
func lookAtRoom(args []string, out, errs io.Writer) (int, error) {
	flags := flag.NewFlagSet("room", flag.ContinueOnError)
	flags.SetOutput(errs)
	var s free.Setting
	flags.Func("harp", "`key` of the harp: C, Bb, low D ...; C without it", func(text string) (err error) {
		s.Harp.Key, err = harp.ParseKey(text)
		return err
	})
	flags.Float64Var(&s.Harp.A4, "a4", 440, "reference pitch in Hz, 430 to 450")
	flags.TextVar(&s.Harp.Tuning, "tuning", harp.Equal, "`tuning` of the harp: equal, just, compromise ...")
	position := flags.Int("position", 2, "playing position")
	form := flags.String("form", "slow change", "`form`: slow, quick, eight-bar or minor")
	feel := flags.String("feel", "shuffle", "`feel`: straight, shuffle or 12/8")
	flags.Float64Var(&s.Tempo, "tempo", 80, "beats a minute")
	flags.IntVar(&s.Choruses, "choruses", 0, "how often the form goes round, 1 to 4; 0: as often as the take is long")
	offset := flags.Float64("offset", 0, "`seconds` from the take's first sample to the count-in's first click; negative where the take begins later")
	spilt := flags.Bool("spill", false, "the band came over a loudspeaker: take it out of the sound first")
	rest, err := parse(flags, args, "take.wav")
	if err != nil {
		return unusable, err
	}
	s.Position = harp.Position(*position)
	if s.Form, err = free.FormNamed(*form); err != nil {
		return unusable, err
	}
	if s.Feel, err = free.FeelNamed(*feel); err != nil {
		return unusable, err
	}
	sound, err := readWAV(rest[0])
	if err != nil {
		return unusable, err
	}
	if !(math.Abs(*offset) <= free.MaxSeconds) {
		return unusable, fmt.Errorf("offset %g s: it lies from -%g to %g", *offset, free.MaxSeconds, free.MaxSeconds)
	}
	samples := shifted(sound.Samples, int(math.Round(*offset*float64(sound.Rate))))
	if s.Choruses == 0 {
		s.Choruses = s.Fit(float64(len(samples)) / float64(sound.Rate))
	}
	if err := s.Validate(); err != nil {
		return unusable, err
	}
	if n := int(math.Ceil(s.Drill().Seconds * float64(sound.Rate))); len(samples) > n {
		samples = samples[:n]
	}
	if *spilt {
		var r spill.Report
		if samples, r = spill.Remove(samples, band.Render(s.Drill(), sound.Rate), sound.Rate, spill.Options{}); r.Confident {
			fmt.Fprintf(errs, "reedwell room: the band was heard at %+.0f dB and taken out\n", r.Gain)
		} else {
			fmt.Fprintln(errs, "reedwell room: no band was found in the sound; it is looked at as it is")
		}
	}
	take, err := listen.Hear(s.Listen(sound.Rate), samples)
	if err != nil {
		return unusable, fmt.Errorf("%s: %w", rest[0], err)
	}
	r, err := free.Look(take, s)
	if err != nil {
		return unusable, fmt.Errorf("%s: %w", rest[0], err)
	}
	return done, printRoom(out, s, r)
}

// shifted is a sound that begins n samples later, or earlier with silence before it.
func shifted(samples []float32, n int) []float32 {
	if n >= 0 {
		return samples[min(n, len(samples)):]
	}
	return append(make([]float32, -n), samples...)
}

// printRoom prints the picture as text: the bars, how the starts lie about the beat, and the sentences.
func printRoom(out io.Writer, s free.Setting, r free.Report) error {
	fmt.Fprintf(out, "%s\n", s.Words())
	for k := range s.Choruses {
		bars := r.Bars(s, k)
		if len(bars) == 0 {
			break
		}
		fmt.Fprintf(out, "\nChorus %d\n", k+1)
		for _, b := range bars {
			fmt.Fprintf(out, "%2d  %-8s %s\n", b.Number, b.Chords, b.Words)
		}
	}
	h := r.Histogram()
	most := 1
	for _, n := range h.Counts {
		most = max(most, n)
	}
	fmt.Fprintf(out, "\nStarts about their places, ms: in the middle %+.0f, scatter %.0f\n", 1000*r.Bias, 1000*r.Scatter)
	const wide = 40.0
	for i, n := range h.Counts {
		middle := float64(i-h.Middle) * h.Width * 1000
		fmt.Fprintf(out, "%+5.0f %3d %s\n", middle, n, strings.Repeat("#", int(math.Ceil(wide*float64(n)/float64(most)))))
	}
	low, high := r.Range()
	fmt.Fprintf(out, "\n%d notes on holes %d to %d; sounding for %.0f %% of the time, longest rest %.1f beats\n\n", len(r.Notes), low, high, 100*r.Sounding, r.Rest)
	for _, words := range r.Words() {
		if _, err := fmt.Fprintln(out, words); err != nil {
			return err
		}
	}
	return nil
}
