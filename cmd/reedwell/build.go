package main

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/andybalholm/brotli"
)

// A site is the page as it goes over the wire: files by their path, with / between the names.
type site map[string]content

// A content is a file and what it comes to compressed; nil where that gains nothing.
type content struct{ plain, gzip, brotli []byte }

// brotliLevel: 9 takes a quarter of the time, about half a minute less on two cores, but makes the program 13 %
// larger, and the page would not keep to the 4 MB of the design.
const brotliLevel = 11

// moduleRoot is the folder of the clone that dir lies in.
func moduleRoot(dir string) (string, error) {
	for at := dir; ; {
		mod, err := os.ReadFile(filepath.Join(at, "go.mod"))
		if err == nil && strings.HasPrefix(string(mod), "module reedwell\n") {
			return at, nil
		}
		up := filepath.Dir(at)
		if up == at {
			return "", fmt.Errorf("the page is built from the source, and %s is not inside a clone of it: change to the clone and run it there", dir)
		}
		at = up
	}
}

// buildSite compiles the page's program in root and gathers its files. For a host it compresses the program
// too, which takes half a minute or more and gains nothing on this computer, and keeps that in cache, by its hash, for
// the next time. It tells errs how far it is.
func buildSite(root, cache string, host bool, errs io.Writer) (site, error) {
	if err := os.MkdirAll(cache, 0o777); err != nil {
		return nil, err
	}
	fmt.Fprint(errs, "reedwell: compiling the page's program; the first time takes a minute or two ")
	program, err := compile(root, cache, errs)
	fmt.Fprintln(errs)
	if err != nil {
		return nil, err
	}
	goroot, err := goCommand(root, "env", "GOROOT")
	if err != nil {
		return nil, err
	}
	// The glue between the program and the browser belongs to the compiler's version.
	glue, err := os.ReadFile(filepath.Join(strings.TrimSpace(goroot), "lib", "wasm", "wasm_exec.js"))
	if err != nil {
		return nil, fmt.Errorf("this Go installation lacks a part: %w", err)
	}
	s, name, err := gather(filepath.Join(root, "web"), program, glue)
	if err != nil {
		return nil, err
	}
	s[name] = content{plain: program}
	if host {
		if s[name], err = squeezed(cache, name, program, errs); err != nil {
			return nil, err
		}
	}
	return s, s.seal()
}

func compile(root, cache string, errs io.Writer) ([]byte, error) {
	dir, err := os.MkdirTemp(cache, "build")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	out := filepath.Join(dir, "reedwell.wasm")
	stop := dots(errs)
	defer stop()
	// Without the state of the clone in it the program is the same wherever it is built, and compressed once.
	if _, err := goCommand(root, "build", "-trimpath", "-buildvcs=false", "-ldflags=-s -w", "-o", out, "./cmd/reedwell-web"); err != nil {
		return nil, err
	}
	return os.ReadFile(out)
}

// goCommand runs the Go tool for js/wasm in a folder and returns what it prints.
func goCommand(dir string, args ...string) (string, error) {
	c := exec.Command("go", args...)
	c.Dir = dir
	c.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "GOFLAGS=", "PWD="+dir)
	var problems strings.Builder
	c.Stderr = &problems
	out, err := c.Output()
	if errors.Is(err, exec.ErrNotFound) {
		return "", errors.New("the page is compiled when it is served, and there is no go command in the PATH: install Go, or serve a folder that was written with -dir")
	}
	if err != nil {
		return "", fmt.Errorf("go %s: %w\n%s", args[0], err, problems.String())
	}
	return string(out), nil
}

// dots shows that something goes on, a dot a second, until it is stopped.
func dots(w io.Writer) (stop func()) {
	quit, over := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(over)
		tick := time.NewTicker(time.Second)
		defer tick.Stop()
		for {
			select {
			case <-tick.C:
				fmt.Fprint(w, ".")
			case <-quit:
				return
			}
		}
	}()
	return func() { close(quit); <-over }
}

