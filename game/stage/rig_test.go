package stage_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"reedwell/audio/calibrate"
	"reedwell/audio/device"
	"reedwell/audio/synth"
	"reedwell/game/screen"
	"reedwell/game/stage"
	"reedwell/levels/drill"
	"reedwell/levels/player"
)

// memory is a store that can be full.
type memory struct {
	data map[string][]byte
	full bool
}

func (m *memory) Load(name string) ([]byte, error) { return slices.Clone(m.data[name]), nil }

func (m *memory) Save(name string, data []byte) error {
	if m.full {
		return errors.New("quota exceeded")
	}
	m.data[name] = slices.Clone(data)
	return nil
}

// safe is a vault that outlives the program.
type safe struct {
	head, sound []byte
	full        bool // takes no more sound
	slow        int  // Polls until what is left is known
}

func (s *safe) Begin(head []byte) { s.head, s.sound = slices.Clone(head), nil }
func (s *safe) Drop()             { s.head, s.sound = nil, nil }
func (s *safe) Add(piece []byte) {
	if !s.full {
		s.sound = append(s.sound, piece...)
	}
}
func (s *safe) Left() (head, sound []byte, ok bool) {
	if s.slow--; s.slow >= 0 {
		return nil, nil, false
	}
	return slices.Clone(s.head), slices.Clone(s.sound), true
}

// around is what surrounds the program.
type around struct {
	today, link, name   string
	file                []byte
	address, text, asks string // asks: the file that was asked for last
	printed             int
}

func (a *around) Download(name string, data []byte) { a.name, a.file = name, data }
func (a *around) CopyLink(fragment string)          { a.link = fragment }
func (a *around) Today() string                     { return a.today }
func (a *around) CopyText(text string)              { a.text = text }
func (a *around) Address() string                   { return a.address }
func (a *around) Fetch(file string)                 { a.asks = file }
func (a *around) Print()                            { a.printed++ }

// rig is a stage with a fake device on which somebody plays.
type rig struct {
	testing.TB
	store   *memory
	outside *around
	options device.FakeOptions // of the next device
	fake    *device.Fake
	opened  int
	stage   *stage.Stage
	screen  screen.Screen
	tick    stage.Tick
	seconds float64

	// perform makes what the player plays to the backing of a drill; nil is silence.
	perform func(d drill.Drill) []float32
	spec    drill.Spec   // what is being played
	lick    *drill.Drill // in place of spec: a lick of a lesson
	air     float32      // gain of test sounds from the loudspeaker to the microphone
	checks  int          // how often the delay was checked before a take
	asked   []string     // the microphones that were asked for
	inputs  stage.Inputs
	outputs func() []device.DeviceInfo
	page    bool            // a page is around
	played  func([]float32) // told of what sounds, but for test sounds
	safe    *safe           // what outlives the program; nil: nothing
	loose   bool            // what is played need not last as long as what sounds
}

const roundTrip = 3120 // frames of the fake device: 65 ms at 48 kHz, a usual laptop

func newRig(t testing.TB, link string) *rig {
	r := &rig{TB: t, store: &memory{data: map[string][]byte{}}, outside: &around{today: "2026-11-25"}, air: 0.4}
	r.options = device.FakeOptions{Rate: 48000, First: 77777, RoundTrip: roundTrip}
	r.tick = stage.Tick{Width: 1000, Height: 700}
	r.start(link)
	return r
}

// start begins a new Stage on the same store, as a page that is loaded.
func (r *rig) start(link string) {
	r.fake = nil
	o := stage.Options{Open: r.open, Store: r.store, Outside: r.outside, Inputs: r.inputs, Outputs: r.outputs, Link: link, Page: r.page}
	if r.safe != nil {
		o.Vault = r.safe
	}
	r.stage = stage.New(o)
	r.poll()
}

func (r *rig) open(asked device.Options) stage.Device {
	o := r.options
	r.asked = append(r.asked, asked.DeviceID)
	if asked.DeviceID != "" {
		o.Info.InputID = asked.DeviceID
	}
	o.Info.OutputID = asked.OutputID
	r.player(&o)
	r.fake = device.NewFake(o)
	r.opened++
	return r.fake
}

// player has somebody play on a device.
func (r *rig) player(o *device.FakeOptions) {
	o.Player = func(at int64, played []float32) []float32 {
		check := len(played) == len(calibrate.Check(o.Rate))
		if check {
			r.checks++
		}
		if check || len(played) == len(calibrate.Signal(o.Rate)) {
			back := make([]float32, len(played))
			for i, x := range played {
				back[i] = r.air * x
			}
			return back
		}
		if r.played != nil {
			r.played(played)
		}
		if r.perform == nil || r.spec.ID == "" && r.lick == nil {
			return nil
		}
		var d drill.Drill
		if r.lick != nil {
			d = *r.lick
		} else {
			var err error
			if d, err = drill.Build(r.spec); err != nil {
				r.Fatal(err)
			}
		}
		if want := int(math.Round(d.Seconds * float64(o.Rate))); len(played) != want && !r.loose {
			r.Fatalf("%d frames of backing, want %d for %s", len(played), want, d.ID)
		}
		return r.perform(d)
	}
}

