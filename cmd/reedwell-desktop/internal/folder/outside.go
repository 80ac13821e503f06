package folder

import (
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"
)

// An Outside is a stage.Outside of a computer.
type Outside struct {
	Out       io.Writer               // where it says what it did
	Downloads string                  // folder of files offered to the player
	Copy      func(text string) error // puts text on the clipboard
}

// NewOutside uses the folder Downloads in the player's home, or the home where there is
// none, and the clipboard of the system.
func NewOutside(out io.Writer) *Outside {
	d := &Outside{Out: out, Downloads: ".", Copy: toClipboard}
	if home, err := os.UserHomeDir(); err == nil {
		d.Downloads = home
		if info, err := os.Stat(filepath.Join(home, "Downloads")); err == nil && info.IsDir() {
			d.Downloads = filepath.Join(home, "Downloads")
		}
	}
	return d
}

// Download writes a file into the player's downloads and says where; it replaces none.
func (d *Outside) Download(name string, data []byte) {
	ext := filepath.Ext(name)
	base := strings.TrimSuffix(filepath.Base(name), ext)
	for n := 1; n < 1000; n++ {
		path := filepath.Join(d.Downloads, base+ext)
		if n > 1 {
			path = filepath.Join(d.Downloads, fmt.Sprintf("%s-%d%s", base, n, ext))
		}
		f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
		if os.IsExist(err) {
			continue
		}
		if err == nil {
			_, err = f.Write(data)
			if e := f.Close(); err == nil {
				err = e
			}
		}
		if err != nil {
			fmt.Fprintln(d.Out, "not saved:", err)
			return
		}
		fmt.Fprintln(d.Out, "saved", path)
		return
	}
	fmt.Fprintln(d.Out, "not saved: too many files named", name)
}

// CopyLink puts the part of a link from # on, which follows the address of any page of
// this program and is this command's argument, on the clipboard, and prints it.
func (d *Outside) CopyLink(fragment string) {
	link := "#" + fragment
	fmt.Fprintln(d.Out, link)
	if err := d.Copy(link); err != nil {
		fmt.Fprintln(d.Out, "not on the clipboard:", err)
	}
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
