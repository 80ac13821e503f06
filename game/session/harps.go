package session

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"reedwell/game/screen"
	"reedwell/levels/harp"
	"reedwell/levels/reeds"
)

// A Pass is the measuring of a harp's reeds, as far as it has got.
type Pass struct {
	Name   string // of the harp
	Key    harp.Key
	On     bool // what is played is measured now
	State  reeds.State
	Report *reeds.Report // nil while it is on
}

// A rack is the player's harps, and what is done with them.
type rack struct {
	reeds.Case
	from     view    // where the screen of the harps returns to
	renaming *string // the harp in hand gets this name
	leaving  bool    // it was asked to forget the harp in hand
	added    string  // the name of one that is added
	typed    bool    // by the player
	key      harp.Key
	tuning   harp.Tuning
	problem  string // with a name
	report   string // the harp whose report is shown
	pass     *Pass
	kept     bool // the pass that is done was taken over
}

// HarpOf is the player's harp of a key: the one in hand if it has it, else one of those that are kept, as measured; else a harp of
// that key tuned as the one in hand. It reports whether its reeds were measured.
func (s State) HarpOf(key harp.Key) (harp.Harp, bool) {
	if key == s.settings.Key {
		k, ok := s.harps.Find(s.settings.Own)
		return s.settings.Harp(), ok && s.settings.Own != "" && k.Measured != 0
	}
	if k, ok := s.harps.Of(key); ok {
		return k.Harp, k.Measured != 0
	}
	h := s.settings.Harp()
	h.Key, h.Profile = key, harp.Profile{}
	return h, false
}

// reedsOf names the kept harp of that key by whose measured reeds the player is judged; empty: there is none.
func (s State) reedsOf(key harp.Key) string {
	if _, measured := s.HarpOf(key); !measured {
		return ""
	}
	if key == s.settings.Key {
		return s.settings.Own
	}
	k, _ := s.harps.Of(key)
	return k.Name
}

// inHand is the kept harp that the player holds, if it is a kept one.
func (s State) inHand() (reeds.Kept, bool) {
	if s.settings.Own == "" {
		return reeds.Kept{}, false
	}
	return s.harps.Find(s.settings.Own)
}

// hold takes a kept harp in hand.
func (s *stepper) hold(k reeds.Kept) {
	s.settings.Own, s.settings.Key, s.settings.Tuning, s.settings.A4, s.settings.Profile = k.Name, k.Harp.Key, k.Harp.Tuning, k.Harp.A4, k.Harp.Profile
	s.listenAnew()
	s.save()
	if d, ok := s.harps.Default(); !ok || d.Name != k.Name {
		_ = s.harps.SetDefault(k.Name)
		s.do(Effect{Kind: HoldHarp, ID: k.Name})
	}
}

// holdKey takes a harp of that key in hand: a kept one, or one that nothing else is known of.
func (s *stepper) holdKey(key harp.Key) {
	if have, ok := s.inHand(); ok && have.Harp.Key == key {
		return
	}
	if k, ok := s.harps.Of(key); ok {
		s.hold(k)
		return
	}
	s.settings.Key = key
	s.holdNone()
}

// holdNone takes a harp in hand that is not kept: of the key and tuning of the one before.
func (s *stepper) holdNone() {
	s.settings.Own, s.settings.Profile, s.settings.A4 = "", harp.Profile{}, math.Round(s.settings.A4)
	s.listenAnew()
	s.save()
}

// pack takes in the harps that are kept now. The one in hand may have been measured anew, or be gone.
func (s *stepper) pack(c reeds.Case) {
	s.harps.Case = c
	if s.settings.Own == "" {
		return
	}
	k, ok := s.harps.Find(s.settings.Own)
	switch {
	case !ok:
		s.holdNone()
	case k.Harp != s.settings.Harp() || k.Name != s.settings.Own:
		s.hold(k)
	}
}

// goHarps shows the harps.
func (s *stepper) goHarps() {
	s.harps.from = s.view
	s.harps.renaming, s.harps.leaving, s.harps.problem = nil, false, ""
	s.view = harps
}

