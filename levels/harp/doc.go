// Package harp is the ten-hole diatonic harmonica in Richter layout: which pitch
// sounds on which hole, blown or drawn, bent or overblown, for every key from low C
// to high G, every tuning in use, and the player's own reeds.
//
// Pitches are in Hz, distances in cents (1200 * log2 of a ratio), holes count from 1
// at the low end. A [Note] is a way of playing; a [Harp] gives it a pitch ([Harp.Hz])
// and names the note of a pitch ([Harp.Locate]). A bend is measured down from the reed
// it bends, in rungs of 100 cents, so the deviation of that reed carries over to its
// rungs. Within one key pitch tells hole, breath and bend uniquely, but for 2 draw
// and 3 blow, which sound the same note; [Harp.Locate] says how they are told apart.
//
// The layout is OEIS A291810. The just tunings are those of the ji_hca scale files
// (O. Hansson, Theory of harmonica tuning, 2004).
//
// What comes from outside (text, JSON, a reference pitch, a profile) is checked and
// returns an error; a hole or note that the harmonica does not have, passed where the
// doc asks for one that it has, is the caller's bug and panics. All values are plain
// data: safe to copy, and safe for concurrent reading. Nothing is kept between calls.
package harp
