package tab_test

import (
	"errors"
	"strings"
	"testing"

	"reedwell/levels/harp"
	"reedwell/levels/tab"
)

// Each line is a text as some page writes it, and the same in our way: the variants that
// the trade uses, each seen on a public page (common practice).
func TestDialects(t *testing.T) {
	for _, test := range []struct {
		name string
		said tab.Bare
		text string
		want string
	}{
		{"both signs", tab.Unsaid, "+4 -4 -4' -3'' -3''' +8' +10''", "+4 -4 -4' -3'' -3''' +8' +10''"},
		{"bare is blow beside minus", tab.Unsaid, "4 -4 5 -5 -6' 6", "+4 -4 +5 -5 -6' +6"},
		{"bare is draw beside plus", tab.Unsaid, "4 +4 5 +5 3'' 6'", "-4 +4 -5 +5 -3'' -6'"},
		{"bare is blow, said", tab.BareBlow, "4 (4) 5 (5) (4') (4)' (3b) 6", "+4 -4 +5 -5 -4' -4' -3' +6"},
		{"bare is draw, said", tab.BareDraw, "2 3' 4 5", "-2 -3' -4 -5"},
		{"bare is blow beside D", tab.Unsaid, "4 4D 5 5D 4D' 4'D 3D''", "+4 -4 +5 -5 -4' -4' -3''"},
		{"bare is draw beside B", tab.Unsaid, "4 4B 5 5B 4' 8B' 8Bb", "-4 +4 -5 +5 -4' +8' +8'"},
		{"letters", tab.Unsaid, "4B 4D 2D'' 10B'' 2D\" 3Dbbb", "+4 -4 -2'' +10'' -2'' -3'''"},
		{"plus behind", tab.Unsaid, "4+ 4 5+ 5", "+4 -4 +5 -5"},
		{"arrow head behind", tab.Unsaid, "4> 4 3' 5>", "+4 -4 -3' +5"},
		{"arrows", tab.Unsaid, "↑4 ↓4 4↑ 4↓ ↓3'' 3↓'' 3''↓", "+4 -4 +4 -4 -3'' -3'' -3''"},
		{"curly marks of a phone", tab.Unsaid, "–4’ −3’’ -3” -2“ -3′ -3″ -4‘ -4`", "-4' -3'' -3'' -2'' -3' -3'' -4' -4'"},
		{"b for bends", tab.Unsaid, "-4b -3bb -3bbb +8b +10bb", "-4' -3'' -3''' +8' +10''"},
		{"overbends", tab.Unsaid, "+6o +6# +4° 6OB 5ob 7OD 9od -10o -7#", "+6o +6o +4o +6o +5o -7o -9o -10o -7o"},
		{"chords", tab.Unsaid, "-2-3 -2&3 -2&-3 -23 (-2-3) (-23) -234 +1+2+3 (+1+2) ↓2↓3 +123 -2''-3", "-2-3 -2-3 -2-3 -2-3 -2-3 -2-3 -2-3-4 +1+2+3 +1+2 -2-3 +1+2+3 -2''-3"},
		{"bare chords", tab.BareDraw, "23 2&3 345 45D 4D5D", "-2-3 -2-3 -3-4-5 -4-5 -4-5"},
		{"chord in parentheses is draw", tab.BareBlow, "(23) 23 (2&3)", "-2-3 +2+3 -2-3"},
		{"hole ten", tab.Unsaid, "-10 +10 +10'' -910 -9&10 +8910", "-10 +10 +10'' -9-10 -9-10 +8+9+10"},
	} {
		tokens := strings.Fields(test.text)
		d := tab.Detect(tokens, test.said)
		var got []string
		for _, token := range tokens {
			notes, err := d.Read(token)
			if err != nil {
				t.Errorf("%s: %v", test.name, err)
			}
			got = append(got, tab.Write(notes))
		}
		if s := strings.Join(got, " "); s != test.want {
			t.Errorf("%s: %s\nread as %s\nwant    %s", test.name, test.text, s, test.want)
		}
	}
}

// What may be blow or draw is asked about, never guessed.
func TestAsks(t *testing.T) {
	for _, test := range []struct {
		said tab.Bare
		text string // the first token is the one that is not clear
	}{
		{tab.Unsaid, "4"},
		{tab.Unsaid, "4 5 6 3' 8'"}, // though a bend may hint at it
		{tab.Unsaid, "45"},
		{tab.Unsaid, "4 +4 -4"},  // both signs are in use
		{tab.Unsaid, "4 4B 4D"},  //
		{tab.Unsaid, "4 6OB"},    // an overblow has its breath in any dialect
		{tab.Unsaid, "(4) 4"},    // draw, or a ghost note
		{tab.Unsaid, "(4) +4"},   //
		{tab.BareDraw, "(4) 4"},  //
		{tab.BareBlow, "4b 4d"},  // blow, or bent
		{tab.BareDraw, "4b 4d"},  //
		{tab.Unsaid, "4 % , z"},  // what is no tab does not tell
		{tab.Unsaid, "4 -99 -0"}, // nor what is no hole
	} {
		tokens := strings.Fields(test.text)
		_, err := tab.Detect(tokens, test.said).Read(tokens[0])
		if !errors.Is(err, tab.ErrBare) {
			t.Errorf("%q in %q, bare %v: %v, want to be asked", tokens[0], test.text, test.said, err)
		}
	}
}

