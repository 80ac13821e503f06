package reeds

import (
	"fmt"
	"math"

	"reedwell/audio/listen"
	"reedwell/levels/harp"
)

// Plan returns the reeds in the order they are asked for, in a new slice: from the middle,
// which speaks most easily, down, then up; blow and draw in turn, so that the breath goes out and in.
func Plan() []harp.Note {
	var plan []harp.Note
	for _, hole := range [harp.Holes]int{4, 5, 6, 7, 3, 2, 1, 8, 9, 10} {
		plan = append(plan, harp.Note{Hole: hole, Breath: harp.Blow}, harp.Note{Hole: hole, Breath: harp.Draw})
	}
	return plan
}

// A Problem is why the last sound was not taken.
type Problem int

// The problems.
const (
	None       Problem = iota
	TooShort           // it ended before EnoughSeconds
	Unsteady           // it wandered by more than SteadyCents
	NoReed             // its pitch lies between the reeds: bent, or a harp in another key
	EitherReed         // 2 draw and 3 blow are the same note, and neither was asked for
)

// A State is where a pass stands, for the screen.
type State struct {
	Ask     harp.Note // the reed to play; of no meaning when Done
	Time    int       // for the first, second or third time: 1, 2, 3
	Held    float64   // how much of what is to be held was held, 0 to 1
	Release bool      // the note was taken: stop, breathe, then the next
	Rest    bool      // a rest is offered; playing goes on
	Problem Problem   // with the last sound; None once the next is taken
	Heard   int       // reeds that are done, of 20
	Skipped int       // reeds that were passed over
	Done    bool

	Took  harp.Note // the reed that was measured last in this sitting; Hole 0 for none yet
	Cents float64   // where it lies over equal temperament at A4 = 440 Hz
	// Have are the reeds that are done, of hole 1 blow, hole 1 draw and so on.
	Have [2 * harp.Holes]bool
}

type reed struct {
	tries   []try
	skipped bool
}

// done reports whether the reed needs no more tries: two that agree, or three.
func (r *reed) done() bool {
	n := len(r.tries)
	return n > Times || n == Times && math.Abs(r.tries[0].cents-r.tries[1].cents) <= AgreeCents
}

// A Pass is one guided measuring of a harp. Make it with NewPass; not safe for
// concurrent use.
type Pass struct {
	key   harp.Key
	rate  float64
	plan  []harp.Note
	reeds [2 * harp.Holes]reed
	ask   int // index into plan; len(plan) when done
	state State

	back    []listen.Frame // the last seconds before and during the sound
	run     []listen.Frame // the sound that goes on
	gap     int            // frames without a pitch since
	taken   bool           // the sound that goes on was taken or refused
	restEnd int64          // sample at which the rest ends; 0 for none
	since   int            // reeds done since the last rest
}

// backFrames is how many frames before a sound are kept, to see it begin.
const backFrames = 200

// needSeconds is a whole held note, with what it takes to settle.
const needSeconds = HoldSeconds + settleSeconds

// gapFrames without a pitch end a sound.
const gapFrames = 6

// NewPass begins a pass over a harp of that key, fed with frames of a stream at rate Hz.
func NewPass(key harp.Key, rate int) (*Pass, error) {
	if rate < listen.MinRate || rate > listen.MaxRate {
		return nil, fmt.Errorf("reeds: sample rate %d Hz is outside %d to %d Hz", rate, listen.MinRate, listen.MaxRate)
	}
	p := &Pass{key: key, rate: float64(rate), plan: Plan()}
	p.next()
	return p, nil
}

// Config is what the ear of this pass should listen for.
func (p *Pass) Config() listen.Config {
	h := harp.Harp{Key: p.key, A4: expectA4}
	c := listen.Config{Rate: int(p.rate), Low: max(100, h.Low()*0.97), High: h.High() * 1.03}
	for _, s := range h.Spans() {
		c.Spans = append(c.Spans, listen.Span(s))
	}
	return c
}

// State says where the pass stands.
func (p *Pass) State() State { return p.state }

// index of a natural reed; holes from 1.
func index(n harp.Note) int { return 2*(n.Hole-1) + int(n.Breath) }

// Skip passes over the reed that is asked for. It counts as not heard unless it was held once.
func (p *Pass) Skip() {
	if !p.state.Done {
		p.state.Problem = None
		p.reeds[index(p.plan[p.ask])].skipped = true
		p.next()
	}
}

// Repeat forgets what was heard of a reed and asks for it next, also when the pass was done. What is
// no natural reed changes nothing.
func (p *Pass) Repeat(n harp.Note) {
	for i, m := range p.plan {
		if m == n {
			p.reeds[index(n)] = reed{}
			p.ask = i
			p.taken = len(p.run) > 0 // what sounds now was not meant for it
			p.state.Problem = None
			p.show()
		}
	}
}

// Hear takes the frames that came since the last call, in order, and returns the state
// after them.
func (p *Pass) Hear(frames []listen.Frame) State {
	for _, f := range frames {
		p.frame(f)
	}
	return p.state
}

// End closes a sound that still goes on, at the end of the stream.
func (p *Pass) End() State {
	p.close()
	return p.state
}

