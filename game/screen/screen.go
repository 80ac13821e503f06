// Package screen describes what the player sees and can do, without drawing it.
//
// The session produces a [Screen]; [Place] gives every item its rectangle for a
// window size and a text size. The window draws the placed screen; the page lays
// real controls over the drawing, one for each item, from the same value. So
// nothing can be seen that cannot be reached by keyboard or read out, and the same
// screen is tested without either.
//
// Rectangles are in CSS pixels from the top left of the content, which may be taller
// than the window and then scrolls; those in the foot, which does not, from the top left of the
// window.
package screen

// A Role says what an item is, in the words of WAI-ARIA where it has one.
type Role string

// The roles.
const (
	Heading   Role = "heading"
	Text      Role = "text"
	Button    Role = "button"
	Choice    Role = "radio"    // one of the neighbouring items with the same Group
	Toggle    Role = "checkbox" // on or off
	Slider    Role = "slider"   // a number between Min and Max
	Select    Role = "combobox" // one of Options
	Field     Role = "textbox"  // a line of text
	Area      Role = "area"     // many lines of text, to be written where the page has a field for them
	File      Role = "file"     // choose a file; its bytes come back with the action
	Meter     Role = "meter"    // shows Now between Min and Max
	CombView  Role = "comb"     // the picture of the holes
	ChartView Role = "chart"    // the picture of the form
	Image     Role = "img"      // a page of paper
	Columns   Role = "columns"  // a picture of how often what was counted
	PlotView  Role = "plot"     // words, and a small drawing of numbers under them
)

// A Style says how prominent an item is.
type Style int

// The styles.
const (
	Plain   Style = iota
	Title         // the screen's heading
	Primary       // the one thing to do next
	Quiet         // small print
	Good          // with a tick: in the window
	Off           // with a mark: out of the window
	Warning       // a caution or a fault
	Note          // good to know, and nothing is wrong
)

// An Item is one thing on the screen.
type Item struct {
	ID                  string // unique on the screen and stable from one screen to the next
	Role                Role
	Style               Style
	Label               string   // what is shown and read out
	Detail              string   // a second, smaller line
	Group               string   // of a Choice: the question its set answers
	Options             []string // of a Select
	Value               string   // of a Field, Area or Select
	Min, Max, Step, Now float64
	Unit                string // of Now, read out: "dB"
	On                  bool   // of a Choice or Toggle
	Disabled            bool
	Row                 int      // items with the same non-zero Row stand side by side
	Narrow              bool     // in a row of two it takes the room of its words and no more
	Writing             *Writing // of an Area
	Picture             *Picture // of an Image
	Counted             *Counted // of a Columns
	Plot                *Plot    // of a PlotView
	Stop                Stop     // of a Button on the map of drills, or of a tile: how it stands with the drill
	Tile                bool     // it is as large as the other tiles in its row, whatever they say
	Under               bool     // where pictures have a column of their own it stands under them
	Many                bool     // of a File: several may be chosen at once, each comes with an action of its own
	Rect                Rect     // set by Place
	Foot                bool     // set by Place: it stands in the foot
}

// A Writing is how an Area's text is shown. What the player types comes back as actions;
// a field takes another text from the program only with another Version, so that what was
// typed meanwhile is not lost.
type Writing struct {
	Version int
	Lines   int // in sight at once; 0: all there are, and it can not be changed here
	// Line and Column, from 1, are where the cursor was last sent; Sent counts how often.
	Line, Column, Sent int
	// Shown stands in place of the text where that can not be changed here: the text with the
	// mistakes under its lines. Empty: the text itself.
	Shown string
}

// shown is what an Area shows.
func (it Item) shown() string {
	if it.Writing != nil && it.Writing.Lines == 0 && it.Writing.Shown != "" {
		return it.Writing.Shown
	}
	return it.Value
}

// A Picture is a page of paper, to be seen as it is printed. It is not changed once made.
// Where there is a page around the program, that shows the SVG; else the window draws the
// letters and shapes.
type Picture struct {
	Width, Height float64
	SVG           []byte
	Letters       []Line // places in the unit of Width, from the top left corner
	Shapes        []Shape
}

// A Shape is a black line, or a black area where it has no Width.
type Shape struct {
	Width  float64
	Pieces [][]Dot // each a run of straight lines
}

// A Dot is a place on a Picture.
type Dot struct{ X, Y float64 }

