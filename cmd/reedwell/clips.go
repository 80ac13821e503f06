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

// sounding is at which rate and how slowly clips are made.
type sounding struct {
	rate int
	slow float64
}

// clipFlags adds the flags of a sounding.
func clipFlags(flags *flag.FlagSet, rate int) *sounding {
	s := &sounding{}
	flags.IntVar(&s.rate, "rate", rate, "samples a second of the clips, 16000 to 96000")
	flags.Float64Var(&s.slow, "slow", clip.SlowShare, "share of the tempo of the slow clips, 0.3 to 1")
	return s
}

func (s sounding) check() error {
	if s.rate < 16000 || s.rate > 96000 {
		return errors.New("the rate lies from 16000 to 96000")
	}
	if !(s.slow >= 0.3 && s.slow <= 1) {
		return errors.New("the slow share lies from 0.3 to 1")
	}
	return nil
}

// A recipe is one clip of a lesson.
type recipe struct {
	name string // of its file, without the ending
	make func() ([]float32, error)
}

// recipes are the clips of a lesson: each lick and the chorus, full and slow, at once and after
// a count-in with the band, and the backing as a loop.
func recipes(l lesson.Lesson, s sounding) []recipe {
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
			{"-slow", clip.Options{Share: s.slow}},
			{"-band", clip.Options{CountIn: true, Backing: true}},
			{"-slow-band", clip.Options{Share: s.slow, CountIn: true, Backing: true}},
		} {
			o := v.o
			o.Rate = s.rate
			all = append(all, recipe{name + v.ending, func() ([]float32, error) {
				if i == len(l.Licks) {
					return clip.Chorus(l, o)
				}
				return clip.Lick(l, i, o)
			}})
		}
	}
	return append(all,
		recipe{"backing", func() ([]float32, error) { return clip.Backing(l, clip.Options{Rate: s.rate}) }},
		recipe{"backing-slow", func() ([]float32, error) { return clip.Backing(l, clip.Options{Rate: s.rate, Share: s.slow}) }})
}

// makeClips writes the clips of a lesson into a folder.
func makeClips(args []string, out, errs io.Writer) (int, error) {
	flags := flag.NewFlagSet("clips", flag.ContinueOnError)
	flags.SetOutput(errs)
	asked := lessonFlags(flags)
	made := clipFlags(flags, clip.Rate)
	dir := flags.String("o", "", "`folder` to write to; it is made where it is missing")
	rest, err := parse(flags, args, "lesson.txt")
	if err != nil {
		return unusable, err
	}
	if *dir == "" {
		return unusable, errors.New("name the folder to write to with -o")
	}
	if err := made.check(); err != nil {
		return unusable, err
	}
	l, err := asked.read(rest[0], errs)
	if err != nil {
		return unusable, err
	}
	if l.Tempo*made.slow < drill.MinTempo {
		fmt.Fprintf(errs, "reedwell clips: nothing is played under %g beats a minute; the slow clips have that tempo\n", drill.MinTempo)
	}
	if err := os.MkdirAll(*dir, 0o777); err != nil {
		return unusable, err
	}
	for _, r := range recipes(l, *made) {
		sound, err := r.make()
		if err != nil {
			return unusable, fmt.Errorf("%s: %w", r.name, err)
		}
		name := filepath.Join(*dir, r.name+".wav")
		if err := os.WriteFile(name, wav.Bytes(made.rate, sound), 0o666); err != nil {
			return unusable, err
		}
		fmt.Fprintln(out, name)
	}
	return done, nil
}
