// Command reedwell is the trainer's command line. It needs no display and no device.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"strings"
)

const usage = `usage: reedwell [COMMAND]

  serve [-port N] [-open=false] [-dir FOLDER]
                                   build the page and serve it on this computer; also without a command
  desktop [-os SYSTEM] [-o FILE]   build the window for this system, or for another from here where that can be done
  drills [-json ID]                list the drills, or print one drill's targets
  render ID -o out.wav             sound a drill as a player would, with faults on request
  grade ID take.wav [-json]        mark a take; its first sample is the first count-in click
  listen take.wav                  print what is heard, every 5 ms, and each note start
  room take.wav -harp KEY          how free playing over a form sat with chords and beat, bar by bar
  week FILE...                     students' weeks, from files or links: who is stuck where
  reeds take.wav -harp KEY         how each reed is tuned and speaks, from a take in which each is held twice

  check lesson.txt                 what is wrong with a lesson and what is worth a look
  sheet lesson.txt -o out.pdf      its tab sheet; .svg too
  clips lesson.txt -o FOLDER       demonstrations and backing as WAV files
  link lesson.txt                  links to its licks
  convert FILE [-o FILE]           a lesson to MIDI, MusicXML or ABC, or one of these to a lesson
  write take.wav [-o lesson.txt]   what was played, written down as a lesson
  publish lesson.txt -o FOLDER     a lesson page with everything, for any web host

In place of an ID, lesson.txt:2 is the second lick of a lesson and lesson.txt:chorus all of it.

Each takes -harp KEY, -tempo BPM and more: reedwell COMMAND -h lists them.
Exit status: 0 done or passed, 1 not passed yet, 2 unusable input.
`

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

// Exit statuses.
const (
	done     = 0
	notYet   = 1
	unusable = 2
)

func run(args []string, out, errs io.Writer) int {
	if len(args) == 0 || strings.HasPrefix(args[0], "-") && args[0] != "-h" && args[0] != "--help" {
		args = append([]string{"serve"}, args...)
	}
	command, ok := map[string]func([]string, io.Writer, io.Writer) (int, error){
		"serve": serve, "desktop": desktop, "drills": drills, "render": render, "grade": gradeTake, "listen": listenTo,
		"reeds": examine, "room": lookAtRoom, "week": compareWeeks,
		"check": checkLesson, "sheet": printSheet, "clips": makeClips, "link": linkTo, "convert": convert, "write": writeDown, "publish": publish,
	}[args[0]]
	if !ok {
		if args[0] == "help" || args[0] == "-h" || args[0] == "--help" {
			fmt.Fprint(out, usage)
			return done
		}
		fmt.Fprintf(errs, "reedwell: no command %q\n%s", args[0], usage)
		return unusable
	}
	status, err := command(args[1:], out, errs)
	if errors.Is(err, flag.ErrHelp) {
		return done // the flag package has printed it
	}
	if err != nil {
		fmt.Fprintf(errs, "reedwell %s: %v\n", args[0], err)
		return unusable
	}
	return status
}

// parse reads flags that may stand before, between and after the other arguments, which
// it returns: want of them, or an error that names them.
func parse(flags *flag.FlagSet, args []string, want ...string) ([]string, error) {
	var rest []string
	for {
		if err := flags.Parse(args); err != nil {
			return nil, err
		}
		if flags.NArg() == 0 {
			break
		}
		rest = append(rest, flags.Arg(0))
		args = flags.Args()[1:]
	}
	if len(rest) != len(want) {
		return nil, fmt.Errorf("got %d arguments, want %d: %v", len(rest), len(want), want)
	}
	return rest, nil
}
