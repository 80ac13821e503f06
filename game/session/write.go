package session

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"reedwell/game/screen"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/write"
)

// A draft is the lesson that is being written.
type draft struct {
	book        // id: the kept lesson that is written on; empty: a new one
	version int // counts the changes that were not typed
	before  *string
	caret   screen.Writing // where the cursor was last sent
	part    int            // what is heard or tried: a lick from 0, or chorus
	doubts  []placed       // about what was played and written down last
	saved   string         // the text as it was kept last
	abroad  bool           // it is open in the player's own editor
}

// A placed doubt is one about a note of a lick, both from 0; the note -1 is the lick as a
// whole.
type placed struct {
	lick, note int
	words      string
}

// place is where a doubt lies in the text as it is now; the zero Place while that has
// mistakes in it, or the note is gone.
func (d draft) place(o placed) lesson.Place {
	if !d.whole() || o.lick >= len(d.lesson.Licks) {
		return lesson.Place{}
	}
	notes := d.lesson.Licks[o.lick].Notes
	if o.note >= len(notes) {
		return lesson.Place{}
	}
	return notes[max(0, o.note)].At
}

// template is what a new lesson begins with.
const template = `title: My lesson
harp: C
position: 2
tempo: 80
feel: shuffle
form: slow change
words: What is it about? Write here what you would say.

lick: The first lick
bars: 1-2
words: And here what to watch.
-2:2 -3 -4:3 z:2 | -4 +4 -3 -2:3 z:2 |
`

// typed takes over what the player has typed.
func (s *stepper) typed(text string) {
	if text == s.draft.text {
		return
	}
	s.draft.book = read(s.draft.id, text, false)
	s.draft.part = s.draft.fit(s.draft.part)
	s.copied = ""
	s.do(Effect{Kind: SaveDraft, Text: text})
}

// rewrite puts another text into the field; what stood there can be brought back.
func (s *stepper) rewrite(text string) {
	if text == s.draft.text {
		return
	}
	before := s.draft.text
	s.draft.before = &before
	s.draft.version++
	s.draft.doubts = nil
	s.typed(text)
}

// fit is the part, or the first where the lesson has none such.
func (b book) fit(part int) int {
	if b.whole() && slices.Contains(b.parts(), part) {
		return part
	}
	if b.whole() && len(b.lesson.Licks) > 1 {
		return chorus
	}
	return 0
}

// send sends the cursor to a place in the text.
func (s *stepper) send(to lesson.Place) {
	c := &s.draft.caret
	c.Line, c.Column, c.Sent = max(1, to.Line), max(1, to.Column), c.Sent+1
}

// writeOn goes on with a lesson. What was being written is kept first, unless it is on the
// shelf already.
func (s *stepper) writeOn(b book) {
	s.view, s.copied = writing, ""
	id := b.id
	if b.demo {
		id = "" // another lesson of one's own
	}
	if s.draft.text == b.text {
		s.draft.id = id
		return
	}
	if s.unkept() {
		s.do(Effect{Kind: KeepLesson, ID: s.draft.id, Text: s.draft.text})
		s.tell(Notice{"kept", fmt.Sprintf("What you were writing, %q, is kept among your lessons.", s.draft.name())})
	}
	s.draft.id, s.draft.abroad = id, false
	s.rewrite(b.text)
	s.draft.saved = b.text
}

// unkept reports a text of the player's own that is on no shelf.
func (s *stepper) unkept() bool {
	text := strings.TrimSpace(s.draft.text)
	if text == "" || text == strings.TrimSpace(template) || s.draft.text == s.draft.saved {
		return false
	}
	for _, b := range s.books {
		if strings.TrimSpace(b.text) == text {
			return false
		}
	}
	return true
}

// load takes in a text from outside.
func (s *stepper) load(l Loaded) {
	switch {
	case l.Problem != "":
		s.tell(Notice{"file", l.Problem})
	case l.From == "": // what was being written when the program ended
		s.draft.book = read("", l.Text, false)
		s.draft.part = s.draft.fit(chorus)
		s.draft.version++
	default:
		s.writeOn(read("", l.Text, false))
		s.draft.saved = "" // not kept yet
		words := fmt.Sprintf("%s is in the field now. Keep it if you want to have it here.", l.From)
		if len(l.Remarks) > 0 {
			words += " Left out or moved: " + printed(strings.Join(l.Remarks, " "))
		}
		s.tell(Notice{"file", words})
	}
}