// caseWords tells what is wrong with a name or a case in words.
func caseWords(err error) string {
	for _, e := range []error{reeds.ErrName, reeds.ErrTaken, reeds.ErrFull, reeds.ErrAbsent} {
		if errors.Is(err, e) {
			words := e.Error()
			return strings.ToUpper(words[:1]) + words[1:] + "."
		}
	}
	return "That can not be done: " + err.Error() + "."
}

// ---- My harps ----

func (s *stepper) actHarps(a screen.Action) {
	c := &s.harps
	if n, ok := strings.CutPrefix(a.ID, "own-"); ok {
		c.renaming, c.leaving, c.problem = nil, false, ""
		all := c.Harps()
		if i := slices.IndexFunc(all, func(k reeds.Kept) bool { return ownID(all, k.Name) == n }); i >= 0 {
			s.hold(all[i])
		} else if n == "none" {
			s.holdNone()
		}
		return
	}
	k, held := s.inHand()
	switch a.ID {
	case "add":
		s.view = adding
		c.key, c.tuning, c.problem, c.typed = s.settings.Key, harp.Equal, "", false
		c.added = c.Free(harpWords(c.key))
	case "rename":
		if held {
			name := k.Name
			c.renaming, c.leaving, c.problem = &name, false, ""
		}
	case "new-name":
		if c.renaming != nil {
			name := short(a.Value)
			c.renaming, c.problem = &name, ""
		}
	case "rename-now":
		if !held || c.renaming == nil {
			return
		}
		to := strings.TrimSpace(*c.renaming)
		if err := c.Rename(k.Name, to); err != nil {
			c.problem = caseWords(err)
			return
		}
		s.do(Effect{Kind: RenameHarp, ID: k.Name, Name: to})
		if c.report == k.Name {
			c.report = to
		}
		s.settings.Own, c.renaming = to, nil
		s.save()
	case "rename-not":
		c.renaming, c.problem = nil, ""
	case "forget":
		c.leaving, c.renaming = held, nil
	case "keep-it":
		c.leaving = false
	case "really-forget":
		if held && c.leaving && c.Delete(k.Name) == nil {
			s.do(Effect{Kind: ForgetHarp, ID: k.Name})
			c.leaving = false
			s.holdNone()
		}
	case "measure":
		if held {
			s.view = passing
		}
	case "report":
		if held {
			s.tellReeds(k.Name)
		}
	case "save-harps":
		s.do(Effect{Kind: SaveHarps})
	case "read-harps":
		s.do(Effect{Kind: ReadHarps, Name: a.Name, Bytes: a.Bytes})
	case "back":
		s.view = c.from
		if s.view == "" {
			s.view = path
		}
	}
}

// short cuts what is typed as a name to what a name may have, and keeps it to one line.
func short(value string) string {
	letters := []rune(strings.ToValidUTF8(strings.Join(strings.FieldsFunc(value, func(r rune) bool { return r == '\n' || r == '\r' || r == '\t' }), " "), ""))
	return string(letters[:min(len(letters), reeds.MaxName)])
}

// ownID names a kept harp in the items of a screen.
func ownID(all []reeds.Kept, name string) string {
	return fmt.Sprint(1 + slices.IndexFunc(all, func(k reeds.Kept) bool { return k.Name == name }))
}

// harpWords names a harp by its key: "Bb harp".
func harpWords(key harp.Key) string {
	name := key.String()
	return strings.ToUpper(name[:1]) + name[1:] + " harp"
}

// tunedWords says how a harp is tuned.
func tunedWords(h harp.Harp) string {
	return fmt.Sprintf("%s, A near %.0f Hz", h.Tuning, h.A4)
}

// keptWords says what is known of a kept harp.
func keptWords(k reeds.Kept) string {
	words := harpWords(k.Harp.Key) + ". Not measured yet."
	if k.Measured == 0 {
		return words
	}
	words = fmt.Sprintf("%s, measured %s. Tuned %s.", harpWords(k.Harp.Key), k.Measured, tunedWords(k.Harp))
	wrong, silent := 0, 0
	for _, f := range k.Found {
		switch {
		case f == 1<<reeds.NotHeard:
			silent++
		case f != 0:
			wrong++
		}
	}
	switch wrong {
	case 0:
	case 1:
		words += " 1 reed deserves a look."
	default:
		words += fmt.Sprintf(" %d reeds deserve a look.", wrong)
	}
	if silent > 0 {
		words += fmt.Sprintf(" Not heard: %s.", plural(silent, "reed"))
	}
	return words
}

