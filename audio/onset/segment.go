package onset

import (
	"math"

	"reedwell/audio/internal/dsp"
)

// FrameHop is the distance of frames in analysis samples: 5 ms.
const FrameHop = 60

// Ahead is how many frames after a frame are looked at before it is judged.
const Ahead = 4

const frameBlocks = FrameHop / Block

// A Note is one start and what follows.
type Note struct {
	Start, End float64 // analysis samples
	F0         float64 // Hz, median of the held part
	Dip        float64 // dB, see listen.Note
	Own        int     // the frame from which on its pitch was heard; 0 from its start
	Error      float64 // standard error of Start in samples, rather too large than too small; 0 where it is not known
}

const (
	sure = 0.5 // from where a frame's tone counts; our choice
	// recent is the time over which "its level" is taken: 200 ms in blocks.
	recent = 80
	// shortest a note may be to be told, in analysis samples: 25 ms. A warble of
	// fourteen notes a second has 71.
	shortest = 300
	// lost is how many frames without a pitch end a note whose level is down; without that
	// it takes three times as many.
	lost = 5
	// leapFrames, 20 ms, is how long the pitch may be unsure after a step; 15 and 30 ms do the same.
	leapFrames = 4
	// gone is how long a level must stay down for the note to be over, in frames: a
	// wah that closes that deep opens again within half a period of 2.5 Hz and a little.
	gone = 45
	// octaveFrames, 0.4 s, is how far back a note is remembered when what follows it is a multiple or fraction of its pitch: where a
	// hand takes a tone down into noise, its octaves are heard. A hand of 2.5 Hz is open again by then.
	octaveFrames = 80
	// breakDB is how far, in dB, the level must go down between two pitches for the sound to have broken off
	// there. Our choice.
	breakDB = 14.0
	// freshDip is how far, in dB, the level must rise out of a dip for a new sound, or must dip before a leap to far. Our choice: 12 does
	// the same for the latter, 3 lets one bend of 570 more be split.
	freshDip = 6.5
	// A tone that comes back within handFrames, 150 ms, of a note's end, rises by less than handRise and
	// never was further down than handDepth, is that note going on: a hand had closed it away, in noise perhaps out
	// of hearing. In dB; our choice.
	handFrames = 30
	handRise   = 9.5
	handDepth  = 24.0
)

// state of a Segmenter.
type state int

const (
	idle     state = iota
	sounding       // a note is open
	lapsed         // it has ended, but may yet go on
)

// A Segmenter cuts a stream into notes. Feed every sample to Push, every frame
// to Hop when it is measured and to Judge Ahead frames later.
type Segmenter struct {
	rate   float64 // analysis rate in Hz
	level  *Envelope
	ring   *dsp.Ring // the samples, owned by the caller
	f0     pitches
	frames int // taken by Hop
	tone   *harmonics
	under  ringing // of a note that has Own
	fade   *crossfade

	state   state
	note    Note
	settled bool    // the note has proved to be one
	opened  int     // frame at which it was opened
	ended   int     // frame at which it lapsed
	held    float64 // its last steady pitch in Hz
	missing int     // frames without pitch
	leapt   int     // the last frame at which the pitch stepped away from held
	odd     int     // frames in a row with a multiple or fraction of held
	down    fall
	contour contour

	last   previous
	ledger ledger
}

// A fall is a level that went down and has not come back.
type fall struct {
	on    bool
	at    float64 // when, in samples
	frame int
	level float64 // dBFS from where
	hz    float64 // the note's pitch then
}

// previous is what is remembered of the note before.
type previous struct {
	end   float64 // samples
	level float64 // dBFS
	hz    float64
}

// NewSegmenter makes one for samples at rate Hz that also stand in ring, which must
// keep at least 2048; notes an octave up in a room are looked for as far back as it goes, up to 0.4 s.
func NewSegmenter(rate float64, ring *dsp.Ring) *Segmenter {
	return &Segmenter{rate: rate, level: NewEnvelope(), ring: ring,
		f0: pitches{dsp.NewRing(64)}, tone: newHarmonics(rate, ring), fade: newCrossfade(rate),
		contour: contour{values: make([]float64, 0, contourSize), sorted: make([]float64, contourSize)},
		last:    previous{end: math.Inf(-1), level: floorDB}, ledger: newLedger()}
}

