package stage_test

import (
	"testing"

	"reedwell/game/screen"
	"reedwell/levels/drill"
	"reedwell/levels/player"
)

// A part played well is a good take of these bars alone and enters nothing in the progress.
func TestPartDoesNotCount(t *testing.T) {
	r := newRig(t, "")
	r.ready()
	d, err := drill.Build(drill.Spec{ID: "turnaround-1"})
	if err != nil {
		t.Fatal(err)
	}
	p, err := drill.Part(d, 2, 2)
	if err != nil {
		t.Fatal(err)
	}
	r.lick, r.perform = &p, well(player.Faults{})
	r.family("turnaround")
	r.press("level-turnaround-1")
	r.act(screen.Action{ID: "from-bar", Value: "2"})
	r.act(screen.Action{ID: "to-bar", Value: "2"})
	before := string(r.store.data["progress-a"]) + string(r.store.data["progress-b"])
	for range 5 { // as often as opens a level when it is the whole drill
		r.take()
		r.says("A good take")
		r.says("Part of a drill is free practice")
		r.press("change")
	}
	if now := string(r.store.data["progress-a"]) + string(r.store.data["progress-b"]); now != before {
		t.Error("a part of a drill was entered in the progress")
	}
	r.press("all-bars")
	r.lick, r.spec = nil, drill.Spec{ID: "turnaround-1"}
	r.take()
	if now := string(r.store.data["progress-a"]) + string(r.store.data["progress-b"]); now == before {
		t.Error("the whole drill after it was not entered in the progress")
	}
}
