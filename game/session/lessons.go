package session

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"reedwell/game/screen"
	"reedwell/game/shelf"
	"reedwell/levels/clip"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/player"
	"reedwell/levels/sheet"
)

// A book is a lesson that was read: to be shown and played.
type book struct {
	id       string // on the shelf; empty: not there
	demo     bool
	text     string
	lesson   lesson.Lesson
	problems []lesson.Problem
	keys     []string // under which the licks, and then the chorus, are kept; nil: the text has mistakes
}

// read makes a book of a text.
func read(id, text string, demo bool) book {
	b := book{id: id, demo: demo, text: text}
	b.lesson, b.problems = lesson.Parse(text)
	if !lesson.Failed(b.problems) {
		for i := range b.lesson.Licks {
			b.keys = append(b.keys, shelf.LickKey(b.lesson, i))
		}
		b.keys = append(b.keys, shelf.ChorusKey(b.lesson))
	}
	return b
}

// whole reports a lesson that can be played.
func (b book) whole() bool { return b.keys != nil }

// name is the lesson's title, also of one that has mistakes in it.
func (b book) name() string {
	if b.whole() {
		return b.lesson.Title
	}
	for line := range strings.Lines(b.text) {
		if key, title, ok := strings.Cut(line, ":"); ok && strings.EqualFold(strings.TrimSpace(key), "title") && strings.TrimSpace(title) != "" {
			return fmt.Sprintf("%.80s", strings.ToValidUTF8(strings.TrimSpace(title), "?"))
		}
	}
	return "A lesson without a title"
}

// Which part of a lesson is open, besides the number of a lick from 0.
const (
	chorus = -1 // all licks in their places
	noLick = -2 // none: a drill of the path is open
)

// stock takes in the lessons at hand.
func (s *stepper) stock(have Shelf) {
	s.books, s.licks = nil, have.Licks
	for _, l := range have.Lessons {
		s.books = append(s.books, read(l.ID, l.Text, l.Demo))
	}
}

// openBook shows a lesson.
func (s *stepper) openBook(b book) {
	s.book, s.dropping, s.copied = b, false, ""
	s.lick, s.bookTempo, s.bookKey = noLick, 0, nil
	s.view = reading
}

// key is the key of the harp the open lesson is played on.
func (s *stepper) key() harp.Key {
	if s.bookKey != nil {
		return *s.bookKey
	}
	return s.book.lesson.Key
}

// address is the open lesson with a part of it, as it is set now.
func (s *stepper) address(lick int) lesson.Address {
	a := lesson.Address{Lesson: lesson.Transpose(s.book.lesson, s.key())}
	switch {
	case lick >= 0:
		a.Lick = lick + 1
	case lick == chorus:
		a.Lick = lesson.AllLicks
	}
	return a
}

// openLick shows a part of the open lesson to practise.
func (s *stepper) openLick(lick int) bool {
	s.lick, s.share, s.copied, s.title = lick, 1, "", ""
	s.part = part{}
	s.target = s.book.lesson.Tempo
	if s.bookTempo != 0 {
		s.target = s.bookTempo
	}
	if err := s.build(); err != nil {
		s.tell(Notice{"drill", "This can not be played as a whole: " + err.Error() + "."})
		s.lick = noLick
		return false
	}
	s.view, s.take, s.trace = practice, nil, nil
	s.display = true
	return true
}

// MaxTake is the longest take of a lesson in seconds: four choruses of a quick blues. Making
// its sound takes some 70 ms a second in a browser, during which the page stands still, and
// 200 kB of memory. Our choice.
const MaxTake = 240.0

// lickDrill is the drill of the open lick at a tempo. It is measured on the player's own harp of
// the lesson's key: by its reeds where they are known, else by tuning and pitch where the lesson asks for none of its own.
func (s *stepper) lickDrill(tempo float64) (drill.Drill, error) {
	l := lesson.Transpose(s.book.lesson, s.key())
	h, measured := s.HarpOf(s.key())
	if measured || l.Tuning == harp.Equal {
		l.Tuning = h.Tuning
	}
	p := lesson.Play{Tempo: tempo, Profile: h.Profile}
	if measured || l.A4 == 0 {
		p.A4 = h.A4
	}
	var d drill.Drill
	var err error
	if s.lick == chorus {
		d, err = l.Chorus(p)
	} else {
		d, err = l.Drill(s.lick, p)
	}
	if err == nil && d.Seconds > MaxTake {
		err = fmt.Errorf("it lasts %.0f seconds at %.0f beats a minute, and a take at most %.0f", d.Seconds, d.Tempo, MaxTake)
	}
	return d, err
}