func (p *Pass) frame(f listen.Frame) {
	if p.restEnd > 0 && f.At >= p.restEnd {
		p.restEnd, p.state.Rest = 0, false
	}
	if len(p.back) == 4*backFrames {
		p.back = append(p.back[:0], p.back[2*backFrames:]...)
	}
	p.back = append(p.back, f)
	sure := f.F0 > 0 && f.Confidence >= listen.MinConfidence
	if sure && len(p.run) > 0 && math.Abs(harp.Cents(f.F0, p.run[len(p.run)-1].F0)) > 80 {
		p.close()
	}
	if !sure {
		if p.gap++; p.gap > gapFrames {
			p.close()
		}
		return
	}
	if p.gap = 0; len(p.run) == 0 {
		p.back = append(p.back[:0], p.back[max(0, len(p.back)-backFrames):]...)
		p.state.Release = false
	}
	// A drone through the whole evening must not fill the memory.
	if p.taken {
		p.run = append(p.run[:0], f)
		return
	}
	p.run = append(p.run, f)
	p.restEnd, p.state.Rest = 0, false
	if len(p.run)%10 == 0 {
		m := median(cents(p.run))
		if n, problem := p.name(m); problem == None && (p.state.Done || n == p.plan[p.ask]) {
			p.state.Held = min(1, p.seconds(p.run)/needSeconds)
		}
	}
	if p.seconds(p.run) >= needSeconds {
		p.take(false)
	}
}

func (p *Pass) seconds(run []listen.Frame) float64 {
	if len(run) == 0 {
		return 0
	}
	return float64(run[len(run)-1].At-run[0].At) / p.rate
}

// close ends the sound that goes on.
func (p *Pass) close() {
	if len(p.run) > 0 && !p.taken {
		switch s := p.seconds(p.run); {
		case s >= EnoughSeconds+settleSeconds:
			p.take(true)
		case s >= 0.2: // shorter ones are slips that need no word
			p.state.Problem = TooShort
		}
	}
	p.run, p.taken, p.state.Held, p.state.Release = p.run[:0], false, 0, false
}

// take measures the sound and gives it to its reed.
func (p *Pass) take(ended bool) {
	p.taken = true
	p.state.Held = 0
	t := measure(p.run, p.back, p.rate, ended)
	p.run = p.run[len(p.run)-1:]
	if t.spread > SteadyCents {
		p.state.Problem = Unsteady
		return
	}
	n, problem := p.name(t.cents)
	if p.state.Problem = problem; problem != None {
		return
	}
	p.state.Release = !ended
	r := &p.reeds[index(n)]
	if len(r.tries) > Times {
		return // heard often enough
	}
	p.state.Took, p.state.Cents = n, t.cents-nominal(p.key, index(n))
	before := r.done()
	r.tries, r.skipped = append(r.tries, t), false
	if !before && r.done() {
		p.since++
	}
	if n == p.plan[min(p.ask, len(p.plan)-1)] && !p.state.Done && !r.done() {
		p.show()
		return
	}
	p.next()
	if p.since >= RestEvery && !p.state.Done {
		p.since = 0
		p.state.Rest = true
		p.restEnd = t.end + int64(RestSeconds*p.rate)
	}
}

// expected is where reeds lie over equal temperament at 440 Hz, before and after some
// are known.
func (p *Pass) expected() float64 {
	var known []float64
	for i := range p.reeds {
		if r := &p.reeds[i]; len(r.tries) > 0 {
			known = append(known, r.best().cents-nominal(p.key, i))
		}
	}
	if len(known) < 4 {
		return harp.Cents(expectA4, 440)
	}
	return median(known)
}

// nominal is reed i in cents over A4 = 440 in equal temperament.
func nominal(k harp.Key, i int) float64 {
	n := harp.Note{Hole: i/2 + 1, Breath: harp.Breath(i % 2)}
	return 100 * float64(k.MIDI()+n.Semitones()-69)
}

// name says which reed lies at c cents over 440 Hz.
func (p *Pass) name(c float64) (harp.Note, Problem) {
	c -= p.expected()
	var best harp.Note
	least := math.Inf(1)
	for _, n := range p.plan {
		d := math.Abs(c - nominal(p.key, index(n)))
		if !p.state.Done && n == p.plan[p.ask] {
			d -= favour
		}
		if d < least {
			best, least = n, d
		}
	}
	switch {
	case least > quarter:
		return best, NoReed
	case best.Semitones() == threeBlow().Semitones() && (p.state.Done || best != p.plan[p.ask]):
		return best, EitherReed
	}
	return best, None
}

// A pitch up to a quarter tone from a reed is that reed's; of the one asked for it is taken for
// favour more, and before another as near: 2 draw and 3 blow, and a reed that is far off, in their turn.
const quarter, favour = 50.0, 20.0

// threeBlow and 2 draw are the same note.
func threeBlow() harp.Note { return harp.Note{Hole: 3, Breath: harp.Blow} }

// next goes to the first reed in the plan that is not done.
func (p *Pass) next() {
	for p.ask = 0; p.ask < len(p.plan); p.ask++ {
		if r := &p.reeds[index(p.plan[p.ask])]; !r.done() && !r.skipped {
			break
		}
	}
	p.show()
}

func (p *Pass) show() {
	s := &p.state
	s.Done = p.ask == len(p.plan)
	s.Heard, s.Skipped = 0, 0
	for i := range p.reeds {
		s.Have[i] = p.reeds[i].done()
		switch {
		case s.Have[i]:
			s.Heard++
		case p.reeds[i].skipped:
			s.Skipped++
		}
	}
	if s.Done {
		s.Ask, s.Time = harp.Note{}, 0
		return
	}
	s.Ask = p.plan[p.ask]
	s.Time = len(p.reeds[index(s.Ask)].tries) + 1
}
