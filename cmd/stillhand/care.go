package main

import (
	"context"
	"time"

	"stillhand/coach"
	"stillhand/session/store"
)

// loads are what the history knows of day and of the days that it is compared
// with.
func loads(ctx context.Context, day int) (all []coach.Load, err error) {
	err = withHistory(ctx, func(h *store.History) error {
		takes, err := h.Takes(ctx, store.Filter{Since: time.Now().AddDate(0, 0, -coach.HistoryDays-1)})
		for _, d := range store.Days(takes, time.Local) {
			all = append(all, coach.Load{Day: dayOf(d.Date), Minutes: d.Played.Minutes(), Shifts: d.Likely, Wide: d.Wide})
		}
		return err
	})
	return all, err
}

// increases says plainly what today exceeds the player's own last two weeks
// by. What cannot be read was said already.
func (w *world) increases(saved bool) {
	if !saved {
		return
	}
	today := coach.Load{Day: dayOf(time.Now())}
	log, err := loads(context.Background(), today.Day)
	if err != nil {
		return
	}
	for _, l := range log {
		if l.Day == today.Day {
			today = l
		}
	}
	for _, i := range coach.Increases(log, today) {
		w.tell("", "%s", i.Text)
	}
}
