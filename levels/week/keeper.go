package week

import "reedwell/levels/path"

// A Keeper holds the player's journal and keeps it in a store, by the rules of path.Keeper: see
// path.Pair. What another window wrote is taken in before each take.
type Keeper struct {
	pair    *path.Pair
	journal Journal
	unsaved bool
}

// Keep returns a keeper with the journal found in the store, and reports what could not be
// read: *path.AsideError and *path.StoreError. The given source is used when the store
// holds no journal.
func Keep(store path.Store, source string) (*Keeper, []error) {
	k := &Keeper{pair: path.NewPair(store, "journal"), journal: New(source)}
	newest := int64(-1)
	l := k.look(func(found Journal, saves int64) {
		if saves > newest {
			newest, source = saves, found.source
		}
	})
	k.journal.source = source
	return k, l.Reports
}

// Journal returns the journal as it stands, saved or not.
func (k *Keeper) Journal() Journal { return k.journal }

// Unsaved reports whether the last save failed.
func (k *Keeper) Unsaved() bool { return k.unsaved }

// Export returns the journal as a file for the player.
func (k *Keeper) Export() []byte { return k.journal.Encode() }

// Record adds a take and saves. The take counts even if an error is returned; see Save.
func (k *Keeper) Record(day path.Day, t Take) error {
	// Another window of this installation adds to the same entries: its takes come first.
	l := k.look(nil)
	k.journal = k.journal.Add(day, t)
	return k.write(l)
}

// Import merges a file into the journal and saves. A file that cannot be read changes
// nothing; after a *path.StoreError it is merged in memory.
func (k *Keeper) Import(data []byte) error {
	other, err := DecodeJournal(data)
	if err != nil {
		return err
	}
	merged, err := Merge(k.journal, other)
	if err != nil {
		return err
	}
	k.journal = merged
	return k.Save()
}

// Save writes the journal, also to try again after an error. Errors are those of
// path.Keeper.Save.
func (k *Keeper) Save() error { return k.write(k.look(nil)) }

// write writes the journal where a look has found room.
func (k *Keeper) write(l path.Look) error {
	written, err := k.pair.Save(l, func(saves int64) []byte { return encode(k.journal, saves) })
	k.unsaved = !written
	return err
}

// look takes in what the store holds. Whoever gives tell is told of each journal.
func (k *Keeper) look(tell func(found Journal, saves int64)) path.Look {
	return k.pair.Look(func(data []byte) (int64, error) {
		found, saves, err := decode(data)
		if err != nil {
			return 0, err
		}
		merged, err := Merge(k.journal, found)
		if err != nil {
			return 0, err
		}
		k.journal = merged
		if tell != nil {
			tell(found, saves)
		}
		return saves, nil
	})
}
