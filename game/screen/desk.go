package screen

import (
	"math"
	"slices"
)

// A Key is one a Desk knows.
type Key int

// The keys.
const (
	NextKey   Key = iota // Tab
	BeforeKey            // Shift-Tab
	EnterKey
	SpaceKey
	LeftKey
	RightKey
	UpKey
	DownKey
	HomeKey
	EndKey
	PageUpKey
	PageDownKey
	EscapeKey
	RuboutKey // Backspace
)

// A Hand is what the player's hands did since the last frame. Positions are CSS pixels
// of the window.
type Hand struct {
	Keys   []Key  // pressed, or repeated while held
	Text   string // typed
	X, Y   float64
	Down   bool    // a button or a finger is down
	Finger bool    // dragging scrolls
	Wheel  float64 // CSS pixels, downward positive
	Files  []Dropped
}

// A Dropped is a file that was dropped on the window.
type Dropped struct {
	Name  string
	Bytes []byte
}

// A Desk turns hands into actions where there is no page to do it: which item has the
// keyboard, how far the content is scrolled, what the pointer holds. The zero value is
// ready.
type Desk struct {
	Focus   string  // ID of the item that has the keyboard
	Ring    bool    // show it: the keyboard was used last
	Scroll  float64 // CSS pixels
	Pressed string  // ID of the item under the pressed pointer
	Asked   string  // ID of the File item that was pressed in this step, if any: have a file chosen for it

	name           string
	down           bool
	sliding        bool
	startY, scroll float64 // of a drag
}

// dragFrom is how far in CSS pixels a finger moves before it scrolls: less is a trembling
// hand (our choice).
const dragFrom = 12

// Step takes what the hands did on a placed screen of the given content height in a
// window of the given height.
func (d Desk) Step(s Screen, content, window float64, h Hand) (Desk, []Action) {
	var out []Action
	d.Asked = ""
	if d.name != s.Name {
		d.name, d.Focus, d.Scroll, d.Pressed, d.sliding = s.Name, s.Focus, 0, "", false
	}
	if i := find(s, d.Focus); i < 0 || !takes(s.Items[i]) {
		d.Focus = ""
	}
	if h.Text != "" || len(h.Keys) > 0 {
		d.Ring = true
	}
	if i := find(s, d.Focus); i >= 0 && s.Items[i].Role == Field {
		value := s.Items[i].Value + h.Text
		for _, k := range h.Keys {
			if r := []rune(value); k == RuboutKey && len(r) > 0 {
				value = string(r[:len(r)-1])
			}
		}
		if value != s.Items[i].Value {
			out = append(out, Action{ID: d.Focus, Value: value})
		}
	}
	for _, k := range h.Keys {
		var a []Action
		d, a = d.key(s, window, k)
		out = append(out, a...)
	}
	var a []Action
	d, a = d.pointer(s, h)
	out = append(out, a...)
	d.Scroll += h.Wheel
	for _, f := range h.Files {
		for _, it := range s.Items {
			if it.Role == File && !it.Disabled {
				out = append(out, Action{ID: it.ID, Name: f.Name, Bytes: f.Bytes})
				break
			}
		}
	}
	d.Scroll = math.Max(0, math.Min(d.Scroll, content-window))
	return d, out
}

func find(s Screen, id string) int {
	if id == "" {
		return -1
	}
	return slices.IndexFunc(s.Items, func(it Item) bool { return it.ID == id })
}

// takes reports whether an item takes the keyboard.
func takes(it Item) bool {
	switch it.Role {
	case Button, Choice, Toggle, Slider, Select, Field, File:
		return !it.Disabled
	}
	return false
}

// stop reports whether Tab stops at an item: of a set of choices only at the chosen one,
// or at the first while none is.
func stop(s Screen, i int) bool {
	it := s.Items[i]
	if !takes(it) {
		return false
	}
	if it.Role != Choice || it.On {
		return true
	}
	first := true
	for j, o := range s.Items {
		if o.Role == Choice && o.Group == it.Group && takes(o) {
			if o.On {
				return false
			}
			if j < i {
				first = false
			}
		}
	}
	return first
}

func (d Desk) key(s Screen, window float64, k Key) (Desk, []Action) {
	at := find(s, d.Focus)
	var it Item
	if at >= 0 {
		it = s.Items[at]
	}
	switch k {
	case NextKey, BeforeKey:
		step := 1
		if k == BeforeKey {
			step = len(s.Items) - 1
			if at < 0 {
				at = 0
			}
		}
		for n, i := 0, at; n < len(s.Items); n++ {
			i = (i + step) % len(s.Items)
			if stop(s, i) {
				return d.to(s, i, window), nil
			}
		}
		return d, nil
	case EscapeKey:
		for _, id := range []string{"back", "stop"} {
			if i := find(s, id); i >= 0 && takes(s.Items[i]) {
				return d, []Action{{ID: id}}
			}
		}
		return d, nil
	case EnterKey, SpaceKey:
		switch it.Role {
		case Button, Choice, Toggle:
			return d, press(it)
		case File:
			d.Asked = it.ID
		}
		return d, nil
	}
	switch it.Role {
	case Slider:
		return d, slide(it, k)
	case Select:
		i := slices.Index(it.Options, it.Value)
		switch k {
		case LeftKey, UpKey:
			i--
		case RightKey, DownKey:
			i++
		case HomeKey:
			i = 0
		case EndKey:
			i = len(it.Options) - 1
		default:
			return d, nil
		}
		return d, choose(it, i)
	case Choice:
		step := 0
		switch k {
		case LeftKey, UpKey:
			step = len(s.Items) - 1
		case RightKey, DownKey:
			step = 1
		}
		for n, i := 0, at; step != 0 && n < len(s.Items); n++ {
			i = (i + step) % len(s.Items)
			if o := s.Items[i]; o.Role == Choice && o.Group == it.Group && takes(o) {
				return d.to(s, i, window), press(o)
			}
		}
		if step != 0 {
			return d, nil
		}
	case Field:
		return d, nil
	}
	switch k {
	case UpKey:
		d.Scroll -= 60
	case DownKey:
		d.Scroll += 60
	case PageUpKey:
		d.Scroll -= window * 0.8
	case PageDownKey:
		d.Scroll += window * 0.8
	case HomeKey:
		d.Scroll = 0
	case EndKey:
		d.Scroll = math.MaxFloat32
	}
	return d, nil
}

