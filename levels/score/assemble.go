package score

import (
	"slices"

	"reedwell/levels/lesson"
)

// A Sign is a note as it stands on a page, before ties are joined. Places and lengths are
// counted in FineBeat.
type Sign struct {
	At, Length           int64
	Pitches              []int
	Tied, Ties           bool // to the sign before; to the next
	SlurBegins, SlurEnds bool
	Slide                bool // a slide or glissando ends here
	Scoop                bool
	Tab, Mark            string
}

// An Assembler makes the notes of a piece out of signs, given in their order.
type Assembler struct {
	Piece *Piece
	slurs int
	open  bool  // the last note is tied on
	end   int64 // of the last sign
}

// Add adds a sign. What has no place on a grid that can be written is moved and remarked.
func (a *Assembler) Add(s Sign) {
	p := a.Piece
	if s.Length <= 0 || len(s.Pitches) == 0 {
		return
	}
	slices.Sort(s.Pitches)
	s.Pitches = slices.Compact(s.Pitches)
	end := s.At + s.Length
	if s.Tied && a.open && len(p.Notes) > 0 {
		last := &p.Notes[len(p.Notes)-1]
		if s.At == a.end && slices.Equal(last.Pitches, s.Pitches) {
			t, moved := Snap(end)
			last.Length = a.ticks(end, t, moved, s.Mark != "" || last.Mark != "") - last.Start
			a.end, a.open = end, s.Ties
			a.slur(s)
			return
		}
	}
	t, moved := Snap(s.At)
	start := a.ticks(s.At, t, moved, s.Mark != "")
	to, movedEnd := Snap(end)
	stop := a.ticks(end, to, movedEnd, s.Mark != "")
	if (moved || movedEnd) && s.Mark == "" {
		p.Remark(start, "this rhythm has no plain sign in a lesson; it is moved to the nearest")
	}
	n := Note{Start: start, Length: max(stop-start, 1), Pitches: s.Pitches, Scoop: s.Scoop, Tab: s.Tab, Mark: s.Mark}
	touches := len(p.Notes) > 0 && s.At == a.end
	switch {
	case s.Slide && touches:
		n.Join = lesson.Glide
	case a.slurs > 0 && touches:
		n.Join = lesson.Slurred
	}
	a.slur(s)
	p.Notes = append(p.Notes, n)
	a.end, a.open = end, s.Ties
}

func (a *Assembler) slur(s Sign) {
	if s.SlurEnds {
		a.slurs = max(0, a.slurs-1)
	}
	if s.SlurBegins {
		a.slurs++
	}
}

// ticks is a place in ticks: of ours to the tick, else as Snap has it.
func (a *Assembler) ticks(fine int64, snapped lesson.Ticks, moved, ours bool) lesson.Ticks {
	if !moved || !ours || a.Piece.Head == nil {
		return snapped
	}
	unit := FineBeat / int64(lesson.Beat)
	q := fine / unit
	if r := fine - q*unit; 2*r >= unit {
		q++
	} else if 2*r < -unit {
		q--
	}
	return lesson.Ticks(q)
}
