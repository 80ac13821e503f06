//go:build !js

package main

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"

	"reedwell/audio/audiotest/corpus"
	"reedwell/audio/listen"
)

// A program is one way of hearing a file, as a process of its own.
type program struct {
	name  string
	parts []part // run one after the other; what they give is joined
}

// A part is one process: its command line with the file in place of "FILE", and how its
// output is read.
type part struct {
	command []string
	read    func(r io.Reader, h *heard) error
}

// programs lists this ear and those of the others that are installed, and says which are not.
func programs(dir string) (list []program, missing []string, err error) {
	self, err := os.Executable()
	if err != nil {
		return nil, nil, err
	}
	list = append(list, program{"this ear", []part{{[]string{self, "-hear", "FILE"}, readEar}}})
	have := func(p string) bool {
		_, err := exec.LookPath(p)
		if err != nil {
			missing = append(missing, p)
		}
		return err == nil
	}
	onsets := func(method string) part {
		return part{[]string{"aubioonset", "-i", "FILE", "-O", method, "-B", "512", "-H", "256"}, readStarts}
	}
	if have("aubiopitch") && have("aubioonset") {
		pitches := func(method string) part {
			return part{[]string{"aubiopitch", "-i", "FILE", "-p", method, "-B", "2048", "-H", "256", "-l", "0.5"}, readPitches(2048.0 / 2 / corpus.Rate)}
		}
		list = append(list,
			program{"aubio yinfft, pitch steps", []part{pitches("yinfft")}},
			program{"aubio yinfast, flux", []part{pitches("yinfast"), onsets("specflux")}},
			program{"aubio mcomb, energy", []part{pitches("mcomb"), onsets("energy")}},
		)
	}
	if have("praat") {
		script := filepath.Join(dir, "pitch.praat")
		text := `form Pitch
  sentence File x
endform
Read from file: file$
To Pitch (ac): 0.005, 125, 15, "no", 0.03, 0.45, 0.01, 0.35, 0.14, 3400
n = Get number of frames
for i to n
  t = Get time from frame number: i
  f = Get value in frame: i, "Hertz"
  if f = undefined
    f = 0
  endif
  appendInfoLine: fixed$(t, 5), " ", fixed$(f, 4)
endfor
`
		if err := os.WriteFile(script, []byte(text), 0o666); err != nil {
			return nil, nil, err
		}
		list = append(list, program{"praat ac, pitch steps", []part{{[]string{"praat", "--run", script, "FILE"}, readPitches(0)}}})
	}
	return list, missing, nil
}

// run lets p hear the file and returns the CPU seconds of its processes, user and system.
func (p program) run(file string) (heard, float64, error) {
	var h heard
	cpu := 0.0
	for _, q := range p.parts {
		args := append([]string(nil), q.command...)
		for i := range args {
			if args[i] == "FILE" {
				args[i] = file
			}
		}
		cmd := exec.Command(args[0], args[1:]...)
		var out, errs bytes.Buffer
		cmd.Stdout, cmd.Stderr = &out, &errs
		if err := cmd.Run(); err != nil {
			return h, 0, fmt.Errorf("%v: %w\n%s", cmd, err, errs.String())
		}
		cpu += (cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()).Seconds()
		if err := q.read(&out, &h); err != nil {
			return h, 0, fmt.Errorf("%v: %w", cmd, err)
		}
	}
	if h.notes == nil {
		h.notes = steps(h.points)
	}
	return h, cpu, nil
}

// readPitches reads lines of a time in seconds and a pitch in Hz; later is how much later than
// the time given the middle of what was heard lies.
func readPitches(later float64) func(io.Reader, *heard) error {
	return func(r io.Reader, h *heard) error {
		return lines(r, 2, func(v []float64) {
			p := point{at: v[0] - later, hz: v[1]}
			if p.hz > 0 {
				p.confidence = 1
			}
			h.points = append(h.points, p)
		})
	}
}

func readStarts(r io.Reader, h *heard) error {
	h.notes = []note{}
	return lines(r, 1, func(v []float64) { h.notes = append(h.notes, note{start: v[0]}) })
}

