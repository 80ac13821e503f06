package folder_test

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"reedwell/cmd/reedwell-desktop/internal/folder"
)

func TestStoreKeepsAndReplaces(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new", "reedwell")
	s := folder.Store(dir)
	if _, err := s.Load("progress-a"); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("Load of what was never saved: %v, want fs.ErrNotExist", err)
	}
	for _, text := range []string{"one", "two, and longer", ""} {
		if err := s.Save("progress-a", []byte(text)); err != nil {
			t.Fatal(err)
		}
		if got, err := s.Load("progress-a"); err != nil || string(got) != text {
			t.Errorf("Load = %q, %v; want %q", got, err, text)
		}
	}
	if files, _ := os.ReadDir(dir); len(files) != 1 {
		t.Errorf("%d files are left, want 1: %v", len(files), files)
	}
}

// A save that fails leaves what was there, and nothing else.
func TestFailedSaveLeavesTheOld(t *testing.T) {
	dir := t.TempDir()
	s := folder.Store(dir)
	// The name is taken by a folder with something in it, so that no file can replace it.
	if err := os.MkdirAll(filepath.Join(dir, "settings.json", "x"), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := s.Save("settings", []byte("new")); err == nil || !strings.Contains(err.Error(), "settings") {
		t.Errorf("Save over a folder: %v, want an error that names settings", err)
	}
	if files, _ := os.ReadDir(dir); len(files) != 1 {
		t.Errorf("%d files are left, want 1: %v", len(files), files)
	}
}

func TestLinkIsPrintedWithoutAClipboard(t *testing.T) {
	var out bytes.Buffer
	copied := ""
	o := &folder.Outside{Out: &out, Copy: func(s string) error { copied = s; return errors.New("none") }}
	o.CopyLink("v=1&drill=single-1&harp=C")
	if copied != "#v=1&drill=single-1&harp=C" || !strings.Contains(out.String(), copied) || !strings.Contains(out.String(), "none") {
		t.Errorf("copied %q, printed %q", copied, out.String())
	}
}

// A lesson's file is read from the folder the program was started in, and from nowhere else.
func TestFetched(t *testing.T) {
	t.Chdir(t.TempDir())
	if err := os.Mkdir("songs", 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile("songs/one.txt", []byte("title: One"), 0o666); err != nil {
		t.Fatal(err)
	}
	var o folder.Outside
	if f := o.Fetched(); f != nil {
		t.Errorf("before anything was asked for there is %+v", f)
	}
	for _, name := range []string{"songs/one.txt", "two.txt", "../one.txt", "/etc/hostname"} {
		o.Fetch(name)
	}
	if f := o.Fetched(); f == nil || string(f.Text) != "title: One" || f.Problem != "" {
		t.Errorf("the first file is %+v", f)
	}
	for range 3 {
		if f := o.Fetched(); f == nil || f.Problem == "" || f.Text != nil {
			t.Errorf("a file that is not there is %+v", f)
		}
	}
}
