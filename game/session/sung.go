package session

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"reedwell/audio/voice"
	"reedwell/game/screen"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// The tone of a bend by ear can be sung by the player: it is heard, its name is told and how far off it was, and the drill on the bend
// of that name begins.

// A Sung is a note that was to be sung.
type Sung struct {
	Held    voice.Held
	Problem string // not empty: no note was held, and what to do
}

// SungLength is how long it is waited for a note to be held, in seconds: time for two attempts. Our choice.
const SungLength = 8.0

// sungFree tells that such a drill does not count.
const sungFree = "A note of your own is free practice: it opens nothing and costs nothing."

// singable reports a drill whose tone the player may sing.
func (s *stepper) singable() bool { return s.lick == noLick && s.drill.Family == drill.Aim }

// sing goes to where a note is sung.
func (s *stepper) sing() { s.view, s.sung = singing, nil }

func (s *stepper) actSinging(a screen.Action) {
	if s.in.Run.Kind == Singing {
		if a.ID == "stop" {
			s.do(Effect{Kind: StopSound})
		}
		return
	}
	switch a.ID {
	case "mic":
		s.openMic()
	case "sing":
		if s.in.Sound.State == SoundOn && s.in.Run.Kind == Idle {
			s.sung = nil
			s.do(Effect{Kind: Sing})
		}
	case "back":
		s.view = practice
	}
	if k, ok := strings.CutPrefix(a.ID, "bend-"); ok && s.sung != nil {
		bends := s.drill.Harp.Fold(s.sung.Held.Hz)
		if k, err := strconv.Atoi(k); err == nil && k >= 1 && k <= len(bends) {
			spec := s.spec
			spec.ID, spec.Tempo = drill.SungID(bends[k-1].Note), 0
			s.open(spec, "")
		}
	}
}

func (s *stepper) showSinging(p *page) {
	p.Title = "Sing the tone - Reedwell"
	p.title("Sing the tone")
	s.notes(p)
	if run := s.in.Run; run.Kind == Singing {
		count := "Breathe in."
		if run.Seconds >= voice.Lead {
			count = "Sing now, and hold the note."
		}
		p.text("count", count)
		s.showLevel(p)
		p.add(screen.Item{ID: "stop", Role: screen.Button, Label: "Stop"})
		p.Focus = "stop"
		return
	}
	if s.sung == nil || s.sung.Problem != "" {
		p.text("how", "Press, breathe in, then sing, hum or whistle one note for two seconds, in any octave. Then you are told which bend of your harp is that note, and bend to it by ear.")
	}
	switch {
	case s.in.Sound.State == SoundOpening:
		p.waiting()
		p.Focus = "back"
	case s.in.Sound.State != SoundOn:
		s.showAsleep(p)
		p.primary("mic", "Turn the microphone on")
	case s.sung == nil:
		p.primary("sing", "Sing a note")
	case s.sung.Problem != "":
		p.styled("problem", screen.Warning, s.sung.Problem)
		p.Alert = s.sung.Problem
		p.primary("sing", "Try again")
	default:
		s.showSung(p, s.sung.Held)
	}
	p.quiet("back", "Back to the drill")
}

// showSung tells which note was sung and offers the bends that have its name.
func (s *stepper) showSung(p *page, held voice.Held) {
	h := s.drill.Harp
	bends := h.Fold(held.Hz)
	if len(bends) == 0 {
		text := "No bend of this harp has the note you sang. It has bends for " + strings.Join(bent(h), ", ") + "."
		p.styled("heard", screen.Warning, text)
		p.Alert = text
		p.primary("sing", "Sing another note")
		return
	}
	first := bends[0]
	heard := fmt.Sprintf("You sang %s, %s.", harp.PitchClass(h.MIDI(first.Note)), offWords(first.Cents))
	p.styled("heard", screen.Good, heard)
	p.Live = heard
	if math.Abs(first.Cents) >= offMatters {
		p.text("in-tune", "The tone you bend to is in tune. Listen how it lies beside what you sang.")
	}
	for i, f := range bends {
		id, label := fmt.Sprintf("bend-%d", i+1), "Bend to it: "+f.Note.Words()
		if i == 0 {
			p.primary(id, label)
		} else {
			p.button(id, label)
		}
		p.Items[len(p.Items)-1].Detail = octaves(f.Octaves)
	}
	p.button("sing", "Sing another note")
}

// offMatters is from how many cents on the ear is told of a difference: a musician hears 5 to 6 (Zwicker and Fastl, Psychoacoustics, from
// memory), and a voice is stiller than 10 only when it is trained.
const offMatters = 10.0

func offWords(cents float64) string {
	switch n := math.Round(cents); {
	case n == 0:
		return "in tune"
	case n < 0:
		return fmt.Sprintf("%.0f cents flat", -n)
	default:
		return fmt.Sprintf("%.0f cents sharp", n)
	}
}

// octaves says where a bend lies from what was sung.
func octaves(n int) string {
	if n == 0 {
		return "As high as you sang."
	}
	way, far := "over", n
	if n < 0 {
		way, far = "under", -n
	}
	if far == 1 {
		return "An octave " + way + " your note."
	}
	return fmt.Sprintf("%d octaves %s your note.", far, way)
}

// bent are the names of all bends of a harp, from C up.
func bent(h harp.Harp) []string {
	var classes []int
	for _, n := range harp.Bent() {
		classes = append(classes, h.MIDI(n)%12)
	}
	slices.Sort(classes)
	var names []string
	for _, c := range slices.Compact(classes) {
		names = append(names, harp.PitchClass(c))
	}
	return names
}
