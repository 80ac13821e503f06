package midi

import (
	"fmt"
	"io"
	"math"
	"slices"

	gomidi "gitlab.com/gomidi/midi/v2"
	"gitlab.com/gomidi/midi/v2/smf"

	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/score"
)

// Options say how a lesson is written.
type Options struct {
	// Tuning lets the wheel carry how the reeds deviate from equal temperament, and the
	// reference pitch. Without it the file is in equal temperament, as other programs
	// expect.
	Tuning bool
}

const (
	program   = 22    // Harmonica, from 0
	channel   = 0     // the first
	velocity  = 96    // forte of 127: our choice
	wheelEnd  = 8192  // steps of the wheel to one side
	wheelSpan = 12.0  // semitones to one side: a bend of three does not fit the usual two
	stepTime  = 0.005 // seconds between messages of a wheel curve: finer than is heard
	// glideTime and scoopTime are how long the pitch moves, in seconds: quick, yet heard as a
	// glide. Our choice.
	glideTime = 0.080
	scoopTime = 0.120
	scoopFrom = 1.0 // semitones under the note
	// tongueGap is the silence before a tongued note in seconds: long enough to part
	// repeats on one reed, as tonguing does.
	tongueGap = 0.045
)

// What comes first when several events fall on one tick.
const (
	first = iota
	offs
	wheels
	texts
	ons
)

type event struct {
	tick, order int
	message     []byte
}

// Write writes lick number lick of a lesson, from 0, or the whole chorus
// ([score.Chorus]), as a file of format 1.
func Write(w io.Writer, l lesson.Lesson, lick int, o Options) error {
	line, err := score.Lay(l, lick)
	if err != nil {
		return err
	}
	r := writer{line: line, harp: l.Harp(), options: o}
	// The pickup gets a bar of its own, so that bars stay bars in other programs.
	r.offset = int((line.Pickup + lesson.Bar - 1) / lesson.Bar * lesson.Bar)
	r.head()
	for i := 0; i < len(line.Notes); {
		i += r.note(i)
	}
	file := smf.NewSMF1()
	file.TimeFormat = smf.MetricTicks(ticksPerQuarter(l.Feel))
	end := r.offset + int(line.End())
	for _, track := range [][]event{r.conductor, r.part} {
		if err := file.Add(closed(track, end)); err != nil {
			return fmt.Errorf("writing MIDI: %w", err)
		}
	}
	if _, err := file.WriteTo(w); err != nil {
		return fmt.Errorf("writing MIDI: %w", err)
	}
	return nil
}

// ticksPerQuarter lets a tick of the file be a tick of the lesson: in 12/8 the beat is a
// dotted quarter.
func ticksPerQuarter(f lesson.Feel) int {
	if f.Kind == lesson.Triplet {
		return int(lesson.Beat) * 2 / 3
	}
	return int(lesson.Beat)
}

type writer struct {
	line            score.Line
	harp            harp.Harp
	options         Options
	offset          int // tick of place 0
	conductor, part []event
	wheel           int
}

// tick is where written place t sounds.
func (r *writer) tick(t lesson.Ticks) int {
	return r.offset + int(math.Round(r.line.Lesson.Feel.Beat(t)*float64(lesson.Beat)))
}

// ticks are seconds at the lesson's tempo.
func (r *writer) ticks(seconds float64) int {
	return int(math.Round(seconds * r.line.Lesson.Tempo / 60 * float64(lesson.Beat)))
}

func (r *writer) add(tick, order int, message []byte) {
	r.part = append(r.part, event{tick, order, message})
}

func (r *writer) head() {
	l := r.line.Lesson
	put := func(tick int, message []byte) {
		r.conductor = append(r.conductor, event{tick, first, message})
	}
	put(0, smf.MetaTrackSequenceName(l.Title))
	if l.Words != "" {
		put(0, smf.MetaText(l.Words))
	}
	put(0, smf.MetaText(score.Prefix+" lesson "+r.line.Head().String()))
	quarters := l.Tempo
	put(0, smf.MetaTimeSig(4, 4, 24, 8))
	if l.Feel.Kind == lesson.Triplet {
		quarters *= 1.5
		r.conductor[len(r.conductor)-1].message = smf.MetaTimeSig(12, 8, 36, 8)
	}
	put(0, smf.MetaTempo(quarters))
	key := score.NewKey(l.Tonic(), r.line.Minor())
	put(0, smf.MetaKey(0, !key.Minor, uint8(max(key.Fifths, -key.Fifths)), key.Fifths < 0))
	put(r.offset, smf.MetaText(score.Prefix+" start"))
	for _, c := range r.line.Chords {
		put(r.tick(c.Start), smf.MetaMarker(key.Class(c.Root).Name()+c.Quality.Suffix()))
	}
	if r.line.Lick == score.Chorus {
		for _, k := range l.Licks {
			put(r.offset+(k.Bar-1)*int(lesson.Bar), smf.MetaCuepoint(k.Title))
		}
	}
	r.add(0, first, smf.MetaTrackSequenceName("Harmonica"))
	r.add(0, first, gomidi.ProgramChange(channel, program))
	for _, c := range [][2]byte{{101, 0}, {100, 0}, {6, wheelSpan}, {38, 0}, {101, 127}, {100, 127}} {
		r.add(0, first, gomidi.ControlChange(channel, c[0], c[1]))
	}
	r.wheel = 0
}

