package reeds

import (
	"testing"

	"reedwell/levels/harp"
)

func TestWords(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{State{Ask: blow(4), Time: 1}.Words(), "Play 4 blow and hold it."},
		{State{Ask: blow(4), Time: 2, Release: true}.Words(), "Got it. Let go, breathe. 4 blow once more."},
		{State{Ask: draw(3), Time: 3}.Words(), "The two differ. 3 draw a third time, easy and straight."},
		{State{Ask: draw(3), Time: 1, Rest: true}.Words(), "Take a breath and rest a moment. Then: Play 3 draw and hold it."},
		{State{Ask: draw(3), Time: 1, Problem: TooShort}.Words(), "That was a little short: two seconds will do. Play 3 draw and hold it."},
		{State{Done: true}.Words(), "Done. All twenty reeds are measured."},
		{State{Done: true, Skipped: 1}.Words(), "Done. 1 reed was passed over; you can play them any time."},
		{Reed{Note: draw(4)}.Words(), "4 draw is fine."},
		{Reed{Note: draw(4), Faults: []Fault{Off}, FromTuning: -12.2, FromOthers: -14}.Words(), "4 draw is 12 cents flat of its tuning (14 cents flat of the reeds around it)."},
		{Reed{Note: blow(2), Faults: []Fault{NotHeard}}.Words(), "2 blow was not heard."},
		{Fit{Found: true, Tuning: harp.Just7, A4: 442.2, Sure: true}.Words(), "Your harp is tuned like this: just with 5 and 9 draw low, for a smooth draw chord (7-limit); A4 near 442 Hz."},
		{Fit{Found: true, Tuning: harp.Just, Next: harp.Just5, A4: 442.2}.Words(), "Your harp is tuned like this: just, for chords in first position, or just with 5 and 9 draw high, for minor chords in third position (5-limit); A4 near 442 Hz."},
		{Report{}.Words(), "Too few reeds were heard to tell how your harp is tuned. 20 reeds were not heard."},
	} {
		if c.got != c.want {
			t.Errorf("got  %q\nwant %q", c.got, c.want)
		}
	}
}
