// Package listen hears a harmonica: pitch, level, brightness and other voices every 5 ms,
// and notes with start, end and contour. It knows nothing of harps; what may sound
// beside a note is passed in as plain pitches ([Span]).
//
// # How
//
// The stream is brought to about 12 kHz by one exact ratio (60 samples a hop at every
// rate, so windows and filters last the same everywhere), then package pitch
// measures a window of 43 ms every 5 ms and package onset cuts notes. A frame is
// given when the four after it are known:
//
//   - A pitch that leaves and is back within 15 ms is put right.
//   - Pitches that differ by no more than noise makes them are averaged over 40 ms; glides and
//     vibrato are left as they are.
//   - Another voice is claimed only if it is there in seven of nine frames, the outer four among them: a window
//     that reaches over a change of hole holds two pitches, but one after the other. One that was
//     the main voice a moment ago must be there for 65 ms and neither waver nor fall, since a room lets it ring.
//   - A tone is as sure as the share of the sound it is, times how well the pitch holds
//     around the frame. Under 400 Hz, where speech lies, it counts as unsure
//     until the pitch has stood still once, as a reed's does and a voice's seldom
//     does, or has come back to where it was, as in a warble, or swings to and fro in one place, as in vibrato. The
//     more glides have gone by without a settled tone, the longer it must stand. The frames of a
//     scoop before that are low in confidence but right; the [Note] they belong to vouches for them.
//   - Confidence is how often frames that sure are right, counted on the tuning half of the corpus with
//     speech and noise beside it (confidence). Under [MinConfidence] the ear could not hear.
//
// What single notes do is measured afterwards, on a [Take]: [Take.Scoop], [Take.Settle], [Take.Vibrato],
// [Take.Wah].
//
// # Delay and rates
//
// [Ear.Delay] is 43 ms at every rate from 16 to 96 kHz: half a window, four frames, the
// filter. Nothing looks further ahead. Results do not depend on how the input is
// cut; [Hear] gives the same. Process does not allocate, as long as Frames and Notes are
// called now and then: 256 frames and 64 notes are kept without growing.
//
// # What it gives
//
// audio/BENCHMARKS.md holds the figures of the whole corpus beside those of other programs, with what is
// missed. Tests of this package hold the ear to the goals on a part of it.
//
// # What was tried
//
//   - Pitch without averaging: 0.18 and 0.22 cents in pink noise 10 dB under.
//   - Confidence from the tone's share alone: 12 to 60 % of speech-like frames pass. Standing still for 20 ms at
//     any time, or 0.2 s within 120 cents: 8 to 26 % of a synthesiser's women's voices pass. Wary after glides: none,
//     and starts of warbles in pink noise F 95 in place of 98.
//   - Uncorrected confidence: frames of 0.2 right in 77 of 100, of 0.45 in 90, of 0.55 in 90.
//   - Other voices without asking those that were the main one of late to keep their level:
//     claimed in 14 to 17 % of frames of single notes in a room. Asking them to move by under 1 dB in 40 ms: 1.6 %, and
//     two holes that both sounded before are missed. Asking them not to fall faster than the main voice: 0.5 %.
//   - A scoop's depth from the first frame on: off by 24 cents at the median, since the samples find their pitch
//     from 15 to 110 cents under it by themselves. From 50 ms on, each frame dated by where the power in its window
//     lies: 1 cent.
//   - Steadiness asked for over 25 ms and forgotten at each step: loses every note of a
//     quick low warble. Hence the rule of coming back.
//
// Bad configurations give an error. An [Ear] is not safe for concurrent use; it keeps
// nothing of the blocks it is given.
package listen
