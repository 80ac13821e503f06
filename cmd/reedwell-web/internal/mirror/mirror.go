// Package mirror turns a placed screen into what the page needs to lay its real controls
// over the picture: JSON, and only when it has changed.
//
// Of the pictures themselves nothing is sent but their words; their beads and traces change
// with every frame and no control depends on them. Lengths are CSS pixels. A Mirror belongs
// to one goroutine.
package mirror

import (
	"encoding/json"
	"math"
	"reflect"

	"reedwell/game/screen"
)

// pause is the least time in seconds between two descriptions: a level meter changes with
// every frame, and fifteen times a second is as smooth as a control needs.
const pause = 1.0 / 15

// A Mirror remembers what the page shows.
type Mirror struct {
	last page
	at   float64
	used bool
}

type page struct {
	Name   string  `json:"name"`
	Title  string  `json:"title"`
	Live   string  `json:"live"`
	Alert  string  `json:"alert"`
	Focus  string  `json:"focus"`
	Dark   bool    `json:"dark"`
	Large  bool    `json:"large"`
	Height float64 `json:"height"`
	Items  []item  `json:"items"`
}

type item struct {
	ID       string       `json:"id"`
	Role     screen.Role  `json:"role"`
	Style    screen.Style `json:"style"`
	Label    string       `json:"label"`
	Detail   string       `json:"detail"`
	Group    string       `json:"group"`
	Options  []string     `json:"options"`
	Value    string       `json:"value"`
	Min      float64      `json:"min"`
	Max      float64      `json:"max"`
	Step     float64      `json:"step"`
	Now      float64      `json:"now"`
	Unit     string       `json:"unit"`
	On       bool         `json:"on"`
	Disabled bool         `json:"disabled"`
	Rect     screen.Rect  `json:"rect"`
	Box      float64      `json:"box"` // how far below the top of Rect the part to operate begins
}

// Next returns the description of s, whose content is height pixels high, and whether the
// page has to be told. Text widths come from m; seconds is any monotonic time. What is
// held back because it came too soon comes with a later call.
func (r *Mirror) Next(s screen.Screen, height float64, m screen.Measure, seconds float64) (string, bool) {
	if r.used && s.Name == r.last.Name && seconds-r.at < pause {
		return "", false
	}
	now := describe(s, height, m)
	if r.used && reflect.DeepEqual(now, r.last) {
		return "", false
	}
	text, err := json.Marshal(now)
	if err != nil {
		panic("mirror: " + err.Error()) // a range or a rectangle that is no number: the session's or Place's bug
	}
	r.last, r.at, r.used = now, seconds, true
	return string(text), true
}

func describe(s screen.Screen, height float64, m screen.Measure) page {
	p := page{Name: s.Name, Title: s.Title, Live: s.Live, Alert: s.Alert, Focus: s.Focus,
		Dark: s.Look.Dark, Large: s.Look.Large, Height: math.Ceil(height)}
	for _, i := range s.Items {
		d := item{ID: i.ID, Role: i.Role, Style: i.Style, Label: i.Label, Detail: i.Detail, Group: i.Group, Options: i.Options, Value: i.Value,
			Min: i.Min, Max: i.Max, Step: i.Step, Now: number(i.Now), Unit: i.Unit, On: i.On, Disabled: i.Disabled, Rect: i.Rect}
		switch i.Role {
		case screen.Slider, screen.Select, screen.Field, screen.Meter:
			d.Box = screen.BoxTop(i, s.Look, m)
		}
		p.Items = append(p.Items, d)
	}
	return p
}

// number is x, or 0 where it is none: JSON has no other numbers.
func number(x float64) float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return 0
	}
	return x
}
