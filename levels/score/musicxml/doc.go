// Package musicxml writes lessons as MusicXML 4.0 and reads melodies from MusicXML.
//
// MusicXML has no harmonica tab. A note is written at the pitch that sounds, with the
// hole as fingering, an arrow up for blow and down for draw, and a bend by its
// semitones; and once more as a lyric, which every program shows. Chord symbols, swing
// (new in 4.0), scoops, slurs, slides, triplets, ties and beams are written as the
// standard has them. A note's own mark (see package score) stands in the element for
// playback that programs of one kind agree on among themselves, other-play, and the head
// of the lesson in a miscellaneous field.
//
// Source: MusicXML 4.0, W3C Music Notation Community Group, 2021. Files may be
// score-partwise, plain (.musicxml, .xml) or compressed (.mxl), in UTF-8 or UTF-16.
package musicxml
