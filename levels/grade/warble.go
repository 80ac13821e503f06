package grade

import (
	"math"

	"reedwell/audio/listen"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// An alternation is one note of a warble as heard.
type alternation struct {
	sounded
	second bool // the second of the two holes
}

// warble grades a warble as a whole: how quick, how even, how balanced, how clean, and
// whether it speeds up smoothly. Parts are the stretches of one asked speed.
func (g *grader) warble(heads []head, pairs []int) {
	d, w := g.d, g.d.Windows
	for i, h := range heads {
		if pairs[i] < 0 {
			g.r.Missing++
			continue
		}
		n := g.notes[pairs[i]]
		right := math.Abs(harp.Cents(n.hz, d.Targets[h.first].Hz)) <= w.Natural
		g.outcome(h.first, n.start, n.end, n.hz, right, true)
	}
	first, second := d.Targets[0].Hz, d.Targets[1].Hz
	var heard []alternation
	begin, end := d.Targets[0].Start-0.5, d.Targets[len(d.Targets)-1].End+0.5
	for _, n := range g.notes {
		if n.start < begin || n.start > end {
			continue
		}
		switch {
		case math.Abs(harp.Cents(n.hz, first)) <= 60: // a little more than Natural: short notes are less exact
			heard = append(heard, alternation{n, false})
		case math.Abs(harp.Cents(n.hz, second)) <= 60:
			heard = append(heard, alternation{n, true})
		default:
			if n.counts() {
				g.r.Extra++
			}
		}
	}
	measures, good := 0, 0
	count := func(ok bool) bool {
		measures++
		if ok {
			good++
		}
		return ok
	}
	asked := float64(len(d.Targets))
	enough := count(g.mark(-1, Played, asked, float64(len(heard)), (1-w.Rate)*asked, "alternations",
		math.Abs(float64(len(heard))-asked) <= w.Rate*asked))
	even := true
	clean, total := 0, 0
	var onFirst, onSecond float64
	var speeds []float64 // heard speed over asked speed, smoothed over four gaps
	for _, part := range parts(d) {
		a, b := d.Targets[part.first].Start+g.r.Bias, d.Targets[part.last-1].End+g.r.Bias
		gap := (b - a) / float64(part.last-part.first)
		var inside []alternation
		for _, n := range heard {
			if n.start >= a-gap/2 && n.start < b-gap/2 {
				inside = append(inside, n)
			}
		}
		for _, n := range inside {
			total++
			length := n.end - n.start
			if g.e.leak(n.start+length/4, n.end-length/4) <= w.Leak {
				clean++
			}
		}
		rate := 1 / gap
		target := part.first // the part's marks stand at its first note
		turn := g.e.alternate(inside, gap)
		run := turn.run
		if !turn.sides {
			count(g.mark(target, Rate, rate, 0, w.Rate*rate, "notes/s", false))
			even = false
			continue
		}
		onFirst += turn.first * float64(len(run))
		onSecond += turn.second * float64(len(run))
		count(g.mark(target, Rate, rate, 1/turn.mean, w.Rate*rate, "notes/s", math.Abs(1/turn.mean-rate) <= w.Rate*rate))
		ok := count(g.mark(target, Evenness, 0, turn.evenness, w.Evenness, "of a gap", turn.evenness <= w.Evenness))
		even = even && ok
		for i := 0; i+4 <= len(run); i += 4 {
			speeds = append(speeds, 4*gap/(run[i]+run[i+1]+run[i+2]+run[i+3]))
		}
	}
	balanced := false
	if onFirst+onSecond > 0 {
		share := onFirst / (onFirst + onSecond)
		balanced = count(g.mark(-1, Balance, 0.5, share, w.Balance, "of the time", math.Abs(share-0.5) <= w.Balance))
	}
	cleanShare := 0.0
	if total > 0 {
		cleanShare = float64(clean) / float64(total)
	}
	isClean := count(g.mark(-1, Clean, 1, cleanShare, w.Clean, "of the notes", cleanShare >= w.Clean))
	if len(speeds) > 1 {
		mean, deviation := meanDeviation(speeds)
		count(g.mark(-1, Ramp, 0, deviation/mean, w.Ramp, "of the speed", deviation/mean <= w.Ramp))
	}
	g.r.Share = float64(good) / float64(measures)
	if !even { // however quick and clean: uneven stays under any even take that passes
		g.r.Share = math.Min(g.r.Share, PassShare-0.05)
	}
	g.r.Passed = g.r.Share >= PassShare && enough && even && balanced && isClean
}

// parts returns the stretches of equal note length, as index ranges of the targets.
func parts(d drill.Drill) []head {
	var all []head
	for i, t := range d.Targets {
		if i == 0 || math.Abs(t.Beats-d.Targets[i-1].Beats) > 1e-9 {
			all = append(all, head{i, i})
		}
		all[len(all)-1].last = i + 1
	}
	return all
}

// turns is how the alternations of one asked speed follow each other. Times in seconds.
type turns struct {
	run           []float64 // the gaps between starts
	mean          float64
	first, second float64 // mean gap on either hole; set where sides is
	sides         bool    // both holes have two gaps at the least
	evenness      float64 // coefficient of variation
}

// alternate measures alternations whose asked gap is given.
func (e evidence) alternate(inside []alternation, gap float64) turns {
	var t turns
	var gaps [2][]listen.Gap
	for i := 1; i < len(inside); i++ {
		x := e.take.Gap(inside[i-1].as, inside[i].as)
		if inside[i].second == inside[i-1].second || x.Seconds > 3*gap {
			continue // not an alternation, or a pause
		}
		side := 0
		if inside[i-1].second {
			side = 1
		}
		gaps[side] = append(gaps[side], x)
		t.run = append(t.run, x.Seconds)
	}
	if len(t.run) == 0 {
		return t
	}
	w, ok := listen.Alternate(gaps[0], gaps[1])
	if !ok {
		mean, deviation := meanDeviation(t.run)
		t.mean, t.evenness = mean, deviation/mean
		return t
	}
	// What is left after each hole's own mean: limping is the business of balance.
	t.sides, t.mean, t.evenness = true, 1/w.Rate, w.Evenness
	t.first, t.second = 2*t.mean*w.Share, 2*t.mean*(1-w.Share)
	return t
}
