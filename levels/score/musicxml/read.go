package musicxml

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"reedwell/levels/lesson"
	"reedwell/levels/score"
)

// Read reads MusicXML, plain or compressed. The error says what is wrong, where, and what
// to do.
func Read(r io.Reader) (score.Piece, error) {
	s, err := whole(r)
	if err != nil {
		return score.Piece{}, fmt.Errorf("reading MusicXML: %w", err)
	}
	in := reader{piece: score.Piece{Tonic: -1, Title: s.WorkTitle}, meter: score.Meter{Bar: lesson.Bar}, divisions: 1}
	p := &in.piece
	if p.Title == "" {
		p.Title = s.MovementTitle
	}
	if s.Identification != nil {
		for _, f := range s.Identification.Misc {
			if f.Name != headField {
				continue
			}
			h, err := score.ParseHead(f.Text)
			if err != nil {
				p.Remark(0, "%v; it is read as any other file", err)
				continue
			}
			p.Head = &h
		}
	}
	if err := in.read(in.choose(s)); err != nil {
		return score.Piece{}, fmt.Errorf("reading MusicXML: %w", err)
	}
	return *p, nil
}

type reader struct {
	piece     score.Piece
	meter     score.Meter
	divisions float64 // a quarter note
	shift     int     // semitones from the page to the sound
	voice     string
	tempo     bool
	feel      bool
	bars      []bar
}

// A bar is what stands in a measure, at places counted in score.FineBeat from its start.
type bar struct {
	repeat   score.Bar
	number   string
	length   int64
	notes    []sign
	chords   []score.Chord
	chordAt  []int64
	sections []string
}

// A sign is one note on the page, with its chord.
type sign struct {
	at, length int64
	pitches    []int
	tied       bool // to the sign before
	ties       bool // to the next
	slurs      int  // slurs that begin here less those that end
	slurEnds   bool
	slides     bool // a slide ends here
	scoop      bool
	tab, mark  string
}

// choose is the part to read: one called harmonica, else the first with notes of pitch.
func (in *reader) choose(s scoreXML) part {
	names := map[string]string{}
	for _, p := range s.PartList.Parts {
		names[p.ID] = p.Name
		if p.Instrument != nil && strings.Contains(p.Instrument.Sound, "harmonica") {
			names[p.ID] += " harmonica"
		}
	}
	best := -1
	for i, p := range s.Parts {
		pitched := false
		for _, m := range p.Measures {
			for _, item := range m.Items {
				if n, ok := item.(*note); ok && n.Pitch != nil {
					pitched = true
				}
			}
		}
		if pitched && (best < 0 || strings.Contains(strings.ToLower(names[p.ID]), "harmonica")) {
			best = i
		}
	}
	best = max(best, 0)
	if len(s.Parts) > 1 {
		in.piece.Remark(0, "of %d parts the melody is taken from %q", len(s.Parts), score.Plain(names[s.Parts[best].ID], 60))
	}
	return s.Parts[best]
}

// maxMeasures is more than a piece of the most bars has.
const maxMeasures = 2048

func (in *reader) read(p part) error {
	if len(p.Measures) > maxMeasures {
		return score.ErrBars
	}
	in.voice = mainVoice(p)
	var endings []int
	for i, m := range p.Measures {
		b := bar{number: m.Number}
		if err := in.measure(m, &b, &endings); err != nil {
			return fmt.Errorf("measure %s: %w", measureName(m, i), err)
		}
		in.bars = append(in.bars, b)
	}
	return in.assemble()
}

func measureName(m measure, i int) string {
	if m.Number != "" {
		return score.Plain(m.Number, 20)
	}
	return strconv.Itoa(i + 1)
}

// mainVoice is the voice with the most notes on the first staff.
func mainVoice(p part) string {
	count := map[string]int{}
	best := ""
	for _, m := range p.Measures {
		for _, item := range m.Items {
			if n, ok := item.(*note); ok && n.Pitch != nil && n.Grace == nil && (n.Staff == "" || n.Staff == "1") {
				count[n.Voice]++
				if count[n.Voice] > count[best] {
					best = n.Voice
				}
			}
		}
	}
	return best
}

// fine is a duration in parts of score.FineBeat. Durations are decimals by the standard.
func (in *reader) fine(text string) (int64, error) {
	v, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	if err != nil || !(math.Abs(v) <= 1e9) {
		return 0, fmt.Errorf("duration %.20q is no number", text)
	}
	quarters := v / in.divisions
	if math.Abs(quarters) > 4096 {
		return 0, fmt.Errorf("a duration of %.4g quarters; is the number of divisions right?", quarters)
	}
	beats := quarters
	if in.meter.Twelve {
		beats = quarters * 2 / 3
	}
	return int64(math.Round(beats * float64(score.FineBeat))), nil
}

