package folder

import (
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"reedwell/game/stage"
	"reedwell/levels/lesson"
)

// An Outside is a stage.Outside of a computer, but for saving files.
type Outside struct {
	Out  io.Writer               // where it says what it did
	Copy func(text string) error // puts text on the clipboard

	fetched []string // asked for and not read yet
}

// NewOutside uses the clipboard of the system.
func NewOutside(out io.Writer) *Outside { return &Outside{Out: out, Copy: toClipboard} }

// CopyLink puts the part of a link from # on, which follows the address of any page of
// this program and is this command's argument, on the clipboard, and prints it.
func (d *Outside) CopyLink(fragment string) {
	link := "#" + fragment
	fmt.Fprintln(d.Out, link)
	if err := d.Copy(link); err != nil {
		fmt.Fprintln(d.Out, "not on the clipboard:", err)
	}
}

// CopyText puts a text on the clipboard and prints it.
func (d *Outside) CopyText(text string) {
	fmt.Fprintln(d.Out, text)
	if err := d.Copy(text); err != nil {
		fmt.Fprintln(d.Out, "not on the clipboard:", err)
	}
}

// Address is empty: a window has none.
func (d *Outside) Address() string { return "" }

// Print does nothing: in a window a sheet is saved.
func (d *Outside) Print() {}

// Fetch asks for a lesson's file in the folder that the program was started in.
func (d *Outside) Fetch(file string) {
	d.fetched = append(d.fetched, file)
}

// Fetched is the next file that was asked for, or nil.
func (d *Outside) Fetched() *stage.Fetched {
	if len(d.fetched) == 0 {
		return nil
	}
	f := &stage.Fetched{File: d.fetched[0]}
	d.fetched = d.fetched[1:]
	in, err := os.OpenInRoot(".", filepath.FromSlash(f.File))
	if err == nil {
		defer in.Close()
		f.Text, err = io.ReadAll(io.LimitReader(in, lesson.MaxBytes+1))
	}
	if err != nil {
		f.Problem = "there is no such file that can be read in the folder this program was started in"
	}
	return f
}

// Today is the local date.
func (d *Outside) Today() string { return time.Now().Format(time.DateOnly) }

// toClipboard hands text to whichever of the systems' own clipboard programs is there,
// without waiting for it: some stay until the text is replaced.
func toClipboard(text string) error {
	for _, c := range [][]string{{"wl-copy"}, {"xclip", "-selection", "clipboard"}, {"xsel", "-ib"}, {"pbcopy"}, {"clip"}} {
		path, err := exec.LookPath(c[0])
		if err != nil {
			continue
		}
		cmd := exec.Command(path, c[1:]...)
		cmd.Stdin = strings.NewReader(text)
		if err := cmd.Start(); err != nil {
			return err
		}
		go cmd.Wait()
		return nil
	}
	return fmt.Errorf("none of wl-copy, xclip, xsel, pbcopy and clip is installed")
}
