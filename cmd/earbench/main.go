//go:build !js

// Command earbench measures the ear of this project, and where they are installed aubio and
// praat, on the same sounds in one run, and prints a table in Markdown.
//
// The sounds and what is true of them come from package corpus; scoring follows the
// conventions of mir_eval: pitch right within 50 cents (here also 25 and 10), starts within 25 ms matched
// one to one. CPU is user and system time of whole processes, files read and text written.
package main

import (
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"

	"reedwell/audio/audiotest/corpus"
	"reedwell/audio/wav"
)

func main() {
	if err := run(os.Args[1:], os.Stdout, os.Stderr); err != nil {
		fmt.Fprintln(os.Stderr, "earbench:", err)
		os.Exit(1)
	}
}

func run(args []string, out, errs io.Writer) error {
	flags := flag.NewFlagSet("earbench", flag.ContinueOnError)
	flags.SetOutput(errs)
	half := flags.String("half", string(corpus.Figures), "half of the corpus: figures or tuning")
	voice := flags.String("voice", "", "one voice only: FluidR3, TimGM6mb, reed or weak")
	alone := flags.Bool("alone", false, "this ear only")
	wrong := flags.Bool("wrong", false, "say which notes this ear got wrong")
	harp := flags.Int("harp", 0, "one harp only, by the MIDI pitch of 1 blow")
	kinds := flags.String("kinds", "", "only these kinds of sound, with commas between: natural, bend, scoop, vibrato, wah, warble, repeat, pair, chord")
	again := flags.Int("again", 0, "the half played anew, by another hand, in another room and other noise: which time")
	only := flags.String("only", "", "one condition only: clean, hum, room, pink, room+pink or overdriven")
	others := flags.Bool("others", false, "only what is not a harmonica")
	hear := flags.String("hear", "", "hear one WAV `file` with this ear, print frames and notes")
	if err := flags.Parse(args); err != nil {
		return err
	}
	if *hear != "" {
		return hearFile(*hear, out)
	}
	if *others {
		_, _, err := notHarmonicas(out)
		return err
	}
	if *half != string(corpus.Figures) && *half != string(corpus.Tuning) {
		return fmt.Errorf("half %q: want %s or %s", *half, corpus.Figures, corpus.Tuning)
	}
	pick := corpus.Pick{Voice: *voice, Again: *again}
	if *harp > 0 {
		pick.Harps = []int{*harp}
	}
	if *kinds != "" {
		for k := range strings.SplitSeq(*kinds, ",") {
			pick.Kinds = append(pick.Kinds, corpus.Kind(k))
		}
	}
	files, err := corpus.Files(corpus.Half(*half), pick)
	if err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "earbench")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	list, missing, err := programs(dir)
	if err != nil {
		return err
	}
	if *alone {
		list, missing = list[:1], nil
	}
	results := map[string]map[corpus.Condition]*sums{}
	for _, p := range list {
		results[p.name] = map[corpus.Condition]*sums{}
		for _, c := range corpus.Conditions() {
			results[p.name][c] = newSums()
		}
	}
	seconds := 0.0
	for i, f := range files {
		for _, c := range corpus.Conditions() {
			if *only != "" && *only != string(c) {
				continue
			}
			x := f.In(c)
			seconds += float64(len(x)) / corpus.Rate
			if err := ours(results[list[0].name][c], f, c, x, *wrong, out); err != nil {
				return err
			}
			if *alone {
				continue
			}
			path := filepath.Join(dir, fmt.Sprintf("%d-%s.wav", i, c))
			if err := writeWAV(path, x); err != nil {
				return err
			}
			for k, p := range list {
				h, cpu, err := p.run(path)
				if err != nil {
					return err
				}
				s := results[p.name][c]
				s.cpu += cpu
				if k > 0 {
					s.add(f, c, h, nil)
				}
			}
			os.Remove(path)
		}
	}
	fmt.Fprintf(out, "%d files of the half %q, %.0f s of sound in all; %s, %d processors.\n", len(files), *half, seconds, runtime.Version(), runtime.NumCPU())
	if len(missing) > 0 {
		fmt.Fprintf(out, "Not installed and left out: %s.\n", strings.Join(missing, ", "))
	}
	table(out, list, results)
	if *only != "" || *voice != "" || *kinds != "" || *harp > 0 {
		return nil
	}
	aside, sooner, err := notHarmonicas(out)
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "\n## What confidence means\n\nAll conditions, all frames that name a pitch; right means within 50 cents of what was played. Of what is no instrument none is right; each counts %d times.\n", othersWeigh)
	reliability(out, results[list[0].name], aside, func(s *sums) [10][2]int { return s.bins })
	fmt.Fprint(out, "\nThe same of the newest windows (Latest), 20 ms sooner.\n")
	reliability(out, results[list[0].name], sooner, func(s *sums) [10][2]int { return s.latest })
	return nil
}

// ours scores this ear on f, once with the neighbours of its harp and once asked for chords.
func ours(s *sums, f corpus.File, c corpus.Condition, x []float32, wrong bool, out io.Writer) error {
	h, take, err := ear(x, corpus.Spans(f.Harp, false))
	if err != nil {
		return err
	}
	var say func(corpus.Sound, []note)
	if wrong {
		say = func(x corpus.Sound, notes []note) {
			fmt.Fprintf(out, "%s harp %d, %s: %s of key %d at %.3f s (group %d, rate %.1f, gap %.3f, extent %.1f, depth %.0f):", f.Voice, f.Harp, c, x.Kind, x.Key, x.Start, x.Group, x.Rate, x.Seconds, x.Extent, x.Depth)
			for _, y := range f.Sounds {
				if y.Group == x.Group && y.Kind == x.Kind && (x.Group > 0 || y.On == x.On) {
					fmt.Fprintf(out, " %.3f", y.Start)
				}
			}
			fmt.Fprint(out, " heard")
			for _, n := range notes {
				if x.Group > 0 || n.start > x.On-0.1 && n.start < x.Off+0.2 {
					fmt.Fprintf(out, " %.3f(%.0f)", n.start, n.hz)
				}
			}
			fmt.Fprintln(out)
		}
	}
	s.ours = true
	s.add(f, c, h, say)
	s.measures(f, take, wrong, out)
	chords, _, err := ear(x, corpus.Spans(f.Harp, true))
	if err != nil {
		return err
	}
	s.chord(f, chords)
	return nil
}

func writeWAV(path string, x []float32) error {
	return os.WriteFile(path, wav.Bytes(corpus.Rate, x), 0o666)
}

func readWAV(path string) ([]float32, int, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, 0, err
	}
	defer f.Close()
	s, err := wav.Read(f)
	if err != nil {
		return nil, 0, fmt.Errorf("%s: %w", path, err)
	}
	return s.Samples, s.Rate, nil
}