// nextBar is the first bar of the form after the last lick.
func (s *stepper) nextBar() int {
	if !s.draft.whole() {
		return 1
	}
	last := s.draft.lesson.Licks[len(s.draft.lesson.Licks)-1]
	return last.Bar + last.Bars
}

// ---- Changing key and tempo ----

// change rewrites the lesson as another that has only the value of a head line changed. The
// line is changed in place, so that the teacher's own notes and layout stay; only where that
// makes another lesson, as with chords by name, is all of it written anew.
func (s *stepper) change(key, value string, to lesson.Lesson) {
	want := lesson.Format(to)
	lines := strings.SplitAfter(s.draft.text, "\n")
	for i, line := range lines {
		name, rest, ok := strings.Cut(line, ":")
		if !ok || !strings.EqualFold(strings.TrimSpace(name), key) {
			continue
		}
		lines[i] = name + ": " + value + rest[len(strings.TrimRight(rest, "\r\n")):]
		text := strings.Join(lines, "")
		if got, problems := lesson.Parse(text); !lesson.Failed(problems) && lesson.Format(got) == want {
			s.rewrite(text)
			return
		}
		break
	}
	s.rewrite(want)
}

// ---- The screen ----

func (s *stepper) actWriting(a screen.Action) {
	if a.ID == "text" {
		s.typed(a.Value)
		return
	}
	if s.hearing(a) {
		return
	}
	if place, ok := s.pointed(a.ID); ok {
		s.send(place)
		return
	}
	d := &s.draft
	for i, b := range s.begins() {
		if a.ID == fmt.Sprintf("begin-%d", i+1) {
			s.writeOn(b)
			return
		}
	}
	switch a.ID {
	case "undo":
		if d.before != nil {
			s.rewrite(*d.before)
		}
		return
	case "record":
		s.view, s.copied = recording, ""
		return
	case "edit":
		s.edit()
		return
	case "read":
		s.do(Effect{Kind: ReadFile, Name: a.Name, Bytes: a.Bytes, Address: lesson.Address{Lesson: d.lesson}, Bar: s.nextBar()})
		return
	case "keep":
		s.do(Effect{Kind: KeepLesson, ID: d.id, Text: d.text})
		return
	case "mic":
		s.openMic()
		return
	case "back":
		s.view, s.copied = lessons, ""
		return
	case "stop-work":
		s.do(Effect{Kind: StopWork})
		return
	}
	if !d.whole() {
		return
	}
	switch a.ID {
	case "key":
		if k, err := harp.ParseKey(a.Value); err == nil && k != d.lesson.Key {
			s.change("harp", k.String(), lesson.Transpose(d.lesson, k))
		}
	case "tempo":
		if to, err := lesson.WithTempo(d.lesson, math.Round(a.Now)); err == nil && to.Tempo != d.lesson.Tempo {
			s.change("tempo", fmt.Sprintf("%g", to.Tempo), to)
		}
	case "part":
		for _, k := range d.parts() {
			if d.partName(k) == a.Value {
				d.part = k
			}
		}
	case "hear":
		s.lend()
		if err := s.build(); err != nil {
			s.tell(Notice{"drill", "This can not be played as a whole: " + err.Error() + "."})
			return
		}
		s.hear()
	case "try":
		s.lend()
		if s.openLick(d.part) {
			s.lender = writing
		}
	case "sheet":
		s.openSheet(writing, d.lesson)
	case "link":
		s.do(Effect{Kind: CopyLesson, Address: lesson.Address{Lesson: d.lesson}})
		s.copied = "Link copied. It holds the whole lesson."
	case "lick-link":
		s.do(Effect{Kind: CopyLesson, Address: lesson.Address{Lesson: d.lesson, Lick: d.part + 1}})
		s.copied = "Link to this part copied."
	case "frame":
		s.do(Effect{Kind: CopyFrame, Address: lesson.Address{Lesson: d.lesson, Lick: d.part + 1}})
		s.copied = "Frame code copied. Put it into your page where the lick should be."
	default:
		s.actSave(a, d.text, d.lesson)
	}
}

