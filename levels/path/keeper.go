package path

import "fmt"

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

// A Keeper holds the player's progress and keeps it in a store.
//
// Each save reads the store first and takes in what it finds there, so two open
// windows do not undo each other unless they save in the same instant. See [Pair] for what
// cannot be read.
type Keeper struct {
	pair     *Pair
	progress Progress
	unsaved  bool
}

// Keep returns a keeper with the progress found in the store, and reports what could
// not be read: *AsideError and *StoreError. It is usable whatever is reported.
func Keep(store Store) (*Keeper, []error) {
	k := &Keeper{pair: NewPair(store, "progress")}
	return k, k.look().Reports
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
	written, err := k.pair.Save(k.look(), func(saves int64) []byte { return encode(k.progress, saves) })
	k.unsaved = !written
	return err
}

// look takes in what the store holds.
func (k *Keeper) look() Look {
	return k.pair.Look(func(data []byte) (int64, error) {
		found, saves, err := decode(data)
		if err == nil {
			found, err = Merge(k.progress, found)
		}
		if err == nil {
			k.progress = found
		}
		return saves, err
	})
}
