package main

import (
	"bytes"
	"compress/gzip"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/andybalholm/brotli"
)

// gathered is the site of the real web folder with a program made up.
func gathered(t *testing.T) (site, string, []byte) {
	t.Helper()
	program := bytes.Repeat([]byte("\x00asm"), 5000)
	s, name, err := gather("../../web", program, []byte("// glue\n"))
	if err != nil {
		t.Fatal(err)
	}
	s[name] = compressed(program)
	if err := s.seal(); err != nil {
		t.Fatal(err)
	}
	return s, name, program
}

func TestServedFiles(t *testing.T) {
	s, program, data := gathered(t)
	for _, c := range []struct {
		path, accept     string
		encoding, kind   string
		keeps            string
		status, contains string
	}{
		{"/", "", "", "text/html; charset=utf-8", "no-cache", "200", program},
		{"/index.html", "gzip, deflate, br", "br", "text/html; charset=utf-8", "no-cache", "200", `data-bytes="20000"`},
		{"/page.js", "gzip", "gzip", "text/javascript; charset=utf-8", "no-cache", "200", "globalThis.page"},
		{"/page.js", "br;q=0, gzip;q=0.5", "gzip", "text/javascript; charset=utf-8", "no-cache", "200", "globalThis.page"},
		{"/duplex.js", "", "", "text/javascript; charset=utf-8", "max-age=86400", "200", "registerProcessor"},
		{"/" + program, "br", "br", "application/wasm", "public, max-age=31536000, immutable", "200", string(data)},
		{"/manifest.webmanifest", "identity", "", "application/manifest+json", "no-cache", "200", "standalone"},
		{"/lesson.html", "", "", "text/html; charset=utf-8", "no-cache", "200", "microphone"},
		{"/reedwell.wasm", "", "", "", "", "404", ""},
		{"/../go.mod", "", "", "", "", "404", ""},
	} {
		r := httptest.NewRequest("GET", "/", nil)
		r.URL.Path = c.path
		if c.accept != "" {
			r.Header.Set("Accept-Encoding", c.accept)
		}
		w := httptest.NewRecorder()
		s.ServeHTTP(w, r)
		h := w.Result().Header
		if got := strconv.Itoa(w.Code); got != c.status {
			t.Errorf("%s: status %s, want %s", c.path, got, c.status)
		}
		for name, want := range map[string]string{
			"Content-Security-Policy": policy, "X-Content-Type-Options": "nosniff",
			"Permissions-Policy": "microphone=(self), camera=(), geolocation=(), display-capture=()",
		} {
			if h.Get(name) != want {
				t.Errorf("%s: %s = %q, want %q", c.path, name, h.Get(name), want)
			}
		}
		if c.status != "200" {
			continue
		}
		for name, want := range map[string]string{"Content-Encoding": c.encoding, "Content-Type": c.kind, "Cache-Control": c.keeps, "Vary": "Accept-Encoding"} {
			if h.Get(name) != want {
				t.Errorf("%s for %q: %s = %q, want %q", c.path, c.accept, name, h.Get(name), want)
			}
		}
		var body io.Reader = w.Body
		switch c.encoding {
		case "br":
			body = brotli.NewReader(w.Body)
		case "gzip":
			z, err := gzip.NewReader(w.Body)
			if err != nil {
				t.Fatal(err)
			}
			body = z
		}
		text, err := io.ReadAll(body)
		if err != nil || !strings.Contains(string(text), c.contains) {
			t.Errorf("%s: %d bytes without %q, error %v", c.path, len(text), c.contains, err)
		}
	}
}

// What did not change is not sent again, and nothing can be written.
func TestServedOnce(t *testing.T) {
	s, _, _ := gathered(t)
	first := httptest.NewRecorder()
	s.ServeHTTP(first, httptest.NewRequest("GET", "/style.css", nil))
	again := httptest.NewRequest("GET", "/style.css", nil)
	again.Header.Set("If-None-Match", first.Header().Get("ETag"))
	w := httptest.NewRecorder()
	if s.ServeHTTP(w, again); w.Code != http.StatusNotModified || w.Body.Len() != 0 {
		t.Errorf("status %d with %d bytes, want 304 without", w.Code, w.Body.Len())
	}
	w = httptest.NewRecorder()
	if s.ServeHTTP(w, httptest.NewRequest("POST", "/", nil)); w.Code != http.StatusMethodNotAllowed {
		t.Errorf("POST: status %d, want 405", w.Code)
	}
	w = httptest.NewRecorder()
	if s.ServeHTTP(w, httptest.NewRequest("HEAD", "/", nil)); w.Code != 200 || w.Body.Len() != 0 || w.Header().Get("Content-Length") == "0" {
		t.Errorf("HEAD: status %d, %d bytes, length %s", w.Code, w.Body.Len(), w.Header().Get("Content-Length"))
	}
}

func TestPortTaken(t *testing.T) {
	held, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer held.Close()
	port := held.Addr().(*net.TCPAddr).Port
	var errs bytes.Buffer
	l, err := listenOn(port, &errs)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	if got := l.Addr().(*net.TCPAddr); got.Port == port || !got.IP.IsLoopback() {
		t.Errorf("listens on %v, want another port of the loopback than %d", got, port)
	}
	if !strings.Contains(errs.String(), strconv.Itoa(port)) {
		t.Errorf("said %q, want the port named", errs.String())
	}
}

