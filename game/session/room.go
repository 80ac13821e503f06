package session

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"reedwell/audio/listen"
	"reedwell/game/screen"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/room"
)

// A Roomed is free playing that is over.
type Roomed struct {
	Setting room.Setting
	Report  room.Report
	Rate    int
	Frames  []listen.Frame // At counted from the count-in's first click
	Problem string         // not empty: nothing was heard, and why
	Cut     string         // not empty: cut off, and why
	Lost    float64        // seconds of sound the device lost
	Moved   bool           // the round trip moved meanwhile
}

// A jam is the twelve-bar room.
type jam struct {
	set      bool // by the player
	form     int  // of lesson.Forms
	feel     int  // of roomFeels
	position harp.Position
	tempo    float64
	choruses int

	read string // the chords of the form, to be read out

	after  *Roomed
	said   []string     // of it
	loud   bool         // it overdrove the microphone
	bars   [][]room.Bar // of each chorus
	chorus int          // that is shown, from 0
}

// roomFeels are the feels of the band, as they are named to be chosen.
func roomFeels() []string { return []string{"Straight", "Shuffle", "12/8"} }

func formNames() []string {
	var all []string
	for _, f := range lesson.Forms() {
		all = append(all, strings.ToUpper(f.Name[:1])+f.Name[1:])
	}
	return all
}

// The tempi that can be chosen, and what a room is at first: a slow change in a shuffle, as it is taught first
// (common practice, no source).
const (
	roomSlow, roomQuick = 44, 180
	roomTempo           = 80
)

// jammed is how the room is set now.
func (s *stepper) jammed() jam {
	j := s.jam
	if !j.set {
		j.form, j.feel, j.position, j.tempo, j.choruses = 0, int(lesson.Shuffle), 2, roomTempo, 1
	}
	return j
}

// setting is what the band plays, on the player's own harp.
func (s *stepper) setting(j jam) room.Setting {
	set := room.Setting{Harp: s.settings.Harp(), Position: j.position, Form: lesson.Forms()[j.form], Tempo: j.tempo, Choruses: j.choruses}
	set.Feel = *feelOf(j.feel)
	return set
}

// enter opens the room.
func (s *stepper) enter() {
	s.view, s.copied = choosing, ""
	s.seat()
}

// seat makes the drill of the room the open one: the form, with nothing asked.
func (s *stepper) seat() {
	set := s.setting(s.jammed())
	s.drill, s.lick, s.part, s.title, s.demo = set.Drill(), noLick, part{}, "", false
	s.jam.read = formWords(set, s.drill)
}

// walkOut stops the band.
func (s *stepper) walkOut() {
	s.do(Effect{Kind: StopSound})
	s.view = choosing
}

func (s *stepper) actChoosing(a screen.Action) {
	j := s.jammed()
	names := positionNames(s.settings.Key)
	switch a.ID {
	case "key":
		s.chooseHarp(a)
		s.seat()
		return
	case "form":
		if i := slices.Index(formNames(), a.Value); i >= 0 {
			j.form = i
		}
	case "feel":
		if i := slices.Index(roomFeels(), a.Value); i >= 0 {
			j.feel = i
		}
	case "position":
		if i := slices.Index(names, a.Value); i >= 0 {
			j.position = harp.Positions()[i]
		}
	case "tempo":
		if !math.IsNaN(a.Now) {
			j.tempo = math.Round(math.Min(roomQuick, math.Max(roomSlow, a.Now)))
		}
	case "choruses":
		if !math.IsNaN(a.Now) {
			j.choruses = int(math.Round(math.Min(room.MaxChoruses, math.Max(1, a.Now))))
		}
	case "play":
		if s.in.Sound.State == SoundOn && s.in.Run.Kind == Idle {
			s.strikeUp()
		}
		return
	case "mic":
		s.openMic()
		return
	case "calibrate":
		s.goTo(measure)
		return
	case "back":
		s.view = path
		return
	default:
		return
	}
	for j.choruses > 1 && s.setting(j).Validate() != nil { // longer than a take may be
		j.choruses--
	}
	j.set = true
	s.jam = j
	s.seat()
}

