package grade

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// A lick is graded note by note: when each starts or, for a glide, arrives, how long its
// breath lasts, its pitch, its repeats. A warble is one thing, judged as a whole, and so is a
// chord of holes. How a note is coloured is the player's: a start under the pitch that rises
// to it, vibrato and hand wah are heard past, not counted.

// mended joins pieces of one pitch between which the level falls by less than dip, the least
// that is heard as a new start: a quick hand wah may be told as many notes.
func mended(notes []sounded, dip float64) []sounded {
	const touching, same = 0.02, 50.0 // seconds, cents
	var all []sounded
	for _, n := range notes {
		if k := len(all) - 1; k >= 0 && n.dip < dip && n.start-all[k].end < touching && math.Abs(harp.Cents(n.hz, all[k].hz)) < same {
			if n.end-n.start > all[k].end-all[k].start {
				all[k].hz = n.hz // the longer piece tells the pitch better
			}
			all[k].end = n.end
			continue
		}
		all = append(all, n)
	}
	return all
}

// parted is a lick cut into what is judged: heads [first, last) of one item.
func parted(d drill.Drill, heads []head) []head {
	var all []head
	for k := range heads {
		if len(all) > 0 {
			item := &all[len(all)-1]
			if goesOn(d, heads[item.first].first, heads[k].first) {
				item.last = k + 1
				continue
			}
		}
		all = append(all, head{k, k + 1})
	}
	return all
}

// goesOn reports whether target i goes on with the warble that target first began.
func goesOn(d drill.Drill, first, i int) bool {
	t := d.Targets[i]
	if !t.Warble || !d.Targets[first].Warble || t.Join != drill.Legato || math.Abs(t.Beats-d.Targets[first].Beats) > 1e-9 {
		return false
	}
	return i-first < 2 || t.Note == d.Targets[i-2].Note
}

// lick grades a lick and returns how many items it has and how many are good.
func (g *grader) lick(heads []head, pairs []int, used []bool) (items, good int) {
	warbles, even := 0, 0
	for _, item := range parted(g.d, heads) {
		h := heads[item.first]
		t := g.d.Targets[h.first]
		ok := false
		switch {
		case t.Warble && item.last-item.first > 1:
			warbles++
			ok = g.warbled(heads[item.first:item.last], pairs[item.first:item.last], used)
			if ok {
				even++
			}
		case len(t.Also) > 0:
			ok = g.chord(h.first, pairs[item.first], used)
		case pairs[item.first] < 0:
			g.absent(h)
		default:
			ok = g.sung(h, pairs[item.first], used)
		}
		items++
		if ok {
			good++
		}
	}
	g.unevenLick = 2*even < warbles
	return items, good
}

// glideTime is how long a glide may take on top of the window of a start, in seconds: it may
// begin on its beat or arrive on it. Our choice: a slow bend takes 150 ms.
const glideTime = 0.15

// arriveBand is how near in cents a glide must have come to where it rests to have arrived:
// wider than the vibrato of a throat.
const arriveBand = 30.0

// quick is the largest distance in cents from its rung of a bend that is only touched: beyond
// it the next rung is nearer.
const quick = 50.0

// sung grades a head with its glides against the heard note matched to it, and reports
// whether all of its targets are good.
func (g *grader) sung(h head, note int, used []bool) bool {
	n := g.notes[note]
	last := g.d.Targets[h.last-1]
	if h.last-h.first > 1 {
		n = g.joined(h, note, used)
	}
	stretches := []plateau{{move: n.start, from: n.start, to: n.end}}
	if h.last-h.first > 1 {
		stretches = g.plateaus(h, n)
	}
	all := true
	for k, p := range stretches {
		i := h.first + k
		good := g.pitched(i, p, n.hz, k > 0)
		if k == 0 {
			good = g.onTime(i, n.start) && good
			if g.repeats(i) {
				w := g.d.Windows
				good = g.mark(i, Dip, w.Dip, n.dip, w.Dip, "dB", n.dip >= w.Dip) && good
			}
		}
		if i == h.last-1 {
			good = g.breath(i, n.start, n.end, last.End-g.d.Targets[h.first].Start) && good
		}
		g.r.Notes[i].Good = good && g.r.Notes[i].Sure
		all = all && g.r.Notes[i].Good
	}
	return all
}

