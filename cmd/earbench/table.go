//go:build !js

package main

import (
	"fmt"
	"io"
	"math"
	"strings"

	"reedwell/audio/audiotest/corpus"
)

// A row is one measure of the table.
type row struct {
	name string
	goal string
	cell func(s *sums) string
	ear  bool // other programs have nothing of the kind
}

func number(format string, v ...float64) string {
	args := make([]any, len(v))
	for i, x := range v {
		if math.IsNaN(x) {
			return "-"
		}
		args[i] = x
	}
	return fmt.Sprintf(format, args...)
}

func startRow(k corpus.Kind, goal string) row {
	return row{string(k) + ": starts, F within 25 ms", goal, func(s *sums) string { return number("%.1f", s.starts[k].f()) }, false}
}

func biasRow(k corpus.Kind) row {
	return row{string(k) + ": starts late, median; 5th to 95th percentile, ms", "within 5", func(s *sums) string {
		m := s.starts[k]
		if m == nil {
			return "-"
		}
		return number("%+.1f; %+.1f to %+.1f", 1000*quantile(m.late, 0.5), 1000*quantile(m.late, 0.05), 1000*quantile(m.late, 0.95))
	}, false}
}

func pairRows(under float64, named string) []row {
	p := func(s *sums) *pairSums {
		if q := s.pair[under]; q != nil {
			return q
		}
		return &pairSums{}
	}
	return []row{
		{fmt.Sprintf("two holes, %g dB under: louder right, %%", under), "99", func(s *sums) string { q := p(s); return number("%.1f", share(q.loud, q.frames)) }, false},
		{fmt.Sprintf("two holes, %g dB under: second named; wrongly, %%", under), named, func(s *sums) string {
			q := p(s)
			return number("%.1f; %.1f", share(q.named, q.frames), share(q.wrong, q.frames))
		}, true},
		{fmt.Sprintf("two holes, %g dB under: level within 3 dB, %%; 2.5th to 97.5th, dB", under), "all", func(s *sums) string {
			q := p(s)
			return number("%.1f; %+.1f to %+.1f", near(q.levels, 3), quantile(q.levels, 0.025), quantile(q.levels, 0.975))
		}, true},
	}
}

