package stage_test

import (
	"bytes"
	"slices"
	"testing"

	"reedwell/game/screen"
	"reedwell/levels/drill"
	"reedwell/levels/path"
	"reedwell/levels/player"
)

// progressOf is the progress in a copy that was saved.
func progressOf(t *testing.T, data []byte) path.Progress {
	t.Helper()
	p, err := path.Decode(data)
	if err != nil {
		t.Fatalf("%v in %q", err, data)
	}
	return p
}

// A copy saved on the page is read in the window, and the other way round: both then have
// the same, with all that was earned in either, and reading a copy twice changes nothing.
func TestProgressGoesFromPageToWindowAndBack(t *testing.T) {
	copyOf := func(r *rig) []byte {
		r.press("export")
		if r.outside.name != "reedwell-progress.json" {
			t.Fatalf("saved as %q", r.outside.name)
		}
		return slices.Clone(r.outside.file)
	}
	read := func(r *rig, data []byte) {
		r.act(screen.Action{ID: "import", Name: "reedwell-progress.json", Bytes: data})
		r.says("was read and added")
		r.press("put-away-import")
	}
	play := func(page bool, today, id string, takes int) *rig {
		r := newRig(t, "")
		r.page, r.outside.today = page, today
		r.start("")
		r.ready()
		r.spec, r.perform = drill.Spec{ID: id}, well(player.Faults{})
		r.press("level-" + id)
		for range takes {
			r.take()
			r.press("change")
		}
		r.press("back")
		r.press("settings")
		return r
	}
	page, window := play(true, "2026-11-25", "single-1", 2), play(false, "2026-11-26", "single-1", 1)
	fromPage, fromWindow := copyOf(page), copyOf(window)
	read(window, fromPage)
	read(page, fromWindow)
	both := copyOf(page)
	if got := copyOf(window); !bytes.Equal(got, both) {
		t.Errorf("the window has\n%s\nand the page\n%s", got, both)
	}
	have := progressOf(t, both)
	if got := len(have.Standing("single-1").Last); got != 3 {
		t.Errorf("%d takes after two on the page and one in the window, want 3", got)
	}
	for _, c := range [][]byte{fromPage, fromWindow, both} {
		read(page, c)
		read(window, c)
	}
	if !bytes.Equal(copyOf(page), both) || !bytes.Equal(copyOf(window), both) {
		t.Error("a copy that was read before changed something")
	}
}
