package lesson

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/tab"
)

const (
	// leapHoles is the least leap that is looked at, and perHole the time that a hole of it
	// takes, in seconds: a leap over six holes in under a third of a second is hard for
	// a good player. Our choice.
	leapHoles = 3
	perHole   = 0.055

	// maxWarble is the quickest warble in notes a second: blues use is 8 to 14 (common
	// practice, no source).
	maxWarble = 14.0

	stress = 2 * Beat // the first and the third beat of a bar are stressed
)

// Check tells what is wrong with a lesson, wherever it comes from: errors, which Parse
// also finds, for what cannot be played or graded, and remarks for what a teacher may
// have meant otherwise.
func Check(l Lesson) []Problem {
	c := checker{l: l}
	c.head()
	if Failed(c.problems) {
		return c.problems
	}
	for i := range l.Licks {
		before := len(c.problems)
		c.lick(l.Licks[i])
		if Failed(c.problems[before:]) {
			continue
		}
		c.music(l.Licks[i])
		if i > 0 {
			c.order(l.Licks[i-1], l.Licks[i])
		}
	}
	return c.problems
}

type checker struct {
	l        Lesson
	problems []Problem
}

func (c *checker) add(s Severity, at Place, got, want string) {
	c.problems = append(c.problems, Problem{at, s, got, want})
}

// head checks what a text cannot say wrongly but a literal can.
func (c *checker) head() {
	l := c.l
	bad := func(ok bool, got any, want string) {
		if !ok {
			c.add(Error, Place{}, fmt.Sprint(got), want)
		}
	}
	bad(titled(l.Title), fmt.Sprintf("title %.40q", l.Title), fmt.Sprintf("a title of 1 to %d printed characters", MaxTitle))
	bad(l.Position.Valid(), fmt.Sprintf("position %d", int(l.Position)), harp.ErrPosition.Error())
	bad(l.Tempo >= drill.MinTempo && l.Tempo <= drill.MaxTempo, fmt.Sprintf("tempo %g", l.Tempo), drill.ErrTempo.Error())
	bad(l.Harp().Validate() == nil, fmt.Sprintf("pitch %g, %v", l.A4, l.Tuning), harp.ErrA4.Error()+"; "+harp.ErrTuning.Error())
	bad(l.Feel.Kind >= Straight && l.Feel.Kind <= Triplet, fmt.Sprintf("feel %d", int(l.Feel.Kind)), "straight, shuffle or 12/8")
	lines := strings.Split(l.Words, "\n")
	bad(len(lines) <= MaxWords, plural(len(lines), "line")+" of words", fmt.Sprintf("at most %d", MaxWords))
	for _, w := range lines {
		bad(worded(w), fmt.Sprintf("words %.40q", w), fmt.Sprintf("at most %d printed characters in a line", MaxText))
	}
	bad(l.Feel.Kind != Shuffle || l.Feel.Ratio >= MinRatio && l.Feel.Ratio <= MaxRatio, l.Feel, fmt.Sprintf("a shuffle from %g:1 to %g:1", MinRatio, MaxRatio))
	bad(len(l.Licks) > 0 && len(l.Licks) <= MaxLicks, plural(len(l.Licks), "lick"), fmt.Sprintf("1 to %d", MaxLicks))
	bad(len(l.Form.Bars) > 0 && len(l.Form.Bars) <= MaxFormBars, plural(len(l.Form.Bars), "bar")+" of form", fmt.Sprintf("1 to %d", MaxFormBars))
	for _, bar := range l.Form.Bars {
		sum := Ticks(0)
		for _, chord := range bar {
			bad(chord.Degree >= 0 && chord.Degree < 12 && chord.Quality >= Seventh && chord.Quality <= MinorSeventh && chord.Length > 0 && chord.Length%Beat == 0,
				fmt.Sprintf("%+v", chord), "a chord of whole beats on one of the twelve degrees")
			sum += chord.Length
		}
		bad(sum == Bar, fmt.Sprintf("a bar of chords of %g beats", sum.Beats()), "chords that fill the bar")
	}
}

func titled(s string) bool { return worded(s) && s != "" && utf8.RuneCountInString(s) <= MaxTitle }

// worded reports whether a line of text can be printed and read back.
func worded(s string) bool {
	_, ok := printable(s)
	return ok && utf8.RuneCountInString(s) <= MaxText && strings.TrimSpace(s) == s
}

// at is where a problem of the whole lick is shown.
func (k Lick) at() Place {
	if len(k.Notes) == 0 {
		return Place{}
	}
	return k.Notes[0].At
}

