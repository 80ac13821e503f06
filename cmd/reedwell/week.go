package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"strings"

	"reedwell/levels/drill"
	"reedwell/levels/link"
	"reedwell/levels/week"
)

// compareWeeks tells a teacher of the weeks that students have sent: of one all there is, of
// several who is stuck where. What can not be read is named; the rest is told all the same.
func compareWeeks(args []string, out, errs io.Writer) (int, error) {
	flags := flag.NewFlagSet("week", flag.ContinueOnError)
	flags.SetOutput(errs)
	flags.Usage = func() {
		fmt.Fprintln(errs, "usage: reedwell week FILE-OR-LINK...")
	}
	if err := flags.Parse(args); err != nil {
		return unusable, err
	}
	if flags.NArg() == 0 {
		return unusable, errors.New("name the files that students have sent, or their links")
	}
	if flags.NArg() > week.MaxFiles {
		return unusable, fmt.Errorf("%w, not %d", week.ErrFiles, flags.NArg())
	}
	var all []week.Summary
	status := done
	for _, name := range flags.Args() {
		s, err := readWeek(name)
		if err != nil {
			fmt.Fprintf(errs, "reedwell week: %.80s: %v\n", name, err)
			status = unusable
			continue
		}
		all = append(all, s)
	}
	switch len(all) {
	case 0:
		return status, nil
	case 1:
		for _, line := range all[0].Lines(drillTitle) {
			fmt.Fprintln(out, line)
		}
		return status, nil
	}
	table, err := week.Compare(all)
	if err != nil {
		return unusable, err
	}
	fmt.Fprint(out, table.Text(drillTitle))
	return status, nil
}

// readWeek reads a file or, where there is a week= in it, a link.
func readWeek(name string) (week.Summary, error) {
	fragment := name[strings.IndexByte(name, '#')+1:]
	if link.KindOf(fragment) == link.Week {
		return week.FromLink(fragment)
	}
	f, err := os.Open(name)
	if err != nil {
		return week.Summary{}, err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, week.MaxSummary+1))
	if err != nil {
		return week.Summary{}, err
	}
	return week.Decode(data)
}

// drillTitle is what one of our drills is called; any other is called by its name in the file.
func drillTitle(id string) string {
	for _, d := range drill.List() {
		if d.ID == id {
			return drill.Name(d.Family, d.Level, d.Title)
		}
	}
	if strings.HasPrefix(id, "lick-") {
		return "a lick of a lesson"
	}
	return id
}
