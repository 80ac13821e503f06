//go:build window && !js

package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Files of weeks are handed to the window whatever they are worth; a link and files at once,
// and a file that is not there, are wrong use.
func TestWeeksOnTheCommandLine(t *testing.T) {
	dir := t.TempDir()
	a, b := filepath.Join(dir, "a.json"), filepath.Join(dir, "B.JSON")
	for _, name := range []string{a, b} {
		if err := os.WriteFile(name, bytes.Repeat([]byte("x"), 1<<20), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	var errs bytes.Buffer
	o, err := options([]string{"-data", dir, a, b}, &errs)
	if err != nil || len(o.sent) != 2 || o.sent[1].Name != "B.JSON" || len(o.sent[0].Bytes) == 0 || len(o.sent[0].Bytes) > 1<<15 || o.link != "" {
		t.Errorf("%v; %d files, the first of %d bytes; want two, and no more of each than a week has", err, len(o.sent), len(o.sent[0].Bytes))
	}
	if o, err := options([]string{"-data", dir, "#v=1&week=AA"}, &errs); err != nil || o.link != "v=1&week=AA" {
		t.Errorf("a link is read as %q, %v", o.link, err)
	}
	for _, c := range []struct {
		args []string
		says string
	}{
		{[]string{a, "#v=1&week=AA"}, "one or the other"},
		{[]string{filepath.Join(dir, "none.json")}, "none.json"},
	} {
		if _, err := options(append([]string{"-data", dir}, c.args...), &errs); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%v: %v, want %q", c.args, err, c.says)
		}
	}
}