// lend opens the draft as the lesson that is played.
func (s *stepper) lend() {
	s.book = s.draft.book
	s.bookKey, s.bookTempo = nil, 0
	s.part = part{}
	s.lick, s.share, s.target = s.draft.part, 1, s.draft.lesson.Tempo
}

// begins are the lessons one can begin with.
func (s *stepper) begins() []book {
	all := []book{{text: template, demo: true}}
	for _, b := range s.books {
		if b.demo {
			all = append(all, b)
		}
	}
	return all
}

// mostProblems are shown at once; with the first put right, many others go.
const mostProblems = 8

// pointed is the place that a button of the list of problems and doubts leads to.
func (s *stepper) pointed(id string) (lesson.Place, bool) {
	for i, pr := range s.draft.problems {
		if id == fmt.Sprintf("problem-%d", i+1) && i < mostProblems {
			return pr.Place, true
		}
	}
	for i, d := range s.draft.doubts {
		if id == fmt.Sprintf("doubt-%d", i+1) {
			return s.draft.place(d), true
		}
	}
	return lesson.Place{}, false
}

// areaLines are the lines of text in sight: most of a laptop's window, and half of a
// phone's.
func (s *stepper) areaLines() int {
	switch {
	case !s.in.Page:
		return 0
	case s.in.Height < 700:
		return 11
	}
	return 18
}

func (s *stepper) showWriting(p *page) {
	d := s.draft
	p.Title = "Write a lesson - Reedwell"
	p.title("Write a lesson")
	s.notes(p)
	if s.demo || s.in.Run.Kind != Idle {
		s.showDemo(p, chart(s.drill, s.in.Width), s.in.Run)
		return
	}
	w := d.caret
	w.Version, w.Lines = d.version, s.areaLines()
	detail := "Plain text: lines with a name and a colon, then tab. -4 is 4 draw, +4 is 4 blow, -3' a half step down; :2 lasts twice as long, z is a rest, | ends a bar."
	label := "The lesson"
	if !s.in.Page {
		detail = "To change it, press Edit in your own editor. Each time you save there, it is read here again."
		w.Shown = annotated(d.text, d.problems)
		p.button("edit", "Edit in your own editor")
	}
	p.add(screen.Item{ID: "text", Role: screen.Area, Label: label, Detail: detail, Value: d.text, Writing: &w})
	p.Focus = "title" // a field that has the keyboard at once brings up that of a phone
	s.showProblems(p)
	from := len(p.Items)
	if d.before != nil {
		p.quiet("undo", "Bring back the text before")
	}
	p.button("record", "Record a lick")
	keep := "Keep among my lessons"
	if d.id != "" {
		keep = "Keep the changes"
	}
	p.add(screen.Item{ID: "keep", Role: screen.Button, Label: keep, Disabled: !s.unkept()})
	p.row(70, from)
	p.add(screen.Item{ID: "read", Role: screen.File, Label: "Read a file", Detail: "A text, a score, or a recording of a lick (WAV)."})
	if d.whole() {
		s.showTools(p)
	} else {
		s.showWork(p)
	}
	p.heading("h-begin", "Begin another lesson")
	p.styled("begin-what", screen.Quiet, "What you have written is kept among your lessons.")
	from = len(p.Items)
	for i, b := range s.begins() {
		label := "From " + b.name()
		if i == 0 {
			label = "A new one"
		}
		p.quiet(fmt.Sprintf("begin-%d", i+1), label)
	}
	p.row(75, from)
	p.quiet("back", "All lessons")
}

// pointer is the role of what leads to a place in the text: where that can not be changed
// there is no cursor to send.
func (s *stepper) pointer() screen.Role {
	if s.in.Page {
		return screen.Button
	}
	return screen.Text
}