// strikeUp has the band begin.
func (s *stepper) strikeUp() {
	s.seat()
	s.view, s.trace, s.jam.after = jamming, nil, nil
	s.earlier = s.in.Sound.Opened
	set := s.setting(s.jammed())
	s.do(Effect{Kind: StartTake, Drill: s.drill, RoundTrip: s.delay.Seconds, Display: true, Speaker: !s.settings.Phones, Check: s.unchecked(), Room: &set})
}

func positionNames(k harp.Key) []string {
	var all []string
	for _, p := range harp.Positions() {
		all = append(all, fmt.Sprintf("%s, key of %s", p.Name(), k.Song(p)))
	}
	return all
}

// verse is chorus k of the room, from 0, as a chart of the form.
func (s *stepper) verse(set room.Setting, c *screen.Chart, k int) *screen.Chart {
	n := len(set.Form.Bars)
	if c.Bars <= n {
		return c
	}
	return excerpt(c, k*n, n)
}

// formWords read the chords of a form out.
func formWords(set room.Setting, d drill.Drill) string {
	var bars []string
	for b := range len(set.Form.Bars) {
		var names []string
		for _, c := range d.Chords {
			if from := float64(b * lesson.BeatsPerBar); c.Beat >= from && c.Beat < from+lesson.BeatsPerBar {
				names = append(names, c.Name)
			}
		}
		bars = append(bars, strings.Join(names, " and "))
	}
	return plural(len(bars), "bar") + ": " + strings.Join(bars, "; ")
}

func (s *stepper) showChoosing(p *page) {
	j := s.jammed()
	set := s.setting(j)
	p.Title = roomName + " - Reedwell"
	p.title(roomName)
	s.notes(p)
	p.text("what", "Play what you like over the band. Nothing is asked and nothing is marked. Afterwards you see how your notes sat with the chords and the beat.")
	s.showKey(p)
	names := positionNames(s.settings.Key)
	p.add(screen.Item{ID: "position", Role: screen.Select, Label: "Position", Options: names, Value: names[slices.Index(harp.Positions(), j.position)]})
	p.add(screen.Item{ID: "form", Role: screen.Select, Label: "Form", Options: formNames(), Value: formNames()[j.form]})
	p.add(screen.Item{ID: "feel", Role: screen.Select, Label: "Feel", Options: roomFeels(), Value: roomFeels()[j.feel]})
	p.add(screen.Item{ID: "tempo", Role: screen.Slider, Label: "Tempo", Detail: "Beats a minute.", Min: roomSlow, Max: roomQuick, Step: 1, Now: j.tempo})
	p.add(screen.Item{ID: "choruses", Role: screen.Slider, Label: "Choruses", Detail: "Times round the form: " + long(s.drill.Seconds) + ".", Min: 1, Max: room.MaxChoruses, Step: 1, Now: float64(j.choruses)})
	s.doubts(p)
	s.showDelay(p)
	s.needMic(p, "To play you need the microphone.")
	from := len(p.Items)
	if s.in.Sound.State == SoundOn {
		p.primary("play", "Play")
	}
	p.quiet("back", home)
	p.row(81, from)
	c := s.verse(set, chart(s.drill, s.in.Width), 0)
	c.PerRow = 4 // nothing but chords, on a phone too
	p.chart(c, s.jam.read)
	if p.Focus == "" {
		p.Focus = "back"
	}
}

// long is a length of time in words.
func long(seconds float64) string {
	n := int(math.Round(seconds))
	if n < 60 {
		return plural(n, "second")
	}
	return fmt.Sprintf("%s %s", plural(n/60, "minute"), plural(n%60, "second"))
}

func (s *stepper) actJamming(a screen.Action) {
	switch {
	case a.ID == "leave":
		s.walkOut()
	case a.ID == "stop" && s.in.Run.Kind == Recording && s.in.Run.Seconds > s.drill.Time(1):
		s.do(Effect{Kind: EndTake})
	case a.ID == "stop" && s.in.Run.Kind != Writing:
		s.walkOut()
	}
}

