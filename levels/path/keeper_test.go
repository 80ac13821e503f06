package path_test

import (
	"bytes"
	"errors"
	"io/fs"
	"reflect"
	"strings"
	"testing"

	"reedwell/levels/path"
)

// memory is a store in memory that can fail.
type memory struct {
	data   map[string][]byte
	torn   int                    // > 0: the next write dies after this many bytes
	full   bool                   // writes fail
	silent bool                   // writes vanish without an error
	shut   bool                   // reads fail
	absent error                  // what Load returns for a name that is not there
	saved  func(name string) bool // may refuse single names
}

var errQuota = errors.New("the storage is full")

// death is what a torn write panics with: the program ends there.
type death struct{}

func (m *memory) Load(name string) ([]byte, error) {
	if m.shut {
		return nil, errors.New("storage is not allowed here")
	}
	data, ok := m.data[name]
	if !ok {
		return nil, m.absent
	}
	return bytes.Clone(data), nil
}

func (m *memory) Save(name string, data []byte) error {
	switch {
	case m.full, m.saved != nil && !m.saved(name):
		return errQuota
	case m.silent:
		return nil
	case m.torn > 0:
		m.data[name] = bytes.Clone(data[:min(m.torn, len(data))])
		panic(death{})
	}
	m.data[name] = bytes.Clone(data)
	return nil
}

func empty() *memory { return &memory{data: map[string][]byte{}} }

