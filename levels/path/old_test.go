package path_test

import (
	"bytes"
	"flag"
	"os"
	"testing"

	"reedwell/levels/path"
)

var update = flag.Bool("update", false, "rewrite the .golden files")

// Files that lie on players' devices stay readable and are written alike: testdata/file.golden
// was written before the seal had a package of its own. It is not to be rewritten but for a
// new version of the file.
func TestOldFile(t *testing.T) {
	p := passed(path.New(), "single-1").Record(monday()+1, "single-1", good()).Record(monday()+2, "lick-7", poor())
	const golden = "testdata/file.golden"
	if *update {
		if err := os.WriteFile(golden, p.Encode(), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	data, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	back, err := path.Decode(data)
	if err != nil || !bytes.Equal(back.Encode(), data) {
		t.Errorf("the old file: %v, or written otherwise now", err)
	}
	if !bytes.Equal(p.Encode(), data) {
		t.Errorf("what was recorded is written as\n%s\nand not as\n%s", p.Encode(), data)
	}
}
