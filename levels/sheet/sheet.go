package sheet

import (
	"errors"
	"fmt"
	"strings"

	"reedwell/levels/harp"
	"reedwell/levels/lesson"
)

// Options say how a lesson is put on paper.
type Options struct {
	Paper Paper
	Link  string   // of the whole lesson, printed as a QR code beside the title; "" for none
	Links []string // of the licks, in their order, printed beside each; "" or missing for none
}

// What may be wrong with a lesson or the options.
var (
	ErrPaper  = errors.New("the sheet is made for A4 or Letter paper")
	ErrLesson = errors.New("the lesson has a mistake")
	ErrLong   = fmt.Errorf("the lesson needs more than %d pages; divide it", mostPages)
	ErrLink   = fmt.Errorf("a link on paper is at most %d bytes; put the lesson into a file beside the page and link to that", mostLinked)
	ErrLinks  = errors.New("there are more links than licks")
)

// mostPages bounds what a hostile lesson can make us do; no lesson is a book.
const mostPages = 200

const (
	margin   = 40.0 // every printer reaches so far: common practice, no source
	foot     = 22.0 // of the page's foot, inside the margins
	body     = 11.0 // size of running text
	bodyLead = 15.0
)

// Lay lays out a lesson that has passed [lesson.Check], as every parsed one has. It fails
// with one of the errors above.
func Lay(l lesson.Lesson, o Options) (Sheet, error) {
	bad := func(err error) (Sheet, error) { return Sheet{}, fmt.Errorf("sheet of %.60q: %w", l.Title, err) }
	if o.Paper != A4 && o.Paper != Letter {
		return bad(ErrPaper)
	}
	if len(o.Links) > len(l.Licks) {
		return bad(ErrLinks)
	}
	for _, p := range lesson.Check(l) {
		if p.Severity == lesson.Error {
			return bad(fmt.Errorf("%w: %v", ErrLesson, p))
		}
	}
	width, height := o.Paper.Size()
	f := flow{fonts: newFonts(), width: width - 2*margin, height: height - 2*margin - foot}

	head, err := f.head(l, o.Link)
	if err != nil {
		return bad(err)
	}
	whole := chart(l)
	groups := append([][]block{head}, f.chart(l, whole)...)
	groups = append(groups, f.legend(uses(l, whole), l.Feel))
	for i, k := range l.Licks {
		link := ""
		if i < len(o.Links) {
			link = o.Links[i]
		}
		made, err := f.lick(l, i, k, link)
		if err != nil {
			return bad(fmt.Errorf("lick %d: %w", i+1, err))
		}
		groups = append(groups, made)
	}
	s := Sheet{Title: f.fonts.clean(l.Title), Paper: o.Paper}
	if s.Pages, err = f.pages(groups); err != nil {
		return bad(err)
	}
	for i := range s.Pages {
		f.footer(&s.Pages[i], l.Title, i+1, len(s.Pages))
	}
	return s, nil
}

// chart is the strip of the whole form with the licks in their places, as many choruses as
// they need.
func chart(l lesson.Lesson) strip {
	form := lesson.Ticks(len(l.Form.Bars)) * lesson.Bar
	s := strip{to: form, number: 1, period: form}
	for i, k := range l.Licks {
		at := lesson.Ticks(k.Bar-1) * lesson.Bar
		s.from = min(s.from, at-k.Pickup)
		s.to = max(s.to, ceil(at+lesson.Ticks(k.Bars)*lesson.Bar, form))
		s.add(k, at, fmt.Sprintf("Lick %d", i+1))
	}
	s.finish(l, 0)
	return s
}

// lick is the strip of a lick by itself.
func lick(l lesson.Lesson, k lesson.Lick) strip {
	to := lesson.Ticks(k.Bars) * lesson.Bar
	s := strip{from: -k.Pickup, to: to, number: k.Bar, period: to}
	s.add(k, 0, "")
	s.finish(l, lesson.Ticks(k.Bar-1)*lesson.Bar)
	return s
}

// A block is a piece of the sheet that is not divided.
type block struct {
	Page
	height, after float64
	keep          bool // on the same page as the next one
}

// A flow makes blocks of a width and puts them on pages of a height.
type flow struct {
	fonts         *fonts
	width, height float64
}

func (f *flow) canvas() *canvas { return &canvas{fonts: f.fonts} }

// lines are blocks of wrapped text, one for each line.
func (f *flow) lines(s string, width, size, leading float64, bold bool) []block {
	var all []block
	for _, paragraph := range strings.Split(s, "\n") {
		for _, line := range f.fonts.wrap(paragraph, width, size, bold) {
			c := f.canvas()
			c.text(0, 0.8*leading, size, bold, line)
			all = append(all, block{Page: c.Page, height: leading})
		}
	}
	return all
}

