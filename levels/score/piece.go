package score

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
)

// A Piece is what a notation file holds, as far as a harmonica can use it: one line of
// notes at written places, and what the file says about them.
type Piece struct {
	Title, Words string
	Tempo        float64 // beats a minute; 0: the file does not say
	Tonic        int     // pitch class of the key, 0 = C; -1: the file does not say
	Feel         lesson.Feel
	Pickup       lesson.Ticks // before place 0, the first full bar
	Bars         int          // full bars
	Notes        []Note       // by Start, not overlapping
	Chords       []Chord      // by Start; none: the file has no chord symbols
	Sections     []Section    // by At; none: the file is not divided
	Remarks      []Remark     // what had to be left out or moved
	Head         *Head        // of a file of ours; nil for others
}

// A Note is a note of a piece, or several sounding together.
type Note struct {
	Start, Length lesson.Ticks
	Pitches       []int       // MIDI note numbers as they sound, lowest first
	Join          lesson.Join // Glide, Slurred where the file has a slur, or Tongued
	Scoop         bool
	Tab           string // tab that the file shows at the note; "": none
	Mark          string // our own mark; "": none
}

// End is where the note ends.
func (n Note) End() lesson.Ticks { return n.Start + n.Length }

// A Section is a part of a piece with a name of its own.
type Section struct {
	At    lesson.Ticks
	Title string
}

// A Remark is something that a reader could not keep, with its place.
type Remark struct {
	At   lesson.Ticks
	Text string
}

// String is the remark with its place in words.
func (r Remark) String() string { return placeName(r.At) + ": " + r.Text }

// The most that is read from a file.
const (
	MaxBytes = 4 << 20 // of a file; an hour of melody has a few hundred kilobytes
	MaxNotes = 5000
)

// What may be wrong with a file as a whole.
var (
	ErrSize  = fmt.Errorf("the file is larger than %d MB; save the melody alone", MaxBytes>>20)
	ErrNotes = fmt.Errorf("it has more than %d notes; save the melody alone, or a part of it", MaxNotes)
	ErrEmpty = errors.New("it has no notes that a harmonica could play; is the melody in it?")
	ErrBars  = fmt.Errorf("it is longer than %d bars; save the part that is to be learnt", maxBars)
)

// Check puts a piece that a reader has collected in order, and refuses one that is empty or
// too long. Readers call it last.
func (p *Piece) Check() error {
	if len(p.Notes) == 0 {
		return ErrEmpty
	}
	if len(p.Notes) > MaxNotes {
		return ErrNotes
	}
	for i := range p.Notes {
		slices.Sort(p.Notes[i].Pitches)
		p.Notes[i].Pitches = slices.Compact(p.Notes[i].Pitches)
	}
	slices.SortStableFunc(p.Notes, func(a, b Note) int { return int(a.Start - b.Start) })
	kept := p.Notes[:0]
	for _, n := range p.Notes {
		if len(kept) > 0 {
			last := &kept[len(kept)-1]
			if n.Start == last.Start && n.Mark == "" && last.Mark == "" {
				last.Pitches = append(last.Pitches, n.Pitches...)
				slices.Sort(last.Pitches)
				last.Pitches = slices.Compact(last.Pitches)
				last.Length = max(last.Length, n.Length)
				continue
			}
			if n.Start == last.Start {
				continue
			}
			last.Length = min(last.Length, n.Start-last.Start)
		}
		if n.Length > 0 {
			kept = append(kept, n)
		}
	}
	p.Notes = kept
	slices.SortStableFunc(p.Chords, func(a, b Chord) int { return int(a.Start - b.Start) })
	slices.SortStableFunc(p.Sections, func(a, b Section) int { return int(a.At - b.At) })
	p.leadIn()
	first, last := p.Notes[0], p.Notes[len(p.Notes)-1]
	p.Pickup = max(p.Pickup, -first.Start)
	p.Bars = max(p.Bars, int((last.End()+lesson.Bar-1)/lesson.Bar), 1)
	if p.Bars > maxBars || p.Pickup > lesson.Bar {
		return ErrBars
	}
	p.Title, p.Words = Plain(p.Title, 200), Plain(p.Words, 2000)
	for i := range p.Sections {
		p.Sections[i].Title = Plain(p.Sections[i].Title, 200)
	}
	return nil
}

