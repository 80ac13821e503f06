package stage_test

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"reedwell/game/screen"
	"reedwell/game/session"
	"reedwell/game/shelf"
	"reedwell/game/stage"
	"reedwell/levels/drill"
	"reedwell/levels/lesson/lessontest"
	"reedwell/levels/path"
	"reedwell/levels/player"
	"reedwell/levels/week"
)

// journal is the newer of the two journals in the store.
func (r *rig) journal() week.Journal {
	r.Helper()
	var newest week.Journal
	for _, name := range []string{"journal-a", "journal-b"} {
		if data := r.store.data[name]; len(data) > 0 {
			j, err := week.DecodeJournal(data)
			if err != nil {
				r.Fatal(err)
			}
			if merged, err := week.Merge(j, newest); err != nil {
				r.Fatal(err)
			} else {
				newest = merged
			}
		}
	}
	return newest
}

// today is the rig's day.
func (r *rig) today() path.Day {
	r.Helper()
	day, err := path.ParseDay(r.outside.today)
	if err != nil {
		r.Fatal(err)
	}
	return day
}

// A take is entered once, with its length and what was measured; the week tells of it, and
// still does after the program was started anew.
func TestTakesAreEntered(t *testing.T) {
	r := newRig(t, "")
	r.ready()
	r.spec = drill.Spec{ID: "ladder-4d-3"}
	const deep = 20.0 // cents
	r.perform = well(player.Faults{Deep: deep})
	d, err := drill.Build(r.spec)
	if err != nil {
		t.Fatal(err)
	}
	r.family("ladder")
	r.press("level-ladder-4d-3")
	r.take()
	j := r.journal()
	days := j.Days(r.today(), r.today())
	if days[0].Takes != 1 || days[0].Minutes*60 < d.Seconds-0.5 || days[0].Minutes*60 > d.Seconds+0.5 {
		t.Errorf("%+v, want one take of %.1f s", days[0], d.Seconds)
	}
	// What the synthesiser was asked for is what the week says, within 1 cent: it is shown in
	// whole ones.
	points := j.Weeks("bend-4d", r.today(), r.today())
	if points[0].N != 1 || math.Abs(points[0].Mean-deep) > 1 {
		t.Errorf("bend on 4 draw: %+v, want %g cents off", points[0], deep)
	}
	r.press("back")
	r.press("week")
	r.says("1 take")
	r.says("Bend on 4 draw")

	r.start("")
	r.press("look")
	r.press("week")
	r.says("1 take")
	if again := r.journal(); again.Source() != j.Source() {
		t.Errorf("the source is %s after starting anew, want %s", again.Source(), j.Source())
	}
}

// A part of a drill is time and no more; a lick is known by what it asks.
func TestPartsAndLicksAreEntered(t *testing.T) {
	r := newRig(t, "")
	r.ready()
	r.spec = drill.Spec{ID: "turnaround-3"}
	r.perform = well(player.Faults{})
	r.loose = true
	r.family("turnaround")
	r.press("level-turnaround-3")
	r.act(screen.Action{ID: "to-bar", Value: "1"})
	r.take()
	j := r.journal()
	if days := j.Days(r.today(), r.today()); days[0].Takes != 1 || days[0].Minutes == 0 || len(j.Drills(r.today())) != 0 {
		t.Errorf("after a part: %+v, drills %+v; want a take and no drill", days[0], j.Drills(r.today()))
	}
	r.press("back")
	l := lessontest.Demo(t, "shoes")
	r.press("lessons")
	r.press("lesson-demo-shoes")
	r.press("play-1")
	r.take()
	tried := r.journal().Drills(r.today())
	if len(tried) > 1 || len(tried) == 1 && tried[0].Drill != shelf.JournalID(shelf.LickKey(l, 0)) {
		t.Errorf("after a lick: %+v, want it by its key", tried)
	}
}

