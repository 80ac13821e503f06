// Package lessons holds the demo lessons of this folder, for the program that shows them
// and for tests.
package lessons

import "embed"

//go:embed *.txt
var files embed.FS

// Names are the demo lessons, easiest first.
func Names() []string { return []string{"kettle", "shoes", "landing"} }

// Text is a demo lesson by its name. It panics when there is none of that name.
func Text(name string) string {
	b, err := files.ReadFile(name + ".txt")
	if err != nil {
		panic("lessons: " + err.Error())
	}
	return string(b)
}
