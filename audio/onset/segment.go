package onset

import (
	"math"

	"reedwell/audio/internal/dsp"
)

// FrameHop is the distance of frames in analysis samples: 5 ms.
const FrameHop = 60

// Ahead is how many frames after a frame are looked at before it is judged.
const Ahead = 4

// A Note is one start and what follows.
type Note struct {
	Start, End float64 // analysis samples
	F0         float64 // Hz, median of the held part
	Dip        float64 // dB, see listen.Note
}

const (
	sure = 0.5 // from where a frame's tone counts; our choice

	samePitch = 60.0 // cents: frames of one note may drift by this from one to the next
	// jump is the least step in cents within one frame (5 ms) that is a change of
	// reed: the quickest bend, a whole step in 50 ms, moves by 20. Our choice.
	jump = 70.0

	// A note starts where its level rises to riseDB under what it reaches, and ends
	// where it falls to fallDB under what it was. Vos & Rasch 1981 place the perceived
	// onset 6 to 15 dB under the maximum (from memory); the smoothing of the envelope
	// spreads an edge, so the figures are set for the least bias against note-on and
	// note-off of sampled harmonicas and of a tone whose start is defined at -12 dB.
	riseDB = 18.0
	fallDB = 9.0
	// A new attack on the same pitch rises by attackRise dB within attackTime, out of
	// a dip of attackDip dB or more. A hand wah of 12 dB at 5 Hz rises by under 3 dB
	// in that time, vibrato of 3 dB at 7 Hz by 2.
	attackRise = 3.8
	attackDip  = 4.5
	attackTime = 6 // blocks: 15 ms
	// A rise of less than tongueRise dB in attackTime may be a hand that closes fully,
	// unless the level was down, by half the dip, for handWidth blocks (62 ms) at most: half
	// a period of a wah of 8 Hz. Our choice.
	tongueRise = 8.0
	handWidth  = 25
	// recent is the time over which "its level" is taken: 200 ms in blocks.
	recent = 80
	// shortest a note may be to be told, in analysis samples: 25 ms. A warble of
	// fourteen notes a second has 71.
	shortest = 300
	// lost is how many frames without a pitch end a note.
	lost = 5
	// gone is how long a level must stay down for the note to be over, in frames: a
	// wah that closes that deep opens again within half a period of 3 Hz.
	gone = 34
)

// A Segmenter cuts a stream into notes. Feed every sample to Push, every frame
// to Hop when it is measured and to Judge Ahead frames later.
type Segmenter struct {
	rate   float64 // analysis rate in Hz
	env    *Envelope
	ring   *dsp.Ring // the samples, owned by the caller
	f0     *dsp.Ring // of frames
	frames int

	open       bool
	settled    bool // the open note has proved to be one
	note       Note
	opened     int     // frame at which the note was opened
	held       float64 // last steady pitch in Hz
	missing    int     // frames without pitch
	falling    bool    // the level is down: the note ends at fell unless it comes back
	fell       float64
	fellFrame  int
	fellLevel  float64
	ended      float64 // end of the last note
	last       float64 // its level in dBFS
	heldBefore float64 // its pitch
	contour    contour
	hann       []float64 // see emerge

	pending []Note // finished, not proved yet
	notes   []Note
}

// NewSegmenter makes one for samples at rate Hz that also stand in ring, which must
// keep at least 2048.
func NewSegmenter(rate float64, ring *dsp.Ring) *Segmenter {
	window := make([]float64, shortWindow)
	for i := range window {
		window[i] = 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/shortWindow)
	}
	return &Segmenter{hann: window, rate: rate, env: NewEnvelope(), ring: ring, f0: dsp.NewRing(64), ended: math.Inf(-1), last: floorDB,
		notes: make([]Note, 0, 64), pending: make([]Note, 0, 32), contour: contour{values: make([]float64, 0, contourSize), sorted: make([]float64, contourSize)}}
}

