package screen

import (
	"math"
	"slices"
	"strconv"
	"strings"
)

// A Measure tells how wide a line of text is, in the unit of size.
type Measure interface {
	Width(text string, size float64, bold bool) float64
}

// Sizes in CSS pixels. They are our choice unless a source is named.
const (
	// Target is the least width and height of whatever takes a touch: WCAG 2.2, success
	// criterion 2.5.5.
	Target = 44
	// LargeText is how much bigger large text is: it reads at one and a half arm's lengths.
	LargeText = 1.4

	maxColumn = 680  // of a single column: some 80 letters a line, WCAG 2.2, 1.4.8
	maxPage   = 1360 // of two columns
	leading   = 1.3  // distance of baselines, in sizes
	// baseline is from the top of a line to its baseline, in sizes: the Go fonts reach 0.95
	// above and 0.21 below it.
	baseline   = (leading-0.95-0.21)/2 + 0.95
	columnGap  = 32
	lowWindow  = 500 // height of one so low, a phone on its side, that its edges are narrower
	lowEdge    = 16
	itemGap    = 12
	choiceGap  = 6
	headingGap = 22
	rowGap     = 10
)

// A Line is a line of text within an item, placed in the coordinates of its Rect.
type Line struct {
	Text  string
	X, Y  float64 // left end of the baseline
	Width float64
	Size  float64
	Bold  bool
	Part  Part
}

// A Part says what a line is to its item.
type Part int

// The parts.
const (
	LabelPart Part = iota
	DetailPart
	ValuePart
)

// TextScale is the factor of the text sizes.
func (l Look) TextScale() float64 {
	if l.Large {
		return LargeText
	}
	return 1
}

// Margin is the free edge of a window of a width.
func Margin(width float64) float64 {
	if width < 600 {
		return 16
	}
	return 28
}

// Place gives every item its rectangle in a window of width and height, and returns
// the height of the content, room for the foot included, which may be more than the window's. It
// does not change s.
//
// Items stand under one another in their order. Where there is a picture and the
// window is wider than high, pictures stand on the left and the rest on the right. The one
// thing to do next is in sight when the screen comes up: where it has no room there, it stands in
// the foot.
func Place(s Screen, width, height float64, m Measure) (Screen, float64) {
	placed, content := arrange(s, nil, width, height, m)
	next := placed.next()
	if !placed.out(next, height) {
		return placed, content
	}
	p := placer{s: &placed, m: m, k: s.Look.TextScale(), height: height}
	p.underfoot(next, width)
	foot := placed.Foot
	stands := map[int]Rect{}
	for _, i := range next {
		stands[i] = placed.Items[i].Rect
	}
	placed, content = arrange(s, next, width, height-foot.H, m)
	placed.Foot = foot
	for i, r := range stands {
		placed.Items[i].Rect, placed.Items[i].Foot = r, true
	}
	return placed, content + foot.H
}