// showProblems lists what is wrong with the text, or says that nothing is.
func (s *stepper) showProblems(p *page) {
	d := s.draft
	if strings.TrimSpace(d.text) == "" {
		p.text("state", "Nothing is written yet. Write or paste a lesson, record a lick, or begin with one of the lessons below.")
		return
	}
	errors, remarks := 0, 0
	for _, pr := range d.problems {
		if pr.Severity == lesson.Error {
			errors++
		} else {
			remarks++
		}
	}
	switch {
	case errors > 0:
		p.styled("state", screen.Off, fmt.Sprintf("%s to put right.", plural(errors, "mistake")))
		p.Live = fmt.Sprintf("%s to put right.", plural(errors, "mistake"))
	case remarks > 0:
		p.styled("state", screen.Good, fmt.Sprintf("It can be played. %s to look at.", plural(remarks, "remark")))
	default:
		p.styled("state", screen.Good, fmt.Sprintf("No mistakes: %s.", plural(len(d.lesson.Licks), "lick")))
		p.Live = "No mistakes."
	}
	for i, pr := range d.problems {
		if i == mostProblems {
			p.styled("more-problems", screen.Quiet, fmt.Sprintf("And %d more.", len(d.problems)-i))
			break
		}
		style, kind := screen.Off, "Mistake"
		if pr.Severity == lesson.Remark {
			style, kind = screen.Plain, "Remark"
		}
		where := "in the lesson"
		if pr.Line > 0 {
			where = fmt.Sprintf("line %d, column %d", pr.Line, pr.Column)
		}
		p.add(screen.Item{ID: fmt.Sprintf("problem-%d", i+1), Role: s.pointer(), Style: style,
			Label: fmt.Sprintf("%s, %s: %s", kind, where, printed(pr.Got)), Detail: "Right would be: " + printed(pr.Want) + "."})
	}
	if len(d.doubts) > 0 {
		p.heading("h-doubts", "Not sure about what you played")
		for i, o := range d.doubts {
			where, at := "", d.place(o)
			if at.Line > 0 {
				where = fmt.Sprintf("Line %d, column %d: ", at.Line, at.Column)
			}
			p.add(screen.Item{ID: fmt.Sprintf("doubt-%d", i+1), Role: s.pointer(), Label: where + o.words, Disabled: at.Line == 0})
		}
	}
}

// printed is a text of a file or a link as it can be shown: whole letters, no long one.
func printed(text string) string {
	text = strings.ToValidUTF8(text, "?")
	const most = 160
	if utf8.RuneCountInString(text) > most {
		text = string([]rune(text)[:most]) + " ..."
	}
	return text
}

// showTools is what can be done with a lesson that has no mistakes.
func (s *stepper) showTools(p *page) {
	d := s.draft
	l := d.lesson
	p.heading("h-change", "Move it")
	from := len(p.Items)
	p.add(screen.Item{ID: "key", Role: screen.Select, Label: "Key of harp", Detail: "The tab stays the same.", Options: keyNames(), Value: l.Key.String()})
	p.add(screen.Item{ID: "tempo", Role: screen.Slider, Label: "Tempo", Detail: "Beats a minute.", Min: drill.MinTempo, Max: drill.MaxTempo, Step: 1, Now: l.Tempo})
	p.row(71, from)
	p.heading("h-try", "Hear it, play it")
	var options []string
	for _, k := range d.parts() {
		options = append(options, d.partName(k))
	}
	p.add(screen.Item{ID: "part", Role: screen.Select, Label: "Which part", Options: options, Value: d.partName(d.part)})
	s.needMic(p, "To hear it you need the microphone: sound in and out run together.")
	from = len(p.Items)
	p.add(screen.Item{ID: "hear", Role: screen.Button, Label: "Hear it", Disabled: s.in.Sound.State != SoundOn})
	p.button("try", "Try it as a student")
	p.row(72, from)
	p.heading("h-out", "Give it away")
	from = len(p.Items)
	p.button("sheet", "See the sheet")
	p.button("link", "Copy a link to the lesson")
	if d.part != chorus {
		p.button("lick-link", "Copy a link to this lick")
	}
	if s.in.Page {
		p.button("frame", "Copy frame code")
	}
	p.row(73, from)
	s.showCopied(p)
	s.showSave(p)
}

// ---- Recording a lick ----

// A wish is how a lick is to be recorded.
type wish struct {
	set   bool // by the player; else as the lesson says
	tempo float64
	feel  int // of feels
	bars  int
}

// feels are the feels a lick can be recorded in.
func feels() []string { return []string{"Straight", "Shuffle", "12/8", "I am not sure"} }

