package path

import (
	"fmt"
	"time"
)

// A Day is a day of the player's own calendar, counted from 1970-01-01 which is 0.
// The zero value stands for no day.
type Day int

const layout = "2006-01-02"

// The last day that can be written with four digits of the year.
const lastDay = Day(2932896) // 9999-12-31

// Date returns the day of a date. A month or day beyond its range runs on into the
// next, as with time.Date.
func Date(year int, month time.Month, day int) Day {
	return Day(time.Date(year, month, day, 0, 0, 0, 0, time.UTC).Unix() / (24 * 60 * 60))
}

// ParseDay reads "2026-11-25".
func ParseDay(s string) (Day, error) {
	t, err := time.Parse(layout, s)
	if err != nil {
		return 0, fmt.Errorf("day %.40q: a day is written like 2026-11-25", s)
	}
	d := Date(t.Year(), t.Month(), t.Day())
	if !d.Valid() {
		return 0, fmt.Errorf("day %.40q: days begin on 1970-01-02", s)
	}
	return d, nil
}

// Valid reports whether the day can be recorded: 1970-01-02 to 9999-12-31.
func (d Day) Valid() bool { return d > 0 && d <= lastDay }

// String writes the day like "2026-11-25", and nothing for no day.
func (d Day) String() string {
	if d == 0 {
		return ""
	}
	return time.Unix(int64(d)*24*60*60, 0).UTC().Format(layout)
}

// Words writes the day as it is said, without the year: "25 November".
func (d Day) Words() string { return time.Unix(int64(d)*24*60*60, 0).UTC().Format("2 January") }

// MarshalText writes what String returns.
func (d Day) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (d *Day) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*d = 0
		return nil
	}
	got, err := ParseDay(string(text))
	if err == nil {
		*d = got
	}
	return err
}
