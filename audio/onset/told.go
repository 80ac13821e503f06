package onset

// A ledger keeps finished notes until it is known that they are notes, and then until they are
// asked for.
type ledger struct {
	pending []Note // not proved yet
	proved  []Note
}

func newLedger() ledger {
	return ledger{pending: make([]Note, 0, 32), proved: make([]Note, 0, 64)}
}

// together is the longest gap, in samples, over which a note that has proved to be one
// vouches for those before it: 80 ms, the gap of a tongued repeat and a little.
const together = 960

// over is the longest gap, in samples, over which one note goes over into the next: 15 ms, in which a slow reed comes up
// while the level is down by 9 dB.
const over = 180

// add takes a finished note. One that has proved to be one vouches for those
// just before it that belong to it.
func (l *ledger) add(n Note, proved bool) {
	if k := len(l.pending); k > 0 && (n.Start > l.pending[k-1].End+together || k == cap(l.pending)) {
		l.pending = l.pending[:0]
	}
	l.pending = append(l.pending, n)
	if !proved {
		return
	}
	for i, p := range l.pending {
		if i < len(l.pending)-1 && !l.kin(i) {
			continue
		}
		if len(l.proved) == cap(l.proved) {
			// Nobody has asked for notes for a long time: forget the oldest.
			copy(l.proved, l.proved[1:])
			l.proved = l.proved[:len(l.proved)-1]
		}
		l.proved = append(l.proved, p)
	}
	l.pending = l.pending[:0]
}

// kin says that the pending note i belongs to those around it: it goes over into the next within over,
// as when holes change in one breath, or has the pitch of another
// one, as repeats have.
func (l *ledger) kin(i int) bool {
	if l.pending[i+1].Start-l.pending[i].End < over {
		return true
	}
	for j, n := range l.pending {
		if j != i && near(n.F0, l.pending[i].F0, kinCents) {
			return true
		}
	}
	return false
}

// take appends the proved notes to dst and forgets them.
func (l *ledger) take(dst []Note) []Note {
	dst = append(dst, l.proved...)
	l.proved = l.proved[:0]
	return dst
}
