//go:build !js

package main

import (
	"fmt"
	"io"
	"time"

	"reedwell/audio/device"
)

// checkTime is how long a check opens the device, and openTime how long that may take.
const (
	checkTime = 2 * time.Second
	openTime  = 10 * time.Second
)

// checkSound opens the sound device as the window does and prints what came of it.
func checkSound(_ setup, out io.Writer) error {
	list := device.NewInputs()
	defer list.Close()
	s := device.Open(device.Options{})
	defer s.Close()
	var frames, gaps int64
	var loudest float32
	from := time.Now()
	begun := from
	for {
		s.Poll(time.Since(from).Seconds())
		s.Read(func(b device.Block) {
			frames, gaps = frames+int64(len(b.In)), gaps+b.Gap
			for _, x := range b.In {
				loudest = max(loudest, x, -x)
			}
		})
		if s.State() == device.Failed {
			return fmt.Errorf("the sound device: %w", s.Err())
		}
		if s.State() != device.Running {
			if time.Since(from) > openTime {
				return fmt.Errorf("the sound device is %v after %v", s.State(), openTime)
			}
			begun = time.Now()
		} else if time.Since(begun) > checkTime {
			break
		}
		time.Sleep(5 * time.Millisecond)
	}
	i := s.Info()
	fmt.Fprintf(out, "microphone %q, output %q, %d Hz\n", i.InputLabel, i.OutputLabel, i.Rate)
	fmt.Fprintf(out, "captured %d frames in %v, %d lost, loudest sample %.4f\n", frames, checkTime, gaps, loudest)
	for _, d := range list.All() {
		fmt.Fprintf(out, "input  %q\n", d.Label)
	}
	for _, d := range list.Outputs() {
		fmt.Fprintf(out, "output %q\n", d.Label)
	}
	return nil
}
