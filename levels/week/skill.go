package week

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"reedwell/levels/drill"
	"reedwell/levels/grade"
	"reedwell/levels/harp"
	"reedwell/levels/path"
)

// A Skill is something that is measured: one of the constants, or "bend-" with hole and
// breath, as bend-3d.
type Skill string

// The skills that are not bends. For all of them, and for bends, less is better; late is
// better the nearer to 0.
const (
	Hold    Skill = "hold"    // cents a held pitch wanders, standard deviation
	Breath  Skill = "breath"  // dB the level of a long tone wanders, standard deviation
	Leak    Skill = "leak"    // dB of the strongest other hole relative to the note, at least grade.LeakFloor
	Late    Skill = "late"    // ms late (+) or early (-) throughout
	Scatter Skill = "scatter" // ms the starts scatter, standard deviation
	Uneven  Skill = "uneven"  // percent of a gap that a warble's gaps differ by
	Repeats Skill = "repeats" // percent of a gap that the gaps of tongued repeats differ by
)

const bendPrefix = "bend-"

// BendOn is the skill of bending on a hole: how many cents the bends are off the asked
// pitch, either way.
func BendOn(hole int, breath harp.Breath) Skill {
	letter := "d"
	if breath == harp.Blow {
		letter = "b"
	}
	return Skill(bendPrefix + strconv.Itoa(hole) + letter)
}

// bend returns the hole and breath of a bend.
func (s Skill) bend() (hole int, breath string, ok bool) {
	rest, ok := strings.CutPrefix(string(s), bendPrefix)
	if !ok || len(rest) < 2 {
		return 0, "", false
	}
	hole, err := strconv.Atoi(rest[:len(rest)-1])
	breath = map[byte]string{'d': "draw", 'b': "blow"}[rest[len(rest)-1]]
	if err != nil || breath == "" || hole < 1 || hole > 10 || strconv.Itoa(hole) != rest[:len(rest)-1] {
		return 0, "", false
	}
	return hole, breath, true
}

// Valid reports whether there is such a skill.
func (s Skill) Valid() bool {
	switch s {
	case Hold, Breath, Leak, Late, Scatter, Uneven, Repeats:
		return true
	}
	_, _, ok := s.bend()
	return ok
}

// Name returns the skill in a player's words.
func (s Skill) Name() string {
	switch s {
	case Hold:
		return "holding a note"
	case Breath:
		return "steady breath"
	case Leak:
		return "one hole at a time"
	case Late:
		return "on the beat"
	case Scatter:
		return "even timing"
	case Uneven:
		return "even warble"
	case Repeats:
		return "even repeats"
	}
	if hole, breath, ok := s.bend(); ok {
		return fmt.Sprintf("bend on %d %s", hole, breath)
	}
	return "unknown skill"
}

// Unit returns the unit of the skill's numbers.
func (s Skill) Unit() string {
	switch s {
	case Leak, Breath:
		return "dB"
	case Late, Scatter:
		return "ms"
	case Uneven, Repeats:
		return "%"
	}
	return "cents"
}

// Shown returns a mean as it is drawn: of a leak, how far the next hole lies under the note.
func (s Skill) Shown(mean float64) float64 {
	if s == Leak {
		return -mean
	}
	return mean
}

// Aim says which way a drawing of the skill gets better.
func (s Skill) Aim() string {
	switch s {
	case Leak:
		return "higher is better"
	case Late:
		return "nearer to 0 is better"
	}
	return "lower is better"
}

// Say puts a mean in words, as "18 cents off on average". It is rounded to whole units,
// finer than which nothing is sure over a player's own microphone (our choice).
func (s Skill) Say(mean float64) string {
	n := math.Round(mean)
	switch s {
	case Hold:
		return "wanders " + count(int(n), "cent")
	case Breath:
		return fmt.Sprintf("wanders %.0f dB", n)
	case Leak:
		if n <= grade.LeakFloor {
			return "no other hole heard"
		}
		return fmt.Sprintf("the next hole %.0f dB under the note", -min(n, 0))
	case Late:
		switch {
		case n > 0:
			return fmt.Sprintf("%.0f ms late", n)
		case n < 0:
			return fmt.Sprintf("%.0f ms early", -n)
		}
		return "neither late nor early"
	case Scatter:
		return fmt.Sprintf("starts scatter by %.0f ms", n)
	case Uneven, Repeats:
		return fmt.Sprintf("uneven by %.0f %%", n)
	}
	return count(int(n), "cent") + " off"
}

// distance returns how far a mean is from the best there is, on the skill's own scale.
func (s Skill) distance(mean float64) float64 {
	if s == Late {
		return math.Abs(mean)
	}
	return mean
}

// least is the change of a mean under which nobody hears a difference, and none is claimed:
// 3 cents, as trained ears tell apart (from memory); 1 dB (from memory); 6 ms, the least that a
// tone is heard displaced by (Friberg & Sundberg 1995, Journal of the Acoustical Society of
// America 98:2524), and of a gap 2.5 percent (the same).
func (s Skill) least() float64 {
	switch s {
	case Leak, Breath:
		return 1
	case Late, Scatter:
		return 6
	case Uneven, Repeats:
		return 2.5
	}
	return 3
}

// A Take is what the journal keeps of one attempt.
type Take struct {
	Drill    string            // its id, see path.ValidID; empty: only the time of the day counts, as of a part of a drill
	Seconds  float64           // how long it was, up to an hour
	Share    float64           // of good notes, 0 to 1
	Good     bool              // graded good at target tempo
	Measured map[Skill]float64 // means over the take, only of what was measured
}

// leastStarts is how many judged starts a take needs before it tells of timing: under
// that a spread says nothing. Our choice.
const leastStarts = 3

// FromResult is the take of a grading. The entry is what path.FromResult made of the same
// take. Notes that were missing or could not be heard measure nothing.
func FromResult(d drill.Drill, r grade.Result, entry path.Take, seconds float64) Take {
	t := Take{Drill: d.ID, Seconds: seconds, Share: r.Share, Good: entry.Good() && entry.AtTempo, Measured: map[Skill]float64{}}
	counts := map[Skill]float64{}
	starts := 0
	for _, m := range r.Marks {
		if m.Verdict != grade.Good && m.Verdict != grade.Off {
			continue
		}
		s, v := Skill(""), m.Heard
		switch m.Quantity {
		case grade.Pitch:
			if m.Target < 0 || m.Target >= len(d.Targets) || d.Targets[m.Target].Note.Bend == 0 {
				continue // a natural reed's pitch is mostly the harp's
			}
			n := d.Targets[m.Target].Note
			s, v = BendOn(n.Hole, n.Breath), math.Abs(m.Heard-m.Asked)
		case grade.Spread:
			s = Hold
		case grade.Leak:
			s = Leak
		case grade.Start:
			starts++
			continue
		case grade.Steady:
			s = Breath
		case grade.Evenness:
			s, v = Repeats, 100*m.Heard
			if d.Family == drill.Warble || m.Target >= 0 && m.Target < len(d.Targets) && d.Targets[m.Target].Warble {
				s = Uneven
			}
		default:
			continue
		}
		t.Measured[s] += v
		counts[s]++
	}
	for s, n := range counts {
		t.Measured[s] /= n
	}
	if starts >= leastStarts {
		t.Measured[Late], t.Measured[Scatter] = 1000*r.Bias, 1000*r.Scatter
	}
	return t
}
