package session

import "testing"

// TestNoticesGoWithTheirScreen has what going on answers put away by going on, and what is lost stay.
func TestNoticesGoWithTheirScreen(t *testing.T) {
	w := newWalk(t, known())
	w.in.Notices = []Notice{{"few-reeds", "Only 3 reeds were heard."}, {"store", "Your progress can not be kept."}}
	w.step()
	for _, id := range []string{"notice-few-reeds", "notice-store"} {
		if w.item(id) == nil {
			t.Errorf("%s is not told", id)
		}
	}
	w.press("settings")
	if w.item("notice-few-reeds") != nil {
		t.Error("few reeds are told on the next screen")
	}
	if w.item("notice-store") == nil {
		t.Error("progress that is not kept is not told on the next screen")
	}
	w.press("put-away-store")
	if w.item("notice-store") != nil {
		t.Error("what was put away is told")
	}
}
