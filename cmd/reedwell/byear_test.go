package main

import (
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"
)

// Drills with a zone, waves or calls are listed, tell what they ask, sound and are graded like any other.
func TestDrillsBeyondNotes(t *testing.T) {
	_, list, _ := command("drills")
	take := filepath.Join(t.TempDir(), "take.wav")
	for _, c := range []struct {
		id, key, fault, size, says string
	}{
		{"blue-2", "zone_cents", "-deep", "45", "half step"},
		{"octaves-6", "targets", "-graze", "0.1", "lands"},
		{"vibrato-3", "swings_per_s", "-pace", "1.5", "slow down"},
		{"wah-1", "hand", "-extent", "0.02", "No hand"},
		{"aim-2", "calls", "-deep", "47", "hum it first"},
		{"answer-2", "calls", "-ms", "170", "late throughout"},
	} {
		if !strings.Contains(list, c.id+" ") {
			t.Errorf("%s is not in the list", c.id)
		}
		status, out, errs := command("drills", "-json", c.id)
		if status != done || !json.Valid([]byte(out)) || !strings.Contains(out, c.key) {
			t.Errorf("%s: status %d, want %q in %s%s", c.id, status, c.key, out, errs)
		}
		for fault, want := range map[bool]int{false: done, true: notYet} {
			args := []string{"render", c.id, "-o", take, "-backing"}
			if fault {
				args = append(args, c.fault, c.size)
			}
			if status, _, errs := command(args...); status != done {
				t.Fatalf("%v: status %d, %s", args, status, errs)
			}
			status, out, errs := command("grade", c.id, take)
			if status != want || fault && !strings.Contains(out, c.says) {
				t.Errorf("%s, fault %v: status %d, want %d and %q: %s%s", c.id, fault, status, want, c.says, out, errs)
			}
		}
	}
}
