package write

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"reedwell/audio/listen"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
)

func keyOf(t testing.TB, s string) harp.Key {
	t.Helper()
	k, err := harp.ParseKey(s)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func hear(t testing.TB, h harp.Harp, x []float32, rate int) listen.Take {
	t.Helper()
	heard, err := listen.Hear(Listen(h, rate), x)
	if err != nil {
		t.Fatal(err)
	}
	return heard
}

// ownLicks are licks of these tests beside the demo lessons, our own, with what those lack:
// wah on a quick hand, chords of two holes, 3 blow, blow bends.
func ownLicks(t testing.TB) lesson.Lesson {
	t.Helper()
	l := lesson.Lesson{Title: "test licks", Key: keyOf(t, "C"), Position: 2, Tempo: 76, Form: lesson.Forms()[0], Unit: lesson.Beat / 2}
	for _, s := range []string{
		"0 -2:2 -3:1 +4:1 -4:2 r:2 -4:1 +4:1 -3:2 -2:4",
		"0 -2:1 -2:1 -3:1 -4:1 +5:2 -4:2 +6:1 -5:1 -4:1 +4:1 -2:4",
		"-1 -2:1 -3':2 g-3:1 -4:1 r:1 +4:1 -4':1 g-4:1 r:2 ^-4:2 -4~-5:4@6",
		"0 ^-3:2 -4:1 +5:1 r:1 -5:1 -4:1 +4:1 v-2:6 r:2",
		"0 -1&-2:2 -1&-2:2 r:1 -2:1 -3:1 -4:1 -4&-5:2 +4&+5:2 -2:4",
		"0 -4:2/3 -5:2/3 +6:2/3 -6:2 +6:2/3 -5:2/3 -4:2/3 +4:2 -3:2/3 g-3':2/3 -2:2/3 -2'':2 g-2:4",
		"0 +8:2 -8:1 +9:1 +9':1 g+9:1 -9:2 +8':2 g+8:2 +7:1 -6:1 +6:2",
		"0 -2:4w2 -1:2 +1:2 -1:1 +2:1 +3:1 +4:1 -2:4w2",
	} {
		l.Licks = append(l.Licks, lick(t, s))
	}
	return l
}

// lick reads the short hand of these tests: notes as harp.Note.Tab has them, the length in
// eighths (or n/m of one) behind a colon, r a rest, and before the note s slurred, g glide,
// ^ scoop, v vibrato; wN: behind the length N openings a beat; a chord is notes joined by &,
// a warble by ~ with @ notes a beat. The first number is where it starts, in eighths.
func lick(t testing.TB, text string) lesson.Lick {
	t.Helper()
	fields := strings.Fields(text)
	eighths := func(s string) lesson.Ticks {
		a, b, _ := strings.Cut(s, "/")
		x, err := strconv.Atoi(a)
		y := 1
		if b != "" {
			y, _ = strconv.Atoi(b)
		}
		if err != nil || y == 0 {
			t.Fatalf("%q is no length", s)
		}
		return lesson.Ticks(x) * lesson.Beat / 2 / lesson.Ticks(y)
	}
	at := eighths(fields[0])
	k := lesson.Lick{Title: "t", Bar: 1, Pickup: max(0, -at)}
	for _, f := range fields[1:] {
		what, length, _ := strings.Cut(f, ":")
		n := lesson.Note{Start: at}
		if a, b, ok := strings.Cut(length, "@"); ok {
			length = a
			n.Rate, _ = strconv.Atoi(b)
		}
		if a, b, ok := strings.Cut(length, "w"); ok {
			length = a
			n.Wah, _ = strconv.ParseFloat(b, 64)
		}
		n.Length = eighths(length)
		at += n.Length
		if what == "r" {
			continue
		}
		for ; strings.ContainsAny(what[:1], "sg^v"); what = what[1:] {
			switch what[0] {
			case 's':
				n.Join = lesson.Slurred
			case 'g':
				n.Join = lesson.Glide
			case '^':
				n.Scoop = true
			case 'v':
				n.Vibrato = true
			}
		}
		what, other, warble := strings.Cut(what, "~")
		for _, s := range append(strings.Split(what, "&"), other) {
			if s == "" {
				continue
			}
			h, err := harp.ParseNote(s)
			if err != nil {
				t.Fatal(s, err)
			}
			if warble && s == other {
				n.Warble = h
				continue
			}
			n.Holes = append(n.Holes, h)
		}
		k.Notes = append(k.Notes, n)
	}
	k.Bars = int((at + lesson.Bar - 1) / lesson.Bar)
	return k
}

// show writes notes so that they can be compared by eye.
func show(notes []lesson.Note) string {
	var b strings.Builder
	for _, n := range notes {
		fmt.Fprintf(&b, "%g:", n.Start.Beats()*2)
		b.WriteString([...]string{"", "s", "g"}[n.Join])
		if n.Scoop {
			b.WriteString("^")
		}
		if n.Vibrato {
			b.WriteString("v")
		}
		for i, h := range n.Holes {
			if i > 0 {
				b.WriteString("&")
			}
			b.WriteString(h.Tab())
		}
		if n.Warbles() {
			fmt.Fprintf(&b, "~%s@%d", n.Warble.Tab(), n.Rate)
		}
		if n.Wah > 0 {
			fmt.Fprintf(&b, "w%g", n.Wah)
		}
		fmt.Fprintf(&b, "(%.3g) ", n.Length.Beats()*2)
	}
	return b.String()
}