func (in *reader) measure(m measure, b *bar, endings *[]int) error {
	at, before := int64(0), int64(0) // here, and where the last note began
	for _, item := range m.Items {
		var err error
		switch e := item.(type) {
		case *attributes:
			err = in.attributes(e)
		case *note:
			at, before, err = in.note(e, b, at, before)
		case *backup:
			var d int64
			d, err = in.fine(e.Duration)
			at = max(0, at-d)
		case *forward:
			var d int64
			d, err = in.fine(e.Duration)
			at += max(0, d)
		case *harmony:
			err = in.harmony(e, b, at)
		case *direction:
			for _, t := range e.Types {
				b.sections = append(b.sections, t.Rehearsal...)
				for _, w := range t.Words {
					in.words(w)
				}
				if t.Metronome != nil {
					in.metronome(*t.Metronome)
				}
			}
			if e.Sound != nil {
				in.sound(*e.Sound)
			}
		case *sound:
			in.sound(*e)
		case *barline:
			bars(e, b, endings)
		}
		if err != nil {
			return err
		}
		b.length = max(b.length, at)
	}
	if len(*endings) > 0 && b.repeat.Endings == nil {
		b.repeat.Endings = *endings
	}
	return nil
}

// bars reads repeats and endings.
func bars(e *barline, b *bar, endings *[]int) {
	if e.Ending != nil {
		switch e.Ending.Type {
		case "start":
			*endings = nil
			for _, f := range strings.FieldsFunc(e.Ending.Number, func(r rune) bool { return r == ',' || r == ' ' }) {
				if n, err := strconv.Atoi(f); err == nil && n > 0 && n < 20 && len(*endings) < 20 {
					*endings = append(*endings, n)
				}
			}
			b.repeat.Endings = *endings
		default: // stop, discontinue
			b.repeat.Endings = *endings
			*endings = nil
		}
	}
	if e.Repeat != nil {
		if e.Repeat.Direction == "forward" {
			b.repeat.Start = true
		} else {
			b.repeat.Times = min(max(2, e.Repeat.Times), 20)
		}
	}
}

func (in *reader) attributes(e *attributes) error {
	if e.Divisions != "" {
		v, err := strconv.ParseFloat(strings.TrimSpace(e.Divisions), 64)
		if err != nil || !(v > 0 && v <= 1e6) {
			return fmt.Errorf("divisions %.20q: how many parts a quarter note has, a number from 1", e.Divisions)
		}
		in.divisions = v
	}
	if e.Key != nil && e.Key.Fifths != nil && in.piece.Tonic < 0 && *e.Key.Fifths >= -7 && *e.Key.Fifths <= 7 {
		in.piece.Tonic = tonic(*e.Key.Fifths, e.Key.Mode)
	}
	if e.Time != nil {
		beats, err1 := strconv.Atoi(strings.TrimSpace(e.Time.Beats))
		unit, err2 := strconv.Atoi(strings.TrimSpace(e.Time.BeatType))
		if err1 != nil || err2 != nil {
			return fmt.Errorf("time %.10q over %.10q is none that a lesson has; write the tune in 4/4 or 12/8", e.Time.Beats, e.Time.BeatType)
		}
		m, err := score.NewMeter(beats, unit)
		if err != nil {
			return err
		}
		if len(in.bars) > 0 && m.Twelve != in.meter.Twelve {
			return fmt.Errorf("the time changes to %d/%d; save the parts as tunes of their own", beats, unit)
		}
		in.meter = m
	}
	if e.Transpose != nil {
		in.shift = int(math.Round(max(-48, min(48, e.Transpose.Chromatic)))) + 12*max(-4, min(4, e.Transpose.Octave))
	}
	return nil
}

// tonic is the pitch class on which a mode of a key signature stands.
func tonic(fifths int, mode string) int {
	switch mode {
	case "minor", "aeolian":
		return score.ByFifths(fifths, true)
	case "mixolydian":
		return (score.ByFifths(fifths, false) + 7) % 12
	case "dorian":
		return (score.ByFifths(fifths, false) + 2) % 12
	case "phrygian":
		return (score.ByFifths(fifths, false) + 4) % 12
	case "lydian":
		return (score.ByFifths(fifths, false) + 5) % 12
	}
	return score.ByFifths(fifths, false)
}