// Push takes a sample for the envelope.
func (s *Segmenter) Push(x float64) { s.level.Push(x) }

// Hop takes the pitch of the next frame in Hz, 0 for none.
func (s *Segmenter) Hop(f0 float64) {
	s.f0.Push(f0)
	s.frames++
}

// Judge takes what is known of the frame Ahead before the newest: how sure it is
// that a tone sounds, 0..1, and whether the tone has proved to be a note. A tone that
// never does is not told.
func (s *Segmenter) Judge(tonal float64, settled bool) {
	n := s.frames - 1 - Ahead
	f := s.f0.At(n)
	voiced := f > 0 && tonal >= sure
	if s.state != idle {
		s.follow(n)
	}
	if s.state == sounding {
		s.tone.noise.rest()
		s.sound(n, f, voiced)
		s.settled = s.settled || settled && voiced && s.state == sounding
		return
	}
	s.tone.noise.listen(s.ring, s.rate, n)
	if s.state == lapsed && n-s.ended > handFrames {
		s.finish()
	}
	if voiced && s.f0.steady(n, f) && s.fresh(n, f) {
		s.appear(n, f)
	}
}

// follow measures the open note's harmonics as far as is known when frame n is judged.
func (s *Segmenter) follow(n int) {
	for s.tone.to <= n+lineAhead {
		hz := s.held
		if f := s.f0.At(min(s.tone.to, s.frames-1)); near(f, hz, followCents) {
			hz = f
		}
		s.tone.measure(hz)
	}
}

// followCents is how far from the pitch last held the harmonics are still followed: a bend of three
// semitones and a little.
const followCents = 330.0

// sound goes on with the open note at frame n.
func (s *Segmenter) sound(n int, f float64, voiced bool) {
	if voiced && s.rung(n, f) {
		f = s.held
	}
	jumped := s.jumped(n, f, voiced)
	if m := times(f, s.held); jumped && m > 0 && (m == 2 || s.strong(n, true)) && s.rises(n, f, m) {
		return
	}
	if jumped && s.strong(n, multiple(f, s.held)) && (!far(f, s.held) || s.lifted(n)) {
		m, dip := s.stepped(n, f)
		s.end(s.down.before(m.at))
		s.start(n, f, m.at, dip)
		s.note.Error = m.err
		return
	}
	if at, dip, ok := s.again(n); ok {
		s.end(s.down.before(at))
		s.start(n, s.held, at, dip)
		return
	}
	if at, dip, ok := s.elsewhere(n, f); ok && voiced {
		s.end(s.down.before(at))
		s.start(n, f, at, dip)
		return
	}
	s.weigh(n)
	if voiced {
		s.missing = 0
		if !s.down.on {
			s.contour.add(f)
		}
		switch {
		case near(f, s.held, samePitch):
			s.held, s.odd = f, 0
		case s.odd < gone && multiple(f, s.held):
			s.odd++ // a hand may have closed it away into noise
		case s.f0.steady(n, f):
			s.held, s.odd = f, 0
		}
	} else if !near(f, s.held, faint) {
		s.missing++
	}
	switch {
	case s.down.on && (n-s.down.frame > gone || s.missing >= lost):
		s.lapse(n, s.down.at)
	case s.missing >= 3*lost:
		s.lapse(n, float64((n-s.missing)*FrameHop))
	}
}

// jumped says that the pitch has become f by a step at frame n, or in a frame just before that was not sure yet: then to another hole, since
// the same reed may speak flat.
func (s *Segmenter) jumped(n int, f float64, voiced bool) bool {
	now := s.f0.jumped(n, f, s.held, s.opened)
	if now {
		s.leapt = n
	}
	late := n-s.leapt <= leapFrames && !near(f, s.held, scoopCents) && !multiple(f, s.held) && s.f0.steady(n, f)
	return voiced && (now || late)
}

