package reeds

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"reedwell/levels/harp"
	"reedwell/levels/path"
)

// A Kept harp is one of the player's.
type Kept struct {
	Name     string    // the player's own; 1 to MaxName characters
	Harp     harp.Harp // as measured, or as chosen
	Measured path.Day  // 0: not measured yet
	Found    Faults    // of the last pass
}

// Bounds of a case.
const (
	MaxHarps = 60 // our choice: every key in three tunings
	MaxName  = 40 // characters; what a narrow screen shows on two lines
)

// What may be wrong with a change to a case.
var (
	ErrName   = errors.New("a harp's name has 1 to 40 characters on one line")
	ErrTaken  = errors.New("another harp has this name; choose another")
	ErrAbsent = errors.New("no harp has this name")
	ErrFull   = errors.New("the case is full; take a harp out first")
)

// A Case holds the player's harps. The zero value is empty. Names that differ in case only are the same.
type Case struct {
	harps []Kept
	first int // index of the default
}

// Harps returns the harps in the order they came, in a new slice.
func (c *Case) Harps() []Kept { return slices.Clone(c.harps) }

// Default returns the harp to begin with; false for an empty case.
func (c *Case) Default() (Kept, bool) {
	if len(c.harps) == 0 {
		return Kept{}, false
	}
	return c.harps[c.first], true
}

// Find returns the harp of that name.
func (c *Case) Find(name string) (Kept, bool) {
	if i := c.index(name); i >= 0 {
		return c.harps[i], true
	}
	return Kept{}, false
}

func (c *Case) index(name string) int {
	name = strings.TrimSpace(name)
	return slices.IndexFunc(c.harps, func(k Kept) bool { return strings.EqualFold(k.Name, name) })
}

// Add puts in a harp. The first becomes the default. It fails with ErrName, ErrTaken, ErrFull or
// what harp.Harp.Validate says, and then changes nothing.
func (c *Case) Add(k Kept) error {
	if c.index(k.Name) >= 0 {
		return fmt.Errorf("case: %.60q: %w", k.Name, ErrTaken)
	}
	if len(c.harps) >= MaxHarps {
		return fmt.Errorf("case: %d harps: %w", MaxHarps, ErrFull)
	}
	k, err := k.clean()
	if err == nil {
		c.harps = append(slices.Clip(c.harps), k)
	}
	return err
}

// Measure gives the harp of that name what was newly measured, and the day.
func (c *Case) Measure(name string, h harp.Harp, found Faults, day path.Day) error {
	i := c.index(name)
	if i < 0 {
		return fmt.Errorf("case: %.60q: %w", name, ErrAbsent)
	}
	k, err := Kept{c.harps[i].Name, h, day, found}.clean()
	if err == nil {
		c.harps = slices.Clone(c.harps)
		c.harps[i] = k
	}
	return err
}

// Rename gives a harp another name.
func (c *Case) Rename(from, to string) error {
	i := c.index(from)
	if i < 0 {
		return fmt.Errorf("case: %.60q: %w", from, ErrAbsent)
	}
	if j := c.index(to); j >= 0 && j != i {
		return fmt.Errorf("case: %.60q: %w", to, ErrTaken)
	}
	k := c.harps[i]
	k.Name = to
	k, err := k.clean()
	if err == nil {
		c.harps = slices.Clone(c.harps)
		c.harps[i] = k
	}
	return err
}

// Delete takes a harp out. When it was the default, the first of the rest becomes it.
func (c *Case) Delete(name string) error {
	i := c.index(name)
	if i < 0 {
		return fmt.Errorf("case: %.60q: %w", name, ErrAbsent)
	}
	c.harps = slices.Delete(slices.Clone(c.harps), i, i+1)
	switch {
	case c.first == i:
		c.first = 0
	case c.first > i:
		c.first--
	}
	return nil
}

// SetDefault chooses the harp to begin with.
func (c *Case) SetDefault(name string) error {
	i := c.index(name)
	if i < 0 {
		return fmt.Errorf("case: %.60q: %w", name, ErrAbsent)
	}
	c.first = i
	return nil
}

// Join takes in the harps of another case. Of two with one name and key the one that was measured last is kept; of two with one name and
// different keys the other's gets a number after its name. It fails with ErrFull, and then changes nothing.
func (c *Case) Join(other Case) error {
	out := Case{slices.Clone(c.harps), c.first}
	for _, k := range other.harps {
		i := out.index(k.Name)
		switch {
		case i >= 0 && out.harps[i].Harp.Key == k.Harp.Key:
			if k.Measured > out.harps[i].Measured {
				out.harps[i] = k
			}
			continue
		case i >= 0:
			k.Name = out.Free(k.Name)
		}
		if err := out.Add(k); err != nil {
			return err
		}
	}
	*c = out
	return nil
}

// Free returns the name, with a number after it where a harp has it already.
func (c *Case) Free(name string) string {
	free := strings.TrimSpace(name)
	for n := 2; c.index(free) >= 0; n++ {
		end := fmt.Sprintf(" %d", n)
		letters := []rune(strings.TrimSpace(name))
		free = string(letters[:min(len(letters), MaxName-len(end))]) + end
	}
	return free
}

// Of returns the harp of that key to take: the default if it has it, else the one measured last, else the first.
func (c *Case) Of(key harp.Key) (Kept, bool) {
	if k, ok := c.Default(); ok && k.Harp.Key == key {
		return k, true
	}
	best := -1
	for i, k := range c.harps {
		if k.Harp.Key == key && (best < 0 || k.Measured > c.harps[best].Measured) {
			best = i
		}
	}
	if best < 0 {
		return Kept{}, false
	}
	return c.harps[best], true
}

// clean returns k as it is kept, or says what is wrong with it.
func (k Kept) clean() (Kept, error) {
	k.Name = strings.TrimSpace(k.Name)
	if n := utf8.RuneCountInString(k.Name); n < 1 || n > MaxName || !utf8.ValidString(k.Name) || strings.ContainsFunc(k.Name, unprintable) {
		return Kept{}, fmt.Errorf("case: %.60q: %w", k.Name, ErrName)
	}
	if err := k.Harp.Validate(); err != nil {
		return Kept{}, fmt.Errorf("case: %q: %w", k.Name, err)
	}
	if k.Measured != 0 && !k.Measured.Valid() {
		return Kept{}, fmt.Errorf("case: %q: the day of measuring, %d, is no day", k.Name, int(k.Measured))
	}
	if k.Harp.A4 == 0 {
		k.Harp.A4 = 440
	}
	k.Harp.A4 = hundredths(k.Harp.A4)
	for i := range harp.Holes {
		k.Harp.Profile.Blow[i] = hundredths(k.Harp.Profile.Blow[i])
		k.Harp.Profile.Draw[i] = hundredths(k.Harp.Profile.Draw[i])
	}
	return k, nil
}

// unprintable also holds what turns the direction of a line.
func unprintable(r rune) bool { return !unicode.IsPrint(r) }