func (s *stepper) showJamming(p *page) {
	set := s.setting(s.jammed())
	p.Title = "Playing - Reedwell"
	p.title(roomName)
	run := s.in.Run
	beat := math.Inf(-1)
	if run.Kind == Recording && run.Seconds >= 0 {
		beat = s.drill.BeatAt(run.Seconds)
	}
	k := min(max(0, int(math.Floor(beat/float64(set.Beats())))), set.Choruses-1)
	whole := chart(s.drill, s.in.Width)
	whole.Trace = s.trace
	if !math.IsInf(beat, 0) {
		whole.Cursor = beat
	}
	c := s.verse(set, whole, k)
	c.CountIn = countIn(s.drill, beat)
	words := countWords(c, run)
	switch {
	case run.Kind == Writing:
		words = "Looking at it ..."
	case run.Kind == Recording && beat >= 0:
		words = s.whereabouts(set, beat, k)
	}
	p.text("count", words)
	p.chart(near(c, s.in.Width), s.jam.read)
	h := comb(s.drill.Harp)
	h.Beads = s.beads(nil)
	p.comb(h, "What you play")
	if run.ClickOnly {
		p.text("click-only", clickOnly)
	}
	from := len(p.Items)
	p.add(screen.Item{ID: "stop", Role: screen.Button, Style: screen.Primary, Label: "Stop and look", Disabled: run.Kind == Writing})
	p.add(screen.Item{ID: "leave", Role: screen.Button, Style: screen.Quiet, Label: "Leave"})
	p.row(82, from)
	p.Focus = "stop"
}

// whereabouts tells chorus, bar and chord of a beat, and the chord to come.
func (s *stepper) whereabouts(set room.Setting, beat float64, k int) string {
	bars := len(set.Form.Bars)
	bar := min(int(beat/lesson.BeatsPerBar), s.drill.Bars-1)
	words := fmt.Sprintf("Bar %d of %d", bar%bars+1, bars)
	if set.Choruses > 1 {
		words = fmt.Sprintf("Chorus %d of %d, bar %d", k+1, set.Choruses, bar%bars+1)
	}
	for i, c := range s.drill.Chords {
		if beat < c.Beat+c.Beats {
			words += ": " + c.Name
			for _, next := range s.drill.Chords[i+1:] {
				if next.Name != c.Name {
					return words + ", next " + next.Name
				}
			}
			break
		}
	}
	return words
}

// playedOut takes in what was played.
func (s *stepper) playedOut(r Roomed) {
	if s.view != jamming {
		return
	}
	if r.Cut != "" {
		s.view = choosing
		s.tell(Notice{"cut", r.Cut})
		return
	}
	s.jam.after, s.jam.chorus = &r, 0
	s.jam.said, s.jam.bars = r.Report.Words(), nil
	s.jam.loud = listen.Take{Rate: r.Rate, Frames: r.Frames}.Overdriven()
	for k := range r.reached() {
		s.jam.bars = append(s.jam.bars, r.Report.Bars(r.Setting, k))
	}
	s.view, s.trace = pictured, nil
	d := r.Setting.Drill()
	for _, f := range r.Frames {
		s.trace = appendTrace(s.trace, d, r.Rate, f)
	}
}

// reached is how many choruses of what was played were begun.
func (r Roomed) reached() int {
	return min(r.Setting.Choruses, max(1, int(math.Ceil(r.Report.Until/float64(r.Setting.Beats())-1e-6))))
}

func chorusNames(n int) []string {
	var all []string
	for k := range n {
		all = append(all, fmt.Sprintf("Chorus %d", k+1))
	}
	return all
}

func (s *stepper) actPictured(a screen.Action) {
	r := s.jam.after
	switch a.ID {
	case "again", "change", "back", "mic":
		s.hush()
	}
	switch a.ID {
	case "again":
		if s.in.Sound.State == SoundOn {
			s.strikeUp()
		} else {
			s.enter()
		}
	case "change":
		s.enter()
	case "back":
		s.view = path
	case "mic":
		s.openMic()
	case "rested":
		s.rested = s.in.Now
	case "save-take":
		s.do(Effect{Kind: SaveTake})
	case "hear-stop":
		s.hush()
	case "chorus":
		if k := slices.Index(chorusNames(r.reached()), a.Value); k >= 0 {
			s.jam.chorus = k
		}
	case "hear-own", "hear-chorus":
		if s.in.Sound.State != SoundOn {
			return
		}
		s.hush()
		d := r.Setting.Drill()
		from, to := d.Time(-1), d.Time(r.Report.Until)
		if r.Problem != "" {
			to = d.Seconds
		}
		if a.ID == "hear-chorus" {
			beats := float64(r.Setting.Beats())
			from, to = d.Time(float64(s.jam.chorus)*beats-1), math.Min(to, d.Time(float64(s.jam.chorus+1)*beats))
		}
		set := r.Setting
		s.do(Effect{Kind: PlayBack, Drill: d, RoundTrip: s.delay.Seconds, Spans: []Span{{from, to, true}}, Room: &set})
	}
}

