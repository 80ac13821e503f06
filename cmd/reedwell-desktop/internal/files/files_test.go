package files_test

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"reedwell/cmd/reedwell-desktop/internal/files"
	"reedwell/game/paint"
	"reedwell/game/screen"
	"reedwell/game/session"
	"reedwell/game/stage"
)

// dialogs answer at once.
type dialogs struct {
	path string
	err  error
	save string // the path that was offered
}

func (d *dialogs) Open(string, string) (string, error) { return d.path, d.err }
func (d *dialogs) Save(_, path string) (string, error) {
	d.save = path
	if d.path == "" {
		return path, d.err
	}
	return d.path, d.err
}

// table is a stage with one item for files; it keeps what was done.
type table struct{ did []screen.Action }

func (s *table) Poll(t stage.Tick) screen.Screen {
	s.did = append(s.did, t.Actions...)
	return screen.Screen{Name: "settings", Items: []screen.Item{item()}, Look: screen.Look{Dark: true}}
}

func item() screen.Item {
	return screen.Item{ID: "import", Role: screen.File, Label: "Read a copy"}
}

// next waits for what comes of a dialog.
func next(t *testing.T, f *files.Files) stage.Tick {
	t.Helper()
	for range 1000 {
		var tick stage.Tick
		f.Around(&tick)
		if len(tick.Actions) > 0 || len(tick.Notices) > 0 {
			return tick
		}
		time.Sleep(5 * time.Millisecond)
	}
	t.Fatal("nothing came of it")
	return stage.Tick{}
}

func write(t *testing.T, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}

func TestOpenWithADialog(t *testing.T) {
	dir := t.TempDir()
	at := filepath.Join(dir, "a b.json")
	write(t, at, "{}")
	d := &dialogs{path: at}
	f := files.New(dir, d, io.Discard)
	f.Choose(item())
	got := next(t, f)
	if len(got.Actions) != 1 || got.Actions[0].ID != "import" || got.Actions[0].Name != "a b.json" || string(got.Actions[0].Bytes) != "{}" {
		t.Errorf("came %+v, want the file for import", got)
	}
	for _, c := range []struct {
		path string
		err  error
		says string
	}{
		{filepath.Join(dir, "none"), nil, "There is no file"},
		{dir, nil, "is a folder"},
		{"", errors.New("it broke"), "it broke"},
	} {
		d.path, d.err = c.path, c.err
		f.Choose(item())
		if got := next(t, f); len(got.Notices) != 1 || !strings.Contains(got.Notices[0].Text, c.says) || got.Notices[0].ID == session.SavedNotice {
			t.Errorf("%q, %v: told %+v, want %q", c.path, c.err, got, c.says)
		}
	}
	// One that is too large is not read: a file with a hole takes no room.
	large := filepath.Join(dir, "large.wav")
	write(t, large, "")
	if err := os.Truncate(large, 60e6); err != nil {
		t.Fatal(err)
	}
	d.path, d.err = large, nil
	f.Choose(item())
	if got := next(t, f); len(got.Notices) != 1 || !strings.Contains(got.Notices[0].Text, "too large") {
		t.Errorf("told %+v, want that it is too large", got)
	}
	// Nothing chosen, nothing told; the next press asks again.
	d.err = files.ErrCancelled
	f.Choose(item())
	d2 := time.Now()
	for time.Since(d2) < 50*time.Millisecond {
		var tick stage.Tick
		if f.Around(&tick); len(tick.Actions)+len(tick.Notices) > 0 {
			t.Fatalf("after nothing was chosen came %+v", tick)
		}
		time.Sleep(time.Millisecond)
	}
}

