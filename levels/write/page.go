package write

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"reedwell/levels/harp"
	"reedwell/levels/lesson"
)

// A page is the lick being written.
type page struct {
	options Options
	fit     fit
	pieces  []piece
	shift   lesson.Ticks // from the fit's beat 0 to bar 1 beat 1 of the lick
	notes   []lesson.Note
	lick    lesson.Lick
	doubts  []Doubt
}

// doubtful is how little more, in the units of a Gaussian's exponent, the next likely place
// may cost for a start to be in doubt: one in seven.
const doubtful = 2.0

// place writes the pieces.
func (p *page) place() {
	p.bar()
	if len(p.pieces) == 0 {
		return
	}
	p.fit.plain()
	_, loose, gaps := p.fit.beats()
	holes, unsure := p.holes()
	for i, x := range p.pieces {
		n := lesson.Note{Start: p.fit.places[i].at - p.shift, Holes: holes[i], Vibrato: x.vibrato}
		n.Length = p.length(i)
		if i > 0 {
			n.Join = p.join(i, n)
		}
		n.Scoop = x.scoop && n.Join == lesson.Tongued && scoopable(n.Holes)
		if x.wah > 0 {
			n.Wah = math.Max(lesson.MinWah, math.Min(lesson.MaxWah, math.Round(2*x.wah/p.fit.speed)/2))
		}
		if x.warbles() {
			n.Warble = x.warble
			n.Rate = max(2, min(lesson.MaxRate, int(math.Round(1/(x.gap*p.fit.speed)))))
		}
		p.notes = append(p.notes, n)
		if at, more := other(p.fit.places, i, p.fit.without(i, p.options), loose[i], gaps[i], p.fit.feel); more < doubtful {
			p.doubt(i, Start, "the start lies between two places: %s or %s?", spoken(n.Start, p.fit.feel), spoken(at-p.shift, p.fit.feel))
		}
		if unsure[i] {
			p.doubt(i, Hole, "2 draw or 3 blow? They are the same note; %s was taken", holes[i][0].Words())
		}
		p.pitchDoubts(i)
		p.warbleDoubts(i)
	}
	p.wholeDoubts()
	p.frame()
}

func (p *page) doubt(note int, about About, format string, args ...any) {
	p.doubts = append(p.doubts, Doubt{0, note, about, fmt.Sprintf(format, args...)})
}

// bar finds bar 1 beat 1: with a count-in the first bar in which something starts, else
// the beat that makes the most of the strong beats. It drops what lies in the count-in.
func (p *page) bar() {
	if p.options.Tempo != 0 {
		skip := 0
		for skip < len(p.pieces) && p.fit.places[skip].at <= -lesson.Bar {
			skip++
		}
		p.pieces, p.fit.places, p.fit.starts, p.fit.drift = p.pieces[skip:], p.fit.places[skip:], p.fit.starts[skip:], p.fit.drift[skip:]
		if len(p.pieces) == 0 {
			return
		}
		p.shift = max(0, floorTo(p.fit.places[0].at, lesson.Bar))
		if late, over := p.fit.places[0].at-p.shift, p.fit.places[len(p.pieces)-1].at-p.shift; late > lesson.Bar/2 && over >= lesson.Bar {
			p.shift += lesson.Bar // it leads into the next bar
		}
		return
	}
	first := floorTo(p.fit.places[0].at, lesson.Beat)
	onBeat := first == p.fit.places[0].at
	best, second := math.Inf(-1), math.Inf(-1)
	for beat := lesson.Ticks(0); beat <= lesson.BeatsPerBar; beat++ {
		if beat == 0 && !onBeat {
			continue // a pickup then
		}
		if beat == lesson.BeatsPerBar && onBeat {
			continue
		}
		at := first + beat*lesson.Beat
		score := 0.0
		if at != p.fit.places[0].at {
			// A pickup of a beat or so is common, of three or more it is not. Our choice.
			score -= 1.2 + 0.5*(at-p.fit.places[0].at).Beats()
		}
		for i, s := range p.fit.places {
			until := p.pieces[i].end * p.fit.speed
			if i+1 < len(p.pieces) {
				until = p.pieces[i+1].start * p.fit.speed
			}
			long := math.Min(2, until-p.pieces[i].start*p.fit.speed)
			switch ((s.at-at)%lesson.Bar + lesson.Bar) % lesson.Bar {
			case 0:
				score += 0.8 * long
			case lesson.Bar / 2:
				score += 0.3 * long
			}
		}
		if score > best {
			best, second, p.shift = score, best, at
		} else if score > second {
			second = score
		}
	}
	if best-second < 1.5 {
		p.doubt(-1, BarOne, "where bar one begins is a guess: play to the count-in, or move the bar lines")
	}
}