// signOf is how a relation is drawn.
func signOf(r room.Relation) screen.Sign {
	switch {
	case r == room.Root:
		return screen.RootSign
	case r == room.Third:
		return screen.ThirdSign
	case r == room.Fifth:
		return screen.FifthSign
	case r == room.Seventh:
		return screen.SeventhSign
	case r.Blue():
		return screen.BlueSign
	case r == room.Passing:
		return screen.PassingSign
	}
	return screen.OutsideSign
}

// signWords explain the signs.
const signWords = "Under each note its tab and what it is to the chord. Disc: root. Triangle: third. Square: fifth. Diamond: seventh. Wave: blue note. " +
	"Short stroke: passing. Ring: outside the chord. An arrow over its head points left where it starts early and right where it starts late."

// picture is chorus k of what was played.
func (s *stepper) picture(r *Roomed, k int) *screen.Chart {
	d := s.drill // the room's, since it was played
	c := chart(d, s.in.Width)
	one := pitch(d.Harp, harp.Note{Hole: 1})
	c.LowCents, c.HighCents = math.Inf(1), math.Inf(-1)
	for _, n := range r.Report.Notes {
		cents := harp.Cents(n.Hz, one)
		c.LowCents, c.HighCents = math.Min(c.LowCents, cents-200), math.Max(c.HighCents, cents+200)
		note := screen.ChartNote{Beat: n.Beat, Beats: n.Beats, Cents: cents, Tab: n.Tab(), Sign: signOf(n.Relation)}
		if n.Glide {
			note.Join = int(drill.Glide)
		} else if math.Abs(n.Late) >= room.LeastTime {
			note.Late = n.Late
		}
		c.Pickup = math.Max(c.Pickup, -n.Beat)
		c.Notes = append(c.Notes, note)
	}
	if len(r.Report.Notes) == 0 {
		c.LowCents, c.HighCents = 0, harp.Cents(pitch(d.Harp, harp.Note{Hole: harp.Holes}), one)
	}
	c.Trace = s.trace
	if s.in.Run.Kind == Replaying {
		c.Cursor = d.BeatAt(s.in.Run.Seconds)
	}
	return s.verse(r.Setting, c, k)
}

func (s *stepper) showPictured(p *page) {
	r := s.jam.after
	p.Title = "How it sat - Reedwell"
	if r.Problem != "" {
		p.title("Nothing to see")
		p.styled("problem", screen.Warning, r.Problem)
		p.Live = r.Problem
	} else {
		p.title("How it sat")
		p.Live = "Here is how your notes sat."
	}
	s.notes(p)
	if r.Problem == "" {
		for i, words := range s.jam.said {
			p.text(fmt.Sprintf("said-%d", i+1), words)
		}
	}
	s.roomDoubts(p, r)
	s.needMic(p, "To play again you need the microphone.")
	from := len(p.Items)
	p.primary("again", "Play again")
	p.button("change", "Change the band")
	p.quiet("back", home)
	p.row(83, from)
	s.showRest(p)
	if r.Problem != "" {
		s.showOverBand(p, r)
		p.quiet("save-take", "Save the sound of this take")
		return
	}
	k := s.jam.chorus
	bars := s.jam.bars[k]
	if n := r.reached(); n > 1 {
		p.add(screen.Item{ID: "chorus", Role: screen.Select, Label: "Which chorus", Options: chorusNames(n), Value: chorusNames(n)[k]})
	}
	p.chart(s.picture(r, k), fmt.Sprintf("%s of what you played, %s. It is told bar by bar below.", plural(len(bars), "bar"), r.Setting.Words()))
	p.styled("signs", screen.Quiet, signWords)
	s.showOverBand(p, r)
	p.heading("h-time", "About the beat")
	s.showColumns(p, r)
	p.heading("h-bars", "Bar by bar")
	for i := 0; i < len(bars); i++ {
		b, last := bars[i], i
		for len(b.Notes) == 0 && last+1 < len(bars) && len(bars[last+1].Notes) == 0 && bars[last+1].Words == b.Words {
			last++ // bars of rest are told together
		}
		words := fmt.Sprintf("Bar %d, %s: %s.", b.Number, b.Chords, b.Words)
		if last > i {
			words = fmt.Sprintf("Bars %d to %d: %s.", b.Number, bars[last].Number, b.Words)
		}
		p.text(fmt.Sprintf("bar-%d", b.Number), words)
		i = last
	}
	p.quiet("save-take", "Save the sound of this take")
}

