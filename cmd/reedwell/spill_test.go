package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"reedwell/audio/synth"
	"reedwell/audio/wav"
	"reedwell/levels/band"
	"reedwell/levels/drill"
	"reedwell/levels/player"
)

// A take with the band in it as loud as the player passes once the band is taken out, and not
// before.
func TestGradeWithSpill(t *testing.T) {
	d, err := drill.Build(drill.Spec{ID: "turnaround-4"})
	if err != nil {
		t.Fatal(err)
	}
	const rate = 24000
	take := synth.Render(rate, d.Seconds, player.Notes(d, player.Faults{}), 1)
	// The player's RMS lies near -20 dBFS, the band's peak at -6 and its RMS about as low.
	synth.Mix(take, band.Render(d, rate), 0, 0)
	file := filepath.Join(t.TempDir(), "take.wav")
	if err := os.WriteFile(file, wav.Bytes(rate, take), 0o666); err != nil {
		t.Fatal(err)
	}
	if status, out, _ := command("grade", d.ID, file); status != notYet {
		t.Errorf("with the band in it: status %d\n%s", status, out)
	}
	if status, out, errs := command("grade", d.ID, file, "-spill"); status != done || !strings.Contains(errs, "taken out") {
		t.Errorf("with the band taken out: status %d, %s\n%s", status, errs, out)
	}
}
