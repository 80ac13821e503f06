package session

import (
	"slices"
	"strings"
	"testing"

	"reedwell/game/paint"
	"reedwell/game/screen"
	"reedwell/levels/drill"
)

// atHome is a walk that has come home, with the microphone on or off.
func atHome(t *testing.T, s Settings, path []Entry, sound Sound) *walk {
	w := newWalk(t, s)
	w.in.Path, w.in.Sound = path, sound
	w.press("look")
	if w.out.Screen.Name != "path" {
		t.Fatalf("screen %q, want home", w.out.Screen.Name)
	}
	return w
}

// homes are what home can look like: from the first day to the last, with each family, with and without a microphone.
func homes(t *testing.T) map[string]*walk {
	all := map[string]*walk{}
	add := func(name string, s Settings, path []Entry) {
		all[name] = atHome(t, s, path, Sound{})
		all[name+", microphone on"] = atHome(t, s, path, on())
	}
	passed := entries(func(e *Entry) { e.Standing, e.Next = Passed, false })
	for _, f := range drill.Families() {
		s := known()
		s.Family = f
		add(string(f), s, nil)
	}
	add("all passed", known(), passed)
	add("nothing of the path", known(), []Entry{})
	add("another family", known(), entries(func(e *Entry) {
		if e.Family == drill.Single {
			e.Standing, e.Next = Passed, false
		}
	}))
	add("due", known(), entries(func(e *Entry) {
		if e.ID == "single-1" {
			e.Standing, e.Due = Passed, true
		}
	}))
	asleep := newWalk(t, known())
	asleep.in.Sound, asleep.in.Now = on(), 1
	asleep.step()
	asleep.press("start")
	asleep.in.Now += 48000 * (idleAfter + 1)
	asleep.step()
	asleep.in.Sound = Sound{Opened: 1}
	asleep.step()
	all["asleep"] = asleep
	return all
}

// mostBefore is how many words may stand on home before the one thing to do next: as many as are taken in at a glance, at
// four words a second in some six seconds. Our choice.
const mostBefore = 24

// The law of home: there is one thing to do next; nothing long stands before it; it is in the first view on a small phone,
// in its own place and not in the foot, in large text too.
func TestHomeBeginsWithWhatToDoNext(t *testing.T) {
	fonts := paint.NewFonts()
	for name, w := range homes(t) {
		s := w.out.Screen
		next := slices.IndexFunc(s.Items, func(it screen.Item) bool { return it.Style == screen.Primary })
		if next < 0 || s.Focus != s.Items[next].ID {
			t.Errorf("%s: nothing to do next has the keyboard:\n%s", name, inWords(s))
			continue
		}
		words := 0
		for i, it := range s.Items {
			if i < next {
				words += len(strings.Fields(it.Label)) + len(strings.Fields(it.Detail))
			}
			if i != next && it.Style == screen.Primary {
				t.Errorf("%s: there are two things to do next, %s and %s", name, s.Items[next].ID, it.ID)
			}
		}
		if words > mostBefore {
			t.Errorf("%s: %d words stand before %s, want %d at most:\n%s", name, words, s.Items[next].ID, mostBefore, inWords(s))
		}
		for _, large := range []bool{false, true} {
			s.Look.Large = large
			placed, _ := screen.Place(s, 360, 640, fonts)
			if it := placed.Items[next]; it.Foot || it.Rect.Y+it.Rect.H > 640 {
				t.Errorf("%s, large text %v: %s ends at %g px, in the foot %v", name, large, it.ID, it.Rect.Y+it.Rect.H, it.Foot)
			}
		}
	}
}