func feelOf(i int) *lesson.Feel {
	switch i {
	case 0:
		return &lesson.Feel{Kind: lesson.Straight}
	case 1:
		return &lesson.Feel{Kind: lesson.Shuffle, Ratio: lesson.DefaultRatio}
	case 2:
		return &lesson.Feel{Kind: lesson.Triplet}
	}
	return nil
}

// Bounds of a recording; ours: slower than 40 nobody holds the beat, and twelve bars are a
// chorus.
const (
	recordSlow, recordQuick = 40, 180
	recordBars              = 12
)

// wishes is how a lick would be recorded now.
func (s *stepper) wishes() wish {
	if s.wish.set {
		return s.wish
	}
	w := wish{tempo: 80, feel: 1, bars: 2}
	if s.draft.whole() {
		w.tempo = math.Min(recordQuick, math.Max(recordSlow, math.Round(s.draft.lesson.Tempo)))
		w.feel = int(s.draft.lesson.Feel.Kind)
	}
	return w
}

// heardFeel is the feel that is meant: the lesson's own where it is of that kind.
func (s *stepper) heardFeel(w wish) *lesson.Feel {
	f := feelOf(w.feel)
	if f != nil && s.draft.whole() && s.draft.lesson.Feel.Kind == f.Kind {
		own := s.draft.lesson.Feel
		return &own
	}
	return f
}

// recordTail is how long it is listened after the last bar, in seconds: a last note may
// ring.
const recordTail = 1.0

// blank is a drill that asks for nothing: a count-in and a click.
func (s *stepper) blank(w wish) drill.Drill {
	h, position := s.settings.Harp(), harp.Position(2)
	if s.draft.whole() {
		h, _ = s.HarpOf(s.draft.lesson.Key)
		position = s.draft.lesson.Position
	}
	d := drill.Drill{ID: "record", Family: drill.Lick, Title: "Record a lick", Harp: h, Position: position, Tempo: w.tempo,
		BeatsPerBar: lesson.BeatsPerBar, Bars: w.bars, Swing: 1, CountIn: lesson.BeatsPerBar}
	if f := s.heardFeel(w); f != nil {
		d.Swing, d.Triplets = f.Swing(), f.Kind == lesson.Triplet
	}
	d.Seconds = d.Time(float64(w.bars*lesson.BeatsPerBar)) + recordTail
	return d
}

func (s *stepper) actRecording(a screen.Action) {
	if s.in.Run.Kind != Idle || s.waiting {
		if a.ID == "stop" {
			s.do(Effect{Kind: StopSound})
			s.waiting = false
		}
		return
	}
	w := s.wishes()
	switch a.ID {
	case "tempo":
		if !math.IsNaN(a.Now) {
			w.tempo = math.Round(math.Min(recordQuick, math.Max(recordSlow, a.Now)))
		}
	case "bars":
		if !math.IsNaN(a.Now) {
			w.bars = int(math.Min(recordBars, math.Max(1, math.Round(a.Now))))
		}
	case "feel":
		if i := slices.Index(feels(), a.Value); i >= 0 {
			w.feel = i
		}
	case "mic":
		s.openMic()
		return
	case "calibrate":
		s.goTo(measure)
		return
	case "start":
		if s.in.Sound.State == SoundOn {
			s.record(w)
		}
		return
	case "back":
		s.view = writing
		return
	default:
		return
	}
	w.set = true
	s.wish = w
}

// record starts a recording.
func (s *stepper) record(w wish) {
	s.drill, s.lick, s.demo, s.waiting, s.trace = s.blank(w), noLick, false, true, nil
	h := s.drill.Harp
	s.do(Effect{
		Kind: StartTake, Drill: s.drill, RoundTrip: s.delay.Seconds, Display: true, Speaker: !s.settings.Phones, Check: s.unchecked(),
		Write: &write.Options{Harp: h, Position: s.drill.Position, Tempo: w.tempo, Beat0: s.drill.Time(0), Feel: s.heardFeel(w), Bar: s.nextBar()},
	})
}