// lick checks that a lick can be sounded, printed and graded.
func (c *checker) lick(k Lick) {
	bad := func(ok bool, at Place, got, want string) {
		if !ok {
			c.add(Error, at, got, want)
		}
	}
	bad(titled(k.Title), k.at(), fmt.Sprintf("title %.40q", k.Title), fmt.Sprintf("a title of 1 to %d printed characters", MaxTitle))
	bad(worded(k.Words), k.at(), fmt.Sprintf("words %.40q", k.Words), fmt.Sprintf("one line of at most %d printed characters", MaxText))
	bad(k.Level >= Beginner && k.Level <= Strong, k.at(), fmt.Sprintf("level %d", int(k.Level)), "beginner, steady or strong")
	bad(k.Bar >= 1 && k.Bars >= 1 && k.Bar+k.Bars-1 <= MaxBars, k.at(), fmt.Sprintf("bar %d and %d bars", k.Bar, k.Bars), fmt.Sprintf("bars from 1 to %d", MaxBars))
	bad(len(k.Notes) > 0 && len(k.Notes) <= MaxNotes, k.at(), plural(len(k.Notes), "note"), fmt.Sprintf("1 to %d", MaxNotes))
	if len(k.Notes) == 0 {
		return
	}
	bad(k.Pickup == max(0, -k.Notes[0].Start) && k.Pickup < Bar, k.at(), fmt.Sprintf("a pickup of %g beats", k.Pickup.Beats()), "as long as what sounds before the first full bar, and shorter than a bar")
	var before *Note
	end := -Bar
	for i := range k.Notes {
		n := &k.Notes[i]
		bad(n.Start >= end && n.Length > 0 && n.End() <= Ticks(k.Bars)*Bar, n.At, n.name(), "notes one after another, from the pickup to the end of the last bar")
		end = n.End()
		if c.holes(n) {
			c.join(before, n)
			c.marks(n)
		}
		before = n
	}
}

// name is a note for a message.
func (n Note) name() string { return tab.Write(n.Holes) }

// holes checks that the harmonica has the note.
func (c *checker) holes(n *Note) bool {
	ok := len(n.Holes) > 0
	for i, h := range n.Holes {
		ok = ok && h.Valid() == nil && (i == 0 || h.Hole == n.Holes[i-1].Hole+1 && h.Breath == n.Holes[0].Breath)
	}
	if !ok {
		c.add(Error, n.At, n.name(), "a note that the harp has, or a chord of neighbouring holes in one breath")
	}
	return ok
}

// join checks what is played in the breath of the note before.
func (c *checker) join(before, n *Note) {
	switch {
	case n.Join == Tongued:
	case before == nil || before.End() != n.Start:
		c.add(Error, n.At, "/"+n.name(), "a note right before it: / goes on in the same breath")
	case before.Holes[0].Breath != n.Holes[0].Breath:
		c.add(Error, n.At, fmt.Sprintf("%s /%s", before.name(), n.name()), "no / where the breath turns: "+before.Holes[0].Breath.String()+" and "+n.Holes[0].Breath.String()+" are two breaths")
	case slices.Equal(before.Holes, n.Holes):
		c.add(Error, n.At, fmt.Sprintf("%s /%s", before.name(), n.name()), "another note to go to; a longer one is one token with its length, or a tie")
	case joinOf(*before, *n) != n.Join:
		c.add(Error, n.At, fmt.Sprintf("%s /%s", before.name(), n.name()), "a glide on the same holes, a slur to others")
	}
}

// marks checks the ways to play a note.
func (c *checker) marks(n *Note) {
	if n.Scoop {
		for _, h := range n.Holes {
			if want := scoopable(h); want != "" {
				c.add(Error, n.At, "~"+n.name(), want)
				break
			}
		}
		if n.Join != Tongued {
			c.add(Error, n.At, "/~"+n.name(), "a scoop or a glide: a scoop starts its note")
		}
	}
	if n.Wah != 0 && !(n.Wah >= MinWah && n.Wah <= MaxWah) {
		c.add(Error, n.At, fmt.Sprintf("%s[wah %g]", n.name(), n.Wah), fmt.Sprintf("from %g to %g openings a beat", MinWah, MaxWah))
	}
	if n.Warbles() || n.Rate != 0 {
		c.warble(n)
	}
}

// scoopable says what is wrong with a scoop on a note, or nothing: there must be room
// under it on the higher reed of the hole. 5 draw and 7 blow have no half step but dip
// far enough.
func scoopable(h harp.Note) string {
	breath, rungs := harp.Bends(h.Hole)
	switch {
	case h.Over:
		return "no scoop on an overbend: it cannot start lower"
	case h.Breath != breath:
		return fmt.Sprintf("a scoop on the %s: that is the breath with which hole %d bends", breath, h.Hole)
	case rungs > 0 && h.Bend == rungs:
		return fmt.Sprintf("no scoop on %s: hole %d bends no deeper", h.Tab(), h.Hole)
	}
	return ""
}

