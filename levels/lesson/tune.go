package lesson

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"reedwell/levels/harp"
	"reedwell/levels/tab"
)

// Bounds of the marks; our choice, past what is played.
const (
	MaxRate     = 12 // notes a beat of a warble
	MinWah      = 0.25
	MaxWah      = 8.0 // openings a beat
	MaxRepeat   = 12  // tongued repeats that a note is split into
	DefaultRate = 6   // notes a beat of a warble that does not say: sextuplets
)

// words takes a line of tab apart: blanks part words, bar lines and marks in brackets are
// words by themselves, and % with a blank behind it begins a comment.
func words(text string, number int) []word {
	var all []word
	r := []rune(text)
	for i := 0; i < len(r); {
		start := i
		switch {
		case unicode.IsSpace(r[i]):
			i++
			continue
		case r[i] == '%' && (i+1 == len(r) || unicode.IsSpace(r[i+1])):
			return all
		case r[i] == '|':
			for i < len(r) && (r[i] == '|' || r[i] == ']' || r[i] == ':') {
				i++
			}
		case r[i] == '[':
			for i < len(r) && r[i] != ']' {
				i++
			}
			i = min(i+1, len(r))
		default:
			for i < len(r) && !unicode.IsSpace(r[i]) && r[i] != '|' && r[i] != '[' {
				i++
			}
		}
		all = append(all, word{string(r[start:i]), Place{number, start + 1}})
	}
	return all
}

// A piece is a word of tab taken apart.
type piece struct {
	tuplet string // "(3"
	scoop  bool
	slur   bool
	tab    string // or z
	tabAt  int    // characters before it
	timed  bool   // there is a colon
	length string
	timeAt int
	tie    bool
}

// peel takes a word apart, from outside in.
func peel(text string) piece {
	var p piece
	rest := text
	if strings.HasPrefix(rest, "(") {
		n := 1
		for n < len(rest) && (rest[n] >= '1' && rest[n] <= '9' || n > 1 && rest[n] == ':') {
			n++
		}
		// (3 without its other parenthesis is a triplet; (3) and (34) are tab.
		if n > 1 && strings.Count(rest[1:], ")") == strings.Count(rest[1:], "(") {
			p.tuplet, rest = rest[:n], rest[n:]
		}
	}
	for {
		if after, ok := strings.CutPrefix(rest, "~"); ok && !p.scoop {
			p.scoop, rest = true, after
		} else if after, ok := strings.CutPrefix(rest, "/"); ok && !p.slur {
			p.slur, rest = true, after
		} else {
			break
		}
	}
	p.tabAt = utf8.RuneCountInString(text[:len(text)-len(rest)])
	if p.tab, p.length, p.timed = strings.Cut(rest, ":"); p.timed {
		p.timeAt = p.tabAt + utf8.RuneCountInString(p.tab) + 1
		p.length, p.tie = strings.CutSuffix(p.length, "-")
	} else if before, ok := strings.CutSuffix(p.tab, "-"); ok && (!digits(before) || before == "") && before != "" {
		p.tab, p.tie = before, true
	}
	if before, ok := strings.CutSuffix(p.tab, "^"); ok {
		p.tab, p.scoop = before, true
	}
	return p
}

func digits(s string) bool { return s != "" && strings.Trim(s, "0123456789") == "" }

func (p piece) rest() bool { return p.tab == "z" || p.tab == "Z" }

// plain words of a line of tab that are no notes.
func bar(text string) bool  { return strings.HasPrefix(text, "|") }
func mark(text string) bool { return strings.HasPrefix(text, "[") }
func dotted(text string) bool {
	return text != "" && (strings.Trim(text, ">") == "" || strings.Trim(text, "<") == "")
}

// tokens are the tab of all sections, for finding the dialect.
func tokens(sections []section) []string {
	var all []string
	for _, s := range sections {
		for _, l := range s.lines {
			for _, w := range l.words {
				if !bar(w.text) && !mark(w.text) && !dotted(w.text) {
					all = append(all, peel(w.text).tab)
				}
			}
		}
	}
	return all
}

// An item is a note or a rest while a lick is read. Its length in units is num/den.
type item struct {
	note     Note
	rest     bool
	num, den int
	tie      bool
	repeat   int
	marked   bool
	bad      bool // refused; it stands for what was meant
	bar      int  // written bar, from 0
}

