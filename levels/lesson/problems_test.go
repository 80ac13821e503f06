package lesson_test

import (
	"flag"
	"fmt"
	"os"
	"reflect"
	"strings"
	"testing"
	"unicode/utf8"

	"reedwell/levels/lesson"
)

var update = flag.Bool("update", false, "write the golden files anew")

// What a teacher is told about each mistake. testdata/problems.txt holds the lessons, and
// the golden file what is said, with the text at the place that is named.
func TestProblems(t *testing.T) {
	b, err := os.ReadFile("testdata/problems.txt")
	if err != nil {
		t.Fatal(err)
	}
	var got strings.Builder
	for _, c := range strings.Split(string(b), "=== ")[1:] {
		name, text, _ := strings.Cut(c, "\n")
		l, problems := lesson.Parse(text)
		if len(problems) == 0 {
			t.Errorf("%s: nothing is said", name)
		}
		if zero := reflect.DeepEqual(l, lesson.Lesson{}); zero != lesson.Failed(problems) {
			t.Errorf("%s: a zero lesson: %v", name, zero)
		}
		fmt.Fprintf(&got, "=== %s\n", name)
		for _, p := range problems {
			fmt.Fprintf(&got, "%v\n    > %s\n", p, at(text, p.Place))
		}
	}
	const golden = "testdata/problems.golden"
	if *update {
		if err := os.WriteFile(golden, []byte(got.String()), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if got.String() != string(want) {
		t.Errorf("problems changed; look at them and run with -update if they are right:\n%s", got.String())
	}
}

// at is the text from a place on.
func at(text string, p lesson.Place) string {
	line := []rune(strings.Split(text, "\n")[p.Line-1])
	return string(line[p.Column-1:])
}

// Hostile and broken texts are refused, with a place in the text.
func TestBounds(t *testing.T) {
	const head = "title: t\nharp: C\ntempo: 60\n"
	lick := func(n int) string {
		return fmt.Sprintf("lick: a\nbars: %d\n-4:8 |\n", n)
	}
	many := head
	for i := range 60 {
		many += lick(i + 1)
	}
	for _, test := range []struct {
		name, text string
		line       int
		want       string
	}{
		{"too many bytes", head + lick(1) + strings.Repeat("%\n", lesson.MaxBytes/2), 1, "at most 65536"},
		{"a long line", head + lick(1) + strings.Repeat("-4 ", 200), 7, "at most 400"},
		{"too many licks", many, 3 + 3*48 + 1, "at most 48"},
		{"too many notes", head + "lick: a\nbars: 1\n" + strings.Repeat(strings.Repeat("-4 ", 100)+"\n", 6), 11, "at most 512"},
		{"wrong UTF-8", head + "words: caf\xe9\n" + lick(1), 4, "UTF-8"},
		{"a zero", head + "words: a\x00b\n" + lick(1), 4, "printed"},
		{"writing turned round", "title: a\u202eb\n" + lick(1), 1, "printed"},
		{"a long title", "title: " + strings.Repeat("ü", 81) + "\nharp: C\ntempo: 60\n" + lick(1), 1, "1 to 80"},
		{"many words", head + strings.Repeat("words: a\n", 25) + lick(1), 28, "at most 24"},
		{"a long form", head + strings.Repeat("form: I|I|I|I|I|I|I|I|\n", 7) + lick(1), 4, "at most 48"},
		{"a far bar", head + lick(1000), 5, "up to 96"},
		{"a number without end", "title: t\nharp: C\ntempo: 6" + strings.Repeat("0", 300) + "\n" + lick(1), 3, "30 to 240"},
		{"brackets", head + "lick: a\nbars: 1\n-4" + strings.Repeat("[", 300) + "\n", 6, "]"},
		{"parentheses", head + "lick: a\nbars: 1\n" + strings.Repeat("(3", 100) + "\n", 6, "blanks between"},
	} {
		_, problems := lesson.Parse(test.text)
		found := false
		for _, p := range problems {
			found = found || p.Line == test.line && strings.Contains(p.Want, test.want)
			if len(p.Got) > 400 || len(p.Want) > 400 {
				t.Errorf("%s: a long message: %v", test.name, p)
			}
		}
		if !found || !lesson.Failed(problems) || len(problems) > lesson.MaxProblems {
			t.Errorf("%s: %v, want %q in line %d", test.name, problems, test.want, test.line)
		}
	}
}

// Texts as they come from other editors and phones are the same lesson.
func TestEditors(t *testing.T) {
	const plain = "title: t\nharp: Bb\ntempo: 60\nlick: a\nbars: 1\nwords: w\n-2'' z:2 -4:5 |\n"
	want, problems := lesson.Parse(plain)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	for name, text := range map[string]string{
		"CRLF":             strings.ReplaceAll(plain, "\n", "\r\n"),
		"CR":               strings.ReplaceAll(plain, "\n", "\r"),
		"mark at the top":  "\ufeff" + plain,
		"capitals":         strings.NewReplacer("title", "Title", "harp", "HARP", "z:2", "Z:2", "lick", "Lick").Replace(plain),
		"curly marks":      strings.NewReplacer("''", "’’", "-", "–").Replace(plain),
		"blanks":           strings.ReplaceAll(strings.ReplaceAll(plain, " ", "  "), "\n", " \n\n"),
		"no-break blanks":  strings.ReplaceAll(plain, " ", "\u00a0"),
		"no last line end": strings.TrimSpace(plain),
		"comments":         "% first\n" + strings.ReplaceAll(plain, "|", "| % a bar"),
		"a line a note":    strings.Replace(plain, " z:2 ", "\nz:2\n", 1),
		"bar lines around": strings.Replace(plain, "-2", "| -2", 1),
	} {
		got, problems := lesson.Parse(text)
		if len(problems) > 0 || !reflect.DeepEqual(placeless(got), placeless(want)) {
			t.Errorf("%s: %v\n%+v, want\n%+v", name, problems, got, want)
		}
	}
}

// Laws: a text is a lesson or has an error, never both; problems lie in the text; a lesson
// formatted is the same lesson with nothing new to be said; it can be sounded.
func FuzzParse(f *testing.F) {
	for _, text := range demos(f) {
		f.Add(text)
	}
	b, err := os.ReadFile("testdata/problems.txt")
	if err != nil {
		f.Fatal(err)
	}
	for _, c := range strings.Split(string(b), "=== ")[1:] {
		_, text, _ := strings.Cut(c, "\n")
		f.Add(text)
	}
	b, err = os.ReadFile("FORMAT.md")
	if err != nil {
		f.Fatal(err)
	}
	for _, c := range strings.Split(string(b), "```lesson\n")[1:] {
		text, _, _ := strings.Cut(c, "```")
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		l, problems := lesson.Parse(text)
		lines := strings.Split(strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(text), "\n")
		for _, p := range problems {
			if p.Line < 1 || p.Line > len(lines) || p.Column < 1 || p.Column > utf8.RuneCountInString(lines[p.Line-1])+1 {
				t.Fatalf("%v lies outside the text", p)
			}
			if p.Got == "" || p.Want == "" {
				t.Fatalf("%#v says nothing", p)
			}
		}
		if lesson.Failed(problems) {
			if !reflect.DeepEqual(l, lesson.Lesson{}) {
				t.Fatal("a lesson with an error")
			}
			return
		}
		again, more := lesson.Parse(lesson.Format(l))
		if lesson.Failed(more) || len(more) != len(problems) || !reflect.DeepEqual(placeless(again), placeless(l)) {
			t.Fatalf("%v\n%s\n%+v, want\n%+v", more, lesson.Format(l), again, l)
		}
		for i := range l.Licks {
			if _, err := l.Drill(i, lesson.Play{}); err != nil {
				t.Fatal(err)
			}
		}
		if _, err := l.Chorus(lesson.Play{}); err != nil {
			t.Fatal(err)
		}
	})
}

// The longest texts that are nothing but mistakes take their time too.
func BenchmarkHostile(b *testing.B) {
	const head = "title: t\nharp: C\ntempo: 60\nlick: a\nbars: 1\n"
	for name, line := range map[string]string{"letters": strings.Repeat("x ", 190), "brackets": strings.Repeat("-4[", 120), "triplets": strings.Repeat("(3", 190), "dots": strings.Repeat("> ", 190)} {
		text := head + strings.Repeat(line+"\n", (lesson.MaxBytes-len(head))/(len(line)+1))
		b.Run(name, func(b *testing.B) {
			b.SetBytes(int64(len(text)))
			for b.Loop() {
				lesson.Parse(text)
			}
		})
	}
}

func BenchmarkParse(b *testing.B) {
	text := demos(b)["landing.txt"]
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		lesson.Parse(text)
	}
}
