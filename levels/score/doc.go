// Package score is the common part of writing lessons as notation files and reading
// them back: Standard MIDI File (package midi), MusicXML (package musicxml) and ABC
// (package abc).
//
// Writing: [Lay] sets a lick or the whole chorus of a lesson out in time, and [Values]
// cuts its notes into what a page can show. Reading: a format gives a [Piece], pitched
// notes at written places with as much of a head as the file has; [Piece.Suggest] names
// the harps it lies well on, and [Piece.Lesson] makes the lesson, choosing a hole for
// each note.
//
// None of the formats knows harmonica tab. What a file of ours carries besides, as text
// that other programs keep or pass over, is a [Head] (everything about the lesson that is
// no note) and a mark at each note (see [Mark]). Both are believed only as far as the notes
// of the file agree with them: a mark whose pitch is not the note's any more counts for
// nothing, so a file may be changed in another program and read back.
//
// What each format carries of a lesson, read back from a file as we wrote it:
//
//	                                MIDI           MusicXML       ABC
//	place, length, pitch            sounding       written        written
//	hole, breath, bend              wheel, mark    notation, mark lyric, mark
//	tongued, slurred, glide         gaps, wheel    slur, slide    slur
//	scoop                           wheel          scoop          mark only
//	wah, vibrato, hold              mark only      mark only      mark only
//	warble                          its notes      mark only      mark only
//	feel                            as it sounds   swing          words
//	form                            markers        chord symbols  chord symbols
//	licks, level, teacher's words   head only      head only      head only
//	tuning, reference pitch         head only      head only      head only
//
// "mark" and "head" are exact; all together a lesson comes back as it was, but for
// [lesson.Note.At], which is its place in a text that these files do not hold. Where mark
// and head are gone, the rest of the table is what is left.
//
// Input may be hostile. Readers take at most a few megabytes, and refuse in time that
// grows with the size of what was given.
package score
