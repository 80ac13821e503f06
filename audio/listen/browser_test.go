//go:build browser

package listen_test

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"reedwell/audio/audiotest"
)

// benchPage runs a Go test program as WebAssembly on the page's own thread, as the trainer's ear runs, and keeps what it prints.
const benchPage = `<!doctype html><script src="wasm_exec.js"></script><script>
	window.printed = "";
	console.log = (line) => { printed += line + "\n"; };
	const go = new Go();
	go.argv = ["listen.test", "-test.run=^$", "-test.bench=^BenchmarkEar$"];
	WebAssembly.instantiateStreaming(fetch("listen.wasm"), go.importObject)
		.then((program) => go.run(program.instance))
		.catch((e) => { printed += e; })
		.finally(() => { window.ended = true; });
</script>`

// BenchmarkEarInChromium is BenchmarkEar as WebAssembly in headless Chromium: how many seconds of sound the ear hears in one.
func BenchmarkEarInChromium(b *testing.B) {
	audiotest.Need(b, "chromium")
	printed := runInChromium(b)
	for line := range strings.Lines(printed) {
		words := strings.Fields(line)
		if len(words) < 6 || words[5] != "share-of-real-time" {
			continue
		}
		name := strings.TrimPrefix(words[0], "BenchmarkEar/")
		share, err := strconv.ParseFloat(words[4], 64)
		if err != nil || share <= 0 {
			b.Fatalf("it printed %q", line)
		}
		b.ReportMetric(1/share, name+"-times-real-time")
	}
	b.ReportMetric(0, "ns/op") // that of one whole run tells nothing
	if !strings.Contains(printed, "PASS") {
		b.Fatalf("it printed:\n%s", printed)
	}
}

func runInChromium(b *testing.B) (printed string) {
	b.Helper()
	dir := b.TempDir()
	build := exec.Command("go", "test", "-c", "-o", filepath.Join(dir, "listen.wasm"), ".")
	build.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	if out, err := build.CombinedOutput(); err != nil {
		b.Fatalf("%v: %v\n%s", build, err, out)
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		b.Fatal(err)
	}
	files := map[string]string{
		"/listen.wasm":  filepath.Join(dir, "listen.wasm"),
		"/wasm_exec.js": filepath.Join(strings.TrimSpace(string(root)), "lib/wasm/wasm_exec.js"),
	}
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch name, ok := files[r.URL.Path]; {
		case r.URL.Path == "/":
			fmt.Fprint(w, benchPage)
		case ok:
			http.ServeFile(w, r, name)
		default:
			http.NotFound(w, r)
		}
	}))
	defer server.Close()
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath("chromium"))
	if os.Getuid() == 0 {
		options = append(options, chromedp.NoSandbox)
	}
	ctx, cancel := chromedp.NewExecAllocator(context.Background(), options...)
	defer cancel()
	ctx, cancel = chromedp.NewContext(ctx)
	defer cancel()
	if _, err := chromedp.Run(ctx, chromedp.Navigate(server.URL)); err != nil {
		b.Fatal(err)
	}
	if _, err := chromedp.Run(ctx, chromedp.Poll[bool]("window.ended")); err != nil {
		b.Fatal(err)
	}
	printed, err = chromedp.Run(ctx, chromedp.Evaluate[string]("printed"))
	if err != nil {
		b.Fatal(err)
	}
	return printed
}