// Push takes a sample for the envelope.
func (s *Segmenter) Push(x float64) { s.env.Push(x) }

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
	if !s.open {
		if voiced && s.steady(n, f) && s.fresh(n, f) {
			at := s.attack(n, f)
			s.start(n, f, at)
			s.note.Dip = s.dipBefore(n, at, width(f))
		}
		return
	}
	w := width(s.held)
	now := n * FrameHop / Block // block of this frame
	defer func() { s.settled = s.settled || settled && s.open && voiced }()

	// Another reed?
	if voiced && s.jumped(n, f) && s.strong(now, w, multiple(f, s.held)) {
		at := s.change(n, s.held, f)
		s.finish(at)
		s.start(n, f, at)
		s.note.Dip = s.dipAround(int(at)/Block, w)
		return
	}
	// The same reed tongued again?
	if at, dip, ok := s.again(now, w); ok && at > s.note.Start+shortest {
		end := at
		if s.falling {
			end = math.Min(end, s.fell)
		}
		s.finish(end)
		s.start(n, s.held, at)
		s.note.Dip = dip
		return
	}
	// Down?
	level := s.env.db(now, w)
	top := s.env.peak(max(now-recent, int(s.note.Start)/Block), now, w)
	switch {
	case s.falling && level > s.fellLevel-fallDB+3:
		s.falling = false
	case !s.falling && level < top-fallDB && now*Block > int(s.note.Start)+shortest:
		s.falling, s.fellFrame, s.fellLevel = true, n, top
		s.fell = s.crossing(now, top-fallDB, w)
	}
	if voiced {
		s.missing = 0
		if !s.falling {
			s.contour.add(f)
		}
		if s.steady(n, f) || math.Abs(dsp.Cents(f, s.held)) < samePitch {
			s.held = f
		}
	} else {
		s.missing++
	}
	switch {
	case s.falling && (n-s.fellFrame > gone || s.missing >= lost):
		s.finish(s.fell)
	case s.missing >= 3*lost:
		s.finish(float64((n - s.missing) * FrameHop))
	}
}

// Flush closes the open note at the given analysis sample.
func (s *Segmenter) Flush(end float64) {
	if s.open {
		if s.falling {
			end = math.Min(end, s.fell)
		}
		s.finish(end)
	}
}

// Notes appends the notes finished since the last call to dst.
func (s *Segmenter) Notes(dst []Note) []Note {
	dst = append(dst, s.notes...)
	s.notes = s.notes[:0]
	return dst
}

func (s *Segmenter) start(n int, f, at float64) {
	s.open, s.falling, s.missing, s.settled = true, false, 0, false
	s.note = Note{Start: math.Max(0, at)}
	s.opened, s.held = n, f
	s.contour.reset()
	s.contour.add(f)
}

func (s *Segmenter) finish(end float64) {
	s.open, s.heldBefore = false, s.held
	s.note.End = end
	w := width(s.held)
	s.last = s.env.peak(int(math.Max(s.note.Start, end-recent*Block))/Block, int(end)/Block, w)
	if end-s.note.Start < shortest {
		return
	}
	s.note.F0 = s.contour.median()
	if n := len(s.pending); n > 0 && (s.note.Start > s.pending[n-1].End+together || n == cap(s.pending)) {
		s.pending = s.pending[:0]
	}
	s.ended = end
	s.pending = append(s.pending, s.note)
	if !s.settled {
		return
	}
	for i, n := range s.pending {
		if i < len(s.pending)-1 && !s.kin(i) {
			continue
		}
		if len(s.notes) == cap(s.notes) {
			// Nobody has asked for notes for a long time: forget the oldest.
			copy(s.notes, s.notes[1:])
			s.notes = s.notes[:len(s.notes)-1]
		}
		s.notes = append(s.notes, n)
	}
	s.pending = s.pending[:0]
}

// kin says that the pending note i belongs to those around it: it goes over into the next
// without a gap, as when holes change in one breath, or has the pitch of another
// one, as repeats have.
func (s *Segmenter) kin(i int) bool {
	if s.pending[i+1].Start-s.pending[i].End < Block {
		return true
	}
	for j, n := range s.pending {
		if j != i && math.Abs(dsp.Cents(n.F0, s.pending[i].F0)) < kinCents {
			return true
		}
	}
	return false
}

const kinCents = 70.0 // notes too short to settle differ by this and less; sampled warbles, our choice

// together is the longest gap, in samples, over which a note that has proved to be one
// vouches for those before it: 80 ms, the gap of a tongued repeat and a little.
const together = 960

// steady says that the frames from n on go on at about f.
func (s *Segmenter) steady(n int, f float64) bool {
	for i := n + 1; i <= n+Ahead-1; i++ {
		g := s.f0.At(i)
		if g <= 0 || math.Abs(dsp.Cents(g, f)) > samePitch {
			return false
		}
		f = g
	}
	return true
}