// repeats reports whether target i is the reed of the one before, tongued again.
func (g *grader) repeats(i int) bool {
	t := g.d.Targets[i]
	return touches(g.d, i) && t.Join == drill.Tongued && g.d.Targets[i-1].Note == t.Note
}

// onTime marks where target i starts.
func (g *grader) onTime(i int, start float64) bool {
	t := g.d.Targets[i]
	late := start - t.Start
	limit := g.limit(i)
	return g.mark(i, Start, 0, late, limit, "s", math.Abs(late-g.offset()) <= limit)
}

// limit is the window of target i's start: a third of a short note is a note out of place. The
// notes of a warble are as long as the warble there.
func (g *grader) limit(i int) float64 {
	t := g.d.Targets[i]
	if t.Warble {
		return g.d.Windows.Start
	}
	return math.Min(g.d.Windows.Start, (t.End-t.Start)/3)
}

// breath marks how much of the asked seconds a breath lasts.
func (g *grader) breath(i int, start, end, asked float64) bool {
	return g.lasts(i, (end-start)/asked, g.d.Windows.LengthMin, g.d.Windows.LengthMax)
}

// leastPoints is how many frames of 5 ms must be heard with confidence. A short note that rises to
// its pitch is sure only at its end, so a share would be too much to ask; where even that is
// not there, the ear has still told the note as a whole, which is enough for an unbent reed. Our
// choice.
const leastPoints = 4

// pitched marks the pitch of one target within the stretch p of a breath, whether it sounds
// alone, and where a glide arrives. whole is the pitch of the breath as a whole in Hz.
func (g *grader) pitched(i int, p plateau, whole float64, glided bool) bool {
	t, w := g.d.Targets[i], g.d.Windows
	a, b := held(p.from, p.to)
	if glided {
		a = p.from // no attack there
	}
	a += (b - a) * 0.4 // a scoop has risen by then
	if glided && p.to-p.from < leastHeld {
		return g.touched(i, p)
	}
	points, _ := g.e.contour(a, math.Max(b, p.to-0.015), t.Hz) // into the release: the reed goes on
	pitch := harp.Cents(whole, t.Hz)
	switch {
	case len(points) >= leastPoints:
		pitch = median(centsOf(points))
	case glided || t.Note.Bend > 0 || len(g.e.frames(a, b)) == 0:
		g.outcome(i, p.from, p.to, 0, false, false)
		g.verdict(i, Played, Unheard)
		return false
	}
	g.outcome(i, p.from, p.to, t.Hz*math.Exp2(pitch/1200), false, true)
	window := w.Natural
	if t.Note.Bend > 0 {
		window = w.Pitch
	}
	good := g.mark(i, Pitch, 0, pitch, window, "cents", math.Abs(pitch) <= window)
	if glided {
		if good {
			good = g.arrives(i, p, pitch)
		}
		if t.Note.Bend > 0 && p.to-p.from >= leastHeld {
			p.to -= 0.04 // without the change to what follows
			over := g.overshoot(i, p, true, pitch)
			good = g.mark(i, Overshoot, 0, over, w.Overshoot, "cents", over <= w.Overshoot) && good
		}
	}
	level := g.e.leak(a, b)
	return g.mark(i, Leak, LeakFloor, level, w.Leak, "dB", level <= w.Leak) && good
}

// touched marks a glide that does not stay: how near it came.
func (g *grader) touched(i int, p plateau) bool {
	t := g.d.Targets[i]
	direction := 1.0
	if t.Hz < g.d.Targets[i-1].Hz {
		direction = -1
	}
	points, sure := g.e.contour(p.move, math.Max(p.to, p.move+leastHeld/2), t.Hz)
	if sure < leastSure || len(points) == 0 {
		g.outcome(i, p.from, p.to, 0, false, false)
		g.verdict(i, Played, Unheard)
		return false
	}
	reached := math.Inf(-1)
	for _, x := range points {
		reached = math.Max(reached, direction*x.cents)
	}
	reached *= direction
	g.outcome(i, p.from, p.to, t.Hz*math.Exp2(reached/1200), false, true)
	if !g.mark(i, Pitch, 0, reached, quick, "cents", math.Abs(reached) <= quick) {
		return false
	}
	return g.arrives(i, p, reached)
}

