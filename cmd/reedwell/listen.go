package main

import (
	"bufio"
	"flag"
	"fmt"
	"io"
	"math"

	"reedwell/audio/listen"
	"reedwell/levels/harp"
)

// listenTo prints one line a frame and one a note start, in time order.
func listenTo(args []string, out, errs io.Writer) (int, error) {
	flags := flag.NewFlagSet("listen", flag.ContinueOnError)
	flags.SetOutput(errs)
	key := flags.String("harp", "", "`key` of the harp: C, Bb, low D ... Without it neighbours of any harp are looked for")
	rest, err := parse(flags, args, "take.wav")
	if err != nil {
		return unusable, err
	}
	return done, printHeard(rest[0], *key, out)
}

func printHeard(path, key string, out io.Writer) error {
	sound, err := readWAV(path)
	if err != nil {
		return err
	}
	config := listen.Config{Rate: sound.Rate}
	if key == "" {
		config.Spans = anyHarp()
	} else {
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

// anyHarp looks beside every semitone for what neighbouring holes of some harp sound
// there: a Richter harp has them two to five semitones apart.
func anyHarp() []listen.Span {
	hz := func(m float64) float64 { return 440 * math.Exp2((m-69)/12) }
	var spans []listen.Span
	for m := 48.0; m <= 104; m++ { // 1 blow of a low C to 10 overdraw of a high G
		s := listen.Span{Low: hz(m - 0.5), High: hz(m + 0.5)}
		for apart := 2.0; apart <= 5; apart++ {
			s.Beside = append(s.Beside, hz(m-apart), hz(m+apart))
		}
		spans = append(spans, s)
	}
	return spans
}