// arrange places all items but some in a window.
func arrange(s Screen, but []int, width, height float64, m Measure) (Screen, float64) {
	s.Items, s.Questions, s.Foot = append([]Item(nil), s.Items...), nil, Rect{}
	p := placer{s: &s, m: m, k: s.Look.TextScale(), height: height}
	margin := Margin(width)
	inner := width - 2*margin
	edge := margin // above and below
	if height < lowWindow {
		edge = lowEdge
	}

	var all, pictures, under, rest []int // under are those of rest that stand under pictures beside which there is room
	head, written := 0, false
	for i := range s.Items {
		it := &s.Items[i]
		if slices.Contains(but, i) {
			continue
		}
		all = append(all, i)
		switch {
		case i == 0 && it.Role == Heading:
			head = 1
		case it.Role == CombView || it.Role == ChartView:
			pictures = append(pictures, i)
		case it.Role == Area:
			pictures, written = append(pictures, i), true
		default:
			if it.Under {
				under = append(under, i)
			}
			rest = append(rest, i)
		}
	}
	wide := width >= 900 || width > height && width >= 560*p.k
	if len(pictures) == 0 || len(rest) == 0 || !wide {
		w := math.Min(inner, maxColumn)
		x := (width - w) / 2
		if len(pictures) > 0 && !written && p.few(rest, w) {
			return s, p.glance(all, pictures, rest, head, x, edge, w, height-edge) + edge
		}
		// So that the title and the next button are in sight with a picture.
		p.share(pictures, w, math.Min(height-200, float64(len(pictures))*height*0.42))
		return s, p.column(all, x, edge, w) + edge
	}

	w := math.Min(inner, maxPage)
	x, y := (width-w)/2, edge
	if head == 1 {
		y = p.column([]int{0}, x, y, w) + itemGap
	}
	left := math.Round((w - columnGap) * 0.6)
	if written { // what is written stands beside what is said about it
		left = math.Round((w - columnGap) * 0.55)
		p.areaRoom = height - y - edge
		bottom := math.Max(p.column(pictures, x, y, left), p.column(rest, x+left+columnGap, y, w-left-columnGap))
		return s, bottom + edge
	}
	if p.few(rest, w-left-columnGap) {
		// Next to nothing stands beside the pictures, so they have all the width.
		if len(pictures) == 1 {
			return s, p.glance(append(pictures, rest...), pictures, rest, 0, x, y, w, height-edge) + edge
		}
		left = math.Round((w - columnGap) * 0.55)
		right := w - left - columnGap
		p.tight = true
		p.share(pictures[:1], left, (height-y-edge)*0.8)
		bottom := p.column(pictures[:1], x, y, left)
		bottom = math.Max(bottom, p.glance(append(pictures[1:], rest...), pictures[1:], rest, 0, x+left+columnGap, y, right, height-edge))
		return s, bottom + edge
	}
	room := height - y - edge - float64(len(pictures)-1)*itemGap
	p.share(pictures, left, room-math.Min(room/3, p.sum(under, left)))
	beside := slices.DeleteFunc(rest, func(i int) bool { return s.Items[i].Under })
	bottom := math.Max(p.column(append(pictures, under...), x, y, left), p.column(beside, x+left+columnGap, y, w-left-columnGap))
	return s, bottom + edge
}

// glance places pictures with next to nothing beside them, as in a take: all of it is to
// be in sight at once, since nobody scrolls with a harp in the hands. The pictures get as
// small as they can be read; where even that does not do, the controls come before them.
// The first head items stay on top. It begins at y and should not go on below bottom.
func (p *placer) glance(all, pictures, rest []int, head int, x, y, w, bottom float64) float64 {
	p.tight = true
	p.combRoom, p.chartRoom = 0, 0
	room := bottom - p.end(all, x, y, w)
	for _, i := range pictures {
		room += p.s.Items[i].Rect.H
	}
	p.share(pictures, w, room)
	if p.end(all, x, y, w) > bottom && head < len(all) {
		all = append(append(append([]int(nil), all[:head]...), rest...), pictures...)
	}
	return p.column(all, x, y, w)
}

// end is where items placed under one another would end.
func (p *placer) end(items []int, x, y, w float64) float64 {
	n := len(p.s.Questions)
	bottom := p.column(items, x, y, w)
	p.s.Questions = p.s.Questions[:n]
	return bottom
}

// few reports that items are so few that a column of their own would stand empty, but for
// in a low window.
func (p *placer) few(items []int, w float64) bool {
	return p.sum(items, w) < 0.3*math.Max(p.height, lowWindow)
}

// sum is the height of items that are no pictures, with the gaps between them.
func (p *placer) sum(items []int, w float64) float64 {
	tall := 0.0
	for n, i := range items {
		_, h := p.question(items, n, w)
		tall += h + p.tall(p.s.Items[i], w) + itemGap
	}
	return tall
}

// share divides the room for pictures that stand under one another: each as much, but what
// one has no use for is the other's.
func (p *placer) share(pictures []int, w, room float64) {
	p.combRoom, p.chartRoom = room, room
	if len(pictures) < 2 {
		return
	}
	p.chartRoom = room / 2
	if p.tight { // first of all the names on the comb are to be read
		p.chartRoom = math.Min(room/2, room-combLargeBody-combWords*p.k)
	}
	p.combRoom = room - p.chartTall(w)
	p.chartRoom = room - p.combTall(w)
}

// A placer places the items of one screen.
type placer struct {
	s         *Screen
	m         Measure
	k         float64 // factor of the text sizes
	height    float64 // of the window
	tight     bool    // pictures may be as small as they can be read
	combRoom  float64 // the height it may take if it can be that small
	chartRoom float64
	areaRoom  float64 // the height an area may fill
}

