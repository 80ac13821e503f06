// Package drill says what a drill asks: which notes sound, when, and how close is
// close enough.
//
// A [Drill] is built from a [Spec] for any key of harp, position, tuning and tempo.
// Its targets are the only description of the exercise: the demonstration, the
// chart on the screen and the grading all read them. Times are seconds from drill
// time 0, the first click of the count-in; beats are quarter notes from bar 1 beat 1,
// so a pickup lies at negative beats. Pitches are in Hz on the player's own harp.
//
// All exercises are our own. How wide the windows are, and where the numbers come
// from, stands in windows.go and nowhere else.
//
// Values are plain data: safe to copy, and safe for concurrent reading.
package drill

import "reedwell/levels/harp"

// A Family is a kind of drill: what it trains and how it is graded.
type Family string

// The families, in the order a beginner meets them.
const (
	Single     Family = "single"     // one hole at a time, clean and steady
	Long       Family = "long"       // one tone as long as the breath, level and still
	Repeats    Family = "repeats"    // one note tongued again and again, straight and in triplets
	Ladder     Family = "ladder"     // bends: from the natural reed down its rungs and back
	Scoop      Family = "scoop"      // notes that start bent and rise, and quick bends and releases
	Blue       Family = "blue"       // the blue third: anywhere in its zone between two rungs
	Octaves    Family = "octaves"    // jumps to the same note an octave away
	Vibrato    Family = "vibrato"    // the throat moves the pitch, at a speed
	Wah        Family = "wah"        // the hands open and close, at a speed
	Warble     Family = "warble"     // two neighbouring holes in even alternation
	Aim        Family = "aim"        // bends to a tone that is sounded, without seeing the pitch
	Answer     Family = "answer"     // short phrases are sounded and played back by ear
	Turnaround Family = "turnaround" // two-bar endings of a twelve-bar, in time
	Lick       Family = "lick"       // a lick or a chorus of a teacher's lesson
)

// Families returns the families of our own drills in the order a beginner meets them. A
// Lick is not among them: it comes with a lesson.
func Families() []Family {
	return []Family{Single, Long, Repeats, Ladder, Scoop, Blue, Octaves, Vibrato, Wah, Warble, Aim, Answer, Turnaround}
}

// Name is the family's name as shown to the player.
func (f Family) Name() string {
	switch f {
	case Single:
		return "Single notes"
	case Long:
		return "Long tones"
	case Repeats:
		return "Tongued repeats"
	case Ladder:
		return "Bend ladder"
	case Scoop:
		return "Scoop and release"
	case Blue:
		return "Blue third"
	case Octaves:
		return "Octaves"
	case Vibrato:
		return "Vibrato"
	case Wah:
		return "Hand wah"
	case Warble:
		return "Warble"
	case Aim:
		return "Bend by ear"
	case Answer:
		return "Call and answer"
	case Turnaround:
		return "Turnaround"
	case Lick:
		return "Lick"
	}
	return string(f)
}

// A Join says how a target begins.
type Join int

// The joins.
const (
	Tongued Join = iota // with a new attack
	Legato              // the hole changes within the same breath
	Glide               // the pitch of the same reed moves within the same breath
)

// String returns the word used in the JSON of targets.
func (j Join) String() string { return [...]string{"tongued", "legato", "glide"}[j] }

// A Target is one note that is asked for.
type Target struct {
	Start, End  float64 // seconds from drill time 0
	Beat, Beats float64 // place and length in quarter beats; bar 1 beat 1 is 0
	Note        harp.Note
	Hz          float64
	Join        Join
	Scoop       float64     // cents under its pitch at which it starts, to rise at once; 0 none
	Zone        float64     // cents to either side of Hz within which every pitch is right, of a blue third; 0: Hz is asked
	Also        []harp.Note // the other holes of a chord; they are no leak
	Wave        Wave        // what the throat or the hands do meanwhile
	Warble      bool        // in a lick: one of the even notes of a warble, which is judged as a whole
}

// A Chord is one chord of the backing.
type Chord struct {
	Beat, Beats float64
	Name        string // as a musician writes it: "E7"
	Root        int    // pitch class, 0 = C
	Tones       []int  // semitones above the root
}

// A Drill is one graded exercise, ready to be sounded, shown and graded.
type Drill struct {
	ID     string
	Family Family
	Level  int    // 1 is the easiest of its family
	Title  string // a few words
	Words  string // what to do, as a teacher would say it

	Harp     harp.Harp
	Position harp.Position
	Tempo    float64 // quarter notes a minute

	BeatsPerBar int
	Bars        int
	Swing       float64 // long to short eighth; 1 is straight, 2 is a triplet shuffle
	Triplets    bool    // 12/8: the band sounds all three eighths of a beat
	CountIn     float64 // beats before bar 1 beat 1
	Chords      []Chord // empty: count-in and click only

	// Calls are what the program sounds and the player answers; they belong to the backing.
	Calls []Target
	// ByEar: what is asked is not shown before the take is over.
	ByEar bool
	// Unseen: nor is, meanwhile, what is played.
	Unseen bool

	Targets []Target
	Seconds float64 // length, with the count-in and a short tail
	Windows Windows
}

// Time returns the drill time in seconds of a beat of the form.
func (d Drill) Time(beat float64) float64 { return (beat + d.CountIn) * 60 / d.Tempo }

// BeatAt returns the beat of the form at drill time s, the inverse of Time.
func (d Drill) BeatAt(s float64) float64 { return s*d.Tempo/60 - d.CountIn }

// A Spec names a drill and how it is to be played.
type Spec struct {
	ID       string
	Key      harp.Key
	Tuning   harp.Tuning
	A4       float64 // Hz; 0 means 440
	Profile  harp.Profile
	Position harp.Position // 0 means the drill's own
	Tempo    float64       // quarter notes a minute; 0 means the drill's own
}

// A Summary tells what a drill is without building it.
type Summary struct {
	ID     string
	Family Family
	Level  int
	Title  string
	Words  string
	Tempo  float64
}
