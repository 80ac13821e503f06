package lesson

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"unicode/utf8"

	"reedwell/levels/harp"
	"reedwell/levels/tab"
)

// lineWidth is where a line of tab goes on in the next, in characters: about what a phone
// shows on its side. Our choice.
const lineWidth = 64

// Format writes a lesson in which [Check] finds no error as text that [Parse] reads back to
// the same lesson, but for the places of its notes; a lesson without a Unit gets one, and a
// form that is none of [Forms] is called [OwnForm]. Every note has its sign, every bar its
// line.
func Format(l Lesson) string {
	var b strings.Builder
	head := func(key, value string) { b.WriteString(strings.TrimRight(key+": "+value, " ") + "\n") }
	unit := defaultUnit
	for i, u := range units() {
		if l.Unit == l.Feel.whole()/Ticks(4<<i) {
			unit = u
		}
	}
	if unit == defaultUnit {
		l.Unit = l.Feel.whole() / 8 // also for a lesson that was not read and has none
	}
	head("title", l.Title)
	head("harp", l.Key.String())
	head("position", strconv.Itoa(int(l.Position)))
	head("tempo", number(l.Tempo))
	head("feel", l.Feel.String())
	for _, row := range l.formRows() {
		head("form", row)
	}
	if l.A4 != 0 {
		head("pitch", number(l.A4))
	}
	if l.Tuning != harp.Equal {
		head("tuning", l.Tuning.String())
	}
	if unit != defaultUnit {
		head("unit", unit)
	}
	if l.Words != "" {
		for _, w := range strings.Split(l.Words, "\n") {
			head("words", w)
		}
	}
	for _, k := range l.Licks {
		b.WriteString("\n" + l.section(k))
	}
	return b.String()
}