// leadIn makes a first bar that rests for half of it or more a pickup, unless a chord
// sounds in it: many programs write a pickup so.
func (p *Piece) leadIn() {
	first := p.Notes[0].Start
	if p.Head != nil || p.Pickup > 0 || first < lesson.Bar/2 || first >= lesson.Bar || len(p.Chords) > 0 && p.Chords[0].Start < lesson.Bar {
		return
	}
	for i := range p.Notes {
		p.Notes[i].Start -= lesson.Bar
	}
	for i := range p.Chords {
		p.Chords[i].Start -= lesson.Bar
	}
	for i := range p.Sections {
		p.Sections[i].At = max(0, p.Sections[i].At-lesson.Bar)
	}
	p.Bars--
}

// maxRemarks is how many remarks are kept: a file that needs more is not read better with
// a thousand of them.
const maxRemarks = 50

// Remark notes something left out or moved.
func (p *Piece) Remark(at lesson.Ticks, format string, args ...any) {
	if len(p.Remarks) < maxRemarks {
		p.Remarks = append(p.Remarks, Remark{at, fmt.Sprintf(format, args...)})
	}
}

// Plain is text on one line, without control characters, at most so many characters long.
func Plain(text string, most int) string {
	text = strings.ToValidUTF8(text, "")
	words := strings.FieldsFunc(text, func(r rune) bool { return unicode.IsSpace(r) || unicode.IsControl(r) })
	runes := []rune(strings.Join(words, " "))
	return string(runes[:min(len(runes), most)])
}

// A Choice says for which harp a lesson is made. The zero value leaves it to Suggest, or
// for a file of ours to the file.
type Choice struct {
	Key      *harp.Key
	Position harp.Position // 0: that of the tune's key on the harp
}

// Lesson makes a lesson of the piece. The remarks tell what was left out: notes that the
// harp lacks, with their places. The error says why there can be no lesson at all.
func (p Piece) Lesson(c Choice) (lesson.Lesson, []Remark, error) {
	if c.Position != 0 && !c.Position.Valid() {
		return lesson.Lesson{}, nil, fmt.Errorf("position %d: %w", c.Position, harp.ErrPosition)
	}
	out := p // for its remarks
	out.Remarks = slices.Clone(p.Remarks)
	if p.Head != nil && (c.Key == nil || *c.Key == p.Head.Lesson.Key) && (c.Position == 0 || c.Position == p.Head.Lesson.Position) {
		l := out.ours()
		for _, k := range l.Licks {
			if len(k.Notes) > 0 {
				return l, out.Remarks, nil
			}
		}
		return lesson.Lesson{}, out.Remarks, errors.New("none of the notes lies in a lick of the lesson; were the bars moved in another program?")
	}
	l := lesson.Lesson{Title: p.Title, Words: p.Words, Tempo: p.Tempo, Feel: p.Feel, Unit: lesson.Beat / 2, Position: c.Position}
	if l.Feel.Kind == lesson.Triplet {
		l.Unit = lesson.Beat / 3
	}
	if l.Title == "" {
		l.Title = "A tune"
	}
	if l.Tempo == 0 {
		l.Tempo = plainTempo
		out.Remark(0, "the file names no tempo; it is set to %g", plainTempo)
	}
	l.Tempo = out.playable(l.Tempo)
	if c.Key != nil {
		l.Key = *c.Key
		if l.Position == 0 {
			l.Position = 2
			if pos, ok := positionFor(l.Key, p.tonic()); ok {
				l.Position = pos
			} else {
				out.Remark(0, "the tune's key %s has no position on this harp that is taught; it is set to the 2nd", harp.PitchClass(p.tonic()))
			}
		}
	} else {
		best := p.Suggest()
		if c.Position != 0 {
			best = slices.DeleteFunc(best, func(s Suggestion) bool { return s.Position != c.Position })
		}
		if len(best) == 0 {
			return lesson.Lesson{}, out.Remarks, fmt.Errorf("no harp plays this tune in %s; name the harp", harp.PitchClass(p.tonic()))
		}
		l.Key, l.Position = best[0].Key, best[0].Position
	}
	l.Form = out.form(l.Tonic())
	for _, r := range out.ranges() {
		k := lesson.Lick{Title: r.title, Bar: r.bar + 1, Bars: r.bars}
		if r.bar == 0 {
			k.Pickup = p.Pickup
		}
		l.Licks = append(l.Licks, k)
	}
	notes := out.holes(l)
	if len(notes) == 0 {
		return lesson.Lesson{}, out.Remarks, fmt.Errorf("a %s harp has none of the notes of this tune; name another harp", l.Key)
	}
	for _, n := range notes {
		i := len(l.Licks) - 1
		for i > 0 && n.Start < lesson.Ticks(l.Licks[i].Bar-1)*lesson.Bar {
			i--
		}
		n.Start -= lesson.Ticks(l.Licks[i].Bar-1) * lesson.Bar
		l.Licks[i].Notes = append(l.Licks[i].Notes, n)
	}
	l.Licks = slices.DeleteFunc(l.Licks, func(k lesson.Lick) bool { return len(k.Notes) == 0 })
	return l, out.Remarks, nil
}

