package drill

import (
	"fmt"
	"slices"
	"strings"

	"reedwell/levels/harp"
)

// SungID names the drill on a bend that the player has chosen by singing it, as "sung-3d2". It is a bend by ear like those of the path,
// has no level and is on no path: see [Drill.Free].
func SungID(n harp.Note) string {
	return fmt.Sprintf("%s%s%d", sungPrefix, holeName(n.Hole, n.Breath), n.Bend)
}

const sungPrefix = "sung-"

// sung is the sketch that an ID of [SungID] names. What is asked is the bend itself, not the pitch that was sung: a voice that was 20
// cents off is told so, and the ear is trained on what is in tune.
func sung(id string) (sketch, bool) {
	all := harp.Bent()
	i := slices.IndexFunc(all, func(n harp.Note) bool { return SungID(n) == id })
	if i < 0 {
		return sketch{}, false
	}
	n := all[i]
	turn := n.Tab() + ":3 r:1"
	return sketch{
		id: id, family: Aim, grade: Beginner, tempo: 60, call: 4,
		title: fmt.Sprintf("%d %s: the note you sang", n.Hole, n.Breath),
		words: fmt.Sprintf("The tone is %s. It is sounded; hum it silently, then bend %d %s to it. Three turns, and nothing shows your pitch.", n.Words(), n.Hole, n.Breath),
		text:  strings.Join([]string{turn, turn, turn}, " | "),
	}, true
}

// Free reports a drill that stands on no path: it opens nothing and costs nothing.
func (d Drill) Free() bool { return d.Level == 0 && d.Family != Lick }
