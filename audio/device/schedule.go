package device

// A part is a run of samples to be played on frames [at, at+len(samples)).
type part struct {
	at      int64
	samples []float32
}

func (p part) end() int64 { return p.at + int64(len(p.samples)) }

// A schedule holds what is to be played, in no order. Parts that overlap add up.
type schedule struct{ parts []part }

// mix adds what lies on the frames [at, at+len(dst)) to dst.
func (s *schedule) mix(dst []float32, at int64) {
	end := at + int64(len(dst))
	for _, p := range s.parts {
		from, to := max(at, p.at), min(end, p.end())
		for f := from; f < to; f++ {
			dst[f-at] += p.samples[f-p.at]
		}
	}
}

// forget drops the parts that end at or before a frame.
func (s *schedule) forget(before int64) {
	n := 0
	for _, p := range s.parts {
		if p.end() > before {
			s.parts[n] = p
			n++
		}
	}
	clear(s.parts[n:])
	s.parts = s.parts[:n]
}

// cut drops everything at or after a frame.
func (s *schedule) cut(from int64) {
	n := 0
	for _, p := range s.parts {
		if p.at >= from {
			continue
		}
		if p.end() > from {
			p.samples = p.samples[:from-p.at]
		}
		s.parts[n] = p
		n++
	}
	clear(s.parts[n:])
	s.parts = s.parts[:n]
}
