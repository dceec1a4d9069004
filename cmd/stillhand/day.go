package main

import "time"

// dayOf counts the days from 1 January 1970 to t's date in its own zone.
func dayOf(t time.Time) int {
	return int(time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

// dateOf is the date of a day, in words.
func dateOf(day int) string { return time.Unix(int64(day)*86400, 0).UTC().Format("2 January 2006") }