// column places items under one another from y on and returns where they end.
func (p *placer) column(items []int, x, y, w float64) float64 {
	top := y
	for i := 0; i < len(items); {
		it := &p.s.Items[items[i]]
		n := 1
		for it.Row != 0 && i+n < len(items) && p.s.Items[items[i+n]].Row == it.Row {
			n++
		}
		if i > 0 {
			y += p.gap(p.s.Items[items[i-1]], *it)
		}
		if lines, h := p.question(items, i, w); h > 0 {
			p.s.Questions = append(p.s.Questions, Question{Rect{x, y, w, h}, lines})
			y += h
		}
		if n == 1 {
			it.Rect = Rect{x, y, w, p.tall(*it, w)}
			y += it.Rect.H
		} else {
			y = p.row(items[i:i+n], x, y, w)
		}
		i += n
	}
	if y < top {
		return top
	}
	return y
}

// question is what is written over items[i], the first of a set of choices, and the height
// it takes; 0 over any other item.
func (p *placer) question(items []int, i int, w float64) ([]Line, float64) {
	it := p.s.Items[items[i]]
	if it.Role != Choice || it.Group == "" {
		return nil, 0
	}
	if i > 0 {
		if before := p.s.Items[items[i-1]]; before.Role == Choice && before.Group == it.Group {
			return nil, 0
		}
	}
	size, y := 17*p.k, 0.0
	var lines []Line
	for _, t := range wrap(it.Group, w, size, false, p.m) {
		lines = append(lines, Line{Text: t, Y: y + size*baseline, Width: p.m.Width(t, size, false), Size: size})
		y += size * leading
	}
	return lines, math.Round(y + choiceGap)
}

// gap is the free height between two items.
func (p *placer) gap(before, it Item) float64 {
	switch {
	case it.Role == Heading, it.Role == PlotView && before.Role == PlotView:
		return headingGap
	case it.Role == Choice && before.Role == Choice && it.Group == before.Group:
		return choiceGap
	case it.Role == Text && before.Role == Heading:
		return choiceGap
	}
	return itemGap
}

// widths shares out the width of a line of items: a narrow one beside another takes what its
// words need, and all else is shared evenly.
func (p *placer) widths(line []int, w float64) []float64 {
	all := make([]float64, len(line))
	each := math.Floor((w - rowGap*float64(len(line)-1)) / float64(len(line)))
	for c := range line {
		all[c] = each
	}
	if p.beside(line) {
		all[1] = p.natural(p.s.Items[line[1]])
		all[0] = w - rowGap - all[1]
	}
	return all
}

// beside reports a line of an item and a narrow one.
func (p *placer) beside(line []int) bool { return len(line) == 2 && p.s.Items[line[1]].Narrow }

// natural is the width in which an item's label stands in one line.
func (p *placer) natural(it Item) float64 {
	f := formOf(it, p.k)
	return math.Max(Target, math.Ceil(p.m.Width(it.Label, f.size, f.bold)+f.left+f.right+1))
}

// row places items side by side, as many as have room for their words.
func (p *placer) row(items []int, x, y, w float64) float64 {
	per := len(items)
	for ; per > 1; per-- {
		if per == 2 && p.beside(items) && p.narrow(p.s.Items[items[0]], per) <= w-rowGap-p.natural(p.s.Items[items[1]]) {
			break
		}
		each := (w - rowGap*float64(per-1)) / float64(per)
		fits := true
		for _, i := range items {
			if p.narrow(p.s.Items[i], per) > each {
				fits = false
			}
		}
		// As many in the last line as in the others, or one short of it.
		if lines := (len(items) + per - 1) / per; fits && (len(items)+lines-1)/lines == per {
			break
		}
	}
	tiles := p.s.Items[items[0]].Tile
	each, least := math.Floor((w-rowGap*float64(per-1))/float64(per)), 0.0
	for _, i := range items {
		if tiles {
			least = math.Max(least, p.tall(p.s.Items[i], each))
		}
	}
	for i := 0; i < len(items); i += per {
		if i > 0 {
			y += rowGap
		}
		line := items[i:min(i+per, len(items))]
		widths := p.widths(line, w)
		if tiles {
			widths = slices.Repeat([]float64{each}, len(line))
		}
		tall, at := least, x
		for c, j := range line {
			tall = math.Max(tall, p.tall(p.s.Items[j], widths[c]))
		}
		for c, j := range line {
			high := tall
			if c == 1 && p.s.Items[line[0]].Role == Text && p.beside(line) { // a button beside many lines is no taller for them
				high = p.tall(p.s.Items[j], widths[c])
			}
			p.s.Items[j].Rect = Rect{at, y + math.Round((tall-high)/2), widths[c], high}
			at += widths[c] + rowGap
		}
		y += tall
	}
	return y
}

