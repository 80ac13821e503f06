// Package onset cuts a sound into notes: when each starts and ends, and how far the level
// dips before it.
//
// # How
//
// A [Segmenter] joins three things at a rate of 11 to 12.5 kHz: the level every 2.5 ms
// ([Envelope]), the pitch every 5 ms and how sure that is. A note starts
//
//   - where a tone comes up: at the point where the level last rose to 18 dB under what
//     it reaches. Under noise, which hides that point, the rise is followed back
//     from where it is seen;
//   - where the pitch steps to another one that stays: 70 cents from one frame to the next
//     or more within a few. A glide, however far, has no such step. The
//     moment is the most likely one of a change from one harmonic series to
//     the other (change), and the start is where the new one is first seen to grow (emerge);
//   - where the level of the same pitch rises by 3.8 dB in 15 ms out of a dip of 4.5 dB that
//     is either deep and quick or short: a tongued repeat. A hand or vibrato is slower, or
//     keeps the level down for longer.
//
// It ends where the level falls by 9 dB within 0.2 s and stays down, where the pitch is lost, or where
// the next one starts. What never proved to be a note (see Judge) is not told, unless it
// joins one that did.
//
// # What it gives
//
// Sampled harmonicas, against note-on: starts 4 to 9 ms late at the median; F within 25 ms 97 to 100
// for warbles of 3 to 14 notes a second, 92 to 100 for repeats with gaps of 30 to
// 60 ms; the low samples of one font take 30 ms to be heard at all. In a room 85 to 97 and
// 81 to 89: repeats are missed where the tail fills the gap. A hand that closes fully, 9 to 21 dB, five times a
// second or more over 880 Hz is still taken for repeats. The project's own voice, against -12
// dB points: 2 to 9 ms early.
//
// # What was tried
//
//   - The change of pitch taken at the likeliest moment alone: 12 to 14 ms late against
//     note-on, since an old reed rings on for 20 ms while the new one grows. Hence emerge.
//   - A rise of 5 dB out of 6 for repeats: 78 to 84 in a room. Less than 3.8: vibrato of 4 dB splits.
//   - Starts at -12 dB: 6 ms later on samples, 3 ms nearer to the own voice.
//   - The first rise over the threshold in place of the last one: in noise up to 35 ms early.
//   - The mean of the noise as its measure: wrong where a note dies away before the next.
//
// # Use
//
// Nothing allocates after the start, results do not depend on how samples are cut, notes are
// judged Ahead frames after they are heard. Times are in analysis samples. Not safe
// for concurrent use.
package onset
