package musicxml

import "encoding/xml"

// The elements that are written and read, in the order of the schema. What is not here is
// passed over when reading.

type scoreXML struct {
	XMLName        xml.Name        `xml:"score-partwise"`
	Version        string          `xml:"version,attr"`
	WorkTitle      string          `xml:"work>work-title,omitempty"`
	MovementTitle  string          `xml:"movement-title,omitempty"`
	Identification *identification `xml:"identification"`
	PartList       partList        `xml:"part-list"`
	Parts          []part          `xml:"part"`
}

type identification struct {
	Software string  `xml:"encoding>software,omitempty"`
	Misc     []field `xml:"miscellaneous>miscellaneous-field"`
}

type field struct {
	Name string `xml:"name,attr"`
	Text string `xml:",chardata"`
}

type partList struct {
	Parts []scorePart `xml:"score-part"`
}

type scorePart struct {
	ID         string           `xml:"id,attr"`
	Name       string           `xml:"part-name"`
	Instrument *scoreInstrument `xml:"score-instrument"`
	MIDI       *midiInstrument  `xml:"midi-instrument"`
}

type scoreInstrument struct {
	ID    string `xml:"id,attr"`
	Name  string `xml:"instrument-name"`
	Sound string `xml:"instrument-sound,omitempty"`
}

type midiInstrument struct {
	ID      string `xml:"id,attr"`
	Channel int    `xml:"midi-channel,omitempty"`
	Program int    `xml:"midi-program,omitempty"`
}

type part struct {
	ID       string    `xml:"id,attr"`
	Measures []measure `xml:"measure"`
}

// A measure holds its elements in their order, which is the order of time.
type measure struct {
	Number   string `xml:"number,attr"`
	Implicit string `xml:"implicit,attr,omitempty"`
	Items    []any
}

// UnmarshalXML keeps the order of the elements.
func (m *measure) UnmarshalXML(d *xml.Decoder, start xml.StartElement) error {
	for _, a := range start.Attr {
		switch a.Name.Local {
		case "number":
			m.Number = a.Value
		case "implicit":
			m.Implicit = a.Value
		}
	}
	for {
		token, err := d.Token()
		if err != nil {
			return err
		}
		switch t := token.(type) {
		case xml.EndElement:
			return nil
		case xml.StartElement:
			var item any
			switch t.Name.Local {
			case "note":
				item = new(note)
			case "backup":
				item = new(backup)
			case "forward":
				item = new(forward)
			case "attributes":
				item = new(attributes)
			case "direction":
				item = new(direction)
			case "harmony":
				item = new(harmony)
			case "sound":
				item = new(sound)
			case "barline":
				item = new(barline)
			default:
				if err := d.Skip(); err != nil {
					return err
				}
				continue
			}
			if err := d.DecodeElement(item, &t); err != nil {
				return err
			}
			m.Items = append(m.Items, item)
		}
	}
}

type attributes struct {
	XMLName   xml.Name   `xml:"attributes"`
	Divisions string     `xml:"divisions,omitempty"`
	Key       *key       `xml:"key"`
	Time      *timing    `xml:"time"`
	Clef      *clef      `xml:"clef"`
	Transpose *transpose `xml:"transpose"`
}

type key struct {
	Fifths *int   `xml:"fifths"`
	Mode   string `xml:"mode,omitempty"`
}

type timing struct {
	Beats    string `xml:"beats"`
	BeatType string `xml:"beat-type"`
}

type clef struct {
	Sign string `xml:"sign"`
	Line int    `xml:"line"`
}

type transpose struct {
	Chromatic float64 `xml:"chromatic"`
	Octave    int     `xml:"octave-change,omitempty"`
}

type direction struct {
	XMLName   xml.Name        `xml:"direction"`
	Placement string          `xml:"placement,attr,omitempty"`
	Types     []directionType `xml:"direction-type"`
	Offset    string          `xml:"offset,omitempty"`
	Sound     *sound          `xml:"sound"`
}

type directionType struct {
	Rehearsal []string   `xml:"rehearsal"`
	Words     []string   `xml:"words"`
	Metronome *metronome `xml:"metronome"`
}

type metronome struct {
	Unit      string     `xml:"beat-unit"`
	Dots      []struct{} `xml:"beat-unit-dot"`
	PerMinute string     `xml:"per-minute"`
}

