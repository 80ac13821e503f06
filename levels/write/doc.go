// Package write makes a lick that was played into one that is written: holes, bends,
// places and lengths on the page, in the feel it was played in, with what is not sure
// said at the note where it is not sure.
//
// # How
//
//   - What package listen heard is cut into breaths. In each breath the pitch is followed
//     over the rungs of the reed with the least cost (Viterbi), so a bend and its release
//     become notes that glide, a quick rise to the note a scoop, and a rung that is only
//     passed nothing. Quick alternation of two neighbours becomes one warble;
//     turns that the ear lost are put back where its frames name them or their time tells them, and doubted when many.
//   - The starts are put on the page by dynamic programming: how far each lies from where
//     the place sounds in the feel, in units of human scatter, plus what the place costs.
//     Beats cost nothing, eighths little, triplets and sixteenths as much as the feel makes
//     them rare. A constant lateness is taken out, and with a free tempo slow drift too.
//   - Where the tempo is not known, tempi from [SlowTempo] to [QuickTempo] are tried with
//     the same costs; a beat without a start costs as well, so that neither half nor
//     double the tempo comes for free. Swing is fitted along.
//   - A note lasts to the next one unless a rest is plainer.
//
// Nothing is invented: what is no steady tone of this harp is left out, and where most of
// what sounds is left out, [ErrNothing] is returned.
//
// # Limits
//
// Measured in FIGURES.md on our own voice and on two sampled harmonicas, not on living
// players.
//
//   - 2 draw and 3 blow are one note. Second position gets 2 draw unless the blow chord is
//     climbed or a breath would have to turn twice; close calls are doubts.
//   - In a shuffle the eighth and the last of a triplet sound at one place and are written as
//     the eighth; with the feel unknown, 12/8 without a middle eighth is written as a shuffle.
//   - Three holes at once are a guess from what few frames name, and are told as one; holes at
//     the edge of such a chord may be missing.
//   - Sampled low reeds rise to their pitch like a shallow scoop; a scoop of less than about 60
//     cents is taken for that.
//   - With a free tempo, half, double and one and a half times the tempo may fit as well, and bar one is a
//     guess; both are doubts. A count-in settles them.
//
// Pure and deterministic. Values are plain data; nothing is kept between calls.
package write