func (in *reader) sound(s sound) {
	if v, err := strconv.ParseFloat(s.Tempo, 64); err == nil && v > 0 && v < 1e4 && (!in.tempo || in.piece.Tempo == 0) {
		in.tempo = true
		in.piece.Tempo = v
		if in.meter.Twelve {
			in.piece.Tempo = v / 1.5
		}
	}
	if w := s.Swing; w != nil && !in.meter.Twelve {
		in.feel = true
		in.piece.Feel = lesson.Feel{}
		if w.Straight == nil && w.First > w.Second && w.Second > 0 && w.Type != "16th" {
			ratio := float64(w.First) / float64(w.Second)
			in.piece.Feel = lesson.Feel{Kind: lesson.Shuffle, Ratio: min(max(ratio, lesson.MinRatio), lesson.MaxRatio)}
		}
	}
}

// words are the teacher's or composer's; a few of them name the feel.
func (in *reader) words(text string) {
	low := strings.ToLower(text)
	if !in.feel && !in.meter.Twelve && (strings.Contains(low, "shuffle") || strings.Contains(low, "swing")) && !strings.Contains(low, "no swing") {
		in.feel = true
		in.piece.Feel = lesson.Feel{Kind: lesson.Shuffle, Ratio: lesson.DefaultRatio}
	}
}

func (in *reader) metronome(m metronome) {
	v, err := strconv.ParseFloat(strings.TrimSpace(m.PerMinute), 64)
	unit := map[string]float64{"half": 2, "quarter": 1, "eighth": 0.5, "16th": 0.25}[m.Unit]
	if err != nil || in.tempo || in.piece.Tempo != 0 || unit == 0 || !(v > 0 && v < 1e4) {
		return
	}
	for range min(len(m.Dots), 1) {
		unit *= 1.5
	}
	in.piece.Tempo = v * unit
	if in.meter.Twelve {
		in.piece.Tempo /= 1.5
	}
}

func (in *reader) harmony(e *harmony, b *bar, at int64) error {
	if e.Root == nil || len(e.Root.Step) != 1 {
		return nil
	}
	q, ok := kindOf(e.Kind.Kind, e.Kind.Text)
	if !ok {
		return nil // "none", or a kind of its own
	}
	s, ok := step(e.Root.Step)
	if !ok {
		return fmt.Errorf("a chord on %.10q: roots are A to G", e.Root.Step)
	}
	s.Alter = int(math.Round(max(-2, min(2, e.Root.Alter))))
	if e.Offset != "" {
		d, err := in.fine(e.Offset)
		if err != nil {
			return err
		}
		at = max(0, at+d)
	}
	b.chords = append(b.chords, score.Chord{Root: (s.MIDI() + 24) % 12, Quality: q})
	b.chordAt = append(b.chordAt, at)
	return nil
}

func step(text string) (score.Spelling, bool) {
	if len(text) != 1 || text[0] < 'A' || text[0] > 'G' {
		return score.Spelling{}, false
	}
	return score.Spelling{Step: text[0]}, true
}

// note reads one note and returns the place after it, and the place where it began.
func (in *reader) note(e *note, b *bar, at, before int64) (next, began int64, err error) {
	if e.Grace != nil {
		return at, before, nil
	}
	length, err := in.fine(e.Duration)
	if err != nil {
		return at, before, err
	}
	length = max(0, length)
	start := at
	if e.Chord != nil {
		start = before
	} else {
		at += length
	}
	if e.Pitch == nil || e.Cue != nil || e.Voice != in.voice || e.Staff != "" && e.Staff != "1" {
		return at, start, nil
	}
	s, ok := step(strings.TrimSpace(e.Pitch.Step))
	if !ok || e.Pitch.Octave < 0 || e.Pitch.Octave > 9 {
		return at, start, fmt.Errorf("a note %.10q in octave %d: steps are A to G, octaves 0 to 9", e.Pitch.Step, e.Pitch.Octave)
	}
	s.Octave = e.Pitch.Octave
	s.Alter = int(math.Round(max(-3, min(3, e.Pitch.Alter))))
	midi := s.MIDI() + in.shift
	if midi < 0 || midi > 127 {
		return at, start, fmt.Errorf("the note %s lies outside what any instrument has", s)
	}
	if e.Chord != nil && len(b.notes) > 0 && b.notes[len(b.notes)-1].at == start {
		last := &b.notes[len(b.notes)-1]
		last.pitches = append(last.pitches, midi)
		last.tab += tabOf(e)
		return at, start, nil
	}
	n := sign{at: start, length: length, pitches: []int{midi}}
	for _, t := range e.Ties {
		n.tied = n.tied || t.Type == "stop"
		n.ties = n.ties || t.Type == "start"
	}
	for _, a := range e.Notations {
		for _, s := range a.Slurs {
			switch s.Type {
			case "start":
				n.slurs++
			case "stop":
				n.slurs--
				n.slurEnds = true
			}
		}
		for _, s := range append(a.Slides, a.Glissandi...) {
			n.slides = n.slides || s.Type == "stop"
		}
		n.scoop = n.scoop || a.Articulations != nil && a.Articulations.Scoop != nil
	}
	n.tab = tabOf(e)
	if n.tab == "" {
		for _, l := range e.Lyrics {
			if text := strings.TrimSpace(strings.Join(l.Text, "")); isTab(text) {
				n.tab = text
			}
		}
	}
	if e.Play != nil {
		for _, o := range e.Play.Other {
			if o.Type == markType {
				n.mark = o.Text
			}
		}
	}
	b.notes = append(b.notes, n)
	return at, start, nil
}

