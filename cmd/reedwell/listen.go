package main

import (
	"bufio"
	"flag"
	"fmt"
	"io"
	"os"

	"reedwell/audio/listen"
	"reedwell/audio/wav"
	"reedwell/levels/harp"
)

// listenTo prints one line a frame and one a note start, in time order.
func listenTo(args []string, out, errs io.Writer) int {
	flags := flag.NewFlagSet("listen", flag.ContinueOnError)
	flags.SetOutput(errs)
	key := flags.String("harp", "", "key of the harp: C, Bb, low D ... Needed to name a second hole")
	if err := flags.Parse(args); err != nil {
		return unusable
	}
	if flags.NArg() != 1 {
		fmt.Fprintln(errs, "reedwell listen: name one WAV file")
		return unusable
	}
	if err := printHeard(flags.Arg(0), *key, out); err != nil {
		fmt.Fprintln(errs, "reedwell listen:", err)
		return unusable
	}
	return done
}

func printHeard(path, key string, out io.Writer) error {
	file, err := os.Open(path)
	if err != nil {
		return err
	}
	defer file.Close()
	sound, err := wav.Read(file)
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	config := listen.Config{Rate: sound.Rate}
	if key != "" {
		k, err := harp.ParseKey(key)
		if err != nil {
			return err
		}
		for _, s := range harp.New(k).Spans() {
			config.Spans = append(config.Spans, listen.Span(s))
		}
	}
	take, err := listen.Hear(config, sound.Samples)
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	w := bufio.NewWriter(out)
	rate, next := float64(take.Rate), 0
	for _, f := range take.Frames {
		for ; next < len(take.Notes) && take.Notes[next].Start <= f.At; next++ {
			fmt.Fprintf(w, "onset,%.4f\n", float64(take.Notes[next].Start)/rate)
		}
		fmt.Fprintf(w, "%.4f,%.3f,%.3f,", float64(f.At)/rate, f.F0, f.Confidence)
		for i, v := range f.Others {
			if v.F0 == 0 {
				break
			}
			if i > 0 {
				fmt.Fprint(w, ";")
			}
			fmt.Fprintf(w, "%.3f", v.F0)
		}
		fmt.Fprintln(w)
	}
	for ; next < len(take.Notes); next++ {
		fmt.Fprintf(w, "onset,%.4f\n", float64(take.Notes[next].Start)/rate)
	}
	return w.Flush()
}