// Each family is two presses from home, and home shows it then: all its levels and the one to play next.
func TestEveryFamilyIsTwoPressesAway(t *testing.T) {
	for _, f := range drill.Families() {
		w := atHome(t, known(), nil, on())
		w.press("families")
		w.press("family-" + string(f))
		if w.out.Screen.Name != "path" {
			t.Errorf("%s: two presses lead to %q", f, w.out.Screen.Name)
		}
		var want []string
		for _, d := range drill.List() {
			if d.Family == f && (f != drill.Ladder || strings.HasPrefix(d.ID, "ladder-4d")) {
				want = append(want, "level-"+d.ID)
			}
		}
		var got []string
		for _, it := range w.out.Screen.Items {
			if it.Tile && strings.HasPrefix(it.ID, "level-") {
				got = append(got, it.ID)
			}
		}
		if !slices.Equal(got, want) || len(want) == 0 {
			t.Errorf("%s: home leads to %v, want %v", f, got, want)
		}
		w.press("next")
		if d := w.state.drill; w.out.Screen.Name != "drill" || d.Family != f {
			t.Errorf("%s: the next drill is %s, on screen %q", f, d.ID, w.out.Screen.Name)
		}
	}
}

// Every family stands in one group, and a tile has words for it.
func TestGroupsHoldEveryFamily(t *testing.T) {
	count := map[drill.Family]int{}
	for _, g := range groups() {
		for _, f := range g.families {
			count[f]++
		}
	}
	for _, f := range drill.Families() {
		if count[f] != 1 || about(f) == "" {
			t.Errorf("%s stands in %d groups and is told about as %q", f, count[f], about(f))
		}
	}
	if len(count) != len(drill.Families()) {
		t.Errorf("the groups have %d families, want %d", len(count), len(drill.Families()))
	}
}

// All that home leads to besides drills is one press away.
func TestHomeLeadsEverywhere(t *testing.T) {
	for name, w := range homes(t) {
		for id, screen := range map[string]string{"lessons": "lessons", "room": "room", "harps": "harps", "map": "map", "week": "week", "settings": "settings", "families": "families"} {
			v := *w
			v.press(id)
			if v.out.Screen.Name != screen {
				t.Errorf("%s: %s leads to %q", name, id, v.out.Screen.Name)
			}
			v.press("back")
			if v.out.Screen.Name != "path" {
				t.Errorf("%s: from %s one comes back to %q", name, id, v.out.Screen.Name)
			}
		}
	}
}

// Doors are all of one size, whatever they say and however many stand in the last row.
func TestDoorsAreOfOneSize(t *testing.T) {
	fonts := paint.NewFonts()
	for _, f := range drill.Families() {
		s := known()
		s.Family = f
		w := atHome(t, s, nil, on())
		for _, size := range [][2]float64{{320, 568}, {360, 640}, {844, 390}, {1280, 800}} {
			for _, large := range []bool{false, true} {
				look := w.out.Screen
				look.Look.Large = large
				placed, _ := screen.Place(look, size[0], size[1], fonts)
				var first *screen.Item
				for _, it := range placed.Items {
					if !strings.HasPrefix(it.ID, "level-") {
						continue
					}
					if first == nil {
						first = &it
					}
					if it.Rect.W != first.Rect.W || it.Rect.H != first.Rect.H {
						t.Errorf("%s at %v, large text %v: %s is %g by %g px and %s %g by %g", f, size, large, first.ID, first.Rect.W, first.Rect.H, it.ID, it.Rect.W, it.Rect.H)
					}
				}
				if first == nil {
					t.Errorf("%s: no doors", f)
				}
			}
		}
	}
}

// What is next is that of the family in sight; where nothing is left in it what is due elsewhere comes before what is new.
func TestSuggestion(t *testing.T) {
	done := func(e *Entry) {
		if e.Family == drill.Scoop {
			e.Standing, e.Next = Passed, false
		}
	}
	for _, c := range []struct {
		name   string
		change func(*Entry)
		want   string
	}{
		{"its own first level", nil, "scoop-1"},
		{"the family after it", done, "blue-1"},
		{"what is due anywhere", func(e *Entry) {
			done(e)
			if e.ID == "single-1" {
				e.Standing, e.Due = Passed, true
			}
		}, "single-1"},
		{"nothing", func(e *Entry) { e.Next = false }, ""},
	} {
		s := known()
		s.Family = drill.Scoop
		w := atHome(t, s, entries(c.change), on())
		st := stepper{State: w.state}
		if e, ok := st.suggestion(); e.ID != c.want || ok != (c.want != "") {
			t.Errorf("%s: %q is next, want %q", c.name, e.ID, c.want)
		}
	}
}
