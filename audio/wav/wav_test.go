package wav

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"runtime"
	"strings"
	"testing"

	"github.com/go-audio/audio"
	gowav "github.com/go-audio/wav"
)

// fmtChunk is a fmt payload as the specification lays it out.
func fmtChunk(tag, channels, rate, bits int) []byte {
	le := binary.LittleEndian
	bytes := (bits + 7) / 8
	var b []byte
	b = le.AppendUint16(b, uint16(tag))
	b = le.AppendUint16(b, uint16(channels))
	b = le.AppendUint32(b, uint32(rate))
	b = le.AppendUint32(b, uint32(rate*channels*bytes))
	b = le.AppendUint16(b, uint16(channels*bytes))
	return le.AppendUint16(b, uint16(bits))
}

// extensible is the 40-byte form: cbSize 22, valid bits, speakers, GUID.
func extensible(sub, channels, rate, bits, valid int) []byte {
	le := binary.LittleEndian
	b := fmtChunk(0xFFFE, channels, rate, bits)
	b = le.AppendUint16(b, 22)
	b = le.AppendUint16(b, uint16(valid))
	b = le.AppendUint32(b, 0)
	b = le.AppendUint16(b, uint16(sub))
	// KSDATAFORMAT_SUBTYPE_PCM is 00000001-0000-0010-8000-00AA00389B71 (Microsoft 2001).
	return append(b, 0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xAA, 0, 0x38, 0x9B, 0x71)
}

func chunk(id string, payload []byte) []byte {
	b := append([]byte(id), binary.LittleEndian.AppendUint32(nil, uint32(len(payload)))...)
	b = append(b, payload...)
	if len(payload)%2 == 1 {
		b = append(b, 0)
	}
	return b
}

func riff(chunks ...[]byte) []byte {
	body := append([]byte("WAVE"), bytes.Join(chunks, nil)...)
	return append(append([]byte("RIFF"), binary.LittleEndian.AppendUint32(nil, uint32(len(body)))...), body...)
}

// sized replaces the size of a chunk made by chunk.
func sized(c []byte, size uint32) []byte {
	c = bytes.Clone(c)
	binary.LittleEndian.PutUint32(c[4:], size)
	return c
}

func f32(v ...float32) []byte {
	var b []byte
	for _, x := range v {
		b = binary.LittleEndian.AppendUint32(b, math.Float32bits(x))
	}
	return b
}

func f64(v ...float64) []byte {
	var b []byte
	for _, x := range v {
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(x))
	}
	return b
}

