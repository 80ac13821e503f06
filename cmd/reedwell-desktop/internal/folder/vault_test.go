package folder_test

import (
	"os"
	"path/filepath"
	"testing"

	"reedwell/cmd/reedwell-desktop/internal/folder"
)

func TestVaultOutlivesTheProgram(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new")
	left := func() string {
		head, sound, ok := folder.NewVault(dir).Left()
		if !ok {
			t.Error("a folder does not know what is in it")
		}
		return string(head) + "|" + string(sound)
	}
	v := folder.NewVault(dir)
	if got := left(); got != "|" {
		t.Errorf("an empty folder has %q", got)
	}
	v.Begin([]byte("one"))
	v.Add([]byte("ab"))
	v.Add([]byte("cd"))
	if got := left(); got != "one|abcd" {
		t.Errorf("left %q, want one|abcd", got)
	}
	v.Begin([]byte("two"))
	if got := left(); got != "two|" {
		t.Errorf("left %q, want two|", got)
	}
	v.Drop()
	v.Add([]byte("late"))
	if got := left(); got != "|" {
		t.Errorf("left %q after it was dropped", got)
	}
}

// A file that is cut short or no file of ours is as none.
func TestVaultReadsHostileFiles(t *testing.T) {
	dir := t.TempDir()
	for _, data := range []string{"", "abc", "\xff\xff\xff\xffhead", "\x05\x00\x00\x00head"} {
		if err := os.WriteFile(filepath.Join(dir, "take.part"), []byte(data), 0o600); err != nil {
			t.Fatal(err)
		}
		if head, sound, _ := folder.NewVault(dir).Left(); len(head)+len(sound) > 0 {
			t.Errorf("%q is read as %q, %q", data, head, sound)
		}
	}
}