// A tune reads the tab of one lick.
type tune struct {
	*parser
	items  []item
	notes  int     // words read as items or refused
	bars   []Place // where each written bar begins
	open   bool    // the last of bars has items
	left   int     // notes of the tuplet still to come
	p, q   int     // of the tuplet: p notes in the time of q
	from   Place   // of the tuplet
	broken string  // > or < that waits for its second note
	at     Place   // of broken
}

// tune reads the tab of a section into the lick, and reports whether all of it was read.
func (p *parser) tune(k *Lick, s section) bool {
	before := len(p.problems)
	t := &tune{parser: p}
	for _, l := range s.lines {
		for _, w := range l.words {
			t.word(w)
		}
	}
	t.endGroups()
	if len(t.items) == 0 {
		if len(p.problems) == before {
			p.refuse(s.entries[0].at, "no tab", "a line of tab under the title, as -2:2 -3' +4:2 | -2:8")
		}
		return false
	}
	// A word that was not read is missing in its bar, so the bars can be added up only
	// when all is read.
	bad := func(it item) bool { return it.bad }
	if Failed(p.problems[before:]) || k.Bars == 0 || slices.ContainsFunc(t.items, bad) {
		return false
	}
	t.place(k)
	return true
}

// word reads one word.
func (t *tune) word(w word) {
	switch {
	case bar(w.text):
		t.barLine(w)
	case mark(w.text):
		t.marks(w)
	case dotted(w.text):
		switch {
		case len(w.text) > 3:
			t.refuse(w.at, w.text, "> for a dotted pair, >> and >>> for more dots")
		case !t.open || t.broken != "":
			t.refuse(w.at, w.text, "a note on each side, as -4 > -5")
		default:
			t.broken, t.at = w.text, w.at
		}
	default:
		t.note(w)
	}
}

func (t *tune) barLine(w word) {
	if w.text != "|" && w.text != "||" && w.text != "|]" {
		t.refuse(w.at, w.text, "| between bars; repeats are written out")
		return
	}
	t.endGroups()
	if !t.open && len(t.bars) > 0 {
		t.refuse(w.at, "a bar line after a bar line", "something between: a bar's rest is z with the length of a bar")
	}
	t.open = false
	// A bar line before all else says that there is no pickup, which the lengths say too.
}

// endGroups refuses what waits for another note at a bar line or at the end.
func (t *tune) endGroups() {
	if t.left > 0 {
		t.refuse(t.from, fmt.Sprintf("(%d with %d of its notes missing", t.p, t.left), "all its notes before the bar line")
		t.left = 0
	}
	if t.broken != "" {
		t.refuse(t.at, t.broken, "a note on each side, as -4 > -5")
		t.broken = ""
	}
}

// note reads a note or a rest, or the sign of a tuplet.
func (t *tune) note(w word) {
	c := peel(w.text)
	if c.tuplet != "" {
		t.tuplet(c.tuplet, w.at)
		if c.tab == "" && !c.timed && !c.slur && !c.scoop {
			return
		}
	}
	if t.notes++; t.notes > MaxNotes {
		if t.notes == MaxNotes+1 {
			t.refuse(w.at, "one note more", fmt.Sprintf("at most %d notes and rests in a lick", MaxNotes))
		}
		return
	}
	it, ok := t.read(w, c)
	if !ok {
		it = item{rest: true, num: 1, den: 1, bad: true, note: Note{At: w.at}}
	}
	t.add(it)
}

// read reads a note or a rest without what stands round it.
func (t *tune) read(w word, c piece) (item, bool) {
	start := w.at
	start.Column += utf8.RuneCountInString(c.tuplet)
	it := item{rest: c.rest(), num: 1, den: 1, tie: c.tie, note: Note{At: start}, repeat: 1}
	it.marked = c.scoop || c.slur
	tabAt := Place{w.at.Line, w.at.Column + c.tabAt}
	if c.timed {
		var ok bool
		if it.num, it.den, ok = multiplier(c.length); !ok {
			t.refuse(Place{w.at.Line, w.at.Column + c.timeAt}, short(w.text), "a length such as :2, :3/2, :/2 or :/4 in units, as -4:2")
			return it, false
		}
	}
	if it.rest && (it.marked || it.tie) {
		t.refuse(w.at, short(w.text), "a rest without marks")
		return it, false
	}
	if !it.rest {
		holes, err := t.dialect.Read(c.tab)
		if err != nil {
			t.tabProblem(tabAt, w, c, err)
			return it, false
		}
		it.note.Holes, it.note.Scoop = holes, c.scoop
		if c.slur && !t.join(&it.note, w) {
			return it, false
		}
	}
	return it, true
}