func TestReadKinds(t *testing.T) {
	pcm16 := chunk("fmt ", fmtChunk(1, 1, 48000, 16))
	half := []byte{0x00, 0x40, 0x00, 0xC0} // +0.5 -0.5
	list := chunk("LIST", []byte("INFOIART\x03\x00\x00\x00me\x00\x00"))
	for _, test := range []struct {
		name     string
		file     []byte
		want     []float32
		rate     int
		channels int
		missing  int64
	}{
		{"8 bit is unsigned", riff(chunk("fmt ", fmtChunk(1, 1, 8000, 8)), chunk("data", []byte{0, 64, 128, 192})), []float32{-1, -0.5, 0, 0.5}, 8000, 1, 0},
		{"8 bit, odd length padded, then a chunk", riff(chunk("fmt ", fmtChunk(1, 1, 8000, 8)), chunk("data", []byte{0, 64, 128}), list), []float32{-1, -0.5, 0}, 8000, 1, 0},
		{"16 bit", riff(pcm16, chunk("data", half)), []float32{0.5, -0.5}, 48000, 1, 0},
		{"16 bit limits", riff(pcm16, chunk("data", []byte{0, 0x80, 0xFF, 0x7F})), []float32{-1, 32767.0 / 32768}, 48000, 1, 0},
		{"12 bits in 16, left-justified", riff(chunk("fmt ", fmtChunk(1, 1, 48000, 12)), chunk("data", half)), []float32{0.5, -0.5}, 48000, 1, 0},
		{"24 bit", riff(chunk("fmt ", fmtChunk(1, 1, 96000, 24)), chunk("data", []byte{0, 0, 0x40, 0, 0, 0xC0})), []float32{0.5, -0.5}, 96000, 1, 0},
		{"32 bit", riff(chunk("fmt ", fmtChunk(1, 1, 192000, 32)), chunk("data", []byte{0, 0, 0, 0x40, 0, 0, 0, 0xC0})), []float32{0.5, -0.5}, 192000, 1, 0},
		{"float", riff(chunk("fmt ", fmtChunk(3, 1, 44100, 32)), chunk("data", f32(0.25, -1.5))), []float32{0.25, -1.5}, 44100, 1, 0},
		{"float 64", riff(chunk("fmt ", fmtChunk(3, 1, 44100, 64)), chunk("data", f64(0.25, -1.5))), []float32{0.25, -1.5}, 44100, 1, 0},
		{"extensible PCM 24 in 32", riff(chunk("fmt ", extensible(1, 1, 48000, 32, 24)), chunk("data", []byte{0, 0, 0, 0x40})), []float32{0.5}, 48000, 1, 0},
		{"extensible float stereo", riff(chunk("fmt ", extensible(3, 2, 48000, 32, 32)), chunk("data", f32(0.5, 0, 1, -1))), []float32{0.25, 0}, 48000, 2, 0},
		{"stereo is the mean", riff(chunk("fmt ", fmtChunk(1, 2, 22050, 16)), chunk("data", append(bytes.Clone(half), 0, 0x40, 0, 0x40))), []float32{0, 0.5}, 22050, 2, 0},
		{"chunks before", riff(list, chunk("JUNK", make([]byte, 27)), pcm16, chunk("fact", []byte{2, 0, 0, 0}), chunk("data", half)), []float32{0.5, -0.5}, 48000, 1, 0},
		{"long format chunk", riff(chunk("fmt ", append(fmtChunk(1, 1, 48000, 16), make([]byte, 50)...)), chunk("data", half)), []float32{0.5, -0.5}, 48000, 1, 0},
		{"streamed, size all ones", riff(pcm16, sized(chunk("data", half), 0xFFFFFFFF)), []float32{0.5, -0.5}, 48000, 1, 0},
		{"streamed, size 0", riff(pcm16, sized(chunk("data", half), 0)), []float32{0.5, -0.5}, 48000, 1, 0},
		{"empty, at the end", riff(pcm16, chunk("data", nil)), nil, 48000, 1, 0},
		{"empty, chunk after", riff(pcm16, chunk("data", nil), list), nil, 48000, 1, 0},
		{"cut off", riff(pcm16, sized(chunk("data", half), 1000)), []float32{0.5, -0.5}, 48000, 1, 996},
		{"cut off inside a frame", riff(pcm16, sized(chunk("data", half), 1000))[:47], []float32{0.5}, 48000, 1, 997},
		{"bytes after the last frame", riff(pcm16, chunk("data", append(bytes.Clone(half), 7))), []float32{0.5, -0.5}, 48000, 1, 0},
	} {
		got, err := Read(bytes.NewReader(test.file))
		if err != nil {
			t.Errorf("%s: %v", test.name, err)
			continue
		}
		if len(got.Samples) != len(test.want) {
			t.Errorf("%s: %d samples, want %d", test.name, len(got.Samples), len(test.want))
			continue
		}
		for i := range test.want {
			if got.Samples[i] != test.want[i] {
				t.Errorf("%s: sample %d = %v, want %v", test.name, i, got.Samples[i], test.want[i])
			}
		}
		if got.Rate != test.rate || got.Channels != test.channels || got.Missing != test.missing {
			t.Errorf("%s: %d Hz, %d channels, %d bytes missing; want %d, %d, %d", test.name,
				got.Rate, got.Channels, got.Missing, test.rate, test.channels, test.missing)
		}
	}
}

