package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"reedwell/audio/wav"
	"reedwell/levels/clip"
	"reedwell/levels/drill"
	"reedwell/levels/lesson"
)

// A recipe is one clip of a lesson.
type recipe struct {
	name string // of its file, without the ending
	make func() ([]float32, error)
}

// recipes are the clips of a lesson: each lick and the chorus, full and slow, at once and after
// a count-in with the band, and the backing as a loop.
func recipes(l lesson.Lesson, rate int, slow float64) []recipe {
	var all []recipe
	for i := range len(l.Licks) + 1 {
		name := "chorus"
		if i < len(l.Licks) {
			name = fmt.Sprintf("lick-%d", i+1)
		}
		for _, v := range []struct {
			ending string
			o      clip.Options
		}{
			{"", clip.Options{}},
			{"-slow", clip.Options{Share: slow}},
			{"-band", clip.Options{CountIn: true, Backing: true}},
			{"-slow-band", clip.Options{Share: slow, CountIn: true, Backing: true}},
		} {
			o := v.o
			o.Rate = rate
			all = append(all, recipe{name + v.ending, func() ([]float32, error) {
				if i == len(l.Licks) {
					return clip.Chorus(l, o)
				}
				return clip.Lick(l, i, o)
			}})
		}
	}
	return append(all,
		recipe{"backing", func() ([]float32, error) { return clip.Backing(l, clip.Options{Rate: rate}) }},
		recipe{"backing-slow", func() ([]float32, error) { return clip.Backing(l, clip.Options{Rate: rate, Share: slow}) }})
}

// makeClips writes the clips of a lesson into a folder.
func makeClips(args []string, out, errs io.Writer) (int, error) {
	flags := flag.NewFlagSet("clips", flag.ContinueOnError)
	flags.SetOutput(errs)
	asked := lessonFlags(flags)
	rate := flags.Int("rate", clip.Rate, "samples a second, 16000 to 96000")
	slow := flags.Float64("slow", clip.SlowShare, "share of the tempo of the slow clips, 0.3 to 1")
	dir := flags.String("o", "", "`folder` to write to; it is made where it is missing")
	rest, err := parse(flags, args, "lesson.txt")
	if err != nil {
		return unusable, err
	}
	if *dir == "" {
		return unusable, errors.New("name the folder to write to with -o")
	}
	if *rate < 16000 || *rate > 96000 {
		return unusable, errors.New("the rate lies from 16000 to 96000")
	}
	if !(*slow >= 0.3 && *slow <= 1) {
		return unusable, errors.New("the slow share lies from 0.3 to 1")
	}
	l, err := asked.read(rest[0], errs)
	if err != nil {
		return unusable, err
	}
	if l.Tempo**slow < drill.MinTempo {
		fmt.Fprintf(errs, "reedwell clips: nothing is played under %g beats a minute; the slow clips have that tempo\n", drill.MinTempo)
	}
	if err := os.MkdirAll(*dir, 0o777); err != nil {
		return unusable, err
	}
	for _, r := range recipes(l, *rate, *slow) {
		sound, err := r.make()
		if err != nil {
			return unusable, fmt.Errorf("%s: %w", r.name, err)
		}
		name := filepath.Join(*dir, r.name+".wav")
		if err := os.WriteFile(name, wav.Bytes(*rate, sound), 0o666); err != nil {
			return unusable, err
		}
		fmt.Fprintln(out, name)
	}
	return done, nil
}