// bend moves the wheel to semitones off the key that is struck.
func (r *writer) bend(tick int, semitones float64) {
	v := int(math.Round(semitones / wheelSpan * wheelEnd))
	if v != r.wheel {
		r.add(tick, wheels, gomidi.Pitchbend(channel, int16(v)))
		r.wheel = v
	}
}

// curve moves the wheel evenly from one offset to another.
func (r *writer) curve(tick, length int, from, to float64) {
	steps := max(1, min(length, int(float64(length)/max(1, float64(r.ticks(stepTime))))))
	for i := 1; i <= steps; i++ {
		r.bend(tick+(i-1)*length/steps, from+(to-from)*float64(i)/float64(steps))
	}
}

// off is the wheel for a note struck as its reed, in semitones.
func (r *writer) off(n harp.Note) float64 {
	off := -float64(n.Bend)
	if r.options.Tuning {
		hz, err := r.harp.Hz(n)
		if err == nil {
			off = harp.Cents(hz, 440)/100 + 69 - float64(r.key(n))
		}
	}
	return off
}

// key is what is struck for a note: its reed, for an overbend its own pitch.
func (r *writer) key(n harp.Note) int {
	n.Bend = 0
	return r.harp.MIDI(n)
}

// note writes the note at i, with all that glide from it, and returns how many they are.
func (r *writer) note(i int) int {
	notes := r.line.Notes
	n := notes[i]
	count := 1
	for plain := len(n.Holes) == 1 && !n.Warbles(); plain && i+count < len(notes); count++ {
		a, b := notes[i+count-1], notes[i+count]
		if b.Join != lesson.Glide || a.End() != b.Start || b.Warbles() || len(b.Holes) != 1 || r.key(a.Holes[0]) != r.key(b.Holes[0]) {
			break
		}
	}
	chain := notes[i : i+count]
	last := chain[count-1]
	start, end := r.tick(n.Start), r.tick(last.End())
	if i+count < len(notes) {
		if next := notes[i+count]; next.Start == last.End() && next.Join == lesson.Tongued {
			end -= min(r.ticks(tongueGap), (end-r.tick(last.Start))/4)
		}
	}
	for _, c := range chain {
		at := r.tick(c.Start)
		r.add(at, texts, smf.MetaLyric(score.Tab(c.Holes)))
		r.add(at, texts, smf.MetaText(score.Prefix+" note "+r.line.Mark(c, false).String()))
	}
	if n.Warbles() {
		r.warble(n, start, end)
		return count
	}
	off := r.off(n.Holes[0])
	if n.Scoop {
		r.bend(start, off-scoopFrom)
		length := min(r.ticks(scoopTime), (r.tick(n.End())-start)/2)
		r.curve(start+1, length, off-scoopFrom, off)
	} else {
		r.bend(start, off)
	}
	for j, c := range chain[1:] {
		at := r.tick(c.Start)
		length := min(r.ticks(glideTime), (r.tick(c.End())-at)/2)
		r.curve(at, length, r.off(chain[j].Holes[0]), r.off(c.Holes[0]))
	}
	for _, h := range n.Holes {
		r.sound(start, end, r.key(h))
	}
	return count
}

func (r *writer) sound(start, end, key int) {
	r.add(start, ons, gomidi.NoteOn(channel, uint8(key), velocity))
	r.add(max(end, start+1), offs, gomidi.NoteOff(channel, uint8(key)))
}

// warble alternates two holes evenly, as the lesson's drill does.
func (r *writer) warble(n score.Placed, start, end int) {
	parts := max(1, int(math.Round(n.Length.Beats()*float64(n.Rate))))
	for i := range parts {
		hole := n.Holes[0]
		if i%2 == 1 {
			hole = n.Warble
		}
		from := start + i*(end-start)/parts
		r.bend(from, r.off(hole))
		r.sound(from, start+(i+1)*(end-start)/parts, r.key(hole))
	}
}

// closed makes a track of events in any order.
func closed(events []event, end int) smf.Track {
	slices.SortStableFunc(events, func(a, b event) int {
		if a.tick != b.tick {
			return a.tick - b.tick
		}
		return a.order - b.order
	})
	var track smf.Track
	now := 0
	for _, e := range events {
		track.Add(uint32(e.tick-now), e.message)
		now = e.tick
	}
	track.Close(uint32(max(0, end-now)))
	return track
}