func TestReadRefuses(t *testing.T) {
	pcm16 := chunk("fmt ", fmtChunk(1, 1, 48000, 16))
	data := chunk("data", []byte{0, 0})
	wrongAlign := fmtChunk(1, 2, 48000, 16)
	wrongAlign[12] = 2
	for _, test := range []struct {
		name   string
		file   []byte
		cause  error
		offset int64
		says   string
	}{
		{"nothing", nil, ErrNotWAV, 0, "0 bytes"},
		{"another kind of file", []byte("OggS\x00\x02 and more of it"), ErrNotWAV, 0, `"OggS"`},
		{"RIFF, not WAVE", append([]byte("RIFF\x04\x00\x00\x00AVI "), data...), ErrNotWAV, 8, `"AVI "`},
		{"RF64", append([]byte("RF64\xff\xff\xff\xffWAVE"), data...), ErrUnsupported, 0, "plain WAV"},
		{"no format", riff(), ErrDamaged, 12, "fmt"},
		{"data first", riff(data, pcm16), ErrDamaged, 12, "before its format"},
		{"no data", riff(pcm16), ErrDamaged, 36, "data"},
		{"short format", riff(chunk("fmt ", make([]byte, 14)), data), ErrDamaged, 16, "14 bytes"},
		{"cut in the format", riff(pcm16)[:30], ErrDamaged, 30, "ends"},
		{"compressed", riff(chunk("fmt ", fmtChunk(0x55, 1, 48000, 16)), data), ErrUnsupported, 20, "tag 85"},
		{"compressed, extensible", riff(chunk("fmt ", extensible(2, 1, 48000, 16, 16)), data), ErrUnsupported, 44, "tag 2"},
		{"no channels", riff(chunk("fmt ", fmtChunk(1, 0, 48000, 16)), data), ErrUnsupported, 22, "0 channels"},
		{"rate 0", riff(chunk("fmt ", fmtChunk(1, 1, 0, 16)), data), ErrUnsupported, 24, "rate 0"},
		{"rate too high", riff(chunk("fmt ", fmtChunk(1, 1, 384000, 16)), data), ErrUnsupported, 24, "384000"},
		{"40 bits", riff(chunk("fmt ", fmtChunk(1, 1, 48000, 40)), data), ErrUnsupported, 34, "40 bits"},
		{"half float", riff(chunk("fmt ", fmtChunk(3, 1, 48000, 16)), data), ErrUnsupported, 34, "16 bits"},
		{"frame size", riff(chunk("fmt ", wrongAlign), data), ErrDamaged, 32, "make 4"},
		{"not a number", riff(chunk("fmt ", fmtChunk(3, 1, 48000, 32)), chunk("data", f32(0, 0, float32(math.NaN())))), ErrDamaged, 52, "number"},
		{"infinite", riff(chunk("fmt ", fmtChunk(3, 1, 48000, 32)), chunk("data", f32(float32(math.Inf(1))))), ErrDamaged, 44, "number"},
		{"too long", riff(chunk("fmt ", fmtChunk(1, 1, 8000, 8)), chunk("data", make([]byte, 600*8000+1))), ErrTooLong, 44, "600 s"},
	} {
		_, err := Read(bytes.NewReader(test.file))
		var where *FormatError
		if !errors.As(err, &where) || !errors.Is(err, test.cause) {
			t.Errorf("%s: error %v, want %v", test.name, err, test.cause)
			continue
		}
		if where.Offset != test.offset || !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s: %q, want byte %d and %q in it", test.name, err, test.offset, test.says)
		}
	}
}

type brokenReader struct{ io.ReadSeeker }

var errBroken = errors.New("the disk went away")

func (brokenReader) Read([]byte) (int, error) { return 0, errBroken }

func TestReadPassesOnErrorsOfTheReader(t *testing.T) {
	r := brokenReader{bytes.NewReader(Bytes(48000, make([]float32, 10)))}
	if _, err := Read(r); !errors.Is(err, errBroken) {
		t.Errorf("Read = %v, want the reader's own error", err)
	}
}

type brokenWriter struct{}

func (brokenWriter) Write([]byte) (int, error) { return 0, errBroken }

func TestWriteRefuses(t *testing.T) {
	if err := Write(brokenWriter{}, 48000, make([]float32, 10)); !errors.Is(err, errBroken) {
		t.Errorf("Write = %v, want the writer's own error", err)
	}
	if err := Write(io.Discard, 7999, nil); err == nil {
		t.Error("a rate Read refuses was written")
	}
	if err := Write(io.Discard, 48000, []float32{0, float32(math.NaN())}); err == nil || !strings.Contains(err.Error(), "sample 1") {
		t.Errorf("Write of NaN = %v, want an error naming sample 1", err)
	}
	if err := Write(io.Discard, 8000, make([]float32, 600*8000+1)); !errors.Is(err, ErrTooLong) {
		t.Errorf("Write of 600 s and a sample = %v, want ErrTooLong", err)
	}
}

