package session

import (
	"fmt"
	"slices"

	"reedwell/game/screen"
	"reedwell/levels/harp"
	"reedwell/levels/reeds"
)

// An offer is a harp that what is played sounds like, more than like the one in hand. It is asked about while the player
// warms up, and never in a take; nothing changes until the player says so.
type offer struct {
	pitches  []float64 // Hz of the notes that were held lately, the newest last
	last     int64     // device frame of the newest
	with     harp.Key  // the harp they were played on, as far as was known
	found    *reeds.Candidate
	declined []harp.Key
}

// offerForget is after how many seconds without a note the notes before tell nothing any more: the player may have taken
// another harp. Our choice.
const offerForget = 60

// offering reports the screens on which a harp is offered.
func (s *stepper) offering() bool {
	switch s.view {
	case path, practice, check, harps, reading, passing:
		return s.in.Run.Kind == Idle && s.in.Sound.State == SoundOn
	}
	return false
}

// listenAnew forgets what was played: another harp is in hand.
func (s *stepper) listenAnew() { s.offer = offer{} }

// compare takes in the notes that were held and finds out whether another harp fits them better.
func (s *stepper) compare() {
	o := &s.offer
	held := s.Harp()
	if s.in.Run.Kind != Idle || o.with != held.Key {
		// What sounded may have been the model, and the microphone heard it.
		declined := o.declined
		*o = offer{with: held.Key}
		if s.in.Run.Kind != Idle {
			o.declined = declined
		}
	}
	if len(s.in.Pitches) == 0 || !s.offering() {
		return
	}
	if s.in.Now-o.last > int64(offerForget*s.in.Sound.Rate) {
		o.pitches = nil
	}
	o.last = s.in.Now
	o.pitches = append(slices.Clone(o.pitches[max(0, len(o.pitches)-reeds.OfferPitches):]), s.in.Pitches...)
	o.found = nil
	if c, ok := reeds.Offer(o.pitches, &s.harps.Case, held); ok && !slices.Contains(o.declined, c.Key) {
		o.found = &c
	}
}

// offered is the name of the harp that is offered: "your Bb harp "Old faithful"" or "a Bb harp".
func (s *stepper) offered() (name string, k reeds.Kept, kept bool) {
	c := s.offer.found
	key := c.Key.String()
	if all := s.harps.Harps(); c.Index >= 0 && c.Index < len(all) && all[c.Index].Harp.Key == c.Key {
		k, kept = s.harps.Of(c.Key) // of two of that key the one that is taken otherwise too
		return fmt.Sprintf("your %s harp, %q", key, k.Name), k, kept
	}
	return article(key) + " " + key + " harp", reeds.Kept{}, false
}

// actOffer handles the answer to an offer.
func (s *stepper) actOffer(a screen.Action) bool {
	c := s.offer.found
	if c == nil || !s.offering() {
		return false
	}
	switch a.ID {
	case "no-offer":
		s.offer.declined = append(slices.Clone(s.offer.declined), c.Key)
		s.offer.found, s.offer.pitches = nil, nil
	case "take-offer":
		key := c.Key
		_, k, kept := s.offered()
		if s.view == passing {
			if p := s.harps.pass; p != nil && p.On {
				s.listenAnew()
				s.do(Effect{Kind: BeginPass, ID: p.Name, Key: key})
				return true
			}
		}
		if kept {
			s.hold(k)
		} else {
			s.holdKey(key)
		}
		switch {
		case s.view == reading || s.view == practice && s.lick != noLick:
			s.bookKey = &key
			if s.view == practice {
				_ = s.build() // another key has the same tab
			}
		case s.view == practice:
			s.onMine()
		}
		s.listenAnew()
	default:
		return false
	}
	return true
}

// onMine opens the drill that is open on the harp in hand.
func (s *stepper) onMine() {
	title, spec := s.title, s.mine(s.spec.ID)
	spec.Tempo, spec.Position = s.spec.Tempo, s.spec.Position
	s.open(spec, title)
}

// showOffer asks, under the title, whether the player holds another harp.
func (s *stepper) showOffer(p *page) {
	if s.offer.found == nil || !s.offering() || len(p.Items) == 0 {
		return
	}
	name, _, _ := s.offered()
	held, key := s.Harp().Key.String(), s.offer.found.Key.String()
	words := fmt.Sprintf("This sounds like %s, and %s %s harp is set. Take the %s harp?", name, article(held), held, key)
	if s.view == passing {
		words = fmt.Sprintf("This sounds like %s %s harp, and %s %s harp is being measured. Begin again with the %s harp?", article(key), key, article(held), held, key)
	}
	const row = 80
	items := []screen.Item{
		{ID: "offer", Role: screen.Text, Label: words},
		{ID: "take-offer", Role: screen.Button, Label: "Yes, it is " + article(key) + " " + key + " harp", Row: row},
		{ID: "no-offer", Role: screen.Button, Label: "No, it is " + article(held) + " " + held + " harp", Row: row},
	}
	p.Items = slices.Insert(p.Items, 1, items...)
	p.Live = words
}
