// Package calibrate measures the round trip: how many frames after it was given to the
// output a sound is found in the input. Everything a player does is early or late only
// after this constant has been taken out.
//
// [Signal] is five short rising chirps; [Find] cross-correlates what was captured with
// each of them by FFT and takes the median of the peaks. [Check] and [FindCheck] do the
// same with two bursts. Where the microphone can not hear the output (headphones),
// [Tap] compares notes the player sounds with the clicks they answered.
//
// Samples are mono in -1..1, rates in Hz (16000..96000), delays in frames. The functions
// are pure and may be called concurrently; they keep none of their arguments. A rate
// outside the range is the caller's bug and panics.
package calibrate
