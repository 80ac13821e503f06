package wav

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
)

// Bounds of what is read.
const (
	MinRate     = 8000   // Hz: telephone
	MaxRate     = 192000 // Hz: the highest common recording rate
	MaxChannels = 8      // a 7.1 recording
	MaxSeconds  = 600    // our choice: far beyond any take, and at most 460 MB
)

// Causes of a FormatError.
var (
	ErrNotWAV      = errors.New("not a WAV file")
	ErrDamaged     = errors.New("damaged file")
	ErrUnsupported = errors.New("kind of WAV not supported")
	ErrTooLong     = errors.New("sound too long")
)

// A FormatError says what is wrong with a file and where.
type FormatError struct {
	Offset int64  // byte of the file, from 0
	Chunk  string // chunk the byte belongs to; "" for the file's own header
	Detail string // what is there and what would be right
	Err    error  // one of the causes above
}

func (e *FormatError) Error() string {
	place := fmt.Sprintf("byte %d", e.Offset)
	if e.Chunk != "" {
		place += fmt.Sprintf(" (chunk %q)", e.Chunk)
	}
	return fmt.Sprintf("wav: %v: %s: %s", e.Err, place, e.Detail)
}

func (e *FormatError) Unwrap() error { return e.Err }

// Sound is a sound as read from a file.
type Sound struct {
	Rate     int       // Hz
	Samples  []float32 // mono, full scale 1; float files may go beyond
	Channels int       // in the file, before the mix to mono
	Bits     int       // of a sample in the file
	Float    bool      // samples in the file were float
	// Missing is the number of bytes of sound the header promises and the file
	// lacks: it was cut off. 0 for a whole file and for a streamed one.
	Missing int64
}

// Seconds is the length of the sound.
func (s Sound) Seconds() float64 { return float64(len(s.Samples)) / float64(s.Rate) }

// Read reads a WAV file from the start of r to its end. Errors of r itself come
// wrapped; a file that cannot be used is a *FormatError.
func Read(r io.ReadSeeker) (Sound, error) {
	size, err := r.Seek(0, io.SeekEnd)
	if err != nil {
		return Sound{}, fmt.Errorf("wav: finding the file's length: %w", err)
	}
	f := file{r: r, size: size}
	if err := f.header(); err != nil {
		return Sound{}, err
	}
	return f.chunks()
}

// file is a WAV file being read.
type file struct {
	r    io.ReadSeeker
	size int64 // bytes really there
	fmt  *format
}

// format is what a fmt chunk says.
type format struct {
	float    bool
	channels int
	rate     int
	bytes    int // of one sample
	bits     int
}

func fail(cause error, offset int64, chunk, detail string, args ...any) error {
	return &FormatError{Offset: offset, Chunk: chunk, Detail: fmt.Sprintf(detail, args...), Err: cause}
}

// readAt fills buf from offset. The caller has checked that the bytes are there, so
// a short read is an error of the reader.
func (f *file) readAt(buf []byte, offset int64) error {
	if _, err := f.r.Seek(offset, io.SeekStart); err != nil {
		return fmt.Errorf("wav: going to byte %d: %w", offset, err)
	}
	if _, err := io.ReadFull(f.r, buf); err != nil {
		return fmt.Errorf("wav: reading %d bytes at byte %d: %w", len(buf), offset, err)
	}
	return nil
}

func (f *file) header() error {
	if f.size < 12 {
		return fail(ErrNotWAV, 0, "", "the file has %d bytes, a WAV file starts with a header of 12", f.size)
	}
	var h [12]byte
	if err := f.readAt(h[:], 0); err != nil {
		return err
	}
	switch string(h[:4]) {
	case "RIFF":
	case "RF64", "RIFX":
		return fail(ErrUnsupported, 0, "", "starts with %q; save it as a plain WAV (RIFF)", h[:4])
	default:
		return fail(ErrNotWAV, 0, "", "starts with %q, want \"RIFF\"", h[:4])
	}
	if string(h[8:]) != "WAVE" {
		return fail(ErrNotWAV, 8, "", "holds %q, want \"WAVE\"", h[8:])
	}
	// The size in the header is not looked at: streamed and cut files have it
	// wrong, and the chunks say the same.
	return nil
}

