//go:build js

package main

import (
	"encoding/json"
	"syscall/js"
	"time"

	"reedwell/cmd/reedwell-web/internal/mirror"
	"reedwell/game"
	"reedwell/game/screen"
	"reedwell/game/stage"
)

// A page is the page around the picture; web/page.js is its other half. Everything happens
// on the page's one thread.
type page struct {
	js      js.Value
	stage   *stage.Stage
	game    *game.Game
	measure screen.Measure

	view    game.View
	link    string // opened and not yet asked for
	fetched []*stage.Fetched
	vault   *vault

	mirror  mirror.Mirror
	placed  screen.Screen // as last shown
	content float64
	used    bool
}

// seconds is a monotonic time.
func seconds() float64 { return js.Global().Get("performance").Call("now").Float() / 1000 }

// receive takes an event of the page.
func (p *page) receive(kind, text string, bytes js.Value) {
	switch kind {
	case "act":
		var a screen.Action
		if json.Unmarshal([]byte(text), &a) != nil {
			return // the script writes none such
		}
		if bytes.Truthy() {
			a.Bytes = copied(bytes)
		}
		p.game.Pressed(time.Now())
		// At once and not with the next frame: the browser gives the microphone, the sound
		// and the clipboard only to what the player has just done.
		p.stage.Act(a)
	case "view":
		var v struct {
			Width, Height, Scroll float64
			Dark, Still, Hidden   bool
		}
		if json.Unmarshal([]byte(text), &v) != nil {
			return
		}
		p.view = game.View{Width: v.Width, Height: v.Height, Scroll: v.Scroll, Look: screen.Look{Dark: v.Dark, Still: v.Still}, Hidden: v.Hidden}
	case "link":
		p.link = text
	case "fetched":
		var f struct{ File, Problem string }
		if json.Unmarshal([]byte(text), &f) != nil {
			return
		}
		come := &stage.Fetched{File: f.File, Problem: f.Problem}
		if bytes.Truthy() {
			come.Text = copied(bytes)
		}
		p.fetched = append(p.fetched, come)
	case "left":
		p.vault.known = true
		if bytes.Truthy() {
			p.vault.head, p.vault.sound = []byte(text), copied(bytes)
		}
	}
	// What can not be seen is not drawn, and nobody asks the stage; it goes on all the same.
	if p.view.Hidden {
		p.stage.Poll(stage.Tick{Seconds: seconds(), Width: p.view.Width, Height: p.view.Height,
			System: p.view.Look, Hidden: true, Link: p.Link(), Fetched: p.Fetched()})
	}
}

// View implements game.Page. It comes once a frame, so what was held back goes out here.
func (p *page) View() game.View {
	p.flush()
	return p.view
}

// Actions implements game.Page: receive has handed on all there were.
func (p *page) Actions() []screen.Action { return nil }

// Link implements game.Page.
func (p *page) Link() string {
	l := p.link
	p.link = ""
	return l
}

// Fetched implements game.Page.
func (p *page) Fetched() *stage.Fetched {
	if len(p.fetched) == 0 {
		return nil
	}
	f := p.fetched[0]
	p.fetched = p.fetched[1:]
	return f
}

// Show implements game.Page.
func (p *page) Show(placed screen.Screen, height float64) {
	p.placed, p.content, p.used = placed, height, true
	p.flush()
}

func (p *page) flush() {
	if !p.used {
		return
	}
	if text, changed := p.mirror.Next(p.placed, p.content, p.measure, seconds()); changed {
		p.js.Call("show", text)
	}
}
