//go:build !js

// Command reedwell-desktop is the trainer in a window of its own. Without cgo it has no
// sound.
package main

import (
	"crypto/rand"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"reedwell/audio/device"
	"reedwell/cmd/reedwell-desktop/internal/editor"
	"reedwell/cmd/reedwell-desktop/internal/files"
	"reedwell/cmd/reedwell-desktop/internal/folder"
	"reedwell/cmd/reedwell-desktop/internal/script"
	"reedwell/cmd/reedwell-desktop/internal/standin"
	"reedwell/game"
	"reedwell/game/screen"
	"reedwell/game/session"
	"reedwell/game/stage"
	"reedwell/levels/week"
)

const usage = `usage: reedwell-desktop [FLAGS] ['#v=1&drill=...' | WEEK.json...]

Opens the trainer, at a drill if a link's part from # on is given, or with the weeks of students
from the files they sent. Flags:

`

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

// run returns the exit status: 0 done, 1 failed, 2 wrong use.
func run(args []string, out, errs io.Writer) int {
	o, err := options(args, errs)
	if err == flag.ErrHelp {
		return 0
	}
	if err != nil {
		fmt.Fprintln(errs, "reedwell-desktop:", err)
		return 2
	}
	do := open
	if o.check {
		do = checkSound
	}
	if err := do(o, out); err != nil {
		fmt.Fprintln(errs, "reedwell-desktop:", err)
		return 1
	}
	return 0
}

// A setup is what the flags say.
type setup struct {
	link          string
	sent          []session.Sent // students' weeks
	folder        string
	width, height int
	system        screen.Look
	fake          string
	files         string
	editor        string
	check, paced  bool
	speed         float64
	steps         []script.Step
}

func options(args []string, errs io.Writer) (setup, error) {
	flags := flag.NewFlagSet("reedwell-desktop", flag.ContinueOnError)
	flags.SetOutput(errs)
	flags.Usage = func() {
		fmt.Fprint(errs, usage)
		flags.PrintDefaults()
	}
	var (
		o     setup
		size  = flags.String("size", "1100x760", "window size, `WIDTHxHEIGHT`")
		steps = flags.String("script", "", "for tests: press items by their names; see internal/script")
		shot  = flags.String("shot", "", "write a picture of the window into this PNG `file` when the script is over, and quit")
	)
	flags.StringVar(&o.folder, "data", "", "keep settings and progress in this `folder`")
	flags.StringVar(&o.files, "files", "", "open and save files in this `folder`, without the system's dialogs")
	flags.StringVar(&o.editor, "editor", "", "the `program` in which lessons are edited; without it the system's for plain text")
	flags.BoolVar(&o.check, "check", false, "no window: open the sound device for two seconds, print what it says, and end")
	flags.BoolVar(&o.paced, "pace", false, "print at the end how fast the last take was drawn")
	flags.BoolVar(&o.system.Dark, "dark", false, "begin with dark paper")
	flags.BoolVar(&o.system.Still, "still", false, "move nothing but what must move")
	flags.StringVar(&o.fake, "fake", "", "no sound device: the player is this WAV `file`, from the start of each take")
	flags.Float64Var(&o.speed, "speed", 1, "with -fake: how fast its time runs, 0.1 to 5")
	if err := flags.Parse(args); err != nil {
		return o, err
	}
	var err error
	switch o.sent, err = opened(flags.Args()); {
	case err != nil:
		return o, err
	case flags.NArg() == 0 || len(o.sent) > 0:
	case flags.NArg() == 1:
		o.link = flags.Arg(0)
		if i := strings.IndexByte(o.link, '#'); i >= 0 {
			o.link = o.link[i+1:]
		}
	default:
		return o, fmt.Errorf("got %d arguments, want at most one link, or files of weeks", flags.NArg())
	}
	if n, err := fmt.Sscanf(*size, "%dx%d", &o.width, &o.height); n != 2 || err != nil || o.width < 320 || o.height < 320 || o.width > 8000 || o.height > 8000 {
		return o, fmt.Errorf("size %q: want one like 1100x760, from 320x320 to 8000x8000", *size)
	}
	// The stage listens to at most six times real time at 60 frames a second.
	if !(o.speed >= 0.1 && o.speed <= 5) {
		return o, fmt.Errorf("speed %g: want 0.1 to 5", o.speed)
	}
	if o.steps, err = script.Parse(*steps); err != nil {
		return o, err
	}
	if *shot != "" {
		o.steps = append(o.steps, script.Step{Verb: "shot", Arg: *shot}, script.Step{Verb: "quit"})
	}
	if o.folder == "" {
		config, err := os.UserConfigDir()
		if err != nil {
			return o, fmt.Errorf("no folder for settings and progress: %w; name one with -data", err)
		}
		o.folder = filepath.Join(config, "reedwell")
	}
	return o, nil
}

