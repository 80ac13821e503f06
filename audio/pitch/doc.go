// Package pitch measures what one short window of sound holds: the pitch of the loudest
// harmonic series, what share of the sound it is, and the voices beside it.
//
// # How
//
// The window is 512 samples at 11 to 12.5 kHz, 41 to 47 ms. One Fourier transform gives
// two spectra, under a Hann window and under its derivative; their ratio is the
// frequency of the sine that rules a bin (reassignment, Auger & Flandrin 1995, from
// memory), exact for a steady sine.
//
//  1. Peaks over the noise around them are listed (findPeaks).
//  2. Each strong peak is tried as harmonic 1 to 10. A candidate is rated by the peaks its
//     teeth catch, half by their power, half by their height in dB, less its empty
//     teeth (choose, comb). Candidates go down to 60 Hz, under what may be reported, so
//     that hum and a low voice are not read as one of their harmonics.
//  3. The lines of the winner are fitted, each with all the others taken out, and the
//     pitch is the least-squares fit with the weights of the Cramer-Rao bound (fit).
//  4. In what is left the voices that the caller names are looked for, one after the other: what the
//     strongest explains can't speak for another, and a voice whose lines lack what its others say must be
//     there is none (others, gappy). All are then fitted together, and it is decided which is the louder
//     one (contest). Where the caller names the octave over the main voice, which has no line of its own, it is
//     judged by how far the even lines stand over the odd ones (octave).
//  5. When the reading accounts for little, the second best one is tried as well, and the pitch of the window
//     before where it now has a voice beside it.
//
// A detector made by [NewLong] has a window twice as long and looks harder for chords: of the voices it ranks those first
// that explain most; one that has little but every second or third of its lines is read as the one an octave or a
// twelfth over it, even after the fact (sparse, raise). It names no octave from one window but tells how the phases of the lines
// stand to each other ([Locks]), whose drift from window to window does.
//
// A [Trace] adds up what the main voice leaves over 24 windows, 120 ms, and asks at each pitch named, 50 cents to either side, how much likelier a
// voice 20 dB under the main one is than noise, by all lines clear of the main voice's. What one line says is limited, so that one alone
// does not do and a gap may be; the floor follows the slope of pink noise, and a tone that moves may leave something beside its lines. It
// is asked in noise only, and begins anew with each note.
//
// # What it gives
//
// Measured by the tests beside it. Steady tones of six timbres, 130 to 3300 Hz: no wrong
// octave, worst error 0.08 cents. White noise 20 dB under: 1.6 to 1.9 times the Cramer-Rao bound of the
// window. A fundamental 13 dB under the fifth harmonic, or missing, does no harm.
//
// # What was tried
//
//   - Least squares in the time domain: the same pitch within 0.15 cents in noise and a
//     thousand times the work. It is the slow twin in the tests.
//   - One line at a time, without taking out the others: 5 cents off at 131 Hz, where
//     a line stands in the side lobes of the next.
//   - All lines in the fit of f0, also those that may be noise: 4 to 5 times the Cramer-Rao bound, since a
//     line counts with the square of its number.
//   - Power alone as a rating: loses weak fundamentals to a strong fifth harmonic. Height
//     alone: takes the quieter of two holes when it has more lines.
//   - Shared lines of a fourth split in equal parts: the louder hole right in 98 to 99.8 % of frames
//     at 6 dB; split by what h and e say, towards what the other lines suggest: 100 %.
//   - That only where the other lines say that the two are within 12 dB: of a reed whose third line has most of its power, as high ones of one
//     font do, a fourth over another, the level is 7 to 8 dB low, 3 % of all frames. Of all pairs, with a ridge that grows as less is expected of a
//     voice and with noise, it is within 3 dB in 99.8, 100 and 98.7 % of frames 6, 12 and 20 dB under in place of 97 each (tuning half,
//     clean); in pink noise 98, 99 and 96 in place of 97, 97 and 96. A ridge that does not grow with noise: 94 at 12 dB.
//   - A voice's pitch fitted by lines too that lie on the main one's beyond the twentieth, where those are not followed any more: 2 cents off, and
//     by that the level of such fourths 4 dB high.
//   - All named voices sought in the same rest: of two holes in a room 4 % named wrongly at 6 dB, chords of
//     two or three whole in 15 % of frames; one after the other: none and 40 %.
//   - The pitch of the window before tried whenever the reading accounts for little: lower octaves under
//     noise. Only where a voice beside it is found: two low holes a third apart, one
//     peak together, are held: named in 99 instead of 96 % of frames at 6 dB.
//   - Teeth that lie within a bin and a half of a peak left out of the comb, for the same holes: changes nothing.
//   - The octave named by the mean of the even lines over their odd neighbours: of sampled notes alone none
//     comes over 3 dB, of octaves half over 4. Sampled reeds are uneven by 10 dB from line to line, so one
//     window can't do more; two tones an octave apart to a cent beat too slowly for any window.
//   - In the long window voices ranked by level and none read an octave over: chords of two or three holes without an octave whole in
//     75 % of frames. With sparse 88, with raise 99.9; in a room 74, 88, 97. What is left there is a triad 4:5:6 read as its
//     common subharmonic.
//   - Phase drift of even lines of single sampled notes in 100 ms: under 0.06 rad in 99 of 100 frames clean, 0.1 at
//     the median in a room, the odd ones the same; of octaves 0.7 at the median, and 0.001 where they are in tune to 0.01 cents,
//     which can't be told from one reed.
//   - The even lines' pitch against that of the odd ones (Locks.Apart): of an octave 5 to 12 cents off over 4 cents in most long
//     windows, whose own pitch then jumps to and fro so that no drift can be followed. Of one reed under 0.1, but for its first 0.1 s.
//   - Another voice by two lines 9 dB over the floor alone: in pink noise 10 dB under, second holes 6, 12, 20 dB under are named in 88,
//     73, 16 % of frames (tuning half). With three faint ones that agree: 93, 87, 50; asking of those no strength together, 93, 89, 55
//     for twice as much more work. A matched detector that knows the second hole's pitch and lines, with a false alarm in 1 % of windows,
//     has 100, 100, 96.5 in one window of 43 ms (figures half), so noise does not forbid the goal: what was lost was lost to
//     single windows that are judged by themselves, and to their having to agree.
//   - Windows added up (Trace), 6, 12, 20 dB under, tuning half: 98, 97, 87, a second voice in 0.02 % of frames of single notes. The three faint
//     lines in one window beside that give nothing (98, 97, 86 without) and are asked for in long windows only, at a cost of 0.1 to 0.5 points of
//     holes 20 dB under clean, in hum and in a room. On the figures half 99, 96, 84 and 0.16 %.
//   - In the Trace the floor of a band taken as level: a second voice on 2 % of frames of single notes, all low ones, at 96, 86 % of holes 12 and 20 dB
//     under. With the slope 0.9 %; with the floor raised where lines are close (traceNotch) 0.1 to 0.2; with what a moving tone leaves (traceLeak)
//     and reeds held to be in tune to 30 cents 0.1 at 89 % of holes 20 dB under. Limits of 5 or 8 nats for 6, 2 or 4 for 3, and a voice 18 or 22 dB under for 20: no difference.
//   - A Trace begun anew by three misread windows in place of six: 2 points of holes 6 dB under.
//   - A Trace asked without noise too: of warbles in a room 28 % of frames have a second voice, which rings; clean 4 %. Hence traceNoise, and the
//     rule of package listen for what was the main voice of late.
//   - The floor of noise from every second bin: no difference, a tenth less work.
//   - Work that can't change the answer left out, a quarter less in noise and a tenth or less clean, with pitches and levels the same within 1e-9: no voice is
//     sought where no two of its lines have a bin that stands out of what is left (in noise that was a quarter of all work); a comb is given up once the
//     teeth it lacks leave it under the readings kept; a line of the Trace speaks once for all pitches that share its bin.
//   - The same work done quicker, a fifth less time with all figures of the benchmark as they were: a quartile without branches, two and a half times as quick
//     on noise; the kernel near its middle by its series; the twin spectrum in the bins that are asked for. A comb laid for the best reading alone, and for the
//     next ones only where they are asked for: no gain, a tenth more in noise.
//
// # Use
//
// A [Detector] is fed whole windows, adds no delay beyond half of one, keeps nothing
// between calls and does not allocate. The estimate speaks of the window's middle sample.
// Wrong sizes and ranges are the caller's bugs and panic. Not safe for concurrent use.
package pitch