type sound struct {
	XMLName xml.Name `xml:"sound"`
	Tempo   string   `xml:"tempo,attr,omitempty"`
	Swing   *swing   `xml:"swing"`
}

type swing struct {
	Straight *struct{} `xml:"straight"`
	First    int       `xml:"first,omitempty"`
	Second   int       `xml:"second,omitempty"`
	Type     string    `xml:"swing-type,omitempty"`
}

type harmony struct {
	XMLName xml.Name `xml:"harmony"`
	Root    *root    `xml:"root"`
	Kind    kind     `xml:"kind"`
	Offset  string   `xml:"offset,omitempty"`
}

type root struct {
	Step  string  `xml:"root-step"`
	Alter float64 `xml:"root-alter,omitempty"`
}

type kind struct {
	Text *string `xml:"text,attr"`
	Kind string  `xml:",chardata"`
}

type barline struct {
	XMLName  xml.Name `xml:"barline"`
	Location string   `xml:"location,attr,omitempty"`
	Style    string   `xml:"bar-style,omitempty"`
	Ending   *ending  `xml:"ending"`
	Repeat   *repeat  `xml:"repeat"`
}

type ending struct {
	Number string `xml:"number,attr"`
	Type   string `xml:"type,attr"`
}

type repeat struct {
	Direction string `xml:"direction,attr"`
	Times     int    `xml:"times,attr,omitempty"`
}

type backup struct {
	XMLName  xml.Name `xml:"backup"`
	Duration string   `xml:"duration"`
}

type forward struct {
	XMLName  xml.Name `xml:"forward"`
	Duration string   `xml:"duration"`
}

type note struct {
	XMLName    xml.Name          `xml:"note"`
	Grace      *struct{}         `xml:"grace"`
	Cue        *struct{}         `xml:"cue"`
	Chord      *struct{}         `xml:"chord"`
	Pitch      *pitch            `xml:"pitch"`
	Rest       *struct{}         `xml:"rest"`
	Duration   string            `xml:"duration,omitempty"`
	Ties       []startStop       `xml:"tie"`
	Voice      string            `xml:"voice,omitempty"`
	Type       string            `xml:"type,omitempty"`
	Dots       []struct{}        `xml:"dot"`
	Accidental string            `xml:"accidental,omitempty"`
	Modified   *timeModification `xml:"time-modification"`
	Staff      string            `xml:"staff,omitempty"`
	Beams      []beam            `xml:"beam"`
	Notations  []notations       `xml:"notations"`
	Lyrics     []lyric           `xml:"lyric"`
	Play       *play             `xml:"play"`
}

type pitch struct {
	Step   string  `xml:"step"`
	Alter  float64 `xml:"alter,omitempty"`
	Octave int     `xml:"octave"`
}

type startStop struct {
	Type string `xml:"type,attr"`
}

type timeModification struct {
	Actual int `xml:"actual-notes"`
	Normal int `xml:"normal-notes"`
}

type beam struct {
	Number int    `xml:"number,attr"`
	Text   string `xml:",chardata"`
}

type notations struct {
	Tied          []startStop    `xml:"tied"`
	Slurs         []numbered     `xml:"slur"`
	Tuplets       []numbered     `xml:"tuplet"`
	Glissandi     []numbered     `xml:"glissando"`
	Slides        []numbered     `xml:"slide"`
	Technical     []technical    `xml:"technical"`
	Articulations *articulations `xml:"articulations"`
}

type numbered struct {
	Type   string `xml:"type,attr"`
	Number int    `xml:"number,attr,omitempty"`
}

type technical struct {
	Fingering []string `xml:"fingering"`
	Bends     []bend   `xml:"bend"`
	Arrow     *arrow   `xml:"arrow"`
}

type bend struct {
	Alter float64   `xml:"bend-alter"`
	Pre   *struct{} `xml:"pre-bend"`
}

type arrow struct {
	Direction string `xml:"arrow-direction"`
}

type articulations struct {
	Scoop *struct{} `xml:"scoop"`
}

type lyric struct {
	Number string   `xml:"number,attr,omitempty"`
	Text   []string `xml:"text"`
}

type play struct {
	Other []otherPlay `xml:"other-play"`
}

type otherPlay struct {
	Type string `xml:"type,attr"`
	Text string `xml:",chardata"`
}
