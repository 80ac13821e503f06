// Package device is the sound device: one stream that reads the microphone and writes
// the loudspeaker by one count of frames, so that sample n in and sample n out are the
// same instant plus one constant, the round trip. That count is the only clock. On a
// computer too busy to keep the output fed the constant can move; Slip tells of it a second later.
//
// [Open] returns a [Stream] at once and never blocks; the owner polls it. State starts
// as Opening and becomes Running, Suspended or Failed; Err says in a sentence what
// happened and what to do. A frame is one sample of the mono stream; frames are counted
// by the device from a start of its own choosing, not from 0, and the same count
// numbers what is captured and what is played. The microphone is never sent to the output.
//
//	s := device.Open(device.Options{})
//	for each tick {
//		s.Poll(seconds)                  // any monotonic time; only looks for a stalled device
//		s.Read(func(b device.Block) { ear.Process(b.In) })
//		if s.State() == device.Running && !started {
//			s.Play(s.Now()+s.Lead(), backing)
//			started = true
//		}
//	}
//
// Samples are mono in -1..1. Read's buffers are reused after its function returns; Play
// copies. In the browser the work is done by an AudioWorklet (duplex.js beside the page)
// as the Web Audio specification and Media Capture and Streams describe; on the desktop
// by miniaudio, an input and an output on one count, which needs cgo: without it the stream fails with [NoCapture].
// [Fake] is the same thing without a device, moved on by hand.
//
// A Stream, a Fake and an Inputs belong to one goroutine.
package device
