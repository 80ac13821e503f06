package write

import (
	"errors"
	"fmt"
	"math"

	"reedwell/audio/listen"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
)

// The tempi that are tried where none is known, in beats a minute. Our choice: a slow
// blues is counted at 45 and more, and above 200 one counts in half time.
const (
	SlowTempo  = 40.0
	QuickTempo = 200.0
)

// MaxSeconds is the longest sound that is written down: a few choruses. It bounds the work.
const MaxSeconds = 300.0

var (
	// ErrNothing is returned when no lick could be heard.
	ErrNothing = errors.New("could not hear a lick")
	// ErrLong is returned for a sound longer than MaxSeconds, or than a lesson can hold.
	ErrLong = fmt.Errorf("this is longer than %g seconds, %d bars or %d notes; cut it into shorter pieces", MaxSeconds, lesson.MaxBars, lesson.MaxNotes)
)

// Options say what is known about what was played. The zero value: a C harp in equal
// temperament, second position, free tempo, feel unknown.
type Options struct {
	Harp     harp.Harp     // with the player's profile, where it was measured
	Position harp.Position // 0 means second
	// Tempo in beats a minute of the count-in that the player heard; 0: free, it is
	// estimated.
	Tempo float64
	// Beat0 is where bar 1 beat 1 lies with a known Tempo, in seconds from sample 0 of the
	// take: after the count-in, so for a take of a drill drill.Drill.Time(0).
	Beat0 float64
	// Feel is the feel that was meant; nil: it is estimated.
	Feel *lesson.Feel
	// Bar is the bar of the form in which the lick begins, from 1; 0 means 1.
	Bar int
}

// A Report says what was found beside the notes.
type Report struct {
	Tempo   float64     // beats a minute, as it was played
	Feel    lesson.Feel // as asked, or as estimated
	Swing   float64     // long to short eighth as it was played; 0 when no off-beat eighth tells
	Offset  float64     // seconds by which all starts lie after the count-in; with a free tempo where bar 1 beat 1 lies
	Scatter float64     // seconds, standard deviation of the starts about their places
	Cents   float64     // by which all reeds lie over the harp as given; taken out before bends are named
}

// Listen is how to listen for a lick on harp h: as for a drill, but for chords of three
// holes too, so that beside each hole the next two on either side are looked for.
func Listen(h harp.Harp, rate int) listen.Config {
	c := listen.Config{Rate: rate, Low: math.Max(h.Low(), 100), High: math.Min(h.High(), 4000)}
	for _, s := range h.Spans() {
		c.Spans = append(c.Spans, listen.Span(s))
	}
	hz := func(hole int, b harp.Breath) float64 {
		v, err := h.Hz(harp.Note{Hole: hole, Breath: b})
		if err != nil {
			panic("write: " + err.Error()) // every hole has both reeds
		}
		return v
	}
	for hole := 1; hole <= harp.Holes; hole++ {
		for _, b := range [...]harp.Breath{harp.Blow, harp.Draw} {
			own := hz(hole, b)
			s := listen.Span{Low: own * math.Exp2(-30.0/1200), High: own * math.Exp2(30.0/1200)}
			for _, far := range [...]int{hole - 2, hole + 2} {
				if far >= 1 && far <= harp.Holes {
					s.Beside = append(s.Beside, hz(far, b))
				}
			}
			c.Spans = append(c.Spans, s)
		}
	}
	return c
}

// Lick writes down a take. The doubts are in order of their notes; those about the lick
// as a whole have the note -1 and come first.
//
// It returns [ErrNothing], with the reason, when no lick could be heard, and an error for
// options that no harp or tempo can have.
func Lick(heard listen.Take, o Options) (lesson.Lick, []Doubt, Report, error) {
	fail := func(err error) (lesson.Lick, []Doubt, Report, error) { return lesson.Lick{}, nil, Report{}, err }
	if err := o.check(heard); err != nil {
		return fail(err)
	}
	e := newEar(heard, o.Harp)
	pieces, err := e.pieces()
	if err != nil {
		return fail(err)
	}
	f, pieces, crowded := fitAll(pieces, o)
	p := page{options: o, fit: f, pieces: pieces}
	if crowded > 0 {
		p.doubt(-1, Start, "%d short notes were left out: they lie too close to others for any place", crowded)
	}
	if heard.Overdriven() {
		p.doubt(-1, Heard, "it was too loud for the microphone: where two holes sounded, others may stand here")
	}
	p.place()
	if len(p.notes) == 0 {
		return fail(fmt.Errorf("%w: all that was heard lies in the count-in; start on beat one, or at most a bar before it", ErrNothing))
	}
	if len(p.notes) > lesson.MaxNotes || p.lick.Bar+p.lick.Bars-1 > lesson.MaxBars {
		return fail(ErrLong)
	}
	report := Report{Tempo: 60 * f.speed, Feel: f.feel, Swing: f.swing(), Offset: f.zero - o.zero(), Scatter: f.scatter(), Cents: e.sharp}
	if o.Tempo == 0 {
		report.Offset = f.zero + float64(p.shift)/f.speed/float64(lesson.Beat)
	}
	return p.lick, p.doubts, report, nil
}

// zero is where beat 0 is expected, in seconds.
func (o Options) zero() float64 {
	if o.Tempo == 0 {
		return 0
	}
	return o.Beat0
}

func (o Options) check(heard listen.Take) error {
	if err := o.Harp.Validate(); err != nil {
		return err
	}
	if o.Position != 0 && !o.Position.Valid() {
		return harp.ErrPosition
	}
	if o.Tempo != 0 && !(o.Tempo >= drill.MinTempo && o.Tempo <= drill.MaxTempo) {
		return drill.ErrTempo
	}
	if f := o.Feel; f != nil && (f.Kind < lesson.Straight || f.Kind > lesson.Triplet) {
		return fmt.Errorf("feel %d: the feels are straight, shuffle and 12/8", f.Kind)
	}
	if f := o.Feel; f != nil && f.Kind == lesson.Shuffle && !(f.Ratio >= lesson.MinRatio && f.Ratio <= lesson.MaxRatio) {
		return fmt.Errorf("a shuffle's ratio lies from %g to %g", lesson.MinRatio, lesson.MaxRatio)
	}
	if math.IsNaN(o.Beat0) || math.Abs(o.Beat0) > MaxSeconds {
		return fmt.Errorf("beat 0 at %g s lies outside the sound", o.Beat0)
	}
	if heard.Rate <= 0 {
		return fmt.Errorf("a take at %d Hz holds no sound", heard.Rate)
	}
	if n := len(heard.Frames); n > 0 && float64(heard.Frames[n-1].At) > MaxSeconds*float64(heard.Rate) {
		return ErrLong
	}
	return nil
}
