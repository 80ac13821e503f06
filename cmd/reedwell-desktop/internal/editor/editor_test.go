package editor_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"reedwell/cmd/reedwell-desktop/internal/editor"
	"reedwell/levels/lesson"
)

func TestEachSaveIsRead(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "editing")
	opened := ""
	e := &editor.Editor{Folder: dir, Open: func(path string) error { opened = path; return nil }}
	now := 0.0
	saved := func() (string, string) { // after two looks, so that a file that is still written is left alone
		for range 2 {
			now++
			if text, problem := e.Saved(now); text != nil || problem != "" {
				if text == nil {
					return "", problem
				}
				return *text, problem
			}
		}
		return "", ""
	}
	if text, problem := saved(); text != "" || problem != "" {
		t.Errorf("before anything is edited: %q, %q", text, problem)
	}
	said := e.Edit("title: Rain, on the roof!\nharp: C\n")
	if filepath.Base(opened) != "rain-on-the-roof.txt" || !strings.Contains(said, opened) {
		t.Errorf("opened %q and said %q", opened, said)
	}
	clock := time.Now()
	put := func(text string) { // each save a second after the one before
		t.Helper()
		if err := os.WriteFile(opened, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		clock = clock.Add(time.Second)
		if err := os.Chtimes(opened, clock, clock); err != nil {
			t.Fatal(err)
		}
	}
	if text, _ := saved(); text != "" {
		t.Errorf("what was written out came back as %q", text)
	}
	put("title: two\n")
	if text, problem := saved(); text != "title: two\n" || problem != "" {
		t.Errorf("saved %q, %q", text, problem)
	}
	if text, _ := saved(); text != "" {
		t.Errorf("one save was read twice: %q", text)
	}
	put("title: two\n")
	if text, _ := saved(); text != "" {
		t.Errorf("a save that changed nothing gave %q", text)
	}
	put(strings.Repeat("x", lesson.MaxBytes+1))
	if text, problem := saved(); text != "" || !strings.Contains(problem, "not read") {
		t.Errorf("too long a file gave %d bytes and %q", len(text), problem)
	}
	// Many editors write a new file and put it in the place of the old one.
	beside := opened + ".new"
	if err := os.WriteFile(beside, []byte("title: three\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	clock = clock.Add(time.Second)
	if err := errors.Join(os.Remove(opened), os.Chtimes(beside, clock, clock)); err != nil {
		t.Fatal(err)
	}
	if text, problem := saved(); text != "" || problem != "" {
		t.Errorf("while the file is away: %q, %q", text, problem)
	}
	if err := os.Rename(beside, opened); err != nil {
		t.Fatal(err)
	}
	if text, _ := saved(); text != "title: three\n" {
		t.Errorf("saved %q, want the new file", text)
	}

	// A file that changes from look to look is not whole yet.
	put("title: fo")
	now++
	first, _ := e.Saved(now)
	put("title: four\n")
	now++
	second, _ := e.Saved(now)
	if first != nil || second != nil {
		t.Error("a file was read while it was written")
	}
	if text, _ := saved(); text != "title: four\n" {
		t.Errorf("saved %q, want the whole file", text)
	}
}

func TestWithoutAnEditor(t *testing.T) {
	e := &editor.Editor{Folder: t.TempDir(), Open: editor.With(filepath.Join(t.TempDir(), "none"))}
	if said := e.Edit("harp: C\n"); !strings.Contains(said, filepath.Join(e.Folder, "lesson.txt")) || !strings.Contains(said, "No editor") {
		t.Errorf("said %q, want where the lesson is", said)
	}
	if _, err := os.Stat(filepath.Join(e.Folder, "lesson.txt")); err != nil {
		t.Error(err)
	}
	e.Folder = filepath.Join(e.Folder, "lesson.txt") // a file is in the way
	if said := e.Edit("harp: C\n"); !strings.Contains(said, "can not be opened") {
		t.Errorf("said %q, want that it did not work", said)
	}
}
