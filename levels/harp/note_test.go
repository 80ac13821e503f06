package harp

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"
)

func TestTabAndWords(t *testing.T) {
	for _, c := range []struct {
		note       Note
		tab, words string
	}{
		{Note{Hole: 4}, "+4", "4 blow"},
		{Note{Hole: 4, Breath: Draw}, "-4", "4 draw"},
		{Note{Hole: 2, Breath: Draw, Bend: 1}, "-2'", "2 draw, half step bend"},
		{Note{Hole: 3, Breath: Draw, Bend: 2}, "-3''", "3 draw, whole step bend"},
		{Note{Hole: 3, Breath: Draw, Bend: 3}, "-3'''", "3 draw, step and a half bend"},
		{Note{Hole: 10, Bend: 1}, "+10'", "10 blow, half step bend"},
		{Note{Hole: 6, Over: true}, "+6o", "6 overblow"},
		{Note{Hole: 7, Breath: Draw, Over: true}, "-7o", "7 overdraw"},
	} {
		if got := c.note.Tab(); got != c.tab {
			t.Errorf("%+v.Tab() = %q, want %q", c.note, got, c.tab)
		}
		if got := c.note.Words(); got != c.words {
			t.Errorf("%+v.Words() = %q, want %q", c.note, got, c.words)
		}
		if got, err := ParseNote(c.tab); err != nil || got != c.note {
			t.Errorf("ParseNote(%q) = %+v, %v, want %+v", c.tab, got, err, c.note)
		}
	}
}

func TestParseNoteRefuses(t *testing.T) {
	for in, want := range map[string]error{
		"": ErrNote, "4": ErrNote, "+": ErrNote, "+04": ErrNote, "++4": ErrNote, "+4 ": ErrNote, "-4\"": ErrNote,
		"-3'o": ErrNote, "+6oo": ErrNote, "+0x4": ErrNote, "-99999999999999999999": ErrNote,
		"+0": ErrHole, "+11": ErrHole, "-11'": ErrHole,
		"-4''": ErrBend, "-5'": ErrBend, "+7'": ErrBend, "+4'": ErrBend, "-8'": ErrBend, "-3''''": ErrBend,
		"-6o": ErrOver, "+7o": ErrOver,
	} {
		if got, err := ParseNote(in); !errors.Is(err, want) {
			t.Errorf("ParseNote(%q) = %+v, %v, want %v", in, got, err, want)
		}
	}
	_, err := ParseNote("-" + strings.Repeat("9", 1<<16))
	if err == nil || len(err.Error()) > 300 {
		t.Errorf("a tab of 64 KiB: the error has %d bytes, want a short one", len(err.Error()))
	}
}

func TestValidRefusesWhatNoParserMakes(t *testing.T) {
	for _, c := range []struct {
		note Note
		want error
	}{
		{Note{}, ErrHole},
		{Note{Hole: -1}, ErrHole},
		{Note{Hole: 4, Breath: 2}, ErrBreath},
		{Note{Hole: 4, Breath: Draw, Bend: -1}, ErrBend},
		{Note{Hole: 6, Bend: 1, Over: true}, ErrOver},
	} {
		if err := c.note.Valid(); !errors.Is(err, c.want) {
			t.Errorf("%+v.Valid() = %v, want %v", c.note, err, c.want)
		}
		if _, err := New(Key{}).Hz(c.note); !errors.Is(err, c.want) {
			t.Errorf("Hz(%+v): %v, want %v", c.note, err, c.want)
		}
	}
}

func TestBreathText(t *testing.T) {
	got, err := json.Marshal([]Breath{Blow, Draw})
	if err != nil || string(got) != `["blow","draw"]` {
		t.Errorf("breaths as JSON: %s, %v", got, err)
	}
	var back []Breath
	if err := json.Unmarshal(got, &back); err != nil || back[0] != Blow || back[1] != Draw {
		t.Errorf("breaths read back: %v, %v", back, err)
	}
	var b Breath
	if err := b.UnmarshalText([]byte("inhale")); !errors.Is(err, ErrBreath) {
		t.Errorf("inhale: %v, want %v", err, ErrBreath)
	}
	if _, err := Breath(2).MarshalText(); !errors.Is(err, ErrBreath) {
		t.Errorf("breath 2: %v, want %v", err, ErrBreath)
	}
}

func TestNoSuchReedPanicsWithItsPlace(t *testing.T) {
	defer func() {
		if got, _ := recover().(string); got != "harp: no reed at hole 11, draw" {
			t.Errorf("panic %q, want the package and the reed", got)
		}
	}()
	Note{Hole: 11, Breath: Draw}.Semitones()
}

// Laws: what is read is valid, is written back to the letter, and lies on the harp.
func FuzzParseNote(f *testing.F) {
	for _, s := range []string{"+4", "-3'''", "+10''", "-7o", "+2o", "-3''''", "4", "+04", "+11", "-2\u2019", ""} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		n, err := ParseNote(s)
		if err != nil {
			if n != (Note{}) {
				t.Errorf("ParseNote(%q) = %+v with an error", s, n)
			}
			return
		}
		if err := n.Valid(); err != nil || n.Tab() != s {
			t.Errorf("ParseNote(%q) = %+v (%v), which writes %q", s, n, err, n.Tab())
		}
		if at := n.Semitones(); at < 0 || at > 37 {
			t.Errorf("%q lies %d semitones over 1 blow, want 0 to 37", s, at)
		}
		if !strings.Contains(n.Words(), n.Breath.String()) {
			t.Errorf("%q in words: %q, without its breath", s, n.Words())
		}
	})
}
