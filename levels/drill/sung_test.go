package drill

import (
	"testing"

	"reedwell/levels/harp"
)

// Every bend of every key can be sung to: what sounds is the bend, what is asked is the same after it, and it is on no path.
func TestSungDrills(t *testing.T) {
	n := 0
	for _, note := range harp.Notes() {
		if note.Bend == 0 {
			continue
		}
		n++
		id := SungID(note)
		if s, ok := About(id); !ok || s.ID != id || s.Family != Aim || s.Level != 0 {
			t.Errorf("%s: %+v, %v", id, s, ok)
		}
		for _, k := range harp.Keys() {
			d, err := Build(Spec{ID: id, Key: k})
			if err != nil {
				t.Fatal(err)
			}
			want, _ := d.Harp.Hz(note)
			if len(d.Targets) != 3 || len(d.Calls) != 3 || !d.Unseen || !d.ByEar || !d.Free() {
				t.Errorf("%s on %v: %d calls, %d targets, unseen %v, free %v", id, k, len(d.Calls), len(d.Targets), d.Unseen, d.Free())
			}
			for i := range d.Targets {
				if d.Targets[i].Hz != want || d.Calls[i].Hz != want || d.Targets[i].Note != note {
					t.Errorf("%s on %v: turn %d is %g after %g Hz, want %g", id, k, i+1, d.Targets[i].Hz, d.Calls[i].Hz, want)
				}
			}
		}
	}
	if n != 12 { // 1 of 1, 2 of 2, 3 of 3, 1 of 4, 1 of 6, 1 of 8, 1 of 9, 2 of 10: common practice, no source
		t.Errorf("%d bends, want 12", n)
	}
	for _, id := range []string{"sung-", "sung-5d1", "sung-3d4", "sung-3d0", "sung-3b1", "sung-03d1"} {
		if _, ok := About(id); ok {
			t.Errorf("there is %q", id)
		}
	}
	for _, s := range List() {
		if d, err := Build(Spec{ID: s.ID}); err != nil || d.Free() {
			t.Errorf("%s is on no path, or %v", s.ID, err)
		}
	}
}
