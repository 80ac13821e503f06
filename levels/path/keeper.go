package path

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"math"
)

// A Store keeps bytes under names. Names are small letters, digits and hyphens.
type Store interface {
	// Load returns what was saved last under the name: no bytes and no error, or an
	// error that is fs.ErrNotExist, when there is nothing.
	Load(name string) ([]byte, error)
	// Save keeps a copy of data under the name.
	Save(name string, data []byte) error
}

// A StoreError says that the store could not be used. The progress stays in memory and
// can be exported.
type StoreError struct {
	Name string // under which it was to be read or written
	Err  error
}

func (e *StoreError) Error() string {
	return fmt.Sprintf("progress could not be stored (%s: %v); export it to a file to keep it", e.Name, e.Err)
}

func (e *StoreError) Unwrap() error { return e.Err }

// An AsideError says that stored progress could not be read and where it is kept now.
type AsideError struct {
	Name  string // where it was found
	Aside string // where a copy is kept
	Err   error  // ErrDamaged, ErrNewer or ErrTooLarge, wrapped
}

func (e *AsideError) Error() string {
	return fmt.Sprintf("stored progress %s is kept aside as %s: %v", e.Name, e.Aside, e.Err)
}

func (e *AsideError) Unwrap() error { return e.Err }

// slots are the two names that are written in turn: the older copy is replaced, so a
// write that dies half way leaves the newer one whole.
func slots() [2]string { return [2]string{"progress-a", "progress-b"} }

// A Keeper holds the player's progress and keeps it in a store.
//
// Each save reads the store first and takes in what it finds there, so two open
// windows do not undo each other unless they save in the same instant. What cannot be
// read is copied aside, under a name made from its content, before its slot is used
// again; if that copy cannot be made, nothing is written.
type Keeper struct {
	store    Store
	progress Progress
	unsaved  bool
}

// Keep returns a keeper with the progress found in the store, and reports what could
// not be read: *AsideError and *StoreError. It is usable whatever is reported.
func Keep(store Store) (*Keeper, []error) {
	k := &Keeper{store: store}
	_, _, reports := k.look()
	return k, reports
}

// Progress returns the progress as it stands, saved or not.
func (k *Keeper) Progress() Progress { return k.progress }

// Unsaved reports whether the last save failed.
func (k *Keeper) Unsaved() bool { return k.unsaved }

// Export returns the progress as a file for the player.
func (k *Keeper) Export() []byte { return k.progress.Encode() }

// Record adds a take and saves. The take counts even if an error is returned; see Save.
func (k *Keeper) Record(day Day, id string, take Take) error {
	k.progress = k.progress.Record(day, id, take)
	return k.Save()
}

// Import merges a file into the progress and saves. A file that cannot be read changes
// nothing; after a *StoreError it is merged in memory.
func (k *Keeper) Import(data []byte) error {
	other, err := Decode(data)
	if err != nil {
		return err
	}
	merged, err := Merge(k.progress, other)
	if err != nil {
		return err
	}
	k.progress = merged
	return k.Save()
}

// Save writes the progress, also to try again after an error. An error is a
// *StoreError when nothing was written and the progress is only in memory, or an
// *AsideError when it was written and something unreadable was found and kept aside;
// errors.As finds each.
func (k *Keeper) Save() error {
	k.unsaved = true
	target, saves, reports := k.look()
	report := errors.Join(reports...)
	if target == "" {
		return report
	}
	data := encode(k.progress, saves)
	if err := k.store.Save(target, data); err != nil {
		return errors.Join(&StoreError{target, err}, report)
	}
	// Some stores drop a write without a word, in private windows for instance.
	if back, err := k.store.Load(target); err != nil || !bytes.Equal(back, data) {
		if err == nil {
			err = errors.New("what was written is not there")
		}
		return errors.Join(&StoreError{target, err}, report)
	}
	k.unsaved = false
	return report
}

// look reads both slots into the progress and copies aside what it cannot read. It
// returns the slot to write next, empty when none may be, and the number of that save.
func (k *Keeper) look() (target string, saves int64, reports []error) {
	var newest int64 = -1
	safe := true
	names := slots()
	target = names[0]
	for i, name := range names {
		data, err := k.store.Load(name)
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			reports = append(reports, &StoreError{name, err})
			safe = false
			continue
		}
		if err != nil || len(data) == 0 {
			continue
		}
		found, n, err := decode(data)
		if err == nil {
			if n > newest {
				newest, target = n, names[1-i]
			}
			found, err = Merge(k.progress, found)
			if err == nil {
				k.progress = found
				continue
			}
		}
		aside := fmt.Sprintf("progress-aside-%x", sha256.Sum256(data))[:len("progress-aside-")+16]
		if err := k.copy(aside, data); err != nil {
			reports = append(reports, &StoreError{aside, err})
			safe = false
			continue
		}
		reports = append(reports, &AsideError{name, aside, err})
	}
	if !safe {
		return "", 0, reports
	}
	if newest == math.MaxInt64 {
		newest-- // both slots hold everything by now, so their order no longer matters
	}
	return target, newest + 1, reports
}

// copy saves data under a name that belongs to this content, unless it is there.
func (k *Keeper) copy(name string, data []byte) error {
	if have, err := k.store.Load(name); err == nil && bytes.Equal(have, data) {
		return nil
	}
	if err := k.store.Save(name, data); err != nil {
		return err
	}
	if have, err := k.store.Load(name); err != nil || !bytes.Equal(have, data) {
		return errors.Join(errors.New("what was written is not there"), err)
	}
	return nil
}