func (f *file) chunks() (Sound, error) {
	at := int64(12)
	for at+8 <= f.size {
		var h [8]byte
		if err := f.readAt(h[:], at); err != nil {
			return Sound{}, err
		}
		length := int64(binary.LittleEndian.Uint32(h[4:]))
		switch string(h[:4]) {
		case "fmt ":
			if f.fmt == nil { // a second one would change the meaning of data: ignored
				var err error
				if f.fmt, err = f.format(at+8, length); err != nil {
					return Sound{}, err
				}
			}
		case "data":
			if f.fmt == nil {
				return Sound{}, fail(ErrDamaged, at, "data", "the sound comes before its format; want a \"fmt \" chunk first")
			}
			return f.data(at+8, length)
		}
		at += 8 + length + length&1
	}
	if f.fmt == nil {
		return Sound{}, fail(ErrDamaged, f.size, "", "the file ends without a \"fmt \" chunk")
	}
	return Sound{}, fail(ErrDamaged, f.size, "", "the file ends without a \"data\" chunk")
}

// Format tags of the specification.
const (
	tagPCM        = 1
	tagFloat      = 3
	tagExtensible = 0xFFFE
)

// subFormat is what follows the tag in the GUID of an extensible format.
const subFormat = "\x00\x00\x00\x00\x10\x00\x80\x00\x00\xaa\x00\x38\x9b\x71"

func (f *file) format(at, length int64) (*format, error) {
	if length < 16 {
		return nil, fail(ErrDamaged, at-4, "fmt ", "the chunk has %d bytes, want 16 or more", length)
	}
	if at+16 > f.size {
		return nil, fail(ErrDamaged, f.size, "fmt ", "the file ends %d bytes before the chunk does", at+length-f.size)
	}
	var b [40]byte
	have := min(length, 40, f.size-at)
	if err := f.readAt(b[:have], at); err != nil {
		return nil, err
	}
	le := binary.LittleEndian
	tag := int(le.Uint16(b[0:]))
	channels, rate := int(le.Uint16(b[2:])), int64(le.Uint32(b[4:]))
	align, bits := int(le.Uint16(b[12:])), int(le.Uint16(b[14:]))
	tagAt := at
	if tag == tagExtensible {
		if have < 40 {
			return nil, fail(ErrDamaged, at, "fmt ", "an extensible format needs 40 bytes, there are %d", have)
		}
		if string(b[26:40]) != subFormat {
			return nil, fail(ErrUnsupported, at+24, "fmt ", "sub-format %x; want integer PCM or float", b[24:40])
		}
		tag, tagAt = int(le.Uint16(b[24:])), at+24
	}
	if tag != tagPCM && tag != tagFloat {
		return nil, fail(ErrUnsupported, tagAt, "fmt ", "format tag %d; want 1 (PCM) or 3 (float): save the sound uncompressed", tag)
	}
	if channels < 1 || channels > MaxChannels {
		return nil, fail(ErrUnsupported, at+2, "fmt ", "%d channels; want 1 to %d", channels, MaxChannels)
	}
	if rate < MinRate || rate > MaxRate {
		return nil, fail(ErrUnsupported, at+4, "fmt ", "rate %d Hz; want %d to %d", rate, MinRate, MaxRate)
	}
	bytes := (bits + 7) / 8 // fewer bits than the bytes hold are left-justified
	switch {
	case tag == tagPCM && (bits < 8 || bits > 32):
		return nil, fail(ErrUnsupported, at+14, "fmt ", "%d bits a sample; want 8, 16, 24 or 32", bits)
	case tag == tagFloat && bits != 32 && bits != 64:
		return nil, fail(ErrUnsupported, at+14, "fmt ", "float of %d bits; want 32 or 64", bits)
	case align != channels*bytes:
		return nil, fail(ErrDamaged, at+12, "fmt ", "%d bytes a frame; %d channels of %d bits make %d", align, channels, bits, channels*bytes)
	}
	return &format{float: tag == tagFloat, channels: channels, rate: int(rate), bytes: bytes, bits: bits}, nil
}

