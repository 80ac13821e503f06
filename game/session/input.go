package session

import (
	"reedwell/audio/listen"
	"reedwell/game/screen"
	"reedwell/game/shelf"
	"reedwell/levels/drill"
	"reedwell/levels/grade"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/player"
	"reedwell/levels/reeds"
	"reedwell/levels/room"
	"reedwell/levels/sheet"
	"reedwell/levels/week"
	"reedwell/levels/write"
)

// An Input is what came in since the last step.
type Input struct {
	Actions       []screen.Action
	Width, Height float64     // of the window in CSS pixels
	System        screen.Look // what the system asks for
	Hidden        bool        // the page can not be seen
	Sound         Sound
	Now           int64          // the device's frame count
	Frames        []listen.Frame // heard since the last step; in a take, At is counted from drill time 0
	Latest        listen.Frame   // what the newest window held when the last of Frames came: sooner, but for the bead only
	Run           Run
	Link          *Link        // a link that was opened
	Calibration   *Calibration // a calibration that is over
	Checked       *Checked     // a check of the delay before a take is over
	Take          *Take        // a take that is over
	Path          []Entry      // every drill, easiest first within its family; nil when nothing changed
	Notices       []Notice     // what has to be told, once
	Page          bool         // there is a page around: text can be typed, and frames can lead to it
	Shelf         *Shelf       // the lessons at hand; nil when nothing changed
	Kept          string       // the ID of the lesson that was kept just now
	Loaded        *Loaded      // a text from outside, to go on writing
	Sheet         *Sheet       // a sheet that was asked for
	Sung          *Sung        // a note that was to be sung
	Written       *Written     // a lick that was played and is written down
	Roomed        *Roomed      // what was played freely was looked at
	Work          Work         // what is being made
	Harps         *reeds.Case  // the player's harps; nil when nothing changed
	Pass          *Pass        // the measuring of a harp that was begun; nil when there is none
	Pitches       []float64    // Hz of notes that were held since the last step, while nothing sounded or was recorded
	Practice      *Practice    // what was played and earned so far; nil when nothing changed
	Sent          []Sent       // files with students' weeks that were opened from outside
	Edited        *string      // the lesson as it was saved in the player's own editor
	Left          *Left        // a take that an earlier program left; nil: none
	Drawing       Drawing      // how the last take was drawn
}

// A Drawing is how fast the screen followed while the last take ran.
type Drawing struct {
	Pictures      int     // drawn in all; 0: no take has run
	Usual, Slow   float64 // seconds from one to the next: the median, and the one that 1 in 100 exceeds
	Work          float64 // seconds of it that the program worked, that 1 in 100 exceeds
	Sound, Slower float64 // seconds from the device's handing over of a sound to its picture: the median, and the one that 1 in 20 exceeds
	Press         float64 // seconds from the last press to its picture; 0: none
}

// A Shelf is the lessons at hand and how their licks went.
type Shelf struct {
	Lessons []Lesson
	Licks   map[string]shelf.Record
}

// A Lesson is one that is at hand.
type Lesson struct {
	ID   string
	Text string
	Demo bool // comes with the program
}

// A Loaded is a text from outside: the one the player was writing last, or a file's.
type Loaded struct {
	Text    string
	From    string   // the file's name; empty: what was written last
	Remarks []string // what of it had to be left out
	Problem string   // not empty: it could not be read, and why
}

// A Sheet is a lesson on paper.
type Sheet struct {
	Pages   []*screen.Picture
	Problem string // not empty: it could not be made, and why
}

// A Written is what was heard of a lick that was played to be written down.
type Written struct {
	Lick    lesson.Lick
	Doubts  []write.Doubt
	Report  write.Report
	Problem string // not empty: no lick was heard, and why
}

// A Work is something that takes a while; What is empty when there is none.
type Work struct {
	What     string
	Done, Of int
}

// A SoundState says what the microphone is doing.
type SoundState int

// The states.
const (
	SoundOff     SoundState = iota // not asked for
	SoundOpening                   // waiting for the player's permission
	SoundOn
	SoundHeld   // paused by the system
	SoundFailed // over; open again
)

