//go:build !js

package audiotest

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"

	"github.com/go-audio/audio"
	"github.com/go-audio/wav"
)

// Rate of the rendered samples in Hz.
const Rate = 48000

// A Font is a General MIDI sound font.
type Font struct {
	Name, File string
	pkg        string
}

// Fonts are the sound fonts Debian packages that hold a harmonica.
func Fonts() []Font {
	return []Font{
		{"FluidR3", "/usr/share/sounds/sf2/FluidR3_GM.sf2", "fluid-soundfont-gm"},
		{"TimGM6mb", "/usr/share/sounds/sf2/TimGM6mb.sf2", "timgm6mb-soundfont"},
	}
}

// packages that hold a program, where the names differ.
func debianPackage(program string) string {
	switch program {
	case "aubio", "aubiopitch", "aubioonset", "aubionotes":
		return "aubio-tools"
	case "pactl", "paplay":
		return "pulseaudio-utils"
	case "WebKitWebDriver":
		return "webkit2gtk-driver"
	case "xvfb-run":
		return "xvfb xauth"
	case "pdftotext", "pdftoppm":
		return "poppler-utils"
	case "zbarimg":
		return "zbar-tools"
	case "rsvg-convert":
		return "librsvg2-bin"
	}
	return program
}

// Need skips the test when a program is missing and says what to install; with CI or
// REEDWELL_ALL set in the environment it fails instead.
func Need(t testing.TB, programs ...string) {
	t.Helper()
	for _, p := range programs {
		if _, err := exec.LookPath(p); err != nil {
			missing(t, p, debianPackage(p))
		}
	}
}

// NeedFonts is Need for the sound fonts and what plays them.
func NeedFonts(t testing.TB) {
	t.Helper()
	Need(t, "fluidsynth")
	for _, f := range Fonts() {
		if _, err := os.Stat(f.File); err != nil {
			missing(t, f.File, f.pkg)
		}
	}
}

func missing(t testing.TB, what, pkg string) {
	t.Helper()
	text := fmt.Sprintf("%s is missing; install it with: apt-get install %s", what, pkg)
	if os.Getenv("CI") != "" || os.Getenv("REEDWELL_ALL") != "" {
		t.Fatal(text)
	}
	t.Skip(text)
}

// cache holds what was rendered and measured in this test process: the one state this
// package keeps, since a render takes a second and every test of a package may ask for
// the same one.
type cache struct {
	sync.Mutex
	sounds  map[[32]byte][]float32
	offsets map[string]float64
}

var rendered = cache{sounds: map[[32]byte][]float32{}, offsets: map[string]float64{}}

// Play renders notes with the font's harmonica, dry, mono at Rate, until about
// half a second after the last note off. The result is shared: copy it before changing it.
func Play(t testing.TB, font Font, notes []Played) []float32 {
	t.Helper()
	Need(t, "fluidsynth")
	if _, err := os.Stat(font.File); err != nil {
		missing(t, font.File, font.pkg)
	}
	key := sha256.Sum256(append([]byte(font.File), smf(notes)...))
	rendered.Lock()
	defer rendered.Unlock()
	if x, ok := rendered.sounds[key]; ok {
		return x
	}
	x, err := Render(font, notes)
	if err != nil {
		t.Fatal(err)
	}
	rendered.sounds[key] = x
	return x
}

// Render is Play outside a test: it keeps nothing, and an error says what failed.
func Render(font Font, notes []Played) ([]float32, error) {
	dir, err := os.MkdirTemp("", "audiotest")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	in, out := filepath.Join(dir, "in.mid"), filepath.Join(dir, "out.wav")
	if err := os.WriteFile(in, smf(notes), 0o666); err != nil {
		return nil, err
	}
	cmd := exec.Command("fluidsynth", "-ni", "-q", "-R", "0", "-C", "0", "-g", "0.6", "-o", "synth.dynamic-sample-loading=1", "-z", "8192", "-r", fmt.Sprint(Rate),
		"-T", "wav", "-O", "s16", "-F", out, font.File, in)
	if text, err := cmd.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("%v: %w\n%s", cmd, err, text)
	}
	x, rate, err := ReadWAV(out)
	if err != nil {
		return nil, err
	}
	if rate != Rate {
		return nil, fmt.Errorf("fluidsynth wrote %d Hz, want %d", rate, Rate)
	}
	return x, nil
}

// ReadWAV reads a file with a library that is not ours and mixes it to mono.
func ReadWAV(name string) (samples []float32, rate int, err error) {
	data, err := os.ReadFile(name)
	if err != nil {
		return nil, 0, err
	}
	d := wav.NewDecoder(bytes.NewReader(data))
	if err := d.FwdToPCM(); err != nil {
		return nil, 0, fmt.Errorf("%s: %w", name, err)
	}
	// All at once: FullPCMBuffer grows its buffer by 4096 samples at a time, which was an eighth of the time of levels/clip.
	b := &audio.IntBuffer{Data: make([]int, d.PCMLen()/int64((d.BitDepth+7)/8))}
	n, err := d.PCMBuffer(b)
	if err != nil {
		return nil, 0, fmt.Errorf("%s: %w", name, err)
	}
	b.Data = b.Data[:n]
	c := b.Format.NumChannels
	scale := math.Exp2(float64(-(int(d.BitDepth) - 1))) / float64(c)
	samples = make([]float32, len(b.Data)/c)
	for i := range samples {
		s := 0
		for _, v := range b.Data[i*c : (i+1)*c] {
			s += v
		}
		samples[i] = float32(float64(s) * scale)
	}
	return samples, b.Format.SampleRate, nil
}

// Lowest and Highest key that Held renders: low C to high G of a ten-hole harp.
const (
	Lowest  = 48
	Highest = 100
	// HeldAt and HeldFor are note-on and length in seconds of a Held note.
	HeldAt, HeldFor = 0.1, 1.0
	heldEvery       = 1.5
)

// Held is one key struck at HeldAt and held for HeldFor, 1.5 s in all. All keys come from
// one render, so asking for many costs little.
func Held(t testing.TB, font Font, key int) []float32 {
	t.Helper()
	if key < Lowest || key > Highest {
		panic(fmt.Sprintf("audiotest: key %d is outside %d to %d", key, Lowest, Highest))
	}
	var notes []Played
	for k := Lowest; k <= Highest; k++ {
		at := float64(k-Lowest)*heldEvery + HeldAt
		notes = append(notes, Played{Start: at, End: at + HeldFor, Key: k})
	}
	x := Play(t, font, notes)
	from := int(float64(key-Lowest) * heldEvery * Rate)
	return x[from : from+int(heldEvery*Rate)]
}

// Offset is how many cents the font's harmonica sounds over equal temperament at a
// key, measured by Period over the later part of a Held note. It fails the test when
// the font has no sound there or one that is more than 60 cents off.
func Offset(t testing.TB, font Font, key int) float64 {
	t.Helper()
	id := fmt.Sprint(font.Name, key)
	rendered.Lock()
	v, ok := rendered.offsets[id]
	rendered.Unlock()
	if ok {
		return v
	}
	x := Held(t, font, key)
	want := Hz(float64(key))
	hz := Period(x[Rate*4/10:Rate*105/100], Rate, want)
	cents := 1200 * math.Log2(hz/want)
	if !(math.Abs(cents) < 60) {
		t.Fatalf("%s, key %d: measured %.2f Hz, want about %.2f", font.Name, key, hz, want)
	}
	rendered.Lock()
	rendered.offsets[id] = cents
	rendered.Unlock()
	return cents
}
