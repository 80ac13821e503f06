package game

import (
	"reedwell/game/paint"
	"reedwell/game/screen"
	"reedwell/game/stage"
)

// hands has nothing to do here: the page's controls take the input.
type hands struct{}

func (g *Game) take(t *stage.Tick) {
	g.view = g.o.Page.View()
	t.Width, t.Height, t.System, t.Hidden = g.view.Width, g.view.Height, g.view.Look, g.view.Hidden
	t.Actions, t.Link, t.Fetched = g.o.Page.Actions(), g.o.Page.Link(), g.o.Page.Fetched()
}

func (g *Game) scroll() float64 { return g.view.Scroll }

// touch is nothing: the page draws its own ring.
func (g *Game) touch(screen.Item) paint.Touch { return paint.Touch{} }
