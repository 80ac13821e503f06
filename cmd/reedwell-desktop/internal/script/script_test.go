package script_test

import (
	"image"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"reedwell/cmd/reedwell-desktop/internal/script"
	"reedwell/game/screen"
	"reedwell/game/stage"
)

func TestParse(t *testing.T) {
	got, err := script.Parse("start,set:key=A,screen:harp,wait:0.5,shot:a.png,quit")
	want := []script.Step{{"press", "start"}, {"set", "key=A"}, {"screen", "harp"}, {"wait", "0.5"}, {"shot", "a.png"}, {"quit", ""}}
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("Parse = %v, %v; want %v", got, err, want)
	}
	for _, bad := range []string{",", "wait:", "wait:soon", "wait:-1", "set:key", "dance:1", "start,,quit", "screen:"} {
		if _, err := script.Parse(bad); err == nil {
			t.Errorf("Parse(%q) finds nothing wrong", bad)
		}
	}
}

// book is a stage of two screens and the window around it.
type book struct {
	did    []screen.Action
	closed bool
	chose  []string // items for which a file was to be chosen
}

func (b *book) Poll(t stage.Tick) screen.Screen {
	b.did = append(b.did, t.Actions...)
	s := screen.Screen{Name: "one", Items: []screen.Item{{ID: "on", Role: screen.Button, Disabled: t.Seconds < 1}}}
	if len(b.did) > 0 {
		s = screen.Screen{Name: "two", Items: []screen.Item{{ID: "a4", Role: screen.Slider}, {ID: "large", Role: screen.Toggle, On: true}, {ID: "key", Role: screen.Select}}}
	}
	return s
}

func (b *book) Shoot(f func(*image.RGBA)) { f(image.NewRGBA(image.Rect(0, 0, 4, 4))) }
func (b *book) Close()                    { b.closed = true }
func (b *book) Choose(it screen.Item)     { b.chose = append(b.chose, it.ID) }

func play(t *testing.T, text string, seconds float64) (*book, *script.Player) {
	steps, err := script.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	b := new(book)
	p := &script.Player{Stage: b, Window: b, Steps: steps}
	for at := 0.0; at < seconds && !b.closed; at += 0.25 {
		p.Poll(stage.Tick{Seconds: at})
	}
	return b, p
}

func TestPlayerWaitsAndPresses(t *testing.T) {
	shot := filepath.Join(t.TempDir(), "a.png")
	b, p := play(t, "on,screen:two,file:key,set:a4=442,set:large=on,set:key=A,shot:"+shot+",quit", 10)
	want := []screen.Action{{ID: "on"}, {ID: "a4", Now: 442}, {ID: "large", On: true}, {ID: "key", Value: "A"}}
	if !reflect.DeepEqual(b.did, want) || len(b.chose) != 1 || b.chose[0] != "key" || !b.closed || p.Err != nil {
		t.Errorf("did %+v, closed %v, error %v; want %+v, closed", b.did, b.closed, p.Err, want)
	}
	if _, err := os.Stat(shot); err != nil {
		t.Error(err)
	}
}

func TestPlayerGivesUp(t *testing.T) {
	b, p := play(t, "screen:three", 200)
	if !b.closed || p.Err == nil || !strings.Contains(p.Err.Error(), "three") {
		t.Errorf("closed %v, error %v; want closed with an error that names the screen", b.closed, p.Err)
	}
	b, p = play(t, "on,set:a4=high", 200)
	if !b.closed || p.Err == nil {
		t.Errorf("closed %v, error %v; want closed over a number that is none", b.closed, p.Err)
	}
}