// A Sound is the state of the sound device.
type Sound struct {
	State      SoundState
	Opened     int    // how many times a device was opened: tells one stream from the next
	Fault      string // "refused", "missing", "busy", "unplugged", "insecure", "interrupted", "stalled", "nocapture", "other"
	Sentence   string // what happened and what to do
	Rate       int    // Hz
	InputRate  int    // Hz of the microphone itself, 0 unknown
	Label      string // name of the microphone
	Key        string // names the device for a stored delay
	Processing string // what the system still does to the sound: "echo cancellation and automatic gain", or empty
	Bluetooth  bool
	Output     float64 // seconds of output delay the device states, 0 unknown
	Slip       float64 // seconds the round trip seems to have grown since the device was opened; a hint only
	Input      string  // names the microphone for Inputs and for OpenMic
	Inputs     []Mic   // microphones to choose from; nil where there is no choice
	Speaker    string  // names the output that was chosen for OpenMic; empty is the system's choice
	Speakers   []Mic   // outputs to choose from; nil where there is no choice
	Loud       bool    // over the loudspeaker the band would disturb the listening
}

// A Mic is a microphone that can be opened.
type Mic struct{ ID, Label string }

// A RunKind says what is being sounded or worked out.
type RunKind int

// The kinds.
const (
	Idle      RunKind = iota
	Preparing         // the sound is being made
	Demo              // the demonstration sounds
	Recording         // a take runs
	Grading           // a take is worked out
	Measuring         // a calibration runs
	Checking          // the delay is checked before a take
	Writing           // what was played is being written down, or looked at
	Replaying         // a take, or the model beside it, is heard again
	Singing           // a note is sung to be the tone of a drill by ear
)

// A Run is what is being sounded now.
type Run struct {
	Kind    RunKind
	Seconds float64 // drill time; since the start for a calibration
	Length  float64 // seconds in all
	// ClickOnly tells that the band is left out, so as not to disturb the listening.
	ClickOnly bool
	Own       bool // of Replaying: the player's own sound, not the model
	// Done is the share of Grading and Writing that is done, 0 to 1.
	Done float64
}

// A Link is a link that was opened: a drill, or a lesson, or why it was refused.
type Link struct {
	Spec   drill.Spec
	Title  string
	Lesson *lesson.Address // not nil: the link leads to a lesson, which is in it
	Week   *week.Summary   // not nil: it is a student's week
	Reason string          // not empty: the link was refused
}

// A Calibration is a measured round trip, or why there is none.
type Calibration struct {
	Seconds  float64 // round trip
	SpreadMS float64
	Clicks   bool   // played along with clicks, so good to some 20 ms only
	Problem  string // not empty: what went wrong and what to do
}

// Checked is a round trip looked at again before a take.
type Checked struct {
	Heard    bool    // the test sounds reached the microphone
	Seconds  float64 // round trip
	SpreadMS float64
}

// A Take is one attempt that is over.
type Take struct {
	Drill  drill.Drill
	Rate   int
	Frames []listen.Frame // At counted from drill time 0
	Result grade.Result
	Cut    string  // not empty: cut off, and why; nothing was graded
	Kept   bool    // of a take that was cut off: what was recorded until then can be saved
	Lost   float64 // seconds of sound the device lost
	// Counted tells whether the take was entered in the player's progress.
	Counted bool
	Moved   bool // the round trip moved in the middle of the take
	// Clicks tells that the count-in was heard, so that the round trip of this take is known:
	// Trip, in seconds. Shift is how many seconds of it were not known before and have been
	// taken out of the take; 0 when it was as expected.
	Clicks      bool
	Trip, Shift float64
	// Left tells that an earlier program left it; Spec is then the drill, where that can be opened.
	Left bool
	Spec *drill.Spec
}

// A Standing is how far the player is with a drill.
type Standing int

// The standings.
const (
	Locked Standing = iota
	Open
	Passed
	Confirmed // passed again on a later day
)

// An Entry is one drill of the path.
type Entry struct {
	ID       string
	Family   drill.Family
	Level    int
	Title    string
	Words    string
	Tempo    float64 // quarter notes a minute
	Standing Standing
	Lately   string // how the last takes went and what is missing, in a sentence; may be empty
	Due      bool   // passed, and today is a day to confirm it
	Rusty    bool   // confirmed once, and not in the fingers any more
	Well     string // on which day it was last played well, in words; may be empty
	Next     bool   // what to play next in its family
	Display  bool   // the next take is best played with the player's sound shown
	// Advised is the tempo for the next take in quarter notes a minute, Change whether it is
	// slower (-1) or quicker (1) than the last.
	Advised float64
	Change  int
}

