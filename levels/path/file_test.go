package path_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"reedwell/levels/path"
)

// some plays takes that follow from the bytes: each three say drill, day and take.
func some(script []byte) path.Progress {
	p, day := path.New(), monday()
	ids := []string{"single-1", "single-2", "ladder-4d-1", "lick-7"}
	for ; len(script) >= 3; script = script[3:] {
		day += path.Day(script[1] % 4)
		p = p.Record(day, ids[int(script[0])%len(ids)], path.Take{
			Graded:  script[2]&1 == 0,
			Passed:  script[2]&2 == 0,
			Display: script[2]&4 == 0,
			AtTempo: script[2]&8 == 0,
			Share:   float64(script[1]) / 255,
			Tempo:   float64(script[2]),
		})
	}
	return p
}

func random(seed uint64) path.Progress {
	r := rand.New(rand.NewPCG(seed, 1))
	script := make([]byte, 3*r.IntN(300))
	for i := range script {
		script[i] = byte(r.Uint32())
		if i%3 == 1 && r.IntN(3) > 0 {
			script[i] |= 0xc0 // many good ones
		}
		if i%3 == 2 && r.IntN(2) > 0 {
			script[i] &^= 0xb // graded, passed, at tempo
		}
	}
	return some(script)
}

func TestFileKeepsEverything(t *testing.T) {
	for seed := range uint64(50) {
		p := random(seed)
		back, err := path.Decode(p.Encode())
		if err != nil || !reflect.DeepEqual(back, p) {
			t.Fatalf("seed %d: Decode(Encode(p)) = %v, want p", seed, err)
		}
	}
	if back, err := path.Decode(path.New().Encode()); err != nil || !reflect.DeepEqual(back, path.New()) {
		t.Errorf("a beginner's progress comes back as %v, %v", back, err)
	}
}

// Any change of the file is noticed.
func TestEveryByteMatters(t *testing.T) {
	p := passed(path.New(), "single-1").Record(monday()+1, "single-1", good())
	data := p.Encode()
	for i := range data {
		for _, bit := range []byte{1, 0x20} {
			bad := bytes.Clone(data)
			bad[i] ^= bit
			if _, err := path.Decode(bad); !errors.Is(err, path.ErrDamaged) && !errors.Is(err, path.ErrNewer) {
				t.Fatalf("byte %d changed: %v, want ErrDamaged or, in the version, ErrNewer", i, err)
			}
		}
		if _, err := path.Decode(data[:i]); !errors.Is(err, path.ErrDamaged) {
			t.Fatalf("cut after %d bytes: %v, want ErrDamaged", i, err)
		}
	}
}

// sealed gives a file that was written by hand a right checksum.
func sealed(text string) []byte {
	sum := sha256.Sum256([]byte(text))
	return []byte(strings.Replace(text, `"sha256":""`, `"sha256":"`+hex.EncodeToString(sum[:])+`"`, 1))
}

