package sheet

import (
	"slices"

	"reedwell/levels/lesson"
)

// A style is how large a strip is set.
type style struct {
	tab    float64 // size of the tab
	chord  float64
	perRow int  // bars in a full line
	full   bool // a lick: beats counted, all marks drawn; otherwise the chart
}

const (
	small = 10.0 // the least size of type
	gap   = 5.0  // between two notes
)

// A row is one line of a strip, spaced out: which places of time lie where.
type row struct {
	from, to lesson.Ticks
	points   []point
}

// A point is a bar line, or an edge of the row, or the place of something in a bar. A bar
// line comes before what stands at the same time.
type point struct {
	t   lesson.Ticks
	bar bool
	x   float64
}

// tick is the index of the point at which something at t stands.
func (r *row) tick(t lesson.Ticks) int {
	i, _ := slices.BinarySearchFunc(r.points, t, func(p point, t lesson.Ticks) int {
		if p.t < t || p.t == t && p.bar {
			return -1
		}
		if p.t == t {
			return 0
		}
		return 1
	})
	return min(i, len(r.points)-1)
}

// at is the place at which something at t stands.
func (r *row) at(t lesson.Ticks) float64 { return r.points[r.tick(t)].x }

// edge is the index of the point at which something that ends at t ends.
func (r *row) edge(t lesson.Ticks) int {
	i := r.tick(t)
	if i > 0 && r.points[i-1].bar && r.points[i-1].t == t {
		return i - 1
	}
	return i
}

// room is how far an event reaches to both sides of its place.
func (s *setter) room(e event) (left, right float64) {
	switch e.kind {
	case slash:
		return 4, 4
	case resting:
		return 0.3 * s.tab, 0.3 * s.tab
	}
	for _, t := range e.tokens() {
		left = max(left, s.fonts.width(t, s.tab, true)/2)
	}
	right = left
	if e.note.Warbles() {
		right += s.waveRoom() + s.fonts.width(token(e.note.Warble), s.tab, true)
	}
	if !s.full {
		return left, right
	}
	right = max(right, s.marksWidth(e)-left)
	if e.note.Join == lesson.Glide {
		left += glideRoom
	}
	if e.note.Scoop {
		left += scoopRoom
	}
	return left, right
}

// A spacing is a row while its widths are found: the least width between each point and the
// next.
type spacing struct {
	row
	least []float64
}

// points makes the row of a stretch, with a point for each beat and for each of the places
// that are given.
func (t *strip) points(from, to lesson.Ticks, times []lesson.Ticks) spacing {
	times = append(times, from)
	for b := ceil(from, lesson.Beat); b < to; b += lesson.Beat {
		times = append(times, b)
	}
	slices.Sort(times)
	p := spacing{row: row{from: from, to: to}}
	for _, u := range slices.Compact(times) {
		if u < from || u >= to {
			continue
		}
		if u == from || u%lesson.Bar == 0 {
			p.row.points = append(p.row.points, point{t: u, bar: true})
		}
		p.row.points = append(p.row.points, point{t: u})
	}
	p.row.points = append(p.row.points, point{t: to, bar: true})
	p.least = make([]float64, len(p.row.points)-1)
	return p
}

// long is the time from point i to the next.
func (p *spacing) long(i int) float64 { return float64(p.row.points[i+1].t - p.row.points[i].t) }

// need makes points i and j at least so far apart.
func (p *spacing) need(i, j int, width float64) {
	have, time := 0.0, 0.0
	for k := i; k < j; k++ {
		have, time = have+p.least[k], time+p.long(k)
	}
	if have >= width {
		return
	}
	for k := i; k < j; k++ {
		if time > 0 {
			p.least[k] += (width - have) * p.long(k) / time
		} else {
			p.least[k] += (width - have) / float64(j-i)
		}
	}
}

// lastBar is the bar line or edge before a point, nextBar the one after it.
func (p *spacing) lastBar(i int) int {
	for !p.row.points[i].bar {
		i--
	}
	return i
}

func (p *spacing) nextBar(i int) int {
	for !p.row.points[i].bar {
		i++
	}
	return i
}

// settle finds the places of all points in a width; fits is false when they need more.
func (p *spacing) settle(width float64) (r row, fits bool) {
	// What begins a bar begins all bars at the same distance from the line.
	pad, total := 0.0, 0.0
	for i, w := range p.least {
		if p.long(i) == 0 {
			pad = max(pad, w)
		}
	}
	for i := range p.least {
		if p.long(i) == 0 {
			p.least[i] = pad
		}
		total += p.least[i]
	}
	share(p.least, p.long, max(width, total))
	x := 0.0
	for i, w := range p.least {
		p.row.points[i].x = x
		x += w
	}
	p.row.points[len(p.least)].x = x
	return p.row, total <= width
}

