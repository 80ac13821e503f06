package screen

import "math"

// A ChartPlan says where beats and pitches lie in a chart's rectangle.
type ChartPlan struct {
	PerRow, Rows int
	Left, Right  float64 // of the bars
	Unit         float64 // CSS pixels a beat
	chart        *Chart
	top, each    float64
	k            float64
	under        float64 // height under the bars
}

// chartHead is the room above the first row, for the cursor's head.
const chartHead = 6

// Heights within a row at text scale 1: the chord above the bar, the tab under the
// beats, the outcome under the tab.
const (
	ChordHeight   = 24
	TabHeight     = 24
	OutcomeHeight = 20
)

// chartEdge is the room left and right of the bars, for line ends.
const chartEdge = 10

// chartPerRow is how many bars go into a row so that the tabs of neighbouring notes
// do not touch.
func chartPerRow(c *Chart, w, k float64, m Measure) int {
	per := c.PerRow
	if per < 1 || per > 4 {
		per = 4
	}
	per = max(1, min(per, c.Bars))
	// A warble is crowded whatever is done; more than three rows are no chart to read.
	for per > 1 && chartRows(c, per/2) <= 3 && chartCrowded(c, (w-2*chartEdge)/(float64(per*max(1, c.BeatsPerBar))+c.Pickup), k, m) {
		per /= 2
	}
	return per
}

// TabSize is the size of a chart's tabs at text scale 1, LeastTabSize that of crowded ones.
const (
	TabSize      = 16
	LeastTabSize = 12
)

func chartCrowded(c *Chart, unit, k float64, m Measure) bool {
	for i := 1; i < len(c.Notes); i++ {
		a, b := c.Notes[i-1], c.Notes[i]
		if (b.Beat-a.Beat)*unit < m.Width(a.Tab, LeastTabSize*k, true)+2 {
			return true
		}
	}
	return false
}

// chartOver is the height over the bars at text scale 1: without chords only a gap.
func chartOver(c *Chart) float64 {
	if len(c.Chords) == 0 {
		return 10
	}
	return ChordHeight
}

// chartUnder is the height under the bars at text scale 1: outcomes only after a take.
func chartUnder(c *Chart) float64 {
	for _, n := range c.Notes {
		if n.Outcome != Open {
			return TabHeight + OutcomeHeight
		}
	}
	return TabHeight
}

func chartRows(c *Chart, per int) int { return max(1, (c.Bars+per-1)/per) }

// PlanChart plans a chart in a rectangle; positions are relative to its top left.
func PlanChart(c *Chart, r Rect, look Look, m Measure) ChartPlan {
	k := look.TextScale()
	p := ChartPlan{chart: c, k: k, PerRow: chartPerRow(c, r.W, k, m)}
	p.Rows = chartRows(c, p.PerRow)
	p.Unit = (r.W - 2*chartEdge) / (float64(p.PerRow*max(1, c.BeatsPerBar)) + c.Pickup)
	p.Left = chartEdge + c.Pickup*p.Unit
	p.Right = r.W - chartEdge
	p.top = chartHead
	p.under = chartUnder(c) * k
	p.each = (r.H - p.top) / float64(p.Rows)
	return p
}

// Row is the row a beat is written in. What lies outside the form belongs to the
// nearest row.
func (p ChartPlan) Row(beat float64) int {
	return min(max(int(math.Floor(beat/float64(p.PerRow*max(1, p.chart.BeatsPerBar))+1e-9)), 0), p.Rows-1)
}

// X is where a beat lies in its row.
func (p ChartPlan) X(beat float64, row int) float64 {
	return p.Left + (beat-float64(row*p.PerRow*max(1, p.chart.BeatsPerBar)))*p.Unit
}

// Bar returns the top and bottom of the bars of a row: between them lies the pitch.
func (p ChartPlan) Bar(row int) (top, bottom float64) {
	t := p.top + float64(row)*p.each
	return t + chartOver(p.chart)*p.k, t + p.each - p.under
}

// Y is where a pitch lies in a row; one off the chart's ends stays at the edge.
func (p ChartPlan) Y(cents float64, row int) float64 {
	top, bottom := p.Bar(row)
	low, high := p.chart.LowCents, p.chart.HighCents
	if high <= low {
		low, high = low-100, low+100
	}
	part := math.Min(math.Max((cents-low)/(high-low), -0.04), 1.04)
	return bottom - 10 - part*(bottom-top-20)
}

// SliderEdge is how far from its sides the ends of a slider's track lie.
const SliderEdge = 16

// combWords is the height of the lines under the comb at text scale 1.
const combWords = 58

// A CombPlan says where holes and pitches lie in a comb's rectangle.
type CombPlan struct {
	Body          Rect // the wood
	Plate         float64
	Words         Rect // under the comb
	slot, perCent float64
	base          float64
}

// The comb's pitch axis in cents: the widest hole is 3 with 400 cents between its
// reeds; overbends reach a semitone over the higher reed.
const (
	combLow  = -70
	combHigh = 470
)

// PlanComb plans a comb in a rectangle; positions are relative to its top left.
func PlanComb(r Rect, look Look) CombPlan {
	k := look.TextScale()
	p := CombPlan{Plate: 24}
	words := combWords * k
	p.Body = Rect{0, 0, r.W, r.H - words}
	p.Words = Rect{0, r.H - words, r.W, words}
	p.slot = (r.W - 12) / 10
	inside := p.Body.H - p.Plate - 10
	p.perCent = inside / (combHigh - combLow)
	p.base = p.Plate + inside
	return p
}

// Slot is the opening of a hole, 1 to 10.
func (p CombPlan) Slot(hole int) Rect {
	return Rect{6 + float64(hole-1)*p.slot + 2, p.Plate, p.slot - 4, p.Body.H - p.Plate - 8}
}

// Y is the height of a pitch, in cents above the lower reed, in any hole.
func (p CombPlan) Y(cents float64) float64 {
	return p.base - (math.Min(math.Max(cents, combLow+15), combHigh-15)-combLow)*p.perCent
}