// arrives marks when a glide has come to within arriveBand of where it rests.
func (g *grader) arrives(i int, p plateau, rest float64) bool {
	t := g.d.Targets[i]
	direction := 1.0
	if t.Hz < g.d.Targets[i-1].Hz {
		direction = -1
	}
	points, _ := g.e.contour(p.move-0.02, p.to, t.Hz)
	for _, x := range points {
		if direction*(x.cents-rest) >= -arriveBand {
			late := x.at - t.Start
			limit := g.limit(i)
			from, to := -limit, limit+glideTime
			return g.mark(i, Arrival, 0, late, to, "s", late-g.offset() >= from && late-g.offset() <= to)
		}
	}
	return true // it rests outside what was heard with confidence: nothing to say
}

// leastTime is the least difference in seconds between two starts that means anything on a free
// reed (see drill.WindowsFor): two reeds may speak that much apart, which is not the player's limp.
const leastTime = 0.020

// warbled grades the warble that the heads are, and reports whether it is good.
func (g *grader) warbled(heads []head, pairs []int, used []bool) bool {
	d, w := g.d, g.d.Windows
	first, last := heads[0].first, heads[len(heads)-1].first
	asked := float64(len(heads))
	begin, end := d.Targets[first].Start, d.Targets[last].End
	gap := (end - begin) / asked
	mine := map[int]bool{}
	for k, p := range pairs {
		if p >= 0 {
			mine[p] = true
			n := g.notes[p]
			g.outcome(heads[k].first, n.start, n.end, n.hz, false, true)
		}
	}
	early, over := math.Max(gap/2, w.Start), gap/2 // what is played around the warble
	var heard []alternation
	for k, n := range g.notes {
		if !mine[k] && (used[k] || n.start < begin+g.r.Bias-early || n.start > end+g.r.Bias-over) {
			continue
		}
		switch {
		case math.Abs(harp.Cents(n.hz, d.Targets[first].Hz)) <= 60: // as in a warble by itself
			heard = append(heard, alternation{n, false})
		case math.Abs(harp.Cents(n.hz, d.Targets[first+1].Hz)) <= 60:
			heard = append(heard, alternation{n, true})
		default:
			continue
		}
		used[k] = true
	}
	if len(heard) < 2 {
		g.r.Missing++
		g.verdict(first, Played, Missing)
		return false
	}
	var good bool
	if g.repeats(first) && heard[0].start-begin > gap/2 && g.heldThrough(first) {
		g.verdict(first, Dip, Missing)
	} else {
		good = g.onTime(first, heard[0].start)
	}
	turn := g.e.alternate(heard, gap)
	rate := 1 / gap
	if len(turn.run) < 2 {
		g.mark(first, Rate, rate, 0, w.Rate*rate, "notes/s", false)
		return false
	}
	speed := 1 / turn.mean
	good = g.mark(first, Rate, rate, speed, w.Rate*rate, "notes/s", math.Abs(speed-rate) <= w.Rate*rate) && good
	good = g.mark(first, Evenness, 0, turn.evenness, w.Evenness, "of a gap", turn.evenness <= w.Evenness) && good
	if turn.sides {
		share := turn.first / (turn.first + turn.second)
		limit := math.Max(w.Balance, leastTime/(turn.first+turn.second))
		good = g.mark(first, Balance, 0.5, share, limit, "of the time", math.Abs(share-0.5) <= limit) && good
	}
	clean := 0.0
	for _, n := range heard {
		length := n.end - n.start
		if g.e.leak(n.start+length/4, n.end-length/4) <= w.Leak {
			clean++
		}
	}
	clean /= float64(len(heard))
	good = g.mark(first, Clean, 1, clean, w.Clean, "of the notes", clean >= w.Clean) && good
	good = g.breath(first, heard[0].start, heard[len(heard)-1].end, end-begin) && good
	for _, h := range heads {
		g.r.Notes[h.first].Good, g.r.Notes[h.first].Sure = good, true
	}
	return good
}

// Chords. An ear that follows one reed and two beside it hears two holes of a chord for sure;
// of three it often loses one, so no more than two are asked for. Two holes an octave apart
// sound as one. Beside a chord it hears holes that are not there, 11 dB under it, so a hole too
// many is not judged.
const (
	// chordShare is the share of the frames in which a hole must be heard to have sounded. A
	// hole that is not there is in none; of two that are, sampled harmonicas show each in 84 % at
	// the least.
	chordShare = 0.2
	chordHeard = 2
	// chordDrop is how far in dB under its held level a chord starts and ends.
	chordDrop = 12.0
)