// stepped is when the pitch became f, near frame n, and how far the level dips there. Where it
// breaks off between the two, the new tone starts where the level comes up.
func (s *Segmenter) stepped(n int, f float64) (m moment, dip float64) {
	now, w := n*frameBlocks, smoothing(s.held)
	newest := s.level.last(w)
	bottom, low := s.level.trough(max(now-24, int(s.note.Start)/Block), now, w)
	if top := s.level.peak(now, newest, w); top-low >= breakDB {
		return moment{at: s.level.rise(bottom, newest, top, w)}, top - low
	}
	before, left := s.held, f
	if g := s.contour.median(); multiple(before, g) {
		before = g // what is left of it while it dies is one of its harmonics
	}
	if near(s.last.hz, f, scoopCents) {
		left = s.last.hz
	}
	came := s.fade.came
	m = takeover(s.ring, s.rate, n, before, f, left, s.note.Start, s.tone.short, s.fade)
	if m == s.fade.came.start && s.note.Start == came.start.at && m.at-came.start.at < grownWithin*s.rate {
		grown := came.grown(s.fade.went)
		s.note.Start, s.note.Error = grown.at, grown.err
	}
	return m, s.level.dipAround(int(m.at)/Block, w)
}

// lifted says that the level has just dipped around frame n, as it does when one hole is left before the next is taken.
func (s *Segmenter) lifted(n int) bool {
	now, w := n*frameBlocks, smoothing(s.held)
	newest, begin := s.level.last(w), int(s.note.Start)/Block
	from := max(now-24, begin)
	bottom, low := s.level.trough(from, newest, w)
	return min(s.level.peak(max(from-24, begin), bottom, w), s.level.peak(bottom, newest, w))-low >= freshDip
}

// elsewhere says that the level has gone far down and come back at another pitch f, which steadied too slowly
// to be seen as a step.
func (s *Segmenter) elsewhere(n int, f float64) (at, dip float64, ok bool) {
	if !s.down.on || near(f, s.down.hz, jump) || !s.f0.steady(n, f) {
		return 0, 0, false
	}
	now, w := n*frameBlocks, smoothing(f)
	newest := s.level.last(w)
	bottom, low := s.level.trough(s.down.frame*frameBlocks, now, w)
	top := s.level.peak(now, newest, w)
	if top-low < breakDB || top < s.down.level-fallDB {
		return 0, 0, false
	}
	return s.level.rise(bottom, newest, top, w), top - low, true
}

// weigh looks whether the level of the open note is down.
func (s *Segmenter) weigh(n int) {
	now, w := n*frameBlocks, smoothing(s.held)
	level := s.level.db(now, w)
	top := s.level.peak(max(now-recent, int(s.note.Start)/Block), now, w)
	switch {
	case s.down.on && level > s.down.level-fallDB+3:
		s.down.on = false
	case !s.down.on && level < top-fallDB && now*Block > int(s.note.Start)+shortest:
		s.down = fall{on: true, at: s.level.fall(now, top-fallDB, w), frame: n, level: top, hz: s.held}
	}
}

// before is when a note ends that the next one follows at sample at.
func (d fall) before(at float64) float64 {
	if d.on {
		return min(at, d.at)
	}
	return at
}

// appear takes a tone that comes up at frame n while no note is open.
func (s *Segmenter) appear(n int, f float64) {
	if s.state == lapsed && near(f, s.held, kinCents) {
		d, ok := s.tone.dipBefore(n, int(s.note.End)/FrameHop-2)
		w := smoothing(f)
		switch {
		case !ok || d.tongued():
		case s.level.peak(n*frameBlocks-2, (n+1)*frameBlocks, w) < s.last.level-fallDB:
			return // the note is dying away; what comes up later may be another one
		case d.rise < handRise && d.depth < handDepth:
			s.state, s.missing, s.down.on, s.held = sounding, 0, false, f
			return
		}
	}
	at := s.attack(n, f)
	if s.state == lapsed {
		s.finish()
	}
	s.start(n, f, at, s.dipBefore(n, at, smoothing(f)))
}