// beside puts a code to the right of the first blocks. They must have been made for the
// width that the code leaves.
func (f *flow) beside(blocks []block, q code, link, caption string) []block {
	first := block{height: q.side + 14}
	used, i := 0.0, 0
	for ; i < len(blocks) && used < first.height; i++ {
		first.add(blocks[i].Page, 0, used)
		used += blocks[i].height + blocks[i].after
	}
	first.height = max(first.height, used)
	c := f.canvas()
	wide := max(q.side, captionWidth)
	x := f.width - wide
	q.draw(c, x+(wide-q.side)/2, 0)
	c.centred(x+wide/2, q.side+8, small, false, caption)
	if opens(link) {
		c.Links = append(c.Links, Link{x, 0, wide, q.side + 12, link})
	}
	first.add(c.Page, 0, 0)
	first.keep = true
	return append([]block{first}, blocks[i:]...)
}

// captionWidth is the room for the words under a code.
const captionWidth = 84.0

// coded is the code of a link and the width that it leaves; without a link all of it.
func (f *flow) coded(link string) (q code, width float64, err error) {
	if link == "" {
		return q, f.width, nil
	}
	q, err = encode(link)
	return q, f.width - max(q.side, captionWidth) - 12, err
}

// head is title, facts and the teacher's words.
func (f *flow) head(l lesson.Lesson, link string) ([]block, error) {
	q, width, err := f.coded(link)
	if err != nil {
		return nil, err
	}
	all := f.lines(l.Title, width, 24, 29, true)
	if len(all) > 0 {
		all[len(all)-1].after = 4
	}
	all = append(all, f.facts(l, width)...)
	all[len(all)-1].after = 3
	all = append(all, f.lines(l.Words, width, body, bodyLead, false)...)
	if link != "" {
		all = f.beside(all, q, link, "Scan to practise")
	}
	all[len(all)-1].after += 10
	return all, nil
}

// facts are what a player must know before the first note, each under its name.
func (f *flow) facts(l lesson.Lesson, width float64) []block {
	song := musical(l.Key.Spell(l.Tonic()))
	if home := l.Form.Chord(0); home.Degree == 0 && (home.Quality == lesson.Minor || home.Quality == lesson.MinorSeventh) {
		song += " minor"
	}
	all := [][2]string{
		{"Harp", musical(l.Key.String())},
		{"Position", l.Position.String()},
		{"Song in", song},
		{"Feel", l.Feel.String()},
		{"Tempo", fmt.Sprintf("%.4g bpm", l.Tempo)},
		{"Form", l.Form.Name},
	}
	if l.A4 != 0 && l.A4 != 440 {
		all = append(all, [2]string{"A is", fmt.Sprintf("%.5g Hz", l.A4)})
	}
	if l.Tuning != harp.Equal {
		all = append(all, [2]string{"Tuning", l.Tuning.String()})
	}
	const size, high, between = 15.0, 34.0, 15.0
	var blocks []block
	c, x := f.canvas(), 0.0
	end := func() { blocks = append(blocks, block{Page: c.Page, height: high}) }
	for _, fact := range all {
		value := f.fonts.shorten(fact[1], width, size)
		w := max(f.fonts.width(fact[0], small, false), f.fonts.width(value, size, true))
		if x > 0 && x+w > width {
			end()
			c, x = f.canvas(), 0
		}
		c.text(x, 10, small, false, fact[0])
		c.text(x, 26, size, true, value)
		x += w + between
	}
	end()
	return blocks
}

// chart is the choruses of the form, a group of blocks for each.
func (f *flow) chart(l lesson.Lesson, t strip) [][]block {
	s := &setter{fonts: f.fonts, feel: l.Feel.Kind}
	var rows []row
	// From easily read down to the smallest type, before rows are broken.
	for _, size := range []float64{13, 12, 11, small} {
		var fits bool
		s.style = style{tab: size, chord: 14, perRow: 4}
		if rows, fits = s.rows(&t, f.width); fits {
			break
		}
	}
	var all [][]block
	for _, r := range rows {
		if chorus := max(0, r.from) / t.period; int(chorus) == len(all) {
			title := "The form: " + l.Form.Name
			if t.to > t.period {
				title += fmt.Sprintf(", chorus %d", chorus+1)
			}
			all = append(all, f.lines(title, f.width, 13, 20, true))
			keep(all[chorus], 1)
		}
		c, last := f.canvas(), len(all)-1
		h := s.draw(c, &t, r)
		all[last] = append(all[last], block{Page: c.Page, height: h, after: 9})
	}
	for _, g := range all {
		g[len(g)-1].after = 14
	}
	return all
}

// keep keeps the first n blocks on the page of the one after them.
func keep(blocks []block, n int) {
	for i := range blocks[:min(n, len(blocks))] {
		blocks[i].keep = true
	}
}