// chord grades a target of several holes; note is the heard note matched to it, or -1.
func (g *grader) chord(i, note int, used []bool) bool {
	t := g.d.Targets[i]
	holes := append([]harp.Note{t.Note}, t.Also...)
	var hz []float64
	for _, h := range holes {
		f, err := g.d.Harp.Hz(h)
		if err != nil {
			panic("grade: " + err.Error()) // a drill's targets lie on its harp
		}
		hz = append(hz, f)
	}
	start, end, level, starts, ends := g.sounds(i)
	if loudest := g.loudest(); level < loudest-25 {
		g.r.Missing++
		g.verdict(i, Played, Missing)
		return false
	}
	// A chord may be heard as a row of its holes: all of them are it.
	for k, n := range g.notes {
		if n.start > start-0.05 && n.start < end-0.03 && (!used[k] || k == note) && member(n.hz, hz) {
			used[k] = true
		}
	}
	if note >= 0 && math.Abs(g.notes[note].start-start) < 0.1 {
		start, starts = g.notes[note].start, true
	}
	a, b := held(start, end)
	share, foreign := g.present(a, b, hz)
	var there, silent []string
	for k, s := range share {
		if s >= chordShare {
			there = append(there, holes[k].Words())
		} else {
			silent = append(silent, holes[k].Words())
		}
	}
	g.outcome(i, start, end, t.Hz, false, len(there) > 0)
	if len(there) == 0 {
		if note >= 0 && foreign > 0.5 {
			g.outcome(i, start, end, g.notes[note].hz, false, true)
			return g.mark(i, Pitch, 0, harp.Cents(g.notes[note].hz, t.Hz), g.d.Windows.Natural, "cents", false)
		}
		g.verdict(i, Played, Unheard)
		return false
	}
	asked := min(chordHeard, apartHoles(hz))
	good := len(there) >= asked
	m := Mark{Target: i, Tab: t.Note.Tab(), Quantity: Holes, Asked: float64(asked), Heard: float64(len(there)), Window: float64(asked), Unit: "holes", Verdict: Good}
	m.Advice = place(g.d, i) + called(g.d, i) + " sounds whole."
	if !good {
		m.Verdict = Off
		m.Advice = fmt.Sprintf("%sonly %s sounded, %s was missing: open the mouth until all holes of the chord sound.",
			place(g.d, i), strings.Join(there, " and "), strings.Join(silent, " and "))
	}
	g.r.Marks = append(g.r.Marks, m)
	if g.repeats(i) && len(t.Also) == len(g.d.Targets[i-1].Also) {
		w := g.d.Windows
		dip := level - g.quietest(t.Start+g.r.Bias)
		if note >= 0 && starts {
			dip = math.Max(dip, g.notes[note].dip)
		}
		good = g.mark(i, Dip, w.Dip, dip, w.Dip, "dB", dip >= w.Dip) && good
	}
	if starts {
		good = g.onTime(i, start) && good
	}
	if starts && ends {
		good = g.breath(i, start, end, t.End-t.Start) && good
	}
	g.r.Notes[i].Good = good
	return good
}

// loudest is the mean level of the loudest note heard, in dBFS.
func (g *grader) loudest() float64 {
	if len(g.notes) == 0 {
		return math.Inf(-1)
	}
	return g.notes[0].loudest
}

