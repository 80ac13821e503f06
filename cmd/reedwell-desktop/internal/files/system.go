//go:build !js

package files

import (
	"errors"
	"os/exec"

	"github.com/ncruces/zenity"
)

// System are the dialogs of Windows and macOS, and elsewhere those of zenity or a program that
// takes its options.
type System struct{}

// Open implements Dialogs.
func (System) Open(title, folder string) (string, error) {
	path, err := zenity.SelectFile(zenity.Title(title), zenity.Filename(folder+"/"))
	return path, reason(err)
}

// Save implements Dialogs.
func (System) Save(title, path string) (string, error) {
	path, err := zenity.SelectFileSave(zenity.Title(title), zenity.Filename(path), zenity.ConfirmOverwrite())
	return path, reason(err)
}

// reason translates the library's errors.
func reason(err error) error {
	var missing *exec.Error
	switch {
	case errors.Is(err, zenity.ErrCanceled):
		return ErrCancelled
	case errors.As(err, &missing), errors.Is(err, zenity.ErrUnsupported):
		return ErrNone
	}
	return err
}
