package wav_test

import (
	"bytes"
	"fmt"

	"reedwell/audio/wav"
)

func ExampleRead() {
	file := wav.Bytes(48000, make([]float32, 24000))
	s, err := wav.Read(bytes.NewReader(file))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%d Hz, %.1f s\n", s.Rate, s.Seconds())
	_, err = wav.Read(bytes.NewReader(file[:20]))
	fmt.Println(err)
	// Output:
	// 48000 Hz, 0.5 s
	// wav: damaged file: byte 20 (chunk "fmt "): the file ends 16 bytes before the chunk does
}