// leastText is how wide a text beside a button is at least, at text scale 1: three words of a line. Our choice.
const leastText = 120

// narrow is the least width an item of so many in a row needs to break its text between
// words only, its label into no more than two lines and its detail into hardly more than
// four, or three where more than two stand in the row.
func (p *placer) narrow(it Item, per int) float64 {
	f := formOf(it, p.k)
	detail := 0.28
	if per > 2 {
		detail = 0.36
	}
	need := 0.0
	for _, text := range []string{it.Label, it.Detail, it.Value} {
		size := f.size
		if text == it.Detail {
			size = f.detail
		}
		for _, word := range strings.Fields(text) {
			need = math.Max(need, p.m.Width(word, size, f.bold))
		}
	}
	label := 0.6
	if it.Stop != NoStop && !it.Tile {
		label = 1 // a stop's name stands in one line
	}
	if it.Role == Text && it.Detail == "" {
		return math.Max(need, leastText*p.k) + f.left + f.right
	}
	need = math.Max(need, math.Max(p.m.Width(it.Label, f.size, f.bold)*label, p.m.Width(it.Detail, f.detail, false)*detail))
	if it.stops() { // how it stands with the drill is told in one line
		need = math.Max(need, p.m.Width(it.Detail, f.detail, false)+TileMark*p.k)
	}
	least := float64(Target)
	if it.Tile {
		least = leastTile
	}
	return math.Max(least, need+f.left+f.right+1+valueRoom(it, f, p.m))
}

func (p *placer) tall(it Item, w float64) float64 {
	switch it.Role {
	case CombView:
		return p.combTall(w)
	case ChartView:
		return p.chartTall(w)
	}
	_, h := lay(it, w, p.k, p.m)
	if it.Role == Area && it.Writing != nil && it.Writing.Lines > 0 {
		return math.Max(h, math.Floor(p.areaRoom))
	}
	return h
}

func (p *placer) combTall(w float64) float64 {
	least, share := combBody+combWords*p.k, 0.62
	switch {
	case p.tight:
		least, share = combBody+combWords, 0.8
	case p.k > 1:
		least = combLargeBody + combWords*p.k
	}
	return math.Round(math.Max(least, math.Min(share*w+combWords*p.k, p.combRoom)))
}

func (p *placer) chartTall(w float64) float64 {
	least, most := p.chartHeights(w)
	return math.Round(math.Max(least, math.Min(most, p.chartRoom)))
}

// chartHeights are the least height a chart can be read at, and the most it has use
// for.
func (p *placer) chartHeights(w float64) (least, most float64) {
	c := p.s.Chart
	if c == nil {
		return 0, 0
	}
	rows := float64(chartRows(c, chartPerRow(c, w, p.k, p.m)))
	words := (chartOver(c) + chartUnder(c)) * p.k
	each, share := chartPitch+words, 0.24
	if rows == 1 {
		each, share = each+50, 0.36
	}
	if p.tight {
		share += 0.12
	}
	least, most = rows*each+chartHead, rows*math.Max(share*w+words, each)+chartHead
	if p.tight {
		least = math.Min(least, chartLeast(c, w, p.k, p.m))
	}
	return least, most
}

// A form is how the text of an item is set.
type form struct {
	size, detail             float64
	bold                     bool
	left, right, top, bottom float64 // free edges around the text
	least                    float64 // height
	centre                   bool
	under                    float64 // height of the part under the label: track, box, bar
}

func formOf(it Item, k float64) form {
	f := form{size: 17 * k, detail: 15 * k}
	marked := it.Style == Good || it.Style == Off || it.Style == Warning || it.Style == Note
	switch it.Role {
	case Heading:
		f.size, f.bold = 20*k, true
		if it.Style == Title {
			f.size, f.bottom = 27*k, 8
		}
	case Text:
		switch {
		case it.Style == Quiet:
			f.size, f.detail = 15*k, 14*k
		case it.Style == Title:
			f.size, f.bold = 22*k, true
		case it.Style == Note:
			f.size = 16 * k
		case it.Style == Warning:
			f.size, f.right, f.top, f.bottom, f.left = 16*k, 14, 10, 10, 14
		}
		if marked {
			f.left += 30 * k
		}
	case PlotView:
		f.size, f.bold, f.under = 17*k, true, plotHeight(it, k)
	case Button, File:
		switch {
		case it.Tile:
			return tileForm(it, k)
		case it.Stop != NoStop:
			return stopForm(k)
		}
		f.size, f.bold = 18*k, true
		f.left, f.right, f.top, f.bottom, f.least = 16, 16, 12, 12, 48
		f.centre = it.Detail == "" && !marked
		switch it.Style {
		case Primary:
			f.size, f.least = 20*k, 58
		case Quiet:
			f.size, f.bold = 16*k, false
		}
		if marked {
			f.left += 28 * k
		}
	case Choice, Toggle:
		f.left, f.right, f.top, f.bottom, f.least = 14+30*k, 12, 11, 11, 48
	case Slider:
		f.under = 48
	case Select, Field, Area:
		f.under = 48
	case Meter:
		f.under = 12 + 16*k
	}
	return f
}