// gather reads the files of web, adds the glue and gives the program a name with its hash,
// so that a browser keeps it for as long as it stays the same. The program itself is not
// in the site yet.
func gather(web string, program, glue []byte) (s site, name string, err error) {
	entries, err := os.ReadDir(web)
	if err != nil {
		return nil, "", err
	}
	name = fmt.Sprintf("reedwell.%.8x.wasm", sha256.Sum256(program))
	s = site{"wasm_exec.js": compressed(glue)}
	for _, e := range entries {
		if e.IsDir() || kinds[filepath.Ext(e.Name())] == "" {
			continue
		}
		data, err := os.ReadFile(filepath.Join(web, e.Name()))
		if err != nil {
			return nil, "", err
		}
		if e.Name() == "index.html" {
			const asked = `data-program="reedwell.wasm" data-bytes="0"`
			if !bytes.Contains(data, []byte(asked)) {
				return nil, "", fmt.Errorf("web/index.html does not contain %s, where the program is named", asked)
			}
			data = bytes.Replace(data, []byte(asked), fmt.Appendf(nil, `data-program="%s" data-bytes="%d"`, name, len(program)), 1)
		}
		s[e.Name()] = compressed(data)
	}
	return s, name, nil
}

// worker is the service worker's file.
const worker = "offline.js"

// seal tells the service worker which files make up this version of the site: all but itself
// and the picture in the README.
func (s site) seal() error {
	var names []string
	hash := sha256.New()
	for _, name := range slices.Sorted(maps.Keys(s)) {
		if name == worker || path.Base(name) == "picture.png" {
			continue
		}
		names = append(names, name)
		fmt.Fprintf(hash, "%s %x\n", name, sha256.Sum256(s[name].plain))
	}
	list, err := json.Marshal(names)
	if err != nil {
		return err
	}
	text := string(s[worker].plain)
	for unbuilt, built := range map[string]string{
		`const VERSION = "unbuilt";`: fmt.Sprintf(`const VERSION = "%.8x";`, hash.Sum(nil)),
		`const FILES = [];`:          `const FILES = ` + string(list) + `;`,
	} {
		if !strings.Contains(text, unbuilt) {
			return fmt.Errorf("web/%s does not contain %s, where the build names the files", worker, unbuilt)
		}
		text = strings.Replace(text, unbuilt, built, 1)
	}
	s[worker] = compressed([]byte(text))
	return nil
}

func compressed(data []byte) content {
	c := content{plain: data}
	var z, b bytes.Buffer
	zw, _ := gzip.NewWriterLevel(&z, gzip.BestCompression) // fails only for another level
	zw.Write(data)
	zw.Close()
	bw := brotli.NewWriterLevel(&b, brotliLevel)
	bw.Write(data)
	bw.Close()
	if z.Len() < len(data) {
		c.gzip = z.Bytes()
	}
	if b.Len() < len(data) {
		c.brotli = b.Bytes()
	}
	return c
}

// squeezed is the compressed program, from the cache where it is there already.
func squeezed(cache, name string, program []byte, errs io.Writer) (content, error) {
	z, zErr := os.ReadFile(filepath.Join(cache, name+".gz"))
	b, bErr := os.ReadFile(filepath.Join(cache, name+".br"))
	if zErr == nil && bErr == nil {
		return content{program, z, b}, nil
	}
	fmt.Fprint(errs, "reedwell: compressing it ")
	stop := dots(errs)
	c := compressed(program)
	stop()
	fmt.Fprintln(errs)
	old, err := filepath.Glob(filepath.Join(cache, "reedwell.*.wasm.*"))
	if err != nil {
		return content{}, err
	}
	for _, f := range old {
		os.Remove(f) // of an earlier program; if it stays it only takes room
	}
	for ending, data := range map[string][]byte{".gz": c.gzip, ".br": c.brotli} {
		if err := writeWhole(filepath.Join(cache, name+ending), data); err != nil {
			return content{}, err
		}
	}
	return c, nil
}

// writeWhole leaves either the old file or the whole new one.
func writeWhole(path string, data []byte) error {
	f, err := os.CreateTemp(filepath.Dir(path), "writing")
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	if err2 := f.Close(); err == nil {
		err = err2
	}
	if err == nil {
		err = os.Chmod(f.Name(), 0o644)
	}
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		os.Remove(f.Name())
	}
	return err
}

// write puts the site into a folder for any static host, the compressed forms beside the
// plain ones for hosts that know what to do with them.
func (s site) write(dir string) error {
	for name, c := range s {
		if err := os.MkdirAll(filepath.Dir(filepath.Join(dir, name)), 0o777); err != nil {
			return err
		}
		for ending, data := range map[string][]byte{"": c.plain, ".gz": c.gzip, ".br": c.brotli} {
			if data == nil {
				continue
			}
			if err := writeWhole(filepath.Join(dir, name+ending), data); err != nil {
				return err
			}
		}
	}
	return nil
}
