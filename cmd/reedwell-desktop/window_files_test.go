//go:build window && !js

package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// shell writes a program of the shell and returns its path.
func shell(t *testing.T, dir, name, text string) string {
	t.Helper()
	path := filepath.Join(dir, name)
	if err := os.WriteFile(path, []byte("#!/bin/sh\n"+text), 0o755); err != nil {
		t.Fatal(err)
	}
	return path
}

// A lesson is opened from a folder, edited in another program, and read again when that has
// saved it; progress is saved. What it comes to is in the draft that the window keeps.
func TestFilesAndEditorInTheWindow(t *testing.T) {
	start := program(t)
	dir := t.TempDir()
	lesson, err := os.ReadFile("../../testdata/lessons/kettle.txt")
	if err != nil {
		t.Fatal(err)
	}
	folder := filepath.Join(dir, "folder")
	if err := os.Mkdir(folder, 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(folder, "kettle.txt"), lesson, 0o600); err != nil {
		t.Fatal(err)
	}
	edit := shell(t, dir, "edit", `sleep 0.2; sed 's/^title:.*/title: Written outside/' "$1" >"$1.new"; mv "$1.new" "$1"`)
	data := filepath.Join(dir, "data")
	wait, out := start("-data", data, "-files", folder, "-editor", edit, "-size", "390x844", "-script",
		"look,screen:path,lessons,screen:lessons,file:read,screen:file,file-1,screen:write,edit,wait:3,back,screen:lessons,back,screen:path,settings,screen:settings,export,wait:0.5,quit")
	if err := wait(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	draft, err := os.ReadFile(filepath.Join(data, "draft.json"))
	if err != nil || !strings.Contains(string(draft), "title: Written outside") || !strings.Contains(string(draft), "harp: A") {
		t.Errorf("the draft is %q, %v; want the lesson as it was edited", draft, err)
	}
	if _, err := os.Stat(filepath.Join(folder, "reedwell-progress.json")); err != nil {
		t.Errorf("progress was not saved: %v\n%s", err, out)
	}
}

// The system's dialogs are programs here: ours stands in for one and answers.
func TestDialogsInTheWindow(t *testing.T) {
	start := program(t)
	dir := t.TempDir()
	copied, saved := filepath.Join(dir, "copy.json"), filepath.Join(dir, "mine.json")
	shell(t, dir, "zenity", `case "$*" in *--save*) echo "`+saved+`" ;; *) echo "`+copied+`" ;; esac`)
	t.Setenv("PATH", dir+string(os.PathListSeparator)+os.Getenv("PATH"))
	if err := os.WriteFile(copied, []byte("{}"), 0o600); err != nil {
		t.Fatal(err)
	}
	shot := filepath.Join(dir, "settings.png")
	wait, out := start("-data", filepath.Join(dir, "data"), "-script",
		"look,screen:path,settings,screen:settings,export,wait:1,file:import,put-away-import,put-away-saved,shot:"+shot+",quit")
	if err := wait(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	if data, err := os.ReadFile(saved); err != nil || len(data) == 0 || !strings.Contains(out.String(), "Saved as "+saved) {
		t.Errorf("saved %q, %v\n%s", data, err, out)
	}
}
