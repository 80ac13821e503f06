// Package wav reads and writes sounds as RIFF WAVE files.
//
// [Read] takes what players and programs produce: 8, 16, 24 and 32-bit integer
// PCM, 32 and 64-bit float, plain or WAVE_FORMAT_EXTENSIBLE, up to [MaxChannels]
// channels, 8 to 192 kHz, with other chunks before and after the sound, streamed
// files whose sizes were never filled in, and files that were cut off. It gives one
// channel, the mean of all, as float32 with full scale at 1. [Write] and [Bytes]
// write mono.
//
// Layout after "Multimedia Programming Interface and Data Specifications 1.0"
// (IBM and Microsoft, 1991) and "Multiple Channel Audio Data and WAVE Files"
// (Microsoft, 2001), both from memory:
//
//	"RIFF" size "WAVE" { id size payload [pad to even] }
//	fmt : tag channels rate bytesPerSecond blockAlign bits [extension]
//	data: frame frame ...    frame: one sample of each channel
//
// The chunks are read here rather than by github.com/go-audio/wav because that
// reader trusts the sizes in the file (a format chunk that claims 4 GB is
// allocated) and knows no float samples; the tests use it as a second opinion.
//
// A damaged file is a [*FormatError] that says where and what would be right; test
// its cause with errors.Is against [ErrNotWAV] and the others. Memory is bounded by
// the bytes that are really there, never by what a header claims. Nothing is kept
// between calls; the samples belong to the caller.
package wav
