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
//   - Another voice is claimed only if it is there in six of nine frames, whose mean level is its, at either end among them: a window
//     that reaches over a change of hole holds two pitches, but one after the other. One that was
//     the main voice a moment ago must be there for 65 ms and neither waver nor fall, since a room lets it ring, unless it is louder than
//     what a room that lets 60 dB die in 1.5 s leaves of it. Of two about as loud either may be found the louder in a frame or two.
//   - In noise, where no window by itself tells of another voice, those of the last 120 ms are asked together (pitch.Trace). A voice that was the
//     main one a moment ago must neither fall nor rise by 1.5 dB in 80 ms then.
//   - When the spans ask for octaves or chords, other voices come from windows of 85 ms, one every 25 ms, that end with the last sample
//     known, so without further delay; the frames between have those of the window before while their own pitch is one of them or stays.
//     A voice must be there in three in a row, and the lines of both must keep
//     their levels in the short windows across the long one, which notes that follow each other don't. An octave over the
//     main voice is told by its beats: the phases of the even lines drift against the odd ones over 50 to 200 ms, while
//     the odd ones stay locked to each other (pitch.Locks), or, where it is some cents off, by the pitch of the even lines that is not
//     the odd ones' in four in a row.
//   - A tone is as sure as the share of the sound it is, times how well the pitch holds
//     around the frame. Under 400 Hz, where speech lies, it counts as unsure
//     until the pitch has stood still once, as a reed's does and a voice's seldom
//     does, or has come back to where it was, as in a warble, or swings to and fro in one place, as in vibrato. The
//     more glides have gone by without a settled tone, the longer it must stand, and after many of them so must a tone up to 750 Hz, where a voice has
//     its first formant. The frames of a
//     scoop before that are low in confidence but right; the [Note] they belong to vouches for them. In a phrase, within 1 s of a tone that stood as only reeds do,
//     a tone counts at once if it comes up as a reed does: out of a quiet place and evenly from below, or by a step from that tone (attack).
//   - A frame whose window holds only the beginning of a tone is as sure as the last of the four after it, if all have its pitch.
//   - Confidence is how often frames that sure are right, counted on the tuning half of the corpus with
//     speech and noise beside it, of tones that have settled (confidence) and of those that have not, by how many glides went before (doubted).
//     Under [MinConfidence] the ear could not hear; what has not settled stays under it, however often it is right.
//
// How far the input is driven is measured before anything is done to it ([Frame.Peak], [Frame.Clipped]); what an overdriven microphone
// hides or makes up is for the caller to leave out ([Overdriven]).
//
// What single notes do is measured afterwards, on a [Take]: [Take.Scoop], [Take.Settle], [Take.Vibrato],
// [Take.Wah].
//
// # Delay and rates
//
// [Ear.Delay] is 43 ms at every rate from 16 to 96 kHz: half a window, four frames, the
// filter. [Ear.Latest] is what the newest window holds, [Ear.LatestDelay] after it sounded, 22 ms: what is shown goes by it, what is
// graded does not. Nothing looks further ahead. Results do not depend on how the input is
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
//   - The first confidence from the frame's own share alone: 38 ms after two periods at the median, 122 at nine tenths (tuning half, clean), of
//     notes from 400 Hz up 37 and 41. As sure as the surest of the frames ahead: one frame of a synthesiser's speech with confidence. As the
//     last of them: 25 and 37 with what follows, and none.
//   - The newest window shown before its frame: the first pitch of naturals with confidence 16, 20, 19, 25 and 25 ms after two periods clean, in hum,
//     room, noise and both (tuning half; frames alone 25, 33, 31, 39, 39) from a share of 0.65 on with one window before that agrees; then of 15 espeak voices 12 frames
//     count that are a first formant. With two that agree under 750 Hz and a share of 0.67 none of those, and 17, 21, 20, 26, 27. With three, four that
//     agree: in noise 29, 32. A share of 0.3 would be right in 75 of 100, but claps come to 0.64.
//   - In a phrase the newest window believed from a share of 0.55 on, with one window before that agrees, and low tones by how they come up, in four windows: 13, 18, 16, 24, 24
//     in place of 18, 21, 20, 27, 27 (tuning half); of the windows between 0.55 and 0.67 it adds 92 in 100 are right. From 0.6 on 14, 19, 16, 26, 25. The share of
//     what the last 0.2 s held beside their tones taken out: claps that follow notes count in 3.8 % of windows in place of 0.5, with 0.55 in 1.1.
//     Low tones by three windows: up to 4 ms less at nine tenths, and of the prompts below, in a second after notes, 1587 windows of 67321 count in place of 1362.
//   - What has less confidence than asked for, from 0.6 on, shown as not sure yet (HintConfidence): 5, 13, 10, 19, 18 ms at the median in place of
//     14, 18, 16, 24, 24, at nine tenths 10, 18, 16, 24, 24 in place of 36, 34, 31, 42, 49 (three seeds of the other half).
//   - Instead, the pitch of the frames ahead for a frame whose window holds a twentieth of the tone's power: 25, 32, 30, 37, 37.
//   - Low reeds told from speech by share, glide, centroid and rise of the first frames: the first syllables after a pause look the same
//     (of 24 min of recorded prompts, asterisk-core-sounds-en of Debian, 0.7 to 10 % of all beginnings). Hence only in a phrase, and with little gliding
//     of late. With prompts that begin 0.3 s after notes, of 23600 frames of their first seconds 81 had confidence before, 173 now; with 2 s of memory
//     and any rise of 7 dB 778, with a rise from a quiet place 258.
//     Of those 24 min by themselves 0.38 % of frames have confidence, and 86 notes are told, now 0.44 and 86.
//   - A tone that stands for up to 8 frames more after glides: of formant noise (audiotest.Babble) 1.75 % of frames have confidence and 14 notes are told, by
//     two ways. Syllables whose pitch by chance moves by less than a hertz stand for 9 to 20 frames; and from 400 Hz up, where no tone had to
//     stand, windows read the first formant, 400 to 660 Hz, as their pitch. Neither goes the quick way of attack. Up to 20 frames, and high tones
//     asked too: 0.00 % and none, of eight other seeds 225 in place of 1200 frames of 48000, the harmonicas of the tuning half as before but for one
//     note of its repeats in hum. A frame more for every 4 of glides up to 64, or by their square: 60 to 100 of those 48000, and a group of repeats of a low
//     sampled D lost in every condition; the former with 12 frames of glides enough to ask any high tone: starts of warbles in room and noise F 97.5 in place of 99.4. A frame more
//     from 4 frames of glides on, and high tones asked from 41 on: of synthesised voices that begin the sound 0 in place of 52 frames of two of ten, and 0.5 % of the steady frames in pink noise lost.
//   - One confidence for all tones that have not settled, 0.55 where they are clear: right in 93 of 100 frames of harmonicas, 46 to 49 of all, as
//     9800 frames of women's voices and formant noise were there. Of those 8500 follow on 129 or more frames of glides, of the harmonicas' none.
//   - Uncorrected confidence: frames of 0.2 right in 77 of 100, of 0.45 in 90, of 0.55 in 90.
//   - Other voices without asking those that were the main one of late to keep their level:
//     claimed in 14 to 17 % of frames of single notes in a room. Asking them to move by under 1 dB in 40 ms: 1.6 %, and
//     two holes that both sounded before are missed. Asking them not to fall faster than the main voice: 0.5 %.
//   - Other voices that were the main one of late asked to keep their level for 2 s, however loud: second holes 6, 12, 20 dB under named in 93, 99, 98 % of
//     frames in a room; with what a room may leave of them, 99, 100, 98.6, and in pink noise 20 dB under 88 in place of 86. With 3 or 6 dB of doubt for 4.5: the same.
//   - Faint voices that were the main one of late free to rise: in room and noise a second voice on 1.8 % of frames of single notes, nearly all of them the
//     next note of a warble; with up to 2.2 or 3 dB 1.1 and 1.2, with 1.5 1.0, and 0.8 points of holes 6 dB under with any of these.
//   - A scoop's depth from the first frame on: off by 24 cents at the median, since the samples find their pitch
//     from 15 to 110 cents under it by themselves. From 50 ms on, each frame dated by where the power in its window
//     lies: 1 cent. The deepest middle of three frames alone misses what still rises at 50 ms: within 5 cents 85 of 100 on the tuning
//     half, clean, and 85 in pink noise; with a line through the five frames about 50 ms, 91 and 86.
//   - Settling by pairs of frames out of the band: within 15 ms 96 of 100 on the tuning half, clean, and 87 in pink noise. By the median
//     of nine frames, and between two of them: 99 and 90.
//   - Chords from the ear's own window of 43 ms: all voices in 48 % of frames clean, 41 in a room. In the long one: every
//     chord without an octave whole in 97 to 100 %, octaves in 50. With their beats 91 and 80 (all of the tuning half), with the
//     pitch of their even lines too 93 and 83. Of octaves alone that is 86 and 70: sampled ones beat in 1 to 4 s, and it takes 0.2 to 0.5
//     s until that shows. Asking less of the beats (2.5 for 3.1): 72 in the room, and a second voice in 1.2 % of single notes in place of 0.1.
//   - A long window for every frame, with ten drifts in place of three, five frames in a row that ask for an octave, voices in seven of nine frames: twice
//     the work of all listening without chords, now a fifth more. With six seeds of the tuning half, before and now: all voices clean 94.4 and 91.9 % of frames, in hum 93.1 and 91.3, in a
//     room 84.8 and 83.6, in pink noise 72.6 and 73.4, in both 69.3 and 70.6; a second voice on single notes clean 0.28 and 0.42, in hum 0.54 and 0.08, in a room 1.04 and 0.80.
//     With single seeds the last is anything from 0.0 to 2.2, so one does not do to choose by.
//   - The pitch of the even lines in two of three such windows: 0.7 points more of chords, but a second voice in 5.8 % of the frames of repeats in a room, and 2.4 of vibrato's,
//     in place of 1.3 and 0.2 (before 0.6 and 0.0). In three of four: 1.8 and 0.2.
//   - A voice in two windows in a row: 0.4 points more of chords, and a second voice on single notes 0.3 points more often; in three of four: vibrato in a room has an octave.
//   - Drifts from 75 ms in place of 50 on: a second voice on single notes clean 0.04 in place of 0.42, chords clean 91.0.
//   - The pitch of the even lines from the attack on, with the long hold of proven beats: octaves 97 % clean, and a second voice in 9 % of
//     frames of single notes, since in an attack lines do not rise alike.
//   - Beats asked for from the first window that holds the note: a second voice on a quarter of the frames of single
//     notes, since lines come up one after the other. Without the odd lines as a measure, or asked for in one frame only:
//     2 % in a room. Not asking the lines to keep their levels: on 56 % of the frames of warbles in a room, asking 10.
//   - Octaves by how far even lines stand over odd ones, in the long window too: 6 points more of chords in a room, and a second
//     voice in 2 % of single notes. It lowers what is asked of the beats instead.
//   - A warble told by the pitch coming back within 35 cents alone: a slow reed is left before it has come so near, and a warble of
//     fourteen notes a second under 400 Hz lost every turn on it. Now what is left may be what was left two changes ago. By itself that let speech
//     pass (5 notes in 16 s); asking the two to lie as far apart as holes do, and within 15 cents, none. With changes that pass
//     through an octave of either counted as one, and notes that follow within 15 ms vouched for (package onset), starts of warbles in F went from 96 to
//     100 in a room and in hum, from 95 to 99 in pink noise (tuning half).
//   - Another voice asked for in 7 of 9 frames and all the outer four: in 6 and one of the outer two on either side, in pink noise 50 in place
//     of 44 % of holes 20 dB under; in 5, a second voice in 0.8 % of frames of single notes.
//   - Steadiness asked for over 25 ms and forgotten at each step: loses every note of a
//     quick low warble. Hence the rule of coming back.
//
// Bad configurations give an error. An [Ear] is not safe for concurrent use; it keeps
// nothing of the blocks it is given.
package listen
