//go:build !js

package game

import (
	"io/fs"
	"slices"

	"github.com/hajimehoshi/ebiten/v2"
	"github.com/hajimehoshi/ebiten/v2/inpututil"

	"reedwell/game/paint"
	"reedwell/game/screen"
	"reedwell/game/stage"
)

// hands remembers where a finger was: when it lifts, the system no longer says.
type hands struct {
	touching bool
	x, y     float64
	runes    []rune
	touches  []ebiten.TouchID
}

func (g *Game) take(t *stage.Tick) {
	t.Width, t.Height = g.width, g.height
	g.desk, t.Actions = g.desk.Step(g.placed, g.content, g.height, g.hands.read(g.scale))
	if i := slices.IndexFunc(g.placed.Items, func(it screen.Item) bool { return it.ID == g.desk.Asked }); i >= 0 {
		g.Choose(g.placed.Items[i])
	}
	if g.o.Around != nil {
		g.o.Around(t)
	}
}

// Choose has a file chosen for a File item.
func (g *Game) Choose(it screen.Item) {
	if g.o.Choose != nil {
		g.o.Choose(it)
	}
}

func (g *Game) scroll() float64 { return g.desk.Scroll }

func (g *Game) touch(it screen.Item) paint.Touch {
	return paint.Touch{Ring: g.desk.Ring && it.ID == g.desk.Focus, Pressed: it.ID == g.desk.Pressed}
}

// largestFile is more than any take or progress file needs, in bytes.
const largestFile = 50e6

// wheelStep is CSS pixels a notch of the wheel: three lines of text, as is usual.
const wheelStep = 60

// read collects what the hands did since the last frame.
func (h *hands) read(scale float64) screen.Hand {
	var out screen.Hand
	_, wheel := ebiten.Wheel()
	out.Wheel = -wheel * wheelStep

	h.touches = ebiten.AppendTouchIDs(h.touches[:0])
	switch {
	case len(h.touches) > 0:
		x, y := ebiten.TouchPosition(h.touches[0])
		h.x, h.y, h.touching = float64(x)/scale, float64(y)/scale, true
		out.Down, out.Finger = true, true
	case h.touching: // lifted
		h.touching = false
	default:
		x, y := ebiten.CursorPosition()
		h.x, h.y = float64(x)/scale, float64(y)/scale
		out.Down = ebiten.IsMouseButtonPressed(ebiten.MouseButtonLeft)
	}
	out.X, out.Y = h.x, h.y

	h.runes = ebiten.AppendInputChars(h.runes[:0])
	out.Text = string(h.runes)
	shift := ebiten.IsKeyPressed(ebiten.KeyShift)
	for _, k := range [...]struct {
		on ebiten.Key
		is screen.Key
	}{
		{ebiten.KeyTab, screen.NextKey}, {ebiten.KeyEnter, screen.EnterKey}, {ebiten.KeyNumpadEnter, screen.EnterKey},
		{ebiten.KeySpace, screen.SpaceKey}, {ebiten.KeyArrowLeft, screen.LeftKey}, {ebiten.KeyArrowRight, screen.RightKey},
		{ebiten.KeyArrowUp, screen.UpKey}, {ebiten.KeyArrowDown, screen.DownKey}, {ebiten.KeyHome, screen.HomeKey},
		{ebiten.KeyEnd, screen.EndKey}, {ebiten.KeyPageUp, screen.PageUpKey}, {ebiten.KeyPageDown, screen.PageDownKey},
		{ebiten.KeyEscape, screen.EscapeKey}, {ebiten.KeyBackspace, screen.RuboutKey},
	} {
		if !again(k.on) {
			continue
		}
		if k.is == screen.NextKey && shift {
			k.is = screen.BeforeKey
		}
		out.Keys = append(out.Keys, k.is)
	}
	if files := ebiten.DroppedFiles(); files != nil {
		out.Files = dropped(files)
	}
	return out
}

// again reports that a key went down, or is held so long that it repeats: after half a
// second, some 15 times a second.
func again(k ebiten.Key) bool {
	n := inpututil.KeyPressDuration(k)
	if n == 1 {
		return true
	}
	repeats := k != ebiten.KeyEnter && k != ebiten.KeyNumpadEnter && k != ebiten.KeySpace && k != ebiten.KeyEscape
	return repeats && n > ebiten.TPS()/2 && n%max(1, ebiten.TPS()/15) == 0
}

// dropped reads the files dropped on the window. One that can not be read or is too large
// is handed over empty, so that the player is told that it is no good.
func dropped(files fs.FS) []screen.Dropped {
	var out []screen.Dropped
	entries, err := fs.ReadDir(files, ".")
	if err != nil {
		return nil
	}
	for _, e := range entries {
		f := screen.Dropped{Name: e.Name()}
		if info, err := e.Info(); err == nil && !info.IsDir() && info.Size() <= largestFile {
			if data, err := fs.ReadFile(files, e.Name()); err == nil {
				f.Bytes = data
			}
		}
		out = append(out, f)
	}
	return out
}
