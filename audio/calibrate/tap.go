package calibrate

import (
	"errors"
	"fmt"
	"math"
)

// Limits of Tap. People who play with a click scatter by 10 to 40 ms, so what they tap
// gives a coarse round trip only; all three are our choice.
const (
	tapNeed   = 5     // taps that must agree, of the usual 8
	tapAgree  = 0.060 // seconds from the median
	tapEarly  = 0.100 // seconds a tap may come before its click
	tapSpread = 25.0  // ms of median distance beyond which the result says nothing
)

// ErrFewTaps means that too few clicks were answered.
var ErrFewTaps = fmt.Errorf("calibrate: fewer than %d clicks were answered; play one short note on every click", tapNeed)

// ErrUneven means that the taps scatter too much to tell the delay.
var ErrUneven = errors.New("calibrate: the notes did not fall evenly on the clicks; listen to a few clicks first, then play short notes with them")

// Tap measures the round trip by a person: clicks are the output frames on which clicks
// sounded, heard the input frames on which short notes began, both in rising order. Clicks
// should be at least 0.7 s apart, longer than any round trip, so that each note has one
// click it can belong to: the last that does not come more than 100 ms after it. The
// person's own habit of playing early or late (10 to 30 ms early is common practice among
// people who tap) is part of the result. It returns ErrFewTaps or ErrUneven.
func Tap(heard, clicks []int64, rate int) (Result, error) {
	var delays []float64
	early := int64(tapEarly * float64(rate))
	i := 0
	for k, c := range clicks {
		for i < len(heard) && heard[i] < c-early {
			i++ // belongs to an earlier click that has its note already, or to none
		}
		if i < len(heard) && (k+1 == len(clicks) || heard[i] < clicks[k+1]-early) && heard[i]-c <= int64(windowAfter*float64(rate)) {
			delays = append(delays, float64(heard[i]-c))
			i++
		}
	}
	if len(delays) < tapNeed {
		return Result{}, ErrFewTaps
	}
	agreed := near(delays, median(delays), math.Floor(tapAgree*float64(rate)))
	if len(agreed) < tapNeed {
		return Result{}, ErrUneven
	}
	r := summary(agreed, rate)
	if r.Spread > tapSpread {
		return Result{}, ErrUneven
	}
	return r, nil
}
