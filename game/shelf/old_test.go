package shelf_test

import (
	"bytes"
	"flag"
	"os"
	"testing"

	"reedwell/game/shelf"
)

var update = flag.Bool("update", false, "rewrite the .golden files")

// Files that lie on players' devices stay readable and are written alike: testdata/file.golden
// was written before the seal had a package of its own. It is not to be rewritten but for a
// new version of the file.
func TestOldFile(t *testing.T) {
	s, _ := keep(t, shelf.Shelf{}, "", "title: One\nwords: <b> & \"quoted\" \u2028 end\n")
	s, _ = keep(t, s, "", "title: Two")
	s = s.Played("abc", shelf.Mark{Share: 0.7, Tempo: 66}).Played("abc", shelf.Mark{Share: 1, Tempo: 60.5, Passed: true})
	const golden = "testdata/file.golden"
	if *update {
		if err := os.WriteFile(golden, s.Encode(), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	data, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	back, err := shelf.Decode(data)
	if err != nil || !bytes.Equal(back.Encode(), data) {
		t.Errorf("the old file: %v, or written otherwise now", err)
	}
	if !bytes.Equal(s.Encode(), data) {
		t.Errorf("the shelf is written as\n%s\nand not as\n%s", s.Encode(), data)
	}
}
