package score

import (
	"fmt"
	"strconv"
	"strings"

	"reedwell/levels/harp"
	"reedwell/levels/lesson"
)

// Prefix begins every text of ours in a file of another format.
const Prefix = "reedwell"

// Tab writes the holes of a note as tab: "-4'", and for a chord one behind the other,
// "-1-2".
func Tab(holes []harp.Note) string {
	text := ""
	for _, h := range holes {
		text += h.Tab()
	}
	return text
}

// ParseTab reads what Tab writes.
func ParseTab(text string) ([]harp.Note, error) {
	var holes []harp.Note
	if len(text) > 8*harp.Holes {
		return nil, fmt.Errorf("tab %.40q: more than a chord", text)
	}
	for rest := text; rest != ""; {
		end := len(rest)
		if i := strings.IndexAny(rest[1:], "+-"); i >= 0 {
			end = i + 1
		}
		n, err := harp.ParseNote(rest[:end])
		if err != nil {
			return nil, err
		}
		holes, rest = append(holes, n), rest[end:]
	}
	if len(holes) == 0 {
		return nil, fmt.Errorf("tab %q: empty", text)
	}
	return holes, nil
}

// A Mark is what a note's text of ours says: all of a lesson.Note but, in formats that
// carry them exactly by themselves, place and length. As text it is tab and words:
// "-4' glide", "-4 warble=-5*4 lick=2".
type Mark struct {
	lesson.Note
	Lick   int  // from 0
	Placed bool // Start and Length are given
}

// String writes the mark.
func (m Mark) String() string {
	words := []string{Tab(m.Holes)}
	add := func(is bool, word string) {
		if is {
			words = append(words, word)
		}
	}
	add(m.Join == lesson.Slurred, "slur")
	add(m.Join == lesson.Glide, "glide")
	add(m.Scoop, "scoop")
	add(m.Vibrato, "vibrato")
	add(m.Hold, "hold")
	add(m.Wah != 0, "wah="+strconv.FormatFloat(m.Wah, 'g', -1, 64))
	if m.Warbles() {
		words = append(words, fmt.Sprintf("warble=%s*%d", m.Warble.Tab(), m.Rate))
	}
	add(m.Lick != 0, fmt.Sprintf("lick=%d", m.Lick+1))
	if m.Placed {
		words = append(words, fmt.Sprintf("at=%d", m.Start), fmt.Sprintf("len=%d", m.Length))
	}
	return strings.Join(words, " ")
}

// The most that a mark may ask for: far beyond what a player can do, so that a file cannot
// ask for a million notes.
const (
	maxRate  = 32
	maxWah   = 32
	maxLicks = 200
	maxBars  = 512
	maxTicks = lesson.Ticks(maxBars) * lesson.Bar
)

// ParseMark reads what String writes.
func ParseMark(text string) (Mark, error) {
	var m Mark
	words := strings.Fields(text)
	bad := func(why string) (Mark, error) { return Mark{}, fmt.Errorf("note mark %.60q: %s", text, why) }
	if len(words) == 0 || len(words) > 12 {
		return bad("it is tab and a few words")
	}
	var err error
	if m.Holes, err = ParseTab(words[0]); err != nil {
		return Mark{}, err
	}
	whole := func(s string, least, most int) int {
		v, e := strconv.Atoi(s)
		if e != nil || v < least || v > most {
			err = fmt.Errorf("note mark %.60q: %.20q is no number from %d to %d", text, s, least, most)
		}
		return v
	}
	placed := 0
	for _, w := range words[1:] {
		name, value, _ := strings.Cut(w, "=")
		switch name {
		case "slur":
			m.Join = lesson.Slurred
		case "glide":
			m.Join = lesson.Glide
		case "scoop":
			m.Scoop = true
		case "vibrato":
			m.Vibrato = true
		case "hold":
			m.Hold = true
		case "wah":
			m.Wah, err = strconv.ParseFloat(value, 64)
			if err != nil || !(m.Wah > 0 && m.Wah <= maxWah) {
				return bad("wah is openings a beat")
			}
		case "warble":
			tab, rate, _ := strings.Cut(value, "*")
			m.Rate = whole(rate, 1, maxRate)
			if m.Warble, err = harp.ParseNote(tab); err != nil {
				return bad("warble is tab*rate")
			}
		case "lick":
			m.Lick = whole(value, 1, maxLicks) - 1
		case "at":
			m.Start = lesson.Ticks(whole(value, -int(lesson.Bar), int(maxTicks)))
			placed++
		case "len":
			m.Length = lesson.Ticks(whole(value, 1, int(maxTicks)))
			placed++
		default:
			return bad("unknown word " + strconv.Quote(name))
		}
		if err != nil {
			return Mark{}, err
		}
	}
	m.Placed = placed == 2
	return m, nil
}
