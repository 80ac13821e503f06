// Package reeds gets to know the player's own harps: a guided pass over the twenty
// reeds measures each of them, a case keeps several harps, and from a few notes heard
// the right one is offered.
//
// A [Pass] is fed with what a listen.Ear hears and says which reed to play next. It has no
// clock but the frames, and so no tempo: a reed is done when it was held twice. A
// [Report] says of each reed how far it lies from its tuning, how quickly it speaks and whether
// air hisses past it, and which tuning and A4 fit the harp best. Its profile goes into a [Kept] harp
// of a [Case], which is written and read as one small file and held in a store by a [Keeper]. An unfinished pass
// is written by [Pass.Encode] and gone on with by [Resume]. [Guess] names harps from pitches; [Offer] decides from them whether the
// player should be asked for holding another harp than said.
//
// Pitches are Hz, distances cents, levels dB, times samples of the stream or seconds.
// What a pass can't tell: 2 draw and 3 blow are one note, so each is taken only in its turn; a
// reed that is off by 70 cents, or by 50 out of its turn, is not told from a bent one or its neighbour; two
// tries bent alike pass for a flat reed; and whether air hisses past the reed or past the
// player's lips. With a harp in another key than said some notes pass for reeds: ask
// [Guess] about what is heard.
//
// All values are plain data or guarded by methods; nothing is safe for concurrent writing. Files,
// devices and the day's date are the caller's, who also leaves a file that Decode refuses where it is.
//
// Measured (tests of this package, 2026-11-25): synthesised harps in seven keys, clean, in a room and in noise,
// every reed within 0.6 cents; in 160 reeds of eight harps all of 24 hisses 13 to 16 dB under the tone and all of
// 16 slow reeds named, nothing invented. What was tried: flutter over 40 ms in place of 20 missed two hisses in 480 reeds and took a
// reed in a room for one that hisses. Two
// sampled harmonicas in three keys, clean and in a room: within 0.3 cents, 4 to 5 flat reeds named, none besides.
//
// Offer, on all keys: no false one in 8000 phrases of sloppy playing with up to three bends in five different notes, nor in any
// drill. Of 240 pairs of keys a run over holes 1 to 8 told 215 out of a full case and 205 out of an empty one, over all holes 240; a phrase of twelve
// notes with bends 141 and 118. Never a third key.
package reeds
