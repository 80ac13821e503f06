//go:build browser

package main

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"reedwell/audio/audiotest"
)

// axeSource is the accessibility checker axe-core, MPL-2.0, in the version web/package.json
// pins. npm fetches it once and checks it against the lock file; it stays in the user's
// cache and is no part of the page.
func axeSource(t *testing.T) string {
	t.Helper()
	audiotest.Need(t, "npm")
	cache, err := os.UserCacheDir()
	if err != nil {
		cache = os.TempDir()
	}
	lock, err := os.ReadFile("../../web/package-lock.json")
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(cache, "reedwell", fmt.Sprintf("npm-%.8x", sha256.Sum256(lock)))
	file := filepath.Join(dir, "node_modules", "axe-core", "axe.min.js")
	if data, err := os.ReadFile(file); err == nil {
		return string(data)
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"package.json", "package-lock.json"} {
		data, err := os.ReadFile("../../web/" + name)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	c := exec.Command("npm", "ci", "--ignore-scripts", "--no-audit", "--no-fund")
	c.Dir = dir
	if out, err := c.CombinedOutput(); err != nil {
		text := fmt.Sprintf("axe-core could not be installed; the first time it takes a network: npm ci: %v\n%s", err, out)
		if os.Getenv("CI") != "" || os.Getenv("REEDWELL_ALL") != "" {
			t.Fatal(text)
		}
		t.Skip(text)
	}
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// axe looks for what the checker can find wrong with the page as it is, by all its rules: those
// of WCAG 2.2 A and AA and its own best practice.
func (b tab) axe(source, name string) {
	b.Helper()
	// The last line is the value; the source's own would be large.
	run1(b, chromedp.Evaluate[bool](source+"\n;true"))
	answer := run1(b, chromedp.Evaluate[string](`axe.run(document, {resultTypes: ["violations"], iframes: false}).then((r) => JSON.stringify({
		rules: r.passes.length, violations: r.violations.map((v) => v.id + " [" + v.impact + "] " + v.nodes.map((n) => n.target + " " + n.failureSummary).join("; "))}))`,
		chromedp.EvalAwaitPromise))
	var got struct {
		Rules      int
		Violations []string
	}
	if err := json.Unmarshal([]byte(answer), &got); err != nil {
		b.Fatal(err)
	}
	if got.Rules < 10 {
		b.Errorf("%s: axe-core passed %d rules, want ten at least, or it saw no page", name, got.Rules)
	}
	for _, v := range got.Violations {
		b.Errorf("%s: axe-core: %s", name, v)
	}
}

// accessible has each screen checked, in both looks and where the controls show themselves.
func accessible(t *testing.T, address string) {
	source := axeSource(t)
	b := browse(t, address, silence(t))
	run1(b, laptop())
	check := func(name, id string) {
		t.Helper()
		b.there(id)
		b.axe(source, name)
	}
	check("welcome", "start")
	b.press("start")
	check("harp", "mic")
	b.press("mic")
	check("sound", "go-on")
	b.press("go-on")
	check("calibrate", "skip")
	b.press("skip")
	check("path", "next")
	accessibleHarps(b, check)
	b.press("settings")
	check("settings", "import")
	b.press("paper-dark")
	b.until("dark", `document.documentElement.hasAttribute("data-dark")`)
	check("settings, dark", "import")
	b.shot("dark")
	b.press("large")
	b.until("large text laid out", `document.documentElement.style.fontSize === "125%"`)
	check("settings, dark and large", "import")
	b.press("back")
	b.press("families")
	check("families", "family-turnaround")
	b.press("family-turnaround")
	b.until("the turnarounds", `document.getElementById("item-next")?.textContent.includes("Walk home")`)
	b.shot("path-dark-large")
	b.press("next")
	check("drill", "play")
	b.shot("drill-dark-large")
	b.press("play")
	b.until("playing", `document.getElementById("item-count")?.textContent === "Play."`)
	check("take", "stop")
	b.shot("take-dark-large")
	b.until("over", `document.getElementById("item-again")`)
	check("result", "again")
	b.shot("result-dark-large")
	ask[bool](b, `(document.querySelector("canvas").getContext("webgl2").getExtension("WEBGL_lose_context").loseContext(), true)`)
	b.until("said", `!document.getElementById("notice").hidden`)
	check("result without the picture", "again")
	run1(b, chromedp.Navigate(address+"lesson.html"))
	b.until("the lesson", `document.querySelector("iframe") !== null`)
	b.axe(source, "lesson")

	b = start(t, nil)
	b.before("delete window.AudioWorkletNode")
	run1(b, chromedp.Navigate(address))
	b.until("said", `document.getElementById("cover-text").textContent.includes("AudioWorklet")`)
	b.axe(source, "the page that can not run")
}

// TestNoRegistryIsNamed keeps the lock file free of where packages came from: npm asks the one
// it is set up for.
func TestNoRegistryIsNamed(t *testing.T) {
	lock, err := os.ReadFile("../../web/package-lock.json")
	if err != nil {
		t.Fatal(err)
	}
	if text := string(lock); strings.Contains(text, "resolved") || !strings.Contains(text, `"integrity": "sha512-`) {
		t.Error("web/package-lock.json names a host or lacks a checksum; write it with npm install --omit-lockfile-registry-resolved")
	}
}
