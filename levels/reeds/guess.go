package reeds

import (
	"cmp"
	"math"
	"slices"

	"reedwell/audio/listen"
	"reedwell/levels/harp"
)

// A Candidate is a harp that what was heard may have been played on.
type Candidate struct {
	Index      int // of Case.Harps; -1 for a key that no kept harp has
	Key        harp.Key
	Confidence float64 // 0 to 1; all candidates together have 1
}

// Sureness and FewestNotes: a harp is sure with at least this confidence, from at least this
// many different notes. Our choice: three notes fit several keys always, and one answer in
// ten may then be wrong. Offer asks for more.
const (
	Sureness    = 0.9
	FewestNotes = 4
)

// What the model of Guess assumes, all our choice:
const (
	keptShare  = 0.8  // that one of the kept harps is played, before anything is heard
	bentShare  = 0.12 // of the notes are bent or overblown
	strayShare = 0.02 // of the pitches are no note of any harp
	bentCents  = 25.0 // how far bends lie from their rungs (standard deviation)
	keptCents  = 4.0  // a measured reed from its profile, beside what all have in common
	newCents   = 7.0  // an unknown harp's reed from its tuning
	sameCents  = 35.0 // pitches nearer than this are one note, played again
	strayRange = 4800.0
)

// Pitches returns the pitches, for Guess, of the notes that were held for a tenth of a second
// and more; rate is that of the stream, in Hz.
func Pitches(notes []listen.Note, rate int) []float64 {
	var hz []float64
	for _, n := range notes {
		if n.F0 > 0 && float64(n.End-n.Start) >= float64(rate)/10 {
			hz = append(hz, n.F0)
		}
	}
	return hz
}

// Guess says which harp the pitches, in Hz, are played on, the likeliest first: kept harps by their
// profiles and, in case the harp is none of them, every key that none of them has. It returns nil for fewer
// than FewestNotes different notes. Notes that are played again count once, as they tell nothing new.
func Guess(pitches []float64, c *Case) []Candidate {
	notes := different(pitches)
	if len(notes) < FewestNotes {
		return nil
	}
	harps := c.Harps()
	var found []Candidate
	var logs []float64
	kept := map[harp.Key]bool{}
	for i, k := range harps {
		kept[k.Harp.Key] = true
		sigma := keptCents
		models, offsets := []harp.Harp{k.Harp}, []float64{-9, -6, -3, 0, 3}
		if k.Measured == 0 {
			sigma = newCents
			models, offsets = unknown(k.Harp.Key)
		}
		found = append(found, Candidate{Index: i, Key: k.Harp.Key})
		logs = append(logs, likelihood(notes, models, offsets, sigma)+math.Log(keptShare/float64(len(harps))))
	}
	var others []harp.Key
	for _, k := range harp.Keys() {
		if !kept[k] {
			others = append(others, k)
		}
	}
	share := 1.0
	if len(harps) > 0 {
		share = 1 - keptShare
	}
	for _, k := range others {
		models, offsets := unknown(k)
		found = append(found, Candidate{Index: -1, Key: k})
		logs = append(logs, likelihood(notes, models, offsets, newCents)+math.Log(share/float64(len(others))))
	}
	most, sum := slices.Max(logs), 0.0
	for i := range found {
		found[i].Confidence = math.Exp(logs[i] - most)
		sum += found[i].Confidence
	}
	for i := range found {
		found[i].Confidence /= sum
	}
	slices.SortStableFunc(found, func(a, b Candidate) int { return cmp.Compare(b.Confidence, a.Confidence) })
	return found
}

// Sure returns the harp to offer, or false: not sure. KeySure is the same for the key alone, where two kept
// harps share it.
func Sure(found []Candidate) (Candidate, bool) {
	if len(found) == 0 || found[0].Confidence < Sureness {
		return Candidate{}, false
	}
	return found[0], true
}

// KeySure returns the key that is played, or false: not sure.
func KeySure(found []Candidate) (harp.Key, bool) {
	sum := map[harp.Key]float64{}
	for _, f := range found {
		if sum[f.Key] += f.Confidence; sum[f.Key] >= Sureness {
			return f.Key, true
		}
	}
	return harp.Key{}, false
}

// unknown is what a harp nobody measured may be like, and by how many cents all of it may be shifted:
// A4 from 437 to 447.
func unknown(k harp.Key) ([]harp.Harp, []float64) {
	var models []harp.Harp
	for _, t := range []harp.Tuning{harp.Equal, harp.Compromise, harp.JustSecondThird, harp.Just7} {
		models = append(models, harp.Harp{Key: k, Tuning: t, A4: 440})
	}
	return models, []float64{-12, -6, 0, 6, 12, 18, 24}
}

// different merges pitches of one note and returns cents over 440 Hz, rising.
func different(pitches []float64) []float64 {
	var all, out []float64
	for _, hz := range pitches {
		if hz > 0 && !math.IsInf(hz, 0) {
			all = append(all, harp.Cents(hz, 440))
		}
	}
	slices.Sort(all)
	for len(all) > 0 {
		n := 1
		for n < len(all) && all[n]-all[0] < sameCents {
			n++
		}
		out = append(out, median(all[:n]))
		all = all[n:]
	}
	return out
}

// likelihood is the logarithm of how likely the notes are on a harp that is one of the models at
// one of the offsets.
func likelihood(notes []float64, models []harp.Harp, offsets []float64, sigma float64) float64 {
	var logs []float64
	all := harp.Notes()
	for _, h := range models {
		natural, bent := make([]float64, 0, 20), make([]float64, 0, 30)
		for _, n := range all {
			hz, err := h.Hz(n)
			if err != nil {
				continue
			}
			if n.Bend == 0 && !n.Over {
				natural = append(natural, harp.Cents(hz, 440))
			} else {
				bent = append(bent, harp.Cents(hz, 440))
			}
		}
		for _, o := range offsets {
			sum := 0.0
			for _, c := range notes {
				p := strayShare/strayRange + (1-bentShare-strayShare)*density(c-o, natural, sigma) + bentShare*density(c-o, bent, bentCents)
				sum += math.Log(p)
			}
			logs = append(logs, sum)
		}
	}
	most, sum := slices.Max(logs), 0.0
	for _, l := range logs {
		sum += math.Exp(l - most)
	}
	return most + math.Log(sum/float64(len(logs)))
}

// density of c where each of at is as likely, with a deviation of sigma.
func density(c float64, at []float64, sigma float64) float64 {
	sum := 0.0
	for _, a := range at {
		if d := (c - a) / sigma; d > -5 && d < 5 {
			sum += math.Exp(-d * d / 2)
		}
	}
	return sum / (sigma * math.Sqrt(2*math.Pi) * float64(len(at)))
}
