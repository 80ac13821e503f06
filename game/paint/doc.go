// Package paint draws a placed screen: paper, ink, brass and wood.
//
// Everything is drawn by golang.org/x/image (vector and opentype, with the Go fonts) into
// ordinary images, so the look is tested without a display and the same on every system.
// The window keeps one image for each item and makes it anew only when the item changes;
// what moves (beads, cursor, what is asked now) are small [Sprite]s laid over it, and the
// played line is [Ink] that only grows.
//
// Positions and sizes are CSS pixels; images are scale times as large and premultiplied.
// A Painter and its Fonts belong to one goroutine.
package paint
