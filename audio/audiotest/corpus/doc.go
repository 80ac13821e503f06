// Package corpus makes the sounds the ear is tuned on and measured with, and the truth beside
// each of them. Nothing is stored: the same call gives the same samples.
//
// A [File] is one harp played by one voice in one condition. Voices are the harmonicas of two
// General MIDI sound fonts (package audiotest) and the project's own reed with an irregular
// breath, reeds out of tune by up to 12 cents and a wandering level. Conditions are clean, hum 20 dB
// under, a room, pink noise 10 dB under, both of these together, and tops cut off 3 dB under half of the peaks. What is played: naturals, bends by wheel, scoops,
// vibrato, hand wah, warbles tidy and untidy, tongued repeats, two holes, octaves and chords.
//
// # Truth
//
// Sounds start and end at -12 dB, measured for each font and key on an isolated note
// (audiotest.Edges), since a sample takes its own time to speak: 4 to 43 ms. The fonts' own tuning is
// measured first (audiotest.Period) and is part of the true pitch. Times in seconds, pitches in Hz.
//
// # Halves
//
// Tuning and Figures share no pair of voice and harp: of the harps low C to high G each font plays one
// half in Tuning and the other half in Figures. Constants of the ear were chosen on Tuning only.
//
// Functions return errors when a program or font is missing. Safe for concurrent use.
package corpus
