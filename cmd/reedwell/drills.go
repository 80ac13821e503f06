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
	Join   string  `json:"join"`                   // tongued, legato or glide
	Zone   float64 `json:"zone_cents,omitempty"`   // to either side of hz within which every pitch is right
	Means  string  `json:"means,omitempty"`        // what swings: throat or hand
	Swings float64 `json:"swings_per_s,omitempty"` // asked of it; none where that is free
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
	targets := printed(d, d.Targets)
	encoder := json.NewEncoder(out)
	encoder.SetIndent("", "  ")
	all := map[string]any{
		"id": d.ID, "family": d.Family, "level": d.Level, "title": d.Title,
		"harp": d.Harp.Key.String(), "a4_hz": d.Harp.A4, "tuning": d.Harp.Tuning.String(), "position": int(d.Position),
		"tempo": d.Tempo, "count_in_s": d.Time(0), "duration_s": d.Seconds, "targets": targets,
	}
	if len(d.Calls) > 0 {
		all["calls"] = printed(d, d.Calls) // what is sounded first, to be played after it
	}
	return done, encoder.Encode(all)
}

// printed is targets, or calls, for scripts.
func printed(d drill.Drill, from []drill.Target) []target {
	all := []target{}
	for _, t := range from {
		all = append(all, target{t.Start, t.End, t.Hz, t.Note.Hole, t.Note.Breath.String(), t.Note.Bend, t.Tab(), t.Join.String(),
			t.Zone, t.Wave.By.String(), t.Wave.Rate(d.Tempo)})
	}
	return all
}
