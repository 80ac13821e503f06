// Package room is the twelve-bar room: free playing over the band, and afterwards a picture of how
// the notes sat with the chords and the beat. Nothing is asked, so nothing is right or wrong.
//
// A [Setting] says what the band plays: form, feel, tempo, choruses, and the harp over it. [Look]
// takes what was heard and says of each note where it lies in the form, how far from the
// nearest place of the feel, and what it is to the chord of that moment; and of the whole how
// much lay on chord tones, where the playing leans, how much room was left. [Report.Words] are up to
// three sentences of that. They tell what was heard. They give no mark and open nothing.
//
// # What a note is to the chord
//
// Second position chord tones and the blues scale are as in any table of them (computed from the
// Richter layout, OEIS A291810). A note is taken to be meant for its place, so one that comes
// 30 ms before a change belongs to the new chord. In this order:
//
//   - A blue note lies on the flat third, fifth or seventh of the chord or of the key where the chord has
//     none such, or between that and the natural one, at least [blueLeast] cents flat: where it lies
//     between them is the player's (common practice, no source).
//   - A chord tone: root, third, fifth, seventh.
//   - A passing note is none of these, no longer than a beat, and goes on by a whole step or less to a note
//     within half a beat (as textbooks of harmony have it, without a source here).
//   - Anything else lies outside the chord, which is not wrong: sixths and ninths do.
//
// # Time
//
// The places of a feel are its beats and off-beats, and the finer ones where a note lies there beyond doubt.
// Bias and scatter are apart: the bias is the median distance of the starts from their places, in
// which a delay of the sound that was not measured would stand too. Nothing under [LeastTime]
// is called early or late: players and free reeds scatter by as much (Rasch 1979; Repp 2005 for tapping).
//
// # Limits
//
// 2 draw and 3 blow are one note and are told as 2 draw. A chord of holes and a warble count as one
// note, by the hole that carries it. A band that the microphone hears 20 dB under the player moves no start by
// more than 22 ms; one 8 dB under hid 9 of 16 short notes from the ear, one 11 dB under none (our own voice; the test
// TestOverTheBand holds the first). Package spill takes such a band out.
//
// Pure and deterministic. Values are plain data; nothing is kept between calls.
package room
