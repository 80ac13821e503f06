package reeds

import (
	"bytes"
	"errors"
	"math"
	"strings"
	"testing"

	"reedwell/levels/harp"
	"reedwell/levels/path"
)

func sampleCase(t testing.TB) Case {
	t.Helper()
	var c Case
	for _, k := range []Kept{
		{Name: "Old faithful", Harp: harp.Harp{Key: mustKey(t, "A"), Tuning: harp.Compromise, A4: 442.5, Profile: harp.Profile{Blow: [10]float64{1, -2.25}}}, Measured: path.Date(2026, 11, 25), Found: Faults{7: 1<<Off | 1<<Leaks, 3: 1 << NotHeard}},
		{Name: "the <new> one & only", Harp: harp.New(mustKey(t, "low F"))},
		{Name: "Für Gäste", Harp: harp.Harp{Key: mustKey(t, "C")}},
	} {
		if err := c.Add(k); err != nil {
			t.Fatal(err)
		}
	}
	if err := c.SetDefault("für gäste"); err != nil {
		t.Fatal(err)
	}
	return c
}

func TestCase(t *testing.T) {
	c := sampleCase(t)
	for _, step := range []struct {
		name string
		err  error
		want error
	}{
		{"same name", c.Add(Kept{Name: " OLD faithful "}), ErrTaken},
		{"no name", c.Add(Kept{Name: "  "}), ErrName},
		{"long name", c.Add(Kept{Name: strings.Repeat("é", 41)}), ErrName},
		{"two lines", c.Add(Kept{Name: "a\nb"}), ErrName},
		{"not text", c.Add(Kept{Name: "a\xff"}), ErrName},
		{"bad profile", c.Add(Kept{Name: "x", Harp: harp.Harp{Profile: harp.Profile{Draw: [10]float64{math.NaN()}}}}), harp.ErrProfile},
		{"bad A4", c.Add(Kept{Name: "x", Harp: harp.Harp{A4: 500}}), harp.ErrA4},
		{"rename to taken", c.Rename("Old faithful", "für gäste"), ErrTaken},
		{"rename absent", c.Rename("x", "y"), ErrAbsent},
		{"delete absent", c.Delete("x"), ErrAbsent},
		{"default absent", c.SetDefault("x"), ErrAbsent},
		{"measure absent", c.Measure("x", harp.Harp{}, Faults{}, 1), ErrAbsent},
	} {
		if !errors.Is(step.err, step.want) {
			t.Errorf("%s: %v, want %v", step.name, step.err, step.want)
		}
	}
	if !bytes.Equal(c.Encode(), func() []byte { d := sampleCase(t); return d.Encode() }()) {
		t.Error("refused changes changed the case")
	}
	before := c
	if err := errors.Join(c.Rename("old faithful", "Old Faithful"), c.Measure("Old Faithful", harp.New(mustKey(t, "A")), Faults{}, 7), c.Delete("the <new> one & only")); err != nil {
		t.Fatal(err)
	}
	if k, _ := c.Find("OLD FAITHFUL"); k.Name != "Old Faithful" || k.Measured != 7 {
		t.Errorf("found %+v", k)
	}
	if k, _ := c.Default(); k.Name != "Für Gäste" || len(c.Harps()) != 2 {
		t.Errorf("default is %q of %d", k.Name, len(c.Harps()))
	}
	if err := c.Delete("Für Gäste"); err != nil {
		t.Fatal(err)
	}
	if k, _ := c.Default(); k.Name != "Old Faithful" {
		t.Errorf("default is %q", k.Name)
	}
	if k, _ := before.Find("old faithful"); k.Name != "Old faithful" || len(before.Harps()) != 3 {
		t.Error("a copy of the case changed with it")
	}
}

func TestFullCaseFits(t *testing.T) {
	var c Case
	for i := range MaxHarps {
		k := Kept{Name: strings.Repeat("\U0001D4D0", MaxName-2) + string(rune('A'+i/26)) + string(rune('A'+i%26)), Harp: harp.Harp{Key: mustKey(t, "high G"), Tuning: harp.JustSecondThird, A4: 443.33}, Measured: 20000}
		for j := range harp.Holes {
			k.Harp.Profile.Blow[j], k.Harp.Profile.Draw[j] = -12.34, -23.45
			k.Found[2*j], k.Found[2*j+1] = 31, 31
		}
		if err := c.Add(k); err != nil {
			t.Fatal(err)
		}
	}
	if err := c.Add(Kept{Name: "one more"}); !errors.Is(err, ErrFull) {
		t.Errorf("one more: %v, want ErrFull", err)
	}
	data := c.Encode()
	if _, err := Decode(data); err != nil {
		t.Errorf("a full case, %d bytes: %v", len(data), err)
	}
}

func TestDecodeRefuses(t *testing.T) {
	c := sampleCase(t)
	data := c.Encode()
	got, err := Decode(data)
	if err != nil || !bytes.Equal(got.Encode(), data) {
		t.Fatalf("Decode(Encode) = %v", err)
	}
	for i := range data {
		bad := bytes.Clone(data)
		bad[i] ^= 4
		if _, err := Decode(bad); !errors.Is(err, ErrDamaged) && !errors.Is(err, ErrNewer) {
			t.Fatalf("byte %d changed: %v, want ErrDamaged or, in the version, ErrNewer", i, err)
		}
		if _, err := Decode(data[:i]); !errors.Is(err, ErrDamaged) {
			t.Fatalf("cut after %d bytes: %v, want ErrDamaged", i, err)
		}
	}
	for _, d := range []struct {
		name string
		data []byte
		want error
	}{
		{"nothing", nil, ErrDamaged},
		{"another file", []byte(`{"reedwell-progress":1}`), ErrDamaged},
		{"null", []byte(`null`), ErrDamaged},
		{"newer", []byte(`{"reedwell-harps":2,"harps":"otherwise"}`), ErrNewer},
		{"too large", make([]byte, MaxBytes+1), ErrTooLarge},
		{"deep", []byte(strings.Repeat("[", MaxBytes)), ErrDamaged},
		{"blank after", append(bytes.Clone(data), '\n'), ErrDamaged},
		{"short profile", bytes.Replace(data, []byte(`[1,-2.25,`), []byte(`[`), 1), ErrDamaged},
	} {
		_, err := Decode(d.data)
		if !errors.Is(err, d.want) {
			t.Errorf("%s: %v, want %v", d.name, err, d.want)
		}
	}
}

// Whatever is read is a case that can be used, and is written as it was.
func FuzzDecode(f *testing.F) {
	c := sampleCase(f)
	f.Add(c.Encode())
	f.Add((&Case{}).Encode())
	f.Add([]byte(`{"reedwell-harps":2}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		c, err := Decode(data)
		if err != nil {
			return
		}
		if !bytes.Equal(c.Encode(), data) {
			t.Errorf("%q is read, and written as %q", data, c.Encode())
		}
		for _, k := range c.Harps() {
			if k.Harp.Validate() != nil {
				t.Errorf("harp %+v is kept", k)
			}
		}
	})
}
