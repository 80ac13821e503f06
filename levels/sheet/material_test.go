package sheet_test

import (
	"strings"
	"testing"

	"reedwell/levels/harp"
	"reedwell/levels/lesson"
)

// row makes notes one after the other from a place on: "-4'*2" is 4 draw bent, twice the unit
// long; z a rest; & joins the holes of a chord; before a note _ slurs, ~ glides, ^ scoops;
// after it v vibrates, w opens the hands twice a beat, h holds, and @-5 warbles with 5 draw.
func row(t testing.TB, at, unit lesson.Ticks, text string) []lesson.Note {
	t.Helper()
	hole := func(s string) harp.Note {
		n, err := harp.ParseNote(s)
		if err != nil {
			t.Fatal(err)
		}
		return n
	}
	var all []lesson.Note
	for _, word := range strings.Fields(text) {
		n := lesson.Note{Start: at, Length: unit}
		word, times, ok := strings.Cut(word, "*")
		if ok {
			n.Length *= lesson.Ticks(len(times)) // one I for each unit, as on a tally
		}
		at = n.End()
		if word == "z" {
			continue
		}
		for {
			switch word[0] {
			case '_':
				n.Join = lesson.Slurred
			case '~':
				n.Join = lesson.Glide
			case '^':
				n.Scoop = true
			default:
				goto holes
			}
			word = word[1:]
		}
	holes:
		word, other, ok := strings.Cut(word, "@")
		if ok {
			n.Warble, n.Rate = hole(other), 4
		}
		for strings.ContainsAny(word[len(word)-1:], "vwh") {
			switch word[len(word)-1] {
			case 'v':
				n.Vibrato = true
			case 'w':
				n.Wah = 2
			case 'h':
				n.Hold = true
			}
			word = word[:len(word)-1]
		}
		for _, h := range strings.Split(word, "&") {
			n.Holes = append(n.Holes, hole(h))
		}
		all = append(all, n)
	}
	return all
}

const (
	beat   = lesson.Beat
	eighth = beat / 2
)

func key(t testing.TB, name string) harp.Key {
	t.Helper()
	k, err := harp.ParseKey(name)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// full is a lesson with every mark in it.
func full(t testing.TB) lesson.Lesson {
	l := lesson.Lesson{
		Title: "Slow Kettle", Key: key(t, "Eb"), Position: 2, Tempo: 84, A4: 442,
		Words: "Play it slowly at first & keep the breath low.\nListen for the “ring” of the half step on 4 draw before you add the hands.",
		Feel:  lesson.Feel{Kind: lesson.Shuffle, Ratio: 2}, Form: lesson.Forms()[1],
	}
	l.Licks = []lesson.Lick{
		{Title: "The call", Words: "Leave the rest empty: the silence is a part of the lick.", Bar: 1, Bars: 2, Pickup: eighth,
			Notes: append(row(t, -eighth, eighth, "+3 -4*II ~-4' ~-4 _-5 -4 z +4"), row(t, lesson.Bar, eighth, "-3'*II ^-2vh*IIII z z")...)},
		{Title: "Triplet stairs", Words: "Three even notes to the beat.", Bar: 5, Bars: 2,
			Notes: append(append(row(t, 0, beat/3, "-4 _-5 +6 -5 _-4 +4"), row(t, 2*beat, eighth, "-1&-2&-3*II z z")...),
				row(t, lesson.Bar, eighth, "-4@-5*IIII -4w*II z z")...)},
		{Title: "Deep end", Words: "Down to the step and a half, and up again in one breath.", Bar: 9, Bars: 2,
			Notes: append(row(t, 0, eighth, "-3''' ~-3'' ~-3' ~-3 -2'' -1' -1 z"), row(t, lesson.Bar, eighth, "+6o +4 -4 -3' -2w*II z z")...)},
		{Title: "Way home", Words: "Land on the two.", Bar: 11, Bars: 2, Pickup: beat,
			Notes: append(row(t, -beat, beat/3, "-2 -3' +4"), append(row(t, 0, eighth, "-4 -3 -2 z +2 -2 -3' -3"), row(t, lesson.Bar, eighth, "-2*II -1*II +1&+2&+3*IIII")...)...)},
	}
	return l
}

// dense fills bars with sixteenths that bend, and has the largest chord.
func dense(t testing.TB) lesson.Lesson {
	l := full(t)
	l.Title, l.A4, l.Feel = "Sixteenths", 0, lesson.Feel{}
	run := strings.Repeat("-3''' -2'' -3''' +10'' ", 4)
	l.Licks = []lesson.Lick{
		{Title: "All at once", Bar: 1, Bars: 4, Notes: append(append(row(t, 0, beat/4, run), row(t, lesson.Bar, beat/4, run)...),
			append(row(t, 2*lesson.Bar, beat, "+1&+2&+3&+4&+5&+6&+7&+8&+9&+10*II -1&-2&-3&-4&-5&-6&-7&-8&-9&-10*II"), row(t, 3*lesson.Bar, beat/8, strings.Repeat("-3''' +10'' ", 16))...)...)},
		{Title: "Five", Bar: 5, Bars: 1, Notes: append(row(t, 0, beat/5, "-4 -4 -4 -4 -4"), row(t, beat, 2*beat/3, "-4 -4 -4")...)},
		{Title: "The same bar in the next chorus", Bar: 17, Bars: 2, Notes: row(t, 0, beat, "-4*IIIIIIII")},
	}
	return l
}

// tripletFeel is in 12/8, in a minor form.
func tripletFeel(t testing.TB) lesson.Lesson {
	l := full(t)
	l.Title, l.Feel, l.Form, l.Tempo, l.Key, l.Position = "Grey Gate", lesson.Feel{Kind: lesson.Triplet}, lesson.Forms()[3], 56, key(t, "low F#"), 3
	l.Licks = []lesson.Lick{{Title: "Open", Words: "Let it breathe.", Bar: 3, Bars: 3, Notes: append(row(t, 0, beat/3, "-4*III -5 +6 -6 -4*IIII _-5 -4"), row(t, lesson.Bar, eighth, "-4 -5 -4*IIIIIIII z z z z")...)}}
	return l
}
