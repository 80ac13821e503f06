package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"
	"slices"

	"reedwell/audio/listen"
	"reedwell/audio/spill"
	"reedwell/audio/wav"
	"reedwell/levels/band"
	"reedwell/levels/drill"
	"reedwell/levels/grade"
)

// gradeTake marks a recorded take of a drill.
func gradeTake(args []string, out, errs io.Writer) (int, error) {
	flags := flag.NewFlagSet("grade", flag.ContinueOnError)
	flags.SetOutput(errs)
	build := specFlags(flags)
	spilt := flags.Bool("spill", false, "the band came over a loudspeaker: take it out of the sound first")
	asJSON := flags.Bool("json", false, "print everything as JSON")
	rest, err := parse(flags, args, "ID", "take.wav")
	if err != nil {
		return unusable, err
	}
	d, err := build(rest[0])
	if err != nil {
		return unusable, err
	}
	sound, err := readWAV(rest[1])
	if err != nil {
		return unusable, err
	}
	if *spilt {
		var r spill.Report
		if sound.Samples, r = spill.Remove(sound.Samples, band.Render(d, sound.Rate), sound.Rate, spill.Options{}); r.Confident {
			fmt.Fprintf(errs, "reedwell grade: the band was heard at %+.0f dB and taken out\n", r.Gain)
		} else {
			fmt.Fprintln(errs, "reedwell grade: no band was found in the sound; it is graded as it is")
		}
	}
	heard, err := listen.Hear(grade.Ear(d, sound.Rate), sound.Samples)
	if err != nil {
		return unusable, fmt.Errorf("%s: %w", rest[1], err)
	}
	result := grade.Take(d, heard)
	if *asJSON {
		encoder := json.NewEncoder(out)
		encoder.SetIndent("", "  ")
		err = encoder.Encode(result)
	} else {
		err = printResult(out, d, result)
	}
	if err != nil {
		return unusable, err
	}
	if result.Passed {
		return done, nil
	}
	return notYet, nil
}

func readWAV(path string) (wav.Sound, error) {
	file, err := os.Open(path)
	if err != nil {
		return wav.Sound{}, err
	}
	defer file.Close()
	sound, err := wav.Read(file)
	if err != nil {
		return wav.Sound{}, fmt.Errorf("%s: %w", path, err)
	}
	return sound, nil
}

func printResult(out io.Writer, d drill.Drill, r grade.Result) error {
	verdict := "not yet"
	if r.Passed {
		verdict = "passed"
	}
	fmt.Fprintf(out, "%s, %s harp, %g: %s, %.0f %% right, %d missing, %d extra\n", d.Title, d.Harp.Key, d.Tempo, verdict, 100*r.Share, r.Missing, r.Extra)
	if r.Problem == "" {
		fmt.Fprintf(out, "on the whole %+.0f ms, scatter %.0f ms\n", 1000*r.Bias, 1000*r.Scatter)
	}
	for _, m := range r.Marks {
		fmt.Fprintf(out, "%4d  %-6s %-11s %9.3g of %-7.3g %-14s %-7s %s\n", m.Target, m.Tab, m.Quantity, m.Heard, m.Window, m.Unit, m.Verdict, m.Advice)
	}
	fmt.Fprintln(out)
	if r.Problem != "" && !slices.Contains(r.Summary, r.Problem) {
		fmt.Fprintln(out, r.Problem)
	}
	if r.Overdriven && r.Problem == "" {
		fmt.Fprintln(out, "Some of the take was too loud for the microphone.")
	}
	for i, line := range r.Summary {
		fmt.Fprintf(out, "%d. %s\n", i+1, line)
	}
	_, err := fmt.Fprintln(out)
	return err
}
