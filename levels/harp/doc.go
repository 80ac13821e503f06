// Package harp is the ten-hole diatonic harmonica in Richter layout: which pitch
// sounds on which hole, blown or drawn, bent or overblown, for every key from low C
// to high G, every tuning in use, and the player's own reeds.
//
// Pitches are in Hz, distances in cents (1200 * log2 of a ratio). A bend is measured
// down from the reed it bends, so the deviation of that reed carries over to its
// rungs. Within one key pitch tells hole, breath and bend uniquely, but for 2 draw
// and 3 blow, which sound the same note; see [Harp.Locate].
//
// The layout is OEIS A291810; the just tunings are O. Hansson's scale files of 2004
// (ji_hca). All values are plain data and safe for concurrent use.
package harp