// Without a command, flags are those of serve.
func TestServeIsMeant(t *testing.T) {
	for _, args := range [][]string{{"-port", "x"}, {"serve", "-port", "x"}, {"-open=false", "surplus"}} {
		var out, errs bytes.Buffer
		if status := run(args, &out, &errs); status != unusable || !strings.Contains(errs.String(), "serve") {
			t.Errorf("%v: status %d, said %q, want serve's refusal", args, status, errs.String())
		}
	}
}

func TestModuleRoot(t *testing.T) {
	here, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	if root, err := moduleRoot(here); err != nil || root != filepath.Dir(filepath.Dir(here)) {
		t.Errorf("root of %s = %q, %v", here, root, err)
	}
	if root, err := moduleRoot(t.TempDir()); err == nil || !strings.Contains(err.Error(), "clone") {
		t.Errorf("outside a clone: %q, %v, want an error that says so", root, err)
	}
}

// The page's names and those of the index agree: every file the index asks for is there.
func TestIndexAsksForWhatIsThere(t *testing.T) {
	s, _, _ := gathered(t)
	for _, page := range []string{"index.html", "lesson.html"} {
		for _, part := range strings.FieldsFunc(string(s[page].plain), func(r rune) bool { return strings.ContainsRune(" <>\n", r) }) {
			for _, kind := range []string{`src="`, `href="`, `data-program="`} {
				name, ok := strings.CutPrefix(part, kind)
				if !ok {
					continue
				}
				name, _, _ = strings.Cut(name, `"`)
				name, _, _ = strings.Cut(strings.TrimPrefix(name, "./"), "#")
				if _, there := s[name]; name != "" && !there {
					t.Errorf("%s asks for %q, which is not in the site", page, name)
				}
			}
		}
	}
}

// The compressed program is taken from the cache, and those of earlier programs go.
func TestSqueezedIsKept(t *testing.T) {
	cache := t.TempDir()
	var errs bytes.Buffer
	program := bytes.Repeat([]byte("program"), 1000)
	a, err := squeezed(cache, "reedwell.aaaaaaaaaaaaaaaa.wasm", program, &errs)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(errs.String(), "compressing") {
		t.Errorf("said %q, want what it does", errs.String())
	}
	errs.Reset()
	b, err := squeezed(cache, "reedwell.aaaaaaaaaaaaaaaa.wasm", program, &errs)
	if err != nil || !bytes.Equal(a.brotli, b.brotli) || !bytes.Equal(a.gzip, b.gzip) || errs.Len() != 0 {
		t.Errorf("the second time differs, error %v, said %q", err, errs.String())
	}
	if _, err := squeezed(cache, "reedwell.bbbbbbbbbbbbbbbb.wasm", program, &errs); err != nil {
		t.Fatal(err)
	}
	if left, _ := filepath.Glob(filepath.Join(cache, "*")); len(left) != 2 {
		t.Errorf("in the cache: %v, want the two of the newest program", left)
	}
}

// A folder for a static host holds the plain file and the compressed ones.
func TestWrittenFolder(t *testing.T) {
	s, program, data := gathered(t)
	dir := filepath.Join(t.TempDir(), "site")
	if err := s.write(dir); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"index.html", "index.html.br", "page.js.gz", "lesson.html", "wasm_exec.js", program + ".br", program + ".gz"} {
		if _, err := os.Stat(filepath.Join(dir, name)); err != nil {
			t.Error(err)
		}
	}
	if got, err := os.ReadFile(filepath.Join(dir, program)); err != nil || !bytes.Equal(got, data) {
		t.Errorf("%s: %d bytes, error %v; want the program", program, len(got), err)
	}
}

// The service worker keeps every file that the page asks for, and another content is another
// version.
func TestSealed(t *testing.T) {
	s, program, _ := gathered(t)
	text := string(s[worker].plain)
	for _, name := range []string{"index.html", "page.js", "duplex.js", "style.css", "wasm_exec.js", program} {
		if !strings.Contains(text, `"`+name+`"`) {
			t.Errorf("the service worker does not keep %s", name)
		}
	}
	if strings.Contains(text, `"`+worker+`"`) {
		t.Error("the service worker keeps itself and could never change")
	}
	version := func(s site) string {
		_, after, _ := strings.Cut(string(s[worker].plain), `VERSION = "`)
		v, _, _ := strings.Cut(after, `"`)
		return v
	}
	var versions []string
	for _, style := range []string{"a { color: red }", "a { color: red }", "a { color: blue }"} {
		other, err := styled(style)
		if err != nil {
			t.Fatal(err)
		}
		versions = append(versions, version(other))
	}
	if versions[0] != versions[1] || versions[0] == versions[2] || len(versions[0]) != 16 {
		t.Errorf("versions %q: want two the same and another one", versions)
	}
}

// styled is the site of the real web folder with another style sheet and without a program.
func styled(style string) (site, error) {
	s, _, err := gather("../../web", []byte("\x00asm"), []byte("// glue\n"))
	if err != nil {
		return nil, err
	}
	s["style.css"] = compressed([]byte(style))
	return s, s.seal()
}
