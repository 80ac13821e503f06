// Package audiotest makes sound for tests: plain sums of sines, noise, hum and rooms
// that share no code with the product's synthesiser, and sampled harmonicas, which
// nobody here made, through fluidsynth and the General MIDI sound fonts of Debian.
//
// All of it is deterministic: the same arguments give the same samples. Sounds are
// mono, full scale 1, in slices that belong to the caller. Levels are dB relative to a
// full-scale square wave (RMS). Functions panic on a caller's bug with a text that
// starts "audiotest:"; those that take a testing.TB fail or skip the test instead.
// Safe for concurrent use.
package audiotest