func isTab(text string) bool {
	_, err := score.ParseTab(text)
	return err == nil
}

// tabOf reads tab from fingering, arrow and bend; "" if they are not all tab.
func tabOf(e *note) string {
	var all technical
	for _, n := range e.Notations {
		for _, t := range n.Technical {
			all.Fingering = append(all.Fingering, t.Fingering...)
			all.Bends = append(all.Bends, t.Bends...)
			if t.Arrow != nil {
				all.Arrow = t.Arrow
			}
		}
	}
	if len(all.Fingering) != 1 || all.Arrow == nil || len(all.Bends) > 1 {
		return ""
	}
	sign := map[string]string{"up": "+", "down": "-"}[strings.TrimSpace(all.Arrow.Direction)]
	text := sign + strings.TrimSpace(all.Fingering[0])
	if len(all.Bends) == 1 {
		text += strings.Repeat("'", int(math.Round(max(0, min(3, -all.Bends[0].Alter)))))
	}
	if sign == "" || !isTab(text) {
		return ""
	}
	return text
}

// assemble lays the measures out in the order in which they are played.
func (in *reader) assemble() error {
	p := &in.piece
	if in.meter.Twelve {
		p.Feel = lesson.Feel{Kind: lesson.Triplet}
	}
	var repeats []score.Bar
	for _, b := range in.bars {
		repeats = append(repeats, b.repeat)
	}
	order, err := score.Unfold(repeats)
	if err != nil {
		return err
	}
	full := int64(in.meter.Bar) * (score.FineBeat / int64(lesson.Beat))
	if first := &in.bars[0]; first.length > 0 && first.length < full && len(in.bars) > 1 {
		p.Pickup, _ = score.Snap(first.length)
	}
	at := -int64(p.Pickup) * (score.FineBeat / int64(lesson.Beat))
	l := score.Assembler{Piece: p}
	for _, i := range order {
		b := in.bars[i]
		if b.length == 0 {
			b.length = full
		}
		for _, s := range b.sections {
			t, _ := score.Snap(at)
			p.Sections = append(p.Sections, score.Section{At: t, Title: s})
		}
		for j, c := range b.chords {
			c.Start, _ = score.Snap(at + b.chordAt[j])
			p.Chords = append(p.Chords, c)
		}
		for _, n := range b.notes {
			l.Add(score.Sign{At: at + n.at, Length: n.length, Pitches: n.pitches, Tied: n.tied, Ties: n.ties,
				SlurBegins: n.slurs > 0, SlurEnds: n.slurEnds, Slide: n.slides, Scoop: n.scoop, Tab: n.tab, Mark: n.mark})
			if len(p.Notes) > score.MaxNotes {
				return score.ErrNotes
			}
		}
		at += b.length
	}
	if t, _ := score.Snap(at); t <= lesson.Ticks(maxMeasures)*lesson.Bar {
		p.Bars = int((t + lesson.Bar - 1) / lesson.Bar)
	} else {
		return score.ErrBars
	}
	in.ours()
	return p.Check()
}

// ours settles what a head of ours says against what the page says now.
func (in *reader) ours() {
	p := &in.piece
	h := p.Head
	if h == nil {
		return
	}
	l := &h.Lesson
	if (l.Feel.Kind == lesson.Triplet) != in.meter.Twelve {
		p.Remark(0, "the time was changed in the file; it is read as any other file")
		p.Head = nil
		return
	}
	if p.Tempo != 0 && math.Abs(p.Tempo-l.Tempo) > 0.01*l.Tempo {
		p.Remark(0, "the tempo was changed in the file to %.4g", p.Tempo)
		l.Tempo = p.Tempo
	}
	if in.feel && p.Feel.Kind != l.Feel.Kind {
		p.Remark(0, "the feel was changed in the file")
		l.Feel = p.Feel
	}
}
