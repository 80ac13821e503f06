//go:build !js

package device

import "sync/atomic"

const (
	slotFrames = 512
	slotCount  = 2048 // 11 s of 256-frame callbacks: far beyond any pause of the main program
	partCount  = 2048 // sounds handed over or sounding at a time; more wait outside
)

// An engine is what a device's own threads run: it hands captured samples over and mixes
// what is scheduled, without locks and without allocating. capture is called by one thread,
// sound by one, the rest by the stream's owner; every queue has one writer and one reader.
//
// The first frame ever played gets the number of the frame that is captured just then, and
// from there both are counted on: the difference between the two numbers of one instant is
// part of the round trip and stays as it is.
type engine struct {
	frame atomic.Int64 // next frame to be captured

	// Captured samples, from the capturing thread to the owner.
	slots       [slotCount]slot
	wrote, read atomic.Uint64
	next        int64 // frame after the last one handed over; the capturing thread's

	// What is to be played, from the owner to the playing thread.
	handed    [partCount]sounding
	put, took atomic.Uint64
	waiting   []sounding    // what did not fit; the owner's
	silenced  atomic.Uint64 // how often Quiet was called
	late      atomic.Int64

	slip   atomic.Int64 // as last measured
	played atomic.Int64 // frames asked for by the output

	// The playing thread's.
	slips  slips
	begun  bool
	out    int64 // next frame to be played
	active [partCount]sounding
	n      int
}

type slot struct {
	first, gap int64
	n          int
	in         [slotFrames]float32
}

// A sounding is a part and how often Quiet had been called when it was scheduled.
type sounding struct {
	part
	era uint64
}

// capture takes mono input.
func (e *engine) capture(in []float32) {
	at := e.frame.Load()
	for len(in) > 0 {
		if w := e.wrote.Load(); w-e.read.Load() < slotCount {
			s := &e.slots[w%slotCount]
			s.n = copy(s.in[:], in)
			s.first, s.gap = at, at-e.next
			in, at = in[s.n:], at+int64(s.n)
			e.next = at
			e.wrote.Store(w + 1)
		} else { // the owner does not read: lost, the next block says how much
			at += int64(len(in))
			in = nil
		}
	}
	e.frame.Store(at)
}

// sound fills stereo output; silence until something has been captured.
func (e *engine) sound(out []float32) {
	clear(out)
	e.played.Add(int64(len(out) / 2))
	if !e.begun {
		e.out = e.frame.Load()
		if e.begun = e.out > 0; !e.begun {
			return
		}
	}
	if slip, ok := e.slips.add(e.frame.Load()-e.out, len(out)/2); ok {
		e.slip.Store(slip)
	}
	e.accept(e.out)
	e.mix(out, e.out)
	e.out += int64(len(out) / 2)
}

// accept takes over what was handed, as far as there is room.
func (e *engine) accept(at int64) {
	for t := e.took.Load(); t < e.put.Load() && e.n < partCount; t++ {
		p := e.handed[t%partCount]
		e.handed[t%partCount] = sounding{}
		e.took.Store(t + 1)
		if late := min(at-p.at, int64(len(p.samples))); late > 0 {
			e.late.Add(late)
		}
		e.active[e.n] = p
		e.n++
	}
}

// mix adds what is scheduled for the frames from at on and forgets what is over.
func (e *engine) mix(out []float32, at int64) {
	end := at + int64(len(out)/2)
	era, kept := e.silenced.Load(), 0
	for i := range e.n {
		p := e.active[i]
		if p.era != era || p.end() <= at {
			continue
		}
		for f := max(at, p.at); f < min(end, p.end()); f++ {
			x := p.samples[f-p.at]
			out[2*(f-at)] += x
			out[2*(f-at)+1] += x
		}
		e.active[kept] = p
		kept++
	}
	clear(e.active[kept:e.n])
	e.n = kept
}

// play is the owner's: samples must not change any more.
func (e *engine) play(at int64, samples []float32) {
	e.waiting = append(e.waiting, sounding{part{at, samples}, e.silenced.Load()})
	e.hand()
}

// hand gives the device's thread what was waiting for room.
func (e *engine) hand() {
	n := 0
	for ; n < len(e.waiting) && e.put.Load()-e.took.Load() < partCount; n++ {
		e.handed[e.put.Load()%partCount] = e.waiting[n]
		e.put.Add(1)
	}
	e.waiting = append(e.waiting[:0], e.waiting[n:]...)
}

func (e *engine) quiet() {
	e.silenced.Add(1)
	e.waiting = nil
}

// drain hands every captured block to f.
func (e *engine) drain(f func(Block)) {
	for r := e.read.Load(); r < e.wrote.Load(); r++ {
		s := &e.slots[r%slotCount]
		f(Block{First: s.first, Gap: s.gap, In: s.in[:s.n]})
		e.read.Store(r + 1)
	}
}
