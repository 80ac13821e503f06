// Package listen hears a harmonica: pitch, level, brightness, other voices and notes.
package listen
