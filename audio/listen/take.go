package listen

// Config says what to listen for.
type Config struct {
	Rate int // Hz, MinRate..MaxRate
	// Low and High bound the search for the pitch, in Hz; 0 means DefaultLow and
	// DefaultHigh.
	Low, High float64
	// Spans say which other voices may sound beside a note. May be nil: then no
	// other voice is ever reported. When any names a pitch farther away than a neighbouring hole's, over
	// five and a half semitones, octaves and chords are asked for, which takes three times the work.
	Spans []Span
}

// Bounds of a Config.
const (
	MinRate     = 16000  // Hz: telephone headsets in call mode
	MaxRate     = 96000  // Hz: the highest common device rate
	DefaultLow  = 125.0  // Hz: a little under the lowest reed of a low C harp, C3 = 130.8 Hz
	DefaultHigh = 3400.0 // Hz: a little over the highest overdraw of a high G harp, 3322 Hz
)

// A Span tells the Ear that while the main voice lies in [Low, High] Hz, other
// voices are to be looked for near each of the Beside pitches, in Hz.
type Span struct {
	Low, High float64
	Beside    []float64
}

// A Voice is a pitch that sounds beside the main one.
type Voice struct {
	F0    float64 // Hz; 0 means none
	Level float64 // dB relative to the main voice; negative is quieter
}

// A Frame is what was heard around one moment.
type Frame struct {
	// At is the sample index the frame speaks of: the centre of the time it
	// describes.
	At int64
	// F0 in Hz, 0 where nothing pitched sounds.
	F0 float64
	// Confidence, 0..1: about this share of the frames that carry it have the
	// right pitch, 0 where F0 is 0. Under MinConfidence take the pitch as not heard.
	Confidence float64
	// Level in dBFS (RMS; a full-scale square wave is 0) of what lies between 70 Hz and
	// 5.3 kHz, at least Floor.
	Level float64
	// Brightness is the centroid of the magnitude spectrum from 70 Hz to 5.3 kHz, in Hz;
	// 0 in silence.
	Brightness float64
	// Others are the voices beside the main one, the loudest first.
	Others [2]Voice
	// Peak is the largest amplitude of the input in the hop that begins at At, full scale 1.
	Peak float64
	// Clipped is the share of that hop's samples, 0..1, that stand at a limit: full scale, or a flat top. See Overdriven.
	Clipped float64
}

// A Note is one start of a reed (or of another pitch) and what follows until it
// ends or the next one starts.
type Note struct {
	// Start and End are sample indices.
	Start, End int64
	// F0 in Hz: the median over the held part.
	F0 float64
	// Dip is how many dB the level fell just before Start, under the lower of the
	// levels to either side. Large after silence, near 0 for a change of hole in
	// the same breath.
	Dip float64
	// First and Last: the note's frames are [First, Last), counted from the first
	// frame of the stream. Their F0 over time is the note's contour.
	First, Last int
	// Error is the standard error of Start in samples where the pitch steps from one hole to the next, as told by how slowly the
	// new tone comes up and by how much of the sound neither tone explains; 0 elsewhere.
	Error float64
	// Own is the first frame whose F0 is the note's own: First, but for a note an octave or more over the one before, in a room: all
	// its lines are that one's too, which rings on and is what F0 gives until then.
	Own int
}

// A Take is a whole sound as heard.
type Take struct {
	Rate   int // Hz
	Frames []Frame
	Notes  []Note
}

// Floor is the lowest Level reported, in dBFS: under the noise of any 16-bit
// converter.
const Floor = -120.0

// MinConfidence is the confidence under which a frame is to be treated as "could not
// hear": nothing is graded on it. Of the frames of sampled harmonicas that carry more, clean,
// in hum, in a room and in pink noise 10 dB under, 99.2 in a hundred have the right pitch; of a speech
// synthesiser's frames one in a thousand carries as much. Tones that have not settled stay just under it, those that have mostly
// start at 0.85.
const MinConfidence = 0.7

// HintConfidence is the confidence from which a pitch may be shown to somebody who plays as one that is not sure yet; nothing is
// graded on it. Of the newest windows ([Ear.Latest]) of harmonicas from there to MinConfidence 83 in a hundred are right
// (audio/BENCHMARKS.md).
const HintConfidence = 0.6
