//go:build browser

package main

import (
	"strings"

	"github.com/chromedp/chromedp/kb"
)

// accessibleHarps has the screens of the player's harps checked, and gone through with the keyboard alone: one is added and named, its
// measuring begun, stopped and gone on with, and it is forgotten again.
func accessibleHarps(b tab, check func(name, id string)) {
	b.Helper()
	enter := func(id string) { // by Tab and Enter
		b.Helper()
		b.there(id)
		b.to(id)
		b.key(kb.Enter)
	}
	enter("harps")
	check("harps, none", "read-harps")
	enter("add")
	check("another harp", "add-measure")
	b.to("name")
	b.key(kb.End) // Tab has chosen all of it
	b.key("!")
	b.until("the name typed", `document.getElementById("item-name").value === "C harp!"`)
	enter("add-measure")
	check("before the pass", "begin")
	enter("begin")
	b.until("asked", `document.getElementById("item-ask")?.textContent === "Play 4 blow and hold it."`)
	check("the pass", "skip")
	b.shot("pass")
	b.reach("the pass")
	enter("skip")
	b.until("the next reed", `document.getElementById("item-ask")?.textContent === "Play 4 draw and hold it."`)
	enter("stop")
	check("harps, one", "measure")
	b.reach("harps, one")
	b.shot("harps")
	enter("measure")
	check("the pass, stopped", "anew")
	enter("begin")
	for range 19 {
		b.press("skip") // all of them: too few to be judged by
	}
	check("the report", "done")
	b.shot("reeds")
	if words := b.words("sum"); !strings.Contains(words, "Too few reeds") {
		b.Errorf("the report of no reeds says %q", words)
	}
	enter("done")
	enter("rename")
	check("a new name", "rename-now")
	enter("rename-not")
	enter("forget")
	check("to be forgotten", "really-forget")
	enter("really-forget")
	enter("back")
	b.there("next")
}
