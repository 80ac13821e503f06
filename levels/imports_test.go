//go:build !js

// Package levels_test reads the import graph.
package levels_test

import (
	"os/exec"
	"strings"
	"testing"
)

// Imports run cmd -> game -> levels -> audio, and the core touches no device.
func TestImportsRunDownward(t *testing.T) {
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`, "reedwell/...").Output()
	if err != nil {
		t.Fatal(err)
	}
	rank := map[string]int{"audio": 0, "levels": 1, "game": 2, "cmd": 3}
	top := func(path string) string { return strings.Split(strings.TrimPrefix(path, "reedwell/"), "/")[0] }
	seen := 0
	for _, line := range strings.Split(strings.TrimSpace(string(out)), "\n") {
		part := strings.Fields(line)
		for _, imported := range part[1:] {
			if !strings.HasPrefix(imported, "reedwell/") {
				continue
			}
			seen++
			if rank[top(imported)] > rank[top(part[0])] {
				t.Errorf("%s imports %s: upward", part[0], imported)
			}
			if imported == "reedwell/audio/device" && top(part[0]) == "levels" {
				t.Errorf("%s touches the device", part[0])
			}
		}
	}
	if seen == 0 {
		t.Error("no imports read")
	}
}
