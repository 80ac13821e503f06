package abc

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"reedwell/levels/lesson"
	"reedwell/levels/score"
	"reedwell/levels/score/scoretest"
)

const tune = "X:1\nT:Test\nM:4/4\nL:1/8\nQ:1/4=96\nK:G\n"

func TestRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		text string
		want string
	}{
		"empty":                    {"", "no notes"},
		"no tune":                  {"Hello,\nthis is a letter.\n", "no notes"},
		"a header alone":           {tune, "no notes"},
		"rests alone":              {tune + "z8 | Z4 |]\n", "no notes"},
		"no note":                  {tune + "GABc | GA§c |]\n", "line 7, column 10: '§'"},
		"an accidental alone":      {tune + "G^ A |\n", "line 7, column 3"},
		"a chord without end":      {tune + "GA [CEG |\n", "line 7, column 9"},
		"a symbol without end":     {tune + "\"G7 GABc |\n", "line 7, column 1"},
		"grace notes without end":  {tune + "{ga GABc |\n", "line 7, column 1"},
		"a field without end":      {tune + "G [K:D A |\n", "line 7, column 3"},
		"three beats a bar":        {strings.Replace(tune, "4/4", "3/4", 1) + "GAB |\n", "line 3, column 1: time 3/4"},
		"meter is none":            {strings.Replace(tune, "4/4", "four", 1) + "GAB |\n", "line 3"},
		"meter changes":            {tune + "GABc [M:12/8] GAB |\n", "line 7, column 6: the meter changes"},
		"unit is none":             {strings.Replace(tune, "L:1/8", "L:1/0", 1) + "GAB |\n", "line 4, column 1: L:1/0"},
		"tempo is none":            {strings.Replace(tune, "=96", "=fast", 1) + "GAB |\n", "line 5, column 1: Q:"},
		"key is none":              {strings.Replace(tune, "K:G", "K:H", 1) + "GAB |\n", "line 6, column 1: K:H"},
		"bagpipes":                 {strings.Replace(tune, "K:G", "K:HP", 1) + "GAB |\n", "bagpipes"},
		"no such mode":             {strings.Replace(tune, "K:G", "K:G odd", 1) + "GAB |\n", "modes are"},
		"length of nothing":        {tune + "G0 |\n", "line 7, column 2: lengths"},
		"a length of 99999999999":  {tune + "G99999999999 |\n", "lengths"},
		"a length of 1/99999999":   {tune + "G/99999999 |\n", "lengths"},
		"a length of many slashes": {tune + "G" + strings.Repeat("/", 100_000) + " |\n", "lengths"},
		"a long note":              {tune + "G1024 |\n", "more than 64 beats"},
		"a long rest":              {tune + "Z9999 |\n", "a rest of 9999 bars"},
		"many long rests":          {tune + strings.Repeat("Z1000 | ", 100) + "G |\n", "more than 1024 bars"},
		"many bars":                {tune + strings.Repeat("G|", 5000) + "\n", "bars"},
		"many notes":               {tune + strings.Repeat("L:1/8\n"+strings.Repeat("G/64", 100)+"\n", 100), "notes"},
		"repeats of repeats":       {tune + strings.Repeat("|:G8:::::::::::::::::::|", 100) + "\n", "repeats"},
		"an octave far up":         {tune + "g" + strings.Repeat("'", 1000) + " |\n", "octave"},
		"an octave far down":       {tune + "G" + strings.Repeat(",", 1000) + " |\n", "octave"},
		"accidentals":              {tune + strings.Repeat("^", 1000) + "G |\n", "accidentals"},
		"a chord of many":          {tune + "[" + strings.Repeat("CDE", 1000) + "] |\n", "more than 16"},
		"a tuplet of none":         {tune + "(9:0:0 G (1 GA |\n", "a tuplet"},
		"broken rhythm":            {tune + "G>>>>A |\n", "three signs"},
		"broken rhythm alone":      {tune + "> G |\n", "between two notes"},
	} {
		_, err := Read(strings.NewReader(c.text))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q in it", name, err, c.want)
		}
	}
	if _, err := Read(strings.NewReader(strings.Repeat("%", maxBytes+1))); err == nil || !strings.Contains(err.Error(), "larger than 1 MB") {
		t.Errorf("a large file: %v", err)
	}
	var place *SyntaxError
	if _, err := Read(strings.NewReader(tune + "GABc\nGA§\n")); !errors.As(err, &place) || place.Line != 8 || place.Column != 3 {
		t.Errorf("a bad sign: %v", err)
	}
}