// touches are how the demonstration of the open lick colours its notes.
func (s *stepper) touches() []player.Touch {
	switch {
	case s.lick == noLick:
		return nil
	case s.lick == chorus:
		return clip.ChorusTouches(s.book.lesson, s.drill)
	}
	return clip.LickTouches(s.book.lesson, s.drill, s.lick)
}

// lickKey is the name under which the open lick is kept; empty for a drill of the path.
func (s *stepper) lickKey() string {
	switch {
	case s.lick == noLick:
		return ""
	case s.lick == chorus:
		return s.book.keys[len(s.book.keys)-1]
	}
	return s.book.keys[s.lick]
}

// lickAfter is the part of the lesson that follows the open one: the next lick, and after
// the last the whole chorus.
func (s *stepper) lickAfter() (lick int, ok bool) {
	switch n := len(s.book.lesson.Licks); {
	case s.lick < 0 || n == 1:
		return 0, false
	case s.lick == n-1:
		return chorus, true
	}
	return s.lick + 1, true
}

// partName is what a part of a lesson is called.
func (b book) partName(lick int) string {
	if lick == chorus {
		return "The whole chorus"
	}
	return fmt.Sprintf("%d. %s", lick+1, b.lesson.Licks[lick].Title)
}

// parts are the parts of a lesson in their order: the licks, and the chorus where there is
// more than one.
func (b book) parts() []int {
	var all []int
	for i := range b.lesson.Licks {
		all = append(all, i)
	}
	if len(all) > 1 {
		all = append(all, chorus)
	}
	return all
}

// mark is how a part of the lesson went so far, in words; empty when it was never played.
func (s *stepper) mark(b book, lick int) (words string, passed bool) {
	key := b.keys[len(b.keys)-1]
	if lick >= 0 {
		key = b.keys[lick]
	}
	r, ok := s.licks[key]
	if !ok {
		return "", false
	}
	return recordWords(r), r.Best.Passed
}

// recordWords says how a lick went.
func recordWords(r shelf.Record) string {
	one := func(m shelf.Mark) string {
		// Rounded down, as on the screen of a result: 79.9 is not 80.
		return fmt.Sprintf("%.0f %% at %.0f", math.Floor(m.Share*100+1e-9), m.Tempo)
	}
	if r.Takes == 1 {
		return "Played once: " + one(r.Last) + "."
	}
	words := "Last: " + one(r.Last) + "."
	if r.Best != r.Last {
		if r.Best.Passed {
			words += " Best good take: "
		} else {
			words += " Best: "
		}
		words += one(r.Best) + "."
	}
	return words
}

// facts is what a lesson is for, in a line.
func facts(l lesson.Lesson, key harp.Key) string {
	name := key.String()
	feel := l.Feel.String()
	return fmt.Sprintf("%s harp, %s: key of %s. %s, %g beats a minute.", strings.ToUpper(name[:1])+name[1:],
		l.Position.Name(), key.Song(l.Position), strings.ToUpper(feel[:1])+feel[1:], l.Tempo)
}

// bars names bars of a form.
func bars(k lesson.Lick) string {
	switch k.Bars {
	case 1:
		return fmt.Sprintf("Bar %d", k.Bar)
	case 2:
		return fmt.Sprintf("Bars %d and %d", k.Bar, k.Bar+1)
	}
	return fmt.Sprintf("Bars %d to %d", k.Bar, k.Bar+k.Bars-1)
}

// ---- All lessons ----

func (s *stepper) actLessons(a screen.Action) {
	if id, ok := strings.CutPrefix(a.ID, "lesson-"); ok {
		for _, b := range s.books {
			if b.id == id {
				s.openOrWrite(b)
			}
		}
		return
	}
	switch a.ID {
	case "brought":
		if s.brought != nil {
			s.openBook(*s.brought)
		}
	case "write":
		s.view, s.copied = writing, ""
	case "class":
		s.openClass()
	case "read":
		s.do(Effect{Kind: ReadFile, Name: a.Name, Bytes: a.Bytes, Address: lesson.Address{Lesson: s.draft.lesson}, Bar: s.nextBar()})
	case "back":
		s.view = path
	}
}