// A small file must not make the reader allocate what its header claims.
func TestMemoryIsBoundedByTheFile(t *testing.T) {
	pcm := chunk("fmt ", fmtChunk(1, 1, 48000, 16))
	for name, file := range map[string][]byte{
		"huge data":   riff(pcm, sized(chunk("data", make([]byte, 40)), 0xFFFFFFF0)),
		"huge format": riff(sized(pcm, 0xFFFFFFF0)),
		"huge junk":   riff(sized(chunk("JUNK", make([]byte, 40)), 0xFFFFFFF0)),
		"streamed":    riff(pcm, sized(chunk("data", make([]byte, 40)), 0xFFFFFFFF)),
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		Read(bytes.NewReader(file))
		runtime.ReadMemStats(&after)
		// 64 KB: a hundred bytes of sound and an error text need far less.
		if n := after.TotalAlloc - before.TotalAlloc; n > 64<<10 {
			t.Errorf("%s: %d bytes allocated for a file of %d", name, n, len(file))
		}
	}
}

func noise(n int, seed uint64) []float32 {
	r := rand.New(rand.NewPCG(seed, 1))
	s := make([]float32, n)
	for i := range s {
		s[i] = float32(2*r.Float64() - 1)
	}
	return s
}

func TestWriteThenRead(t *testing.T) {
	in := noise(70001, 7) // odd, and more than one block of the reader
	in[0], in[1], in[2] = 1, -1, 2
	for _, test := range []struct {
		e    Encoding
		step float64 // of the encoding
	}{{Int16, 1.0 / (1 << 15)}, {Int24, 1.0 / (1 << 23)}, {Float32, 0}} {
		var b bytes.Buffer
		if err := WriteAs(&b, 44100, in, test.e); err != nil {
			t.Fatal(err)
		}
		got, err := Read(bytes.NewReader(b.Bytes()))
		if err != nil {
			t.Fatal(err)
		}
		if got.Rate != 44100 || len(got.Samples) != len(in) || got.Missing != 0 {
			t.Fatalf("encoding %d: %d Hz, %d samples, %d missing", test.e, got.Rate, len(got.Samples), got.Missing)
		}
		for i := range in {
			want := float64(in[i])
			if test.e != Float32 {
				want = max(-1, min(1-test.step, want))
			}
			// Half a step: rounding to the nearest.
			if d := math.Abs(float64(got.Samples[i]) - want); d > test.step/2 {
				t.Fatalf("encoding %d: sample %d = %v, want %v within half a step", test.e, i, got.Samples[i], want)
			}
		}
	}
}

// Second opinion: go-audio/wav v1.1.0 reads what we write, and we read what it writes.
func TestAgainstAnotherLibrary(t *testing.T) {
	in := noise(1001, 9)
	for _, test := range []struct {
		e    Encoding
		bits int
	}{{Int16, 16}, {Int24, 24}} {
		var b bytes.Buffer
		if err := WriteAs(&b, 44100, in, test.e); err != nil {
			t.Fatal(err)
		}
		d := gowav.NewDecoder(bytes.NewReader(b.Bytes()))
		buf, err := d.FullPCMBuffer()
		if err != nil {
			t.Fatal(err)
		}
		if buf.Format.SampleRate != 44100 || buf.Format.NumChannels != 1 || d.BitDepth != uint16(test.bits) {
			t.Errorf("%d bits: the library sees %d Hz, %d channels, %d bits", test.bits, buf.Format.SampleRate, buf.Format.NumChannels, d.BitDepth)
		}
		// The library hands on the pad byte of an odd chunk as well: compare the rest.
		if len(buf.Data) < len(in) {
			t.Fatalf("%d bits: the library sees %d samples, want %d", test.bits, len(buf.Data), len(in))
		}
		for i, v := range in {
			full := float64(int(1) << (test.bits - 1))
			if want := int(steps(v, full)); buf.Data[i] != want {
				t.Fatalf("%d bits: the library reads sample %d as %d, want %d", test.bits, i, buf.Data[i], want)
			}
		}
	}
	for _, bits := range []int{16, 24, 32} {
		full := float64(int(1) << (bits - 1))
		ints := make([]int, len(in)-1)
		for i := range ints {
			ints[i] = int(math.Round(float64(in[i]) * (full - 1)))
		}
		w := &memory{}
		e := gowav.NewEncoder(w, 48000, bits, 2, 1)
		if err := e.Write(&audio.IntBuffer{Format: &audio.Format{NumChannels: 2, SampleRate: 48000}, Data: ints, SourceBitDepth: bits}); err != nil {
			t.Fatal(err)
		}
		if err := e.Close(); err != nil {
			t.Fatal(err)
		}
		got, err := Read(bytes.NewReader(w.b))
		if err != nil {
			t.Fatal(err)
		}
		if got.Channels != 2 || got.Bits != bits || len(got.Samples) != len(ints)/2 {
			t.Fatalf("%d bits: %d channels, %d bits, %d samples", bits, got.Channels, got.Bits, len(got.Samples))
		}
		for i, v := range got.Samples {
			if want := float32(float64(ints[2*i]+ints[2*i+1]) / 2 / full); v != want {
				t.Fatalf("%d bits: sample %d = %v, want %v", bits, i, v, want)
			}
		}
	}
}

