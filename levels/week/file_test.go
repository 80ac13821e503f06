package week_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io/fs"
	"reflect"
	"strings"
	"testing"

	"reedwell/levels/path"
	"reedwell/levels/week"
)

func TestFileKeepsEverything(t *testing.T) {
	for seed := range uint64(50) {
		j := random(phone, seed, 200)
		if back, err := week.DecodeJournal(j.Encode()); err != nil || !reflect.DeepEqual(merged(t, back, back), merged(t, j, j)) {
			t.Fatalf("seed %d: %v", seed, err)
		}
	}
}

// sealed gives a file that was written by hand a right checksum.
func sealed(text string) []byte {
	sum := sha256.Sum256([]byte(text))
	return []byte(strings.Replace(text, `"sha256":""`, `"sha256":"`+hex.EncodeToString(sum[:])+`"`, 1))
}

func TestJournalsRefused(t *testing.T) {
	from := func(days, cells string) []byte {
		return sealed(`{"reedwell-journal":1,"sha256":"","saves":0,"source":"` + phone + `","from":{"` + phone + `":{"days":[` + days + `],"cells":[` + cells + `]}}}`)
	}
	const day = `[20780,1,30]`
	cell := func(rest string) []byte { return from(day, `{"d":20780,"i":"single-1",`+rest+`}`) }
	if _, err := week.DecodeJournal(cell(`"n":1,"g":0,"s":30,"h":500,"m":{"hold":[1,50,2500]}`)); err != nil {
		t.Fatalf("a good file written by hand: %v", err)
	}
	whole := random(phone, 3, 40).Encode()
	for i := 0; i < len(whole); i += 7 {
		bad := bytes.Clone(whole)
		bad[i] ^= 1
		if _, err := week.DecodeJournal(bad); err == nil {
			t.Fatalf("byte %d changed and not noticed", i)
		}
	}
	for _, test := range []struct {
		name string
		data []byte
		want error
	}{
		{"nothing", nil, week.ErrDamaged},
		{"null", []byte("null"), week.ErrDamaged},
		{"deep", []byte(strings.Repeat("[", 1<<18)), week.ErrDamaged},
		{"progress", path.New().Encode(), week.ErrDamaged},
		{"newer", []byte(`{"reedwell-journal":2,"from":7}`), week.ErrNewer},
		{"too large", make([]byte, week.MaxBytes+1), week.ErrTooLarge},
		{"cut", whole[:len(whole)/2], week.ErrDamaged},
		{"more good takes than takes", cell(`"n":1,"g":2,"s":30,"h":500,"m":{}`), week.ErrDamaged},
		{"share over 1", cell(`"n":1,"g":0,"s":30,"h":1001,"m":{}`), week.ErrDamaged},
		{"days of takes", cell(`"n":1,"g":0,"s":3601,"h":0,"m":{}`), week.ErrDamaged},
		{"measured more often than played", cell(`"n":1,"g":0,"s":30,"h":500,"m":{"hold":[2,50,2500]}`), week.ErrDamaged},
		{"squares under the sum", cell(`"n":1,"g":0,"s":30,"h":500,"m":{"hold":[1,50,2400]}`), week.ErrDamaged},
		{"unknown skill", cell(`"n":1,"g":0,"s":30,"h":500,"m":{"charm":[1,50,2500]}`), week.ErrDamaged},
		{"unknown key", cell(`"n":1,"g":0,"s":30,"h":500,"m":{},"x":1`), week.ErrDamaged},
		{"bad id", from(day, `{"d":20780,"i":"A","n":1,"g":0,"s":30,"h":500,"m":{}}`), week.ErrDamaged},
		{"entry after the last day", from(day, `{"d":20781,"i":"a","n":1,"g":0,"s":30,"h":500,"m":{}}`), week.ErrDamaged},
		{"day twice", from(day+","+day, ""), week.ErrDamaged},
		{"days backwards", from(day+",[20779,1,0]", ""), week.ErrDamaged},
		{"day without takes", from("[20780,0,30]", ""), week.ErrDamaged},
		{"bad source", sealed(`{"reedwell-journal":1,"sha256":"","saves":0,"source":"me","from":{}}`), week.ErrDamaged},
		{"forgotten in the middle of a week", sealed(`{"reedwell-journal":1,"sha256":"","saves":0,"source":"` + phone + `","since":"2026-11-24","from":{}}`), week.ErrDamaged},
	} {
		if _, err := week.DecodeJournal(test.data); !errors.Is(err, test.want) {
			t.Errorf("%s: %v, want %v", test.name, err, test.want)
		}
	}
}

