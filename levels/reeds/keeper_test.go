package reeds

import (
	"bytes"
	"errors"
	"io/fs"
	"slices"
	"strings"
	"testing"

	"reedwell/levels/harp"
	"reedwell/levels/path"
)

// memory is a store that can be full, or drop what is written.
type memory struct {
	data       map[string][]byte
	full, lost bool
}

func (m *memory) Load(name string) ([]byte, error) {
	data, ok := m.data[name]
	if !ok {
		return nil, fs.ErrNotExist
	}
	return slices.Clone(data), nil
}

func (m *memory) Save(name string, data []byte) error {
	switch {
	case m.full:
		return errors.New("quota exceeded")
	case !m.lost:
		m.data[name] = slices.Clone(data)
	}
	return nil
}

func add(name string) func(*Case) error {
	return func(c *Case) error { return c.Add(Kept{Name: name}) }
}

func names(c Case) string {
	var all []string
	for _, k := range c.Harps() {
		all = append(all, k.Name)
	}
	return strings.Join(all, ",")
}

func TestKeeper(t *testing.T) {
	m := &memory{data: map[string][]byte{}}
	keep := func() *Keeper {
		k, reports := Keep(m)
		if len(reports) > 0 {
			t.Fatal(reports)
		}
		return k
	}
	one, two := keep(), keep() // two windows
	if err := errors.Join(one.Change(add("a")), two.Change(add("b")), one.Change(add("c"))); err != nil {
		t.Fatal(err)
	}
	if got := names(keep().Case()); got != "a,b,c" {
		t.Errorf("two windows kept %s, want a,b,c", got)
	}
	if err := two.Change(add("C")); !errors.Is(err, ErrTaken) || names(two.Case()) != "a,b,c" {
		t.Errorf("a name another window has taken: %v, case %s", err, names(two.Case()))
	}
	for _, broken := range []struct {
		name string
		set  func(on bool)
	}{{"full", func(on bool) { m.full = on }}, {"loses what is written", func(on bool) { m.lost = on }}} {
		broken.set(true)
		var store *path.StoreError
		err := one.Change(add("d"))
		if !errors.As(err, &store) || !one.Unsaved() || names(one.Case()) != "a,b,c,d" {
			t.Errorf("%s: %v, unsaved %v, case %s; want it in memory", broken.name, err, one.Unsaved(), names(one.Case()))
		}
		broken.set(false)
		if err := two.Change(func(c *Case) error { return c.Rename("a", "A1") }); err != nil {
			t.Error(err)
		}
		if err := one.Change(add("e")); err != nil || one.Unsaved() {
			t.Errorf("%s no more: %v", broken.name, err)
		}
		if got := names(keep().Case()); got != "A1,b,c,d,e" {
			t.Errorf("after it %s, want A1,b,c,d,e", got)
		}
		if err := one.Change(func(c *Case) error { return errors.Join(c.Delete("d"), c.Delete("e"), c.Rename("A1", "a")) }); err != nil {
			t.Fatal(err)
		}
	}
}

func TestKeeperPutsAside(t *testing.T) {
	for _, c := range []struct {
		name string
		data []byte
		want error
	}{{"damaged", []byte("{"), ErrDamaged}, {"newer", []byte(`{"reedwell-harps":9}`), ErrNewer}} {
		m := &memory{data: map[string][]byte{storeName: c.data}}
		k, reports := Keep(m)
		var aside *path.AsideError
		if len(reports) != 1 || !errors.As(reports[0], &aside) || !errors.Is(reports[0], c.want) || !bytes.Equal(m.data[aside.Aside], c.data) {
			t.Fatalf("%s: reports %v, store %v; want a copy aside", c.name, reports, m.data)
		}
		if err := k.Change(add("a")); err != nil && !errors.As(err, &aside) {
			t.Errorf("%s: %v", c.name, err)
		}
		k, reports = Keep(m)
		if len(reports) != 0 || names(k.Case()) != "a" || !bytes.Equal(m.data[aside.Aside], c.data) {
			t.Errorf("%s: then %s, %v; want it to go on and the copy to stay", c.name, names(k.Case()), reports)
		}
		// Where no copy can be made nothing is written.
		m = &memory{data: map[string][]byte{storeName: c.data}, full: true}
		k, _ = Keep(m)
		var store *path.StoreError
		if err := k.Change(add("a")); !errors.As(err, &store) || !bytes.Equal(m.data[storeName], c.data) || names(k.Case()) != "a" {
			t.Errorf("%s, full: %v, store holds %q", c.name, err, m.data[storeName])
		}
	}
}

func TestJoin(t *testing.T) {
	mine, theirs := sampleCase(t), sampleCase(t)
	if err := errors.Join(theirs.Measure("Old faithful", harp.Harp{Key: mustKey(t, "A"), A4: 441}, Faults{}, path.Date(2026, 12, 1)),
		theirs.Rename("Für Gäste", "Gast"), theirs.Measure("the <new> one & only", harp.New(mustKey(t, "D")), Faults{}, 7)); err != nil {
		t.Fatal(err)
	}
	if err := mine.Join(theirs); err != nil {
		t.Fatal(err)
	}
	if got := names(mine); got != "Old faithful,the <new> one & only,Für Gäste,the <new> one & only 2,Gast" {
		t.Errorf("joined: %s", got)
	}
	if k, _ := mine.Find("Old faithful"); k.Harp.A4 != 441 {
		t.Errorf("the older measuring was kept: %+v", k)
	}
	if k, ok := mine.Of(mustKey(t, "C")); !ok || k.Name != "Für Gäste" { // the default
		t.Errorf("for C %q is taken, want the default", k.Name)
	}
	if k, ok := mine.Of(mustKey(t, "B")); ok {
		t.Errorf("for B %q is taken, want none", k.Name)
	}
	var full Case
	for i := range MaxHarps {
		if err := full.Add(Kept{Name: strings.Repeat("x", i%MaxName+1) + string(rune('a' + i/MaxName))[:min(1, MaxName-i%MaxName-1)]}); err != nil && !errors.Is(err, ErrTaken) {
			t.Fatal(err)
		}
	}
	for len(full.Harps()) < MaxHarps {
		if err := full.Add(Kept{Name: full.Free(strings.Repeat("y", MaxName))}); err != nil {
			t.Fatal(err)
		}
	}
	before := names(full)
	if err := full.Join(mine); !errors.Is(err, ErrFull) || names(full) != before {
		t.Errorf("joined to a full case: %v", err)
	}
}

// A kept harp tells what its pass found.
func TestKeptReport(t *testing.T) {
	c := sampleCase(t)
	k, _ := c.Find("Old faithful")
	r, ok := k.Report()
	if !ok || r.Heard != 19 || r.Fit.Tuning != harp.Compromise || r.Fit.A4 != 442.5 {
		t.Fatalf("report %+v, %v", r.Fit, ok)
	}
	for i, d := range r.Reeds {
		want := k.Found.Of(d.Note)
		if !slices.Equal(d.Faults, want) {
			t.Errorf("%s: %v, want %v", d.Note.Tab(), d.Faults, want)
		}
		hz, _ := k.Harp.Hz(d.Note)
		if i != 3 && d.Hz != hz {
			t.Errorf("%s: %g Hz, want %g", d.Note.Tab(), d.Hz, hz)
		}
	}
	if _, ok := (Kept{}).Report(); ok {
		t.Error("a harp that was never measured has a report")
	}
	data := c.Encode()
	if !bytes.Contains(data, []byte(`"found":{"-2":["not heard"],"-4":["off","leaks"]}`)) {
		t.Errorf("written as %s", data)
	}
}