// opened reads arguments that are files of students' weeks; none of them may be anything else.
// What the files are worth is told in the window.
func opened(args []string) ([]session.Sent, error) {
	var all []session.Sent
	for _, name := range args {
		if !strings.EqualFold(filepath.Ext(name), ".json") {
			continue
		}
		f, err := os.Open(name)
		if err != nil {
			return nil, err
		}
		data, err := io.ReadAll(io.LimitReader(f, week.MaxSummary+1))
		f.Close()
		if err != nil {
			return nil, err
		}
		all = append(all, session.Sent{Name: filepath.Base(name), Bytes: data})
	}
	if len(all) > 0 && len(all) < len(args) {
		return nil, fmt.Errorf("got %d files of weeks and %d other arguments; give one or the other", len(all), len(args)-len(all))
	}
	return all, nil
}

// around is what surrounds the program on a computer.
type around struct {
	*folder.Outside
	*files.Files
}

// open runs the window until it is closed.
func open(o setup, out io.Writer) error {
	opener := func(d device.Options) stage.Device { return device.Open(d) }
	so := stage.Options{Store: folder.Store(o.folder), Vault: folder.NewVault(o.folder), Link: o.link, Random: rand.Reader, Sent: o.sent}
	if o.fake == "" {
		listed := device.NewInputs()
		defer listed.Close()
		so.Inputs, so.Outputs = listed, listed.Outputs
	} else {
		played, err := standin.Read(o.fake)
		if err != nil {
			return err
		}
		opener = func(device.Options) stage.Device { return standin.New(played, o.speed) }
	}
	so.Open = opener
	outside := folder.NewOutside(out)
	chooser := files.New(files.Folder(), files.System{}, out)
	if o.files != "" {
		chooser = files.New(o.files, nil, out)
	}
	so.Outside = around{outside, chooser}
	text := &editor.Editor{Folder: filepath.Join(o.folder, "editing"), Open: editor.System}
	if o.editor != "" {
		text.Open = editor.With(o.editor)
	}
	var told []session.Notice // by the editor, and not yet on the screen
	tell := func(words string) {
		if words != "" {
			told = append(told, session.Notice{ID: "editor", Text: words})
		}
	}
	so.Edit = func(lesson string) { tell(text.Edit(lesson)) }
	s := stage.New(so)
	defer s.Close()
	p := &script.Player{Stage: chooser.On(s), Steps: o.steps}
	g := game.New(p, game.Options{System: o.system, Choose: chooser.Choose, Lag: s.Lag, Around: func(t *stage.Tick) {
		t.Fetched = outside.Fetched()
		chooser.Around(t)
		saved, problem := text.Saved(t.Seconds)
		tell(problem)
		t.Edited = saved
		t.Notices, told = append(t.Notices, told...), nil
	}})
	p.Window = g
	if err := g.Run("Reedwell", o.width, o.height); err != nil {
		return fmt.Errorf("the window: %w", err)
	}
	if o.paced {
		fmt.Fprintln(out, g.Figures())
	}
	return p.Err
}
