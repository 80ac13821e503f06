package path

import "slices"

// reviewGaps returns the days between passing and the reviews: 1, 3, 7 and 21 days
// after passing when each is played on the day. Growing gaps follow Cepeda et al.
// 2006 (Psychological Bulletin 132:354; from memory); these four are our choice.
func reviewGaps() []Day { return []Day{1, 2, 4, 14} }

// reviewed picks from the days with a good take those that were reviews: each the
// first that is its gap or more after the one before. It is the longest such choice.
func reviewed(passed Day, days []Day) []Day {
	if passed == 0 {
		return nil
	}
	slices.Sort(days)
	var picked []Day
	last := passed
	gaps := reviewGaps()
	for _, d := range days {
		if len(picked) < len(gaps) && d >= last+gaps[len(picked)] {
			picked, last = append(picked, d), d
		}
	}
	return picked
}

// Review returns the day from which a passed drill should be played again, 0 when it
// is not passed or all reviews are done. A late review moves the ones after it.
func (p Progress) Review(id string) Day {
	r := p.drills[id]
	gaps := reviewGaps()
	if r.passed == 0 || len(r.reviews) == len(gaps) {
		return 0
	}
	last := r.passed
	if n := len(r.reviews); n > 0 {
		last = r.reviews[n-1]
	}
	return last + gaps[len(r.reviews)]
}
