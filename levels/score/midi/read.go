package midi

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"gitlab.com/gomidi/midi/v2/smf"

	"reedwell/levels/lesson"
	"reedwell/levels/score"
)

// Read reads a Standard MIDI File. The error says what is wrong, where, and what to do.
func Read(r io.Reader) (score.Piece, error) {
	data, err := io.ReadAll(io.LimitReader(r, score.MaxBytes+1))
	if err != nil {
		return score.Piece{}, fmt.Errorf("reading MIDI: %w", err)
	}
	if len(data) > score.MaxBytes {
		return score.Piece{}, fmt.Errorf("reading MIDI: %w", score.ErrSize)
	}
	if err := scan(data); err != nil {
		return score.Piece{}, fmt.Errorf("reading MIDI: %w", err)
	}
	file, err := smf.ReadFrom(bytes.NewReader(data))
	if err != nil {
		return score.Piece{}, fmt.Errorf("reading MIDI: %w", err)
	}
	in := reader{perQuarter: float64(file.TimeFormat.(smf.MetricTicks)), piece: score.Piece{Tonic: -1}}
	if err := in.collect(file); err != nil {
		return score.Piece{}, fmt.Errorf("reading MIDI: %w", err)
	}
	if err := in.write(); err != nil {
		return score.Piece{}, fmt.Errorf("reading MIDI: %w", err)
	}
	return in.piece, nil
}

type reader struct {
	piece      score.Piece
	perQuarter float64 // ticks a quarter note
	tempo      float64 // quarters a minute
	meter      score.Meter
	voices     []*voice
	start      int64 // tick of place 0 as a file of ours states it; -1: it does not
	marks      []text
	lyrics     []text
	markers    []text
	cues       []text
}

// A text is a text event at its tick.
type text struct {
	tick int64
	text string
}

// A voice is the notes of one channel in one track.
type voice struct {
	track, channel int
	name           string
	harmonica      bool
	notes          []*struck
}

// A struck is one note from note on to note off with what the wheel did meanwhile.
type struck struct {
	track   int
	on, off int64
	key     int
	wheel   []turn // the first at on
}

// A turn is where the wheel came to, in semitones.
type turn struct {
	tick      int64
	semitones float64
}

// A wheel is the state of a channel's pitch wheel. Two semitones is what MIDI 1.0
// recommends where a file declares nothing.
type wheel struct {
	rpn             [2]uint8
	semitones, fine uint8
	position        float64 // -1 to 1
}

func (w wheel) offset() float64 { return w.position * (float64(w.semitones) + float64(w.fine)/100) }

// What a melody needs at most.
const (
	maxBeats  = 4 * 520 // a little more than the most bars
	maxAtOnce = 64      // notes of a channel
	maxTurns  = 1 << 20 // of the wheel under notes
	// Quarters a minute; beyond it a number is a mistake.
	minQuarters, maxQuarters = 5, 1000
)

