package files

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"reedwell/game/screen"
)

// newest is how many files of the folder are listed: what was saved or fetched lately is what
// one looks for, and more are long to walk through by keyboard. Ours.
const newest = 10

// A shelf is the screen on which a file is chosen without a dialog.
type shelf struct {
	item   screen.Item // for which
	folder string
	files  []fs.FileInfo

	path    string // typed
	problem string
}

func newShelf(it screen.Item, folder string) *shelf {
	s := &shelf{item: it, folder: folder}
	entries, err := os.ReadDir(folder)
	if err != nil {
		return s // the screen says that nothing is there
	}
	for _, e := range entries {
		if info, err := e.Info(); err == nil && info.Mode().IsRegular() && !strings.HasPrefix(e.Name(), ".") && info.Size() <= largest {
			s.files = append(s.files, info)
		}
	}
	slices.SortStableFunc(s.files, func(a, b fs.FileInfo) int { return b.ModTime().Compare(a.ModTime()) })
	s.files = s.files[:min(len(s.files), newest)]
	return s
}

// act does what the player asked for; over tells that the screen is done with, with the file
// that was chosen or none.
func (s *shelf) act(a screen.Action) (chosen *screen.Action, over bool) {
	switch {
	case a.ID == "back":
		return nil, true
	case a.ID == "path":
		s.path, s.problem = a.Value, ""
		return nil, false
	case a.ID == "open":
		return s.open(typed(s.path))
	}
	for i, f := range s.files {
		if a.ID == fmt.Sprintf("file-%d", i+1) {
			return s.open(filepath.Join(s.folder, f.Name()))
		}
	}
	return nil, false
}

func (s *shelf) open(path string) (*screen.Action, bool) {
	a, problem := load(s.item.ID, path)
	s.problem = problem
	return a, a != nil
}

// typed is a path as players write it: with ~ for their home.
func typed(path string) string {
	path = strings.TrimSpace(path)
	if rest, ok := strings.CutPrefix(path, "~"); ok {
		if home, err := os.UserHomeDir(); err == nil {
			return filepath.Join(home, rest)
		}
	}
	return path
}

func (s *shelf) screen(look screen.Look) screen.Screen {
	p := screen.Screen{Name: "file", Title: s.item.Label + " - Reedwell", Look: look, Focus: "path"}
	add := func(it screen.Item) { p.Items = append(p.Items, it) }
	add(screen.Item{ID: "title", Role: screen.Heading, Style: screen.Title, Label: s.item.Label})
	if s.item.Detail != "" {
		add(screen.Item{ID: "what", Role: screen.Text, Label: s.item.Detail})
	}
	add(screen.Item{ID: "path", Role: screen.Field, Label: "Path of the file", Value: s.path})
	if s.problem != "" {
		add(screen.Item{ID: "problem", Role: screen.Text, Style: screen.Warning, Label: s.problem})
		p.Alert = s.problem
	}
	add(screen.Item{ID: "open", Role: screen.Button, Style: screen.Primary, Label: "Open it", Disabled: strings.TrimSpace(s.path) == ""})
	add(screen.Item{ID: "h-newest", Role: screen.Heading, Label: "Newest in " + s.folder})
	if len(s.files) == 0 {
		add(screen.Item{ID: "none", Role: screen.Text, Label: "There is nothing in it."})
	}
	for i, f := range s.files {
		add(screen.Item{ID: fmt.Sprintf("file-%d", i+1), Role: screen.Button, Label: strings.ToValidUTF8(f.Name(), "?"), Detail: f.ModTime().Format("2 January 2006, 15:04")})
	}
	add(screen.Item{ID: "back", Role: screen.Button, Style: screen.Quiet, Label: "Back"})
	return p
}
