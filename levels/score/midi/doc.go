// Package midi writes lessons as Standard MIDI Files and reads melodies from them.
//
// What is written sounds like the lesson: the feel moves the notes, a bent note is its
// reed with the pitch wheel down, a glide is one note under a moving wheel. The range of
// the wheel is declared with RPN 0,0 as 12 semitones and the RPN closed with the null
// function. Track 1 holds title, tempo, time, key and the band's chords as markers, track
// 2 the harmonica (General MIDI program 23, counted from 1) with the tab as lyrics. Texts
// that begin "reedwell" make the file readable without loss (see package score).
//
// What is read may come from any program. The wheel is read with the range that the file
// declares; a note under a moving wheel is taken apart where its pitch comes to rest. The
// melody is the harmonica's part, or else the one that moves most like a melody. Places
// are quantised to sixteenths and triplets, and a shuffle is recognised and written as
// eighths.
//
// Source: Standard MIDI Files 1.0 (MMA RP-001), MIDI 1.0, General MIDI 1; numbers of
// messages from memory. The library knows the messages; [Read] looks through the file
// before it, as it trusts lengths.
package midi