// unfilled is the size writers leave that could not go back to fill it in.
const unfilled = 0xFFFFFFFF

func (f *file) data(at, length int64) (Sound, error) {
	s := Sound{Rate: f.fmt.rate, Channels: f.fmt.channels, Bits: f.fmt.bits, Float: f.fmt.float}
	have := f.size - at
	switch {
	case length == unfilled || length == 0 && !f.chunksFrom(at):
		length = have
	case length > have:
		s.Missing = length - have
		length = have
	}
	frame := int64(f.fmt.channels * f.fmt.bytes)
	frames := length / frame // bytes of an unfinished last frame are left out
	if frames > int64(MaxSeconds*s.Rate) {
		return Sound{}, fail(ErrTooLong, at, "data", "%.0f s of sound; want at most %d s: cut it", float64(frames)/float64(s.Rate), MaxSeconds)
	}
	s.Samples = make([]float32, frames)
	block := make([]byte, min(frames, max(1, 65536/frame))*frame)
	for done := int64(0); done < frames; {
		n := min(frames-done, int64(len(block))/frame)
		place := at + done*frame
		if err := f.readAt(block[:n*frame], place); err != nil {
			return Sound{}, err
		}
		if bad := f.fmt.decode(s.Samples[done:done+n], block[:n*frame]); bad >= 0 {
			return Sound{}, fail(ErrDamaged, place+int64(bad), "data", "the float there is no sample; want a number within -%g to %g", largest, largest)
		}
		done += n
	}
	return s, nil
}

// chunksFrom reports whether whole chunks, at least one, lead from at to the end
// of the file: then a data chunk of size 0 before them is truly empty. Nothing at
// all after it is an empty sound as well.
func (f *file) chunksFrom(at int64) bool {
	if at >= f.size {
		return true
	}
	for at+8 <= f.size {
		var h [8]byte
		if f.readAt(h[:], at) != nil {
			return false
		}
		for _, c := range h[:4] {
			if c < ' ' || c > '~' {
				return false
			}
		}
		length := int64(binary.LittleEndian.Uint32(h[4:]))
		at += 8 + length + length&1
		if at == f.size || at == f.size+1 {
			return true
		}
	}
	return false
}

// largest is the size of a float sample from which on it is taken for damage:
// 120 dB over full scale.
const largest = 1e6

// decode mixes whole frames down to dst. It returns the byte of the first sample
// that is no number, or -1.
func (m *format) decode(dst []float32, src []byte) int {
	le := binary.LittleEndian
	k := 0
	for i := range dst {
		sum := 0.0
		for range m.channels {
			b := src[k : k+m.bytes]
			var v float64
			switch {
			case m.float && m.bytes == 4:
				v = float64(math.Float32frombits(le.Uint32(b)))
			case m.float:
				v = math.Float64frombits(le.Uint64(b))
			case m.bytes == 1: // 8-bit samples alone are unsigned
				v = (float64(b[0]) - 128) / (1 << 7)
			case m.bytes == 2:
				v = float64(int16(le.Uint16(b))) / (1 << 15)
			case m.bytes == 3:
				v = float64(int32(uint32(b[0])<<8|uint32(b[1])<<16|uint32(b[2])<<24)) / (1 << 31)
			default:
				v = float64(int32(le.Uint32(b))) / (1 << 31)
			}
			if !(v >= -largest && v <= largest) {
				return k
			}
			sum += v
			k += m.bytes
		}
		dst[i] = float32(sum / float64(m.channels))
	}
	return -1
}