func TestRefused(t *testing.T) {
	d := tab.Detect(nil, tab.BareBlow)
	for _, test := range []struct {
		token string
		at    int
		err   error
		want  string // a part of what would be right
	}{
		{"", 0, tab.ErrTab, "a hole"},
		{"-", 1, tab.ErrTab, "a hole after the sign"},
		{"x", 0, tab.ErrTab, "a hole"},
		{"-0", 0, tab.ErrTab, "1 to 10"},
		{"-11", 0, tab.ErrTab, "1 to 10"},
		{"-32", 0, tab.ErrTab, "lowest up"},
		{"-100", 0, tab.ErrTab, "1 to 10"},
		{"-24", 2, tab.ErrTab, "neighbouring"},
		{"-1-4", 2, tab.ErrTab, "neighbouring"},
		{"-3-2", 2, tab.ErrTab, "neighbouring"},
		{"-110", 2, tab.ErrTab, "neighbouring"},
		{"-2+3", 2, tab.ErrTab, "one breath"},
		{"-4B", 2, tab.ErrTab, "one breath"},
		{"+4D", 2, tab.ErrTab, "one breath"},
		{"-23'", 3, tab.ErrTab, "each hole"},
		{"4+5", 1, tab.ErrTab, "before each hole"},
		{"4,", 1, tab.ErrTab, "comma"},
		{"-4*", 2, tab.ErrTab, "chromatic"},
		{"%4", 0, tab.ErrTab, "slaps"},
		{"-4/", 2, tab.ErrTab, "bends as '"},
		{"4>5", 1, tab.ErrTab, "dotted pair"},
		{"(-4)", 0, tab.ErrTab, "-4 without"},
		{"(-4", 3, tab.ErrTab, ")"},
		{"(4)5", 3, tab.ErrTab, "blank"},
		{"-4'-", 4, tab.ErrTab, "a hole after"},
		{"&4", 0, tab.ErrTab, "before &"},
		{"-5'", 0, harp.ErrBend, "no half-step bend"},
		{"-4''", 0, harp.ErrBend, "at most -4'"},
		{"+4'", 0, harp.ErrBend, "bends on the draw only, down to -4'"},
		{"-8'", 0, harp.ErrBend, "bends on the blow only, down to +8'"},
		{"-2''''", 0, harp.ErrBend, "at most -2''"},
		{"-4o", 0, harp.ErrOver, "+4o"},
		{"7OB", 0, harp.ErrOver, "-7o"},
		{"+6o'", 0, harp.ErrOver, "+6o"},
		{strings.Repeat("-4", 60), 0, tab.ErrTab, "blanks"},
		{"-4\xff", 0, tab.ErrTab, "UTF-8"},
	} {
		_, err := d.Read(test.token)
		var refused *tab.Error
		if !errors.As(err, &refused) || !errors.Is(err, test.err) || refused.At != test.at || !strings.Contains(refused.Want, test.want) {
			t.Errorf("%q: at %v: %v, want %q at %d, %v", test.token, refused, err, test.want, test.at, test.err)
		}
	}
}

// Every note that the harmonica has is written so that it is read back, and so does the
// parser of package harp read it.
func TestEveryNote(t *testing.T) {
	d := tab.Detect(nil, tab.Unsaid)
	for _, n := range harp.Notes() {
		got, err := d.Read(tab.Write([]harp.Note{n}))
		other, otherErr := harp.ParseNote(n.Tab())
		if err != nil || len(got) != 1 || got[0] != n || otherErr != nil || other != n {
			t.Errorf("%s: %v, %v, want %v", n.Tab(), got, err, n)
		}
	}
}

// Laws: what is read are notes that the harp has, neighbours in one breath; written in our
// way they read back the same in every dialect; a refusal says what would be right.
func FuzzRead(f *testing.F) {
	for _, s := range []string{"+4", "-4''", "(4)", "4D'", "↓3''", "-2&3", "345", "6OB", "-10", "4b", "4>", "-4*", "(-2-3)", "–4’"} {
		for bare := range 3 {
			f.Add(s, bare, s+" +4")
		}
	}
	f.Fuzz(func(t *testing.T, token string, bare int, text string) {
		d := tab.Detect(strings.Fields(text), tab.Bare((bare%3+3)%3))
		notes, err := d.Read(token)
		if err != nil {
			var refused *tab.Error
			if !errors.As(err, &refused) || refused.Want == "" || refused.At < 0 || refused.At > len([]rune(token)) {
				t.Fatalf("%q: %#v", token, err)
			}
			return
		}
		for i, n := range notes {
			if n.Valid() != nil || n.Breath != notes[0].Breath || n.Hole != notes[0].Hole+i {
				t.Fatalf("%q: %v", token, notes)
			}
		}
		for _, any := range []tab.Dialect{d, tab.Detect(nil, tab.Unsaid), tab.Detect(nil, tab.BareBlow)} {
			again, err := any.Read(tab.Write(notes))
			if err != nil || tab.Write(again) != tab.Write(notes) {
				t.Fatalf("%q: %s read back %v, %v", token, tab.Write(notes), again, err)
			}
		}
	})
}
