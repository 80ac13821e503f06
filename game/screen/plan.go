package screen

import "math"

// A ChartPlan says where beats and pitches lie in a chart's rectangle.
type ChartPlan struct {
	PerRow, Rows int
	Left, Right  float64 // of the bars
	Unit         float64 // CSS pixels a beat
	Scale        float64 // of the text: the look's, or less where there is no room for that
	chart        *Chart
	top, each    float64
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

// Tabs are the notes that have a tab of their own.
func (c *Chart) Tabs() []ChartNote {
	var all []ChartNote
	for _, n := range c.Notes {
		if n.Tab != "" {
			all = append(all, n)
		}
	}
	return all
}

// TabSize is the size of a chart's tabs at text scale 1, LeastTabSize that of crowded ones.
const (
	TabSize      = 16
	LeastTabSize = 12
)

func chartCrowded(c *Chart, unit, k float64, m Measure) bool {
	tabs := c.Tabs()
	for i := 1; i < len(tabs); i++ {
		a, b := tabs[i-1], tabs[i]
		if (b.Beat-a.Beat)*unit < m.Width(a.Tab, LeastTabSize*k, true)+4 {
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

// chartUnder is the height under the bars at text scale 1: outcomes and signs only after a take.
func chartUnder(c *Chart) float64 {
	for _, n := range c.Notes {
		if n.Outcome != Open || n.Sign != Unsigned {
			return TabHeight + OutcomeHeight
		}
	}
	return TabHeight
}

func chartRows(c *Chart, per int) int { return max(1, (c.Bars+per-1)/per) }

// chartPitch is the height of a row's bars at which pitches can be told apart well, and
// tightPitch the least.
const (
	chartPitch = 42
	tightPitch = 30
)

// chartTighter is how many bars go into a row where per to a row are too high for a chart:
// twice as many if their tabs have room, else as many.
func chartTighter(c *Chart, per int, w float64, m Measure) int {
	twice := min(2*per, 4, max(1, c.Bars))
	if chartRows(c, twice) == chartRows(c, per) || chartCrowded(c, (w-2*chartEdge)/(float64(twice*max(1, c.BeatsPerBar))+c.Pickup), 1, m) {
		return per
	}
	return twice
}

// chartLeast is the least height a chart can be read at, its text no larger than usual.
func chartLeast(c *Chart, w, k float64, m Measure) float64 {
	per := chartPerRow(c, w, k, m)
	for range 2 { // 1, 2, 4
		per = chartTighter(c, per, w, m)
	}
	return float64(chartRows(c, per))*(tightPitch+chartOver(c)+chartUnder(c)) + chartHead
}

// chartFit is how many bars stand in a row of a chart w wide and h high, and how large its
// text is, at most k.
func chartFit(c *Chart, w, h, k float64, m Measure) (per int, scale float64) {
	per = chartPerRow(c, w, k, m)
	words := chartOver(c) + chartUnder(c)
	need := func(k float64) float64 { return float64(chartRows(c, per))*(chartPitch+words*k) + chartHead - 1 }
	if need(k) <= h {
		return per, k
	}
	for range 2 {
		if need(1) > h {
			per = chartTighter(c, per, w, m)
		}
	}
	fits := ((h-chartHead)/float64(chartRows(c, per)) - chartPitch) / words
	return per, math.Min(k, math.Max(1, fits))
}

// PlanChart plans a chart in a rectangle; positions are relative to its top left.
func PlanChart(c *Chart, r Rect, look Look, m Measure) ChartPlan {
	per, k := chartFit(c, r.W, r.H, look.TextScale(), m)
	p := ChartPlan{chart: c, Scale: k, PerRow: per}
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
	return t + chartOver(p.chart)*p.Scale, t + p.each - p.under
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

// Free finds a place for something w by h in the bars, off the asked lines and as near to
// the middle of the first row as can be; it returns the top left. ok is false when there
// is none.
func (p ChartPlan) Free(w, h float64) (x, y float64, ok bool) {
	var taken []Rect
	thick := 9 * p.Scale // half the height of the tongue's stroke, and a little
	beats := float64(p.PerRow * max(1, p.chart.BeatsPerBar))
	for i, n := range p.chart.Notes {
		for row := p.Row(n.Beat); row < p.Rows && float64(row)*beats < n.Beat+n.Beats; row++ {
			from, to := math.Max(n.Beat, float64(row)*beats), math.Min(n.Beat+n.Beats, float64(row+1)*beats)
			if row == 0 {
				from = n.Beat
			}
			r := Rect{p.X(from, row) - 4, p.Y(n.Cents, row) - thick, (to-from)*p.Unit + 8, 2 * thick}
			if row == p.Row(n.Beat) && n.Join != 0 && i > 0 { // the stroke that joins it
				up := p.Y(p.chart.Notes[i-1].Cents, row) - thick
				taken = append(taken, Rect{r.X, math.Min(r.Y, up), 8, math.Abs(r.Y-up) + 2*thick})
			}
			taken = append(taken, r)
		}
	}
	best := math.Inf(1)
	top, bottom := p.Bar(0)
	midX, midY := (p.Left+p.Right)/2, (top+bottom)/2
	for row := range p.Rows {
		top, bottom := p.Bar(row)
		for part := 0.0; part <= 1; part += 0.25 {
			at := top + 3 + part*(bottom-top-6-h)
			for left := p.Left + 3; left+w <= p.Right-3; left += 6 {
				far := math.Abs(left+w/2-midX) + 2*math.Abs(at+h/2-midY)
				if bottom-top < h+6 || far >= best || overlaps(taken, Rect{left, at, w, h}) {
					continue
				}
				best, x, y, ok = far, left, at, true
			}
		}
	}
	return x, y, ok
}

func overlaps(all []Rect, r Rect) bool {
	for _, q := range all {
		if r.X < q.X+q.W && q.X < r.X+r.W && r.Y < q.Y+q.H && q.Y < r.Y+r.H {
			return true
		}
	}
	return false
}

// SliderEdge is how far from its sides the ends of a slider's track lie.
const SliderEdge = 16

// Heights in a comb: of the lines under it at text scale 1; of the least one, and of the
// least one with large text, without those lines. At these the names of the reeds have
// room between the pitches.
const (
	combWords     = 54
	combBody      = 142
	combLargeBody = 187
)

// A CombPlan says where holes and pitches lie in a comb's rectangle.
type CombPlan struct {
	Body          Rect    // the wood
	Plate         float64 // height of the cover plate with the numbers
	Words         Rect    // under the comb
	Scale         float64 // of the text: the look's, or less where there is no room for that
	NameSize      float64 // of the names under the reeds
	over          float64 // from a pitch up to the outline around it
	slot, perCent float64
	base          float64
}

// The comb's pitch axis ends at combHigh cents: the widest hole is 3 with 400 cents between
// its reeds; overbends reach a semitone over the higher reed.
const combHigh = 400

// Within a hole, from the middle of a reed: to the top of its name, and beyond the name to
// the end of the outline around both. A letter is nameHeight sizes high.
const (
	nameDown   = 5
	nameHeight = 0.8
	outline    = 5
	mostOver   = 10
	leastOver  = 7 // half a reed and the thickness of the outline
	combTop    = 4 // free over the highest outline
)

// PlanComb plans a comb in a rectangle; positions are relative to its top left.
func PlanComb(r Rect, look Look) CombPlan {
	// The holes and the words share what there is.
	fits := 1 + (r.H-combBody-combWords)/((combLargeBody-combBody)/(LargeText-1)+combWords)
	k := math.Max(1, math.Min(look.TextScale(), fits))
	p := CombPlan{Scale: k, Plate: math.Round(24 * math.Min(k, 1.25))}
	words := combWords * k
	p.Body = Rect{0, 0, r.W, r.H - words}
	p.Words = Rect{0, r.H - words, r.W, words}
	p.slot = (r.W - 12) / 10
	inside := p.Body.H - p.Plate - 8
	// Between pitches a half step apart there is room for a name and an outline: with four
	// half steps s high, names of size n and what is over the highest and under the lowest,
	// 4*s = inside - mostOver - combTop - nameDown - outline - nameHeight*n, and
	// s = nameDown + nameHeight*n + 1 + leastOver.
	around := inside - mostOver - combTop - nameDown - outline
	fits = (around - 4*(nameDown+1+leastOver)) / (5 * nameHeight)
	p.NameSize = math.Max(8, math.Min(math.Max(13, p.slot*0.33)*k, fits))
	p.perCent = (around - nameHeight*p.NameSize) / combHigh
	p.over = math.Max(leastOver, math.Min(mostOver, 100*p.perCent-nameDown-nameHeight*p.NameSize-1))
	p.base = p.Plate + inside - nameDown - outline - nameHeight*p.NameSize
	return p
}

// Slot is the opening of a hole, 1 to 10.
func (p CombPlan) Slot(hole int) Rect {
	return Rect{6 + float64(hole-1)*p.slot + 2, p.Plate, p.slot - 4, p.Body.H - p.Plate - 8}
}

// Y is the height of a pitch, in cents above the lower reed, in any hole. What lies beyond
// the hole stays at its edge.
func (p CombPlan) Y(cents float64) float64 {
	const edge = 9 // so that most of a bead is seen
	return math.Max(p.Plate+edge, math.Min(p.base-cents*p.perCent, p.Body.H-8-edge))
}

// NameY is the baseline of the name of a reed.
func (p CombPlan) NameY(cents float64) float64 {
	return p.Y(cents) + nameDown + nameHeight*p.NameSize
}

// Outline is what goes around a place in a hole: around a reed it takes in its name.
func (p CombPlan) Outline(hole int, cents float64, reed bool) Rect {
	s := p.Slot(hole)
	under := p.over
	if reed {
		under = nameDown + nameHeight*p.NameSize + outline
	}
	return Rect{s.X - 3, p.Y(cents) - p.over, s.W + 6, p.over + under}
}