// jumped says that at frame n the pitch has just become f by a step, not by a glide,
// and stays there: a step of jump cents from one frame to the next, or of more
// within two or four frames, since a change may pass through frames that show neither.
func (s *Segmenter) jumped(n int, f float64) bool {
	if math.Abs(dsp.Cents(f, s.held)) < jump || !s.steady(n, f) {
		return false
	}
	for i := n - 1; i >= max(n-6, s.opened); i-- {
		g := s.f0.At(i)
		if g <= 0 {
			continue
		}
		step := math.Abs(dsp.Cents(f, g))
		if i == n-1 && step >= jump || i == n-2 && step >= 2*jump || i >= n-4 && step >= 4*jump {
			return true
		}
		if s.f0.At(n-1) > 0 {
			continue
		}
		return step >= jump // the sound broke off and came back elsewhere
	}
	return s.f0.At(n-1) <= 0
}

// strong says that what sounds around block now is not the dying rest of what sounded
// before: no multiple of it is believed that is not as loud as it was.
func (s *Segmenter) strong(now, w int, multiple bool) bool {
	limit := fallDB
	if multiple {
		limit = 2
	}
	return s.env.peak(now, s.env.last(w), w) > s.env.peak(now-recent/2, now, w)-limit
}

// multiple says that f is a low multiple or fraction of g: what is left when a note
// dies in a room is often one of its harmonics.
func multiple(f, g float64) bool {
	for m := 2.0; m <= 4; m++ {
		if math.Abs(dsp.Cents(f, g*m)) < samePitch || math.Abs(dsp.Cents(f, g/m)) < samePitch {
			return true
		}
	}
	return false
}

// fresh says that what sounds at frame n is a new sound and not the room's tail of the
// note before: louder than all of the time before, or risen quickly out of a dip to
// near the level that note had.
func (s *Segmenter) fresh(n int, f float64) bool {
	w := width(f)
	now := n * FrameHop / Block
	top := s.env.peak(now-2, s.env.last(w), w)
	if top > s.env.peak(now-60, now-16, w)+3 {
		return true
	}
	if top < s.last-14 || multiple(f, s.heldBefore) && top < s.last-3 {
		return false
	}
	_, bottom := s.env.trough(now-20, now+2, w)
	return top-bottom >= attackDip+2
}

// change is the moment, in analysis samples, at which before gives way to after, near
// frame n.
func (s *Segmenter) change(n int, before, after float64) float64 {
	const side, search, step = 420, 240, 20 // 35 ms of sound, 20 ms of search, 1.7 ms
	mid := n*FrameHop - FrameHop/2
	from := max(mid-side, s.ring.Oldest(), int(s.note.Start))
	to := min(mid+side, s.ring.Count())
	lo, hi := max(mid-search-from, step), min(mid+search-from, to-from-step)
	if hi <= lo {
		return float64(mid)
	}
	x := s.ring.Window(from, to-from)
	at := change(x, before/s.rate, after/s.rate, lo, hi, step)
	// The new tone starts before it takes over.
	if grown, ok := emerge(x, s.rate, before, after, at, s.hann); ok && grown < at {
		at = math.Max(grown, at-mostLead*s.rate)
	} else {
		at -= lead * s.rate
	}
	return float64(from) + at
}

const (
	lead     = 0.006 // s by which a new tone starts before it takes over where that can't be seen; measured on sampled harmonicas
	mostLead = 0.025 // s
)

// attack is the moment at which the sound that frame n belongs to began: where its
// level rose through riseDB under what it reaches.
func (s *Segmenter) attack(n int, f float64) float64 {
	w := width(f)
	now := n * FrameHop / Block
	newest := s.env.last(w)
	low := max(now-24, int(math.Max(s.ended, 0))/Block) // 60 ms back
	top := s.env.peak(now-4, newest, w)
	return s.rise(low, newest, top, w, true)
}

