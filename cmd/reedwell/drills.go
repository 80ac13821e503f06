package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"text/tabwriter"

	"reedwell/levels/drill"
)

// A target as printed for scripts.
type target struct {
	Start  float64 `json:"start_s"`
	End    float64 `json:"end_s"`
	Hz     float64 `json:"hz"`
	Hole   int     `json:"hole"`
	Breath string  `json:"breath"`
	Bend   int     `json:"bend"` // semitones under the natural reed
	Tab    string  `json:"tab"`
	Join   string  `json:"join"` // tongued, legato or glide
}

// drills lists all drills, or prints one drill's targets.
func drills(args []string, out, errs io.Writer) (int, error) {
	flags := flag.NewFlagSet("drills", flag.ContinueOnError)
	flags.SetOutput(errs)
	id := flags.String("json", "", "print the targets of the drill with this `ID` as JSON")
	build := specFlags(flags)
	if _, err := parse(flags, args); err != nil {
		return unusable, err
	}
	if *id == "" {
		w := tabwriter.NewWriter(out, 0, 4, 2, ' ', 0)
		for _, s := range drill.List() {
			fmt.Fprintf(w, "%s\t%s\t%g\n", s.ID, s.Title, s.Tempo)
		}
		return done, w.Flush()
	}
	d, err := build(*id)
	if err != nil {
		return unusable, err
	}
	targets := []target{}
	for _, t := range d.Targets {
		targets = append(targets, target{t.Start, t.End, t.Hz, t.Note.Hole, t.Note.Breath.String(), t.Note.Bend, t.Note.Tab(), t.Join.String()})
	}
	encoder := json.NewEncoder(out)
	encoder.SetIndent("", "  ")
	return done, encoder.Encode(map[string]any{
		"id": d.ID, "family": d.Family, "level": d.Level, "title": d.Title,
		"harp": d.Harp.Key.String(), "a4_hz": d.Harp.A4, "tuning": d.Harp.Tuning.String(), "position": int(d.Position),
		"tempo": d.Tempo, "count_in_s": d.Time(0), "duration_s": d.Seconds, "targets": targets,
	})
}