// collect goes through all tracks at once, in the order of time.
func (in *reader) collect(file *smf.SMF) error {
	type placed struct {
		tick  int64
		track int
		m     smf.Message
	}
	var all []placed
	for i, track := range file.Tracks {
		tick := int64(0)
		for _, e := range track {
			tick += int64(e.Delta)
			all = append(all, placed{tick, i, e.Message})
		}
	}
	slices.SortStableFunc(all, func(a, b placed) int {
		switch {
		case a.tick < b.tick:
			return -1
		case a.tick > b.tick:
			return 1
		}
		return 0
	})
	in.start = -1
	in.meter = score.Meter{Bar: lesson.Bar}
	met := false
	var wheels [16]wheel
	var programs [16]uint8
	names := map[int]string{}
	for c := range wheels {
		wheels[c] = wheel{rpn: [2]uint8{127, 127}, semitones: 2}
	}
	var open [16][]*struck
	turns := 0
	thin := int64(in.perQuarter / 1000) // moves of the wheel that close together are one
	voices := map[[2]int]*voice{}
	tempos := 0
	for _, e := range all {
		var ch, key, value uint8
		var wheelBy int16
		var s string
		var bpm float64
		var a, b, c, d uint8
		var major, flat bool
		switch m := e.m; {
		case m.GetNoteStart(&ch, &key, &value):
			if ch == 9 {
				break // General MIDI's drums
			}
			if float64(e.tick) > maxBeats*2*in.perQuarter {
				return score.ErrBars
			}
			open[ch] = ended(open[ch], e.track, int(key), e.tick)
			if len(open[ch]) >= maxAtOnce {
				return fmt.Errorf("more than %d notes of a channel sound at once; save the melody alone", maxAtOnce)
			}
			v := voices[[2]int{e.track, int(ch)}]
			if v == nil {
				v = &voice{track: e.track, channel: int(ch)}
				voices[[2]int{e.track, int(ch)}] = v
				in.voices = append(in.voices, v)
			}
			v.harmonica = v.harmonica || programs[ch] == program
			n := &struck{track: e.track, on: e.tick, off: -1, key: int(key), wheel: []turn{{e.tick, wheels[ch].offset()}}}
			open[ch] = append(open[ch], n)
			v.notes = append(v.notes, n)
		case m.GetNoteEnd(&ch, &key):
			open[ch] = ended(open[ch], e.track, int(key), e.tick)
		case m.GetPitchBend(&ch, &wheelBy, nil):
			wheels[ch].position = float64(wheelBy) / wheelEnd
			for _, n := range open[ch] {
				n.turn(e.tick, wheels[ch].offset(), thin)
			}
			if turns += len(open[ch]); turns > maxTurns {
				return errors.New("the pitch wheel moves more than a melody needs; save the melody alone")
			}
		case m.GetControlChange(&ch, &key, &value):
			w := &wheels[ch]
			switch {
			case key == 101:
				w.rpn[0] = value
			case key == 100:
				w.rpn[1] = value
			case key == 6 && w.rpn == [2]uint8{0, 0}:
				w.semitones, w.fine = value, 0
			case key == 38 && w.rpn == [2]uint8{0, 0}:
				w.fine = min(value, 99)
			case key == 98 || key == 99: // another kind of parameter
				w.rpn = [2]uint8{127, 127}
			}
		case m.GetProgramChange(&ch, &value):
			programs[ch] = value
		case m.GetMetaTempo(&bpm):
			if !(bpm >= minQuarters && bpm <= maxQuarters) {
				return fmt.Errorf("a tempo of %.4g quarters a minute is none; set it to what is meant", bpm)
			}
			if tempos++; tempos == 1 {
				in.tempo = bpm
			} else if bpm != in.tempo && tempos == 2 {
				in.piece.Remark(0, "the tempo changes in the file; the first is kept")
			}
		case m.GetMetaTimeSig(&a, &b, &c, &d):
			meter, err := score.NewMeter(int(a), int(b))
			if err != nil {
				return err
			}
			if met && meter.Twelve != in.meter.Twelve {
				return fmt.Errorf("the time changes to %d/%d in the middle; save the parts as tunes of their own", a, b)
			}
			if !met {
				in.meter = meter
			}
			met = true
		case m.GetMetaKeySig(nil, &a, &major, &flat):
			if in.piece.Tonic < 0 && a <= 7 {
				f := int(a)
				if flat {
					f = -f
				}
				in.piece.Tonic = score.ByFifths(f, !major)
			}
		case m.GetMetaTrackName(&s):
			if names[e.track] = s; in.piece.Title == "" && e.track == 0 {
				in.piece.Title = s
			}
		case m.GetMetaText(&s):
			if err := in.ours(e.tick, s); err != nil {
				in.piece.Remark(0, "%v; it is read as any other file", err)
			}
		case m.GetMetaLyric(&s):
			in.lyrics = append(in.lyrics, text{e.tick, strings.TrimSpace(s)})
		case m.GetMetaMarker(&s):
			in.markers = append(in.markers, text{e.tick, s})
		case m.GetMetaCuepoint(&s):
			in.cues = append(in.cues, text{e.tick, s})
		}
	}
	for _, v := range in.voices {
		v.name = names[v.track]
		v.notes = slices.DeleteFunc(v.notes, func(n *struck) bool { return n.off <= n.on })
	}
	if in.tempo == 0 {
		in.tempo = 120 // what the standard says of a file without a tempo
	}
	return nil
}