// space finds the places of a row in a width; fits is false when it needs more.
func (s *setter) space(t *strip, from, to lesson.Ticks, width float64) (r row, fits bool) {
	events, chords := t.within(from, to), t.over(from, to)
	var times []lesson.Ticks
	for _, e := range events {
		times = append(times, e.at, e.end)
	}
	for _, c := range chords {
		times = append(times, c.at)
	}
	p := t.points(from, to, times)
	s.events(&p, t, events)
	s.labels(&p, events)
	for _, b := range t.tuplets {
		if b.from < to && b.to > from {
			p.need(p.tick(max(b.from, from)), p.edge(min(b.to, to)), bracketed)
		}
	}
	if s.full {
		beats := s.counts(&p.row, events)
		for i, b := range beats {
			at := p.tick(b.at)
			if i > 0 {
				p.need(p.tick(beats[i-1].at), at, 1.5*small)
			}
			p.need(at, p.nextBar(at), small)
		}
	}
	for i, c := range chords {
		end := len(p.least)
		if i+1 < len(chords) {
			end = p.tick(chords[i+1].at)
		}
		p.need(p.tick(c.at), end, s.fonts.width(c.name, s.chord, true)+gap)
	}
	// The number of the first bar stands before its chord.
	p.need(0, 1, s.fonts.width(t.barName(max(0, floor(from, lesson.Bar))), small, false)+gap+chordLeft)
	return p.settle(width)
}

// events asks for the room of notes, rests and slashes.
func (s *setter) events(p *spacing, t *strip, events []event) {
	for i, e := range events {
		at := p.tick(e.at)
		left, right := s.room(e)
		p.need(p.lastBar(at), at, left+gap)
		bar := p.nextBar(at)
		if i+1 < len(events) {
			if next := p.tick(events[i+1].at); next < bar {
				left, _ := s.room(events[i+1])
				p.need(at, next, right+gap+left)
				continue
			}
		}
		if p.row.points[bar].t%t.period == 0 {
			right += doubleBar
		}
		p.need(at, bar, right+gap)
	}
}

// labels asks for the room of the words over the first notes of licks.
func (s *setter) labels(p *spacing, events []event) {
	last, width := -1, 0.0
	for _, e := range events {
		if e.label == "" {
			continue
		}
		at := p.tick(e.at)
		if last >= 0 {
			p.need(last, at, width+gap)
		}
		last, width = at, s.fonts.width(e.label, small, true)
	}
	if last >= 0 {
		p.need(last, len(p.least), width)
	}
}

// share stretches widths to a sum, as evenly in time as their least widths allow.
func share(widths []float64, long func(int) float64, sum float64) {
	at := func(scale float64) float64 {
		total := 0.0
		for i, w := range widths {
			total += max(w, scale*long(i))
		}
		return total
	}
	lo, hi := 0.0, sum // a tick is never wider than all
	for range 60 {     // halvings: to the last bit
		if mid := (lo + hi) / 2; at(mid) <= sum {
			lo = mid
		} else {
			hi = mid
		}
	}
	for i := range widths {
		widths[i] = max(widths[i], lo*long(i))
	}
}

// over are the chords of a stretch, the first from its beginning on.
func (s *strip) over(from, to lesson.Ticks) []chordAt {
	var all []chordAt
	for i, c := range s.chords {
		if c.at < to && (i+1 == len(s.chords) || s.chords[i+1].at > from) {
			c.at = max(c.at, from)
			all = append(all, c)
		}
	}
	return all
}

// before is how many events start before t.
func (s *strip) before(t lesson.Ticks) int {
	n, _ := slices.BinarySearchFunc(s.events, t, func(e event, t lesson.Ticks) int { return int(e.at - t) })
	return n
}

// within are the events that start in a stretch.
func (s *strip) within(from, to lesson.Ticks) []event { return s.events[s.before(from):s.before(to)] }

// rows breaks a strip into rows of so many bars. A row that is too full is halved, at a bar
// line where there is one; fits tells whether none was.
func (s *setter) rows(t *strip, width float64) (rows []row, fits bool) {
	fits = true
	var set func(from, to lesson.Ticks, want float64)
	set = func(from, to lesson.Ticks, want float64) {
		r, ok := s.space(t, from, to, want)
		if !ok && r.points[len(r.points)-1].x <= width {
			ok = true // wider than its share, but there is room
		}
		if ok || len(t.within(from, to)) <= 1 || to-from <= 1 {
			rows = append(rows, r)
			return
		}
		fits = false
		mid := halve(from, to)
		set(from, mid, want)
		set(mid, to, want)
	}
	for from := t.from; from < t.to; {
		first := max(from, 0)
		to := min(first+lesson.Ticks(s.perRow)*lesson.Bar, floor(first, t.period)+t.period)
		bars := float64(to-from) / float64(lesson.Bar)
		set(from, to, width*min(1, bars/float64(s.perRow))) // a short row keeps the measure of a full one
		from = to
	}
	return rows, fits
}

// halve is where a row is broken: between bars, else between beats, else anywhere.
func halve(from, to lesson.Ticks) lesson.Ticks {
	for _, step := range []lesson.Ticks{lesson.Bar, lesson.Beat} {
		first, last := floor(from, step)+step, ceil(to, step)-step
		if first <= last {
			n := (last - first) / step // how many steps lie between the breaks that may be
			return first + (n+1)/2*step
		}
	}
	return from + (to-from)/2
}
