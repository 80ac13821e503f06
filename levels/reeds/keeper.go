package reeds

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"

	"reedwell/levels/path"
)

// storeName is where the case is kept, and asideName, with a name made from the content, where what can't be read goes.
const (
	storeName = "harps"
	asideName = "harps-aside-"
)

// A Keeper holds the player's case and keeps it in a store.
//
// Each change is made to what the store holds at that moment, so two open windows do not undo each other unless they save
// in the same instant. A change that could not be stored is made again with the next one. What cannot be read is copied aside, under
// a name made from its content, before its place is used again; if that copy can't be made, nothing is written.
type Keeper struct {
	store   path.Store
	have    Case                // with all changes
	stored  Case                // as it was read or written last
	pending []func(*Case) error // changes that are not stored yet
}

// Keep returns a keeper with the case found in the store, and reports what could not be read: *path.AsideError and
// *path.StoreError. It is usable whatever is reported.
func Keep(store path.Store) (*Keeper, []error) {
	k := &Keeper{store: store}
	_, reports := k.look()
	k.have = k.stored
	return k, reports
}

// Case returns the case as it stands, stored or not. It must not be changed.
func (k *Keeper) Case() Case { return k.have }

// Unsaved reports whether the last change could not be stored.
func (k *Keeper) Unsaved() bool { return len(k.pending) > 0 }

// Change makes a change and stores it. What change returns is returned as it is, and nothing is changed then. With a *path.StoreError
// the case is changed but only in memory; an *path.AsideError says that it was stored and something unreadable was kept aside;
// errors.As finds each.
func (k *Keeper) Change(change func(*Case) error) error {
	safe, reports := k.look()
	made := k.stored
	for _, earlier := range k.pending {
		_ = earlier(&made) // one that fits no more, since another window was quicker, is left out
	}
	if err := change(&made); err != nil {
		k.have = made
		return errors.Join(append(reports, err)...)
	}
	k.have = made
	k.pending = append(k.pending, change)
	if !safe {
		return errors.Join(reports...)
	}
	data := made.Encode()
	err := k.store.Save(storeName, data)
	if err == nil {
		// Some stores drop a write without a word, in private windows for instance.
		var back []byte
		if back, err = k.store.Load(storeName); err == nil && !bytes.Equal(back, data) {
			err = errors.New("what was written is not there")
		}
	}
	if err != nil {
		return errors.Join(append(reports, &path.StoreError{Name: storeName, Err: err})...)
	}
	k.stored, k.pending = made, nil
	return errors.Join(reports...)
}

// look reads the store. It reports false when nothing may be written.
func (k *Keeper) look() (safe bool, reports []error) {
	data, err := k.store.Load(storeName)
	if errors.Is(err, fs.ErrNotExist) || err == nil && len(data) == 0 {
		return true, nil
	}
	if err != nil {
		return false, []error{&path.StoreError{Name: storeName, Err: err}}
	}
	c, err := Decode(data)
	if err == nil {
		k.stored = c
		return true, nil
	}
	sum := sha256.Sum256(data)
	aside := asideName + fmt.Sprintf("%.8x", sum[:])
	if have, wrong := k.store.Load(aside); wrong == nil && bytes.Equal(have, data) {
		return true, []error{&path.AsideError{Name: storeName, Aside: aside, Err: err}}
	}
	wrong := k.store.Save(aside, data)
	if wrong == nil {
		var back []byte
		if back, wrong = k.store.Load(aside); wrong == nil && !bytes.Equal(back, data) {
			wrong = errors.New("what was written is not there")
		}
	}
	if wrong != nil {
		return false, []error{&path.StoreError{Name: aside, Err: wrong}}
	}
	return true, []error{&path.AsideError{Name: storeName, Aside: aside, Err: err}}
}