func (s *stepper) showRecording(p *page) {
	p.Title = "Record a lick - Reedwell"
	p.title("Record a lick")
	run := s.in.Run
	if run.Kind != Idle || s.waiting {
		c, h := chart(s.drill, s.in.Width), comb(s.drill.Harp)
		s.cursor(c, h, run)
		c.Trace, h.Beads = s.trace, s.beads(nil)
		words := countWords(c, run)
		if run.Kind == Writing {
			words = "Writing it down ..."
		}
		p.text("count", words)
		p.chart(near(c, s.in.Width), plural(s.drill.Bars, "bar")+" to play in")
		p.comb(h, "What you play")
		p.add(screen.Item{ID: "stop", Role: screen.Button, Style: screen.Primary, Label: "Stop", Disabled: run.Kind == Writing})
		p.Focus = "stop"
		return
	}
	s.notes(p)
	w := s.wishes()
	key := s.blank(w).Harp.Key.String()
	p.text("what", fmt.Sprintf("Play a lick on %s %s harp after four clicks. It is written down as the next lick of your lesson, for you to correct. Where it is not sure it says so.", article(key), key))
	p.add(screen.Item{ID: "tempo", Role: screen.Slider, Label: "Tempo", Detail: "Beats a minute.", Min: recordSlow, Max: recordQuick, Step: 1, Now: w.tempo})
	p.add(screen.Item{ID: "feel", Role: screen.Select, Label: "Feel", Options: feels(), Value: feels()[w.feel]})
	p.add(screen.Item{ID: "bars", Role: screen.Slider, Label: "Bars", Min: 1, Max: recordBars, Step: 1, Now: float64(w.bars)})
	s.doubts(p)
	s.showDelay(p)
	s.needMic(p, "To record you need the microphone.")
	from := len(p.Items)
	if s.in.Sound.State == SoundOn {
		p.primary("start", "Record")
	}
	p.quiet("back", "Back to the lesson")
	p.row(74, from)
	if p.Focus == "" {
		p.Focus = "back"
	}
}

// writeDown puts what was played at the end of the lesson.
func (s *stepper) writeDown(w Written) {
	s.waiting = false
	if w.Problem != "" {
		s.tell(Notice{"record", w.Problem})
		return
	}
	// The head decides how lengths are written; where it has mistakes, as if it said nothing.
	l := s.draft.lesson
	if !s.draft.whole() {
		l, _ = lesson.Parse(template)
		l.Feel = w.Report.Feel
	}
	k := w.Lick
	k.Title = fmt.Sprintf("Lick %d", len(s.draft.lesson.Licks)+1)
	if s.draft.whole() {
		last := l.Licks[len(l.Licks)-1]
		if n := last.Notes[len(last.Notes)-1]; lesson.Ticks(last.Bar-k.Bar)*lesson.Bar+n.End() > -k.Pickup {
			k.Bar++ // what leads into it would fall into the lick before
		}
	}
	l.Licks = []lesson.Lick{k}
	_, section, _ := strings.Cut(lesson.Format(l), "\nlick:")
	text := strings.TrimRight(s.draft.text, "\n")
	if strings.TrimSpace(text) == "" {
		text = strings.TrimRight(headOf(s.settings.Key, w.Report), "\n")
	}
	line := strings.Count(text, "\n") + 3
	s.rewrite(text + "\n\nlick:" + section)
	s.forget("record")
	switch s.view {
	case recording, lessons:
		s.view = writing
	}
	s.send(lesson.Place{Line: line, Column: 1})
	if s.draft.whole() {
		s.draft.part = len(s.draft.lesson.Licks) - 1
		for _, d := range w.Doubts {
			s.draft.doubts = append(s.draft.doubts, placed{s.draft.part, d.Note, printed(d.String())})
		}
		if f := s.draft.lesson.Feel; f.Kind != w.Report.Feel.Kind {
			s.tell(Notice{"feel", fmt.Sprintf("You played it %s, and the lesson is %s.", feelWords(w.Report.Feel), feelWords(f))})
		}
	}
}

func feelWords(f lesson.Feel) string {
	switch f.Kind {
	case lesson.Shuffle:
		return "as a shuffle"
	case lesson.Triplet:
		return "in 12/8"
	}
	return "straight"
}

// headOf is the head of a lesson that begins with a recording.
func headOf(key harp.Key, r write.Report) string {
	tempo := math.Min(drill.MaxTempo, math.Max(drill.MinTempo, math.Round(r.Tempo)))
	return fmt.Sprintf("title: My lesson\nharp: %s\nposition: 2\ntempo: %g\nfeel: %s\nform: slow change\n", key, tempo, r.Feel)
}