// memory is a file in memory that can seek, which the library's writer wants.
type memory struct {
	b  []byte
	at int
}

func (m *memory) Write(p []byte) (int, error) {
	if need := m.at + len(p); need > len(m.b) {
		m.b = append(m.b, make([]byte, need-len(m.b))...)
	}
	m.at += copy(m.b[m.at:], p)
	return len(p), nil
}

func (m *memory) Seek(offset int64, whence int) (int64, error) {
	switch whence {
	case io.SeekStart:
		m.at = int(offset)
	case io.SeekCurrent:
		m.at += int(offset)
	default:
		m.at = len(m.b) + int(offset)
	}
	return int64(m.at), nil
}

// FuzzRead: hostile bytes never panic; what is read is a sound (finite, in range,
// no more samples than bytes); written as float it reads back the same, and
// written as 16-bit PCM within half a step.
func FuzzRead(f *testing.F) {
	f.Add(Bytes(48000, noise(20, 1)))
	f.Add(riff(chunk("fmt ", fmtChunk(3, 2, 44100, 32)), chunk("data", f32(1, 2, 3, 4))))
	f.Add(riff(chunk("fmt ", extensible(1, 1, 8000, 24, 20)), chunk("LIST", []byte("x")), sized(chunk("data", make([]byte, 9)), 0xFFFFFFFF)))
	f.Add(riff(sized(chunk("fmt ", fmtChunk(1, 1, 8000, 8)), 0xFFFFFFFF)))
	f.Add(riff(chunk("fmt ", fmtChunk(1, 1, 8000, 8)), sized(chunk("data", []byte("abcd\x02\x00\x00\x00xy")), 0)))
	f.Fuzz(func(t *testing.T, file []byte) {
		s, err := Read(bytes.NewReader(file))
		if err != nil {
			var where *FormatError
			if !errors.As(err, &where) {
				t.Fatalf("untyped error for bytes in memory: %v", err)
			}
			if where.Offset < 0 || where.Offset > int64(len(file)) {
				t.Fatalf("%v is beyond the %d bytes of the file", err, len(file))
			}
			return
		}
		if len(s.Samples) > len(file) || s.Rate < MinRate || s.Rate > MaxRate || s.Missing < 0 {
			t.Fatalf("%d samples at %d Hz, %d missing, from %d bytes", len(s.Samples), s.Rate, s.Missing, len(file))
		}
		var b bytes.Buffer
		if err := WriteAs(&b, s.Rate, s.Samples, Float32); err != nil {
			t.Fatal(err)
		}
		again, err := Read(bytes.NewReader(b.Bytes()))
		if err != nil || len(again.Samples) != len(s.Samples) || again.Rate != s.Rate {
			t.Fatalf("read back: %v, %d samples, want %d", err, len(again.Samples), len(s.Samples))
		}
		coarse, err := Read(bytes.NewReader(Bytes(s.Rate, s.Samples)))
		if err != nil || len(coarse.Samples) != len(s.Samples) {
			t.Fatalf("read back: %v, %d samples, want %d", err, len(coarse.Samples), len(s.Samples))
		}
		const step = 1.0 / (1 << 15)
		for i, v := range s.Samples {
			if again.Samples[i] != v {
				t.Fatalf("sample %d = %v, want %v", i, again.Samples[i], v)
			}
			want := max(-1, min(1-step, float64(v)))
			if math.Abs(float64(coarse.Samples[i])-want) > step/2 {
				t.Fatalf("sample %d = %v, want %v within half a step", i, coarse.Samples[i], want)
			}
		}
	})
}

func BenchmarkRead(b *testing.B) {
	file := Bytes(48000, noise(480000, 3))
	b.SetBytes(int64(len(file)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Read(bytes.NewReader(file)); err != nil {
			b.Fatal(err)
		}
	}
}