func lines(r io.Reader, n int, each func([]float64)) error {
	s := bufio.NewScanner(r)
	for s.Scan() {
		f := strings.Fields(s.Text())
		if len(f) < n {
			continue
		}
		v := make([]float64, n)
		for i := range v {
			x, err := strconv.ParseFloat(f[i], 64)
			if err != nil {
				return fmt.Errorf("line %q: %w", s.Text(), err)
			}
			v[i] = x
		}
		each(v)
	}
	return s.Err()
}

// steps makes notes of pitches alone: one starts where a pitch appears or moves by 70 cents
// from one frame to the next and stays.
func steps(points []point) []note {
	notes := []note{}
	open := false
	for i, p := range points {
		if p.hz == 0 {
			if open {
				notes[len(notes)-1].end = p.at
			}
			open = false
			continue
		}
		if open && math.Abs(cents(p.hz, points[i-1].hz)) < 70 {
			continue
		}
		stays := true
		for j := i + 1; j <= i+3 && j < len(points); j++ {
			stays = stays && points[j].hz > 0 && math.Abs(cents(points[j].hz, p.hz)) < 70
		}
		if !stays {
			continue
		}
		if open {
			notes[len(notes)-1].end = p.at
		}
		notes = append(notes, note{start: p.at, hz: p.hz})
		open = true
	}
	return notes
}

// hearFile is what this program does as a process of its own: the whole chain from file to text.
func hearFile(path string, out io.Writer) error {
	x, rate, err := readWAV(path)
	if err != nil {
		return err
	}
	take, err := listen.Hear(listen.Config{Rate: rate, Spans: anyHarp()}, x)
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	w := bufio.NewWriter(out)
	for _, f := range take.Frames {
		fmt.Fprintf(w, "%.4f %.3f %.3f\n", float64(f.At)/float64(rate), f.F0, f.Confidence)
	}
	for _, n := range take.Notes {
		fmt.Fprintf(w, "note %.5f %.5f %.3f\n", float64(n.Start)/float64(rate), float64(n.End)/float64(rate), n.F0)
	}
	return w.Flush()
}

// readEar takes only that the process ran: the figures of this ear come from the run with the
// harp's own neighbours, in this process.
func readEar(r io.Reader, h *heard) error {
	h.notes = []note{}
	_, err := io.Copy(io.Discard, r)
	return err
}

// anyHarp names as neighbours what holes of some harp are apart: two to five semitones.
func anyHarp() []listen.Span {
	hz := func(m float64) float64 { return 440 * math.Exp2((m-69)/12) }
	var spans []listen.Span
	for m := 48.0; m <= 104; m++ {
		s := listen.Span{Low: hz(m - 0.5), High: hz(m + 0.5)}
		for apart := 2.0; apart <= 5; apart++ {
			s.Beside = append(s.Beside, hz(m-apart), hz(m+apart))
		}
		spans = append(spans, s)
	}
	return spans
}

// ear hears samples with the spans of one harp.
func ear(x []float32, spans []corpus.Span) (heard, listen.Take, error) {
	c := listen.Config{Rate: corpus.Rate}
	for _, s := range spans {
		c.Spans = append(c.Spans, listen.Span(s))
	}
	e, err := listen.New(c)
	if err != nil {
		return heard{}, listen.Take{}, err
	}
	h := heard{delay: float64(e.Delay()) / corpus.Rate, latestDelay: float64(e.LatestDelay()) / corpus.Rate}
	for rest := x; len(rest) > 0; {
		n := min(e.Hop(), len(rest))
		e.Process(rest[:n])
		rest = rest[n:]
		f := e.Latest()
		h.latest = append(h.latest, point{at: float64(f.At) / corpus.Rate, hz: f.F0, confidence: f.Confidence})
	}
	e.Flush()
	take := listen.Take{Rate: c.Rate, Frames: e.Frames(nil), Notes: e.Notes(nil)}
	for _, f := range take.Frames {
		p := point{at: float64(f.At) / corpus.Rate, hz: f.F0, confidence: f.Confidence}
		for i, o := range f.Others {
			p.others[i] = voice{o.F0, o.Level}
		}
		h.points = append(h.points, p)
	}
	for _, n := range take.Notes {
		h.notes = append(h.notes, note{start: float64(n.Start) / corpus.Rate, end: float64(n.End) / corpus.Rate, hz: n.F0, err: n.Error / corpus.Rate})
	}
	return h, take, nil
}
