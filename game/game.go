package game

import (
	"image"
	"time"

	"github.com/hajimehoshi/ebiten/v2"

	"reedwell/game/pace"
	"reedwell/game/paint"
	"reedwell/game/screen"
	"reedwell/game/stage"
)

// A Stage runs the program; *stage.Stage is one.
type Stage interface {
	Poll(stage.Tick) screen.Screen
}

// A Page is the page around the picture, in the browser.
type Page interface {
	// View is what the page knows at this frame.
	View() View
	// Actions are those since the last call that the page has not handed to the stage itself.
	Actions() []screen.Action
	// Link is the fragment of a link opened since the last call, or empty.
	Link() string
	// Fetched is a file that was asked for and has come since the last call, or nil.
	Fetched() *stage.Fetched
	// Show is called with a placed screen and the height of its content in CSS pixels
	// whenever anything but beads, cursor and played line has changed.
	Show(placed screen.Screen, height float64)
}

// A View is what a page knows: sizes in CSS pixels.
type View struct {
	Width, Height float64
	Scroll        float64 // of the content
	Look          screen.Look
	Hidden        bool
}

// Options say how a Game runs.
type Options struct {
	Page Page // nil on the desktop
	// System is what the desktop asks for.
	System screen.Look
	// Around adds to a tick what has come from around the window, on the desktop; nil: nothing
	// does.
	Around func(*stage.Tick)
	// Choose is told of a File item that was pressed in the window: what is chosen comes as
	// an action by Around.
	Choose func(screen.Item)
	// Lag is how old the newest sound is that the stage has listened to, in seconds; negative
	// where nothing sounds. nil: it is not known.
	Lag func() float64
}

// A Game is the window. It implements ebiten.Game.
type Game struct {
	stage Stage
	o     Options
	begun time.Time
	hands hands
	fonts *paint.Fonts

	width, height float64 // of the window, CSS pixels
	scale         float64 // device pixels a CSS pixel

	asked   screen.Screen // as the stage gave it
	placed  screen.Screen
	places  int     // how many screens have been placed
	content float64 // height, CSS pixels
	size    [3]float64
	view    View
	desk    screen.Desk

	meter  pace.Meter
	worked time.Duration // in Update, for the next picture

	look   canvas
	done   frame // what the display has
	doneAt time.Time
	shots  []func(*image.RGBA)
	over   bool
}

// New returns a Game on a stage.
func New(s Stage, o Options) *Game {
	return &Game{stage: s, o: o, begun: time.Now(), fonts: paint.NewFonts()}
}

// Run opens the window, of a size in CSS pixels, and returns when it is closed. In the
// browser the window is the page and the size is the page's.
func (g *Game) Run(title string, width, height int) error {
	ebiten.SetWindowTitle(title)
	ebiten.SetWindowSize(width, height)
	ebiten.SetWindowResizingMode(ebiten.WindowResizingModeEnabled)
	ebiten.SetWindowSizeLimits(320, 320, -1, -1)
	ebiten.SetScreenClearedEveryFrame(false)
	return ebiten.RunGame(g)
}

// Shoot has f called once with a picture of the next frame.
func (g *Game) Shoot(f func(*image.RGBA)) { g.shots = append(g.shots, f) }

// Close ends Run.
func (g *Game) Close() { g.over = true }

// Layout implements ebiten.Game.
func (g *Game) Layout(w, h int) (int, int) { panic("game: LayoutF is used") }

// LayoutF implements ebiten.LayoutFer: the picture has the display's own pixels.
func (g *Game) LayoutF(w, h float64) (float64, float64) {
	g.scale = 1
	if m := ebiten.Monitor(); m != nil {
		g.scale = m.DeviceScaleFactor()
	}
	g.width, g.height = w, h
	return w * g.scale, h * g.scale
}

// Update implements ebiten.Game.
func (g *Game) Update() error {
	if g.over {
		return ebiten.Termination
	}
	from := time.Now()
	t := stage.Tick{Seconds: from.Sub(g.begun).Seconds(), System: g.o.System, Drawing: g.drawing()}
	g.take(&t)
	if len(t.Actions) > 0 {
		g.Pressed(from)
	}
	if t.Width <= 0 || t.Height <= 0 {
		return nil
	}
	g.show(g.stage.Poll(t), t.Width, t.Height)
	g.worked += time.Since(from)
	return nil
}

// show places a screen if it has changed in more than what moves.
func (g *Game) show(s screen.Screen, width, height float64) {
	size := [3]float64{width, height, 1}
	if size != g.size || !sameLayout(s, g.asked) {
		g.placed, g.content = screen.Place(s, width, height, g.fonts)
		g.places++
		g.size = size
		g.asked = s
		if g.o.Page != nil {
			g.o.Page.Show(g.placed, g.content)
		}
		return
	}
	g.asked = s
	g.placed.Comb, g.placed.Chart = s.Comb, s.Chart
}

// sameLayout reports whether two screens differ at most in what moves.
func sameLayout(a, b screen.Screen) bool {
	if a.Name != b.Name || a.Title != b.Title || a.Live != b.Live || a.Alert != b.Alert || a.Look != b.Look ||
		a.Focus != b.Focus || len(a.Items) != len(b.Items) || (a.Comb == nil) != (b.Comb == nil) || !paint.SameChart(a.Chart, b.Chart) {
		return false
	}
	for i := range a.Items {
		if !paint.SameItem(a.Items[i], b.Items[i]) {
			return false
		}
	}
	return true
}
