// Package files lets the player open and save files in the window: with the system's own
// dialogs, or, where there are none, with a screen of ours that lists a folder and takes a
// path.
package files

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"reedwell/game/screen"
	"reedwell/game/session"
	"reedwell/game/stage"
)

// Dialogs are the system's. Their methods wait for the player and are called by one goroutine
// at a time.
type Dialogs interface {
	// Open returns the path of the file that was chosen.
	Open(title, folder string) (string, error)
	// Save returns the path under which a file is to be written; the player has agreed to
	// replace what is there.
	Save(title, path string) (string, error)
}

// Errors of Dialogs.
var (
	ErrCancelled = errors.New("nothing was chosen")
	ErrNone      = errors.New("this system has no dialogs for files")
)

// largest is more than any take, lesson or progress file needs, in bytes.
const largest = 50e6

// Files is what the window opens and saves with. Download, Choose, Around and Poll are the
// window's own goroutine's.
type Files struct {
	folder  string // where files are looked for and saved first
	dialogs Dialogs
	out     io.Writer // where it says what it saved

	mu   sync.Mutex
	come []result
	busy bool // a file is being chosen

	saving sync.Mutex // held while a dialog asks where to save: one at a time

	stage Stage
	shown screen.Screen
	shelf *shelf // a file is chosen on a screen of ours
}

// A result is what has come of a dialog.
type result struct {
	action *screen.Action
	notice string
	saved  bool         // notice tells that a file was saved
	none   *screen.Item // there is no dialog: choose for this item here
	over   bool         // nothing is being chosen any more
}

// Stage is what Files stands before.
type Stage interface {
	Poll(stage.Tick) screen.Screen
}

// New saves into a folder and with dialogs; with nil there are none.
func New(folder string, dialogs Dialogs, out io.Writer) *Files {
	return &Files{folder: folder, dialogs: dialogs, out: out}
}

// Folder is the folder Downloads in the player's home, the home where there is none, or the
// one the program was started in.
func Folder() string {
	home, err := os.UserHomeDir()
	if err != nil {
		return "."
	}
	if info, err := os.Stat(filepath.Join(home, "Downloads")); err == nil && info.IsDir() {
		return filepath.Join(home, "Downloads")
	}
	return home
}

// On has the screens of a stage shown, and ours before them when a file is chosen here.
func (f *Files) On(s Stage) *Files {
	f.stage = s
	return f
}

func (f *Files) deliver(r result) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.come = append(f.come, r)
}

// ---- Opening ----

// Choose has a file chosen for an item of the role File.
func (f *Files) Choose(it screen.Item) {
	f.mu.Lock()
	busy := f.busy
	f.busy = true
	f.mu.Unlock()
	if busy {
		return
	}
	if f.dialogs == nil {
		f.deliver(result{none: &it, over: true})
		return
	}
	go func() {
		path, err := f.dialogs.Open(it.Label, f.folder)
		switch {
		case errors.Is(err, ErrNone):
			f.deliver(result{none: &it, over: true})
		case errors.Is(err, ErrCancelled):
			f.deliver(result{over: true})
		case err != nil:
			f.deliver(result{notice: "No file was opened: " + err.Error() + ".", over: true})
		default:
			a, problem := load(it.ID, path)
			f.deliver(result{action: a, notice: problem, over: true})
		}
	}()
}

// load reads a file of a size that can be of use for an item, or says why not.
func load(id, path string) (a *screen.Action, problem string) {
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return nil, fmt.Sprintf("There is no file %s that can be read.", path)
	case info.IsDir():
		return nil, path + " is a folder, not a file."
	case info.Size() > largest:
		return nil, fmt.Sprintf("%s is too large: files up to %d MB are read.", path, int(largest/1e6))
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, path + " can not be read."
	}
	return &screen.Action{ID: id, Name: filepath.Base(path), Bytes: data}, ""
}

// ---- Saving ----

// Download saves a file where the player says; where nobody can be asked, in the folder,
// replacing none.
func (f *Files) Download(name string, data []byte) {
	name = filepath.Base(name)
	if f.dialogs == nil {
		f.keep(name, data)
		return
	}
	go func() {
		f.saving.Lock()
		defer f.saving.Unlock()
		path, err := f.dialogs.Save("Save "+name, filepath.Join(f.folder, name))
		switch {
		case errors.Is(err, ErrNone):
			f.keep(name, data)
		case errors.Is(err, ErrCancelled):
		case err != nil:
			f.say("Not saved: " + err.Error() + ".")
		default:
			if err := os.WriteFile(path, data, 0o600); err != nil {
				f.say("Not saved: " + err.Error() + ".")
				return
			}
			f.saved(path)
		}
	}()
}

// keep writes a file into the folder; it replaces none.
func (f *Files) keep(name string, data []byte) {
	ext := filepath.Ext(name)
	base := strings.TrimSuffix(name, ext)
	for n := 1; n < 1000; n++ {
		path := filepath.Join(f.folder, base+ext)
		if n > 1 {
			path = filepath.Join(f.folder, fmt.Sprintf("%s-%d%s", base, n, ext))
		}
		file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
		if os.IsExist(err) {
			continue
		}
		if err == nil {
			_, err = file.Write(data)
			if e := file.Close(); err == nil {
				err = e
			}
		}
		if err != nil {
			f.say("Not saved: " + err.Error() + ".")
			return
		}
		f.saved(path)
		return
	}
	f.say("Not saved: there are too many files named " + name + " in " + f.folder + ".")
}

func (f *Files) say(words string) {
	fmt.Fprintln(f.out, words)
	f.deliver(result{notice: words})
}

func (f *Files) saved(path string) {
	words := "Saved as " + path
	fmt.Fprintln(f.out, words)
	f.deliver(result{notice: words + ".", saved: true})
}

// ---- Between window and stage ----

// Around adds to a tick what has been chosen and saved.
func (f *Files) Around(t *stage.Tick) {
	f.mu.Lock()
	come := f.come
	f.come = nil
	for _, r := range come {
		f.busy = f.busy && !r.over
	}
	f.mu.Unlock()
	for _, r := range come {
		switch {
		case r.none != nil:
			f.shelf = newShelf(*r.none, f.folder)
		case r.action != nil:
			t.Actions = append(t.Actions, *r.action)
		case r.notice != "":
			n := session.Notice{ID: "files", Text: r.notice}
			if r.saved {
				n.ID = session.SavedNotice
			}
			t.Notices = append(t.Notices, n)
		}
	}
}

// Poll shows the stage's screen, or ours while a file is chosen on it: the stage goes on
// meanwhile and gets no actions.
func (f *Files) Poll(t stage.Tick) screen.Screen {
	if f.shelf == nil {
		f.shown = f.stage.Poll(t)
		return f.shown
	}
	var chosen *screen.Action
	over := false
	for _, a := range t.Actions {
		if !over {
			chosen, over = f.shelf.act(a)
		}
	}
	t.Actions = nil
	if over {
		f.shelf = nil
		if chosen != nil {
			t.Actions = []screen.Action{*chosen}
		}
	}
	f.shown = f.stage.Poll(t)
	if f.shelf == nil {
		return f.shown
	}
	return f.shelf.screen(f.shown.Look)
}
