package reeds

import (
	"math"
	"slices"

	"reedwell/levels/harp"
)

// What Offer asks for before it says anything. Evidence is the natural logarithm of how many times better another
// harp explains what was heard than the one that is held; TestNoFalseOffer measures where it
// lies in ordinary playing: up to 5 where no more than four of ten different notes are bent, up to 9.4 with six. Our choice.
const (
	// OfferKept and OfferKey are the evidence for a harp of the case and for a key that none of them has: 9 is odds of
	// some 8000, since a wrong offer takes a player's mind off the music, and a right one comes a phrase later at no cost.
	OfferKept, OfferKey = 9.0, 11.0
	// OfferLead is the evidence that it has over every harp of yet another key: which one it is must be plain too.
	OfferLead = 3.0
	// OfferNotes is how many different notes must have been heard, and OfferPitches the most that are looked at,
	// the newest first.
	OfferNotes, OfferPitches = 5, 24
)

// What the model of Offer assumes, our choice: a player is much less exact than a profile, but a semitone is far.
const (
	offerCents = 12.0 // how far played notes lie from their reeds (standard deviation), beside what all have in common
	offerBent  = 30.0 // and bends from their rungs
	offerShare = 0.16 // of different notes are bent
	offerOver  = 0.02 // are overblown or overdrawn
	// offerMost is the most that one note may say for or against a harp: no single slip or odd bend decides.
	offerMost = 4.0
)

// Offer says which harp fits what was heard so much better than held that the player should be asked. Pitches are those
// of held notes in Hz, the newest last; see Pitches. It reports false when nothing is to be said. Harps of the key that is held are never
// offered: which of two of one key is played, sloppy playing hides.
func Offer(pitches []float64, c *Case, held harp.Harp) (Candidate, bool) {
	notes := different(pitches[max(0, len(pitches)-OfferPitches):])
	if len(notes) < OfferNotes {
		return Candidate{}, false
	}
	type rival struct {
		Candidate
		evidence float64
	}
	mine := explains(notes, held)
	var all []rival
	kept := map[harp.Key]bool{held.Key: true}
	for i, k := range c.Harps() {
		if k.Harp.Key != held.Key {
			all = append(all, rival{Candidate{Index: i, Key: k.Harp.Key}, evidence(explains(notes, k.Harp), mine) - OfferKept})
			kept[k.Harp.Key] = true
		}
	}
	for _, key := range harp.Keys() {
		if !kept[key] {
			h := harp.Harp{Key: key, Tuning: harp.Compromise, A4: 442}
			all = append(all, rival{Candidate{Index: -1, Key: key}, evidence(explains(notes, h), mine) - OfferKey})
		}
	}
	best := slices.MaxFunc(all, func(a, b rival) int {
		switch {
		case a.evidence < b.evidence:
			return -1
		case a.evidence > b.evidence:
			return 1
		}
		return 0
	})
	if best.evidence < 0 {
		return Candidate{}, false
	}
	for _, r := range all {
		if r.Key != best.Key && r.evidence > best.evidence-OfferLead {
			return Candidate{}, false
		}
	}
	best.Confidence = 1 - math.Exp(-best.evidence-OfferKept)
	return best.Candidate, true
}

// evidence is how much better each note is explained one way than another, together.
func evidence(one, other []float64) float64 {
	sum := 0.0
	for i := range one {
		sum += math.Max(-offerMost, math.Min(offerMost, one[i]-other[i]))
	}
	return sum
}

// explains is how likely each note is on a harp, as a logarithm, all of them shifted by what suits them best.
func explains(notes []float64, h harp.Harp) []float64 {
	var natural, bent, over []float64
	for _, n := range harp.Notes() {
		hz, err := h.Hz(n)
		if err != nil {
			continue
		}
		switch c := harp.Cents(hz, 440); {
		case n.Over:
			over = append(over, c)
		case n.Bend > 0:
			bent = append(bent, c)
		default:
			natural = append(natural, c)
		}
	}
	var best []float64
	most := math.Inf(-1)
	// A harp nobody measured may be tuned from 437 to 447, and playing hard flattens.
	for shift := -24.0; shift <= 24; shift += 8 {
		each, sum := make([]float64, len(notes)), 0.0
		for i, c := range notes {
			each[i] = math.Log(strayShare/strayRange + (1-offerShare-offerOver-strayShare)*density(c-shift, natural, offerCents) +
				offerShare*density(c-shift, bent, offerBent) + offerOver*density(c-shift, over, offerBent))
			sum += each[i]
		}
		if sum > most {
			best, most = each, sum
		}
	}
	return best
}
