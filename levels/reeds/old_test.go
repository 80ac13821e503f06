package reeds

import (
	"bytes"
	"os"
	"testing"
)

// Files that lie on players' devices stay readable and are written alike: testdata/file.golden
// was written before the seal had a package of its own, and before the report of a pass was kept. It is not to
// be rewritten but for a new version of the file.
func TestOldFile(t *testing.T) {
	data, err := os.ReadFile("testdata/file.golden")
	if err != nil {
		t.Fatal(err)
	}
	back, err := Decode(data)
	if err != nil || !bytes.Equal(back.Encode(), data) {
		t.Errorf("the old file: %v, or written otherwise now", err)
	}
	want := sampleCase(t)
	for i, k := range want.Harps() {
		k.Found = Faults{}
		if got := back.Harps(); i >= len(got) || got[i] != k {
			t.Errorf("harp %d of the old file is read as %+v, want %+v", i, got, k)
		}
	}
}