// playable is the nearest tempo that a drill can have.
func (p *Piece) playable(tempo float64) float64 {
	near := min(max(tempo, drill.MinTempo), drill.MaxTempo)
	if near != tempo {
		p.Remark(0, "tempo %.4g is out of reach; it is set to %g", tempo, near)
	}
	return near
}

// plainTempo is for files that name none: an easy shuffle. Our choice.
const plainTempo = 90.0

// ours is the lesson of a file that we wrote: marks and head where the notes still agree.
func (p *Piece) ours() lesson.Lesson {
	l := p.Head.Lesson
	l.Licks = slices.Clone(l.Licks)
	l.Tempo = p.playable(l.Tempo)
	if !p.sameChords() {
		l.Form = p.form(l.Tonic())
		p.Remark(0, "the chords were changed in the file; the form is the file's now")
	}
	notes := p.holes(l)
	lickOf := p.lickOf(l, notes)
	for i, n := range notes {
		k := lickOf[i]
		if k < 0 {
			p.Remark(n.Start, "%s lies outside the licks and is left out", Tab(n.Holes))
			continue
		}
		if !p.Head.Lick {
			n.Start -= lesson.Ticks(l.Licks[k].Bar-1) * lesson.Bar
		}
		l.Licks[k].Notes = append(l.Licks[k].Notes, n)
	}
	return l
}

// lickOf names for each note its lick, or -1: as its mark says, or by its place.
func (p *Piece) lickOf(l lesson.Lesson, notes []lesson.Note) []int {
	marked := map[lesson.Ticks]int{}
	for _, n := range p.Notes {
		if m, err := ParseMark(n.Mark); err == nil && m.Lick < len(l.Licks) {
			marked[n.Start] = m.Lick
		}
	}
	all := make([]int, len(notes))
	for i, n := range notes {
		all[i] = -1
		for k := len(l.Licks) - 1; k >= 0; k-- {
			at := lesson.Ticks(0)
			if !p.Head.Lick {
				at = lesson.Ticks(l.Licks[k].Bar-1) * lesson.Bar
			}
			if n.Start >= at-l.Licks[k].Pickup && n.Start < at+lesson.Ticks(l.Licks[k].Bars)*lesson.Bar {
				all[i] = k
			}
		}
		if k, ok := marked[n.Start]; ok {
			all[i] = k
		}
	}
	return all
}

