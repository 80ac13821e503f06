// Package editor has the player write a lesson in an editor of their own: it puts the text into
// a file, opens that, and tells when it was saved.
package editor

import (
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"unicode"

	"reedwell/levels/lesson"
)

// every is how often in seconds the file is looked at. Ours: soon enough after a save, and
// nothing beside the drawing of a picture.
const every = 0.5

// An Editor follows one file at a time.
type Editor struct {
	Folder string                  // for the files
	Open   func(path string) error // opens one in the editor, without waiting for it

	path   string // being followed; empty: none
	text   string // as it was written or read last
	looked float64
	seen   stamp // of the last look
	read   stamp // of the text
}

// A stamp tells one state of a file from another.
type stamp struct {
	size int64
	when int64 // nanoseconds
}

func stampOf(info fs.FileInfo) stamp { return stamp{info.Size(), info.ModTime().UnixNano()} }

// Edit writes a text into a file named after its title, opens it and follows it from now on.
// It returns what the player should know.
func (e *Editor) Edit(text string) string {
	path := filepath.Join(e.Folder, name(text)+".txt")
	err := os.MkdirAll(e.Folder, 0o700)
	if err == nil {
		err = os.WriteFile(path, []byte(text), 0o600)
	}
	if err != nil {
		e.path = ""
		return "The lesson can not be opened in an editor: " + err.Error() + "."
	}
	e.path, e.text = path, text
	if info, err := os.Stat(path); err == nil {
		e.seen, e.read = stampOf(info), stampOf(info)
	}
	if err := e.Open(path); err != nil {
		return fmt.Sprintf("No editor could be opened (%v). Open %s in one yourself: each time you save there, it is read here again.", err, path)
	}
	return fmt.Sprintf("Your lesson is open in your editor as %s. Each time you save it there, it is read here again.", path)
}

// Saved returns the text when the file has been saved since the last call, or what is wrong
// with it. It may be called at every picture; seconds is any monotonic time.
func (e *Editor) Saved(seconds float64) (text *string, problem string) {
	if e.path == "" || seconds-e.looked < every {
		return nil, ""
	}
	e.looked = seconds
	info, err := os.Stat(e.path)
	if err != nil || !info.Mode().IsRegular() {
		return nil, "" // editors take it away for a moment while they save
	}
	now := stampOf(info)
	still := now == e.seen
	e.seen = now
	if !still || now == e.read { // while it still changes, it is not whole
		return nil, ""
	}
	e.read = now
	if info.Size() > lesson.MaxBytes {
		return nil, fmt.Sprintf("What you saved in your editor was not read: %v.", lesson.ErrTextLong)
	}
	data, err := os.ReadFile(e.path)
	if err != nil {
		return nil, "What you saved in your editor can not be read: " + err.Error() + "."
	}
	got := string(data)
	if got == e.text {
		return nil, ""
	}
	e.text = got
	return &got, ""
}

// longestName bounds a file's name, in letters; ours.
const longestName = 40

// name makes a file's name from a lesson's title.
func name(text string) string {
	title := ""
	for line := range strings.Lines(text) {
		if key, rest, ok := strings.Cut(line, ":"); ok && strings.EqualFold(strings.TrimSpace(key), "title") {
			title = rest
			break
		}
	}
	words := strings.FieldsFunc(strings.ToLower(title), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	letters := []rune(strings.Join(words, "-"))
	letters = letters[:min(len(letters), longestName)]
	if len(letters) == 0 {
		return "lesson"
	}
	return string(letters)
}

// System opens a file in the editor that the system has for plain text.
func System(path string) error {
	switch runtime.GOOS {
	case "windows":
		return With("notepad")(path)
	case "darwin":
		return start("open", "-t", path)
	}
	return start("xdg-open", path)
}

// With returns what opens a file in a program.
func With(program string) func(path string) error {
	return func(path string) error { return start(program, path) }
}

func start(program string, args ...string) error {
	cmd := exec.Command(program, args...)
	if err := cmd.Start(); err != nil {
		return err
	}
	go cmd.Wait() // its own end says nothing: editors that run already take the file over
	return nil
}
