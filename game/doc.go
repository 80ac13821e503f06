// Package game is the window: it asks the stage once a frame what to show, places that
// for the window's size, draws it with Ebitengine and hands the player's actions back.
//
// It decides nothing. In the browser the page's own controls lie over the picture and
// take the input; what they know comes through a [Page]. On the desktop keys, pointer,
// touch and dropped files go through a screen.Desk.
//
// Whatever stands still is drawn once into an image for each item (package paint); a frame
// only composes images, at the pixel density of the display.
package game
