package seal_test

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"reedwell/levels/seal"
)

var (
	errDamaged  = errors.New("damaged")
	errNewer    = errors.New("newer")
	errTooLarge = errors.New("too large")
	errNegative = errors.New("a negative number")
)

func form() seal.Form {
	return seal.Form{Key: "reedwell-box", Version: 2, Most: 4000, Damaged: errDamaged, Newer: errNewer, TooLarge: errTooLarge}
}

type box struct {
	Name  string         `json:"name"`
	Count int            `json:"count,omitzero"`
	More  map[string]int `json:"more,omitempty"`
}

// read reads a box, and none with a negative count.
func read(data []byte) (box, error) {
	var got box
	err := seal.Read(form(), data, func(b box) (box, error) {
		if b.Count < 0 {
			return b, errNegative
		}
		got = b
		return b, nil
	})
	return got, err
}

func TestWrite(t *testing.T) {
	data := form().Write(box{Name: "<a>", Count: 3})
	sealed := regexp.MustCompile(`^\{"reedwell-box":2,"sha256":"([0-9a-f]{64})","name":"\\u003ca\\u003e","count":3\}$`).FindSubmatch(data)
	if sealed == nil {
		t.Fatalf("written as %s", data)
	}
	blank := bytes.Replace(data, sealed[1], nil, 1)
	if sum := fmt.Sprintf("%x", sha256.Sum256(blank)); sum != string(sealed[1]) {
		t.Errorf("the sum is %s, want %s", sealed[1], sum)
	}
	// sha256sum (GNU coreutils 9.1) of the 30 bytes {"reedwell-box":2,"sha256":""}, no line end.
	const want = `{"reedwell-box":2,"sha256":"8a47a7f9ec82fdb6ba04fd20a372068b7ef784207a425de69f8aa04a9c56de08"}`
	if got := string(form().Write(struct{}{})); got != want {
		t.Errorf("an empty body is written as %s, want %s", got, want)
	}
}

func TestRead(t *testing.T) {
	good := form().Write(box{"one", 2, map[string]int{"a": 1}})
	if b, err := read(good); err != nil || b.Name != "one" {
		t.Fatalf("%+v, %v", b, err)
	}
	for i := range good {
		for _, bit := range []byte{1, 4, 0x20} {
			bad := bytes.Clone(good)
			bad[i] ^= bit
			if _, err := read(bad); !errors.Is(err, errDamaged) && !errors.Is(err, errNewer) {
				t.Fatalf("byte %d changed: %v", i, err)
			}
		}
		if _, err := read(good[:i]); !errors.Is(err, errDamaged) {
			t.Fatalf("cut after %d bytes: %v", i, err)
		}
	}
	for name, c := range map[string]struct {
		data string
		want error
	}{
		"nothing":       {"", errDamaged},
		"null":          {"null", errDamaged},
		"a list":        {"[]", errDamaged},
		"deep":          {strings.Repeat("[", 4000), errDamaged},
		"another kind":  {`{"reedwell-case":2}`, errDamaged},
		"no version":    {`{"reedwell-box":0}`, errDamaged},
		"huge version":  {`{"reedwell-box":1e400}`, errDamaged},
		"a later one":   {`{"reedwell-box":3,"name":7}`, errNewer},
		"an older one":  {strings.Replace(string(good), ":2", ":1", 1), errDamaged},
		"too large":     {string(good) + strings.Repeat(" ", 4000), errTooLarge},
		"blank after":   {string(good) + "\n", errDamaged},
		"two of them":   {string(good) + string(good), errDamaged},
		"not as asked":  {string(form().Write(box{Count: -1})), errDamaged},
		"a key more":    {string(form().Write(struct{ name, Other string }{})), errDamaged},
		"a key written": {string(form().Write(map[string]any{"name": "", "count": 0})), errDamaged},
	} {
		if _, err := read([]byte(c.data)); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
}

func TestWriteRefusesWhatTheCallerGotWrong(t *testing.T) {
	for name, body := range map[string]any{"no object": 7, "a channel": struct{ C chan int }{}} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s was written", name)
				}
			}()
			form().Write(body)
		}()
	}
}

// Law: what is read is written as the same bytes; what is written is read as the same; a
// refusal is of one of the three kinds and short.
func FuzzRead(f *testing.F) {
	f.Add(form().Write(box{"one", 2, nil}), "two", 1)
	f.Add([]byte(`{"reedwell-box":3}`), "", 0)
	f.Add([]byte(`{"reedwell-box":2,"sha256":"","name":"a","name":"b"}`), "\x00\xff<\u2028", 9)
	f.Fuzz(func(t *testing.T, data []byte, name string, count int) {
		b, err := read(data)
		switch {
		case err == nil:
			if again := form().Write(b); !bytes.Equal(again, data) {
				t.Errorf("%q is read, and written as %q", data, again)
			}
		case !errors.Is(err, errDamaged) && !errors.Is(err, errNewer) && !errors.Is(err, errTooLarge):
			t.Errorf("an error of no kind: %v", err)
		case len(err.Error()) > 300:
			t.Errorf("an error of %d bytes", len(err.Error()))
		}
		made := box{strings.ToValidUTF8(name, ""), count & 0xffff, map[string]int{"n": count}}
		sealed := form().Write(made)
		if len(sealed) > form().Most {
			return
		}
		if back, err := read(sealed); err != nil || !reflect.DeepEqual(back, made) {
			t.Errorf("%+v is read as %+v, %v", made, back, err)
		}
	})
}