// sameChords reports whether the chord symbols are still those of the head's form. A file
// without any says nothing against it.
func (p *Piece) sameChords() bool {
	if len(p.Chords) == 0 {
		return true
	}
	l := p.Head.Lesson
	from := lesson.Ticks(0)
	if p.Head.Lick {
		from = lesson.Ticks(l.Licks[0].Bar-1) * lesson.Bar
	}
	i := 0
	for t := lesson.Ticks(0); t < lesson.Ticks(p.Bars)*lesson.Bar; {
		want := l.Form.Chord(from + t)
		for i+1 < len(p.Chords) && p.Chords[i+1].Start <= t {
			i++
		}
		got := p.Chords[i]
		if got.Start > t || got.Root != (l.Tonic()+want.Degree)%12 || got.Quality != want.Quality {
			return false
		}
		t += want.Length
	}
	return true
}

// form is the form of the chord symbols: one with a name if they are its chords.
func (p *Piece) form(tonic int) lesson.Form {
	if len(p.Chords) == 0 {
		p.Remark(0, "the file has no chord symbols; the form is set to %q", lesson.Forms()[0].Name)
		return lesson.Forms()[0]
	}
	own := lesson.Form{Name: "own"}
	at := 0
	for b := range p.Bars {
		// A lesson's bar has one chord, two or four.
		var beats [lesson.BeatsPerBar]lesson.Chord
		for i := range beats {
			t := lesson.Ticks(b)*lesson.Bar + lesson.Ticks(i)*lesson.Beat
			for at+1 < len(p.Chords) && p.Chords[at+1].Start <= t {
				at++
			}
			c := p.Chords[at]
			beats[i] = lesson.Chord{Degree: ((c.Root-tonic)%12 + 12) % 12, Quality: c.Quality, Length: lesson.Beat}
		}
		bar := beats[:]
		if beats[0] == beats[1] && beats[2] == beats[3] {
			bar = []lesson.Chord{beats[0], beats[2]}
			if beats[0] == beats[2] {
				bar = bar[:1]
			}
		}
		for i := range bar {
			bar[i].Length = lesson.Bar / lesson.Ticks(len(bar))
		}
		own.Bars = append(own.Bars, bar)
	}
	for _, f := range lesson.Forms() {
		same := len(own.Bars)%len(f.Bars) == 0
		for b := 0; same && b < len(own.Bars); b++ {
			same = slices.Equal(own.Bars[b], f.Bars[b%len(f.Bars)])
		}
		if same {
			return f
		}
	}
	return own
}

// A stretch is bars that become one lick.
type stretch struct {
	bar, bars int
	title     string
}

// lickBars is how many bars a lick has at most where the file is not divided: a line of a
// chart.
const lickBars = 4

// ranges cuts the piece into licks: at its sections, else every four bars, and never
// through a note.
func (p *Piece) ranges() []stretch {
	cuts := map[int]string{0: ""}
	if len(p.Sections) > 0 && len(p.Sections) <= maxLicks {
		for _, s := range p.Sections {
			if b := int((s.At + lesson.Bar - 1) / lesson.Bar); b < p.Bars {
				cuts[max(b, 0)] = s.Title
			}
		}
	} else {
		for b := 0; b < p.Bars; b += lickBars {
			cuts[b] = ""
		}
	}
	for _, n := range p.Notes {
		for b := int(n.Start/lesson.Bar) + 1; b > 0 && lesson.Ticks(b)*lesson.Bar < n.End(); b++ {
			delete(cuts, b)
		}
	}
	delete(cuts, p.Bars)
	var at []int
	for b := range cuts {
		at = append(at, b)
	}
	slices.Sort(at)
	var all []stretch
	for i, b := range at {
		end := p.Bars
		if i+1 < len(at) {
			end = at[i+1]
		}
		title := cuts[b]
		if title == "" {
			title = fmt.Sprintf("Bars %d to %d", b+1, end)
			if end == b+1 {
				title = fmt.Sprintf("Bar %d", end)
			}
		}
		all = append(all, stretch{b, end - b, title})
	}
	return all
}