// ended ends the notes of a key, and returns those that sound on.
func ended(open []*struck, track, key int, tick int64) []*struck {
	return slices.DeleteFunc(open, func(n *struck) bool {
		if n.track != track || n.key != key {
			return false
		}
		n.off = tick
		return true
	})
}

// turn notes a move of the wheel.
func (n *struck) turn(tick int64, semitones float64, thin int64) {
	if last := &n.wheel[len(n.wheel)-1]; tick-last.tick <= thin {
		last.semitones = semitones
	} else if last.semitones != semitones {
		n.wheel = append(n.wheel, turn{tick, semitones})
	}
}

// ours takes a text of ours.
func (in *reader) ours(tick int64, s string) error {
	rest, ok := strings.CutPrefix(s, score.Prefix+" ")
	if !ok {
		return nil
	}
	kind, rest, _ := strings.Cut(rest, " ")
	switch kind {
	case "lesson":
		h, err := score.ParseHead(rest)
		if err != nil {
			return err
		}
		in.piece.Head = &h
	case "start":
		in.start = tick
	case "note":
		in.marks = append(in.marks, text{tick, rest})
	}
	return nil
}

// melody is the voice to read: the harmonica's, else the one with the most notes that
// sound alone.
func (in *reader) melody() *voice {
	var best *voice
	most := -1.0
	for _, v := range in.voices {
		alone := 0
		until := int64(-1)
		for _, n := range v.notes {
			if n.on >= until {
				alone++
			}
			until = max(until, n.off)
		}
		if len(v.notes) == 0 {
			continue
		}
		rank := float64(alone) * float64(alone) / float64(len(v.notes))
		if v.harmonica {
			rank += maxEvents
		}
		if rank > most {
			best, most = v, rank
		}
	}
	return best
}

// write makes the piece of what was collected.
func (in *reader) write() error {
	p := &in.piece
	v := in.melody()
	if v == nil {
		return score.ErrEmpty
	}
	if len(v.notes) > score.MaxNotes {
		return score.ErrNotes
	}
	if parts := len(in.voices); parts > 1 {
		name := fmt.Sprintf("track %d, channel %d", v.track+1, v.channel+1)
		if v.name != "" {
			name = fmt.Sprintf("%q", score.Plain(v.name, 60))
		}
		p.Remark(0, "of %d parts the melody is taken from %s", parts, name)
	}
	perBeat := in.perQuarter
	p.Tempo = in.tempo
	if in.meter.Twelve {
		perBeat *= 1.5
		p.Tempo /= 1.5
	}
	// The file counts in whole microseconds, so a tempo within one of them is the head's.
	p.Tempo = math.Round(p.Tempo*1000) / 1000
	var notes []sounding
	var glides []int64
	for _, m := range in.marks {
		if mark, err := score.ParseMark(m.text); err == nil && mark.Join == lesson.Glide && p.Head != nil {
			glides = append(glides, m.tick)
		}
	}
	for _, n := range v.notes {
		i, _ := slices.BinarySearch(glides, n.on+1)
		if j, _ := slices.BinarySearch(glides, n.off); j > i {
			notes = append(notes, n.parted(glides[i:j], perBeat)...)
		} else {
			notes = append(notes, in.rests(n, perBeat, in.tempo)...)
		}
	}
	slices.SortStableFunc(notes, func(a, b sounding) int {
		if a.start < b.start {
			return -1
		}
		if a.start > b.start {
			return 1
		}
		return 0
	})
	// Place 0: as the file says, else the first bar with more than its end in it.
	zero := 0.0
	switch {
	case in.start >= 0 && p.Head != nil:
		zero = float64(in.start) / perBeat
	default:
		const bar = lesson.BeatsPerBar
		firstBar := math.Floor((notes[0].start + apart) / bar)
		if notes[0].start-firstBar*bar >= bar/2 {
			firstBar++
		}
		zero = firstBar * bar
		if zero > bar {
			p.Remark(0, "%d bars of rest before the melody are left out", int(zero)/bar-1)
		}
	}
	place := func(tick int64) float64 { return float64(tick)/perBeat - zero }
	for i := range notes {
		notes[i].start -= zero
		notes[i].end -= zero
	}
	notes = together(notes)
	last := notes[len(notes)-1]
	if !(last.end < maxBeats) {
		return score.ErrBars
	}
	in.label(notes, place)
	switch {
	case in.meter.Twelve:
		p.Feel = lesson.Feel{Kind: lesson.Triplet}
	case p.Head != nil && p.Head.Lesson.Feel.Kind != lesson.Triplet:
		p.Feel = p.Head.Lesson.Feel
	default:
		p.Feel = swing(notes)
	}
	if h := p.Head; h != nil && h.Lesson.Feel.Kind == lesson.Triplet != in.meter.Twelve {
		p.Remark(0, "the time was changed in the file; it is read as any other file")
		p.Head = nil
	}
	p.Notes = quantise(notes, p.Feel)
	in.places(notes)
	for _, m := range in.markers {
		if c, ok := score.ParseChord(m.text); ok {
			b := max(0, math.Round(place(m.tick)*2)/2)
			p.Chords = append(p.Chords, score.Chord{Start: lesson.Ticks(b * float64(lesson.Beat)), Root: c.Root, Quality: c.Quality})
		} else if p.Head == nil {
			b := max(0, math.Round(place(m.tick)))
			p.Sections = append(p.Sections, score.Section{At: lesson.Ticks(b) * lesson.Beat, Title: m.text})
		}
	}
	if h := p.Head; h != nil {
		if bpm := h.Lesson.Tempo; math.Abs(60e6/bpm-60e6/p.Tempo) > 2*1.5 {
			h.Lesson.Tempo = p.Tempo
			p.Remark(0, "the tempo was changed in the file to %.4g", p.Tempo)
		}
	}
	return p.Check()
}

