// Command reedwell is the trainer's command line. It needs no display and no device.
package main

import (
	"fmt"
	"io"
	"os"
)

const usage = `usage: reedwell COMMAND

  listen [-harp KEY] take.wav   print what is heard, every 5 ms, and each note start
`

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

// Exit statuses.
const (
	done     = 0
	unusable = 2
)

func run(args []string, out, errs io.Writer) int {
	if len(args) == 0 {
		fmt.Fprint(errs, usage)
		return unusable
	}
	switch args[0] {
	case "listen":
		return listenTo(args[1:], out, errs)
	case "help", "-h", "--help":
		fmt.Fprint(out, usage)
		return done
	}
	fmt.Fprintf(errs, "reedwell: no command %q\n%s", args[0], usage)
	return unusable
}