func (r *rig) poll(a ...screen.Action) {
	r.tick.Actions = a
	r.tick.Seconds = r.seconds
	r.screen = r.stage.Poll(r.tick)
	r.tick.Link = ""
}

// wait lets the device run.
func (r *rig) wait(seconds float64) {
	const step = 0.04
	for t := 0.0; t < seconds; t += step {
		if r.fake != nil {
			r.fake.Advance(int(step * float64(r.options.Rate)))
		}
		r.seconds += step
		r.poll()
	}
}

// until lets the device run until a screen comes up.
func (r *rig) until(name string, seconds float64) {
	r.Helper()
	for end := r.seconds + seconds; r.screen.Name != name; {
		if r.seconds > end {
			r.Fatalf("after %g s the screen is %q, want %q:\n%s", seconds, r.screen.Name, name, describe(r.screen))
		}
		r.wait(0.04)
	}
}

// press presses an item that must be on the screen.
func (r *rig) press(id string) { r.Helper(); r.act(screen.Action{ID: id}) }

func (r *rig) act(a screen.Action) {
	r.Helper()
	i, ok := r.item(a.ID)
	if !ok || i.Disabled {
		r.Fatalf("there is no %q to press on the screen:\n%s", a.ID, describe(r.screen))
	}
	r.poll(a)
}

func (r *rig) item(id string) (screen.Item, bool) {
	for _, i := range r.screen.Items {
		if i.ID == id {
			return i, true
		}
	}
	return screen.Item{}, false
}

// family goes from home to a family of drills.
func (r *rig) family(name string) {
	r.Helper()
	r.press("families")
	r.press("family-" + name)
}

// on fails when another screen is shown.
func (r *rig) on(name string) {
	r.Helper()
	if r.screen.Name != name {
		r.Fatalf("screen %q, want %q:\n%s", r.screen.Name, name, describe(r.screen))
	}
}

// says fails when no item has these words.
func (r *rig) says(words string) {
	r.Helper()
	for _, i := range r.screen.Items {
		if strings.Contains(i.Label, words) || strings.Contains(i.Detail, words) {
			return
		}
	}
	r.Errorf("nothing says %q on the screen:\n%s", words, describe(r.screen))
}

// well plays as asked; faults as given.
func well(f player.Faults) func(drill.Drill) []float32 {
	return func(d drill.Drill) []float32 {
		return synth.Render(48000, d.Seconds, player.Notes(d, f), 7)
	}
}

// ready goes through the first run to the path, with the round trip measured.
func (r *rig) ready() {
	r.Helper()
	r.press("start")
	r.press("mic")
	r.wait(0.2)
	r.press("go-on")
	r.press("measure")
	r.wait(6)
	r.press("go-on")
	r.on("path")
}

// take plays the drill that is open to its end.
func (r *rig) take() {
	r.Helper()
	r.press("play")
	r.on("take")
	r.until("result", 120)
}

// describe writes a screen as text.
func describe(s screen.Screen) string {
	var b strings.Builder
	fmt.Fprintf(&b, "screen %s: %s\n", s.Name, s.Title)
	for _, i := range s.Items {
		fmt.Fprintf(&b, "%-9s %-14s", i.Role, i.ID)
		if i.Style != screen.Plain {
			fmt.Fprintf(&b, " [%s]", [...]string{"plain", "title", "primary", "quiet", "good", "off", "warning", "note"}[i.Style])
		}
		if i.Group != "" {
			fmt.Fprintf(&b, " (%s)", i.Group)
		}
		if i.Label != "" {
			fmt.Fprintf(&b, " %s", i.Label)
		}
		if i.Detail != "" {
			fmt.Fprintf(&b, " / %s", i.Detail)
		}
		if i.Value != "" {
			fmt.Fprintf(&b, " = %s", i.Value)
		}
		if i.Min != i.Max {
			fmt.Fprintf(&b, " %g of %g to %g %s", i.Now, i.Min, i.Max, i.Unit)
		}
		if i.On {
			b.WriteString(" (on)")
		}
		if i.Disabled {
			b.WriteString(" (off limits)")
		}
		b.WriteByte('\n')
	}
	if s.Live != "" {
		fmt.Fprintf(&b, "said: %s\n", s.Live)
	}
	if s.Alert != "" {
		fmt.Fprintf(&b, "alert: %s\n", s.Alert)
	}
	if s.Focus != "" {
		fmt.Fprintf(&b, "focus: %s\n", s.Focus)
	}
	return b.String()
}