func TestSave(t *testing.T) {
	var out bytes.Buffer
	dir := t.TempDir()
	f := files.New(dir, nil, &out)
	f.Download("take.wav", []byte("1"))
	f.Download("take.wav", []byte("2"))
	f.Download("../sly.wav", []byte("3"))
	for name, want := range map[string]string{"take.wav": "1", "take-2.wav": "2", "sly.wav": "3"} {
		if got, err := os.ReadFile(filepath.Join(dir, name)); err != nil || string(got) != want {
			t.Errorf("%s holds %q, %v; want %q", name, got, err, want)
		}
	}
	got := next(t, f)
	if len(got.Notices) != 3 || got.Notices[1].ID != session.SavedNotice || got.Notices[1].Text != "Saved as "+filepath.Join(dir, "take-2.wav")+"." {
		t.Errorf("told %+v, want three places", got.Notices)
	}
	if n := strings.Count(out.String(), "Saved as "+dir); n != 3 {
		t.Errorf("printed %q, want three places", out.String())
	}

	// With dialogs it goes where the player says, which may be an old file; without an answer
	// nowhere; and where the dialogs turn out to be missing into the folder.
	chosen := filepath.Join(dir, "chosen.wav")
	write(t, chosen, "old and longer")
	d := &dialogs{path: chosen}
	f = files.New(dir, d, io.Discard)
	f.Download("take.wav", []byte("new"))
	next(t, f)
	if got, _ := os.ReadFile(chosen); string(got) != "new" || d.save != filepath.Join(dir, "take.wav") {
		t.Errorf("%q is in the chosen file, and %s was offered", got, d.save)
	}
	d.path, d.err = "", files.ErrNone
	f.Download("other.wav", []byte("x"))
	next(t, f)
	if got, _ := os.ReadFile(filepath.Join(dir, "other.wav")); string(got) != "x" {
		t.Errorf("without dialogs %q is in the folder", got)
	}
	f = files.New(filepath.Join(dir, "gone"), nil, io.Discard)
	f.Download("take.wav", []byte("1"))
	if got := next(t, f); !strings.Contains(got.Notices[0].Text, "Not saved") {
		t.Errorf("told %+v, want that it was not saved", got.Notices)
	}
}

// Without dialogs a screen of ours stands before the stage's, until a file was chosen.
func TestChooseWithoutADialog(t *testing.T) {
	for _, d := range []files.Dialogs{nil, &dialogs{err: files.ErrNone}} {
		dir := t.TempDir()
		old := time.Now().Add(-time.Hour)
		for i, name := range []string{"new.txt", "old.txt", ".hidden"} {
			write(t, filepath.Join(dir, name), name)
			if err := os.Chtimes(filepath.Join(dir, name), old, old.Add(-time.Duration(i)*time.Minute)); err != nil {
				t.Fatal(err)
			}
		}
		under := new(table)
		f := files.New(dir, d, io.Discard).On(under)
		poll := func(a ...screen.Action) screen.Screen {
			var tick stage.Tick
			f.Around(&tick)
			tick.Actions = append(tick.Actions, a...)
			return f.Poll(tick)
		}
		open := func() screen.Screen {
			f.Choose(item())
			for range 1000 {
				if s := poll(); s.Name == "file" {
					return s
				}
				time.Sleep(5 * time.Millisecond)
			}
			t.Fatal("no screen to choose on")
			return screen.Screen{}
		}
		s := open()
		label := func(id string) string {
			for _, it := range s.Items {
				if it.ID == id {
					return it.Label
				}
			}
			return ""
		}
		if label("file-1") != "new.txt" || label("file-2") != "old.txt" || label("file-3") != "" || label("title") != "Read a copy" || !s.Look.Dark {
			t.Errorf("the screen is %+v, want two files, the newest first", s)
		}
		if placed, height := screen.Place(s, 360, 640, paint.NewFonts()); height <= 0 || len(placed.Items) != len(s.Items) {
			t.Errorf("placed %d of %d items", len(placed.Items), len(s.Items))
		}
		s = poll(screen.Action{ID: "path", Value: filepath.Join(dir, "none")}, screen.Action{ID: "open"})
		if s.Name != "file" || !strings.Contains(s.Alert, "There is no file") {
			t.Errorf("a path to nothing: %q on %s", s.Alert, s.Name)
		}
		if s = poll(screen.Action{ID: "back"}); s.Name != "settings" || len(under.did) != 0 {
			t.Errorf("back: %s, and the stage got %+v", s.Name, under.did)
		}
		open()
		if s = poll(screen.Action{ID: "file-2"}); s.Name != "settings" || len(under.did) != 1 || under.did[0].Name != "old.txt" || under.did[0].ID != "import" {
			t.Errorf("chosen: %s, and the stage got %+v", s.Name, under.did)
		}
		t.Setenv("HOME", dir)
		open()
		poll(screen.Action{ID: "path", Value: " ~/new.txt"})
		if poll(screen.Action{ID: "open"}); len(under.did) != 2 || string(under.did[1].Bytes) != "new.txt" {
			t.Errorf("by path: the stage got %+v", under.did)
		}
	}
}
