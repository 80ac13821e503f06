package main

import (
	"bytes"
	"encoding/binary"
	"encoding/xml"
	"image"
	"image/color"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

func TestTargetFor(t *testing.T) {
	all := []string{"gcc", "windres", "x86_64-w64-mingw32-gcc", "x86_64-w64-mingw32-windres"}
	for _, c := range []struct {
		host, system string
		without      string
		compiler     string
		file, says   string // says: not empty: it can not be built, and why
	}{
		{"linux", "linux", "", "", "reedwell-desktop", ""},
		{"linux", "linux", "gcc", "", "", "C compiler"},
		{"linux", "windows", "", "x86_64-w64-mingw32-gcc", "Reedwell.exe", ""},
		{"darwin", "windows", "", "x86_64-w64-mingw32-gcc", "Reedwell.exe", ""},
		{"linux", "windows", "x86_64-w64-mingw32-gcc", "", "", "gcc-mingw-w64"},
		{"windows", "windows", "", "", "Reedwell.exe", ""},
		{"windows", "windows", "gcc", "", "", "MinGW"},
		{"darwin", "darwin", "", "", "Reedwell.app", ""},
		{"linux", "darwin", "", "", "", "needs a Mac"},
		{"windows", "linux", "", "", "", "on Linux"},
		{"linux", "plan9", "", "", "", "want linux, windows or darwin"},
	} {
		got, err := targetFor(c.host, "arm64", c.system, func(p string) bool { return p != c.without && slices.Contains(all, p) })
		if c.says != "" {
			if err == nil || !strings.Contains(err.Error(), c.says) {
				t.Errorf("%s on %s without %q: %v, want %q", c.system, c.host, c.without, err, c.says)
			}
			continue
		}
		if err != nil || got.file != c.file || got.compiler != c.compiler || c.compiler != "" && got.arch != "amd64" {
			t.Errorf("%s on %s: %+v, %v; want %s with %q", c.system, c.host, got, err, c.file, c.compiler)
		}
	}
	var errs bytes.Buffer
	if got := run([]string{"desktop", "-os", "plan9"}, io.Discard, &errs); got != unusable || !strings.Contains(errs.String(), "plan9") {
		t.Errorf("status %d, %q", got, errs.String())
	}
}

// The icon file's directory is read as Microsoft's ICONDIR describes it.
func TestIco(t *testing.T) {
	from := image.NewNRGBA(image.Rect(0, 0, 64, 64))
	for i := range from.Pix {
		from.Pix[i] = 0xff
	}
	for x := range 32 {
		for y := range 64 {
			from.Set(x, y, color.NRGBA{0x5b, 0x3a, 0x22, 0xff})
		}
	}
	data, err := ico(from, iconSizes())
	if err != nil {
		t.Fatal(err)
	}
	var head struct{ Reserved, Type, Count uint16 }
	r := bytes.NewReader(data)
	if err := binary.Read(r, binary.LittleEndian, &head); err != nil || head.Reserved != 0 || head.Type != 1 || int(head.Count) != len(iconSizes()) {
		t.Fatalf("head %+v, %v", head, err)
	}
	for _, n := range iconSizes() {
		var e struct {
			Width, Height, Colors, Reserved byte
			Planes, Bits                    uint16
			Bytes, Offset                   uint32
		}
		if err := binary.Read(r, binary.LittleEndian, &e); err != nil {
			t.Fatal(err)
		}
		pic, err := png.Decode(bytes.NewReader(data[e.Offset : e.Offset+e.Bytes]))
		if err != nil || pic.Bounds().Dx() != n || int(e.Width) != n%256 || int(e.Height) != n%256 {
			t.Fatalf("size %d: entry %+v, %v", n, e, err)
		}
		if got := color.NRGBAModel.Convert(pic.At(n/8, n/2)); got != (color.NRGBA{0x5b, 0x3a, 0x22, 0xff}) {
			t.Errorf("size %d: the left is %v, want brown", n, got)
		}
	}
}

// A bundle has the program, and the reason without which macOS gives no microphone.
func TestBundle(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "Reedwell.app")
	program := filepath.Join(t.TempDir(), "program")
	if err := os.WriteFile(program, []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}
	for range 2 { // and again over the first
		if err := bundle(dir, program); err != nil {
			t.Fatal(err)
		}
	}
	info, err := os.Stat(filepath.Join(dir, "Contents", "MacOS", "reedwell-desktop"))
	if err != nil || info.Mode().Perm() != 0o755 {
		t.Errorf("the program is %v, %v; want one that can be run", info, err)
	}
	text, err := os.ReadFile(filepath.Join(dir, "Contents", "Info.plist"))
	if err != nil {
		t.Fatal(err)
	}
	var list struct {
		Dict struct {
			Keys    []string `xml:"key"`
			Strings []string `xml:"string"`
		} `xml:"dict"`
	}
	if err := xml.Unmarshal(text, &list); err != nil || !slices.Contains(list.Dict.Keys, "NSMicrophoneUsageDescription") || !slices.Contains(list.Dict.Strings, microphoneReason) ||
		!slices.Contains(list.Dict.Strings, "reedwell-desktop") {
		t.Errorf("Info.plist: %v, %+v", err, list)
	}
}