func keep(t *testing.T, m *memory) *path.Keeper {
	t.Helper()
	k, reports := path.Keep(m)
	if len(reports) != 0 {
		t.Fatalf("reports %v, want none", reports)
	}
	return k
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func TestKeeperKeeps(t *testing.T) {
	for name, absent := range map[string]error{"no bytes": nil, "an error": fs.ErrNotExist} {
		m := empty()
		m.absent = absent
		k := keep(t, m)
		for i := range 7 {
			must(t, k.Record(monday(), "single-1", blind()))
			if again := keep(t, m); !reflect.DeepEqual(again.Progress(), k.Progress()) {
				t.Fatalf("%s for what is absent: take %d is not there after a start", name, i+1)
			}
		}
		if len(m.data) != 2 || k.Unsaved() {
			t.Errorf("%s for what is absent: %d names in the store, want the two slots", name, len(m.data))
		}
	}
}

// A write that dies at any byte costs at most the take that was being written, and
// what was left is not overwritten.
func TestTornWrite(t *testing.T) {
	whole := 0
	for cut := 1; cut == 1 || cut < whole; cut += 13 {
		m := empty()
		k := keep(t, m)
		for range 4 {
			must(t, k.Record(monday(), "single-1", blind()))
		}
		before := k.Progress()
		whole = len(before.Encode())
		m.torn = cut
		func() {
			defer func() {
				if _, ok := recover().(death); !ok {
					t.Fatal("the write did not die")
				}
			}()
			_ = k.Record(monday(), "single-1", good())
		}()
		m.torn = 0
		after, reports := path.Keep(m)
		if !reflect.DeepEqual(after.Progress(), before) {
			t.Fatalf("died after %d bytes: the older progress is gone", cut)
		}
		var aside *path.AsideError
		if len(reports) != 1 || !errors.As(reports[0], &aside) || !errors.Is(aside, path.ErrDamaged) {
			t.Fatalf("died after %d bytes: reports %v, want one of damage", cut, reports)
		}
		if got := m.data[aside.Aside]; len(got) != cut {
			t.Errorf("%d bytes kept aside, want %d", len(got), cut)
		}
		if err := after.Record(monday(), "single-1", good()); err != nil && !errors.As(err, &aside) {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(keep(t, m).Progress(), after.Progress()) || after.Unsaved() {
			t.Error("does not save any more")
		}
	}
}

func TestUnreadableIsKeptAside(t *testing.T) {
	newer := []byte(`{"reedwell-progress":2,"things":[]}`)
	rot := path.New().Record(monday(), "single-1", good()).Encode()
	rot[len(rot)/2] ^= 1
	for _, test := range []struct {
		name string
		data []byte
		want error
	}{{"newer", newer, path.ErrNewer}, {"damaged", rot, path.ErrDamaged}, {"too large", make([]byte, path.MaxBytes+1), path.ErrTooLarge}} {
		for _, both := range []bool{false, true} {
			m := empty()
			must(t, keep(t, m).Record(monday(), "single-2", good())) // in the first slot
			m.data["progress-b"] = test.data
			if both {
				m.data["progress-a"] = test.data
			}
			k, reports := path.Keep(m)
			var aside *path.AsideError
			if len(reports) == 0 || !errors.As(reports[0], &aside) || !errors.Is(aside, test.want) {
				t.Fatalf("%s: reports %v, want %v", test.name, reports, test.want)
			}
			if takes, _ := k.Progress().Takes("single-2"); both == (len(takes) == 1) {
				t.Errorf("%s: %d takes from the other slot", test.name, len(takes))
			}
			for range 4 {
				_ = k.Record(monday(), "single-1", good())
			}
			if !bytes.Equal(m.data[aside.Aside], test.data) {
				t.Errorf("%s: overwritten", test.name)
			}
			if takes, _ := keep(t, m).Progress().Takes("single-1"); len(takes) != 4 {
				t.Errorf("%s: %d takes after a start, want 4", test.name, len(takes))
			}
		}
	}
}

// Where it cannot be kept aside, it is left where it is.
func TestUnreadableIsNeverOverwritten(t *testing.T) {
	newer := []byte(`{"reedwell-progress":2}`)
	m := empty()
	m.data["progress-a"] = newer
	m.saved = func(name string) bool { return !strings.HasPrefix(name, "progress-aside") }
	k, reports := path.Keep(m)
	var failed *path.StoreError
	if len(reports) != 1 || !errors.As(reports[0], &failed) {
		t.Fatalf("reports %v, want a store error", reports)
	}
	if err := k.Record(monday(), "single-1", good()); !errors.As(err, &failed) || !k.Unsaved() {
		t.Errorf("saved in spite of it: %v", err)
	}
	if !bytes.Equal(m.data["progress-a"], newer) || len(m.data) != 1 {
		t.Error("the newer progress was touched")
	}
	m.saved = nil
	if err := k.Save(); errors.As(err, &failed) || k.Unsaved() {
		t.Errorf("with room again: %v", err)
	}
}

func TestSaveFails(t *testing.T) {
	for name, breakIt := range map[string]func(*memory){
		"full":   func(m *memory) { m.full = true },
		"silent": func(m *memory) { m.silent = true },
		"shut":   func(m *memory) { m.shut = true },
	} {
		m := empty()
		k := keep(t, m)
		must(t, k.Record(monday(), "single-1", good()))
		stored := bytes.Clone(m.data["progress-a"])
		breakIt(m)
		err := k.Record(monday(), "single-1", blind())
		var failed *path.StoreError
		if !errors.As(err, &failed) || !k.Unsaved() {
			t.Fatalf("%s: %v, want a store error", name, err)
		}
		if name == "full" && !errors.Is(err, errQuota) {
			t.Errorf("%s: %v does not tell the reason", name, err)
		}
		exported, err := path.Decode(k.Export())
		if takes, _ := exported.Takes("single-1"); err != nil || len(takes) != 2 {
			t.Errorf("%s: %d takes exported, %v, want 2", name, len(takes), err)
		}
		if !bytes.Equal(m.data["progress-a"], stored) {
			t.Errorf("%s: what was stored changed", name)
		}
		m.full, m.silent, m.shut = false, false, false
		must(t, k.Save())
		if takes, _ := keep(t, m).Progress().Takes("single-1"); len(takes) != 2 || k.Unsaved() {
			t.Errorf("%s: %d takes stored once it works again, want 2", name, len(takes))
		}
	}
}

// A store that is shut from the start still lets one play.
func TestNoStore(t *testing.T) {
	m := empty()
	m.shut = true
	k, reports := path.Keep(m)
	if len(reports) != 2 {
		t.Errorf("reports %v, want one for each slot", reports)
	}
	for range 4 {
		if err := k.Record(monday(), "single-1", blind()); err == nil {
			t.Error("no report of a take that was not stored")
		}
	}
	if k.Progress().Passed("single-1") != monday() {
		t.Error("not passed")
	}
}

func TestTwoWindows(t *testing.T) {
	m := empty()
	one, two := keep(t, m), keep(t, m)
	for range 3 {
		must(t, one.Record(monday(), "single-1", good()))
		must(t, two.Record(monday(), "warble-1", good()))
	}
	p := keep(t, m).Progress()
	for _, id := range []string{"single-1", "warble-1"} {
		if takes, _ := p.Takes(id); len(takes) != 3 {
			t.Errorf("%d takes of %s, want 3", len(takes), id)
		}
	}
}

func TestImport(t *testing.T) {
	m := empty()
	k := keep(t, m)
	must(t, k.Record(monday(), "single-1", good()))
	before := k.Progress()
	for name, data := range map[string][]byte{"damaged": []byte("x"), "newer": []byte(`{"reedwell-progress":9}`)} {
		if err := k.Import(data); err == nil || !reflect.DeepEqual(k.Progress(), before) {
			t.Errorf("%s file: %v, or the progress changed", name, err)
		}
	}
	must(t, k.Import(passed(path.New(), "warble-1").Encode()))
	if p := keep(t, m).Progress(); p.Passed("warble-1") != monday() || len(p.Drills()) != 2 {
		t.Error("the import is not there after a start")
	}
}
