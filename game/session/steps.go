package session

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"reedwell/audio/listen"
	"reedwell/game/screen"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// One note at a time: the drill without its clock. A note is waited for until it is heard, in
// its window for holdFor seconds. The words that say what is wrong wait until the same has been
// heard for calm seconds, and silence longer, so that they do not flicker while a bend is looked
// for. All our choice.
const (
	holdFor = 0.2
	calm    = 0.25
	resting = 1.5  // of silence, until it is asked for the note again
	settled = 1.0  // from which words are read out too
	leave   = 1.5  // in which the note before may go on without being told of
	dropout = 0.03 // a hole in the hearing that does not break a held note
	// sameReed is how far from the asked pitch a sound is still told as too high or too low,
	// in cents; from there on it is another note.
	sameReed = 70.0
)

// A walker goes through a drill note by note.
type walker struct {
	asked []int // targets in their order
	at    int   // which of them is waited for; len(asked) when all were heard
	off   []bool

	begun bool
	last  int64   // At of the newest frame
	held  float64 // seconds in the window
	gone  float64 // seconds since it was in the window
	let   bool    // the note before has ended, where this is the same again

	before *harp.Note // the note that was found just now
	since  float64    // seconds for which this one is waited for

	said   string  // what is shown
	saidBy float64 // seconds for which it has been heard
	next   string  // what is heard, if it is something else
	nextBy float64 // for how long
}

// steppable reports a drill that can be gone through note by note. A warble is not one: its
// notes are nothing without their speed. Nor is one whose notes are not to be shown.
func steppable(d drill.Drill) bool {
	return d.Family != drill.Warble && !d.ByEar && len(d.Targets) > 0
}

// newWalker begins with the first note. Of a warble in a lick its two notes are asked once.
func newWalker(d drill.Drill) walker {
	w := walker{let: true}
	for i := range d.Targets {
		if !goesOn(d, i) || !goesOn(d, i-1) {
			w.asked = append(w.asked, i)
		}
	}
	w.off = make([]bool, len(w.asked))
	return w
}

func (w *walker) done() bool { return w.at >= len(w.asked) }

// to goes to a note.
func (w *walker) to(d drill.Drill, k int) {
	same := k == w.at+1 && k < len(w.asked) && d.Targets[w.asked[k]].Note == d.Targets[w.asked[w.at]].Note
	w.at = max(0, min(k, len(w.asked)))
	w.held, w.gone, w.let, w.since, w.before = 0, 0, !same, 0, nil
	w.said, w.saidBy, w.next, w.nextBy = "", 0, "", 0
}

// hear takes in a frame.
func (w *walker) hear(d drill.Drill, rate int, f listen.Frame) {
	if w.done() || rate == 0 {
		return
	}
	since := float64(f.At-w.last) / float64(rate)
	if !w.begun || since <= 0 || since > 4*dropout { // the ear began anew
		since, w.held = 0, 0
	}
	w.begun, w.last = true, f.At
	w.since += since
	words, right := w.judge(d, f)
	if words == "" && !right { // silence lets go
		w.let = true
	}
	switch {
	case right && w.let:
		w.held, w.gone = w.held+since, 0
	default:
		if w.gone += since; w.gone > dropout {
			w.held = 0
		}
	}
	if w.held >= holdFor-1e-9 {
		found := d.Targets[w.asked[w.at]].Note
		w.to(d, w.at+1)
		w.before = &found
		return
	}
	if right && !w.let {
		words = anew
	}
	w.tell(words, since)
}

// anew asks for a note that is the same as the one before.
const anew = "The same again: let it go and play it anew."

// miss notes that the note was not found at once.
func (w *walker) miss() {
	w.off = slices.Clone(w.off)
	w.off[w.at] = true
}

// tell changes the words once they have held.
func (w *walker) tell(words string, since float64) {
	if words == w.said {
		w.next, w.nextBy = "", 0
		w.saidBy += since
		return
	}
	if words != w.next {
		w.next, w.nextBy = words, 0
	}
	w.nextBy += since
	need := calm
	if words == "" {
		need = resting
	}
	if w.nextBy >= need {
		w.said, w.saidBy, w.next, w.nextBy = words, w.nextBy, "", 0
		if words != "" && words != anew {
			w.miss()
		}
	}
}

// judge says of a frame whether it is the note that is waited for, and what it is else. Of
// silence it says nothing.
func (w *walker) judge(d drill.Drill, f listen.Frame) (words string, right bool) {
	if f.F0 <= 0 || f.Confidence < listen.MinConfidence {
		return "", false
	}
	t := d.Targets[w.asked[w.at]]
	asked := append([]harp.Note{t.Note}, t.Also...)
	expect := asked
	if w.before != nil { // 3 blow goes on and is not taken for 2 draw
		expect = append(slices.Clone(asked), *w.before)
	}
	heard, ok := d.Harp.Locate(f.F0, expect)
	if !ok {
		return "", false
	}
	window := func(n harp.Note) float64 {
		if n.Bend > 0 || n.Over {
			return d.Windows.Pitch
		}
		return d.Windows.Natural
	}
	if t.Zone > 0 && math.Abs(harp.Cents(f.F0, t.Hz)) <= t.Zone {
		return "", true
	}
	for _, n := range asked {
		if t.Zone > 0 {
			break // no point of it is asked
		}
		if math.Abs(harp.Cents(f.F0, pitch(d.Harp, n))) <= window(n) {
			return "", true
		}
	}
	if w.before != nil && heard.Note == *w.before && w.since < leave {
		return "", false
	}
	off := harp.Cents(f.F0, t.Hz)
	near := math.Abs(off) <= sameReed // the nearest note may be on another reed, as 4 blow is under the bend of 4 draw
	switch {
	case near && t.Note.Bend > 0 && off < 0:
		return "A bit too deep.", false
	case near && t.Note.Bend > 0:
		return "Not deep enough yet.", false
	case near && off < 0:
		return "A bit too low. Loosen the mouth.", false
	case near:
		return "A bit too high. Breathe more gently.", false
	}
	where := heard.Note.Words()
	if heard.Note == (harp.Note{Hole: 2, Breath: harp.Draw}) || heard.Note == (harp.Note{Hole: 3, Breath: harp.Blow}) {
		where = "2 draw or 3 blow" // one pitch: nobody can tell them apart by it
	}
	return "You are on " + where + ".", false
}