func rows() []row {
	var list []row
	add := func(r ...row) { list = append(list, r...) }
	add(row{"steady notes: frames within 50; 25; 10 cents, %", "100 in 50", func(s *sums) string {
		return number("%.2f; %.2f; %.2f", share(s.right50, s.frames), share(s.right25, s.frames), share(s.right10, s.frames))
	}, false},
		row{"steady notes: an octave off, %", "0", func(s *sums) string { return number("%.2f", share(s.chroma-s.right50, s.frames)) }, false},
		row{"steady notes: error median; 95th; 99th percentile, cents", "0.1 clean, 0.2; 0.9 pink", func(s *sums) string {
			return number("%.3f; %.2f; %.2f", quantile(s.errs, 0.5), quantile(s.errs, 0.95), quantile(s.errs, 0.99))
		}, false},
		row{"steady notes: heard with confidence; right among those, %", "", func(s *sums) string {
			return number("%.1f; %.2f", share(s.sure, s.frames), share(s.sureRight, s.sure))
		}, true},
		row{"bends, scoops, vibrato: frames within 50 cents, %", "", func(s *sums) string { return number("%.1f", share(s.movingRight, s.moving)) }, false},
		row{"bends, scoops, vibrato, wah: heard as one note, %", "100", func(s *sums) string { return number("%.1f", share(s.whole-s.split, s.whole)) }, false})
	add(startRow(corpus.Natural, "95 pink"), biasRow(corpus.Natural))
	add(row{"natural: ends within 40 ms, %", "all", func(s *sums) string { return number("%.1f", share(s.endsRight, s.ends)) }, false})
	add(startRow(corpus.Warble, "99, 95 room"), biasRow(corpus.Warble))
	add(startRow(corpus.Repeat, "97, 90 room"), biasRow(corpus.Repeat))
	add(row{"warble: rate within 1; 5 %, % of warbles", "all in 1", func(s *sums) string {
		v := make([]float64, len(s.warbles))
		for i, w := range s.warbles {
			v[i] = w.rate
		}
		return number("%.0f; %.0f", near(v, 1), near(v, 5))
	}, false},
		row{"warble: evenness; share within 2 points, % of warbles", "all", func(s *sums) string {
			var e, d []float64
			for _, w := range s.warbles {
				e, d = append(e, w.evenness), append(d, w.share)
			}
			return number("%.0f; %.0f", near(e, 2), near(d, 2))
		}, false})
	add(pairRows(6, "95")...)
	add(pairRows(12, "95")...)
	add(pairRows(20, "85")...)
	add(row{"single notes: a second voice claimed, %", "under 1", func(s *sums) string { return number("%.2f", share(s.claimed, s.single)) }, true},
		row{"octaves and chords: all voices named and no other, %", "", func(s *sums) string { return number("%.1f", share(s.chordRight, s.chords)) }, true},
		row{"asked for chords, single notes: a second voice claimed, %", "under 1", func(s *sums) string { return number("%.2f", share(s.crowded, s.alone)) }, true},
		row{"scoop: depth off, size median; 95th, cents; within 5, %", "all in 5", func(s *sums) string {
			a := absolute(s.scoops)
			return number("%.1f; %.1f; %.0f", quantile(a, 0.5), quantile(a, 0.95), near(s.scoops, 5)) + fmt.Sprintf("; missed %d", s.scoopsMissed)
		}, true},
		row{"scoop: settles within 15 ms of the truth, %", "all", func(s *sums) string { return number("%.0f", near(s.settle, 0.015)) }, true},
		row{"vibrato: rate within 3 %; extent within 10 %, %", "all", func(s *sums) string {
			return number("%.0f; %.0f", near(s.vibRate, 0.03), near(s.vibExtent, 0.1))
		}, true},
		row{"wah: rate within 3 %, %", "all", func(s *sums) string { return number("%.0f", near(s.wahRate, 0.03)) }, true},
		row{"natural: pitch first given with confidence after two periods, by a frame or the newest window, delay included, median; 90th, ms", "25", func(s *sums) string {
			return number("%.0f; %.0f", 1000*quantile(s.first, 0.5), 1000*quantile(s.first, 0.9))
		}, true},
		row{"natural: pitch first shown as sure or not sure yet, after two periods, delay included, median; 90th, ms", "25", func(s *sums) string {
			return number("%.0f; %.0f", 1000*quantile(s.shown, 0.5), 1000*quantile(s.shown, 0.9))
		}, true},
		row{"CPU seconds a second of sound, whole process", "0.008", func(s *sums) string {
			if s.cpu == 0 {
				return "-"
			}
			return number("%.4f", s.cpu/s.seconds)
		}, false})
	return list
}

// table prints one table for each condition.
func table(out io.Writer, list []program, results map[string]map[corpus.Condition]*sums) {
	for _, c := range corpus.Conditions() {
		if results[list[0].name][c].seconds == 0 {
			continue
		}
		fmt.Fprintf(out, "\n## %s\n\n| measure | goal |", c)
		for _, p := range list {
			fmt.Fprintf(out, " %s |", p.name)
		}
		fmt.Fprintf(out, "\n| --- | --- |%s\n", strings.Repeat(" --- |", len(list)))
		for _, r := range rows() {
			fmt.Fprintf(out, "| %s | %s |", r.name, r.goal)
			for i, p := range list {
				v := "-"
				if i == 0 || !r.ear {
					v = r.cell(results[p.name][c])
				}
				fmt.Fprintf(out, " %s |", v)
			}
			fmt.Fprintln(out)
		}
	}
}

// othersWeigh is how often a frame of what is no instrument counts in the reliability table: the mix is then
// about six seconds of harmonica to one of something else. Our choice: somebody who practises.
const othersWeigh = 2

// reliability prints how often frames of a confidence are right: the harmonicas in all conditions, and
// what is no instrument, where every frame that names a pitch is wrong.
func reliability(out io.Writer, ear map[corpus.Condition]*sums, aside [10]int, bins func(*sums) [10][2]int) {
	fmt.Fprintf(out, "\n| confidence | frames, harmonica | right, %% | frames, other | right of all, %% |\n| --- | --- | --- | --- | --- |\n")
	for b := range 10 {
		n, ok := 0, 0
		for _, s := range ear {
			n += bins(s)[b][0]
			ok += bins(s)[b][1]
		}
		fmt.Fprintf(out, "| %.1f to %.1f | %d | %s | %d | %s |\n", float64(b)/10, float64(b+1)/10, n, number("%.1f", share(ok, n)), aside[b], number("%.1f", share(ok, n+othersWeigh*aside[b])))
	}
}