const (
	// stillTime is how long the wheel must rest, in seconds, to be a note of its own: longer
	// than a scoop takes, shorter than a played sixteenth.
	stillTime = 0.055
	// level is how far in semitones the wheel may move in a rest: a vibrato's width.
	level = 0.35
)

// rests takes a struck note apart where its pitch comes to rest.
func (in *reader) rests(n *struck, perBeat, tempo float64) []sounding {
	still := int64(stillTime * tempo / 60 * in.perQuarter)
	type rest struct {
		moved, from, to int64 // when the way to it begins, when it is reached, when it ends
		pitch           int
	}
	var all []rest
	begin := 0
	for begin < len(n.wheel) {
		low, high := n.wheel[begin].semitones, n.wheel[begin].semitones
		end := begin + 1
		for end < len(n.wheel) {
			v := n.wheel[end].semitones
			if max(high, v)-min(low, v) > level {
				break
			}
			low, high = min(low, v), max(high, v)
			end++
		}
		to := n.off
		if end < len(n.wheel) {
			to = n.wheel[n.leaves(begin, end, still)].tick
		}
		from := n.wheel[begin].tick
		if to-from < still {
			begin++
			continue
		}
		pitch := n.key + int(math.Round((low+high)/2))
		moved := n.on
		if len(all) > 0 {
			prev := &all[len(all)-1]
			if moved = prev.to; prev.pitch == pitch {
				prev.to = to
				begin = end
				continue
			}
		}
		all = append(all, rest{moved, from, to, pitch})
		begin = end
	}
	beats := func(tick int64) float64 { return float64(tick) / perBeat }
	if len(all) == 0 {
		last := n.wheel[len(n.wheel)-1]
		return []sounding{{start: beats(n.on), end: beats(n.off), pitches: []int{clampPitch(n.key + int(math.Round(last.semitones)))}}}
	}
	var notes []sounding
	for i, r := range all {
		s := sounding{start: beats(r.moved), end: beats(n.off), pitches: []int{clampPitch(r.pitch)}}
		if i > 0 {
			s.join = lesson.Glide
			notes[i-1].end = s.start
		} else if float64(n.key)+n.wheel[0].semitones < float64(r.pitch)-0.4 {
			s.scoop = true
		}
		notes = append(notes, s)
	}
	return notes
}