// roomDoubts tell what makes the picture less sure.
func (s *stepper) roomDoubts(p *page, r *Roomed) {
	if r.Lost > 0 {
		p.styled("lost", screen.Note, fmt.Sprintf("The device lost %s of sound. A note missing there may not be your fault.", ms(r.Lost)))
	}
	if s.jam.loud {
		p.styled("overdriven", screen.Note, "This was too loud for the microphone: where two holes sounded, others may stand here. Move the harp a hand's width away, or turn the microphone down.")
	}
	if r.Moved {
		p.styled("moved", screen.Note, "The sound delay changed while you played, so early and late may be off.")
	}
	if s.guessed {
		p.styled("uncalibrated", screen.Note, uncalibrated)
	}
}

// showOverBand offers to hear it again.
func (s *stepper) showOverBand(p *page, r *Roomed) {
	run := s.in.Run
	off := s.in.Sound.State != SoundOn
	words := "Hear what you played, with the band."
	switch {
	case off:
		words = "To hear it again you need the microphone: sound in and out run together."
	case run.Kind == Preparing:
		words = "One moment."
	case run.Kind == Replaying:
		words = "Listen: this is you."
	}
	p.heading("replay", "Hear it again")
	p.text("replay-what", words)
	if off { // nothing can sound
		return
	}
	from := len(p.Items)
	p.button("hear-own", "Hear it over the band")
	if r.Problem == "" && r.reached() > 1 {
		p.button("hear-chorus", "This chorus")
	}
	p.add(screen.Item{ID: "hear-stop", Role: screen.Button, Label: "Stop", Disabled: run.Kind != Preparing && run.Kind != Replaying})
	p.row(84, from)
}

// showColumns shows how the starts lie about their places.
func (s *stepper) showColumns(p *page, r *Roomed) {
	h := r.Report.Histogram()
	edge := fmt.Sprintf("%.0f ms", 1000*h.Width*float64(h.Middle))
	var words []string
	for i, n := range h.Counts {
		if n == 0 {
			continue
		}
		at := math.Round(1000 * h.Width * float64(i-h.Middle))
		side := "on the beat"
		switch {
		case at < 0:
			side = fmt.Sprintf("%.0f ms early", -at)
		case at > 0:
			side = fmt.Sprintf("%.0f ms late", at)
		}
		words = append(words, plural(n, "note")+" "+side)
	}
	p.text("time", fmt.Sprintf("In the middle your notes start %s, and they scatter by %s.", lateWords(r.Report.Bias), ms(r.Report.Scatter)))
	p.add(screen.Item{ID: "columns", Role: screen.Columns, Label: "How early or late notes start: " + strings.Join(words, ", ") + ".",
		Counted: &screen.Counted{Counts: h.Counts, Middle: h.Middle, Words: [3]string{edge + " early", "on the beat", edge + " late"}}})
}

// lateWords say a lateness in seconds.
func lateWords(v float64) string {
	switch n := math.Round(1000 * v); {
	case n > 0:
		return fmt.Sprintf("%.0f ms after their places", n)
	case n < 0:
		return fmt.Sprintf("%.0f ms before their places", -n)
	}
	return "on their places"
}
