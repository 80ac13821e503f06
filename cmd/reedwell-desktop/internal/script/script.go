// Package script plays on a stage by itself, for tests and pictures. A script is steps
// with commas between:
//
//	ITEM            press the item, as soon as it is there and not disabled
//	file:ITEM       have a file chosen for the item
//	set:ITEM=VALUE  set a select or field to the text, a slider to the number, a toggle to on or off
//	screen:NAME     wait for a screen
//	wait:SECONDS    wait
//	shot:FILE       write a picture of the window
//	quit            close the window
package script

import (
	"fmt"
	"image"
	"image/png"
	"os"
	"strconv"
	"strings"

	"reedwell/game/screen"
	"reedwell/game/stage"
)

// A Step is one thing a script does.
type Step struct{ Verb, Arg string }

// Parse reads a script; an empty one has no steps.
func Parse(text string) ([]Step, error) {
	var steps []Step
	if text == "" {
		return nil, nil
	}
	for _, t := range strings.Split(text, ",") {
		verb, arg, found := strings.Cut(t, ":")
		if !found {
			verb, arg = "press", t
			if t == "quit" {
				verb, arg = t, ""
			}
		}
		s := Step{verb, arg}
		bad := arg == "" && verb != "quit"
		switch verb {
		case "press", "file", "screen", "shot", "quit":
		case "set":
			bad = bad || !strings.Contains(arg, "=")
		case "wait":
			w, err := strconv.ParseFloat(arg, 64)
			bad = bad || err != nil || !(w >= 0 && w <= 600)
		default:
			bad = true
		}
		if bad {
			return nil, fmt.Errorf("script step %q: want ITEM, file:ITEM, set:ITEM=VALUE, screen:NAME, wait:SECONDS, shot:FILE or quit", t)
		}
		steps = append(steps, s)
	}
	return steps, nil
}

// patience is how long a step may wait for its screen or item, in seconds: longer than
// any drill.
const patience = 120

// A Window is what a script needs of the game.
type Window interface {
	Shoot(func(*image.RGBA))
	Close()
	Choose(screen.Item)
}

// A Player is a stage on which a script plays; without steps it is the stage itself.
type Player struct {
	Stage interface {
		Poll(stage.Tick) screen.Screen
	}
	Window Window
	Steps  []Step
	Err    error // why the script was given up; the window is closed then

	since float64 // when the step began to wait
	shown screen.Screen
	hold  bool // a picture is being taken
}

// Poll implements game.Stage.
func (d *Player) Poll(t stage.Tick) screen.Screen {
	if len(d.Steps) > 0 && !d.hold && d.Err == nil {
		if a, done := d.step(t.Seconds); done {
			t.Actions = append(t.Actions, a...)
			d.Steps, d.since = d.Steps[1:], t.Seconds
		} else if t.Seconds-d.since > patience {
			d.fail(fmt.Errorf("script step %s %s: waited %d s on screen %q", d.Steps[0].Verb, d.Steps[0].Arg, patience, d.shown.Name))
		}
	}
	d.shown = d.Stage.Poll(t)
	return d.shown
}

func (d *Player) fail(err error) {
	d.Err = err
	d.Window.Close()
}

// step does the first step if its time has come.
func (d *Player) step(now float64) ([]screen.Action, bool) {
	s := d.Steps[0]
	switch s.Verb {
	case "screen":
		return nil, d.shown.Name == s.Arg
	case "wait":
		w, _ := strconv.ParseFloat(s.Arg, 64) // Parse has read it
		return nil, now-d.since >= w
	case "quit":
		d.Window.Close()
		return nil, true
	case "shot":
		d.hold = true
		d.Window.Shoot(func(pic *image.RGBA) {
			d.hold = false
			if err := writePNG(s.Arg, pic); err != nil {
				d.fail(err)
			}
		})
		return nil, true
	}
	id, value, _ := strings.Cut(s.Arg, "=")
	for _, it := range d.shown.Items {
		if it.ID != id || it.Disabled {
			continue
		}
		if s.Verb == "file" {
			d.Window.Choose(it)
			return nil, true
		}
		a := screen.Action{ID: id}
		switch it.Role {
		case screen.Choice:
			a.On = true
		case screen.Toggle:
			a.On = !it.On
			if s.Verb == "set" {
				a.On = value == "on"
			}
		case screen.Slider:
			n, err := strconv.ParseFloat(value, 64)
			if err != nil {
				d.fail(fmt.Errorf("script step set %s: %w", s.Arg, err))
				return nil, false
			}
			a.Now = n
		case screen.Select, screen.Field:
			a.Value = value
		}
		return []screen.Action{a}, true
	}
	return nil, false
}

func writePNG(path string, pic image.Image) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	err = png.Encode(f, pic)
	if e := f.Close(); err == nil {
		err = e
	}
	return err
}
