// Package spill takes what a loudspeaker played out of what a microphone heard. Spill is
// the trade's word for sound that gets into a microphone it was not meant for.
//
// The program knows every sample that it plays, and playing and hearing run on one clock, so
// captured = player + h * played + noise, where h is the response of loudspeaker, room and
// microphone: linear, the same throughout a take, and over in some tenths of a second. Remove
// works out h from the whole take, at a third of the usual rate, and subtracts.
//
// The player is the noise of this measurement, is as loud as the spill, and plays in the same
// key and in time with it. So h is found by weighted least squares: each stretch of 64 ms and
// each bin of 16 Hz counts by the inverse of the power that is not spill there. The
// count-in, rests and the gaps between a reed's harmonics count for much, held notes for little.
// What is not spill is not known beforehand, so fitting and weighing take turns
// (iteratively reweighted least squares; Holland & Welsch 1977, Comm. Stat. A6:813, from memory).
// A prior in the shape of a room that dies away, and then of the response found so far, keeps
// the fit from explaining the player. The equations are solved by conjugate gradients
// with convolution by FFT; nothing of the size of a matrix is ever made. A [Removal] does all of it
// in pieces of a millisecond or so. From one take to the next h stays as it is unless somebody moves something: begun with
// the last one, a few steps confirm it, or show that it has to be looked for anew.
//
// Where what was played does not explain what was heard far better than chance would (headphones),
// the captured sound is returned untouched. Mild distortion of a loudspeaker (1 %) is not
// linear and stays, 40 dB under the spill. FIGURES.md tells what is left.
//
// Samples are mono in -1..1, rates in Hz (8000..192000), levels in dB. What lies over 6 to 8 kHz is
// left as it is: it is over the ear's hearing. Functions are pure, may be called concurrently,
// and keep none of their arguments. A rate out of range and options that make no sense are the
// caller's bug and panic with a text that starts "spill:".
package spill
