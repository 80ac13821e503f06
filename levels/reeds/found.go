package reeds

import (
	"encoding/json"
	"fmt"
	"slices"

	"reedwell/levels/harp"
)

// String is the fault's name in files.
func (f Fault) String() string {
	if f < NotHeard || f > Along {
		return fmt.Sprintf("fault %d", int(f))
	}
	return [...]string{"not heard", "off", "slow", "leaks", "along"}[f]
}

// Faults are what was found of the reeds of a kept harp: a bit for each Fault, of hole 1 blow, hole 1 draw and so on. The
// zero value is a harp whose reeds are all fine, or that was never measured.
type Faults [2 * harp.Holes]uint8

// Of returns what was found of a natural reed, the gravest first.
func (f Faults) Of(n harp.Note) []Fault {
	var all []Fault
	for k := NotHeard; k <= Along; k++ {
		if f[index(n)]&(1<<k) != 0 {
			all = append(all, k)
		}
	}
	return all
}

// Faults are those of the report's reeds, to be kept with the harp.
func (r Report) Faults() Faults {
	var f Faults
	for i, d := range r.Reeds {
		for _, k := range d.Faults {
			f[i] |= 1 << k
		}
	}
	return f
}

// MarshalJSON writes the reeds that have faults: {"-4":["off","leaks"]}.
func (f Faults) MarshalJSON() ([]byte, error) {
	all := map[string][]string{}
	for _, n := range Plan() {
		for _, k := range f.Of(n) {
			all[n.Tab()] = append(all[n.Tab()], k.String())
		}
	}
	return json.Marshal(all)
}

// UnmarshalJSON reads what MarshalJSON writes.
func (f *Faults) UnmarshalJSON(data []byte) error {
	var all map[string][]string
	if err := json.Unmarshal(data, &all); err != nil {
		return fmt.Errorf("faults: %w", err)
	}
	names := []string{NotHeard.String(), Off.String(), Slow.String(), Leaks.String(), Along.String()}
	var got Faults
	for tab, list := range all {
		n, err := harp.ParseNote(tab)
		if err != nil {
			return fmt.Errorf("faults: %w", err)
		}
		if n.Bend > 0 || n.Over {
			return fmt.Errorf("faults: %s is no reed", tab)
		}
		for _, name := range list {
			k := slices.Index(names, name)
			if k < 0 {
				return fmt.Errorf("faults: %.40q of %s is none that is known", name, tab)
			}
			got[index(n)] |= 1 << k
		}
	}
	*f = got
	return nil
}

// Report tells of a kept harp what its last pass found, as far as it is kept: pitches, tuning and faults. The octaves are worked out
// anew; what else a pass measured is not there. It reports false for a harp that was never measured.
func (k Kept) Report() (Report, bool) {
	if k.Measured == 0 {
		return Report{}, false
	}
	r := Report{Key: k.Harp.Key, Fit: Fit{Found: true, Tuning: k.Harp.Tuning, Next: k.Harp.Tuning, A4: k.Harp.A4, Sure: true}}
	for i := range r.Reeds {
		d := &r.Reeds[i]
		d.Note = harp.Note{Hole: i/2 + 1, Breath: harp.Breath(i % 2)}
		d.Speak, d.Flutter = -1, -1
		if d.Faults = k.Found.Of(d.Note); slices.Contains(d.Faults, NotHeard) {
			continue
		}
		hz, err := k.Harp.Hz(d.Note)
		if err != nil {
			panic("reeds: " + err.Error()) // every harp has its natural reeds
		}
		d.Tries, d.Hz = 1, hz
		d.Cents = harp.Cents(hz, 440)
		d.FromTuning = k.Harp.Profile.Cents(d.Note.Hole, d.Note.Breath)
		r.Heard++
	}
	for i := range r.Reeds {
		if d := &r.Reeds[i]; d.Tries > 0 {
			d.FromOthers = d.FromTuning - median(r.around(i, func(o *Reed) (float64, bool) { return o.FromTuning, true }))
		}
	}
	r.octaves()
	return r, true
}