// ValueText is what is shown as an item's value: a slider's or meter's number with its
// unit, a select's or field's text.
func ValueText(it Item) string {
	switch it.Role {
	case Slider, Meter:
		places := 0
		for step := it.Step; step > 0 && step < 0.999 && places < 3; step *= 10 {
			places++
		}
		text := strconv.FormatFloat(it.Now, 'f', places, 64)
		if it.Unit != "" {
			text += " " + it.Unit
		}
		return strings.Replace(text, "-", "\u2212", 1)
	}
	return it.Value
}

// Lines returns an item's text as it is set in its Rect.
func Lines(it Item, look Look, m Measure) []Line {
	k := look.TextScale()
	lines, h := lay(it, it.Rect.W, k, m)
	// Of a row, all are as tall as the tallest: text stands in the middle of buttons, and beside one.
	if f := formOf(it, k); f.least > 0 && !it.Tile || it.Role == Text && it.Row != 0 {
		for i := range lines {
			lines[i].Y += (it.Rect.H - h) / 2
		}
	}
	return lines
}

// BoxTop is the top of the part under the label of a slider, select, field or meter,
// from the top of the item. That part is as high as the rest of the item.
func BoxTop(it Item, look Look, m Measure) float64 {
	k := look.TextScale()
	f := formOf(it, k)
	return labelBottom(it, it.Rect.W, f, k, m)
}

func labelBottom(it Item, w float64, f form, k float64, m Measure) float64 {
	lines := wrap(it.Label, w-f.left-f.right-valueRoom(it, f, m), f.size, f.bold, m)
	y := float64(len(lines)) * f.size * leading
	if it.Detail != "" {
		y += float64(len(wrap(it.Detail, w-f.left-f.right, f.detail, false, m))) * f.detail * leading
	}
	return math.Round(y + 4)
}

// valueRoom is the width kept beside the label for the value.
func valueRoom(it Item, f form, m Measure) float64 {
	if it.Role == Slider || it.Role == Meter {
		return m.Width(ValueText(it), f.size, true) + 12
	}
	return 0
}