// openOrWrite opens a lesson; one with mistakes in it can only be written on.
func (s *stepper) openOrWrite(b book) {
	if b.whole() {
		s.openBook(b)
		return
	}
	s.writeOn(b)
}

func (s *stepper) showLessons(p *page) {
	p.Title = "Lessons - Reedwell"
	p.title("Lessons")
	s.notes(p)
	p.text("what", "A lesson is a tune cut into licks. Practise each lick by itself, then all of them over the whole form.")
	if s.brought != nil {
		p.heading("h-brought", "From your link")
		s.showBook(p, "brought", *s.brought)
	}
	groups := [2][]book{}
	for _, b := range s.books {
		if b.demo {
			groups[1] = append(groups[1], b)
		} else {
			groups[0] = append(groups[0], b)
		}
	}
	for i, head := range []string{"Kept by you", "To begin with"} {
		if len(groups[i]) == 0 {
			continue
		}
		p.heading(fmt.Sprintf("h-%d", i), head)
		for _, b := range groups[i] {
			s.showBook(p, "lesson-"+b.id, b)
		}
	}
	p.heading("h-write", "For teachers")
	from := len(p.Items)
	label := "Write a lesson"
	if strings.TrimSpace(s.draft.text) != "" {
		label = "Go on writing"
	}
	p.button("write", label)
	p.button("class", "Students' weeks")
	p.row(60, from)
	p.add(screen.Item{ID: "read", Role: screen.File, Label: "Read a lesson from a file", Detail: "A text, a score or a recording."})
	s.showWork(p)
	p.quiet("back", home)
	p.Focus = "title"
}

func (s *stepper) showBook(p *page, id string, b book) {
	it := screen.Item{ID: id, Role: screen.Button, Label: b.name()}
	if !b.whole() {
		it.Detail = "Not finished: it has mistakes in it."
		p.add(it)
		return
	}
	l := b.lesson
	good := 0
	for i := range l.Licks {
		if _, passed := s.mark(b, i); passed {
			good++
		}
	}
	it.Detail = facts(l, l.Key) + " " + plural(len(l.Licks), "lick")
	switch {
	case good == len(l.Licks):
		it.Style = screen.Good
		it.Detail += ", a good take of each."
	case good > 0:
		it.Detail += fmt.Sprintf(", a good take of %d.", good)
	default:
		it.Detail += "."
	}
	p.add(it)
}

// ---- One lesson ----

func (s *stepper) actReading(a screen.Action) {
	if s.hearing(a) {
		return
	}
	part := func(prefix string) (int, bool) {
		rest, ok := strings.CutPrefix(a.ID, prefix)
		if !ok {
			return 0, false
		}
		for _, k := range s.book.parts() {
			if rest == partID(k) {
				return k, true
			}
		}
		return 0, false
	}
	if k, ok := part("play-"); ok {
		s.openLick(k)
		return
	}
	if k, ok := part("hear-"); ok {
		if s.openLick(k) {
			s.hear()
		}
		return
	}
	if a.ID != "drop" && a.ID != "really-drop" {
		s.dropping = false
	}
	switch a.ID {
	case "mic":
		s.openMic()
	case "my-harp":
		k := s.settings.Key
		s.bookKey = &k
	case "as-written":
		s.bookKey = nil
	case "sheet":
		s.openSheet(reading, lesson.Transpose(s.book.lesson, s.key()))
	case "keep":
		s.do(Effect{Kind: KeepLesson, Text: s.book.text})
	case "change":
		s.writeOn(s.book)
	case "drop":
		s.dropping = true
	case "keep-it":
		s.dropping = false
	case "really-drop":
		if s.dropping {
			s.do(Effect{Kind: DropLesson, ID: s.book.id})
			s.dropping = false
			s.view = lessons
		}
	case "link":
		s.do(Effect{Kind: CopyLesson, Address: s.address(chorus)})
		s.copied = "Link copied."
	default:
		if s.actSave(a, s.book.text, lesson.Transpose(s.book.lesson, s.key())) {
			return
		}
		if a.ID == "back" {
			s.view = lessons
		}
	}
}

// partID names a part of a lesson in the items of a screen.
func partID(lick int) string {
	if lick == chorus {
		return "chorus"
	}
	return fmt.Sprint(lick + 1)
}

