package path

// Freshness is whether what was passed is still in the fingers, as far as can be told.
type Freshness int

// The states of what was passed, the more pressing the later.
const (
	Unpassed Freshness = iota // nothing to keep up yet
	Fresh                     // no review is due
	Due                       // a review is due
	Rusty                     // confirmed once, but the review failed or is far overdue
)

// String returns the word shown to the player.
func (f Freshness) String() string {
	switch f {
	case Fresh:
		return "fresh"
	case Due:
		return "due for review"
	case Rusty:
		return "rusty"
	}
	return "not passed yet"
}

// An Upkeep is what keeps a passed drill in the fingers.
type Upkeep struct {
	Fresh  Freshness
	Last   Day  // when it was last played well at target tempo; 0 when not passed
	Due    Day  // from when it should be played again; 0 when all reviews are done
	Failed bool // on the last day it was played after falling due no take was good
}

const (
	// rustyGaps is how many times its interval a confirmed drill may go unplayed before
	// it counts as rusty. The best gap before a test is 10 to 20 % of the time something
	// has to last (Cepeda et al. 2006 and 2008; from memory), so what was spaced by a gap
	// may last five times as long; three times is our choice, on the careful side.
	rustyGaps = 3
	// rustySlack is how late a review must be at least: a holiday week is no rust. Our
	// choice.
	rustySlack = Day(7)
	// lastGap is the interval after which what had all its reviews should still sit: the
	// longest of the defaults.
	lastGap = Day(21)
)

// Upkeep returns how a drill stands on a day. A confirmed drill is rusty when it was not
// played well for three times its present interval and is at least a week overdue, or
// when it was played at target tempo after falling due and no take of the last such day
// was good. One good take makes it fresh again. What is passed stays passed all the same.
func (p Progress) Upkeep(id string, day Day) Upkeep {
	r := p.drills[id]
	if r.passed == 0 {
		return Upkeep{}
	}
	u := Upkeep{Fresh: Fresh, Last: r.passed, Due: p.Review(id)}
	if n := len(r.reviews); n > 0 {
		u.Last = max(u.Last, r.reviews[n-1])
	}
	last := Day(0) // on which it was played at target tempo
	for _, t := range r.takes {
		if t.AtTempo {
			last = max(last, t.day)
		}
		if t.counts() {
			u.Last = max(u.Last, t.day)
		}
	}
	gap, due := lastGap, u.Last+lastGap
	if u.Due != 0 {
		gap, due = reviewGaps()[len(r.reviews)], u.Due
	}
	u.Failed = last > u.Last && last >= due && last <= day
	switch {
	case len(r.reviews) > 0 && (u.Failed || day >= max(u.Last+rustyGaps*gap, due+rustySlack)):
		u.Fresh = Rusty
	case u.Due != 0 && u.Due <= day:
		u.Fresh = Due
	}
	return u
}

// Rusty returns the drills that are rusty on the day, in the order of the path.
func (p Path) Rusty(have Progress, day Day) []string {
	var ids []string
	for _, id := range p.ids {
		if have.Upkeep(id, day).Fresh == Rusty {
			ids = append(ids, id)
		}
	}
	return ids
}