// tabProblem tells what package tab refused; what bare numbers mean is asked once.
func (t *tune) tabProblem(at Place, w word, c piece, err error) {
	if c.tab == "" {
		t.refuse(w.at, w.text, "a hole, as in +4 or -4', or z for a rest")
		return
	}
	var refused *tab.Error
	if !errors.As(err, &refused) {
		t.refuse(at, short(w.text), err.Error())
		return
	}
	if errors.Is(err, tab.ErrBare) {
		if t.asked {
			return
		}
		t.asked = true
	}
	want := refused.Want
	if before, ok := strings.CutSuffix(c.tab, "-"); ok && digits(before) {
		want = fmt.Sprintf("-%s for draw; a tie on a note without a sign is written %s:1-", before, before)
		refused.At = 0
	}
	at.Column += refused.At
	t.refuse(at, short(refused.Got), want)
}

// join finds how a note with / before it begins: the same hole glides, another is slurred.
func (t *tune) join(n *Note, w word) bool {
	last := item{rest: true}
	if len(t.items) > 0 {
		last = t.items[len(t.items)-1]
	}
	if last.rest && !last.bad {
		t.refuse(w.at, short(w.text), "a note right before it: / goes on in the same breath")
		return false
	}
	n.Join = joinOf(last.note, *n)
	return true
}

// joinOf is how a note begins that goes on in the breath of the one before.
func joinOf(before, n Note) Join {
	same := func(a, b harp.Note) bool { return a.Hole == b.Hole && a.Breath == b.Breath }
	if slices.EqualFunc(before.Holes, n.Holes, same) {
		return Glide
	}
	return Slurred
}

// add puts an item behind the others, with its share of tuplets and dotted pairs.
func (t *tune) add(it item) {
	if !t.open {
		t.bars = append(t.bars, it.note.At)
		t.open = true
	}
	it.bar = len(t.bars) - 1
	if t.left > 0 {
		it.num, it.den = it.num*t.q, it.den*t.p
		t.left--
	}
	if t.broken != "" {
		// a > b: the first is dotted and the second has what is left (ABC 2.1, section 4.4).
		last := &t.items[len(t.items)-1]
		dots := len(t.broken)
		long, brief := last, &it
		if t.broken[0] == '<' {
			long, brief = &it, last
		}
		long.num, long.den = long.num*(2<<dots-1), long.den<<dots
		brief.den <<= dots
		t.broken = ""
	}
	t.items = append(t.items, it)
}

// multiplier reads the length of a note as ABC 2.1 has it in section 4.3: 2, 3/2, /2, /, //.
func multiplier(s string) (num, den int, ok bool) {
	top, bottom, fraction := strings.Cut(s, "/")
	num, den = 1, 1
	const most = 4 // digits: 960 ticks is the finest fraction of a unit
	if top != "" {
		if !digits(top) || len(top) > most {
			return 0, 0, false
		}
		num, _ = strconv.Atoi(top)
	}
	switch {
	case !fraction:
		ok = top != ""
	case strings.Trim(bottom, "/") == "":
		den, ok = 2<<len(bottom), len(bottom) < 4
	default:
		if !digits(bottom) || len(bottom) > most {
			return 0, 0, false
		}
		den, _ = strconv.Atoi(bottom)
		ok = true
	}
	return num, den, ok && num > 0 && den > 0
}

// tuplet reads (3, or (p:q:r: p notes in the time of q for the next r (ABC 2.1, section
// 4.13). Without q the standard has two for 3, 4 for none, and so on.
func (t *tune) tuplet(text string, at Place) {
	parts := strings.Split(text[1:], ":")
	p, _ := strconv.Atoi(parts[0])
	want := "(3 for three in the time of two; also (2, (4, (5, (6, or (3:2:2 for a triplet of two notes"
	q := map[int]int{2: 3, 3: 2, 4: 3, 5: 2, 6: 2}[p]
	if p == 5 && t.lesson.Feel.Kind == Triplet {
		q = 3 // in a compound time
	}
	r := p
	for i, to := range []*int{&p, &q, &r} {
		if i >= 1 && i < len(parts) && parts[i] != "" {
			*to, _ = strconv.Atoi(parts[i])
		}
	}
	if q == 0 || len(parts) > 3 || p > 9 || q > 9 || r > 9 || p < 1 || r < 1 {
		t.refuse(at, short(text), want)
		return
	}
	if t.left > 0 {
		t.refuse(at, text, fmt.Sprintf("the %d notes of the (%d before it first", t.left, t.p))
	}
	t.p, t.q, t.left, t.from = p, q, r, at
}