// A Question is what a set of choices answers, as it is written over them.
type Question struct {
	Rect  Rect
	Lines []Line // in the coordinates of Rect
}

// A Rect is a rectangle in CSS pixels.
type Rect struct{ X, Y, W, H float64 }

// A Screen is everything the player sees and can do now.
type Screen struct {
	Name  string // "welcome", "sound", "path", "drill", "take", "result" ...
	Title string // the page's title
	Items []Item // in reading and tab order
	// Questions stand over the sets of choices; set by Place. The page names each set by its
	// question, so they are no items.
	Questions []Question
	Foot      Rect   // the strip at the lower end of the window that does not scroll; set by Place, often of no height
	Comb      *Comb  // what the CombView item shows
	Chart     *Chart // what the ChartView item shows
	Live      string // said by the screen reader when it changes; empty while a take runs
	Alert     string // said at once: a fault and what to do
	Look      Look
	// Focus names the item that should have the keyboard when Name changes.
	Focus string
}

// A Look is how the player wants it drawn.
type Look struct {
	Dark  bool
	Large bool // large text
	Still bool // reduced motion
}

// A Comb is the ten holes as the player holds them. Heights are cents above the
// lowest pitch of the hole.
type Comb struct {
	Slots [10]Slot
	Beads []Bead
	Asked Spot // what to play now; Hole 0 for nothing
	Next  Spot // what comes after
	// Figures tells that Names are figures, as "+3", and that Marks are told under the comb.
	Figures bool
}

// A Slot is one hole.
type Slot struct {
	Blow, Draw float64   // cents of the two reeds above the lower one
	Rungs      []Rung    // bends, between them, and overbends above them
	Names      [2]string // note names of blow and draw reed, or figures
	Marks      [2]Mark   // what is known of them
}

// A Mark is what is known of a reed: any of these together.
type Mark uint8

// The marks.
const (
	Measured  Mark = 1 << iota // its pitch is taken
	SharpReed                  // it lies over its tuning
	FlatReed                   // and under
	SlowReed                   // it is slow to speak
	LeakReed                   // air hisses past it
	AlongReed                  // a hole beside it sounds along
	Unheard                    // it was not heard
)

// A Rung is a pitch that can be had on a hole besides its two reeds.
type Rung struct {
	Cents float64
	Draw  bool
	Tab   string
}

// A Spot is a place on the comb.
type Spot struct {
	Hole  int
	Cents float64 // above the lower reed of the hole
	Draw  bool
	Tab   string
}

// A Bead is a sound being made now.
type Bead struct {
	Spot
	Strength float64 // 0..1, from the level
	Leak     bool    // an unwanted second hole
	Unsure   bool    // it may yet turn out to be nothing, or another
	OffCents float64 // distance from what is asked, + sharp; NaN when nothing is asked
}

// A Chart is the form as musicians write it, with what is asked and what was played.
type Chart struct {
	Bars        int
	BeatsPerBar int
	PerRow      int     // bars in a row, at most four
	Pickup      float64 // beats before bar 1
	Chords      []ChartChord
	Notes       []ChartNote
	Trace       []TracePoint // what was played, in time order
	Cursor      float64      // beat now; before -Pickup nothing is drawn
	CountIn     int          // beats left of the count-in, 0 none
	// LowCents, HighCents bound the pitch axis, in cents relative to 1 blow.
	LowCents, HighCents float64
}

// A ChartChord stands above its bar.
type ChartChord struct {
	Beat float64
	Name string
}

// A ChartNote is a note that is asked, with its outcome after a take.
type ChartNote struct {
	Beat, Beats float64
	Cents       float64 // relative to 1 blow
	Tab         string  // empty: it goes on with the warble before it and is not written by itself
	Join        int     // 0 tongued, 1 legato, 2 glide
	Zone        float64 // cents to either side in which every pitch is right; 0 for one pitch
	Outcome     Outcome
	Chosen      bool // shown in detail
	Sign        Sign
	Late        float64 // seconds after its place, of a note with a Sign; a start too near to it to tell is 0
}

// An Outcome is what became of a note.
type Outcome int

// The outcomes.
const (
	Open Outcome = iota
	InWindow
	OutOfWindow
	Missed
)

// A TracePoint is the pitch heard at a beat. A point with Gap set does not join the
// one before it.
type TracePoint struct {
	Beat, Cents float64
	Level       float64 // 0..1
	Gap         bool
}