func number(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// section writes a lick.
func (l Lesson) section(k Lick) string {
	var b strings.Builder
	fmt.Fprintf(&b, "lick: %s\n", k.Title)
	if k.Bars == 1 {
		fmt.Fprintf(&b, "bars: %d\n", k.Bar)
	} else {
		fmt.Fprintf(&b, "bars: %d-%d\n", k.Bar, k.Bar+k.Bars-1)
	}
	if k.Level != Beginner {
		fmt.Fprintf(&b, "level: %s\n", k.Level)
	}
	if k.Words != "" {
		fmt.Fprintf(&b, "words: %s\n", k.Words)
	}
	for _, bar := range k.tokens() {
		width := 0
		for i, w := range append(l.tab(bar), "|") {
			n := utf8.RuneCountInString(w) + 1
			switch {
			case i == 0:
			case width+n > lineWidth:
				b.WriteString("\n")
				width = 0
			default:
				b.WriteString(" ")
			}
			b.WriteString(w)
			width += n
		}
		b.WriteString("\n")
	}
	return b.String()
}

// A token is a note, the part of one in its bar, or a rest, as it will be written.
type token struct {
	length Ticks
	note   *Note // nil: a rest
	tied   bool  // to the next
	rest   bool  // of a tied note
}

// tokens parts the notes and rests between them at the bar lines; the pickup, if there is
// one, is the first bar.
func (k Lick) tokens() [][]token {
	var bars [][]token
	start := Ticks(0)
	if k.Pickup > 0 {
		start = -k.Pickup
	}
	var bar []token
	at := start
	put := func(to Ticks, n *Note) {
		for from := at; at < to; {
			end := min(to, nextBar(at))
			if n == nil {
				end = restEnd(at, end)
			}
			bar = append(bar, token{end - at, n, n != nil && end < to, n != nil && at > from})
			at = end
			if at == 0 || at > 0 && at%Bar == 0 {
				bars = append(bars, bar)
				bar = nil
			}
		}
	}
	for i := range k.Notes {
		put(k.Notes[i].Start, nil)
		put(k.Notes[i].End(), &k.Notes[i])
	}
	put(Ticks(k.Bars)*Bar, nil)
	if len(bar) > 0 {
		bars = append(bars, bar)
	}
	return bars
}

// nextBar is the bar line behind a place.
func nextBar(at Ticks) Ticks {
	if at < 0 {
		return 0
	}
	return (at/Bar + 1) * Bar
}

// restEnd parts a rest at the beats, where it neither begins nor ends on one, so that a
// rest in a triplet can be seen as one.
func restEnd(at, end Ticks) Ticks {
	if off := (at%Beat + Beat) % Beat; off != 0 {
		return min(end, at-off+Beat)
	}
	if whole := end - (end%Beat+Beat)%Beat; whole > at {
		return whole
	}
	return end
}

// tab writes the tokens of a bar.
func (l Lesson) tab(bar []token) []string {
	var all []string
	left := 0 // of a triplet
	for i, t := range bar {
		word := ""
		if left == 0 && l.triplet(bar[i:]) {
			word, left = "(3 ", 3
		}
		length := t.length
		if left > 0 {
			length = length * 3 / 2
			left--
		}
		all = append(all, word+t.write(length, l.Unit))
	}
	return all
}

// triplet reports whether the next three tokens are one: three of the same length that
// only a triplet can have.
func (l Lesson) triplet(next []token) bool {
	if len(next) < 3 || next[0].length != next[1].length || next[0].length != next[2].length {
		return false
	}
	d := next[0].length
	return l.odd(d) && d*3%2 == 0 && !l.odd(d*3/2)
}

// odd reports whether a length is neither units nor a half, quarter or eighth of them.
func (l Lesson) odd(d Ticks) bool { return d*8%l.Unit != 0 }

// write is the token with its length.
func (t token) write(length, unit Ticks) string {
	if t.note == nil {
		return "z" + multiple(length, unit)
	}
	n, tie := t.note, ""
	if t.tied {
		tie = "-"
	}
	if t.rest {
		return tab.Write(n.Holes) + multiple(length, unit) + tie
	}
	before := ""
	if n.Join != Tongued {
		before = "/"
	}
	if n.Scoop {
		before += "~"
	}
	return before + tab.Write(n.Holes) + multiple(length, unit) + tie + n.marks()
}

// marks are those in brackets.
func (n Note) marks() string {
	var all []string
	if n.Warbles() {
		other := n.Warble.Tab()
		if n.Warble.Breath == n.Holes[0].Breath && !n.Warble.Over {
			other = other[1:] // its sign goes without saying
		}
		all = append(all, fmt.Sprintf("warble %s at %d", other, n.Rate))
	}
	if n.Wah != 0 {
		all = append(all, "wah "+number(n.Wah))
	}
	if n.Vibrato {
		all = append(all, "vibrato")
	}
	if n.Hold {
		all = append(all, "hold")
	}
	if all == nil {
		return ""
	}
	return "[" + strings.Join(all, ", ") + "]"
}

// multiple is a length behind a token: nothing for a unit, :2, :3/2, :/2.
func multiple(d, unit Ticks) string {
	g := Ticks(gcd(int(d), int(unit)))
	num, den := d/g, unit/g
	switch {
	case num == 1 && den == 1:
		return ""
	case den == 1:
		return fmt.Sprintf(":%d", num)
	case num == 1:
		return fmt.Sprintf(":/%d", den)
	}
	return fmt.Sprintf(":%d/%d", num, den)
}

// formRows is the form by its name, or its chords, four bars a row.
func (l Lesson) formRows() []string {
	for _, f := range Forms() {
		if reflect.DeepEqual(f, l.Form) {
			return []string{f.Name}
		}
	}
	var rows []string
	row := ""
	for i, bar := range l.Form.Bars {
		row += strings.Join(barChords(bar), " ") + " |"
		if i%4 == 3 || i == len(l.Form.Bars)-1 {
			rows = append(rows, row)
			row = ""
			continue
		}
		row += " "
	}
	return rows
}

// barChords names the chords of a bar: one, two halves, or four beats.
func barChords(bar []Chord) []string {
	grid := Bar
	for _, c := range bar {
		for grid > Beat && c.Length%grid != 0 {
			grid /= 2
		}
	}
	var names []string
	for _, c := range bar {
		for range max(1, c.Length/grid) {
			names = append(names, c.numeral())
		}
	}
	return names
}

// numeral is the chord as a roman numeral: "bVI7", "iv".
func (c Chord) numeral() string {
	root := numerals()[c.Degree]
	suffix := c.Quality.Suffix()
	if c.Quality == Minor || c.Quality == MinorSeventh {
		// Small letters say minor; the flat before them is small already.
		root, suffix = strings.ToLower(root), strings.TrimPrefix(suffix, "m")
	}
	return root + suffix
}
