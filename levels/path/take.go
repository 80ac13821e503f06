package path

import (
	"math"

	"reedwell/levels/grade"
)

// A Take is what the record keeps of one graded attempt.
type Take struct {
	Graded  bool    // it could be judged; others are not recorded
	Share   float64 // share of good notes, 0 to 1
	Passed  bool    // as the grading said
	Display bool    // the live display was shown while playing
	AtTempo bool    // at the drill's target tempo or faster
	Tempo   float64 // quarter notes a minute; 0 where not known
}

// FromResult is the take of a grading, played at tempo where target is the drill's
// own, both in quarter notes a minute.
func FromResult(r grade.Result, tempo, target float64, display bool) Take {
	return Take{
		Graded:  r.Problem == "",
		Share:   r.Share,
		Passed:  r.Passed,
		Display: display,
		AtTempo: tempo >= target,
		Tempo:   tempo,
	}
}

// maxTempo is far above any playable tempo; it only bounds the file.
const maxTempo = 1000

// recordable reports whether the take was graded and its numbers mean something. A
// share that is no share was not graded, whatever Graded says.
func (t Take) recordable() bool {
	negative := math.Signbit(t.Share) || math.Signbit(t.Tempo) // -0 would be a second way to write 0
	return t.Graded && !negative && t.Share >= 0 && t.Share <= 1 && t.Tempo >= 0 && t.Tempo <= maxTempo
}

// Good reports whether the take counts towards passing, apart from its tempo.
func (t Take) Good() bool {
	return t.recordable() && t.Passed && t.Share >= grade.PassShare
}

// counts reports whether the take is good and at target tempo.
func (t Take) counts() bool { return t.AtTempo && t.Good() }

// poor reports whether the take asks for a slower tempo.
func (t Take) poor() bool { return t.Share < slowShare }

const (
	// slowShare is the share under which two takes in a row ask for a slower tempo:
	// our choice, well under the 85 % at which learning is fastest for a class of
	// learners (Wilson et al. 2019, Nature Communications 10:4646).
	slowShare = 0.6
	// slower is the factor to the next slower tempo: 12.5 % lower. Between 10 and 15 %
	// is a change one feels and still the same music: our choice.
	slower = 0.875
	// slowest is the slowest tempo that is suggested, as the slowest in a link.
	slowest = 30
)

// Suggest returns the tempo for the next take of a drill, in whole quarter notes a
// minute below the target, and the change it makes: -1 slower, 0 the same, +1 faster.
// Two takes in a row under 60 % ask for a tempo 12.5 % slower; two good ones in a row
// under the target go back up by as much. Without takes it is the target.
func (p Progress) Suggest(id string, target float64) (tempo float64, change int) {
	takes := p.drills[id].takes
	n := len(takes)
	if n == 0 || takes[n-1].Tempo == 0 {
		return target, 0
	}
	last := takes[n-1].Take
	if n == 1 {
		return last.Tempo, 0
	}
	return Advise(takes[n-2].Take, last, target)
}

// Advise is Suggest for the last two takes of anything; a take of no tempo is none.
func Advise(before, last Take, target float64) (tempo float64, change int) {
	switch {
	case before.Tempo != last.Tempo:
	case last.poor() && before.poor() && last.Tempo > slowest:
		return max(math.Round(last.Tempo*slower), slowest), -1
	case last.Good() && before.Good() && last.Tempo < target:
		return min(math.Round(last.Tempo/slower), target), +1
	}
	return last.Tempo, 0
}

// Display reports whether the next take is best played with the live display: while
// the last take was not good. After a good take the display goes away, so that the ear
// learns to do without (Winstein, Pohl & Lewthwaite 1994, Research Quarterly for
// Exercise and Sport 65:316).
func (p Progress) Display(id string) bool {
	takes := p.drills[id].takes
	return len(takes) == 0 || !takes[len(takes)-1].counts()
}
