package main

import (
	"errors"
	"flag"
	"fmt"
	"io"

	"reedwell/audio/listen"
	"reedwell/levels/harp"
	"reedwell/levels/reeds"
)

// examine tells how the reeds of a harp are from a recording in which each is held twice, in any
// order.
func examine(args []string, out, errs io.Writer) (int, error) {
	flags := flag.NewFlagSet("reeds", flag.ContinueOnError)
	flags.SetOutput(errs)
	name := flags.String("harp", "", "`key` of the harp")
	rest, err := parse(flags, args, "take.wav")
	if err != nil {
		return unusable, err
	}
	if *name == "" {
		return unusable, errors.New("say with -harp which key the harp has")
	}
	key, err := harp.ParseKey(*name)
	if err != nil {
		return unusable, err
	}
	sound, err := readWAV(rest[0])
	if err != nil {
		return unusable, err
	}
	pass, err := reeds.NewPass(key, sound.Rate)
	if err != nil {
		return unusable, fmt.Errorf("%s: %w", rest[0], err)
	}
	heard, err := listen.Hear(pass.Config(), sound.Samples)
	if err != nil {
		return unusable, fmt.Errorf("%s: %w", rest[0], err)
	}
	pass.Hear(heard.Frames)
	pass.End()
	report := pass.Report()
	if report.Heard == 0 {
		return unusable, fmt.Errorf("%s: no reed of this harp was heard; hold each for two seconds, one at a time", rest[0])
	}
	fmt.Fprintln(out, report.Words())
	found := map[reeds.Fault]bool{}
	for _, r := range report.Reeds {
		fmt.Fprintf(out, "%-4s %8.2f Hz %+6.1f cents  %s\n", r.Note.Tab(), r.Hz, r.FromTuning, r.Words())
		for _, f := range r.Faults {
			found[f] = true
		}
	}
	for f := reeds.NotHeard; f <= reeds.Along; f++ {
		if found[f] {
			fmt.Fprintf(out, "%s: %s\n", f, f.Advice())
		}
	}
	return done, nil
}