// half reports a pass of that harp that is begun and not done.
func (s *stepper) half(name string) bool {
	p := s.harps.pass
	return p != nil && p.Name == name && !p.State.Done && p.State.Heard+p.State.Skipped > 0
}

func (s *stepper) showHarps(p *page) {
	c := &s.harps
	p.Title = "My harps - Reedwell"
	p.title("My harps")
	s.notes(p)
	p.text("what", "No two harps are tuned alike. Let yours be measured once, which takes about two minutes, and everything you play is judged by its own reeds.")
	all := c.Harps()
	const group = "Which harp do you hold?"
	for _, k := range all {
		p.add(screen.Item{ID: "own-" + ownID(all, k.Name), Role: screen.Choice, Group: group, Label: k.Name, Detail: keptWords(k), On: strings.EqualFold(k.Name, s.settings.Own)})
	}
	k, held := s.inHand()
	if len(all) > 0 {
		detail := "It is judged by its key and tuning alone."
		if !held {
			detail = harpWords(s.settings.Key) + ". " + detail
		}
		p.add(screen.Item{ID: "own-none", Role: screen.Choice, Group: group, Label: "Another, which is not kept here", Detail: detail, On: !held})
	}
	if held {
		s.showHeld(p, k)
	}
	from := len(p.Items)
	if len(all) == 0 {
		p.primary("add", "Add a harp")
	} else {
		p.button("add", "Add another harp")
	}
	p.row(64, from)
	p.heading("h-copy", "A copy")
	p.text("where", "Your harps are kept on this device only. The copy is a file that can be read on another, in the browser or in the window.")
	p.add(screen.Item{ID: "save-harps", Role: screen.Button, Label: "Save a copy of my harps", Disabled: len(all) == 0})
	p.add(screen.Item{ID: "read-harps", Role: screen.File, Label: "Read a copy"})
	p.quiet("back", "Back")
	if p.Focus == "" {
		p.Focus = "add"
		if len(all) > 0 {
			p.Focus = "own-none"
			if held {
				p.Focus = "own-" + ownID(all, k.Name)
			}
		}
	}
}

// showHeld shows what can be done with the kept harp in hand.
func (s *stepper) showHeld(p *page, k reeds.Kept) {
	c := &s.harps
	p.heading("h-held", k.Name)
	label := "Measure its reeds"
	switch {
	case s.half(k.Name):
		label = fmt.Sprintf("Go on measuring: %d of 20 reeds are done", c.pass.State.Heard)
	case k.Measured != 0:
		label = "Measure it again"
	}
	from := len(p.Items)
	if k.Measured == 0 || s.half(k.Name) {
		p.primary("measure", label)
	} else {
		p.button("measure", label)
	}
	p.add(screen.Item{ID: "report", Role: screen.Button, Label: "How its reeds are", Disabled: k.Measured == 0})
	p.row(65, from)
	switch {
	case c.renaming != nil:
		p.add(screen.Item{ID: "new-name", Role: screen.Field, Label: "New name", Value: *c.renaming})
		s.showProblem(p)
		from = len(p.Items)
		p.button("rename-now", "Use this name")
		p.button("rename-not", "Leave it as it is")
		p.row(66, from)
	case c.leaving:
		p.styled("sure", screen.Warning, fmt.Sprintf("Forget %q? What was measured of it can not be brought back.", k.Name))
		from = len(p.Items)
		p.button("really-forget", "Forget it")
		p.button("keep-it", "Keep it")
		p.row(67, from)
	default:
		from = len(p.Items)
		p.quiet("rename", "Give it another name")
		p.quiet("forget", "Forget this harp")
		p.row(68, from)
	}
}