func TestFilesRefused(t *testing.T) {
	one := func(drills string) []byte {
		return sealed(`{"reedwell-progress":1,"sha256":"","saves":0,"drills":{` + drills + `}}`)
	}
	take := func(rest string) []byte { return one(`"single-1":{"takes":[{"day":"2026-11-23",` + rest + `}]}`) }
	if _, err := path.Decode(take(`"take":1,"share":0.5`)); err != nil {
		t.Fatalf("a good file written by hand: %v", err)
	}
	for _, test := range []struct {
		name string
		data []byte
		want error
	}{
		{"nothing", nil, path.ErrDamaged},
		{"no JSON", []byte("progress"), path.ErrDamaged},
		{"another JSON", []byte(`{"name":"x"}`), path.ErrDamaged},
		{"a list", []byte(`[1]`), path.ErrDamaged},
		{"null", []byte(`null`), path.ErrDamaged},
		{"deep", []byte(strings.Repeat("[", 1<<19)), path.ErrDamaged},
		{"version 0", []byte(`{"reedwell-progress":0}`), path.ErrDamaged},
		{"version 2", []byte(`{"reedwell-progress":2,"drills":[[1]],"more":true}`), path.ErrNewer},
		{"huge version", []byte(`{"reedwell-progress":1e400}`), path.ErrDamaged},
		{"too large", make([]byte, path.MaxBytes+1), path.ErrTooLarge},
		{"wrong sum", bytes.Replace(path.New().Encode(), []byte(`"saves":0`), []byte(`"saves":1`), 1), path.ErrDamaged},
		{"two files", append(path.New().Encode(), path.New().Encode()...), path.ErrDamaged},
		{"blank after", append(path.New().Encode(), '\n'), path.ErrDamaged},
		{"unknown key", take(`"take":1,"share":0.5,"more":1`), path.ErrDamaged},
		{"key twice", take(`"take":1,"take":1,"share":0.5`), path.ErrDamaged},
		{"share over 1", take(`"take":1,"share":1.5`), path.ErrDamaged},
		{"share under 0", take(`"take":1,"share":-0.5`), path.ErrDamaged},
		{"share of -0", take(`"take":1,"share":-0`), path.ErrDamaged},
		{"take 0", take(`"take":0,"share":0.5`), path.ErrDamaged},
		{"bad day", one(`"single-1":{"passed":"2026-13-01"}`), path.ErrDamaged},
		{"bad id", one(`"Single":{"passed":"2026-11-01"}`), path.ErrDamaged},
		{"nothing in a drill", one(`"single-1":{}`), path.ErrDamaged},
		{"review without passing", one(`"single-1":{"reviews":["2026-11-01"]}`), path.ErrDamaged},
		{"review on the day of passing", one(`"single-1":{"passed":"2026-11-01","reviews":["2026-11-01"]}`), path.ErrDamaged},
		{"reviews backwards", one(`"single-1":{"passed":"2026-11-01","reviews":["2026-11-09","2026-11-02"]}`), path.ErrDamaged},
		{"takes backwards", one(`"single-1":{"takes":[{"day":"2026-11-24","take":2,"share":0},{"day":"2026-11-23","take":1,"share":0}]}`), path.ErrDamaged},
	} {
		p, err := path.Decode(test.data)
		if !errors.Is(err, test.want) {
			t.Errorf("%s: %v, want %v", test.name, err, test.want)
		}
		if !reflect.DeepEqual(p, path.New()) {
			t.Errorf("%s: something was read all the same", test.name)
		}
	}
}

func FuzzDecode(f *testing.F) {
	f.Add(path.New().Encode())
	f.Add(random(1).Encode())
	f.Add(sealed(`{"reedwell-progress":1,"sha256":"","saves":3,"drills":{"single-1":{"passed":"2026-11-23"}}}`))
	f.Add([]byte(`{"reedwell-progress":2}`))
	f.Add([]byte{0, 200, 0, 0, 201, 0, 0, 202, 0, 0, 203, 4})
	f.Fuzz(func(t *testing.T, data []byte) {
		if p, err := path.Decode(data); err == nil {
			again, err := path.Decode(p.Encode())
			if err != nil || !reflect.DeepEqual(again, p) {
				t.Errorf("Decode(Encode(p)) = %v", err)
			}
		} else if !errors.Is(err, path.ErrDamaged) && !errors.Is(err, path.ErrNewer) && !errors.Is(err, path.ErrTooLarge) {
			t.Errorf("an error of no kind: %v", err)
		} else if len(err.Error()) > 1000 {
			t.Errorf("an error of %d bytes", len(err.Error()))
		}
		p := some(data)
		back, err := path.Decode(p.Encode())
		if err != nil || !reflect.DeepEqual(back, p) {
			t.Errorf("played: Decode(Encode(p)) = %v", err)
		}
	})
}

