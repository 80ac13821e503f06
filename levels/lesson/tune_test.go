package lesson_test

import (
	"strings"
	"testing"

	"reedwell/levels/lesson"
)

// Lengths as the ABC standard 2.1 has them: multipliers and fractions (section 4.3), dotted
// pairs (4.4: the first note dotted, the second halved), tuplets (4.13: three in the time of
// two, two in the time of three, four in three, six in two, five in three in a compound time and
// else in two), ties. Wanted are start and length in ticks, 960 a beat.
func TestRhythm(t *testing.T) {
	const e, c = lesson.Beat / 2, lesson.Beat / 3 // the eighth, and the one of 12/8
	type at struct{ start, length lesson.Ticks }
	for _, test := range []struct {
		feel, unit, tab string
		want            []at
	}{
		{"straight", "1/8", "-4 -4:2 -4:3/2 -4:/2 -4:3/ z:2 -4/", nil}, // a length wants its colon
		{"straight", "1/8", "-4 -4:2 -4:3/2 -4:/2 -4:3/ -4:/ -4:// -4:/4 z:1/2", []at{{0, e}, {e, 2 * e}, {3 * e, 3 * e / 2}, {9 * e / 2, e / 2}, {5 * e, 3 * e / 2}, {13 * e / 2, e / 2}, {7 * e, e / 4}, {29 * e / 4, e / 4}}},
		{"straight", "1/8", "-4 > -4 -4 < -4 -4:2 > -4:2", []at{{0, 3 * e / 2}, {3 * e / 2, e / 2}, {2 * e, e / 2}, {5 * e / 2, 3 * e / 2}, {4 * e, 3 * e}, {7 * e, e}}},
		{"straight", "1/8", "-4 >> -4 -4 <<< -4 z:4", []at{{0, 7 * e / 4}, {7 * e / 4, e / 4}, {2 * e, e / 8}, {17 * e / 8, 15 * e / 8}}},
		{"straight", "1/8", "(3-4 z -4 -4:6", []at{{0, c}, {2 * c, c}, {2 * e, 6 * e}}},
		{"straight", "1/8", "(3 -4 -4 -4 (3:2:2 -4:2 -4 -4:4", []at{{0, c}, {c, c}, {2 * c, c}, {3 * c, 2 * c}, {5 * c, c}, {4 * e, 4 * e}}},
		{"straight", "1/8", "(6 -4 -4 -4 -4 -4 -4 (4 -4 -4 -4 -4 z:3", []at{{0, 160}, {160, 160}, {320, 160}, {480, 160}, {640, 160}, {800, 160}, {960, 360}, {1320, 360}, {1680, 360}, {2040, 360}}},
		{"straight", "1/8", "(5 -4 -4 -4 -4 -4 z:6", []at{{0, 192}, {192, 192}, {384, 192}, {576, 192}, {768, 192}}},
		{"12/8", "1/8", "(2 -4 -4 (5 -4 -4 -4 -4 -4 z:6", []at{{0, 480}, {480, 480}, {960, 192}, {1152, 192}, {1344, 192}, {1536, 192}, {1728, 192}}},
		{"12/8", "1/8", "-4:3 -4 -4 -4 -4:6", []at{{0, 3 * c}, {3 * c, c}, {4 * c, c}, {5 * c, c}, {6 * c, 6 * c}}},
		{"straight", "1/4", "-4 -4:/2 -4:/2 -4:2", []at{{0, 2 * e}, {2 * e, e}, {3 * e, e}, {4 * e, 4 * e}}},
		{"12/8", "1/16", "-4:6 z:6 -4:12", []at{{0, 3 * c}, {6 * c, 6 * c}}},
		{"straight", "1/8", "-4:2- -4:2- -4 z:3", []at{{0, 5 * e}}},
		{"straight", "1/8", "-4:6 -5:2- | -5:8 ", nil}, // two bars
		{"straight", "1/8", "-5:/2 z | -4:8", []at{{-3 * e / 2, e / 2}, {0, 8 * e}}},
		{"straight", "1/8", "z -5 | -4:8", []at{{-e, e}, {0, 8 * e}}},
		{"straight", "1/8", "-5- | -5:8", []at{{-e, 9 * e}}},
		{"straight", "1/8", "-4:3[repeat 3] -4:2[repeat 4] z:3", []at{{0, e}, {e, e}, {2 * e, e}, {3 * e, e / 2}, {7 * e / 2, e / 2}, {4 * e, e / 2}, {9 * e / 2, e / 2}}},
	} {
		text := "title: t\nharp: C\ntempo: 60\nfeel: " + test.feel + "\nunit: " + test.unit + "\nlick: a\nbars: 1\n" + test.tab + "\n"
		l, problems := lesson.Parse(text)
		if lesson.Failed(problems) != (test.want == nil) {
			t.Errorf("%s, %s, %s: %v", test.feel, test.unit, test.tab, problems)
			continue
		}
		if test.want == nil {
			continue
		}
		var got []at
		for _, n := range l.Licks[0].Notes {
			got = append(got, at{n.Start, n.Length})
		}
		if len(got) != len(test.want) {
			t.Errorf("%s: %v, want %v", test.tab, got, test.want)
			continue
		}
		for i := range got {
			if got[i] != test.want[i] {
				t.Errorf("%s: note %d at %v, want %v", test.tab, i, got[i], test.want[i])
			}
		}
		if k := l.Licks[0]; k.Pickup != max(0, -k.Notes[0].Start) {
			t.Errorf("%s: pickup %d", test.tab, k.Pickup)
		}
	}
}

// How a note is played, as FORMAT.md says.
func TestMarks(t *testing.T) {
	l, problems := lesson.Parse("title: t\nharp: C\ntempo: 60\nlick: a\nbars: 1-2\n" +
		"-4 /-4' /-5 ~-3 -3^ -3[scoop] -4[wah] -4 [wah 2.5, Hold] | -4:4[warble 5] -4:2[warble -3' at 4, vibrato] -2-3 /-2''-3 |\n")
	if lesson.Failed(problems) {
		t.Fatal(problems)
	}
	var got []string
	for _, n := range l.Licks[0].Notes {
		s := []string{"tongued", "slurred", "glide"}[n.Join]
		if n.Scoop {
			s += " scoop"
		}
		if n.Wah == 1 {
			s += " wah"
		}
		if n.Wah == 2.5 && n.Hold {
			s += " wah 2.5 hold"
		}
		if n.Warbles() {
			s += " warble " + n.Warble.Tab() + " at " + string(rune('0'+n.Rate))
		}
		if n.Vibrato {
			s += " vibrato"
		}
		got = append(got, s)
	}
	want := "tongued, glide, slurred, tongued scoop, tongued scoop, tongued scoop, tongued wah, tongued wah 2.5 hold, tongued warble -5 at 6, tongued warble -3' at 4 vibrato, tongued, glide"
	if s := strings.Join(got, ", "); s != want {
		t.Errorf("%s\nwant %s", s, want)
	}
}
