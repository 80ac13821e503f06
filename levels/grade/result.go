package grade

// A Verdict is what a mark comes to.
type Verdict string

// The verdicts.
const (
	Good    Verdict = "good"    // inside the window
	Off     Verdict = "off"     // outside
	Missing Verdict = "missing" // the note was not played
	Unheard Verdict = "unheard" // something sounded, but could not be heard well enough to judge
)

// A Quantity is what a mark measures.
type Quantity string

// The quantities.
const (
	Played    Quantity = "played"      // the note was there at all
	Pitch     Quantity = "pitch"       // cents from the asked pitch, + sharp
	Spread    Quantity = "spread"      // standard deviation of the held pitch in cents
	Overshoot Quantity = "overshoot"   // cents past the rung before it settles
	Settle    Quantity = "settle"      // seconds from the start to a held pitch
	Leak      Quantity = "other hole"  // dB of the strongest other hole relative to the note
	Depth     Quantity = "scoop"       // cents under its pitch at which a note starts
	Release   Quantity = "release"     // seconds from the start of a scoop until it is where it stays
	Attack    Quantity = "attack"      // seconds until a long tone is within 3 dB of how loud it gets
	Fade      Quantity = "fade"        // dB by which a long tone is louder (+) or softer (-) at its end
	Breaks    Quantity = "breaks"      // times that a long tone broke off and began anew
	Third     Quantity = "blue third"  // cents over the root; asked is the lower edge, window how far the zone goes up from it
	Inside    Quantity = "inside"      // share of a blue third that stays in its zone once it is there
	Land      Quantity = "landing"     // seconds from the end of the note before a jump to the start of the one after
	Touched   Quantity = "touched"     // wrong holes that sounded on the way
	Swing     Quantity = "swing"       // cents to either side that a throat vibrato moves the pitch
	Cup       Quantity = "cup"         // dB that the hands take off
	Means     Quantity = "means"       // what swings: 1 throat or hand as asked, 0 the other, -1 the breath
	Find      Quantity = "find"        // seconds to find the hole
	Start     Quantity = "start"       // seconds late (+) or early (-)
	Length    Quantity = "length"      // share of the asked length
	Arrival   Quantity = "arrival"     // seconds after its beat until a glide is there
	Holes     Quantity = "chord"       // holes of a chord that were heard
	Dip       Quantity = "repeat"      // dB the level fell before a tongued repeat
	Steady    Quantity = "steady"      // dB the level wanders while held, standard deviation
	Rate      Quantity = "rate"        // alternations a second
	Evenness  Quantity = "evenness"    // coefficient of variation of the gaps
	Balance   Quantity = "balance"     // share of the time on the first hole
	Clean     Quantity = "clean"       // share of alternations with one hole at a time
	Ramp      Quantity = "speeding up" // distance of the rate from a smooth line, relative
	Bias      Quantity = "bias"        // seconds late on the whole
	Scatter   Quantity = "scatter"     // standard deviation of the starts in seconds
	Extra     Quantity = "extra"       // notes that were not asked for
)

// A Mark is one measured quantity.
type Mark struct {
	Target   int      `json:"target"` // index in the drill; -1 for the take as a whole
	Tab      string   `json:"tab,omitempty"`
	Quantity Quantity `json:"quantity"`
	Asked    float64  `json:"asked"`
	Heard    float64  `json:"heard"`
	Window   float64  `json:"window"` // largest distance, or limit, that is good
	Unit     string   `json:"unit"`
	Verdict  Verdict  `json:"verdict"`
	Advice   string   `json:"advice"` // one instruction; what was right when good

	// cut says that the note is short because one that was not asked for took its place.
	cut bool
}

// A Note is what became of one target.
type Note struct {
	Target int     `json:"target"`
	Tab    string  `json:"tab"`
	Heard  string  `json:"heard,omitempty"` // tab of what was heard; empty if nothing
	Start  float64 `json:"start_s"`         // heard start, drill time; 0 if missing
	End    float64 `json:"end_s"`
	Good   bool    `json:"good"` // every mark of the note is good
	Sure   bool    `json:"sure"` // it was heard well enough to judge
}

// A Result is the grading of one take.
type Result struct {
	Drill   string  `json:"drill"`
	Passed  bool    `json:"passed"`
	Share   float64 `json:"share"`             // of the asked notes that are good; for a warble of its measures
	Problem string  `json:"problem,omitempty"` // why nothing was graded: no harmonica heard, too noisy
	Notes   []Note  `json:"notes"`
	Marks   []Mark  `json:"marks"`
	Missing int     `json:"missing"`
	Extra   int     `json:"extra"`
	Bias    float64 `json:"bias_s"`
	Scatter float64 `json:"scatter_s"`
	// Overdriven says that some of it was too loud for the microphone.
	Overdriven bool     `json:"overdriven,omitempty"`
	Summary    []string `json:"summary"` // at most three things to work on, the most valuable first
}

// PassShare is the share of good notes that makes a take good: mastery criteria of 80 to
// 90 % are usual (Bloom 1968; Kulik et al. 1990, from memory).
const PassShare = 0.8