// marks reads what stands in brackets behind a note: [wah 2, hold].
func (t *tune) marks(w word) {
	inner, closed := strings.CutSuffix(strings.TrimPrefix(w.text, "["), "]")
	if !closed {
		t.refuse(w.at, short(w.text), "a ] at the end of the marks")
		return
	}
	it := &item{rest: true}
	if t.open {
		it = &t.items[len(t.items)-1]
	}
	if it.rest {
		if !it.bad {
			t.refuse(w.at, short(w.text), "a note before the marks, as -4:2[vibrato]")
		}
		return
	}
	column := w.at.Column + 1
	for _, text := range strings.Split(inner, ",") {
		lead := utf8.RuneCountInString(text) - utf8.RuneCountInString(strings.TrimLeftFunc(text, unicode.IsSpace))
		at := Place{w.at.Line, column + lead}
		column += utf8.RuneCountInString(text) + 1
		it.marked = true
		if want := t.mark(it, strings.Fields(strings.ToLower(text))); want != "" {
			t.refuse(at, short(cmp.Or(strings.TrimSpace(text), w.text)), want)
		}
	}
}

// mark reads one mark and returns what would be right if it is not.
func (t *tune) mark(it *item, f []string) (want string) {
	const all = "scoop, vibrato, hold, wah 2, warble 5 at 6, or repeat 3"
	if len(f) == 0 {
		return all
	}
	n := &it.note
	switch name, rest := f[0], f[1:]; name {
	case "scoop", "vibrato", "hold":
		if len(rest) > 0 {
			return name + " alone"
		}
		switch name {
		case "scoop":
			n.Scoop = true
		case "vibrato":
			n.Vibrato = true
		default:
			n.Hold = true
		}
	case "wah":
		n.Wah = 1
		if len(rest) == 1 {
			n.Wah, _ = plain(rest[0])
		}
		if len(rest) > 1 || !(n.Wah >= MinWah && n.Wah <= MaxWah) {
			return fmt.Sprintf("wah and how often the hand opens in a beat, from %g to %g, as wah 2", MinWah, MaxWah)
		}
	case "repeat":
		if len(rest) == 1 && digits(rest[0]) {
			it.repeat, _ = strconv.Atoi(rest[0])
		}
		if len(rest) != 1 || it.repeat < 2 || it.repeat > MaxRepeat {
			it.repeat = 1
			return fmt.Sprintf("repeat and how many tongued notes fill the length, from 2 to %d, as repeat 3", MaxRepeat)
		}
	case "warble":
		return t.warble(n, rest)
	default:
		return all
	}
	return ""
}

// warble reads "5 at 6": the other hole, which has the breath of the note if it does not
// say, and how many notes fill a beat.
func (t *tune) warble(n *Note, f []string) (want string) {
	want = fmt.Sprintf("warble, the other hole, and notes a beat from 2 to %d, as warble 5 or warble 5 at 6", MaxRate)
	n.Rate = DefaultRate
	switch {
	case len(f) == 3 && f[1] == "at" && digits(f[2]) && len(f[2]) <= 2:
		n.Rate, _ = strconv.Atoi(f[2])
	case len(f) != 1:
		return want
	}
	if n.Rate < 2 || n.Rate > MaxRate {
		return want
	}
	other := f[0]
	if hole, _, _ := strings.Cut(other, "'"); digits(hole) {
		other = "+" + other
		if n.Holes[0].Breath == harp.Draw {
			other = "-" + f[0]
		}
	}
	holes, err := t.dialect.Read(other)
	var refused *tab.Error
	switch {
	case errors.As(err, &refused):
		return refused.Want
	case err != nil:
		return err.Error()
	case len(holes) != 1:
		return want
	}
	n.Warble = holes[0]
	return ""
}

