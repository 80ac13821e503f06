// Package voice measures a note that somebody holds with the voice, hums, whistles or sounds on another instrument: its pitch and
// how still it is. Reeds are heard by listen; a voice lies lower, swings and slides, and may be on no harp at all.
//
// [Hold] takes sound as it comes. Its first [Lead] seconds are the room, before anybody sings. Every 10 ms a frame of 44 ms is looked
// at by the normalised square difference of McLeod and Wyvill (A Smarter Way to Find Pitch, ICMC 2005): the first of its peaks that
// comes near the highest is the period, and the same peak many periods on makes it exact. [Hold.Held] looks for the steadiest
// stretch of a second in which the pitch goes on without a leap, with the swing of a vibrato taken out by a mean of 0.36 s, and
// draws it out as far as it stays there.
//
// Samples are mono in -1..1, rates in Hz (8000..192000), pitches in Hz from [Lowest] to [Highest], levels in dB under full scale. Nothing
// is decided before a second was held; a stretch that slides, leaps or is not periodic is an error that says which. By the tests:
// synthetic voices of 80 to 1000 Hz with a vibrato of up to 80 cents to either side, drift and shimmer within 5 cents; the sampled
// voice of two sound fonts within 4 cents of its own period (2.7 measured); whistles within 2; of forty stretches of synthetic talk none is a
// note. A choir has no one pitch and may be anything within a quarter tone. A Hold is for one goroutine.
package voice
