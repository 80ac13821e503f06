package reeds

import (
	"bytes"
	"errors"
	"math"
	"reflect"
	"testing"

	"reedwell/levels/harp"
)

// A pass that is broken off and gone on with on a device of another rate ends as one in one go.
func TestResume(t *testing.T) {
	h := harp.Harp{Key: mustKey(t, "A"), A4: 442}
	plan := Plan()
	p := run(t, h.Key, perform(h, plan[:7], nil, 3, 2))
	p.Skip()
	at := p.State()
	if at.Heard != 7 || at.Skipped != 1 || at.Took != plan[6] {
		t.Fatalf("broken off at %+v", at)
	}
	hz, _ := h.Hz(plan[6])
	if off := at.Cents - (harp.Cents(hz, 440) - nominal(h.Key, index(plan[6]))); math.Abs(off) > 2 {
		t.Errorf("the reed taken last is told %.1f cents beside where it lies", off)
	}
	q, err := Resume(p.Encode(), 44100)
	if err != nil {
		t.Fatal(err)
	}
	s := q.State()
	if s.Ask != at.Ask || s.Heard != at.Heard || s.Skipped != 1 || s.Have != at.Have || !bytes.Equal(q.Encode(), p.Encode()) || q.Key() != h.Key {
		t.Errorf("gone on at %+v, want %+v", s, at)
	}
	if !reflect.DeepEqual(q.Report(), p.Report()) {
		t.Error("the reports differ")
	}
}

func TestResumeRefuses(t *testing.T) {
	p, err := NewPass(harp.Key{}, rate)
	if err != nil {
		t.Fatal(err)
	}
	p.reeds[3].tries = []try{{cents: nominal(harp.Key{}, 3), level: -20, speak: 0.02, flutter: 0.005, bright: 900}}
	whole := p.Encode()
	if _, err := Resume(whole, rate); err != nil {
		t.Fatal(err)
	}
	if _, err := Resume(whole, 4000); err == nil || errors.Is(err, ErrDamaged) {
		t.Errorf("at 4 kHz: %v, want what NewPass says", err)
	}
	for _, c := range []struct {
		name string
		data []byte
		want error
	}{
		{"nothing", nil, ErrDamaged}, {"null", []byte("null"), ErrDamaged}, {"newer", []byte(`{"reedwell-pass":2,"reeds":7}`), ErrNewer},
		{"large", make([]byte, MaxPassBytes+1), ErrTooLarge}, {"cut", whole[:len(whole)-9], ErrDamaged},
		{"another reed's pitch", bytes.Replace(whole, []byte(`{"cents":`), []byte(`{"cents":9`), 1), ErrDamaged},
	} {
		if _, err := Resume(c.data, rate); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
}

// Whatever is read is a pass that can be gone on with and written again.
func FuzzResume(f *testing.F) {
	p, err := NewPass(harp.Key{}, rate)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(p.Encode())
	p.reeds[3].tries = []try{{cents: nominal(harp.Key{}, 3), level: -20, speak: 0.02, flutter: 0.005, bright: 900}}
	p.Skip()
	f.Add(p.Encode())
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := Resume(data, rate)
		if err != nil {
			return
		}
		again, err := Resume(p.Encode(), rate)
		if err != nil || !bytes.Equal(again.Encode(), p.Encode()) || again.State() != p.State() {
			t.Errorf("%q is read, and not again: %v", data, err)
		}
		if h, ok := p.Report().Harp(); ok && h.Validate() != nil {
			t.Errorf("%q gives the harp %+v", data, h)
		}
	})
}
