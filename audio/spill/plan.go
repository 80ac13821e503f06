package spill

// A plan is work that is done in small pieces, so that whoever does it can do other things in
// between. A piece may plan further ones: they are done after it, before those that were
// planned earlier.
type plan struct {
	todo  []func() // the next is the last
	fresh []func() // of the piece that is being done, in their order
}

// then plans a piece.
func (p *plan) then(piece func()) { p.fresh = append(p.fresh, piece) }

// do does the next piece and reports whether one was left.
func (p *plan) do() bool {
	p.settle()
	if len(p.todo) == 0 {
		return false
	}
	piece := p.todo[len(p.todo)-1]
	p.todo = p.todo[:len(p.todo)-1]
	piece()
	p.settle()
	return true
}

// settle puts what was planned in front of the rest.
func (p *plan) settle() {
	for i := len(p.fresh) - 1; i >= 0; i-- {
		p.todo = append(p.todo, p.fresh[i])
	}
	p.fresh = p.fresh[:0]
}