// A Notice is something to tell the player until it is put away.
type Notice struct {
	ID   string // two notices with the same ID are one
	Text string
}

// An EffectKind says what the program has to do.
type EffectKind int

// The effects.
const (
	OpenMic     EffectKind = iota // needs the player's press
	ResumeSound                   // needs the player's press
	CloseMic
	Calibrate    // measure the round trip with test sounds
	CalibrateTap // measure it with clicks the player answers
	StopSound    // stop a take, a demonstration or a calibration
	StartTake
	PlayDemo
	SaveSettings
	Export
	Import   // Bytes
	CopyLink // Spec, Title
	SaveTake // the sound of the last take that was graded, as a file
	Sing     // listen to a note that the player sings
	PlayBack // Spans of the last take that was graded, and of the model

	KeepLesson // ID (empty: as a new one), Text
	DropLesson // ID
	SaveDraft  // Text
	CopyLesson // Address
	CopyFrame  // Address
	MakeSheet  // Address.Lesson, Paper
	PrintSheet // the sheet that was made last
	SaveLesson // Address.Lesson, Text, Format
	ReadFile   // Name, Bytes, Address.Lesson for its harp, Bar
	StopWork
	EndTake // free playing ends here, and what there is is looked at

	AddHarp    // Harp
	RenameHarp // ID, the harp's name, and Name, its new one
	ForgetHarp // ID
	HoldHarp   // ID
	SaveHarps  // as a file
	ReadHarps  // Name, Bytes
	BeginPass  // ID, Key: measure its reeds from the first on
	GoOnPass   // with the pass that was begun
	PausePass
	SkipReed   // the one that is asked for
	RepeatReed // Note
	KeepPass   // ID: what the pass found is that harp now

	CopyWeek      // Text: the fragment of a link to a week
	SaveFile      // Name, Bytes
	ExportJournal // the practice journal, as a file
	ImportJournal // Bytes
	EditDraft     // Text, in the player's own editor

	HearLeft // grade the take that an earlier program left
	DropLeft // or throw it away
)

// A Format is what a lesson can be saved as.
type Format int

// The formats.
const (
	Everything Format = iota // all of the others in one file
	AsText
	AsSheet
	AsClips
	AsMIDI
	AsMusicXML
	AsABC
)

// An Effect is something the program has to do.
type Effect struct {
	Kind      EffectKind
	Input     string      // of OpenMic: which microphone; empty is the system's choice
	Output    string      // of OpenMic: which loudspeaker or headphones; empty is the system's choice
	Drill     drill.Drill // of StartTake, PlayDemo, PlayBack
	RoundTrip float64     // seconds, of StartTake, PlayDemo, PlayBack
	Spans     []Span      // of PlayBack, heard one after the other
	Display   bool        // of StartTake: the player sees the own sound meanwhile
	AtTempo   bool        // of StartTake: at the drill's own tempo or faster
	Speaker   bool        // of StartTake: the band sounds from a loudspeaker
	Check     bool        // of StartTake: check the delay with test sounds first
	Part      bool        // of StartTake: only a part of the drill, which does not count
	Bytes     []byte
	Spec      drill.Spec
	Title     string

	Touches []player.Touch // of PlayDemo, PlayBack: how the notes are coloured; nil: plainly
	Lick    string         // of StartTake: the name of the lick under which it is kept; empty: a drill of the path
	Write   *write.Options // of StartTake: what is played is not graded but written down
	Room    *room.Setting  // of StartTake: it is free playing, and looked at; of PlayBack: it is heard over the band
	ID      string
	Text    string
	Name    string
	Address lesson.Address
	Paper   sheet.Paper
	Format  Format
	Bar     int
	Harp    reeds.Kept // of AddHarp
	Key     harp.Key   // of BeginPass
	Note    harp.Note  // of RepeatReed
}

// An Output is what a step comes to.
type Output struct {
	Screen  screen.Screen
	Effects []Effect
}