// again looks for a new attack on the open note's pitch around frame n.
func (s *Segmenter) again(n int) (at, dip float64, ok bool) {
	d, ok := s.tone.dipBefore(n, s.opened)
	if !ok || d.side > fallDB || !d.tongued() || !s.f0.back(n, s.held) {
		return 0, 0, false
	}
	w := smoothing(s.held)
	bottom := d.bottom * frameBlocks
	newest := s.level.last(w)
	bottom, low := s.level.trough(bottom-6, min(bottom+6, newest), w)
	top := s.level.peak(n*frameBlocks, newest, w)
	if s.down.on && top < s.down.level-fallDB {
		return 0, 0, false // the room's tail wavers
	}
	at = s.level.rise(bottom, newest, top, w)
	if at < s.note.Start+shortest {
		return 0, 0, false
	}
	before := s.level.peak(max(bottom-40, int(s.note.Start)/Block), bottom, w)
	return at, max(0, min(before, top)-low), true
}

func (s *Segmenter) start(n int, f, at, dip float64) {
	s.state, s.missing, s.settled, s.down.on = sounding, 0, false, false
	s.note = Note{Start: max(0, at), Dip: dip}
	s.opened, s.held, s.leapt, s.odd = n, f, n-leapFrames-1, 0
	s.contour.reset()
	s.contour.add(f)
	s.tone.restart(n)
}

// lapse ends the open note at frame n, for now.
func (s *Segmenter) lapse(n int, end float64) {
	s.state, s.ended = lapsed, n
	s.note.End = end
	level := s.level.peak(int(max(s.note.Start, end-recent*Block))/Block, int(end)/Block, smoothing(s.held))
	s.last = previous{end: end, level: level, hz: s.held}
}

// finish tells the lapsed note.
func (s *Segmenter) finish() {
	s.state = idle
	if s.note.End-s.note.Start < shortest {
		return
	}
	s.note.F0 = s.contour.median()
	s.ledger.add(s.note, s.settled)
}

// end ends the open note for good.
func (s *Segmenter) end(at float64) {
	s.lapse(0, at)
	s.finish()
}

// Flush closes the open note at the given analysis sample.
func (s *Segmenter) Flush(end float64) {
	switch s.state {
	case sounding:
		s.end(s.down.before(end))
	case lapsed:
		s.finish()
	}
}

// Notes appends the notes finished since the last call to dst.
func (s *Segmenter) Notes(dst []Note) []Note { return s.ledger.take(dst) }

// strong says that what sounds around frame n is not the dying rest of what sounded
// before: no multiple of it is believed that is not as loud as it was.
func (s *Segmenter) strong(n int, multiple bool) bool {
	now, w := n*frameBlocks, smoothing(s.held)
	from, limit := now-recent/2, fallDB
	if multiple {
		from, limit = max(now-octaveFrames*frameBlocks, min(from, int(s.note.Start)/Block)), 2
	}
	return s.level.peak(now, s.level.last(w), w) > s.level.peak(from, now, w)-limit
}

// fresh says that what sounds at frame n is a new sound and not the room's tail of the
// note before: louder than all of the time before, or risen quickly out of a dip to
// near the level that note had.
func (s *Segmenter) fresh(n int, f float64) bool {
	w := smoothing(f)
	now := n * frameBlocks
	top := s.level.peak(now-2, s.level.last(w), w)
	if top > s.level.peak(now-60, now-16, w)+3 {
		return true
	}
	if top < s.last.level-14 || multiple(f, s.last.hz) && top < s.last.level-3 {
		return false
	}
	_, bottom := s.level.trough(now-20, now+2, w)
	return top-bottom >= freshDip
}

// attack is the moment at which the sound that frame n belongs to began: where its
// level rose through riseDB under what it reaches, or that of its harmonics, when they stand out of noise.
func (s *Segmenter) attack(n int, f float64) float64 {
	w := smoothing(f)
	now := n * frameBlocks
	newest := s.level.last(w)
	low := max(now-24, int(max(s.last.end, 0))/Block) // 60 ms back
	at := s.level.rise(low, newest, s.level.peak(now-4, newest, w), w)
	return s.tone.begun(f, low, newest, at)
}

// dipBefore is how far the level lies under the note opened at frame n, just before its
// start at sample at, and under the note before where that has only just ended.
func (s *Segmenter) dipBefore(n int, at float64, w int) float64 {
	block := int(at) / Block
	_, bottom := s.level.trough(block-24, block, w)
	side := s.level.peak(n*frameBlocks-4, s.level.last(w), w)
	if at-s.last.end < 0.12*s.rate {
		side = min(side, s.last.level)
	}
	return max(0, side-bottom)
}