// What the standard says (ABC 2.1, from memory; broken rhythm is quoted in facts of the
// trade as three to one), worked out by hand: ticks and MIDI numbers.
func TestReads(t *testing.T) {
	for _, c := range []struct{ name, body, want string }{
		{"lengths", "G A2 B/ c/2 d3/2 e// z9/4 | G", "0+480 67; 480+960 69; 1440+240 71; 1680+240 72; 1920+720 74; 2640+120 76; 3840+480 67"},
		{"octaves", "G,, G, G g g' ^f''", "0+480 43; 480+480 55; 960+480 67; 1440+480 79; 1920+480 91; 2400+480 102"},
		{"the key and accidentals to the end of the bar", "F ^G G =F F z3 | G F", "0+480 66; 480+480 68; 960+480 68; 1440+480 65; 1920+480 65; 3840+480 67; 4320+480 66"},
		{"a tie carries its accidental", "z4 _B4- | B4 B4", "-1920+3840 70; 1920+1920 71"},
		{"tie of other pitches is none", "G2- A2", "0+960 67; 960+960 69"},
		{"triplets", "(3GAB (3:2:2G2A c2", "0+320 67; 320+320 69; 640+320 71; 960+640 67; 1600+320 69; 1920+960 72"},
		{"broken rhythm", "G>A B<c G>>A", "0+720 67; 720+240 69; 960+240 71; 1200+720 72; 1920+840 67; 2760+120 69"},
		{"broken rhythm with a rest", "G>z A2", "0+720 67; 960+960 69"},
		{"chords", "[GBd]2 [G2B2]2", "0+960 67,71,74; 960+1920 67,71"},
		{"grace notes, decorations, annotations, spaces", "{ga}G !trill!~A.B \"^slow\"Tc y2 `d", "0+480 67; 480+480 69; 960+480 71; 1440+480 72; 1920+480 74"},
		{"comments and continued lines", "G A % B c\n%%pagewidth 20\nB\\\nc", "0+480 67; 480+480 69; 960+480 71; 1440+480 72"},
		{"rests of bars", "G8 | Z2 | A8", "0+3840 67; 11520+3840 69"},
		{"repeats", "|: G4 A4 :| B8 |", "0+1920 67; 1920+1920 69; 3840+1920 67; 5760+1920 69; 7680+3840 71"},
		{"endings", "|: G8 |1 A8 :|2 B8 |]", "0+3840 67; 3840+3840 69; 7680+3840 67; 11520+3840 71"},
		{"repeats back to back", "|: G8 :: A8 :|", "0+3840 67; 3840+3840 67; 7680+3840 69; 11520+3840 69"},
		{"inline fields", "G [L:1/4]G [K:F]B", "0+480 67; 480+960 67; 1440+960 70"},
		{"the first voice", "V:1\nG8|\nV:2\nC8|\nV:1\nA8|", "0+3840 67; 3840+3840 69"},
		{"a second layer", "G8 & C8 | A8", "0+3840 67; 3840+3840 69"},
		{"only the first tune", "G8 |]\n\nX:2\nK:C\nC8", "0+3840 67"},
	} {
		p, err := Read(strings.NewReader(tune + c.body + "\n"))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		var all []string
		for _, n := range p.Notes {
			pitches := strings.ReplaceAll(strings.Trim(fmt.Sprint(n.Pitches), "[]"), " ", ",")
			all = append(all, fmt.Sprintf("%d+%d %s", n.Start, n.Length, pitches))
		}
		if got := strings.Join(all, "; "); got != c.want {
			t.Errorf("%s:\n got %s\nwant %s", c.name, got, c.want)
		}
	}
}

func TestHead(t *testing.T) {
	for _, c := range []struct {
		fields string
		tonic  int
		tempo  float64
		feel   lesson.Feel
		first  int // MIDI number of the note F
	}{
		{"M:4/4\nL:1/8\nQ:1/4=96\nK:G", 7, 96, lesson.Feel{}, 66},
		{"M:C\nQ:\"Shuffle\" 1/4=100\nK:Amix", 9, 100, lesson.Feel{Kind: lesson.Shuffle, Ratio: 2}, 66},
		{"M:12/8\nQ:3/8=60\nK:Em", 4, 60, lesson.Feel{Kind: lesson.Triplet}, 66},
		{"M:C|\nQ:1/2=60\nK:D dorian", 2, 120, lesson.Feel{}, 65},
		{"M:2/4\nQ:120\nK:Bb", 10, 30, lesson.Feel{}, 65}, // the unit is 1/16, as 2/4 is under 3/4
		{"R:swing\nK:F#m", 6, 0, lesson.Feel{Kind: lesson.Shuffle, Ratio: 2}, 66},
		{"K:C clef=treble", 0, 0, lesson.Feel{}, 65},
	} {
		p, err := Read(strings.NewReader("X:1\n" + c.fields + "\nF2 F2\n"))
		if err != nil {
			t.Errorf("%q: %v", c.fields, err)
			continue
		}
		if p.Tonic != c.tonic || p.Tempo != c.tempo || p.Feel != c.feel || p.Notes[0].Pitches[0] != c.first {
			t.Errorf("%q: tonic %d, tempo %g, %+v, F is %d", c.fields, p.Tonic, p.Tempo, p.Feel, p.Notes[0].Pitches[0])
		}
	}
}

// What is read makes a lesson that comes back from a file of its own.
func FuzzRead(f *testing.F) {
	for _, l := range scoretest.Lessons(f) {
		f.Add(string(written(f, l, 0)))
	}
	f.Add(tune + "|: \"G7\"G>A (3Bcd [GB]2 | \"C7\"(c-|1 c)z2 :|2 Z2 |] \nw: -2 -3 * +4\n")
	f.Fuzz(func(t *testing.T, text string) {
		p, err := Read(strings.NewReader(text))
		if err != nil {
			return
		}
		l, _, err := p.Lesson(score.Choice{})
		if err != nil {
			return
		}
		var b strings.Builder
		if err := Write(&b, l, score.Chorus); err != nil {
			return // licks that sound at once
		}
		q, err := Read(strings.NewReader(b.String()))
		if err != nil {
			t.Fatalf("%v\n%s", err, b.String())
		}
		again, _, err := q.Lesson(score.Choice{})
		if err != nil {
			t.Fatal(err)
		}
		scoretest.Same(t, "read again", again, l)
	})
}