// sounds finds by level alone when target i sounds, and how loud. starts and ends are false
// where the level does not rise or fall there, because another note touches it.
func (g *grader) sounds(i int) (start, end, level float64, starts, ends bool) {
	t := g.d.Targets[i]
	from, to := t.Start+g.r.Bias, t.End+g.r.Bias
	start, end = from, to
	var levels []float64
	for _, f := range g.e.frames(held(from, to)) {
		levels = append(levels, f.Level)
	}
	if len(levels) == 0 {
		return start, end, math.Inf(-1), false, false
	}
	sort.Float64s(levels)
	level = levels[len(levels)*4/5] // a chord that is let go early is loud at first
	// What rises and falls further away is another note.
	const around, touching = 0.25, 0.08 // seconds
	before, after := around, around
	if i > 0 {
		before = math.Max(touching, math.Min(around, t.Start-g.d.Targets[i-1].End))
	}
	if i+1 < len(g.d.Targets) {
		after = math.Max(touching, math.Min(around, g.d.Targets[i+1].Start-t.End))
	}
	frames := g.e.frames(math.Max(0, from-before), to+after)
	first, last := -1, -1 // the frames between which it is loud
	for k, f := range frames {
		if at := float64(f.At) / g.e.rate; at >= from && at <= to && f.Level > level-3 {
			if first < 0 {
				first = k
			}
			last = k
		}
	}
	for k := first; k >= 0 && !starts; k-- {
		if frames[k].Level < level-chordDrop {
			start, starts = float64(frames[k].At)/g.e.rate, true
		}
	}
	for k := max(0, last); k < len(frames) && !ends; k++ {
		if frames[k].Level < level-chordDrop {
			end, ends = float64(frames[k].At)/g.e.rate, true
		}
	}
	return start, end, level, starts, ends
}

// quietest is the lowest level within a tenth of a second of at, in dBFS: where a tongue closes.
func (g *grader) quietest(at float64) float64 {
	low := math.Inf(1)
	for _, f := range g.e.frames(at-0.1, at+0.1) {
		low = math.Min(low, f.Level)
	}
	return low
}

// present is the share of the pitched frames from a to b in which each pitch is heard, and
// the share whose main voice is none of them.
func (g *grader) present(a, b float64, hz []float64) (share []float64, foreign float64) {
	share = make([]float64, len(hz))
	n := 0.0
	for _, f := range g.e.frames(a, b) {
		if f.F0 <= 0 {
			continue
		}
		n++
		if !member(f.F0, hz) {
			foreign++
		}
		for k, want := range hz {
			for _, v := range []float64{f.F0, f.Others[0].F0, f.Others[1].F0} {
				if v > 0 && math.Abs(harp.Cents(v, want)) < 60 {
					share[k]++
					break
				}
			}
		}
	}
	for k := range share {
		share[k] /= math.Max(n, 1)
	}
	return share, foreign / math.Max(n, 1)
}

// member reports whether f is one of the pitches.
func member(f float64, hz []float64) bool {
	for _, want := range hz {
		if math.Abs(harp.Cents(f, want)) < 60 {
			return true
		}
	}
	return false
}

// apartHoles counts the pitches that lie in no octave over another one of them.
func apartHoles(hz []float64) int {
	n := 0
	for i, a := range hz {
		own := true
		for j, b := range hz {
			if c := harp.Cents(a, b); i != j && c > 60 && math.Abs(math.Remainder(c, 1200)) < 60 {
				own = false
			}
		}
		if own {
			n++
		}
	}
	return n
}

// place names the bar and beat of a lick's target, to stand before an advice; "" in other
// drills, whose notes are few.
func place(d drill.Drill, i int) string {
	if d.Family != drill.Lick || i < 0 {
		return ""
	}
	return where(d, d.Targets[i].Beat) + ": "
}

// where names a beat as a musician does.
func where(d drill.Drill, beat float64) string {
	const eps = 1e-3
	bars := math.Floor((beat + eps) / float64(d.BeatsPerBar))
	in := beat - bars*float64(d.BeatsPerBar)
	whole := math.Floor(in + eps)
	text := fmt.Sprintf("Bar %.0f, ", bars+1)
	if bars < 0 {
		text = "Pickup, "
	}
	if in-whole > eps {
		text += "after "
	}
	return text + fmt.Sprintf("beat %.0f", whole+1)
}

// called is what a target is called in words.
func called(d drill.Drill, i int) string {
	t := d.Targets[i]
	switch {
	case t.Warble && i+1 < len(d.Targets) && d.Targets[i+1].Warble:
		return fmt.Sprintf("the warble of %s and %s", t.Note.Words(), d.Targets[i+1].Note.Words())
	case len(t.Also) > 0:
		var all []string
		for _, h := range t.Also {
			all = append(all, h.Words())
		}
		return fmt.Sprintf("the chord of %s and %s", t.Note.Words(), strings.Join(all, " and "))
	}
	if d.Family == drill.Aim { // the tone may lie between two notes
		natural := t.Note
		natural.Bend = 0
		return natural.Words()
	}
	return t.Words()
}