func FuzzJournal(f *testing.F) {
	f.Add(week.New(phone).Encode())
	f.Add(random(phone, 1, 60).Encode())
	f.Add([]byte(`{"reedwell-journal":2}`))
	f.Add([]byte{0, 200, 0, 0, 201, 0, 0, 202, 0, 0, 203, 4})
	f.Fuzz(func(t *testing.T, data []byte) {
		j, err := week.DecodeJournal(data)
		if err == nil {
			if again, err := week.DecodeJournal(j.Encode()); err != nil || !reflect.DeepEqual(again, j) {
				t.Errorf("Decode(Encode(j)) = %v", err)
			}
			if m, err := week.Merge(j, j); err != nil || !reflect.DeepEqual(m, j) {
				t.Errorf("j with itself is not j, %v", err)
			}
		} else if !errors.Is(err, week.ErrDamaged) && !errors.Is(err, week.ErrNewer) && !errors.Is(err, week.ErrTooLarge) {
			t.Errorf("an error of no kind: %v", err)
		}
		data = data[:min(len(data), 240)] // 80 takes, to be quick
		a, b := some(phone, data), some(phone, data[len(data)/2:])
		ab, err := week.Merge(a, b)
		if err != nil {
			t.Fatal(err)
		}
		if again, err := week.Merge(ab, b); err != nil || !reflect.DeepEqual(again, ab) {
			t.Errorf("merging again changes something, %v", err)
		}
		if back, err := week.DecodeJournal(ab.Encode()); err != nil || !reflect.DeepEqual(back, ab) {
			t.Errorf("merged: %v", err)
		}
	})
}

// memory is a store in memory that can fail.
type memory struct {
	data map[string][]byte
	full bool
	shut bool
}

func (m *memory) Load(name string) ([]byte, error) {
	if m.shut {
		return nil, errors.New("storage is not allowed here")
	}
	data, ok := m.data[name]
	if !ok {
		return nil, fs.ErrNotExist
	}
	return bytes.Clone(data), nil
}

func (m *memory) Save(name string, data []byte) error {
	if m.full {
		return errors.New("the storage is full")
	}
	m.data[name] = bytes.Clone(data)
	return nil
}

func TestKeeper(t *testing.T) {
	m := &memory{data: map[string][]byte{}}
	one, reports := week.Keep(m, phone)
	two, _ := week.Keep(m, phone)
	if len(reports) != 0 {
		t.Fatal(reports)
	}
	for range 3 {
		if err := errors.Join(one.Record(monday(), take(20)), two.Record(monday(), take(10))); err != nil {
			t.Fatal(err)
		}
	}
	again, reports := week.Keep(m, laptop)
	if n, _ := sum(again.Journal()); n != 6 || len(reports) != 0 || again.Journal().Source() != phone || len(m.data) != 2 {
		t.Errorf("%d takes of two windows, want 6; source %s, %v", n, again.Journal().Source(), reports)
	}

	// A torn slot and one of a newer program are kept aside, the takes go on.
	torn := m.data["journal-a"][:50]
	newer := []byte(`{"reedwell-journal":7}`)
	for _, bad := range [][]byte{torn, newer} {
		m.data["journal-a"] = bad
		k, reports := week.Keep(m, phone)
		var aside *path.AsideError
		if len(reports) != 1 || !errors.As(reports[0], &aside) || !bytes.Equal(m.data[aside.Aside], bad) {
			t.Fatalf("reports %v, want one of what is kept aside", reports)
		}
		if n, _ := sum(k.Journal()); n < 5 {
			t.Errorf("%d takes left, want the older slot's", n)
		}
		if err := k.Record(monday(), take(1)); err != nil && !errors.As(err, &aside) || k.Unsaved() {
			t.Errorf("does not save any more: %v", err)
		}
	}

	k, _ := week.Keep(m, phone)
	before, _ := sum(k.Journal())
	m.full = true
	var failed *path.StoreError
	if err := k.Record(monday(), take(1)); !errors.As(err, &failed) || !k.Unsaved() {
		t.Errorf("a full store: %v", err)
	}
	if n, _ := sum(k.Journal()); n != before+1 {
		t.Errorf("%d takes in memory, want %d", n, before+1)
	}
	m.full, m.shut = false, true
	if err := k.Save(); !errors.As(err, &failed) || !k.Unsaved() {
		t.Errorf("a closed store: %v", err)
	}
	m.shut = false
	if err := k.Import(week.New(laptop).Add(monday(), take(4)).Encode()); err != nil || k.Unsaved() {
		t.Error(err)
	}
	if n, _ := sum(k.Journal()); n != before+2 {
		t.Errorf("%d takes after an import, want %d", n, before+2)
	}
	if err := k.Import([]byte("x")); !errors.Is(err, week.ErrDamaged) {
		t.Errorf("imported nonsense: %v", err)
	}
}