func merged(t *testing.T, a, b path.Progress) path.Progress {
	t.Helper()
	m, err := path.Merge(a, b)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func TestMergeLaws(t *testing.T) {
	for seed := range uint64(100) {
		a, b := random(seed), random(seed+1000)
		ab := merged(t, a, b)
		for name, other := range map[string]path.Progress{
			"b with a":        merged(t, b, a),
			"again with a":    merged(t, ab, a),
			"again with b":    merged(t, b, ab),
			"again with both": merged(t, ab, ab),
		} {
			if !reflect.DeepEqual(other, ab) {
				t.Fatalf("seed %d: %s differs from a with b", seed, name)
			}
		}
		if !reflect.DeepEqual(merged(t, a, a), a) || !reflect.DeepEqual(merged(t, a, path.New()), a) {
			t.Fatalf("seed %d: a with itself or with nothing is not a", seed)
		}
		for _, p := range []path.Progress{a, b} {
			for _, id := range p.Drills() {
				if d := p.Passed(id); d != 0 && (ab.Passed(id) == 0 || ab.Passed(id) > d) {
					t.Errorf("seed %d: %s passed on %v, merged on %v", seed, id, d, ab.Passed(id))
				}
				if d := p.Mastered(id); d != 0 && (ab.Mastered(id) == 0 || ab.Mastered(id) > d) {
					t.Errorf("seed %d: %s mastered on %v, merged on %v", seed, id, d, ab.Mastered(id))
				}
				if p.Passed(id) != 0 && p.Review(id) == 0 && ab.Review(id) != 0 {
					t.Errorf("seed %d: %s has a review again", seed, id)
				}
			}
		}
	}
}

// Progress that went on from an export is not doubled by importing the export.
func TestMergeWithOwnPast(t *testing.T) {
	past := play(path.New(), monday(), "single-1", good(), blind())
	now := past.Record(monday(), "single-1", good())
	if got := merged(t, now, past); !reflect.DeepEqual(got, now) {
		t.Errorf("3 takes and 2 of the same became %v", got)
	}
}

// Takes of two machines count together.
func TestMergeCountsTakesTogether(t *testing.T) {
	phone := play(path.New(), monday(), "single-1", good(), blind())
	laptop := play(path.New(), monday()+1, "single-1", good(), good())
	if got := merged(t, phone, laptop).Passed("single-1"); got != monday()+1 {
		t.Errorf("passed on %v, want %v", got, monday()+1)
	}
}

func TestRecordIsBounded(t *testing.T) {
	p := passed(path.New(), "single-1").Record(monday()+1, "single-1", good())
	for i := range 200 {
		p = p.Record(monday()+path.Day(2+i), "single-1", poor())
	}
	takes, _ := p.Takes("single-1")
	if len(takes) != 50 {
		t.Errorf("%d takes kept, want 50", len(takes))
	}
	if p.Passed("single-1") != monday() || p.Mastered("single-1") != monday()+1 {
		t.Errorf("passed %v, mastered %v: what was earned is lost", p.Passed("single-1"), p.Mastered("single-1"))
	}
	// Takes at target tempo outlast any number of slow ones.
	p = play(path.New(), monday(), "single-2", good(), good(), blind())
	for range 200 {
		p = p.Record(monday(), "single-2", path.Take{Graded: true, Share: 1, Passed: true, Tempo: 40})
	}
	if p = p.Record(monday(), "single-2", good()); p.Passed("single-2") == 0 {
		t.Error("three good takes were forgotten while practising slowly")
	}
}

// However much is played, the file can be read again.
func TestFileStaysSmall(t *testing.T) {
	longest := path.Take{Graded: true, Share: 0.8333333333333334, Tempo: 123.33333333333333, Passed: true, Display: true, AtTempo: true}
	fill := func(from, drills, takes int) path.Progress {
		p := path.New()
		for i := range drills {
			id := fmt.Sprintf("%s-%d", strings.Repeat("x", 58), 10000+from+i)
			one := path.New()
			for range takes {
				one = one.Record(monday()+path.Day(i), id, longest)
			}
			one = one.Record(monday()+path.Day(i), id, blind())
			for _, d := range []path.Day{1, 3, 7, 21} {
				one = one.Record(monday()+path.Day(i)+d, id, good())
			}
			p = merged(t, p, one)
		}
		return p
	}
	// 120 drills of 50 takes are more than are kept, 700 more have little in them.
	p := merged(t, fill(0, 120, 50), fill(200, 700, 3))
	data := p.Encode()
	if len(data) > path.MaxBytes {
		t.Fatalf("%d bytes, want at most %d", len(data), path.MaxBytes)
	}
	back, err := path.Decode(data)
	if err != nil || !reflect.DeepEqual(back, p) {
		t.Fatalf("not read again: %v", err)
	}
	if n := len(p.Drills()); n != 820 {
		t.Errorf("%d drills kept, want all 820, since all were passed", n)
	}
	if m := merged(t, p, p); !reflect.DeepEqual(m, p) {
		t.Error("merging the full record with itself changes it")
	}
	t.Logf("%d drills: %d bytes", len(p.Drills()), len(data))
	if _, err := path.Merge(p, fill(2000, 300, 3)); !errors.Is(err, path.ErrTooLarge) {
		t.Errorf("1120 passed drills: %v, want ErrTooLarge", err)
	}
}