func (c *checker) warble(n *Note) {
	got := fmt.Sprintf("%s[warble %s at %d]", n.name(), n.Warble.Tab(), n.Rate)
	switch w, first := n.Warble, n.Holes[0]; {
	case len(n.Holes) > 1:
		c.add(Error, n.At, got, "a warble of two single holes")
	case w.Valid() != nil || w.Breath != first.Breath || w.Hole-first.Hole != 1 && first.Hole-w.Hole != 1:
		c.add(Error, n.At, got, "a warble with the hole next to it, in the same breath")
	case n.Rate < 2 || n.Rate > MaxRate:
		c.add(Error, n.At, got, fmt.Sprintf("2 to %d notes a beat", MaxRate))
	case math.Round(n.Length.Beats()*float64(n.Rate)) < 2:
		c.add(Error, n.At, got, "a longer note or a quicker warble: both holes must sound")
	case float64(n.Rate)*c.l.Tempo/60 > maxWarble:
		c.add(Remark, n.At, got, fmt.Sprintf("a slower warble: at tempo %g that is %.0f notes a second, and warbles have up to %g", c.l.Tempo, float64(n.Rate)*c.l.Tempo/60, maxWarble))
	}
}

// order checks that a lick follows the one before it.
func (c *checker) order(a, b Lick) {
	if end := a.Bar + a.Bars; b.Bar < end {
		c.add(Error, b.at(), fmt.Sprintf("lick %q begins in bar %d", b.Title, b.Bar),
			fmt.Sprintf("bar %d or later, since %q lasts to bar %d; licks stand in the order of their bars, and another version goes into the next chorus", end, a.Title, end-1))
		return
	}
	if len(a.Notes) == 0 || len(b.Notes) == 0 {
		return
	}
	shift := Ticks(b.Bar-a.Bar) * Bar
	if last := a.Notes[len(a.Notes)-1]; last.End() > shift+b.Notes[0].Start {
		c.add(Error, b.at(), fmt.Sprintf("the pickup of %q begins while %q still sounds", b.Title, a.Title),
			fmt.Sprintf("a rest at the end of %q, as long as the pickup, or no pickup", a.Title))
	}
}

// music remarks on what may be meant otherwise.
func (c *checker) music(k Lick) {
	for i := range k.Notes {
		n := &k.Notes[i]
		if i > 0 {
			c.leap(&k.Notes[i-1], n)
		}
		at := Ticks(k.Bar-1)*Bar + n.Start
		if (at%stress+stress)%stress == 0 && n.Length >= Beat/2 {
			c.outside(n, at)
		}
	}
}

// leap remarks on far holes in too little time.
func (c *checker) leap(a, b *Note) {
	low, high := *a, *b
	if low.Holes[0].Hole > high.Holes[0].Hole {
		low, high = high, low
	}
	holes := high.Holes[0].Hole - low.Holes[len(low.Holes)-1].Hole
	seconds := (c.l.Feel.Beat(b.Start) - c.l.Feel.Beat(a.Start)) * 60 / c.l.Tempo
	if holes >= leapHoles && seconds < float64(holes)*perHole {
		c.add(Remark, b.At, fmt.Sprintf("from %s to %s in %.2f seconds", a.name(), b.name(), seconds),
			fmt.Sprintf("a nearer note, a longer one, or a slower tempo: %d holes want about %.2f seconds", holes, float64(holes)*perHole))
	}
}

// outside remarks on a note that is not in the chord on a stressed beat. The minor third
// over a major chord is the blue third and the seventh belongs to the blues, so both count
// as inside.
func (c *checker) outside(n *Note, at Ticks) {
	chord := c.l.Form.Chord(at)
	inside := func(h harp.Note) bool {
		over := (c.l.Key.MIDI() + h.Semitones() - c.l.Tonic() - chord.Degree + 48) % 12
		return over == 3 || over == 10 || slices.Contains(chord.Quality.Tones(), over)
	}
	for _, h := range n.Holes {
		if inside(h) {
			return
		}
	}
	var near []string
	for _, h := range harp.Notes() {
		if d := h.Semitones() - n.Holes[0].Semitones(); d >= -2 && d <= 2 && !h.Over && inside(h) {
			near = append(near, h.Tab())
		}
	}
	form := Ticks(len(c.l.Form.Bars)) * Bar
	place := (at%form + form) % form
	c.add(Remark, n.At, fmt.Sprintf("%s on beat %d of bar %d", n.name(), place%Bar/Beat+1, place/Bar+1),
		fmt.Sprintf("a note of %s there, as %s, unless the clash is meant", c.l.ChordName(chord), strings.Join(near, " or ")))
}