// walkThrough begins with the first note of the drill that is open.
func (s *stepper) walkThrough() {
	s.view, s.take, s.trace = stepping, nil, nil
	s.walker = newWalker(s.drill)
}

func (s *stepper) actSteps(a screen.Action) {
	switch a.ID {
	case "one-back":
		if s.walker.at > 0 {
			s.walker.to(s.drill, s.walker.at-1)
		}
	case "skip":
		if !s.walker.done() {
			s.walker.miss()
			s.walker.to(s.drill, s.walker.at+1)
		}
	case "from-first":
		s.walkThrough()
	case "in-time":
		if s.in.Sound.State == SoundOn {
			s.play()
		}
	case "mic":
		s.openMic()
	case "back":
		s.view = practice
	}
}

// showSteps is the drill note by note.
func (s *stepper) showSteps(p *page) {
	d, w := s.drill, s.walker
	p.Title = "One note at a time - Reedwell"
	p.title(s.name())
	s.notes(p)
	c, h := chart(d, s.in.Width), comb(d.Harp)
	for k := range min(w.at, len(w.asked)) {
		c.Notes[w.asked[k]].Outcome = screen.InWindow
		if w.off[k] {
			c.Notes[w.asked[k]].Outcome = screen.OutOfWindow
		}
	}
	on := s.in.Sound.State == SoundOn
	if w.done() {
		s.showStepsOver(p, c)
		return
	}
	i := w.asked[w.at]
	t := d.Targets[i]
	h.Asked, h.Beads = place(d.Harp, t), s.beadsOn(t)
	ask := fmt.Sprintf("Note %d of %d: play %s.", w.at+1, len(w.asked), wordsOf(t))
	p.heading("ask", ask)
	words := w.said
	switch {
	case !on:
		words = "The microphone is off."
	case words == "" && w.before != nil:
		words = "Yes. And now this one."
	case words == "":
		words = "Take your time. I wait for it."
	}
	p.text("hint", words)
	p.Live = ask
	if w.said != "" && w.saidBy >= settled {
		p.Live += " " + w.said
	}
	if w.at+1 < len(w.asked) {
		h.Next = place(d.Harp, d.Targets[w.asked[w.at+1]])
	}
	c.Notes[i].Chosen = true
	c.Cursor = t.Beat
	p.comb(h, "Where the asked note lies, and what you play")
	if !on {
		if s.in.Sound.State == SoundOpening {
			p.text("wait", "Waiting for the microphone. If you are asked, choose Allow.")
		} else {
			p.button("mic", "Turn the microphone on")
		}
	}
	from := len(p.Items)
	if w.at > 0 {
		p.button("one-back", "One back")
	}
	p.button("skip", "Skip it")
	p.button("back", "Stop")
	p.row(45, from)
	part := near(c, s.in.Width)
	part.Cursor = math.Inf(-1) // no clock runs
	p.chart(part, s.chartWords())
	p.Focus = "skip"
}

// showStepsOver tells how the notes were found.
func (s *stepper) showStepsOver(p *page, c *screen.Chart) {
	p.Name = "steps-over" // another screen: the keyboard goes to what comes next
	w, d := s.walker, s.drill
	var off []string
	for k, i := range w.asked {
		if w.off[k] {
			off = append(off, fmt.Sprintf("%d, %s", k+1, wordsOf(d.Targets[i])))
		}
	}
	sum, style := fmt.Sprintf("All %s found at once.", plural(len(w.asked), "note")), screen.Good
	if len(w.asked) == 1 {
		sum = "The note was found at once."
	}
	if len(off) > 0 {
		sum, style = fmt.Sprintf("%d of %s found at once.", len(w.asked)-len(off), plural(len(w.asked), "note")), screen.Plain
	}
	p.styled("sum", style, sum)
	p.Live = "That was the last note. " + sum
	if len(off) > 0 {
		if n := len(off) - maxRead; n > 0 {
			off = append(off[:maxRead], fmt.Sprintf("and %d more", n))
		}
		p.text("looked-for", "Looked for a while, or left out: "+strings.Join(off, "; ")+".")
	}
	p.text("free", "Nothing of this is graded. When the notes lie well, play them in time.")
	from := len(p.Items)
	if s.in.Sound.State == SoundOn {
		p.primary("in-time", "Now in time")
	}
	p.button("from-first", "From the first note")
	p.quiet("back", "Back to the drill")
	p.row(46, from)
	p.chart(c, s.chartWords())
	if p.Focus == "" {
		p.Focus = "from-first"
	}
}

// wordsOf is a target in words, a chord with all of its holes.
func wordsOf(t drill.Target) string {
	words := t.Words()
	for _, n := range t.Also {
		words += " and " + n.Words()
	}
	return words
}
