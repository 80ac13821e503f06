package main

import (
	"context"
	"crypto/sha256"
	"errors"
	"flag"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"os/signal"
	"path"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
)

// policy lets the page load its own files and nothing else, run WebAssembly and evaluate
// no text; any page may show it in a frame.
const policy = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; connect-src 'self'; style-src 'self'; " +
	"img-src 'self' data: blob:; worker-src 'self'; manifest-src 'self'; frame-src 'self'; base-uri 'none'; " +
	"form-action 'none'; object-src 'none'; frame-ancestors *"

// kinds are the files a site has, by their endings, and their media types (IANA).
var kinds = map[string]string{
	".html":        "text/html; charset=utf-8",
	".css":         "text/css; charset=utf-8",
	".js":          "text/javascript; charset=utf-8",
	".svg":         "image/svg+xml",
	".png":         "image/png",
	".webmanifest": "application/manifest+json",
	".wasm":        "application/wasm",
}

// serve builds the page and serves it until it is interrupted.
func serve(args []string, out, errs io.Writer) (int, error) {
	flags := flag.NewFlagSet("serve", flag.ContinueOnError)
	flags.SetOutput(errs)
	port := flags.Int("port", 8137, "port on this computer; another is taken where this one is not free")
	open := flags.Bool("open", true, "open the page in a browser")
	dir := flags.String("dir", "", "write the page into this folder, for any web host, and end")
	if _, err := parse(flags, args); err != nil {
		return unusable, err
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	return done, serveUntil(ctx, *port, *open, *dir, out, errs)
}

func serveUntil(ctx context.Context, port int, open bool, dir string, out, errs io.Writer) error {
	_, s, err := builtHere(dir != "", errs)
	if err != nil {
		return err
	}
	if dir != "" {
		if err := s.write(dir); err != nil {
			return err
		}
		fmt.Fprintln(out, "The page is in", dir)
		return nil
	}
	l, err := listenOn(port, errs)
	if err != nil {
		return err
	}
	address := "http://" + l.Addr().String() + "/"
	fmt.Fprintf(out, "Reedwell is at %s\nPress Ctrl-C to end it.\n", address)
	if open {
		openBrowser(address, errs)
	}
	server := &http.Server{Handler: s}
	go func() {
		<-ctx.Done()
		server.Close()
	}()
	if err := server.Serve(l); !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}

// builtHere is the site built from the clone that this folder lies in, for a host or for this computer, and that clone's root.
func builtHere(host bool, errs io.Writer) (root string, s site, err error) {
	here, err := os.Getwd()
	if err != nil {
		return "", nil, err
	}
	if root, err = moduleRoot(here); err != nil {
		return "", nil, err
	}
	cache, err := os.UserCacheDir()
	if err != nil { // no home: a machine that builds
		cache = os.TempDir()
	}
	s, err = buildSite(root, filepath.Join(cache, "reedwell"), host, errs)
	return root, s, err
}

// listenOn takes the port on the loopback, or any free one.
func listenOn(port int, errs io.Writer) (net.Listener, error) {
	l, err := net.Listen("tcp", net.JoinHostPort("127.0.0.1", strconv.Itoa(port)))
	if err != nil {
		fmt.Fprintf(errs, "reedwell serve: port %d can not be had (%v); taking another\n", port, err)
		return net.Listen("tcp", "127.0.0.1:0")
	}
	return l, nil
}

// openBrowser shows the page where there is a desktop.
func openBrowser(address string, errs io.Writer) {
	var c *exec.Cmd
	switch runtime.GOOS {
	case "darwin":
		c = exec.Command("open", address)
	case "windows":
		c = exec.Command("rundll32", "url.dll,FileProtocolHandler", address)
	default:
		if os.Getenv("DISPLAY") == "" && os.Getenv("WAYLAND_DISPLAY") == "" {
			return
		}
		c = exec.Command("xdg-open", address)
	}
	if err := c.Start(); err != nil {
		fmt.Fprintln(errs, "reedwell serve: no browser could be opened; open the address yourself")
		return
	}
	go c.Wait()
}

// ServeHTTP answers from memory: what is not in the site is not there.
func (s site) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	h.Set("Content-Security-Policy", policy)
	h.Set("Permissions-Policy", "microphone=(self), camera=(), geolocation=(), display-capture=()")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		h.Set("Allow", "GET, HEAD")
		http.Error(w, "only GET and HEAD", http.StatusMethodNotAllowed)
		return
	}
	name := strings.TrimPrefix(r.URL.Path, "/")
	if name == "" {
		name = "index.html"
	}
	c, ok := s[name]
	if !ok {
		http.NotFound(w, r)
		return
	}
	data := c.plain
	switch {
	case c.brotli != nil && accepts(r, "br"):
		data = c.brotli
		h.Set("Content-Encoding", "br")
	case c.gzip != nil && accepts(r, "gzip"):
		data = c.gzip
		h.Set("Content-Encoding", "gzip")
	}
	h.Set("Content-Type", kinds[path.Ext(name)])
	h.Set("Vary", "Accept-Encoding")
	switch {
	case path.Ext(name) == ".wasm": // its name has its hash
		h.Set("Cache-Control", "public, max-age=31536000, immutable")
	case name == "duplex.js": // the page asks anew when it is loaded, and needs it for as long as it is open
		h.Set("Cache-Control", "max-age=86400")
	default:
		h.Set("Cache-Control", "no-cache")
	}
	tag := fmt.Sprintf(`"%x"`, sha256.Sum256(data))
	h.Set("ETag", tag)
	if strings.Contains(r.Header.Get("If-None-Match"), tag) {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	h.Set("Content-Length", strconv.Itoa(len(data)))
	if r.Method == http.MethodGet {
		w.Write(data)
	}
}

// accepts reads Accept-Encoding (RFC 9110, 12.5.3); an encoding with weight 0 is refused.
func accepts(r *http.Request, encoding string) bool {
	for _, part := range strings.Split(strings.Join(r.Header.Values("Accept-Encoding"), ","), ",") {
		name, weight, _ := strings.Cut(part, ";")
		if !strings.EqualFold(strings.TrimSpace(name), encoding) {
			continue
		}
		q, weighted := strings.CutPrefix(strings.TrimSpace(weight), "q=")
		value, err := strconv.ParseFloat(q, 64)
		return !weighted || err == nil && value > 0
	}
	return false
}