// place gives the items their places, ties them, and finds the pickup.
func (t *tune) place(k *Lick) {
	lengths := make([]Ticks, len(t.items))
	sums := make([]Ticks, len(t.bars))
	unit := int(t.lesson.Unit)
	before := len(t.problems)
	for i, it := range t.items {
		if unit*it.num%it.den != 0 || unit*it.num/it.den == 0 || unit*it.num/it.den > int(MaxBars*Bar) {
			t.refuse(it.note.At, t.units(it.num, it.den)+" units", "a length that can be counted: whole, halves, quarters, eighths or thirds of a unit, up to the end of the bar")
			continue
		}
		lengths[i] = Ticks(unit * it.num / it.den)
		sums[it.bar] += lengths[i]
	}
	if len(t.problems) > before {
		return
	}
	pickup := len(t.bars) == k.Bars+1 && sums[0] < Bar
	if !t.addUp(k, sums, pickup) {
		return
	}
	at := Ticks(0)
	if pickup {
		at = -sums[0]
	}
	tied := false
	for i, it := range t.items {
		start := at
		at += lengths[i]
		if tied {
			last := &k.Notes[len(k.Notes)-1]
			if it.rest || !slices.Equal(it.note.Holes, last.Holes) {
				t.refuse(it.note.At, "another note after a tie", "the same tab on both sides of a tie, as -4:2- | -4:2")
				return
			}
			if it.marked {
				t.refuse(it.note.At, "marks behind a tie", "the marks on the first of the tied notes")
				return
			}
			last.Length += lengths[i]
			tied = it.tie
			continue
		}
		if it.rest {
			continue
		}
		tied = it.tie
		if it.repeat > 1 && (tied || lengths[i]%Ticks(it.repeat) != 0) {
			t.refuse(it.note.At, fmt.Sprintf("repeat %d", it.repeat), "a note without a tie and of a length that can be parted so")
			return
		}
		n := it.note
		n.Start, n.Length = start, lengths[i]/Ticks(it.repeat)
		for range it.repeat {
			k.Notes = append(k.Notes, n)
			n.Start += n.Length
			n.Join = Tongued
		}
	}
	if tied {
		t.refuse(t.items[len(t.items)-1].note.At, "a tie at the end", "the same note behind it")
	}
	if len(k.Notes) == 0 {
		t.refuse(t.bars[0], "rests only", "at least one note in a lick")
		return
	}
	k.Pickup = max(0, -k.Notes[0].Start)
}

// addUp refuses bars that do not add up, and a number of bars that is not what was said.
func (t *tune) addUp(k *Lick, sums []Ticks, pickup bool) bool {
	before := len(t.problems)
	full := sums
	first := 0
	if pickup {
		full, first = sums[1:], 1
	}
	if len(full) != k.Bars {
		got := fmt.Sprintf("%s of tab", plural(len(full), "bar"))
		if sums[0] < Bar {
			got = fmt.Sprintf("%s of tab after a pickup of %s", plural(len(sums)-1, "bar"), t.length(sums[0]))
		}
		t.refuse(t.bars[0], got, fmt.Sprintf("%s, as the line bars: says; a shorter one may lead in", plural(k.Bars, "full bar")))
	}
	for i, sum := range full {
		switch {
		case len(full) != k.Bars && i == 0 && sum < Bar:
			// It may be the pickup.
		case sum < Bar:
			t.refuse(t.bars[first+i], fmt.Sprintf("bar %d of the lick holds %s", i+1, t.length(sum)),
				fmt.Sprintf("%s: %s missing", t.length(Bar), t.length(Bar-sum)))
		case sum > Bar:
			t.refuse(t.bars[first+i], fmt.Sprintf("bar %d of the lick holds %s", i+1, t.length(sum)),
				fmt.Sprintf("%s: %s too many; tie over the bar line, or set one", t.length(Bar), t.length(sum-Bar)))
		}
	}
	return len(t.problems) == before
}

func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// length says ticks in the note values of the lesson: "7 eighths".
func (t *tune) length(d Ticks) string {
	name := map[Ticks]string{4: "quarter", 8: "eighth", 16: "sixteenth"}[t.lesson.Feel.whole()/t.lesson.Unit]
	if d <= t.lesson.Unit {
		return t.units(int(d), int(t.lesson.Unit)) + " " + name
	}
	return t.units(int(d), int(t.lesson.Unit)) + " " + name + "s"
}

// units writes a length in units: 3, 1/2, 2 1/3.
func (t *tune) units(num, den int) string {
	g := gcd(num, den)
	num, den = num/g, den/g
	switch {
	case den == 1:
		return strconv.Itoa(num)
	case num < den:
		return fmt.Sprintf("%d/%d", num, den)
	}
	return fmt.Sprintf("%d %d/%d", num/den, num%den, den)
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return int(math.Abs(float64(a)))
}
