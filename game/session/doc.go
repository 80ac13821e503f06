// Package session is the state machine of practice: what is on the screen, what a press
// leads to, and what the program then has to do.
//
// [Step] takes a [State] and what came in since the last step, and returns the new state,
// the [screen.Screen] to show and the [Effect]s to carry out. It touches no device, file,
// clock or window; a whole lesson runs in a test in a few milliseconds.
//
// Times in a take are drill time: seconds from the first click of the count-in as it
// arrives in the microphone, counted in frames of the device. Pitches are in Hz, heights
// on comb and chart in cents, levels in dBFS.
//
// The words on the screen are plain musician's English. In a take [screen.Screen.Live]
// is empty, since what a screen reader says comes back through the microphone.
//
// Values returned by Step share memory with the state and must not be changed. A State
// may be stepped from one goroutine at a time.
package session
