package main

import (
	"errors"
	"flag"
	"io"
	"os"

	"reedwell/audio/synth"
	"reedwell/audio/wav"
	"reedwell/levels/band"
	"reedwell/levels/player"
)

// underPlayer is the gain of the band in dB when it is mixed with the player: it then lies
// where a loudspeaker across the room is heard by a microphone at the harp. Our choice.
const underPlayer = -15.0

// render sounds a drill as a player would and writes it as a WAV file.
func render(args []string, _, errs io.Writer) (int, error) {
	flags := flag.NewFlagSet("render", flag.ContinueOnError)
	flags.SetOutput(errs)
	var (
		build   = specFlags(flags)
		file    = flags.String("o", "", "WAV `file` to write")
		rate    = flags.Int("rate", 48000, "samples a second, 16000 to 96000")
		backing = flags.Bool("backing", false, "add count-in and band")
		f       player.Faults
		late    = flags.Float64("ms", 0, "every start late by so many milliseconds; negative is early")
		scatter = flags.Float64("scatter", 0, "starts scattered, standard deviation in milliseconds")
	)
	flags.Float64Var(&f.Cents, "cents", 0, "every pitch off by so many cents, + sharp")
	flags.Float64Var(&f.Deep, "deep", 0, "every bend too deep by so many cents")
	flags.Float64Var(&f.Leak, "leak", 0, "a neighbouring hole so many dB under the note; 0 none")
	flags.Float64Var(&f.Short, "short", 0, "share of each note left out at its end, 0 to 0.9")
	flags.Float64Var(&f.Duty, "duty", 0, "warble: share of the time on the first hole; 0 is a half")
	flags.Float64Var(&f.Jitter, "jitter", 0, "warble, vibrato, hand: coefficient of variation of the gaps")
	flags.Float64Var(&f.Overshoot, "overshoot", 0, "cents that a bend goes past its rung before it settles")
	flags.Float64Var(&f.Glide, "glide", 0, "seconds that a glide takes; 0 is the player's own")
	flags.Float64Var(&f.Pace, "pace", 0, "vibrato and hand: so many times the asked speed; 0 is 1")
	flags.Float64Var(&f.Extent, "extent", 0, "vibrato and hand: so many times the usual extent; 0 is 1")
	flags.BoolVar(&f.Swap, "swap", false, "the hand in place of the throat, the throat in place of the hand")
	flags.Float64Var(&f.Hunt, "hunt", 0, "seconds of silence before each octave is landed on")
	flags.Float64Var(&f.Graze, "graze", 0, "seconds for which the hole beside sounds before each landing")
	flags.Float64Var(&f.Search, "search", 0, "seconds in which a sounded tone is come down to")
	flags.BoolVar(&f.Held, "held", false, "hold repeated notes through instead of tonguing them")
	flags.IntVar(&f.Drop, "drop", 0, "leave out every so many-th note; 0 none")
	flags.IntVar(&f.Add, "add", 0, "add a wrong note after every so many-th; 0 none")
	flags.Uint64Var(&f.Seed, "seed", 0, "seed of the scatter and of the reed's irregularity; 0 is a perfectly even reed")
	rest, err := parse(flags, args, "ID")
	if err != nil {
		return unusable, err
	}
	if *file == "" {
		return unusable, errors.New("name the file to write with -o")
	}
	if *rate < 16000 || *rate > 96000 {
		return unusable, errors.New("the rate lies from 16000 to 96000")
	}
	f.Late, f.Scatter = *late/1000, *scatter/1000
	if err := f.Validate(); err != nil {
		return unusable, err
	}
	d, err := build(rest[0])
	if err != nil {
		return unusable, err
	}
	sound := synth.Render(*rate, d.Seconds, player.Notes(d, f), f.Seed)
	if *backing {
		synth.Mix(sound, band.Render(d, *rate), 0, underPlayer)
		synth.Limit(*rate, sound, -1)
	}
	return done, os.WriteFile(*file, wav.Bytes(*rate, sound), 0o666)
}