// leaves is the turn with which the wheel begins to leave a rest that it had left for good
// at turn end: the move to it is followed back as long as it goes the same way.
func (n *struck) leaves(begin, end int, still int64) int {
	up := func(i int) bool { return n.wheel[i].semitones > n.wheel[i-1].semitones }
	k := end
	for k-1 > begin && up(k-1) == up(end) && n.wheel[k].tick-n.wheel[k-1].tick < still/2 {
		k--
	}
	return k
}

// parted takes a struck note of ours apart where the marks say that it glides on, however
// short the pitch rests there. A glide is over before its note ends.
func (n *struck) parted(at []int64, perBeat float64) []sounding {
	var notes []sounding
	start := n.on
	w := 0 // the turns before the end
	for i := 0; i <= len(at); i++ {
		end := n.off
		if i < len(at) {
			end = at[i]
		}
		if end <= start {
			continue // two marks at one place
		}
		for w+1 < len(n.wheel) && n.wheel[w+1].tick < end {
			w++
		}
		pitch := clampPitch(n.key + int(math.Round(n.wheel[w].semitones)))
		s := sounding{start: float64(start) / perBeat, end: float64(end) / perBeat, pitches: []int{pitch}}
		if len(notes) > 0 {
			s.join = lesson.Glide
		}
		notes = append(notes, s)
		start = end
	}
	return notes
}

func clampPitch(p int) int { return min(max(p, 0), 127) }

// together joins what starts at once into chords. A note that begins before the one before
// has ended is slurred to it, if that ends soon after.
func together(notes []sounding) []sounding {
	var all []sounding
	for _, n := range notes {
		if len(all) == 0 {
			all = append(all, n)
			continue
		}
		last := &all[len(all)-1]
		if n.start-last.start < apart/2 && n.join != lesson.Glide && last.join != lesson.Glide {
			last.pitches = append(last.pitches, n.pitches...)
			last.end = max(last.end, n.end)
			continue
		}
		if over := last.end - n.start; over > 0 && over < 0.2 && n.join == lesson.Tongued {
			n.join = lesson.Slurred
		}
		all = append(all, n)
	}
	return all
}

// label gives notes the lyrics and marks that lie at their starts.
func (in *reader) label(notes []sounding, place func(int64) float64) {
	at := func(texts []text, set func(i int, s string)) {
		i := 0
		for _, t := range texts {
			x := place(t.tick)
			for i+1 < len(notes) && math.Abs(notes[i+1].start-x) <= math.Abs(notes[i].start-x) {
				i++
			}
			if math.Abs(notes[i].start-x) < apart/2 {
				set(i, t.text)
			}
		}
	}
	at(in.lyrics, func(i int, s string) { notes[i].lyric = s })
	if in.piece.Head != nil {
		at(in.marks, func(i int, s string) { notes[i].mark = s })
	}
}

// places puts notes of ours where their marks say, if they sound there, and makes one note
// again of a warble.
func (in *reader) places(notes []sounding) {
	p := &in.piece
	if p.Head == nil {
		return
	}
	var kept []score.Note
	until := math.Inf(-1)
	for i, n := range p.Notes {
		s := notes[i]
		if s.start < until-apart/2 && s.mark == "" {
			continue // inside a warble
		}
		m, err := score.ParseMark(s.mark)
		if err == nil && m.Placed && math.Abs(p.Feel.Beat(m.Start)-s.start) < apart/2 {
			end := p.Feel.Beat(m.Start + m.Length)
			if m.Warbles() {
				until = end
			}
			// The note may have been made longer or shorter; a tongued one ends a little early.
			early := max(tongueGap*in.piece.Tempo/60, (end-s.start)/4) + apart/2
			if m.Warbles() || s.end < end+apart/2 && s.end > end-early {
				n.Start, n.Length = m.Start, m.Length
			} else {
				n.Start = m.Start
			}
		}
		kept = append(kept, n)
	}
	p.Notes = kept
}