// With a full storage the player is told and can go on, nothing is lost, and the next take
// that finds room writes all of them.
func TestJournalWithoutRoom(t *testing.T) {
	r := newRig(t, "")
	r.ready()
	r.spec = drill.Spec{ID: "single-1"}
	r.perform = well(player.Faults{})
	r.press("level-single-1")
	r.store.full = true
	r.take()
	r.says("storage is full")
	if len(r.store.data["journal-a"]) != 0 {
		t.Fatal("something was written into a full storage")
	}
	r.press("back")
	r.press("week")
	r.says("1 take")
	r.press("export-journal")
	if j, err := week.DecodeJournal(r.outside.file); err != nil || r.outside.name != "reedwell-journal.json" || j.Days(r.today(), r.today())[0].Takes != 1 {
		t.Errorf("the copy %q: %v", r.outside.name, err)
	}
	r.press("back")
	r.store.full = false
	r.press("level-single-1")
	r.take()
	if days := r.journal().Days(r.today(), r.today()); days[0].Takes != 2 {
		t.Errorf("%d takes are kept, want 2", days[0].Takes)
	}
}

// A damaged journal, and one of a later version, are told, put aside and gone on from.
func TestJournalThatCannotBeRead(t *testing.T) {
	for name, c := range map[string]struct{ data, says string }{
		"damaged": {`{"reedwell-journal":1,"sha256":"00"}`, "A part of your practice journal was damaged"},
		"newer":   {`{"reedwell-journal":7,"more":[]}`, "from a newer version"},
	} {
		r := newRig(t, "")
		r.store.data["journal-a"] = []byte(c.data)
		r.start("")
		r.press("look")
		r.says(c.says)
		kept := false
		for name, data := range r.store.data {
			kept = kept || strings.HasPrefix(name, "journal-aside-") && string(data) == c.data
		}
		if !kept {
			t.Errorf("%s: no copy of it was kept aside", name)
		}
		r.store.data = map[string][]byte{}
		r.start("")
		r.ready()
		r.spec = drill.Spec{ID: "single-1"}
		r.perform = well(player.Faults{})
		r.press("level-single-1")
		r.take()
		if days := r.journal().Days(r.today(), r.today()); days[0].Takes != 1 {
			t.Errorf("%s: %d takes afterwards, want 1", name, days[0].Takes)
		}
	}
}

func TestJournalIsBroughtAlong(t *testing.T) {
	r := newRig(t, "")
	r.press("look")
	r.press("week")
	other := week.New("00000000000000bb").Add(r.today(), week.Take{Drill: "single-1", Seconds: 120, Share: 1, Good: true})
	for range 2 { // a second time changes nothing
		r.act(screen.Action{ID: "import-journal", Bytes: other.Encode()})
		r.says("The copy was read")
		r.says("2 minutes played on 1 day, 1 take.")
		r.press("put-away-import-journal")
	}
	r.act(screen.Action{ID: "import-journal", Bytes: []byte("{}")})
	r.says("not a whole copy")
	r.press("put-away-import-journal")
	r.act(screen.Action{ID: "import-journal", Bytes: []byte(`{"reedwell-journal":2}`)})
	r.says("newer version")
}

// What a student gives away is what a teacher sees: by link, and by several files at once.
func TestWeekGoesToTheTeacher(t *testing.T) {
	r := newRig(t, "")
	r.press("look")
	r.press("week")
	r.act(screen.Action{ID: "import-journal", Bytes: week.New("00000000000000bb").Add(r.today(), week.Take{Drill: "single-1", Seconds: 120, Share: 1, Good: true}).Encode()})
	r.act(screen.Action{ID: "your-name", Value: "Ana"})
	r.press("give-link")
	r.press("give-file")
	fragment, file := r.outside.link, bytes.Clone(r.outside.file)
	if !strings.HasPrefix(fragment, "v=1&week=") || !strings.HasSuffix(r.outside.name, "-ana.json") {
		t.Fatalf("given %q and %q", fragment, r.outside.name)
	}

	teacher := newRig(t, fragment)
	teacher.on("student")
	teacher.says("Ana")
	teacher.says("2 minutes played on 1 day, 1 take.")
	if teacher.opened != 0 {
		t.Error("the microphone was asked for")
	}
	teacher.press("class")
	teacher.says("1 student")

	teacher = newRig(t, "")
	teacher.stage = stage.New(stage.Options{Open: teacher.open, Store: teacher.store, Outside: teacher.outside,
		Sent: []session.Sent{{Name: "ana.json", Bytes: file}, {Name: "odd.json", Bytes: []byte("{}")}}})
	teacher.poll()
	teacher.on("class")
	teacher.says("Ana")
	teacher.says("odd.json: it is no whole file")

	teacher.tick.Link = fragment[:len(fragment)-4]
	teacher.poll()
	teacher.tick.Link = ""
	teacher.says("can not be opened")
}
