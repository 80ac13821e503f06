// Package folder is what a computer offers in place of a browser: a folder that keeps the
// player's settings and progress, the clipboard and the date.
package folder

import (
	"fmt"
	"os"
	"path/filepath"
)

// A Store is a stage.Store in the folder of this path: one file for each name.
type Store string

func (f Store) path(name string) string { return filepath.Join(string(f), name+".json") }

// Load returns the error of os.ReadFile, which is fs.ErrNotExist for what was never saved.
func (f Store) Load(name string) ([]byte, error) { return os.ReadFile(f.path(name)) }

// Save writes a new file beside the old one and puts it in its place when it is safely
// on the disk: whenever the power goes, one of the two is there whole.
func (f Store) Save(name string, data []byte) error {
	if err := os.MkdirAll(string(f), 0o700); err != nil {
		return fmt.Errorf("saving %s: %w", name, err)
	}
	t, err := os.CreateTemp(string(f), name+"-*.new")
	if err != nil {
		return fmt.Errorf("saving %s: %w", name, err)
	}
	_, err = t.Write(data)
	if err == nil {
		err = t.Sync()
	}
	if e := t.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = os.Rename(t.Name(), f.path(name))
	}
	if err != nil {
		os.Remove(t.Name())
		return fmt.Errorf("saving %s: %w", name, err)
	}
	return nil
}
