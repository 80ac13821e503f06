// Package sheet lays out the printed tab sheet of a lesson: the facts a player needs, the
// chart of the form with the licks in their places, a legend of the marks that are used,
// and every lick large, with the teacher's words.
//
// [Lay] is pure: it turns a lesson into pages of letters, lines and areas at fixed places
// ([Page]). Two thin renderers draw those pages, [Sheet.SVG] here and package
// levels/sheet/pdf, so that screen and paper agree. The PDF renderer is a package of its own
// so that the page in the browser need not carry it.
//
// Lengths are points of 1/72 inch, y grows downward from the top left corner of the paper.
// All ink is black: the sheet is made for a plain printer and is to be read at arm's
// length. Sizes of type are our choice: tab 14 points or more in a lick, nothing under 10.
//
// Text is set in the Go fonts, which the rest of the program uses too (golang.org/x/image,
// BSD licence). They lack the accidentals, which are drawn here. A letter that they do not
// have is printed as an empty box; [Unprintable] names such letters beforehand.
//
// Values are plain data. All functions are safe for concurrent use.
package sheet
