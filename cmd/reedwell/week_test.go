package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"reedwell/levels/path"
	"reedwell/levels/week"
)

// Files and links are told of together; what is no week is named and the rest told all the same.
func TestWeek(t *testing.T) {
	dir := t.TempDir()
	monday := path.Date(2026, 11, 23)
	sent := func(from, name string, takes int) (file, link string) {
		j := week.New(from)
		for range takes {
			j = j.Add(monday, week.Take{Drill: "ladder-4d-2", Seconds: 30, Share: 0.5})
		}
		s := week.Summarise(j, path.New(), monday)
		s.Name = name
		data, err := s.Encode()
		if err != nil {
			t.Fatal(err)
		}
		if link, err = week.Link(s); err != nil {
			t.Fatal(err)
		}
		file = filepath.Join(dir, from+".json")
		if err := os.WriteFile(file, data, 0o666); err != nil {
			t.Fatal(err)
		}
		return file, link
	}
	ana, anaLink := sent("00000000000000a1", "Ana", 4)
	ben, _ := sent("00000000000000b2", "Ben", 20)
	odd := filepath.Join(dir, "odd.json")
	if err := os.WriteFile(odd, bytes.Repeat([]byte("["), 20000), 0o666); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args   []string
		status int
		out    []string // in this order
		errs   string
	}{
		{[]string{ana}, done, []string{"Week from 2026-11-23", "Ana", "2 minutes played on 1 day, 4 takes", "Bend ladder 2: 4 draw, straight to the half step"}, ""},
		{[]string{"#" + anaLink}, done, []string{"Ana"}, ""},
		{[]string{"https://example.org/x/#" + anaLink, ben}, done, []string{"2 students", "stuck on", "Ben", "20 takes, 0 good", "Ana"}, ""},
		{[]string{ana, odd, ben}, unusable, []string{"2 students", "Ben", "Ana"}, "odd.json"},
		{[]string{odd}, unusable, nil, "this is more than a weekly summary holds"},
		{[]string{"#" + anaLink[:60]}, unusable, nil, "damaged or cut short"},
		{[]string{filepath.Join(dir, "none.json")}, unusable, nil, "none.json"},
		{nil, unusable, nil, "name the files"},
		{make([]string, week.MaxFiles+1), unusable, nil, "at most 200"},
	} {
		var out, errs bytes.Buffer
		status := run(append([]string{"week"}, c.args...), &out, &errs)
		rest, in := out.String(), true
		for _, part := range c.out {
			_, rest, in = strings.Cut(rest, part)
			if !in {
				break
			}
		}
		if status != c.status || !in || !strings.Contains(errs.String(), c.errs) || len(errs.String()) > 2000 {
			t.Errorf("week %.200v: status %d, want %d and %q:\n%s\n%.500s", c.args, status, c.status, c.out, out.String(), errs.String())
		}
	}
}