func (s *stepper) showReading(p *page) {
	b := s.book
	l := b.lesson
	p.Title = l.Title + " - Reedwell"
	p.title(l.Title)
	s.notes(p)
	p.styled("which", screen.Quiet, facts(l, s.key()))
	for i, line := range strings.Split(l.Words, "\n") {
		if line != "" {
			p.text(fmt.Sprintf("words-%d", i+1), line)
		}
	}
	mine, key := s.settings.Key.String(), s.key()
	if key != l.Key {
		p.text("moved", fmt.Sprintf("Moved to %s %s harp. The tab stays the same; the song is in %s now.", article(key.String()), key, key.Song(l.Position)))
	}
	if key != s.settings.Key {
		p.styled("other-harp", screen.Note, fmt.Sprintf("Take %s %s harp. Yours is set to %s.", article(key.String()), key, mine))
		p.button("my-harp", "Play it on my "+mine+" harp")
	}
	if key != l.Key {
		p.button("as-written", fmt.Sprintf("Back to %s %s harp", article(l.Key.String()), l.Key))
	}
	s.needMic(p, "To play or hear a lick you need the microphone.")
	p.heading("h-licks", "Practise")
	next := ""
	for _, k := range b.parts() {
		words, passed := s.mark(b, k)
		it := screen.Item{ID: "play-" + partID(k), Role: screen.Button, Label: b.partName(k)}
		if k == chorus {
			it.Detail = "All licks in their places, over the band."
		} else {
			it.Detail = bars(l.Licks[k]) + "."
		}
		if words != "" {
			it.Detail += " " + words
		}
		if passed {
			it.Style = screen.Good
		} else if next == "" {
			next = it.ID
		}
		hear := "Hear all"
		if k >= 0 {
			hear = fmt.Sprintf("Hear %d", k+1)
		}
		from := len(p.Items)
		p.add(it)
		if s.in.Sound.State == SoundOn { // else nothing can sound
			p.add(screen.Item{ID: "hear-" + partID(k), Role: screen.Button, Style: screen.Quiet, Label: hear, Narrow: true})
			p.row(100+from, from)
		}
	}
	p.Focus = next
	if next == "" {
		p.Focus = "play-1"
	}
	p.heading("h-more", "This lesson")
	from := len(p.Items)
	p.button("sheet", "See the sheet")
	p.button("link", "Copy a link")
	switch {
	case b.id == "" || b.demo:
		p.button("keep", "Keep it")
	}
	p.button("change", "Change it")
	p.row(61, from)
	s.showCopied(p)
	s.showSave(p)
	if b.id != "" && !b.demo {
		if s.dropping {
			p.styled("sure", screen.Warning, "Delete this lesson from this device? Its text can not be brought back. How you played its licks is kept.")
			from := len(p.Items)
			p.button("really-drop", "Delete it")
			p.button("keep-it", "Keep it")
			p.row(62, from)
		} else {
			p.quiet("drop", "Delete this lesson")
		}
	}
	p.quiet("back", "All lessons")
}

// showCopied says that something was copied.
func (s *stepper) showCopied(p *page) {
	if s.copied != "" {
		p.styled("copied", screen.Good, s.copied)
		p.Live = s.copied
	}
}

// needMic asks for the microphone where it is off; sound in and out run together.
func (s *stepper) needMic(p *page, why string) {
	switch s.in.Sound.State {
	case SoundOn:
		return
	case SoundOpening:
		p.waiting()
		return
	}
	from := len(p.Items)
	if !s.showAsleep(p) {
		p.styled("no-mic", screen.Note, why)
	}
	p.add(screen.Item{ID: "mic", Role: screen.Button, Style: screen.Quiet, Label: "Turn it on", Narrow: true})
	p.row(85, from)
}

// hear sounds the drill that is open, if it can.
func (s *stepper) hear() {
	if s.in.Sound.State != SoundOn || s.in.Run.Kind != Idle {
		return
	}
	s.demo = true
	s.trace = nil
	s.do(Effect{Kind: PlayDemo, Drill: s.drill, Touches: s.touches(), RoundTrip: s.delay.Seconds})
}

// hearing handles the one thing that can be done while something sounds.
func (s *stepper) hearing(a screen.Action) bool {
	if !s.demo && s.in.Run.Kind == Idle {
		return false
	}
	if a.ID == "stop" {
		s.do(Effect{Kind: StopSound})
		s.demo = false
		return true
	}
	return false
}