func (s *stepper) showProblem(p *page) {
	if s.harps.problem != "" {
		p.styled("problem", screen.Warning, s.harps.problem)
		p.Alert = s.harps.problem
	}
}

// ---- Another harp ----

func (s *stepper) actAdding(a screen.Action) {
	c := &s.harps
	switch a.ID {
	case "name":
		c.added, c.typed, c.problem = short(a.Value), true, ""
	case "key":
		k, err := harp.ParseKey(a.Value)
		if err != nil {
			return
		}
		if c.key = k; !c.typed {
			c.added = c.Free(harpWords(k))
		}
	case "tuning":
		if i := slices.Index(tuningNames(), a.Value); i >= 0 {
			c.tuning = harp.Tunings()[i]
		}
	case "add-measure", "add":
		k := reeds.Kept{Name: strings.TrimSpace(c.added), Harp: harp.Harp{Key: c.key, Tuning: c.tuning, A4: 440}}
		if err := c.Add(k); err != nil {
			c.problem = caseWords(err)
			return
		}
		s.do(Effect{Kind: AddHarp, Harp: k})
		s.hold(k)
		if s.view = harps; a.ID == "add-measure" {
			s.view = passing
		}
	case "back":
		s.view = harps
	}
}

func (s *stepper) showAdding(p *page) {
	c := &s.harps
	p.Title = "Another harp - Reedwell"
	p.title("Another harp")
	s.notes(p)
	p.add(screen.Item{ID: "key", Role: screen.Select, Label: "Key of the harp", Detail: "It is stamped on the cover plate.", Options: keyNames(), Value: c.key.String()})
	p.add(screen.Item{ID: "name", Role: screen.Field, Label: "What do you call it?", Detail: "Up to 40 letters. You may leave it as it is.", Value: c.added})
	s.showProblem(p)
	p.add(screen.Item{ID: "tuning", Role: screen.Select, Label: "Tuning", Detail: "Measuring finds it out; until then equal will do.", Options: tuningNames(), Value: tuningNames()[c.tuning]})
	p.primary("add-measure", "Add it and measure its reeds")
	from := len(p.Items)
	p.button("add", "Add it and measure later")
	p.quiet("back", "Back")
	p.row(69, from)
}

// ---- How the reeds are ----

// tellReeds shows the report of a harp.
func (s *stepper) tellReeds(name string) {
	s.harps.report = name
	s.view = telling
}

// report is what is known of the reeds of the harp that is shown, and the harp. fresh tells that a reed can be measured again by itself.
func (s *stepper) report() (r reeds.Report, h harp.Harp, fresh, ok bool) {
	c := &s.harps
	k, have := c.Find(c.report)
	if p := c.pass; p != nil && p.Name == c.report && p.Report != nil && p.State.Done {
		h, ok := p.Report.Harp()
		return *p.Report, h, have, ok || !have || k.Measured == 0
	}
	r, ok = k.Report()
	return r, k.Harp, false, have && ok
}

func (s *stepper) actTelling(a screen.Action) {
	if id, ok := strings.CutPrefix(a.ID, "again-"); ok {
		_, _, fresh, _ := s.report()
		for _, n := range reeds.Plan() {
			if fresh && reedID(n) == id && s.in.Sound.State == SoundOn {
				s.harps.kept = false
				s.view = passing
				s.do(Effect{Kind: RepeatReed, Note: n})
			}
		}
		return
	}
	switch a.ID {
	case "done":
		s.view = harps
	case "measure":
		s.view = passing
	}
}

// reedID names a reed in the items of a screen.
func reedID(n harp.Note) string { return fmt.Sprintf("%d-%s", n.Hole, n.Breath) }

// markOf is how a reed is marked on the comb.
func markOf(d reeds.Reed) screen.Mark {
	var m screen.Mark
	for _, f := range d.Faults {
		switch f {
		case reeds.NotHeard:
			m |= screen.Unheard
		case reeds.Off:
			m |= screen.SharpReed
			if d.FromTuning < 0 {
				m ^= screen.SharpReed | screen.FlatReed
			}
		case reeds.Slow:
			m |= screen.SlowReed
		case reeds.Leaks:
			m |= screen.LeakReed
		case reeds.Along:
			m |= screen.AlongReed
		}
	}
	return m
}

