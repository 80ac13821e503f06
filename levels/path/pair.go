package path

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"math"
)

// A Pair is the two slots in a store in which one file is kept. They are written in turn: the
// older copy is replaced, so a write that dies half way leaves the newer one whole.
//
// What cannot be read is copied aside, under a name made from its content, before its slot is
// used again; if that copy cannot be made, nothing is written. A Pair belongs to one goroutine.
type Pair struct {
	store Store
	name  string
	seen  map[string]seen
}

// seen is what a slot held when it was looked at last. Reading a large file again after each
// take, though nothing has changed, would make players wait.
type seen struct {
	data  []byte
	saves int64
}

// NewPair returns the slots name-a and name-b of a store. Copies of what cannot be read are
// called name-aside-, with the beginning of their SHA-256 sum.
func NewPair(store Store, name string) *Pair {
	return &Pair{store, name, map[string]seen{}}
}

// A Look is what was found in a pair.
type Look struct {
	Reports []error // *AsideError and *StoreError
	target  string  // the slot to write next; empty when none may be
	saves   int64   // the number of that save
}

// Look hands to takeIn what a slot holds, if that has changed since the last look or save.
// takeIn makes it a part of what its caller has, and returns the number of its save, or why it
// cannot.
func (p *Pair) Look(takeIn func(data []byte) (saves int64, err error)) Look {
	var newest int64 = -1
	safe := true
	names := [2]string{p.name + "-a", p.name + "-b"}
	l := Look{target: names[0]}
	for i, name := range names {
		data, err := p.store.Load(name)
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			l.Reports = append(l.Reports, &StoreError{name, err})
			safe = false
			continue
		}
		if err != nil || len(data) == 0 {
			continue
		}
		had, ok := p.seen[name]
		if !ok || !bytes.Equal(had.data, data) {
			had.data = data
			had.saves, err = takeIn(data)
		}
		if err == nil {
			p.seen[name] = had
			if had.saves > newest {
				newest, l.target = had.saves, names[1-i]
			}
			continue
		}
		aside := fmt.Sprintf("%s-aside-%.8x", p.name, sha256.Sum256(data))
		if err := p.copy(aside, data); err != nil {
			l.Reports = append(l.Reports, &StoreError{aside, err})
			safe = false
			continue
		}
		l.Reports = append(l.Reports, &AsideError{name, aside, err})
	}
	if !safe {
		l.target = ""
		return l
	}
	if newest == math.MaxInt64 {
		newest-- // both slots hold everything by now, so their order no longer matters
	}
	l.saves = newest + 1
	return l
}

// Save writes, where the look found room, what file makes of the number of the save, and
// reports whether it is written. The error holds the look's reports and, when nothing was
// written, a *StoreError.
func (p *Pair) Save(l Look, file func(saves int64) []byte) (written bool, err error) {
	report := errors.Join(l.Reports...)
	if l.target == "" {
		return false, report
	}
	data := file(l.saves)
	if err := p.put(l.target, data); err != nil {
		return false, errors.Join(&StoreError{l.target, err}, report)
	}
	p.seen[l.target] = seen{data, l.saves}
	return true, report
}

// copy saves data under a name that belongs to this content, unless it is there.
func (p *Pair) copy(name string, data []byte) error {
	if have, err := p.store.Load(name); err == nil && bytes.Equal(have, data) {
		return nil
	}
	return p.put(name, data)
}

// put saves and looks whether it is there: some stores drop a write without a word, in private
// windows for instance.
func (p *Pair) put(name string, data []byte) error {
	if err := p.store.Save(name, data); err != nil {
		return err
	}
	if back, err := p.store.Load(name); err != nil || !bytes.Equal(back, data) {
		return errors.Join(errors.New("what was written is not there"), err)
	}
	return nil
}