// ---- Saving ----

// formats are what a lesson can be saved as, in the order of Format.
func formats() []string {
	return []string{"Everything, in one file", "The text", "The sheet (PDF)", "The clips and the band (WAV)", "The notes, for a sequencer (MIDI)", "The notes, for a score (MusicXML)", "The notes, as ABC"}
}

// actSave handles the items of showSave.
func (s *stepper) actSave(a screen.Action, text string, l lesson.Lesson) bool {
	switch a.ID {
	case "format":
		if i := slices.Index(formats(), a.Value); i >= 0 {
			s.format = Format(i)
		}
	case "save":
		if s.in.Work.What == "" {
			s.do(Effect{Kind: SaveLesson, Address: lesson.Address{Lesson: l}, Text: text, Format: s.format, Paper: s.paper})
		}
	case "stop-work":
		s.do(Effect{Kind: StopWork})
	default:
		return false
	}
	return true
}

func (s *stepper) showSave(p *page) {
	if s.in.Work.What != "" {
		s.showWork(p)
		return
	}
	p.add(screen.Item{ID: "format", Role: screen.Select, Label: "Save on this device", Options: formats(), Value: formats()[s.format]})
	p.button("save", "Save")
}

// showWork shows how far something is that takes a while.
func (s *stepper) showWork(p *page) {
	w := s.in.Work
	if w.What == "" {
		return
	}
	p.add(screen.Item{ID: "work", Role: screen.Meter, Label: w.What, Min: 0, Max: math.Max(1, float64(w.Of)), Now: float64(w.Done), Unit: fmt.Sprintf("of %d", w.Of), Step: 1})
	p.quiet("stop-work", "Stop that")
}

// ---- The sheet ----

// openSheet shows a lesson on paper.
func (s *stepper) openSheet(from view, l lesson.Lesson) {
	s.sheetOf, s.sheetFrom, s.pages = l, from, nil
	s.view = paper
	s.do(Effect{Kind: MakeSheet, Address: lesson.Address{Lesson: l}, Paper: s.paper})
}

// papers are the papers in the order of sheet.Paper.
func papers() []string { return []string{"A4", "Letter"} }

func (s *stepper) actPaper(a screen.Action) {
	switch a.ID {
	case "paper-size":
		if i := slices.Index(papers(), a.Value); i >= 0 && sheet.Paper(i) != s.paper {
			s.paper = sheet.Paper(i)
			s.pages = nil
			s.do(Effect{Kind: MakeSheet, Address: lesson.Address{Lesson: s.sheetOf}, Paper: s.paper})
		}
	case "print":
		if s.laid() {
			s.do(Effect{Kind: PrintSheet})
		}
	case "save-sheet":
		if s.laid() {
			s.do(Effect{Kind: SaveLesson, Address: lesson.Address{Lesson: s.sheetOf}, Format: AsSheet, Paper: s.paper})
		}
	case "back":
		s.view = s.sheetFrom
	}
}

// laid reports that the sheet is there.
func (s *stepper) laid() bool { return s.pages != nil && s.pages.Problem == "" }

func (s *stepper) showPaper(p *page) {
	p.Title = "Sheet: " + s.sheetOf.Title + " - Reedwell"
	p.title("The sheet of " + s.sheetOf.Title)
	s.notes(p)
	from := len(p.Items)
	if s.in.Page {
		p.add(screen.Item{ID: "print", Role: screen.Button, Style: screen.Primary, Label: "Print it", Disabled: !s.laid()})
	}
	p.add(screen.Item{ID: "save-sheet", Role: screen.Button, Label: "Save it as PDF", Disabled: !s.laid()})
	p.quiet("back", "Back")
	p.row(63, from)
	p.Focus = "title"
	p.add(screen.Item{ID: "paper-size", Role: screen.Select, Label: "Paper", Options: papers(), Value: papers()[s.paper]})
	switch {
	case s.pages == nil:
		p.text("wait", "Setting the pages ...")
	case s.pages.Problem != "":
		p.styled("problem", screen.Warning, s.pages.Problem)
		p.Alert = s.pages.Problem
	default:
		for i, page := range s.pages.Pages {
			p.add(screen.Item{ID: fmt.Sprintf("page-%d", i+1), Role: screen.Image, Label: fmt.Sprintf("Page %d of %d of the sheet", i+1, len(s.pages.Pages)), Picture: page})
		}
	}
}
