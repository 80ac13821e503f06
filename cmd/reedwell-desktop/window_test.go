//go:build window && !js

package main

import (
	"bytes"
	"context"
	"image"
	"image/color"
	"image/png"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/jezek/xgb"
	"github.com/jezek/xgb/xproto"
	"github.com/jezek/xgb/xtest"

	"reedwell/audio/synth"
	"reedwell/audio/wav"
	"reedwell/game/paint"
	"reedwell/game/screen"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/player"
)

// These tests open real windows and need a display: xvfb-run -a go test -tags window.

// program builds the command once and returns a function that starts it.
func program(t *testing.T) func(args ...string) (wait func() error, out *bytes.Buffer) {
	t.Helper()
	if os.Getenv("DISPLAY") == "" {
		t.Fatal("no display: run this under xvfb-run -a")
	}
	path := filepath.Join(t.TempDir(), "reedwell-desktop")
	if out, err := exec.Command("go", "build", "-o", path, ".").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	return func(args ...string) (func() error, *bytes.Buffer) {
		ctx, cancel := context.WithTimeout(context.Background(), 50*time.Second)
		t.Cleanup(cancel)
		out := new(bytes.Buffer)
		cmd := exec.CommandContext(ctx, path, args...)
		cmd.Stdout, cmd.Stderr = out, out
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		return cmd.Wait, out
	}
}

// sounded writes a drill as a player would play it, and returns the file.
func sounded(t *testing.T, id string, f player.Faults) string {
	t.Helper()
	key, err := harp.ParseKey("C")
	if err != nil {
		t.Fatal(err)
	}
	d, err := drill.Build(drill.Spec{ID: id, Key: key})
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "take.wav")
	if err := os.WriteFile(path, wav.Bytes(48000, synth.Render(48000, d.Seconds, player.Notes(d, f), 3)), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func picture(t *testing.T, path string) image.Image {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	pic, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	return pic
}

// shares are how much of a picture has each colour.
func shares(pic image.Image) map[color.RGBA]float64 {
	b := pic.Bounds()
	n := map[color.RGBA]float64{}
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			n[color.RGBAModel.Convert(pic.At(x, y)).(color.RGBA)] += 1 / float64(b.Dx()*b.Dy())
		}
	}
	return n
}