// lay sets the text of an item w wide and returns the height the item needs.
func lay(it Item, w, k float64, m Measure) ([]Line, float64) {
	switch it.Role {
	case CombView, ChartView:
		return nil, it.Rect.H
	case Columns:
		return nil, columnsTall * k
	case Image:
		if it.Picture == nil || it.Picture.Width <= 0 {
			return nil, 0
		}
		return nil, math.Ceil(w * it.Picture.Height / it.Picture.Width)
	}
	f := formOf(it, k)
	room := w - f.left - f.right
	var lines []Line
	y := f.top
	put := func(text string, size float64, bold bool, part Part, room float64) {
		for _, t := range wrap(text, room, size, bold, m) {
			l := Line{Text: t, X: f.left, Y: y + size*baseline, Width: m.Width(t, size, bold), Size: size, Bold: bold, Part: part}
			if f.centre {
				l.X = f.left + (room-l.Width)/2
			}
			lines = append(lines, l)
			y += size * leading
		}
	}
	if it.stops() { // how it stands with the drill is told beside its mark
		f.left += TileMark * k
		put(it.Detail, f.detail, false, DetailPart, room-TileMark*k)
		f.left -= TileMark * k
		y = math.Round(y + 4)
	}
	put(it.Label, f.size, f.bold, LabelPart, room-valueRoom(it, f, m))
	if !it.stops() {
		put(it.Detail, f.detail, false, DetailPart, room)
	}
	switch it.Role {
	case Slider, Meter:
		v := ValueText(it)
		vw := m.Width(v, f.size, true)
		lines = append(lines, Line{Text: v, X: w - vw, Y: f.size * baseline, Width: vw, Size: f.size, Bold: true, Part: ValuePart})
		y = labelBottom(it, w, f, k, m) + f.under
	case Select, Field:
		top := labelBottom(it, w, f, k, m)
		edge := 14.0
		if it.Role == Select {
			edge = Target // room for the arrows
		}
		values := wrap(it.Value, w-2*edge, f.size, true, m)
		box := math.Max(f.under, float64(len(values))*f.size*leading+16)
		y = top + (box-float64(len(values))*f.size*leading)/2
		for _, t := range values {
			tw := m.Width(t, f.size, true)
			x := edge
			if it.Role == Select {
				x = (w - tw) / 2
			}
			lines = append(lines, Line{Text: t, X: x, Y: y + f.size*baseline, Width: tw, Size: f.size, Bold: true, Part: ValuePart})
			y += f.size * leading
		}
		y = top + box
	case PlotView:
		y = labelBottom(it, w, f, k, m) + f.under
	case Area:
		y = labelBottom(it, w, f, k, m) + areaEdge
		if it.Writing != nil && it.Writing.Lines > 0 {
			y += float64(it.Writing.Lines) * AreaSize * k * leading
		} else {
			for _, t := range wholeText(it.shown(), w-2*areaEdge, AreaSize*k, m) {
				lines = append(lines, Line{Text: t, X: areaEdge, Y: y + AreaSize*k*baseline, Width: m.Width(t, AreaSize*k, false), Size: AreaSize * k, Part: ValuePart})
				y += AreaSize * k * leading
			}
		}
		y = math.Max(y+areaEdge, labelBottom(it, w, f, k, m)+f.under)
	default:
		y += f.bottom
	}
	h := math.Ceil(y)
	if h < f.least {
		for i := range lines {
			if !it.Tile { // the words of tiles begin at one height
				lines[i].Y += (f.least - h) / 2
			}
		}
		h = f.least
	}
	return lines, h
}

// AreaSize is the size of text in an area at text scale 1, as page and window write it.
const AreaSize = 16

const areaEdge = 12

// mostWhole bounds the lines of a text that is shown whole: a picture of more is too high for
// some displays.
const mostWhole = 150

// wholeText are the lines of a text, empty ones too.
func wholeText(text string, w, size float64, m Measure) []string {
	var all []string
	for line := range strings.SplitSeq(strings.TrimRight(text, "\n"), "\n") {
		broken := wrap(line, w, size, false, m)
		if len(broken) == 0 {
			broken = []string{" "}
		}
		all = append(all, broken...)
		if len(all) >= mostWhole {
			return append(all[:mostWhole], "...")
		}
	}
	return all
}

// wrap breaks text between words, but not between a number and its unit, and within a word
// only where it is alone too wide.
func wrap(text string, w, size float64, bold bool, m Measure) []string {
	var lines []string
	for _, paragraph := range strings.Split(text, "\n") {
		line := ""
		words := strings.Fields(paragraph)
		for i := 0; i < len(words); i++ {
			word := words[i]
			if i+1 < len(words) && measured(word, words[i+1]) {
				if both := word + " " + words[i+1]; m.Width(both, size, bold) <= w {
					word = both
					i++
				}
			}
			joined := word
			if line != "" {
				joined = line + " " + word
			}
			if m.Width(joined, size, bold) <= w {
				line = joined
				continue
			}
			if line != "" {
				lines = append(lines, line)
			}
			line = word
			for m.Width(line, size, bold) > w {
				n := fitting(line, w, size, bold, m)
				if n == len(line) { // one letter, wider than the room
					break
				}
				lines = append(lines, line[:n])
				line = line[n:]
			}
		}
		if line != "" {
			lines = append(lines, line)
		}
	}
	return lines
}

// measured reports whether two words are a number and its unit.
func measured(number, unit string) bool {
	if last := number[len(number)-1]; last < '0' || last > '9' {
		return false
	}
	switch strings.TrimRight(unit, ".,;:)") {
	case "%", "ms", "dB", "Hz", "kHz", "cent", "cents":
		return true
	}
	return false
}

// fitting is how many bytes of a word go into a width, at least one letter.
func fitting(word string, w, size float64, bold bool, m Measure) int {
	n := 0
	for i, r := range word {
		end := i + len(string(r))
		if n > 0 && m.Width(word[:end], size, bold) > w {
			break
		}
		n = end
	}
	return n
}