// rise is where, in blocks from..to, the level last rose through riseDB under top. What
// lies under the rise may be the tone itself or, where noise says so, noise; then it is where it rose through the same share of what the tone adds,
// and clear of the noise's own ups and downs.
func (s *Segmenter) rise(from, to int, top float64, w int, noise bool) float64 {
	high := from // first block near the top
	for high < to && s.env.db(high, w) < top-1 {
		high++
	}
	at, bottom := s.env.trough(from, high, w)
	floor := dsp.Power(bottom)
	threshold := floor + (dsp.Power(top)-floor)*dsp.Power(-riseDB)
	if noise && at-from >= 4 {
		threshold = math.Max(threshold, math.Min(s.quiet(from, at, w)*noiseRise, dsp.Power(top)/4))
	}
	limit := dsp.DB(threshold)
	for i := high; i > from; i-- {
		u, v := s.env.db(i-1, w), s.env.db(i, w)
		if u < limit {
			frac := 1.0
			if v > u {
				frac = math.Min(1, (limit-u)/(v-u))
			}
			if !noise {
				return (float64(i-1)+frac)*Block + Block/2
			}
			// Where noise hides the beginning, go back along the rise as it is seen above.
			hidden := (limit - (top - riseDB)) / math.Max(s.slope(i, high, limit, w), 0.1)
			// Not past half the way to the trough, behind which the rise can't have begun.
			begin := float64(i-1) + frac
			hidden = math.Max(0, math.Min(math.Min(hidden, mostHidden), (begin-float64(at))/2))
			return (begin-hidden)*Block + Block/2
		}
	}
	return float64(at)*Block + Block/2
}

// slope is how many dB a block the level rises by from block i, just over limit, to 6 dB more.
func (s *Segmenter) slope(i, high int, limit float64, w int) float64 {
	for j := i; j <= high; j++ {
		if v := s.env.db(j, w); v >= limit+6 {
			return (v - limit) / (float64(j-i) + 1)
		}
	}
	return math.Inf(1)
}

const mostHidden = 8.0 // blocks: 20 ms

// noiseRise is how far over the lower quartile of a noise's smoothed power it seldom comes:
// 5 dB.
const noiseRise = 3.2

// quiet is the lower quartile of the power in blocks from..to, of which the last 32 count:
// the noise, also where a note is still dying away in the first of them.
func (s *Segmenter) quiet(from, to, w int) float64 {
	var v [32]float64
	n := 0
	for i := max(from, to-len(v)+1); i <= to; i++ {
		x := s.env.db(i, w)
		j := n
		for ; j > 0 && v[j-1] > x; j-- {
			v[j] = v[j-1]
		}
		v[j] = x
		n++
	}
	return dsp.Power(v[n/4])
}

// crossing is where, at or before block now, the level fell under limit.
func (s *Segmenter) crossing(now int, limit float64, w int) float64 {
	for i := now; i > now-recent; i-- {
		if v := s.env.db(i-1, w); v >= limit {
			u := s.env.db(i, w)
			frac := 0.0
			if v > u {
				frac = (v - limit) / (v - u)
			}
			return (float64(i-1)+frac)*Block + Block/2
		}
	}
	return float64(now) * Block
}

// again looks for a new attack on the same pitch around block now.
func (s *Segmenter) again(now, w int) (at, dip float64, ok bool) {
	v := s.env.db(now, w)
	rise := v - s.env.db(now-attackTime, w)
	if rise < attackRise {
		return 0, 0, false
	}
	first := int(s.note.Start)/Block + 8 // past the note's own attack
	low := max(now-48, first)            // a dip lasts up to 120 ms
	if low >= now {
		return 0, 0, false
	}
	bottom, db := s.env.trough(low, now, w)
	before := s.env.peak(max(bottom-40, first), bottom, w)
	top := s.env.peak(now, s.env.last(w), w)
	dip = math.Min(before, top) - db
	if dip < attackDip {
		return 0, 0, false
	}
	if rise < tongueRise {
		// A hand that closes far is as quick, but it is closed for longer.
		half, width := db+dip/2, 0
		for i := max(bottom-48, first); i <= now; i++ {
			if s.env.db(i, w) < half {
				width++
			}
		}
		if width > handWidth {
			return 0, 0, false
		}
	}
	return s.rise(bottom, s.env.last(w), top, w, false), dip, true
}

// dipBefore is how far the level lies under the note opened at frame n, just before its
// start at sample at, and under the note before where that has only just ended.
func (s *Segmenter) dipBefore(n int, at float64, w int) float64 {
	block := int(at) / Block
	_, bottom := s.env.trough(block-24, block, w)
	side := s.env.peak(n*FrameHop/Block-4, s.env.last(w), w)
	if at-s.ended < 0.12*s.rate {
		side = math.Min(side, s.last)
	}
	return math.Max(0, side-bottom)
}

// dipAround is how far the level lies under both sides near block at.
func (s *Segmenter) dipAround(at, w int) float64 {
	_, db := s.env.trough(at-6, at+4, w)
	return math.Max(0, math.Min(s.env.peak(at-24, at-6, w), s.env.peak(at+4, at+16, w))-db)
}
