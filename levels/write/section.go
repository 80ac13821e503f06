package write

import (
	"fmt"
	"math"

	"reedwell/audio/listen"
	"reedwell/levels/lesson"
)

// Lesson writes down a take as a lesson to correct and keep: a lick for each phrase, cut
// where a whole bar or more is silent, over the given form. Its text is lesson.Format of
// it. The tempo is rounded to a whole beat a minute, an estimated shuffle to a tenth.
//
// Doubts and errors are those of [Lick]; a doubt's Lick and Note say where it lies.
func Lesson(heard listen.Take, o Options, form lesson.Form) (lesson.Lesson, []Doubt, Report, error) {
	whole, doubts, report, err := Lick(heard, o)
	if err != nil {
		return lesson.Lesson{}, nil, Report{}, err
	}
	l := lesson.Lesson{Title: "Written from playing", Key: o.Harp.Key, Position: o.Position, Tempo: o.Tempo, Feel: report.Feel,
		Form: form, A4: o.Harp.A4, Tuning: o.Harp.Tuning}
	if l.Position == 0 {
		l.Position = second
	}
	if l.Tempo == 0 {
		l.Tempo = math.Round(report.Tempo)
	}
	switch {
	case o.Feel != nil:
		l.Feel = *o.Feel
	case l.Feel.Kind == lesson.Shuffle:
		l.Feel.Ratio = math.Round(10*l.Feel.Ratio) / 10
	}
	l.Unit = lesson.Beat / 2
	if l.Feel.Kind == lesson.Triplet {
		l.Unit = lesson.Beat / 3
	}
	at := make([]int, len(whole.Notes)) // the lick each note went to
	first := 0
	for i := 1; i <= len(whole.Notes); i++ {
		if i < len(whole.Notes) && whole.Notes[i].Start-whole.Notes[i-1].End() < lesson.Bar {
			continue
		}
		for k := first; k < i; k++ {
			at[k] = len(l.Licks)
		}
		l.Licks = append(l.Licks, phrase(whole, first, i, len(l.Licks)+1))
		first = i
	}
	if len(l.Licks) > lesson.MaxLicks {
		return lesson.Lesson{}, nil, Report{}, ErrLong
	}
	begin := make([]int, len(l.Licks)) // index of its first note
	for k := len(at) - 1; k >= 0; k-- {
		begin[at[k]] = k
	}
	for i, d := range doubts {
		if d.Note >= 0 {
			doubts[i].Lick = at[d.Note]
			doubts[i].Note -= begin[at[d.Note]]
		}
	}
	return l, doubts, report, nil
}

const second = 2 // second position

// phrase is the lick of notes [first, last) of the whole.
func phrase(whole lesson.Lick, first, last, number int) lesson.Lick {
	notes := append([]lesson.Note(nil), whole.Notes[first:last]...)
	from := floorTo(notes[0].Start, lesson.Bar)
	end := notes[len(notes)-1].End()
	if late := notes[0].Start - from; first == 0 && from < 0 || first > 0 && late > lesson.Bar/2 && end > from+lesson.Bar {
		from += lesson.Bar // a pickup
	}
	for i := range notes {
		notes[i].Start -= from
	}
	notes[0].Join = lesson.Tongued
	return lesson.Lick{Title: fmt.Sprintf("Lick %d", number), Bar: whole.Bar + int(from/lesson.Bar), Bars: max(1, int((end-from+lesson.Bar-1)/lesson.Bar)),
		Pickup: max(0, -notes[0].Start), Notes: notes}
}
