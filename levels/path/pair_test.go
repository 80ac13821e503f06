package path_test

import (
	"errors"
	"fmt"
	"io/fs"
	"testing"

	"reedwell/levels/path"
)

// shelf is a store of texts.
type shelf map[string]string

func (s shelf) Load(name string) ([]byte, error) {
	if text, ok := s[name]; ok {
		return []byte(text), nil
	}
	return nil, fs.ErrNotExist
}

func (s shelf) Save(name string, data []byte) error {
	s[name] = string(data)
	return nil
}

// A slot is read when it has changed and at no other time, the two are written in turn, and
// what cannot be read is copied aside before its slot is written.
func TestPair(t *testing.T) {
	s := shelf{}
	p := path.NewPair(s, "x")
	var read []string
	takeIn := func(data []byte) (int64, error) {
		read = append(read, string(data))
		var n int64
		_, err := fmt.Sscanf(string(data), "save %d", &n)
		return n, err
	}
	save := func() {
		t.Helper()
		if written, err := p.Save(p.Look(takeIn), func(n int64) []byte { return fmt.Appendf(nil, "save %d", n) }); !written || err != nil {
			t.Fatalf("not written: %v", err)
		}
	}
	for range 3 {
		save()
	}
	if s["x-a"] != "save 2" || s["x-b"] != "save 1" || len(read) != 0 {
		t.Errorf("%v, and read %q; want saves 2 and 1, and nothing read", s, read)
	}
	s["x-a"] = "save 9" // by another window
	save()
	if s["x-b"] != "save 10" || fmt.Sprint(read) != "[save 9]" {
		t.Errorf("%v, and read %q; want save 10 after reading save 9", s, read)
	}
	s["x-a"] = "rubbish"
	written, err := p.Save(p.Look(takeIn), func(n int64) []byte { return fmt.Appendf(nil, "save %d", n) })
	var aside *path.AsideError
	if !written || !errors.As(err, &aside) || s[aside.Aside] != "rubbish" || s["x-a"] != "save 11" {
		t.Errorf("%v, %v, %v; want rubbish aside and save 11 in its place", written, err, s)
	}
	if len(aside.Aside) != len("x-aside-")+16 {
		t.Errorf("the copy is called %q, want sixteen digits at its end", aside.Aside)
	}
}
