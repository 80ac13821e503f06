// Package synth sounds a ten-hole harmonica as a player would, and the few
// other sounds a backing needs: clicks, a plucked bass, soft chord tones, brushes.
//
// The reed voice is a strictly periodic tone. A free reed moves almost as a sine
// while the flow it lets through comes in pulses (Cottingham, "The motion of
// air-driven free reeds"), and the steady tone is a self-sustained oscillation, so
// its partials are locked to whole multiples of f0 (Fletcher & Rossing, The Physics
// of Musical Instruments, ch. 13, from memory). The voice therefore reads
// band-limited single-cycle tables, dark to bright, with a phase kept in float64:
// louder is brighter, and the tone opens while it starts.
//
// # Time and level
//
// All times are seconds from the first sample that is returned. [Note.Start] is
// the moment the tone's amplitude rises through [StartShare] of its held value,
// [Note.End] the moment it falls through the same share; the breath is heard a
// little before and the tone fades a little after. Levels are dBFS of the tone's
// RMS, where a full-scale square wave is 0; the peak of the voice lies 4 to 8 dB
// higher. [Render] never returns a sample beyond [Ceiling].
//
// # What repeats
//
// The same arguments give the same samples on one build. Between platforms they
// agree to about 1e-6 of full scale: the code keeps to functions that are plain Go
// everywhere (Exp2, Sin), but a compiler may fuse a multiply and an add on some
// processors (arm64; not wasm, nor amd64 as built by default), which moves the last bits.
//
// Nothing here keeps state between calls or touches its arguments, except the
// functions documented to work in place; all are safe for concurrent use. Bad
// arguments (a rate below 8000 Hz, an end before its start, a pitch that is not
// positive) are the caller's bugs and panic with a text that starts "synth:".
package synth