// legend sets the entries in two columns.
func (f *flow) legend(u use, feel lesson.Feel) []block {
	all := f.lines("The marks", f.width, 13, 20, true)
	s := &setter{fonts: f.fonts, feel: feel.Kind, style: style{tab: legendTab, chord: 14, full: true}}
	const columns, after = 2, 14.0
	column := f.width / columns
	entries := u.entries(feel)
	rows := (len(entries) + columns - 1) / columns
	for i := range rows {
		b := block{after: 6}
		for k := range columns {
			at := k*rows + i // down the first column, then down the second
			if at >= len(entries) {
				continue
			}
			e := entries[at]
			c := f.canvas()
			e.draw(s, c)
			drop := 14.0
			for _, t := range c.Texts { // room over the baseline for what is stacked
				drop = max(drop, -t.Y+0.85*t.Size)
			}
			x := float64(k) * column
			b.add(c.Page, x, drop)
			words := f.canvas()
			wrapped := f.fonts.wrap(e.words, column-sampleWidth-16, small, false)
			for n, line := range wrapped {
				words.text(x+sampleWidth+8, drop+12*float64(n), small, false, line)
			}
			b.add(words.Page, 0, 0)
			b.height = max(b.height, drop+5+12*float64(len(wrapped)-1))
		}
		all = append(all, b)
	}
	all[len(all)-1].after = after
	keep(all, len(all)-1)
	return all
}

// lick is a lick by itself, large.
func (f *flow) lick(l lesson.Lesson, i int, k lesson.Lick, link string) ([]block, error) {
	q, width, err := f.coded(link)
	if err != nil {
		return nil, err
	}
	title := fmt.Sprintf("Lick %d: %s", i+1, k.Title)
	all := f.lines(title, width, 16, 21, true)
	all = append(all, f.lines(where(k), width, body, bodyLead, false)...)
	all[len(all)-1].after = 2
	all = append(all, f.lines(k.Words, width, body, bodyLead, false)...)
	if link != "" {
		all = f.beside(all, q, link, "Scan to practise")
	}
	head := len(all)
	all[head-1].after = 5

	s, t := &setter{fonts: f.fonts, feel: l.Feel.Kind}, lick(l, k)
	var rows []row
	for _, size := range []float64{17, 15.5, 14} { // 14: the least that is read at arm's length
		var fits bool
		s.style = style{tab: size, chord: 14, perRow: 2, full: true}
		if rows, fits = s.rows(&t, f.width); fits {
			break
		}
	}
	for _, r := range rows {
		c := f.canvas()
		h := s.draw(c, &t, r)
		all = append(all, block{Page: c.Page, height: h, after: 10})
	}
	all[len(all)-1].after = 22
	keep(all, 1)
	all[head-1].keep = true
	return all, nil
}

// where says where in the form a lick lies.
func where(k lesson.Lick) string {
	last := k.Bar + k.Bars - 1
	s := fmt.Sprintf("Bar %d", k.Bar)
	switch {
	case last == k.Bar+1:
		s = fmt.Sprintf("Bars %d and %d", k.Bar, last)
	case last > k.Bar+1:
		s = fmt.Sprintf("Bars %d to %d", k.Bar, last)
	}
	if k.Pickup > 0 {
		s += ", with a pickup"
	}
	return s
}

// pages puts groups of blocks on pages. A group that would fit on one page is not divided.
func (f *flow) pages(groups [][]block) ([]Page, error) {
	pages := []Page{{}}
	y := 0.0
	next := func() {
		pages, y = append(pages, Page{}), 0
	}
	for _, g := range groups {
		if h := length(g); y > 0 && y+h > f.height && h <= f.height {
			next()
		}
		for i, b := range g {
			chain := i
			for chain+1 < len(g) && g[chain].keep {
				chain++
			}
			h := length(g[i : chain+1])
			if h > f.height { // it cannot be kept together
				h = b.height
			}
			if y > 0 && y+h > f.height {
				next()
			}
			if len(pages) > mostPages {
				return nil, ErrLong
			}
			pages[len(pages)-1].add(b.Page, margin, margin+y)
			y += b.height + b.after
		}
	}
	return pages, nil
}

// length is the height of blocks under each other.
func length(blocks []block) float64 {
	h := 0.0
	for i, b := range blocks {
		h += b.height
		if i < len(blocks)-1 {
			h += b.after
		}
	}
	return h
}

// footer says what the page belongs to.
func (f *flow) footer(p *Page, title string, page, pages int) {
	c := f.canvas()
	y := margin + f.height + foot - 3
	number := fmt.Sprintf("Page %d of %d", page, pages)
	w := f.fonts.width(number, small, false)
	c.line(margin, y-12, margin+f.width, y-12, 0.6)
	c.text(margin, y, small, false, f.fonts.shorten(title, f.width-w-20, small))
	c.text(margin+f.width-w, y, small, false, number)
	p.add(c.Page, 0, 0)
}
