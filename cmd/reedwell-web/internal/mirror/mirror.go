// Package mirror turns a placed screen into what the page needs to lay its real controls
// over the picture: JSON, and only when it has changed.
//
// What is large is sent once: the text of an area with each version of it, a page of paper
// when it is new.
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
	sent map[string]*screen.Picture // by item
}

type page struct {
	Name   string  `json:"name"`
	Title  string  `json:"title"`
	Live   string  `json:"live"`
	Alert  string  `json:"alert"`
	Focus  string  `json:"focus"`
	Dark   bool    `json:"dark"`
	Large  bool    `json:"large"`
	Height float64 `json:"height"` // of what scrolls
	Foot   float64 `json:"foot"`   // height of the strip under it
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
	Foot     bool         `json:"foot,omitempty"`
	Box      float64      `json:"box"` // how far below the top of Rect the part to operate begins

	// Of an area. Its Value is only sent with another Version, and else empty.
	Version int  `json:"version,omitempty"`
	Fixed   bool `json:"fixed,omitempty"` // it can not be changed
	Line    int  `json:"line,omitempty"`
	Column  int  `json:"column,omitempty"`
	Sent    int  `json:"sent,omitempty"`

	Many bool `json:"many,omitempty"` // of a file: several may be chosen

	// Of a page of paper: its number and, when that is another, the SVG.
	Paper int    `json:"paper,omitempty"`
	SVG   string `json:"svg,omitempty"`
}

// Next returns the description of s, whose content is height pixels high, and whether the
// page has to be told. Text widths come from m; seconds is any monotonic time. What is
// held back because it came too soon comes with a later call.
func (r *Mirror) Next(s screen.Screen, height float64, m screen.Measure, seconds float64) (string, bool) {
	if r.used && s.Name == r.last.Name && seconds-r.at < pause {
		return "", false
	}
	now := describe(s, height, m)
	papers := r.number(s, &now)
	if r.used && reflect.DeepEqual(now, r.last) {
		return "", false
	}
	text, err := json.Marshal(r.whole(s, now, papers))
	if err != nil {
		panic("mirror: " + err.Error()) // a range or a rectangle that is no number: the session's or Place's bug
	}
	r.last, r.at, r.used = now, seconds, true
	return string(text), true
}

// number gives each page of paper the number under which the page knows it, and returns which
// items have a new one.
func (r *Mirror) number(s screen.Screen, now *page) map[int]bool {
	fresh := map[int]bool{}
	for i, it := range s.Items {
		if it.Role != screen.Image || it.Picture == nil {
			continue
		}
		if r.sent == nil {
			r.sent = map[string]*screen.Picture{}
		}
		before := 0
		if had := r.item(it.ID); had != nil && had.Role == screen.Image {
			before = had.Paper
		}
		now.Items[i].Paper = before
		if before == 0 || r.sent[it.ID] != it.Picture {
			now.Items[i].Paper = before + 1
			fresh[i] = true
		}
	}
	return fresh
}

// item is what the page was told of an item last.
func (r *Mirror) item(id string) *item {
	for i := range r.last.Items {
		if r.last.Items[i].ID == id {
			return &r.last.Items[i]
		}
	}
	return nil
}

// whole is the description with what is large in it, where the page has not got it.
func (r *Mirror) whole(s screen.Screen, now page, papers map[int]bool) page {
	now.Items = append([]item(nil), now.Items...)
	for i, it := range s.Items {
		d := &now.Items[i]
		switch {
		case papers[i]:
			d.SVG = string(it.Picture.SVG)
			r.sent[it.ID] = it.Picture
		case it.Role == screen.Area:
			if had := r.item(it.ID); !r.used || had == nil || had.Version != d.Version {
				d.Value = it.Value
			}
		}
	}
	return now
}

func describe(s screen.Screen, height float64, m screen.Measure) page {
	p := page{Name: s.Name, Title: s.Title, Live: s.Live, Alert: s.Alert, Focus: s.Focus,
		Dark: s.Look.Dark, Large: s.Look.Large, Height: math.Ceil(height - s.Foot.H), Foot: s.Foot.H}
	for _, i := range s.Items {
		d := item{ID: i.ID, Role: i.Role, Style: i.Style, Label: i.Label, Detail: i.Detail, Group: i.Group, Options: i.Options, Value: i.Value,
			Min: i.Min, Max: i.Max, Step: i.Step, Now: number(i.Now), Unit: i.Unit, On: i.On, Disabled: i.Disabled, Rect: i.Rect, Many: i.Many, Foot: i.Foot}
		if i.Plot != nil {
			d.Detail += "\n" + i.Plot.Words() // whoever does not see the drawing gets its numbers
		}
		if w := i.Writing; w != nil {
			d.Value = "" // see whole
			d.Version, d.Fixed, d.Line, d.Column, d.Sent = w.Version+1, w.Lines == 0, w.Line, w.Column, w.Sent
		}
		switch i.Role {
		case screen.Slider, screen.Select, screen.Field, screen.Area, screen.Meter:
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