// to gives the keyboard to an item and brings it into view.
func (d Desk) to(s Screen, i int, window float64) Desk {
	d.Focus = s.Items[i].ID
	if s.Items[i].Foot {
		return d
	}
	window -= s.Foot.H
	r := s.Items[i].Rect
	const edge = 24 // so that the ring and the next item's edge are seen
	d.Scroll = math.Max(d.Scroll, math.Min(r.Y+r.H+edge-window, r.Y-edge))
	d.Scroll = math.Min(d.Scroll, math.Max(0, r.Y-edge))
	return d
}

func press(it Item) []Action {
	switch it.Role {
	case Choice:
		return []Action{{ID: it.ID, On: true}}
	case Toggle:
		return []Action{{ID: it.ID, On: !it.On}}
	}
	return []Action{{ID: it.ID}}
}

func choose(it Item, i int) []Action {
	if i < 0 || i >= len(it.Options) || it.Options[i] == it.Value {
		return nil
	}
	return []Action{{ID: it.ID, Value: it.Options[i]}}
}

// slide moves a slider by keys, as WAI-ARIA's slider pattern has them.
func slide(it Item, k Key) []Action {
	step := it.Step
	if step <= 0 {
		step = (it.Max - it.Min) / 100
	}
	now := it.Now
	switch k {
	case LeftKey, DownKey:
		now -= step
	case RightKey, UpKey:
		now += step
	case PageUpKey:
		now += math.Max(step, (it.Max-it.Min)/10)
	case PageDownKey:
		now -= math.Max(step, (it.Max-it.Min)/10)
	case HomeKey:
		now = it.Min
	case EndKey:
		now = it.Max
	default:
		return nil
	}
	return set(it, now)
}

// set moves a slider to the step nearest to a value.
func set(it Item, now float64) []Action {
	if it.Step > 0 {
		now = it.Min + math.Round((now-it.Min)/it.Step)*it.Step
	}
	now = math.Min(it.Max, math.Max(it.Min, now))
	if math.Abs(now-it.Now) < 1e-9 {
		return nil
	}
	return []Action{{ID: it.ID, Now: now}}
}

func (d Desk) pointer(s Screen, h Hand) (Desk, []Action) {
	at := func(x, y float64) int {
		foot := s.Foot.H > 0 && y >= s.Foot.Y
		if !foot {
			y += d.Scroll
		}
		return slices.IndexFunc(s.Items, func(it Item) bool {
			r := it.Rect
			return it.Foot == foot && takes(it) && x >= r.X && x < r.X+r.W && y >= r.Y && y < r.Y+r.H
		})
	}
	var out []Action
	held := find(s, d.Pressed)
	if h.Down && !d.down { // pressed
		d.startY, d.scroll, d.Ring = h.Y, d.Scroll, false
		held = at(h.X, h.Y)
		d.Pressed, d.sliding = "", false
		if held >= 0 {
			it := s.Items[held]
			d.Pressed, d.Focus = it.ID, it.ID
			d.sliding = it.Role == Slider
		}
	}
	if h.Down && d.sliding && held >= 0 {
		it := s.Items[held]
		if w := it.Rect.W - 2*SliderEdge; w > 0 {
			part := math.Min(1, math.Max(0, (h.X-it.Rect.X-SliderEdge)/w))
			out = set(it, it.Min+part*(it.Max-it.Min))
		}
	} else if h.Down && h.Finger && (d.Pressed == "" || math.Abs(h.Y-d.startY) > dragFrom) {
		d.Pressed = ""
		d.Scroll = d.scroll + d.startY - h.Y
	}
	if !h.Down && d.down {
		if held >= 0 && !d.sliding && at(h.X, h.Y) == held {
			switch it := s.Items[held]; it.Role {
			case Button, Choice, Toggle:
				out = press(it)
			case File:
				d.Asked = it.ID
			case Select: // the left half is the arrow back, the right half the arrow on
				step := 1
				if h.X < it.Rect.X+it.Rect.W/2 {
					step = -1
				}
				out = choose(it, slices.Index(it.Options, it.Value)+step)
			}
		}
		d.Pressed, d.sliding = "", false
	}
	d.down = h.Down
	return d, out
}
