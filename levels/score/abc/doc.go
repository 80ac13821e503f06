// Package abc writes lessons in ABC 2.1 and reads melodies from ABC.
//
// ABC knows no tab and no bends. A note is written at the pitch that sounds, with the tab
// as a lyric under it (w:), slurs where one breath goes on, and chord symbols above. A
// line of our own below, which other programs pass over as ABC asks of lines that begin
// "%%", holds the marks of the notes (see package score), and one in the header the head.
//
// Source: The ABC music standard 2.1 (2011), from memory but for broken rhythm. Read are
// the first voice of the first tune, its repeats, endings, tuplets, broken rhythm and
// ties; passed over are grace notes, decorations and second layers.
package abc
