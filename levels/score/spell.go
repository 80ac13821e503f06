package score

import (
	"fmt"

	"reedwell/levels/harp"
)

// A Spelling is a note's name on the page.
type Spelling struct {
	Step   byte // 'A' to 'G'
	Alter  int  // semitones: -1 flat, 1 sharp
	Octave int  // 4 from middle C up
}

const steps = "CDEFGAB"

// natural is the pitch class of a step.
func natural(step byte) int {
	return map[byte]int{'C': 0, 'D': 2, 'E': 4, 'F': 5, 'G': 7, 'A': 9, 'B': 11}[step]
}

// MIDI is the note number of a spelling, 60 = middle C.
func (s Spelling) MIDI() int { return 12*(s.Octave+1) + natural(s.Step) + s.Alter }

// A KeySignature is a tonic with its sharps (positive) or flats.
type KeySignature struct {
	Tonic  Spelling // Octave is 0
	Minor  bool
	Fifths int
}

// NewKey is the key signature on a pitch class, with the name that has fewer accidentals.
func NewKey(tonic int, minor bool) KeySignature {
	name := harp.PitchClass(tonic)
	s := Spelling{Step: name[0]}
	if len(name) > 1 {
		s.Alter = map[byte]int{'b': -1, '#': 1}[name[1]]
	}
	if minor && (name == "Db" || name == "Ab") { // eight and seven flats
		s = Spelling{Step: map[string]byte{"Db": 'C', "Ab": 'G'}[name], Alter: 1}
	}
	k := KeySignature{Tonic: s, Minor: minor, Fifths: lineOfFifths(s)}
	if minor {
		k.Fifths -= 3
	}
	return k
}

// lineOfFifths counts a name's fifths from C: F -1, G 1, Bb -2.
func lineOfFifths(s Spelling) int {
	return map[byte]int{'F': -1, 'C': 0, 'G': 1, 'D': 2, 'A': 3, 'E': 4, 'B': 5}[s.Step] + 7*s.Alter
}

// Alter is what the signature does to a step.
func (k KeySignature) Alter(step byte) int {
	f := map[byte]int{'F': 0, 'C': 1, 'G': 2, 'D': 3, 'A': 4, 'E': 5, 'B': 6}[step]
	switch {
	case k.Fifths > f:
		return 1
	case -k.Fifths > 6-f:
		return -1
	}
	return 0
}

// Spell names a note of the key as blues is written: flat third, fifth and seventh under
// the notes they bend, never a double flat or sharp.
func (k KeySignature) Spell(midi int) Spelling {
	tonic := natural(k.Tonic.Step) + k.Tonic.Alter
	over := ((midi-tonic)%12 + 12) % 12
	degree := [12]int{0, 1, 1, 2, 2, 3, 4, 4, 5, 5, 6, 6}[over]
	first := int(map[byte]int{'C': 0, 'D': 1, 'E': 2, 'F': 3, 'G': 4, 'A': 5, 'B': 6}[k.Tonic.Step])
	step := steps[(first+degree)%7]
	s := spelled(midi, step)
	if s.Alter < -1 || s.Alter > 1 {
		for _, other := range []byte(steps) {
			if o := spelled(midi, other); o.Alter == 0 {
				return o
			}
		}
	}
	return s
}

// Class names a pitch class in the key, in octave 0.
func (k KeySignature) Class(class int) Spelling {
	s := k.Spell(60 + class)
	s.Octave = 0
	return s
}

// spelled is the note on a given step, whatever accidental that takes.
func spelled(midi int, step byte) Spelling {
	alter := ((midi-natural(step))%12 + 12) % 12
	if alter > 6 {
		alter -= 12
	}
	return Spelling{step, alter, (midi-alter-natural(step))/12 - 1}
}

// ByFifths is the tonic's pitch class of a key signature.
func ByFifths(fifths int, minor bool) int {
	if minor {
		fifths += 3
	}
	return ((7*fifths)%12 + 12) % 12
}

// Name is the name without the octave, as a musician writes it: "Bb".
func (s Spelling) Name() string {
	return string(s.Step) + map[int]string{-2: "bb", -1: "b", 0: "", 1: "#", 2: "##"}[s.Alter]
}

// String is the name with the octave: "Bb4".
func (s Spelling) String() string { return fmt.Sprintf("%s%d", s.Name(), s.Octave) }