func floorTo(t, unit lesson.Ticks) lesson.Ticks { return t - (t%unit+unit)%unit }

// frame makes the lick: full bars, pickup.
func (p *page) frame() {
	last := p.notes[len(p.notes)-1].End()
	p.lick = lesson.Lick{Title: "Lick", Bar: max(1, p.options.Bar), Bars: max(1, int((last+lesson.Bar-1)/lesson.Bar)),
		Pickup: max(0, -p.notes[0].Start), Notes: p.notes}
	if p.options.Tempo != 0 {
		p.lick.Bar += int(p.shift / lesson.Bar)
	}
	sort.SliceStable(p.doubts, func(i, j int) bool { return p.doubts[i].Note < p.doubts[j].Note })
}

// Costs of where a note ends, in the units of a Gaussian's exponent. Our choice: players
// let go early more often than they hang on, and a rest that is written is one that can be
// counted.
const (
	earlyEnd, lateEnd = 0.10, 0.06 // seconds
	restOnBeat        = 1.5
	restOffBeat       = 2.2
	restElsewhere     = 4.0
)

// length is how long piece i lasts on the page.
func (p *page) length(i int) lesson.Ticks {
	at := p.fit.places[i].at
	drift := p.fit.drift[i]
	end := (p.pieces[i].end - drift - p.fit.zero) * p.fit.speed
	next := lesson.Ticks(math.MaxInt32)
	if i+1 < len(p.pieces) {
		next = p.fit.places[i+1].at
	}
	if next-at <= lesson.Beat/4 || i+1 < len(p.pieces) && p.pieces[i+1].start-p.pieces[i].end < inBreath {
		return next - at
	}
	unit := lesson.Beat / 2
	if p.fit.feel.Kind == lesson.Triplet || p.fit.places[i].parts == 3 {
		unit = lesson.Beat / 3
	}
	best, least := next, math.Inf(1)
	weigh := func(to lesson.Ticks, cost float64) {
		r := (end - p.fit.feel.Beat(to)) / p.fit.speed
		if r < 0 {
			cost += r * r / (2 * earlyEnd * earlyEnd)
		} else {
			cost += r * r / (2 * lateEnd * lateEnd)
		}
		if cost < least {
			best, least = to, cost
		}
	}
	if i+1 < len(p.pieces) {
		weigh(next, 0)
	}
	for to := floorTo(at, lesson.Beat); to < next && p.fit.feel.Beat(to) < end+2; to += unit {
		switch {
		case to <= at:
		case to%lesson.Beat == 0:
			weigh(to, restOnBeat)
		case to-floorTo(to, lesson.Beat) == unit || unit == lesson.Beat/3:
			weigh(to, restOffBeat)
		}
	}
	if short := lesson.Beat / 4; p.fit.places[i].parts == 4 && at+short < next {
		weigh(at+short, restElsewhere)
	}
	return best - at
}

// glideDip is the dip in dB up to which another rung of the same reed is taken for a bend
// too quick to be followed.
const glideDip = 6.0

// join says how piece i begins, with the notes before it written.
func (p *page) join(i int, n lesson.Note) lesson.Join {
	a, b := p.pieces[i-1], p.pieces[i]
	before := p.notes[i-1]
	rung := slices.EqualFunc(before.Holes, n.Holes, func(x, y harp.Note) bool { return x.Hole == y.Hole && x.Breath == y.Breath })
	switch {
	case before.End() != n.Start, before.Holes[0].Breath != n.Holes[0].Breath, slices.Equal(before.Holes, n.Holes):
		return lesson.Tongued
	case rung && (b.glide || b.dip < glideDip && b.start-a.end <= inBreath):
		return lesson.Glide
	case !rung && b.start-a.end <= inBreath && (b.dip < slurDip || b.split):
		return lesson.Slurred
	}
	return lesson.Tongued
}

// scoopable says that a note can be bent from below: with the breath of the hole's higher
// reed, and not when it is bent as deep as it goes.
func scoopable(holes []harp.Note) bool {
	for _, h := range holes {
		breath, rungs := harp.Bends(h.Hole)
		if h.Over || h.Breath != breath || rungs > 0 && h.Bend == rungs {
			return false
		}
	}
	return true
}

