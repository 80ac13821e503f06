package grade

import (
	"fmt"
	"math"
	"sort"

	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// advice says in a musician's words what to change, or what was right; in a lick with the
// bar and the beat before it.
func advice(d drill.Drill, m Mark) string { return place(d, m.Target) + say(d, m) }

func say(d drill.Drill, m Mark) string {
	name := ""
	bent := false
	if m.Target >= 0 {
		name, bent = called(d, m.Target), d.Targets[m.Target].Note.Bend > 0
	}
	switch m.Verdict {
	case Missing:
		if m.Quantity == Dip {
			return fmt.Sprintf("%s was held through: say ta for each repeat.", name)
		}
		return fmt.Sprintf("%s was not played.", name)
	case Unheard:
		return fmt.Sprintf("%s could not be heard well enough to judge.", name)
	}
	good := m.Verdict == Good
	size := math.Abs(m.Heard - m.Asked)
	switch m.Quantity {
	case Pitch:
		if other, ok := elsewhere(d, m); ok && !good {
			return fmt.Sprintf("That was %s; %s was asked.", other.Words(), name)
		}
		if d.Family == drill.Aim {
			return sayAim(d, m, name)
		}
		if good {
			return fmt.Sprintf("%s is in tune.", name)
		}
		switch {
		case bent && m.Heard < 0:
			return fmt.Sprintf("%s is %.0f cents too deep: let the tongue come forward a little.", name, size)
		case bent:
			return fmt.Sprintf("%s is %.0f cents too high: drop the tongue further.", name, size)
		case m.Heard < 0:
			return fmt.Sprintf("%s sinks by %.0f cents: open the throat, you are bending it.", name, size)
		}
		return fmt.Sprintf("%s is %.0f cents high: is this the harp that is chosen?", name, size)
	case Spread:
		return pick(good, fmt.Sprintf("%s stands still.", name), fmt.Sprintf("%s wavers by %.0f cents: hold mouth and breath still once it is there.", name, m.Heard))
	case Overshoot:
		return pick(good, fmt.Sprintf("%s is reached without going past.", name), fmt.Sprintf("You go %.0f cents past %s first: come down slower and stop lighter.", m.Heard, name))
	case Settle:
		return pick(good, fmt.Sprintf("%s settles quickly.", name), fmt.Sprintf("%s takes %.1f s to settle: hear the pitch before you move.", name, m.Heard))
	case Leak:
		return pick(good, fmt.Sprintf("%s sounds alone.", name), fmt.Sprintf("A second hole sounds with %s, only %.0f dB under it: make the mouth smaller and line up with the hole.", name, -m.Heard))
	case Depth:
		switch {
		case good:
			return fmt.Sprintf("The scoop to %s starts %.0f cents under it.", name, m.Heard)
		case m.Heard < scooped:
			return fmt.Sprintf("%s is not scooped: have the mouth in the shape of the bend before you breathe.", name)
		case m.Heard < m.Asked:
			return fmt.Sprintf("The scoop to %s starts only %.0f cents under it: begin with the tongue further back.", name, m.Heard)
		}
		return fmt.Sprintf("The scoop to %s starts %.0f cents under it: begin lighter, half a step is enough.", name, m.Heard)
	case Release:
		return pick(good, fmt.Sprintf("The scoop to %s lets go in time.", name), fmt.Sprintf("The scoop to %s takes %.1f s: let the tongue spring forward at once.", name, m.Heard))
	case Attack:
		return pick(good, fmt.Sprintf("%s speaks at once.", name), fmt.Sprintf("%s takes %.1f s to come up: have the air moving as the beat comes, then leave it as it is.", name, m.Heard))
	case Fade:
		if good {
			return fmt.Sprintf("%s is as strong at the end as at the start.", name)
		}
		if m.Heard < 0 {
			return fmt.Sprintf("%s fades by %.0f dB: start with less air, so that some is left.", name, size)
		}
		return fmt.Sprintf("%s grows by %.0f dB: hold the air back, as if warming your hands.", name, size)
	case Breaks:
		if good {
			return fmt.Sprintf("%s is one breath.", name)
		}
		return fmt.Sprintf("%s breaks off %s: one slow breath, started with less air.", name, pick(m.Heard == 1, "once", fmt.Sprintf("%.0f times", m.Heard)))
	case Swing, Cup, Means:
		return sayWave(d, m, name)
	case Land, Touched:
		return sayLanding(d, m, name)
	case Third, Inside:
		return sayThird(d, m, name)
	case Find:
		if good {
			return fmt.Sprintf("%s was found in time.", name)
		}
		if m.Heard < 0 {
			return fmt.Sprintf("%s came %.1f s too early: wait for its beat.", name, size)
		}
		return fmt.Sprintf("It took %.1f s to find %s: be on the hole before you breathe.", size, name)
	case Start:
		if good {
			return fmt.Sprintf("%s starts on time.", name)
		}
		if d.Family == drill.Octaves && m.Heard > 0 && touches(d, m.Target) {
			return fmt.Sprintf("The jump to %s lands %.0f ms late: move on the beat, in one go.", name, 1000*size)
		}
		return fmt.Sprintf("%s starts %.0f ms %s.", name, 1000*size, pick(m.Heard > 0, "late", "early"))
	case Arrival:
		if good {
			return fmt.Sprintf("%s is reached on time.", name)
		}
		if m.Heard < 0 {
			return fmt.Sprintf("%s comes %.0f ms too early: stay on the note before.", name, 1000*size)
		}
		return fmt.Sprintf("%s is only reached %.0f ms after its beat: move sooner and quicker.", name, 1000*size)
	case Length:
		if good {
			return fmt.Sprintf("%s lasts as long as it should.", name)
		}
		if m.Heard < 1 {
			return fmt.Sprintf("%s sounds for only %.0f %% of its time: keep the breath going to the end.", name, 100*m.Heard)
		}
		return fmt.Sprintf("%s is held too long: let go when its time is over.", name)
	case Dip:
		return pick(good, fmt.Sprintf("%s is tongued clearly.", name), fmt.Sprintf("The repeat of %s hardly starts anew (%.0f dB): say a firmer ta.", name, m.Heard))
	case Steady:
		return pick(good, fmt.Sprintf("%s is evenly loud.", name), fmt.Sprintf("%s swells and fades by %.0f dB: breathe evenly from the belly.", name, m.Heard))
	case Rate:
		if m.Target >= 0 && d.Targets[m.Target].Wave.By != drill.Nothing {
			return saySpeed(d, m, name)
		}
		if good {
			return fmt.Sprintf("%.1f notes a second, as asked.", m.Heard)
		}
		if m.Heard == 0 {
			return fmt.Sprintf("No even change between the two holes was heard where %.1f notes a second were asked.", m.Asked)
		}
		return fmt.Sprintf("%.1f notes a second where %.1f were asked: %s.", m.Heard, m.Asked, pick(m.Heard > m.Asked, "slow down and lock to the click", "lighten the movement to get quicker"))
	case Evenness:
		if m.Target >= 0 && d.Targets[m.Target].Wave.By != drill.Nothing {
			return pick(good, name+" swings evenly.", fmt.Sprintf("The swings of %s are uneven by %.0f %% of their length: slower and smaller, until each is like the last.", name, 100*m.Heard))
		}
		if d.Family == drill.Repeats {
			return pick(good, fmt.Sprintf("The repeats of %s are even.", name), fmt.Sprintf("The repeats of %s are uneven by %.0f %% of their length: count them aloud as ta ta, and let the tongue do only that.", name, 100*m.Heard))
		}
		return pick(good, "The changes are even.", fmt.Sprintf("The changes are uneven by %.0f %% of their length: slower, until each lasts the same.", 100*m.Heard))
	case Balance:
		if good {
			return "Both holes get the same time."
		}
		return fmt.Sprintf("The %s hole gets %.0f %% of the time: stay longer on the other.", pick(m.Heard > 0.5, "first", "second"), 100*math.Max(m.Heard, 1-m.Heard))
	case Clean:
		return pick(good, "The holes sound one at a time.", fmt.Sprintf("Only %.0f %% of the notes are one hole alone: move a full hole's width each time.", 100*m.Heard))
	case Ramp:
		return pick(good, "The speed follows smoothly.", fmt.Sprintf("The speed jumps about by %.0f %%: let it grow in small steps.", 100*m.Heard))
	case Played:
		if good {
			return fmt.Sprintf("%.0f changes, as asked.", m.Heard)
		}
		return fmt.Sprintf("%.0f notes of the warble were heard where %.0f were asked.", m.Heard, m.Asked)
	case Extra:
		return fmt.Sprintf("%.0f notes more than asked: play only what is written.", m.Heard)
	}
	return ""
}

// scooped is the least depth in cents that is meant as a scoop: sampled reeds that nobody scoops
// start up to 15 cents flat after their attack.
const scooped = 15.0

func pick(first bool, a, b string) string {
	if first {
		return a
	}
	return b
}

// elsewhere returns the note that was played in place of the target, when the pitch is
// none that the target's reed could have been pushed to: then it was another hole or breath,
// and not a bend that missed. A reed goes 100 cents past its last rung at the most.
func elsewhere(d drill.Drill, m Mark) (harp.Note, bool) {
	t := d.Targets[m.Target]
	deepest := t.Note
	natural := t.Note
	natural.Bend = 0
	if b, rungs := harp.Bends(t.Note.Hole); b == t.Note.Breath {
		deepest.Bend = rungs
	}
	low, err := d.Harp.Hz(deepest)
	if err != nil {
		return harp.Note{}, false
	}
	high, err := d.Harp.Hz(natural)
	if err != nil {
		return harp.Note{}, false
	}
	hz := t.Hz * math.Exp2(m.Heard/1200)
	if harp.Cents(hz, low) > -100 && harp.Cents(hz, high) < 80 {
		return harp.Note{}, false
	}
	s, ok := d.Harp.Locate(hz, nil)
	return s.Note, ok
}

// worth ranks what to work on first: what is not there, then the right hole alone, then
// its pitch, then time, then the finer things. Our choice, as a teacher would go about it.
func worth(m Mark, d drill.Drill) float64 {
	switch m.Quantity {
	case Played, Evenness:
		return 10
	case Pitch, Holes, Third, Means:
		return 8
	case Leak, Clean:
		return 7
	case Rate, Dip, Breaks, Depth, Inside, Swing, Cup:
		return 6
	case Start, Arrival, Overshoot, Release, Land, Touched:
		return 5
	case Find, Balance, Ramp, Attack:
		return 4
	case Length, Fade:
		return 3
	case Extra:
		if inTime(d) { // each cuts into a note that was asked for
			return 4 * m.Heard
		}
	}
	return 2
}

// most is how many things a summary names at the most: more cannot be worked on at once.
const most = 3

// summary names the few things that are most worth working on: of each kind of fault
// the typical one, ranked by what it is worth and how often it happened.
func summary(d drill.Drill, r Result) []string {
	type fault struct {
		marks []Mark
		value float64
		order int
	}
	kinds := map[string]*fault{}
	for i, m := range r.Marks {
		if m.Verdict == Good || m.cut {
			continue
		}
		kind := fmt.Sprintf("%s %s %v", m.Quantity, m.Verdict, m.Heard > m.Asked)
		f := kinds[kind]
		if f == nil {
			f = &fault{order: i}
			kinds[kind] = f
		}
		f.marks = append(f.marks, m)
		f.value += worth(m, d)
	}
	var all []*fault
	for _, f := range kinds {
		all = append(all, f)
	}
	sort.Slice(all, func(i, j int) bool {
		if all[i].value != all[j].value {
			return all[i].value > all[j].value
		}
		return all[i].order < all[j].order
	})
	var lines []string
	if inTime(d) {
		if line := timingLine(d, r); line != "" {
			lines = append(lines, line)
		}
	}
	for _, f := range all {
		if len(lines) == most {
			break
		}
		if f.marks[0].Quantity == Start && len(lines) > 0 && inTime(d) && lines[0] == timingLine(d, r) {
			continue // said already
		}
		sort.SliceStable(f.marks, func(i, j int) bool {
			return math.Abs(f.marks[i].Heard-f.marks[i].Asked) < math.Abs(f.marks[j].Heard-f.marks[j].Asked)
		})
		typical := f.marks[len(f.marks)/2]
		line := typical.Advice
		if len(f.marks) > 1 {
			line += fmt.Sprintf(" The same %s.", pick(d.Family == drill.Lick, fmt.Sprintf("in %d places", len(f.marks)), fmt.Sprintf("on %d notes", len(f.marks))))
		}
		lines = append(lines, line)
	}
	return lines
}

// fewStarts: in a lick, where other things are asked too, fewer than a third of the starts in a
// take that is in time as a whole are places of their own, each named by its bar and beat. Our
// choice.
const fewStarts = 3

// timingLine tells a constant lateness from scatter. Both are named only where starts
// were out of their windows.
func timingLine(d drill.Drill, r Result) string {
	off, starts := 0, 0
	for _, m := range r.Marks {
		if m.Quantity == Start {
			starts++
			if m.Verdict != Good {
				off++
			}
		}
	}
	whole := math.Max(math.Abs(r.Bias), r.Scatter) > d.Windows.Start || off*fewStarts >= starts
	if off == 0 || d.Family == drill.Lick && !whole {
		return ""
	}
	if d.Family == drill.Octaves && math.Max(math.Abs(r.Bias), r.Scatter) <= d.Windows.Start {
		return "" // the jumps are slow, and not the time
	}
	if math.Abs(r.Bias) > r.Scatter && math.Abs(r.Bias) > d.Windows.Offset {
		return fmt.Sprintf("You are %s throughout, by %.0f ms and steadily so: %s. If it felt right on the beat, measure the round trip again.",
			pick(r.Bias > 0, "late", "early"), 1000*math.Abs(r.Bias), pick(r.Bias > 0, "breathe in time to start on the click", "wait for the click"))
	}
	return fmt.Sprintf("The starts scatter by %.0f ms around the beat: count the subdivisions aloud first, then play.", 1000*r.Scatter)
}