// A real window goes through the first run, a calibration and a drill with the fake
// device; what was played well passes.
func TestDrillInTheWindow(t *testing.T) {
	start := program(t)
	dir := t.TempDir()
	data := filepath.Join(dir, "data")
	at := func(name string) string { return filepath.Join(dir, name+".png") }
	wait, out := start("-data", data, "-size", "390x844", "-speed", "4", "-fake", sounded(t, "single-1", player.Faults{}), "-script",
		"shot:"+at("welcome")+",start,screen:harp,mic,screen:sound,wait:0.5,go-on,screen:calibrate,measure,wait:2.5,shot:"+at("calibrate")+
			",go-on,screen:path,next,screen:drill,shot:"+at("drill")+",play,screen:take,wait:2.5,shot:"+at("take")+",screen:result,shot:"+at("result")+",quit")
	if err := wait(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	p := paint.PaletteOf(screen.Look{})
	for name, has := range map[string][]color.RGBA{
		"welcome": {p.Brass, p.Ink}, "calibrate": {p.Blue, p.Brass}, "drill": {p.Wood, p.Plate, p.Asked},
		"take": {p.Wood, p.Asked, p.Blue}, "result": {p.Asked, p.Blue, p.Shade},
	} {
		pic := picture(t, at(name))
		if size := pic.Bounds().Size(); size.X < 390 || size.Y*390 != size.X*844 {
			t.Errorf("%s: the picture is %v, want 390 x 844 or a multiple", name, size)
		}
		colours := shares(pic)
		if paper := colours[p.Paper]; paper < 0.2 || paper > 0.95 {
			t.Errorf("%s: paper is %.0f %% of the window, want 20 to 95 %%", name, 100*paper)
		}
		for _, c := range has {
			if colours[c] < 1e-4 {
				t.Errorf("%s: colour %v is missing", name, c)
			}
		}
		// A take that went well has no red on its result.
		if name == "result" && colours[p.Red] > 0 {
			t.Errorf("the result of a good take has red on it")
		}
	}
	saved, err := os.ReadFile(filepath.Join(data, "progress-a.json"))
	if err != nil || !strings.Contains(string(saved), "single-1") {
		t.Errorf("the saved progress is %q, %v; want single-1 in it", saved, err)
	}
	if journal, err := os.ReadFile(filepath.Join(data, "journal-a.json")); err != nil || !strings.Contains(string(journal), "single-1") {
		t.Errorf("the journal is %q, %v; want single-1 in it", journal, err)
	}
}

// A link opens at its drill, dark paper and all, and playing that is wrong is marked.
func TestLinkInTheWindow(t *testing.T) {
	start := program(t)
	shot := filepath.Join(t.TempDir(), "result.png")
	wait, out := start("-data", t.TempDir(), "-dark", "-speed", "4", "-fake", sounded(t, "single-1", player.Faults{Cents: 180}),
		"-script", "start,screen:drill,play,screen:result", "-shot", shot, "#v=1&drill=single-1&harp=C")
	if err := wait(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	p := paint.PaletteOf(screen.Look{Dark: true})
	colours := shares(picture(t, shot))
	if colours[p.Paper] < 0.2 || colours[p.Red] < 1e-4 {
		t.Errorf("dark paper is %.2f and red %.5f of the result, want 0.2 and 0.0001 at least", colours[p.Paper], colours[p.Red])
	}
}

// Real keys and a real pointer, through the X server: Enter presses what has the keyboard,
// Escape goes back, a click on the large button presses it.
func TestKeysAndPointerInTheWindow(t *testing.T) {
	start := program(t)
	x, err := xgb.NewConn()
	if err != nil {
		t.Fatal(err)
	}
	defer x.Close()
	if err := xtest.Init(x); err != nil {
		t.Fatal(err)
	}
	root := xproto.Setup(x).DefaultScreen(x).Root
	fake := func(kind byte, detail byte, px, py int16) {
		if err := xtest.FakeInputChecked(x, kind, detail, 0, root, px, py, 0).Check(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(120 * time.Millisecond) // several frames, so that each is seen by itself
	}
	// press sends key or button down and up until the program goes on: the window may not
	// be ready for the first.
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name+".png") }
	until := func(name string, do func()) {
		t.Helper()
		for range 40 {
			if _, err := os.Stat(at(name)); err == nil {
				return
			}
			do()
			time.Sleep(150 * time.Millisecond)
		}
		t.Fatalf("the window did not come to %s", name)
	}
	key := func(sym xproto.Keysym) func() {
		code := keycode(t, x, sym)
		return func() {
			fake(xproto.KeyPress, code, 0, 0)
			fake(xproto.KeyRelease, code, 0, 0)
		}
	}
	wait, out := start("-data", t.TempDir(), "-size", "390x844", "-fake", sounded(t, "single-1", player.Faults{}), "-script",
		"wait:0.3,shot:"+at("welcome")+",screen:harp,shot:"+at("harp")+",screen:welcome,shot:"+at("back")+",screen:harp,shot:"+at("clicked")+",quit")
	until("welcome", func() {})
	left, top := windowAt(t, x, root, 390, 844)
	fake(xproto.MotionNotify, 0, left+195, top+700) // without a window manager keys go where the pointer is
	until("harp", key(0xff0d))                      // Return
	until("back", key(0xff1b))                      // Escape

	brass := paint.PaletteOf(screen.Look{}).Brass
	pic := picture(t, at("back"))
	scale := pic.Bounds().Dx() / 390
	var box image.Rectangle
	for y := range pic.Bounds().Dy() {
		var line image.Rectangle
		n := 0
		for px := range pic.Bounds().Dx() {
			if color.RGBAModel.Convert(pic.At(px, y)) == brass {
				line = line.Union(image.Rect(px, y, px+1, y+1))
				n++
			}
		}
		if n > pic.Bounds().Dx()*3/4 { // reeds are of brass too, but with wood between them
			box = box.Union(line)
		}
	}
	if box.Empty() {
		t.Fatal("there is no large button to click")
	}
	until("clicked", func() {
		fake(xproto.MotionNotify, 0, left+int16((box.Min.X+box.Max.X)/2/scale), top+int16((box.Min.Y+box.Max.Y)/2/scale))
		fake(xproto.ButtonPress, 1, 0, 0)
		fake(xproto.ButtonRelease, 1, 0, 0)
	})
	if err := wait(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
}

func keycode(t *testing.T, x *xgb.Conn, sym xproto.Keysym) byte {
	t.Helper()
	setup := xproto.Setup(x)
	m, err := xproto.GetKeyboardMapping(x, setup.MinKeycode, byte(setup.MaxKeycode-setup.MinKeycode+1)).Reply()
	if err != nil {
		t.Fatal(err)
	}
	for i, s := range m.Keysyms {
		if s == sym {
			return byte(setup.MinKeycode) + byte(i/int(m.KeysymsPerKeycode))
		}
	}
	t.Fatalf("the X server has no key for %#x", sym)
	return 0
}

// windowAt finds the window of a size on the screen.
func windowAt(t *testing.T, x *xgb.Conn, root xproto.Window, w, h uint16) (left, top int16) {
	t.Helper()
	tree, err := xproto.QueryTree(x, root).Reply()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range tree.Children {
		if g, err := xproto.GetGeometry(x, xproto.Drawable(c)).Reply(); err == nil && g.Width == w && g.Height == h {
			return g.X, g.Y
		}
	}
	t.Fatalf("no window of %d x %d", w, h)
	return 0, 0
}

func TestWrongUseIsExplained(t *testing.T) {
	for _, tt := range []struct {
		args []string
		says string
	}{
		{[]string{"-size", "big"}, "1100x760"},
		{[]string{"-size", "10x10"}, "320x320"},
		{[]string{"-speed", "99"}, "0.1 to 5"},
		{[]string{"-script", "dance:1"}, "shot:FILE"},
		{[]string{"one", "two"}, "at most one link"},
	} {
		var errs bytes.Buffer
		if got := run(tt.args, io.Discard, &errs); got != 2 || !strings.Contains(errs.String(), tt.says) {
			t.Errorf("%v: status %d, %q; want 2 and %q", tt.args, got, errs.String(), tt.says)
		}
	}
}