// spoken names a place as one counts it: bar and beat, with the part of the beat.
func spoken(t lesson.Ticks, feel lesson.Feel) string {
	bar := floorTo(t, lesson.Bar)
	in := t - bar
	beat, part := in/lesson.Beat+1, in%lesson.Beat
	name := ""
	switch part {
	case 0:
	case lesson.Beat / 2:
		name = " and"
	case lesson.Beat / 3:
		name = ", second triplet"
	case 2 * lesson.Beat / 3:
		name = ", third triplet"
	case lesson.Beat / 4:
		name = ", second sixteenth"
	case 3 * lesson.Beat / 4:
		name = ", fourth sixteenth"
	default:
		name = fmt.Sprintf(" and %g", part.Beats())
	}
	if t < 0 {
		return fmt.Sprintf("%d%s before bar 1", beat, name)
	}
	return fmt.Sprintf("bar %d, beat %d%s", bar/lesson.Bar+1, beat, name)
}

const (
	// betweenRungs is how far in cents from its rung a pitch may lie before the next rung is
	// as good a guess: half of 100, less the spread of a held bend.
	betweenRungs = 32.0
)

// pitchDoubts says what is not sure about the pitch of piece i.
func (p *page) pitchDoubts(i int) {
	x := p.pieces[i]
	if x.warbles() {
		return
	}
	if math.Abs(x.cents) >= betweenRungs {
		p.doubt(i, Bend, "%s", between(x.note, x.cents))
	}
	for _, a := range x.along {
		in := false
		for _, h := range p.notes[i].Holes {
			in = in || h.Hole == a.hole
		}
		near := a.hole == x.note.Hole-1 || a.hole == x.note.Hole+1
		if near && !x.thick && a.share >= chordShare && a.level >= leakLevel {
			if in && a.level < chordLevel+2 {
				p.doubt(i, Second, "hole %d sounds along, %.0f dB softer: a chord, or one note?", a.hole, -a.level)
			} else if !in {
				p.doubt(i, Second, "hole %d sounds along, %.0f dB softer: one note, or a chord?", a.hole, -a.level)
			}
		}
	}
	top := math.Inf(-1)
	for _, q := range p.pieces {
		top = math.Max(top, q.level)
	}
	switch {
	case x.thick:
		p.doubt(i, Second, "several holes at once: %d to %d were taken", p.notes[i].Holes[0].Hole, p.notes[i].Holes[len(p.notes[i].Holes)-1].Hole)
	case x.level < top-faint:
		p.doubt(i, Heard, "very faint: a note, or something that sounded by itself?")
	case x.sure < leastSure:
		p.doubt(i, Heard, "not heard clearly")
	}
}

// between says between which rungs a pitch lies.
func between(n harp.Note, cents float64) string {
	names := [...]string{"the natural note", "a half step", "a whole step", "a step and a half"}
	_, rungs := harp.Bends(n.Hole)
	breath, _ := harp.Bends(n.Hole)
	bends := breath == n.Breath && !n.Over
	switch {
	case bends && cents < 0 && n.Bend < rungs:
		return fmt.Sprintf("between %s and %s bend: %s was taken", names[n.Bend], names[n.Bend+1], n.Words())
	case bends && cents > 0 && n.Bend > 0:
		return fmt.Sprintf("between %s and %s bend: %s was taken", names[n.Bend-1], names[n.Bend], n.Words())
	case cents < 0:
		return fmt.Sprintf("%.0f cents under %s", -cents, n.Words())
	}
	return fmt.Sprintf("%.0f cents over %s", cents, n.Words())
}

// warbleDoubts says what is not sure about a warble or a hand.
func (p *page) warbleDoubts(i int) {
	x, n := p.pieces[i], p.notes[i]
	if x.warbles() {
		exact := 1 / (x.gap * p.fit.speed)
		if math.Abs(exact-float64(n.Rate)) > 0.3 {
			p.doubt(i, Rate, "the warble runs at %.1f notes a beat: %d was taken", exact, n.Rate)
		}
		if x.guessed > 0 || 4*x.lostTurns > x.turns {
			p.doubt(i, Heard, "%d of the %d turns of this warble were not heard clearly: one warble, or does it stop in between?", x.lostTurns, x.turns)
		}
		if n.Rate <= 4 {
			p.doubt(i, Trill, "a warble, or single notes of %s?", map[int]string{2: "an eighth", 3: "a triplet", 4: "a sixteenth"}[n.Rate])
		}
	}
	if x.wah > 0 && math.Abs(x.wah/p.fit.speed-n.Wah) > 0.2 {
		p.doubt(i, Rate, "the hand opens %.1f times a beat: %g was taken", x.wah/p.fit.speed, n.Wah)
	}
}

// wholeDoubts says what is not sure about the lick.
func (p *page) wholeDoubts() {
	if p.fit.rival != 0 {
		p.doubt(-1, Tempo, "the tempo may be %.0f in place of %.0f: play to the count-in to be sure", p.fit.rival, 60*p.fit.speed)
	}
	if p.fit.guess {
		p.doubt(-1, Feel, "nothing lies off the beat: straight was taken, a shuffle would be the same")
	}
}