// figure writes cents with their sign.
func figure(cents float64) string {
	switch c := int(math.Round(cents)); {
	case c > 0:
		return fmt.Sprintf("+%d", c)
	case c < 0:
		return fmt.Sprintf("\u2212%d", -c)
	}
	return "0"
}

// reedComb draws a harp with what is known of its reeds.
func reedComb(r reeds.Report, h harp.Harp) *screen.Comb {
	c := comb(h)
	c.Figures = true
	for _, d := range r.Reeds {
		slot := &c.Slots[d.Note.Hole-1]
		slot.Rungs = nil
		slot.Marks[d.Note.Breath] = markOf(d)
		if slot.Names[d.Note.Breath] = figure(d.FromTuning); d.Tries == 0 || !r.Fit.Found {
			slot.Names[d.Note.Breath] = ""
		}
	}
	return c
}

// faultWords names faults in a line.
func faultWords(d reeds.Reed) string {
	var all []string
	for _, f := range d.Faults {
		switch f {
		case reeds.Off: // the figure says so
			all = append(all, "off")
		case reeds.Slow:
			all = append(all, "slow")
		case reeds.Leaks:
			all = append(all, "hisses")
		case reeds.Along:
			all = append(all, "neighbour sounds too")
		}
	}
	return strings.Join(all, ", ")
}

// reedWords is a reed in the table.
func reedWords(d reeds.Reed, r reeds.Report) string {
	words := d.Note.Breath.String() + " "
	switch {
	case d.Tries == 0:
		return words + "not heard"
	case !r.Fit.Found:
		words += "heard"
	default:
		words += figure(d.FromTuning)
	}
	if f := faultWords(d); f != "" {
		words += " (" + f + ")"
	}
	return words
}

func (s *stepper) showTelling(p *page) {
	c := &s.harps
	p.Title = "How the reeds are - Reedwell"
	p.title(c.report + ": how its reeds are")
	s.notes(p)
	r, h, fresh, ok := s.report()
	if !ok {
		p.text("none", "It is not measured yet.")
		p.primary("done", "My harps")
		return
	}
	sum := r.Words()
	p.text("sum", sum)
	p.Live = sum
	if fresh && c.kept && r.Fit.Found {
		p.styled("kept", screen.Good, "Kept. What you play is judged by these reeds from now on, and the model sounds like them.")
		p.Live = "Kept. " + sum
	}
	p.comb(reedComb(r, h), "The ten holes with what was found of each reed; the same stands below in words")
	wrong := false
	for _, d := range r.Reeds {
		if len(d.Faults) == 0 {
			continue
		}
		if !wrong {
			p.heading("h-look", "Worth a look")
			wrong = true
		}
		var advice []string
		for _, f := range d.Faults {
			advice = append(advice, f.Advice())
		}
		from := len(p.Items)
		p.add(screen.Item{ID: "reed-" + reedID(d.Note), Role: screen.Text, Style: screen.Off, Label: d.Words(), Detail: strings.Join(advice, " ")})
		if fresh && s.in.Sound.State == SoundOn {
			p.add(screen.Item{ID: "again-" + reedID(d.Note), Role: screen.Button, Style: screen.Quiet, Label: "Again: " + d.Note.Words(), Narrow: true})
			p.row(200+from, from)
		}
	}
	p.heading("h-all", "All reeds")
	p.text("unit", "In cents from the tuning: + is sharp, \u2212 is flat.")
	for hole := 1; hole <= harp.Holes; hole++ {
		blow, draw := r.Reeds[2*hole-2], r.Reeds[2*hole-1]
		p.text(fmt.Sprintf("hole-%d", hole), fmt.Sprintf("Hole %d: %s; %s.", hole, reedWords(blow, r), reedWords(draw, r)))
	}
	from := len(p.Items)
	p.primary("done", "My harps")
	p.button("measure", "Measure it again")
	p.row(71, from)
	p.Focus = "done"
}
