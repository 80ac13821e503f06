package wav

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math"
)

// An Encoding is how samples are stored.
type Encoding int

const (
	Int16   Encoding = iota // 16-bit PCM, read everywhere
	Int24                   // 24-bit PCM
	Float32                 // exactly the samples given
)

// Write writes a mono sound of rate Hz as 16-bit PCM. Samples are rounded to the
// nearest step, without dither, and those beyond full scale are cut to it.
func Write(w io.Writer, rate int, samples []float32) error {
	return WriteAs(w, rate, samples, Int16)
}

// Bytes is the file Write would write, in memory. It panics where Write returns an
// error other than w's own: a rate or a sample that no sound has.
func Bytes(rate int, samples []float32) []byte {
	var b bytes.Buffer
	b.Grow(headerSize + 2*len(samples))
	if err := Write(&b, rate, samples); err != nil {
		panic(err.Error())
	}
	return b.Bytes()
}

// headerSize is where the samples of a file written here begin.
const headerSize = 44

// WriteAs writes a mono sound of rate Hz, which may be anything Read reads back.
func WriteAs(w io.Writer, rate int, samples []float32, e Encoding) error {
	if rate < MinRate || rate > MaxRate {
		return fmt.Errorf("wav: writing at %d Hz: want %d to %d", rate, MinRate, MaxRate)
	}
	if e < Int16 || e > Float32 {
		return fmt.Errorf("wav: writing: no encoding %d", e)
	}
	size := [...]int{Int16: 2, Int24: 3, Float32: 4}[e]
	if len(samples) > MaxSeconds*rate {
		return fmt.Errorf("wav: writing %.0f s: %w: want at most %d s", float64(len(samples))/float64(rate), ErrTooLong, MaxSeconds)
	}
	for i, v := range samples {
		if !(v >= -largest && v <= largest) {
			return fmt.Errorf("wav: writing: sample %d is %v; want a number, full scale is 1", i, v)
		}
	}
	tag := tagPCM
	if e == Float32 {
		tag = tagFloat
	}
	length := len(samples) * size
	pad := length & 1
	le := binary.LittleEndian
	h := make([]byte, 0, headerSize)
	h = append(h, "RIFF"...)
	h = le.AppendUint32(h, uint32(headerSize-8+length+pad))
	h = append(h, "WAVEfmt "...)
	h = le.AppendUint32(h, 16)
	h = le.AppendUint16(h, uint16(tag))
	h = le.AppendUint16(h, 1)
	h = le.AppendUint32(h, uint32(rate))
	h = le.AppendUint32(h, uint32(rate*size))
	h = le.AppendUint16(h, uint16(size))
	h = le.AppendUint16(h, uint16(8*size))
	h = append(h, "data"...)
	h = le.AppendUint32(h, uint32(length))

	out := bufio.NewWriter(w)
	out.Write(h) // bufio keeps the first error for Flush
	var b [4]byte
	for _, v := range samples {
		switch e {
		case Int16:
			le.PutUint16(b[:], uint16(int16(steps(v, 1<<15))))
		case Int24:
			le.PutUint32(b[:], uint32(steps(v, 1<<23)))
		case Float32:
			le.PutUint32(b[:], math.Float32bits(v))
		}
		out.Write(b[:size])
	}
	if pad == 1 {
		out.WriteByte(0)
	}
	if err := out.Flush(); err != nil {
		return fmt.Errorf("wav: writing: %w", err)
	}
	return nil
}

// steps rounds v to the nearest of the steps from -full to full-1.
func steps(v float32, full float64) int32 {
	return int32(math.Max(-full, math.Min(full-1, math.RoundToEven(float64(v)*full))))
}
